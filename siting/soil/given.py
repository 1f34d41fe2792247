"""What the user gives of one ground, taken together: names read, values in a wrong unit refused, the kind of ground."""

from __future__ import annotations

from dataclasses import replace

from siting.errors import Fault, InputError
from siting.records.soil import COHESIVE, GRANULAR, ROCK, SoilInput
from siting.soil.tables import GRAVEL, LOOSE, PROBE_LARGEST_NM, WEAKEST_CLASS, class_friction_deg, kpa, probe_class
from siting.soil.words import Named, ground_of_group, ground_of_words, rock_of_name

# What a measured value may be before it is taken for one in another unit: common practice, no source.
FRICTION_RANGE_DEG = (20.0, 45.0)  # below it no sand, above it no method of the sheet
UNDRAINED_MOST_KPA = 400.0
WEIGHT_RANGE_KN_M3 = (12.0, 24.0)
ROCK_WEIGHT_MOST_KN_M3 = 30.0
SOUND_ROCK_BLOWS = 50.0  # fewer blows are no sound rock: common practice, no source
DRY_WATER_M = 1.0  # ground with water above this is not dry: common practice, no source


def read_names(given: SoilInput) -> list[Named]:
    """What the group, the words and the rock's name say; no unit.

    Raises:
        InputError: every name that is not known.
    """
    found, faults = [], []
    for key, read in (("uscs", ground_of_group), ("plain_words", ground_of_words), ("rock", rock_of_name)):
        text = getattr(given, key)
        if text is not None:
            try:
                found.append(read(text, f"{given.where} {key}"))
            except InputError as error:
                faults.extend(error.faults)
    if faults:
        raise InputError(tuple(faults))
    return found


def refuse_wrong_units(given: SoilInput) -> None:
    """Stops at measured values that no soil has.

    Raises:
        InputError: every such value, with the unit that it may be in.
    """
    least_deg, most_deg = FRICTION_RANGE_DEG
    undrained_kpa = given.undrained_kpa
    values = (
        ("friction_deg", "a friction angle", "°", least_deg, most_deg, "give it in degrees, not as its tangent"),
        (
            "undrained_kpa", "an undrained strength", " kPa", 0.0, UNDRAINED_MOST_KPA,
            f"give it in kPa; if that is psf, it is {kpa(undrained_kpa or 0.0):.1f} kPa",
        ),
        ("probe_nm", "a probe torque", " Nm", 0.0, PROBE_LARGEST_NM, "give it in newton metres; 1 Nm is 8.85 inch-pounds"),
        ("blow_count", "a blow count", "", 0.0, 1000.0, "give the blows for 300 mm"),
        ("unit_weight_kn_m3", "a unit weight", " kN/m³", 0.0, 1000.0, "give it in kN/m³"),
        ("water_depth_m", "a water table", " m", 0.0, 1000.0, "give its depth below the ground"),
    )  # fmt: skip
    faults = []
    for key, name, unit, least, most, do in values:
        value = getattr(given, key)
        if value is not None and not least <= value <= most:
            what = f"{name} of {value:g}{unit} lies outside {least:g} to {most:.4g}{unit}"
            faults.append(Fault("soil_unit", f"{given.where} {key}", what, do))
    if faults:
        raise InputError(tuple(faults))


def weight_range_kn_m3(kind: str) -> tuple[float, float]:
    """The least and the largest unit weight that is believed of soil or of rock, kN/m3."""
    return WEIGHT_RANGE_KN_M3[0], ROCK_WEIGHT_MOST_KN_M3 if kind == ROCK else WEIGHT_RANGE_KN_M3[1]


def find_oddities(given: SoilInput, named: list[Named]) -> tuple[str, ...]:
    """What does not fit together beside the strengths, as warnings; no unit."""
    found = [w for n in named if n.kind != ROCK for w in n.warnings]
    least, most = weight_range_kn_m3(ROCK if any(n.kind == ROCK for n in named) else GRANULAR)
    weight, water_m = given.unit_weight_kn_m3, given.water_depth_m
    if weight is not None and not least <= weight <= most:
        found.append(
            f"unit weight {weight:g} kN/m³ lies outside {least:g} to {most:g} (is it in lb/ft³ or t/m³?): "
            "the lower of it and the table's is taken"
        )
    if any(n.is_dry for n in named) and water_m is not None and water_m < DRY_WATER_M:
        found.append(f"ground called dry, with water {water_m:g} m below the surface: the water is taken")
    if given.probe_nm is not None and probe_class(given.probe_nm) == 1:
        found.append(f"probe {given.probe_nm:g} Nm: ground so hard is hard to probe; make sure that the figure is in newton metres")
    return tuple(found)


def find_sound_rock(given: SoilInput, named: list[Named]) -> tuple[Named | None, tuple[str, ...]]:
    """The rock, where nothing says that it is none; else None, and why it is not taken."""
    rocks = [n for n in named if n.kind == ROCK and not n.is_weathered]
    if not rocks:
        weathered = any(n.is_weathered for n in named)
        return None, ("weathered or broken rock: it is taken as loose gravel, not as rock",) if weathered else ()
    rock = rocks[-1]  # the table's own name, where it is given
    against = [n.text for n in named if n.kind != ROCK or n.is_weathered]
    if given.blow_count is not None and given.blow_count < SOUND_ROCK_BLOWS:
        against.append(f"blow count {given.blow_count:g}")
    if given.probe_nm is not None:
        against.append(f"a probe that goes in ({given.probe_nm:g} Nm)")
    if against:
        return None, (f"{rock.text} does not fit {' and '.join(against)}: no strength of rock is taken",)
    return rock, rock.warnings


def find_class(given: SoilInput, named: list[Named]) -> Named | None:
    """The class of soil, the weaker where two of one kind are named; None where nothing is known.

    Raises:
        InputError: two kinds of ground, or a strength, a blow count or a probe without the kind.
    """
    soils = [n for n in named if n.kind != ROCK]
    if len({n.kind for n in soils}) > 1:
        text = " but ".join(f"{n.text} is {n.kind}" for n in soils)
        raise InputError.of("soil_kind", given.where, f"names two kinds of ground: {text}", "correct uscs or plain_words")
    if soils:
        weakest = min(soils, key=lambda n: class_friction_deg(n.row, LOOSE) if n.row else 0.0)
        return replace(
            weakest,
            density=next((n.density for n in soils if n.density is not None), None),
            has_cobbles=any(n.has_cobbles for n in soils),
            text=", ".join(n.text for n in soils),
        )
    if named:  # rock that is not taken as rock
        row = GRAVEL if all(n.is_weathered for n in named) else WEAKEST_CLASS
        return Named(named[0].text, GRANULAR, row, LOOSE if row == GRAVEL else None, has_cobbles=True)
    return _class_of_values(given)


def _class_of_values(given: SoilInput) -> Named | None:
    """The kind of ground that a measured strength alone tells."""
    has_friction, has_undrained = given.friction_deg is not None, given.undrained_kpa is not None
    if has_friction != has_undrained:
        kind = GRANULAR if has_friction else COHESIVE
        return Named(f"{kind} soil", kind)
    needing = (
        ("friction_deg", "friction beside undrained strength", has_friction),
        ("blow_count", "a blow count", given.blow_count is not None),
        ("probe_nm", "a probe torque", given.probe_nm is not None),
    )
    for key, name, is_given in needing:
        if is_given:
            raise InputError.of(
                "soil_kind", f"{given.where} {key}", f"{name} needs to know whether the ground is sand or clay",
                "give uscs or plain_words",
            )  # fmt: skip
    return None
