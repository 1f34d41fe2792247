"""Steel pins of the base plate: what they hold against a level push, and against being drawn out."""

from __future__ import annotations

import math

from siting.holding.earth_pressure import passive_ratio
from siting.holding.refusal import out_of_range, refused
from siting.records.holding import PINS, AnchorWants, CapacityPart, Holding
from siting.records.soil import COHESIVE, GRANULAR, ROCK, Soil

PUSH_FACTOR = 2.0  # on a live load: Broms 1965, UFC 3-220-20 eq. 6-55
STRENGTH_RATIO = 0.75  # of su and of tan(phi): Broms 1965, UFC 3-220-20 eq. 6-57 and 6-58
DRAWN_FACTOR = 6.0  # without a pull test, the top of the printed range: UFC 3-220-20 Table 6-29
IDLE_RATIO = 1.5  # the top 1.5 diameters in cohesive ground do not hold: Broms 1964
PIN_YIELD_MPA = 235.0  # the least structural steel (S235, EN 10025-2)
STEEL_FRICTION_RATIO = 0.5  # friction on smooth steel / friction angle: UFC 3-220-20 Table 6-14, from memory
PUSH_SOURCE = "short free pile of Broms 1964 (UFC 3-220-20 eq. 6-55 to 6-65), and the pin's own bending; factor 2.0 and strength x 0.75: Broms 1965"
DRAWN_SOURCE = "skin friction: UFC 3-220-20 eq. 6-6, 6-7, 6-16, 6-17; factor 6.0: Table 6-29 without a pull test"


def short_pile_clay_kn(undrained_kpa: float, diameter_m: float, length_m: float, height_m: float = 0.0) -> float:
    """Level force at which a stiff pin turns over in cohesive ground, kN.

    9 su D below the top 1.5 D: f = H/(9 su D), g = L - 1.5 D - f, H (e + 1.5 D + f/2) = 2.25 su D g^2, solved for H.

    Args:
        height_m: e, of the force above the ground.
    Raises:
        OutOfMethod: the pin is no longer than the part that does not hold.
    Accuracy: the printed example's root (tests/outside/test_holding_published.py).
    Source: Broms 1964 (cohesive soils); UFC 3-220-20 eq. 6-59 to 6-61.
    """
    held = length_m - IDLE_RATIO * diameter_m
    if held <= 0.0:
        raise out_of_range(f"pin {length_m:.2f} m long", "is no longer than the 1.5 diameters that do not hold", "take longer pins")
    per_m = 9.0 * undrained_kpa * diameter_m
    if per_m <= 0.0:
        return 0.0
    # With f as the unknown: f^2/4 + f (e + 1.5 D + held/2) - held^2/4 = 0.
    arm = height_m + IDLE_RATIO * diameter_m + held / 2.0
    return per_m * 2.0 * (math.sqrt(arm**2 + held**2 / 4.0) - arm)


def short_pile_sand_kn(stress_kpa_m: float, passive: float, diameter_m: float, length_m: float, height_m: float = 0.0) -> float:
    """Level force at which a stiff pin turns over in granular ground, kN: 0.5 x (stress growth) D L^3 Kp / (e + L).

    Args:
        stress_kpa_m: growth of the vertical stress with depth, kPa for each metre.
    Raises:
        OutOfMethod: no length.
    Source: Broms 1964 (cohesionless soils); UFC 3-220-20 eq. 6-63.
    """
    if length_m <= 0.0:
        raise out_of_range("pin", "has no length", "give its length")
    return 0.5 * stress_kpa_m * diameter_m * length_m**3 * passive / (height_m + length_m)


def bending_clay_kn(undrained_kpa: float, diameter_m: float, moment_knm: float) -> float:
    """Level force at the ground at which a pin in cohesive ground reaches a bending moment, kN: H (1.5 D + H/(18 su D)).

    Source: Broms 1964; UFC 3-220-20 eq. 6-59, the moment where the shear is 0.
    """
    idle, per_m = IDLE_RATIO * diameter_m, 9.0 * undrained_kpa * diameter_m
    if per_m <= 0.0:
        return 0.0
    return per_m * (math.sqrt(idle**2 + 2.0 * moment_knm / per_m) - idle)


def bending_sand_kn(stress_kpa_m: float, passive: float, diameter_m: float, moment_knm: float) -> float:
    """Level force at the ground at which a pin in granular ground reaches a bending moment, kN: H x 2/3 f.

    f = sqrt(H / (1.5 x stress growth x D Kp)) is where the shear is 0.

    Source: Broms 1964; UFC 3-220-20 eq. 6-64 and 6-65 with no moment at the top.
    """
    return (1.5 * moment_knm * math.sqrt(1.5 * stress_kpa_m * diameter_m * passive)) ** (2.0 / 3.0)


