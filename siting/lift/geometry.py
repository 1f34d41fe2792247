"""The lift of each azimuth: side guys' travel, the winch line's arm, the pull."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from siting.kernels.swing import cos_sin, guy_extremes, guy_length, guy_travel, least_arm, least_winch_arm, winch_arm
from siting.records.mast import Anchor, Mast
from siting.records.plan import Lift, SideGuy
from siting.units import GRAVITY_M_S2

# The winch line's arm is judged from the rest line to here; beyond it the weight is nearly over the hinge.
ARM_JUDGED_TO_DEG = 80.0
ARM_END = (math.cos(math.radians(ARM_JUDGED_TO_DEG)), math.sin(math.radians(ARM_JUDGED_TO_DEG)))
TABLE_STEP_DEG = 5.0


@dataclass(frozen=True, slots=True)
class SideGuyTravel:
    """One guy to a side anchor over K azimuths: its travel (m), and what its extremes follow from."""

    anchor: str
    attach_m: float
    travel_m: np.ndarray  # largest minus smallest length over the lift
    place: tuple[np.ndarray, ...]  # of the anchor, seen from the hinge
    rest_slope: np.ndarray

    def extremes(self, k: int) -> tuple[float, float, float, float]:
        """Smallest length (m), its angle (rad), largest length (m), its angle (rad) on one azimuth."""
        place, rest = tuple(v[k : k + 1] for v in self.place), np.arctan(self.rest_slope[k : k + 1])
        return tuple(float(v[0]) for v in guy_extremes(self.attach_m, place, rest))


def seen_from_hinge(anchor: Anchor, height_m: np.ndarray, hinge_m: float) -> tuple[np.ndarray, ...]:
    """An anchor in the lift's frame: (x along the laydown, y to its right, z above the hinge), metres."""
    bearing = math.radians(anchor.bearing_deg)
    # An anchor exactly on the hinge axis must have x = 0, not the rounding of a cosine.
    x = 0.0 if anchor.bearing_deg in (90.0, 270.0) else anchor.radius_m * math.cos(bearing)
    y = 0.0 if anchor.bearing_deg in (0.0, 180.0) else anchor.radius_m * math.sin(bearing)
    return np.full(np.shape(height_m), x), np.full(np.shape(height_m), y), height_m - hinge_m


def side_guy_travels(
    mast: Mast, anchor_heights_m: np.ndarray, hinge_m: float, rest_slope: np.ndarray
) -> tuple[SideGuyTravel, ...]:
    """Every guy to a side anchor, over all azimuths at once.

    Args:
        anchor_heights_m: (K, A) in the order of the mast's anchors; hinge_m: height of the hinge above datum.
        rest_slope: (K,) of the rest line, rise per metre.
    """
    rest = cos_sin(rest_slope)
    column = {a.id: i for i, a in enumerate(mast.anchors)}
    sides = {a.id: a for a in mast.side_anchors}
    travels = []
    for level in mast.guys:
        for anchor in level.anchors:
            if anchor in sides:
                place = seen_from_hinge(sides[anchor], anchor_heights_m[:, column[anchor]], hinge_m)
                travels.append(SideGuyTravel(anchor, level.attach_m, guy_travel(level.attach_m, place, rest), place, rest_slope))
    return tuple(travels)


def least_arms_m(mast: Mast, anchor_heights_m: np.ndarray, hinge_m: float, rest_slope: np.ndarray) -> np.ndarray | None:
    """Smallest winch arm (metres) between rest and 80 degrees over K azimuths; None without a winch."""
    winch = mast.winch
    if winch is None:
        return None
    return least_arm(mast.gin_pole_length_m, _winch_place(mast, anchor_heights_m, hinge_m), cos_sin(rest_slope), ARM_END)


def least_arm_angle_rad(mast: Mast, anchor_heights_m: np.ndarray, hinge_m: float, rest_slope: np.ndarray) -> np.ndarray:
    """The angle of the mast at which the winch arm is smallest, over K azimuths."""
    place = _winch_place(mast, anchor_heights_m, hinge_m)
    return least_winch_arm(mast.gin_pole_length_m, place, np.arctan(rest_slope), math.radians(ARM_JUDGED_TO_DEG))[1]


def _winch_place(mast: Mast, anchor_heights_m: np.ndarray, hinge_m: float) -> tuple[np.ndarray, ...]:
    """The winch anchor in the lift's frame over K azimuths, metres."""
    return seen_from_hinge(mast.winch, anchor_heights_m[:, mast.anchors.index(mast.winch)], hinge_m)


