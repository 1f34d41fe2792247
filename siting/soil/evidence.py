"""What is known of one soil's strength, the best first, and which of it is taken where it does not agree."""

from __future__ import annotations

from dataclasses import dataclass

from siting.records.soil import SoilInput
from siting.soil.tables import (
    CLASS_SOURCE,
    CONSISTENCIES,
    CONSISTENCY_BLOWS_SOURCE,
    CONSISTENCY_SOURCE,
    DENSITIES,
    DENSITY_SOURCE,
    ENDLESS,
    LOOSE,
    PROBE_CLASSES,
    PROBE_SOURCE,
    SOFT,
    class_friction_deg,
    consistency_of_blows,
    consistency_of_strength,
    density_of_blows,
    friction_by_blows_deg,
    probe_class,
    typical_friction_deg,
)

CLASS_FRICTION_SOURCE = f"{CLASS_SOURCE}, or the lower end of Table 3-1 where that is less"
BLOWS_FRICTION_SOURCE = f"{DENSITY_SOURCE}, or Table 3-2 where that is less"
MEASURED, BLOWS, PROBE, CLASS = "measured", "blow count", "probe", "class"


@dataclass(frozen=True, slots=True)
class Evidence:
    """One thing that says how strong the ground is: a friction angle (deg) or an undrained strength (kPa)."""

    basis: str
    text: str
    strength: float  # what it gives where it stands alone
    low: float  # the range of strengths that it leaves open
    high: float
    density: int | None  # row of the table of densities or of consistencies; None: it says none
    blows: tuple[float, float] | None  # the range of blow counts that it leaves open; None: it says none
    source: str

    def contradicts(self, other: Evidence) -> bool:
        """True where the two leave nothing open in common, no unit."""
        if self.blows and other.blows:
            return self.blows[1] < other.blows[0] or other.blows[1] < self.blows[0]
        return self.high < other.low or other.high < self.low


def granular_evidence(given: SoilInput, row: str | None, density: int | None, name: str) -> list[Evidence]:
    """Friction angles in degrees, the best evidence first; the last, the class alone, is always there.

    Args:
        row: class of Table 3-2, None where it is not known; density: row of Table 3-1 by the words; name: the class in words.
    """
    found = []
    if given.friction_deg is not None:
        value = given.friction_deg
        text = f"measured friction {value:g}°"
        found.append(Evidence(MEASURED, text, value, value, value, None, None, given.strength_source or "no source given"))
    if given.blow_count is not None:
        blows = given.blow_count
        found.append(_granular(BLOWS, f"blow count {blows:g}", row, (blows, blows), BLOWS_FRICTION_SOURCE))
    if given.probe_nm is not None:
        found.append(_granular(PROBE, *_probe(given.probe_nm, row), f"{PROBE_SOURCE}; {BLOWS_FRICTION_SOURCE}"))
    value = class_friction_deg(row, LOOSE if density is None else density)
    if density is None:
        text = f"{name}, density not given: taken as loose"
        found.append(Evidence(CLASS, text, value, 0.0, ENDLESS, None, None, CLASS_FRICTION_SOURCE))
    else:
        low, high = DENSITIES[density].friction_deg
        blows = DENSITIES[density].blows
        low = min(value, 0.0 if low is None else low)
        text = _with_density(name, DENSITIES[density].name)
        found.append(Evidence(CLASS, text, value, low, ENDLESS if high is None else high, density, blows, CLASS_FRICTION_SOURCE))
    return found


def _with_density(name: str, density: str) -> str:
    """The class in words with its density, which the user's own words mostly hold."""
    return name if density in name.casefold() else f"{name}, taken as {density}"


def _probe(probe_nm: float, row: str | None) -> tuple[str, str | None, tuple[float, float]]:
    number = probe_class(probe_nm)
    return f"probe {probe_nm:g} Nm (class {number})", row, PROBE_CLASSES[number][1]


def _granular(basis: str, text: str, row: str | None, blows: tuple[float, float], source: str) -> Evidence:
    """Blow counts in granular ground: the lower of Table 3-1 at that count and of Table 3-2 at that density."""
    density = density_of_blows(blows[0])
    value = friction_by_blows_deg(blows[0])
    if row is not None:
        value = min(value, typical_friction_deg(row, density))
    low = DENSITIES[density].friction_deg[0]
    high = DENSITIES[density_of_blows(blows[1])].friction_deg[1]
    return Evidence(
        basis, text, value, min(value, 0.0 if low is None else low), ENDLESS if high is None else high, density, blows, source
    )


def cohesive_evidence(given: SoilInput, consistency: int | None, name: str) -> list[Evidence]:
    """Undrained shear strengths in kPa, the best evidence first; the last, the class alone, is always there.

    Args:
        consistency: row of Table 3-3 by the words, None where they say none; name: the class in words.
    """
    found = []
    if given.undrained_kpa is not None:
        value = given.undrained_kpa
        text = f"measured undrained strength {value:g} kPa"
        row = consistency_of_strength(value)
        found.append(Evidence(MEASURED, text, value, value, value, row, None, given.strength_source or "no source given"))
    if given.blow_count is not None:
        source = f"{CONSISTENCY_BLOWS_SOURCE}: a blow count says little of clay; {CONSISTENCY_SOURCE}"
        found.append(_cohesive(BLOWS, f"blow count {given.blow_count:g}", (given.blow_count, given.blow_count), source))
    if given.probe_nm is not None:
        text, _, blows = _probe(given.probe_nm, None)
        found.append(_cohesive(PROBE, text, blows, f"{PROBE_SOURCE}; {CONSISTENCY_BLOWS_SOURCE}; {CONSISTENCY_SOURCE}"))
    if consistency is None:
        value = CONSISTENCIES[SOFT].undrained_kpa()
        text = f"{name}, consistency not given: taken as soft"
        found.append(Evidence(CLASS, text, value, 0.0, ENDLESS, SOFT, None, CONSISTENCY_SOURCE))
    else:
        row = CONSISTENCIES[consistency]
        value, high = row.undrained_kpa(), row.undrained_end_kpa()
        text = _with_density(name, row.name)
        found.append(Evidence(CLASS, text, value, value, high, consistency, row.blows, CONSISTENCY_SOURCE))
    return found


def _cohesive(basis: str, text: str, blows: tuple[float, float], source: str) -> Evidence:
    """Blow counts in clay: the lower end of the consistency; beside a measured strength they leave one row more open each way."""
    first, last = consistency_of_blows(blows[0]), consistency_of_blows(blows[1])
    low = CONSISTENCIES[max(first - 1, 0)].undrained_kpa()
    high = CONSISTENCIES[min(last + 1, len(CONSISTENCIES) - 1)].undrained_end_kpa()
    return Evidence(basis, text, CONSISTENCIES[first].undrained_kpa(), low, high, first, blows, source)


def choose_evidence(found: list[Evidence]) -> tuple[Evidence, tuple[str, ...]]:
    """The evidence taken, and a warning for each that does not fit the best; no unit.

    The best is taken as long as nothing weaker contradicts it; else the weakest that does, as if it stood alone.

    Args:
        found: the best first, at least one.
    """
    best = found[0]
    against = [e for e in found[1:] if best.contradicts(e)]
    taken = min([best, *against], key=lambda e: e.strength)
    warnings = tuple(f"{best.text} does not fit {e.text}: {taken.text} is taken, the weaker; find out which is right" for e in against)
    return taken, warnings