def _unfit(soil: Soil) -> str:
    if soil.kind == ROCK:
        return "pins are not driven into rock: drill and grout dowels, designed for the force"
    if soil.is_organic:
        return "organic ground: no method holds there"
    if (soil.undrained_kpa if soil.kind == COHESIVE else soil.friction_deg) is None:
        return "the ground's strength is not known"
    return ""


def _size(wants: AnchorWants) -> str:
    return f"{wants.pins} steel pins {wants.pin_diameter_m * 1000:.0f} mm, {wants.pin_length_m:.1f} m in the ground"


def _answer(wants: AnchorWants, one: tuple[CapacityPart, ...], factor: float, source: str) -> Holding:
    """All pins together, each as if it stood alone: the least part governs."""
    parts = tuple(CapacityPart(part.name, part.value_kn * wants.pins) for part in one)
    least = min(parts, key=lambda part: part.value_kn)
    return Holding(
        kind=PINS, size=_size(wants), ultimate_kn=least.value_kn, safety_factor=factor, allowable_kn=least.value_kn / factor,
        governed_by=least.name, parts=parts, rod_m=None, depth_m=None, cover_m=None, torque_knm=None, refused="", source=source,
        face_m=(wants.pin_diameter_m,), end_m=wants.pin_length_m,
    )  # fmt: skip


def hold_pins(soil: Soil, wants: AnchorWants) -> Holding:
    """What the pins hold against a level push at the ground, kN, with the ground's strength taken at 0.75; level ground.

    A pin turns over in the ground (stiff) or bends (slender); a 30 mm pin bends first in nearly any ground. What the
    plate's weight and friction hold is left out.

    Raises:
        OutOfMethod: the pins are too short for the method.
    Source: see PUSH_SOURCE.
    """
    factor = wants.safety_factor or PUSH_FACTOR
    reason = _unfit(soil)
    if reason:
        return refused(PINS, _size(wants), factor, reason, PUSH_SOURCE)
    diameter, length = wants.pin_diameter_m, wants.pin_length_m
    moment = math.pi * diameter**3 / 32.0 * PIN_YIELD_MPA * 1000.0
    if soil.kind == COHESIVE:
        strength = STRENGTH_RATIO * soil.undrained_kpa
        turns, bends = short_pile_clay_kn(strength, diameter, length), bending_clay_kn(strength, diameter, moment)
    else:
        reduced = math.degrees(math.atan(STRENGTH_RATIO * math.tan(math.radians(soil.friction_deg))))
        growth, passive = soil.pressure_kpa(length) / length, passive_ratio(reduced, 0.0)
        turns, bends = short_pile_sand_kn(growth, passive, diameter, length), bending_sand_kn(growth, passive, diameter, moment)
    parts = (CapacityPart("pins turn over in the ground", turns), CapacityPart("pins bend", bends))
    return _answer(wants, parts, factor, PUSH_SOURCE)


def hold_pins_drawn(soil: Soil, wants: AnchorWants) -> Holding:
    """What the pins hold against being drawn out, kN: friction on their skin.

    Cohesive: alpha su, alpha = (su/stress)^-0.5 to a ratio of 1, ^-0.25 above, at most 1. Granular: (1 - sin phi) tan(phi/2)
    times the stress: no gain from driving. The stress is that at half the length. No weight, nothing for the group.

    Source: see DRAWN_SOURCE; (1 - sin phi): Jaky 1944.
    """
    factor = wants.safety_factor or DRAWN_FACTOR
    reason = _unfit(soil)
    if reason:
        return refused(PINS, _size(wants), factor, reason, DRAWN_SOURCE)
    length = wants.pin_length_m
    stress = soil.pressure_kpa(length) / 2.0
    if soil.kind == GRANULAR:
        phi = math.radians(soil.friction_deg)
        skin = (1.0 - math.sin(phi)) * math.tan(STEEL_FRICTION_RATIO * phi) * stress
    else:
        ratio = soil.undrained_kpa / stress
        skin = min(ratio ** (-0.5 if ratio <= 1.0 else -0.25), 1.0) * soil.undrained_kpa if ratio > 0.0 else 0.0
    one = (CapacityPart("friction on the pins", skin * math.pi * wants.pin_diameter_m * length),)
    return _answer(wants, one, factor, DRAWN_SOURCE)
