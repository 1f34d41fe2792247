"""The soil that an anchor is worked out in, from what the user knows of the ground; the lower end wherever there is a range."""

from __future__ import annotations

from dataclasses import replace

from siting.errors import Fault, InputError
from siting.records.soil import COHESIVE, GRANULAR, ROCK, Soil, SoilInput
from siting.soil.evidence import CLASS, MEASURED, Evidence, choose_evidence, cohesive_evidence, granular_evidence
from siting.soil.excavation_type import excavation_type
from siting.soil.given import (
    find_class,
    find_oddities,
    find_sound_rock,
    read_names,
    refuse_wrong_units,
    weight_range_kn_m3,
)
from siting.soil.tables import (
    CLASS_SOURCE,
    CONSISTENCIES,
    CONSISTENCY_SOURCE,
    DENSITY_SOURCE,
    LOOSE,
    PRESUMED_CLAY,
    PRESUMED_SAND,
    PRESUMED_SOURCE,
    ROCK_SOURCE,
    ROCK_WEIGHT_KN_M3,
    SOFT,
    USCS_SOURCE,
    WEAKEST_CLASS,
    class_friction_deg,
    cohesive_weight_kn_m3,
    granular_weights_kn_m3,
    kpa,
)
from siting.soil.words import Named
from siting.units import GRAVITY_M_S2

NOTHING_KNOWN = "nothing known"
WATER_KN_M3 = GRAVITY_M_S2  # fresh water, 1000 kg/m3
WEIGHT_SOURCES = {
    GRANULAR: f"{DENSITY_SOURCE}; Table 3-2: lower ends",
    COHESIVE: f"{CONSISTENCY_SOURCE}: lower end; below water less the water's weight",
    ROCK: "rock, light: common practice, no source",
}
ORGANIC_KN_M3 = 11.0  # peat: common practice, no source
NO_PLACE = SoilInput(where="site file")  # nothing given at all


def find_soil(given: SoilInput | None) -> Soil:
    """The soil, each value with its source: measured before blow count, probe, class or words, nothing known.

    Where two contradict each other, the weaker is taken as if it stood alone, and a warning says so.

    Args:
        given: None, or without a word of the ground: nothing is known, and the weakest ground of the tables is taken.
    Raises:
        InputError: a word, group or rock that is not known; a value that must be in another unit; a blow count or a probe
            without the kind of ground; two kinds of ground; an excavation type that there is not.
    """
    given = given or NO_PLACE
    named = read_names(given)
    refuse_wrong_units(given)
    warnings = find_oddities(given, named)
    without = next((n for n in named if n.no_strength), None)
    if without:
        return _without_strength(given, without, warnings)
    rock, doubts = find_sound_rock(given, named)
    warnings = (*warnings, *doubts)
    if rock:
        return _rock(given, rock, warnings)
    ground = find_class(given, named)
    if ground is None:
        return _nothing_known(given, GRANULAR, warnings)
    return (_granular if ground.kind == GRANULAR else _cohesive)(given, ground, warnings)


def soil_faults(given: SoilInput) -> tuple[Fault, ...]:
    """Everything that find_soil would refuse in what is given, so that a file's reader can say all of it at once."""
    faults: list[Fault] = []
    for read in (read_names, refuse_wrong_units):
        try:
            read(given)
        except InputError as error:
            faults.extend(error.faults)
    if not faults:  # how the kinds go together can only be told of names that are known
        try:
            find_soil(given)
        except InputError as error:
            faults.extend(error.faults)
    return tuple(faults)


def soils_to_try(given: SoilInput | None) -> tuple[Soil, ...]:
    """The soils in which an anchor must hold, no unit: one, or where nothing is known two: the weakest silt and soft clay.

    Neither of the two is the weaker for every kind of anchor: plates and pins hold less in the first, deep screws in the second.

    Raises:
        InputError: as find_soil.
    """
    soil = find_soil(given)
    if soil.basis != NOTHING_KNOWN:
        return (soil,)
    return (soil, _nothing_known(given or NO_PLACE, COHESIVE, soil.warnings))