def largest_pulls_kn(
    mast: Mast, anchor_heights_m: np.ndarray, hinge_m: float, rest_rad: np.ndarray
) -> np.ndarray | None:
    """Largest winch pull (kN, mast alone) from rest to 80 degrees over K azimuths; NaN where the line cannot lift.

    Taken at the rest line and then in 61 even steps: the pull falls smoothly from near the rest line on.
    """
    winch = mast.winch
    if winch is None:
        return None
    place = _winch_place(mast, anchor_heights_m, hinge_m)
    end = math.radians(ARM_JUDGED_TO_DEG)
    t = rest_rad[:, None] + (end - rest_rad[:, None]) * np.linspace(0.0, 1.0, 62)
    arm_m = winch_arm(mast.gin_pole_length_m, tuple(p[:, None] for p in place), t)
    moment_knm = _weight_kn(mast) * (mast.height_m / 2.0) * np.cos(t)
    pulls = np.where(arm_m > 0, moment_knm / np.where(arm_m > 0, arm_m, 1.0), np.nan)
    return pulls.max(axis=1)


def lift_angles_deg(rest_deg: float) -> tuple[float, ...]:
    """Mast angles of the lift table: the rest line, then every whole step to 90 degrees."""
    first = math.floor(rest_deg / TABLE_STEP_DEG) + 1
    steps = [i * TABLE_STEP_DEG for i in range(first, int(90.0 / TABLE_STEP_DEG) + 1)]
    return (rest_deg, *(s for s in steps if s > rest_deg + 1e-6))


def lift_table(mast: Mast, anchor_heights_m: dict[str, float], hinge_m: float, rest_rad: float) -> Lift:
    """The lift on one azimuth, angle by angle.

    Source: CONTRACT, geometry: pull = weight moment / lever arm, mast alone, mass x H at H/2.
    """
    angles_deg = lift_angles_deg(math.degrees(rest_rad))
    t = np.radians(angles_deg)
    t[0] = rest_rad
    row = np.array([[anchor_heights_m[a.id] for a in mast.anchors]])
    rest_slope = np.array([math.tan(rest_rad)])
    travels = side_guy_travels(mast, row, hinge_m, rest_slope)
    sides = {a.id: a for a in mast.side_anchors}
    guys = []
    for travel in travels:
        place = seen_from_hinge(sides[travel.anchor], np.array(anchor_heights_m[travel.anchor]), hinge_m)
        shortest_m, shortest_rad, longest_m, longest_rad = travel.extremes(0)
        guys.append(
            SideGuy(
                anchor=travel.anchor,
                attach_m=travel.attach_m,
                length_m=tuple(float(v) for v in guy_length(travel.attach_m, place, t)),
                travel_m=float(travel.travel_m[0]),
                shortest_m=shortest_m,
                shortest_at_deg=math.degrees(shortest_rad),
                longest_m=longest_m,
                longest_at_deg=math.degrees(longest_rad),
            )
        )
    arms: tuple[float | None, ...] = (None,) * len(t)
    pulls: tuple[float | None, ...] = (None,) * len(t)
    least_ratio = least_at = None
    least = least_arms_m(mast, row, hinge_m, rest_slope)
    if least is not None:
        winch = mast.winch
        place = seen_from_hinge(winch, np.array(anchor_heights_m[winch.id]), hinge_m)
        arm_m = winch_arm(mast.gin_pole_length_m, place, t)
        arms = tuple(float(v) for v in arm_m)
        pulls = tuple(_pull_kn(mast, angle, arm) for angle, arm in zip(angles_deg, arms, strict=True))
        least_ratio = float(least[0]) / mast.gin_pole_length_m
        least_at = math.degrees(float(least_arm_angle_rad(mast, row, hinge_m, rest_slope)[0]))
    return Lift(angles_deg, tuple(guys), pulls, arms, least_ratio, least_at)


def _pull_kn(mast: Mast, angle_deg: float, arm_m: float) -> float | None:
    """Winch line pull for the mast alone, kN; None where the line cannot lift."""
    if arm_m <= 0:
        return None
    cosine = 0.0 if angle_deg == 90.0 else math.cos(math.radians(angle_deg))
    return _weight_kn(mast) * (mast.height_m / 2.0) * cosine / arm_m


def _weight_kn(mast: Mast) -> float:
    """Weight of the mast alone, kN."""
    return mast.mass_kg_per_m * mast.height_m * GRAVITY_M_S2 / 1000.0
