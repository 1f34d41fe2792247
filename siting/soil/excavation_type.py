"""How the walls of a pit stand: the type of 29 CFR 1926 Subpart P that is taken, and where it comes from."""

from __future__ import annotations

from siting.errors import InputError
from siting.records.soil import COHESIVE, GRANULAR, ROCK, SoilInput
from siting.soil.tables import kpa

STANDARD = "29 CFR 1926 Subpart P App. A"
TYPES = ("A", "B", "C", "rock")
# Unconfined compressive strength of cohesive soil: 1.5 and 0.5 tons (of 2000 lb) per square foot, App. A.
TYPE_A_KPA = kpa(3000.0)
TYPE_B_KPA = kpa(1000.0)


def excavation_type(given: SoilInput, kind: str, no_strength: str = "") -> tuple[str, str, tuple[str, ...]]:
    """The type A, B, C or rock, where it comes from, and warnings; no unit.

    The user's own classification is taken, but never a better one than the standard gives to what else the user says;
    without one it is C, whose walls lie flattest. A measured strength alone makes no type better.

    Args:
        kind: granular, cohesive or rock; no_strength: "fill" or "organic ground", else empty.
    Raises:
        InputError: a type that the standard does not have.
    Source:
        29 CFR 1926 Subpart P App. A.
    """
    wanted = given.excavation_type
    compression_kpa = None if given.undrained_kpa is None or kind != COHESIVE or no_strength else 2.0 * given.undrained_kpa
    if wanted is None:
        return "C", f"not classified by a competent person: type C, the flattest walls of {STANDARD}{_allowed(compression_kpa)}", ()
    if wanted not in TYPES:
        raise InputError.of(
            "soil_excavation", f"{given.where} excavation_type", f"'{wanted}' is no type of {STANDARD}",
            f"it is one of {', '.join(TYPES)}",
        )  # fmt: skip
    taken, why = _instead(given, kind, no_strength, compression_kpa)
    if not why:
        return wanted, f"as the user gives it ({given.where}), classified by the competent person on site", ()
    warning = f"excavation type {wanted} does not fit: {why}. Type {taken} is taken ({STANDARD})"
    return taken, f"type {wanted} was given ({given.where}), but {why} ({STANDARD})", (warning,)


def _instead(given: SoilInput, kind: str, no_strength: str, compression_kpa: float | None) -> tuple[str, str]:
    """The type to take instead of the user's, and why; nothing where the user's stands."""
    wanted = given.excavation_type
    if wanted == "rock":
        return ("", "") if kind == ROCK else ("C", f"the ground is {no_strength or kind}, no stable rock")
    if wanted == "C" or kind == ROCK:
        return "", ""
    if given.water_depth_m is not None and given.water_depth_m <= 0.0:
        return "C", "water stands at the surface"
    if no_strength:
        return "C", f"the ground is {no_strength}"
    if wanted == "A" and kind == GRANULAR:
        return "C", "type A is cohesive or cemented soil only"
    if compression_kpa is not None and compression_kpa <= TYPE_B_KPA:
        return "C", f"the measured strength (qu {compression_kpa:.0f} kPa) is that of type C"
    if wanted == "A" and compression_kpa is not None and compression_kpa < TYPE_A_KPA:
        return "B", f"the measured strength (qu {compression_kpa:.0f} kPa) is that of type B"
    return "", ""


def _allowed(compression_kpa: float | None) -> str:
    """What the standard would let a competent person find at a measured strength."""
    if compression_kpa is None or compression_kpa <= TYPE_B_KPA:
        return ""
    better = "A" if compression_kpa >= TYPE_A_KPA else "B"
    return (
        f"; the measured strength (qu {compression_kpa:.0f} kPa) may allow type {better} where the ground is not fissured, "
        "shaken, wet or dug before: the competent person on site decides"
    )