def _granular(given: SoilInput, ground: Named, warnings: tuple[str, ...]) -> Soil:
    """Sand, gravel, silt of low plasticity."""
    found = granular_evidence(given, ground.row, ground.density, ground.text)
    taken, doubts = choose_evidence(found)
    if given.undrained_kpa is not None:
        what = "an undrained strength does not go with it; friction alone is taken, and if it is clay, call it clay"
        doubts = (*doubts, f"{ground.text}: {what}")
    # A measured friction says nothing of the density: the weight is the lowest that the rest leaves open.
    densities = [taken.density] if taken.density is not None else [e.density for e in found if e.density is not None]
    weights = granular_weights_kn_m3(ground.row, min(densities, default=LOOSE))
    return _soil(given, ground, taken, weights, (*warnings, *doubts))


def _cohesive(given: SoilInput, ground: Named, warnings: tuple[str, ...]) -> Soil:
    """Clay, silty clay, elastic silt."""
    taken, doubts = choose_evidence(cohesive_evidence(given, ground.density, ground.text))
    if given.friction_deg is not None:
        what = f"friction does not hold clay in a gust; taken: {taken.text}"
        doubts = (*doubts, f"{ground.text}: {what}")
    if taken.strength <= 0.0:
        doubts = (*doubts, "very soft ground: no strength is taken; go to firmer ground, or have the anchors designed")
    moist = cohesive_weight_kn_m3(SOFT if taken.density is None else taken.density)
    return _soil(given, ground, taken, (moist, moist - WATER_KN_M3), (*warnings, *doubts))


def _nothing_known(given: SoilInput, kind: str, warnings: tuple[str, ...]) -> Soil:
    """What stands in for ground that nothing is known of.

    The weakest row of Table 3-2, loose silt, under water unless the user knows better. It holds less than the clay and the
    sand that TIA-222-G presumes, by every method of the sheet and as deep as a crew reaches: those two are for bids, and
    here a mast hangs on it. The second, soft clay, is what makes deep screws hold less still. Any word of the user's on the
    ground replaces both.
    """
    if kind == GRANULAR:
        ground = Named("loose silt", GRANULAR, WEAKEST_CLASS, LOOSE)
        strength, source = class_friction_deg(WEAKEST_CLASS, LOOSE), f"weakest row of {CLASS_SOURCE}"
        weights = granular_weights_kn_m3(WEAKEST_CLASS, LOOSE)
    else:
        ground = Named("soft clay", COHESIVE, density=SOFT)
        strength, source = CONSISTENCIES[SOFT].undrained_kpa(), CONSISTENCY_SOURCE
        moist = cohesive_weight_kn_m3(SOFT)
        weights = (moist, moist - WATER_KN_M3)
    presumed = f"clay of {kpa(PRESUMED_CLAY[1]):.0f} kPa and sand of {PRESUMED_SAND[1]:.0f}° are presumed by {PRESUMED_SOURCE}"
    text = f"soil NOT KNOWN: presumptive, taken as {ground.text}"
    taken = Evidence(NOTHING_KNOWN, text, strength, strength, strength, ground.density, None, f"{source} ({presumed})")
    warning = (
        "soil NOT KNOWN: peat, fill and very soft clay are weaker than what is taken; look into the first hole or probe the "
        "ground before any anchor is loaded"
    )
    told = warnings if warning in warnings else (*warnings, warning)
    return replace(_soil(given, ground, taken, weights, told), description=text)


def _soil(
    given: SoilInput, ground: Named, taken: Evidence, table: tuple[float, float], warnings: tuple[str, ...]
) -> Soil:  # fmt: skip
    """The record of a soil; `table` holds the tables' unit weights above and below the water, kN/m3."""
    is_granular = ground.kind == GRANULAR
    weight, buoyant, weight_source = _weights(given, ground.kind, table)
    pit, pit_source, pit_warnings = excavation_type(given, ground.kind)
    strength = f"friction {taken.strength:.1f}°" if is_granular else f"undrained strength {taken.strength:.1f} kPa"
    sources = [f"{strength}: {taken.text}; {taken.source}", f"unit weight: {weight_source}", _water(given, ground.kind)]
    if given.uscs is not None:
        sources.append(f"soil group: {USCS_SOURCE}")
    return Soil(
        description=taken.text if ground.text in taken.text else f"{ground.text}, {taken.text}",
        kind=ground.kind,
        basis=taken.basis,
        is_presumptive=taken.basis != MEASURED,
        friction_deg=taken.strength if is_granular else None,
        undrained_kpa=None if is_granular else taken.strength,
        unit_weight_kn_m3=weight,
        buoyant_kn_m3=buoyant,
        water_depth_m=given.water_depth_m,
        frost_depth_m=given.frost_depth_m,
        rock="",
        has_cobbles=ground.has_cobbles,
        is_organic=False,
        excavation_type=pit,
        excavation_source=pit_source,
        sources=tuple(sources),
        warnings=(*warnings, *pit_warnings),
    )


