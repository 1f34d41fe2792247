"""How hard the ground pushes back on an upright face, and from behind it: Coulomb's wedge without friction on the face."""

from __future__ import annotations

import math

from siting.holding.refusal import out_of_range

FAN_RAD = 1.0  # a fall from which on ground without friction is a bank: the fan of slip lines has gone

def wedge_root(friction_deg: float, slope_deg: float) -> float:
    """sqrt(sin(phi) sin(phi - slope) / cos(slope)): how much of the wedge the slope takes; no unit."""
    phi, slope = math.radians(friction_deg), math.radians(slope_deg)
    return math.sqrt(math.sin(phi) * math.sin(phi - slope) / math.cos(slope))


def passive_root(friction_deg: float, fall_deg: float) -> float:
    """Root of the passive ratio, no unit, without a look at its range."""
    return math.cos(math.radians(friction_deg)) / (1.0 - wedge_root(friction_deg, fall_deg))


def active_root(friction_deg: float, rise_deg: float) -> float:
    """Root of the active ratio, no unit, without a look at its range."""
    return math.cos(math.radians(friction_deg)) / (1.0 + wedge_root(friction_deg, rise_deg))


def cohesive_net_kpa(undrained_kpa: float, vertical_kpa: float, turned_rad: float) -> float:
    """The formula of cohesive_push_kpa, kPa, without a look at its range."""
    return vertical_kpa + 2.0 * undrained_kpa * (1.0 - turned_rad) - max(vertical_kpa - 2.0 * undrained_kpa, 0.0)


def _check(friction_deg: float, slope_deg: float) -> None:
    if not 0.0 <= slope_deg < friction_deg:
        raise out_of_range(
            f"ground that slopes {slope_deg:.1f}°", f"stands no steeper than its friction angle of {friction_deg:.1f}°",
            "have the anchor designed for this slope",
        )  # fmt: skip


def passive_ratio(friction_deg: float, fall_deg: float) -> float:
    """Level push of the ground before an upright face / vertical stress, no unit; ground that rises there counts as level.

    Args:
        fall_deg: how steeply the ground falls away from the face, in the way it pushes; below 0 is taken as 0.
    Raises:
        OutOfMethod: the ground falls steeper than its friction angle.
    Accuracy: exact for level ground (Rankine); without friction on the face the plane wedge is near the curved one
        (UFC 3-220-20 ch. 4, log spiral: they part where the face has friction).
    Source: Coulomb 1776, UFC 3-220-20 eq. 4-11 with theta = delta = 0 and beta = -fall; level: eq. 4-4.
    """
    fall_deg = max(fall_deg, 0.0)
    _check(friction_deg, fall_deg)
    return passive_root(friction_deg, fall_deg) ** 2


def active_ratio(friction_deg: float, rise_deg: float) -> float:
    """Level push of the ground behind an upright face / vertical stress, no unit; ground that falls there counts as level.

    Args:
        rise_deg: how steeply the ground rises behind the face; below 0 is taken as 0.
    Raises:
        OutOfMethod: the ground rises steeper than its friction angle.
    Source: Coulomb 1776, UFC 3-220-20 eq. 4-10 with theta = delta = 0 and beta = rise; level: eq. 4-3.
    """
    rise_deg = max(rise_deg, 0.0)
    _check(friction_deg, rise_deg)
    return active_root(friction_deg, rise_deg) ** 2


def cohesive_push_kpa(undrained_kpa: float, vertical_kpa: float, fall_deg: float) -> float:
    """Net level push on an upright face in ground without friction, kPa: before it less behind it, never above 4 su.

    Before it: vertical + 2 su (1 - fall); behind it: vertical - 2 su, no less than 0 (the ground does not pull).

    Args:
        fall_deg: how steeply the ground falls away from the face, below 0 taken as 0.
    Raises:
        OutOfMethod: it falls steeper than 1 radian.
    Source: Rankine-Bell, UFC 3-220-20 eq. 4-6 and 4-7 with phi = 0; the fall turns the fan of Prandtl's slip lines by
        its angle, which takes 2 su for each radian.
    """
    turned = math.radians(max(fall_deg, 0.0))
    if turned >= FAN_RAD:
        raise out_of_range(f"ground that falls {fall_deg:.1f}°", "is a bank", "move the anchor or have it designed")
    return cohesive_net_kpa(undrained_kpa, vertical_kpa, turned)