def _rock(given: SoilInput, rock: Named, warnings: tuple[str, ...]) -> Soil:
    """Sound rock of the published table."""
    if given.friction_deg is not None or given.undrained_kpa is not None:
        warnings = (*warnings, "a measured strength of soil is not used in rock")
    weight, buoyant, weight_source = _weights(given, ROCK, (ROCK_WEIGHT_KN_M3, ROCK_WEIGHT_KN_M3 - WATER_KN_M3))
    pit, pit_source, pit_warnings = excavation_type(given, ROCK)
    return Soil(
        description=rock.text if rock.text == rock.rock else f"{rock.text}, taken as {rock.rock}",
        kind=ROCK,
        basis=CLASS,
        is_presumptive=True,
        friction_deg=None,
        undrained_kpa=None,
        unit_weight_kn_m3=weight,
        buoyant_kn_m3=buoyant,
        water_depth_m=given.water_depth_m,
        frost_depth_m=given.frost_depth_m,
        rock=rock.rock,
        has_cobbles=False,
        is_organic=False,
        excavation_type=pit,
        excavation_source=pit_source,
        sources=(f"rock: {ROCK_SOURCE}", f"unit weight: {weight_source}", _water(given, ROCK)),
        warnings=(*warnings, *pit_warnings),
    )


def _without_strength(given: SoilInput, ground: Named, warnings: tuple[str, ...]) -> Soil:
    """Fill and organic ground, whatever was measured in it: what it is made of changes from one step to the next."""
    pit, pit_source, pit_warnings = excavation_type(given, COHESIVE, ground.no_strength)
    warning = f"{ground.no_strength}: no strength is taken; anchors go through it to firm ground, or are designed for it"
    return Soil(
        description=ground.text if ground.no_strength in ground.text else f"{ground.text}: {ground.no_strength}",
        kind=COHESIVE,
        basis=CLASS,
        is_presumptive=True,
        friction_deg=None,
        undrained_kpa=0.0,
        unit_weight_kn_m3=ORGANIC_KN_M3,
        buoyant_kn_m3=ORGANIC_KN_M3 - WATER_KN_M3,
        water_depth_m=given.water_depth_m,
        frost_depth_m=given.frost_depth_m,
        rock="",
        has_cobbles=ground.has_cobbles,
        is_organic=True,
        excavation_type=pit,
        excavation_source=pit_source,
        sources=("no strength taken", "unit weight of peat: common practice, no source", _water(given, COHESIVE)),
        warnings=(*warnings, *pit_warnings, warning),
    )


def _weights(given: SoilInput, kind: str, table: tuple[float, float]) -> tuple[float, float, str]:
    """Unit weight above and below water, kN/m3, and their source.

    Below water ground weighs at least its moist weight less the water's, and at least the table's share of it.
    """
    measured = given.unit_weight_kn_m3
    most = weight_range_kn_m3(kind)[1]
    if measured is None or (measured > most and measured > table[0]):
        return *table, WEIGHT_SOURCES[kind]
    buoyant = max(measured - WATER_KN_M3, table[1] * min(1.0, measured / table[0]))
    return measured, buoyant, f"measured ({given.strength_source or given.where}); below water not less than it leaves"


def _water(given: SoilInput, kind: str) -> str:
    """What is taken of the water table."""
    if given.water_depth_m is not None:
        return f"water table: {given.where}"
    if kind == GRANULAR:
        return "water table not known: taken at the surface"
    return "water table not known: the ground's total weight is taken"
