"""Gin pole and winch line over the ground on the winch's side, at each angle of the lift."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from siting.errors import OutOfMethod
from siting.figures import shown
from siting.kernels.moments import pole_direction
from siting.records.statics import LineClearance

# The line runs down to the ground at its anchor by design: so much of it before the anchor is not judged.
END_LEFT_OUT_M = 5.0
# The pole stands on the hinge: so much of it is always as low as that.
FOOT_LEFT_OUT_M = 1.0
# The pole swings in the lift plane, the profile runs towards the winch: farther apart than this and it is other ground.
OFF_LINE_MAX_DEG = 5.0
TOUCH_M = 1e-9
PROFILE_STEP_M = 1.0  # of the ground towards the winch


@dataclass(frozen=True, slots=True)
class WinchGround:
    """Ground from the base towards the winch: (n,) radii from 0 rising, and heights above datum, metres."""

    s_m: np.ndarray
    ground_m: np.ndarray


def ground_above_hinge(ground: WinchGround, hinge_m: float, s_m: np.ndarray) -> np.ndarray:
    """Height of the ground above the hinge at radii, metres; NaN beyond the profile."""
    heights = np.interp(s_m, ground.s_m, ground.ground_m, left=np.nan, right=np.nan)
    return heights - hinge_m


def least_clearance(
    start: tuple[float, float], end: tuple[float, float], ground: WinchGround, hinge_m: float
) -> tuple[float, float]:
    """Least height (metres, negative below the ground) of a straight piece over the ground, and its radius (metres).

    Exact for ground that is straight between its samples: the least lies at a sample or at an end.

    Args:
        start, end: (radius, height above the hinge), metres.
    """
    low, high = sorted((start[0], end[0]))
    inside = ground.s_m[(ground.s_m > low) & (ground.s_m < high)]
    s = np.concatenate([inside, [start[0], end[0]]])
    run = end[0] - start[0]
    share = (s[:-2] - start[0]) / run if abs(run) > 0.0 else np.zeros(0)
    z = np.concatenate([start[1] + share * (end[1] - start[1]), [start[1], end[1]]])
    gap = z - ground_above_hinge(ground, hinge_m, s)
    index = int(gap.argmin())
    return float(gap[index]), float(s[index])


def line_clearance(
    pole_m: float, winch: np.ndarray, angles_deg: tuple[float, ...], ground: WinchGround, hinge_m: float
) -> LineClearance:
    """Least height of gin pole and winch line over the ground at each angle, metres.

    Args:
        winch: (3,) anchor seen from the hinge.
    Raises:
        OutOfMethod: the winch stands beside the lift plane or within the gin pole's length, the gin pole leans over the
            laydown, or the profile ends before the winch.
    """
    radius_m = math.hypot(winch[0], winch[1])
    _require_profile(winch, radius_m, angles_deg, ground)
    if pole_m >= radius_m:
        raise OutOfMethod.of(
            "statics_range", "gin_pole_length_m", f"is {pole_m:g} m, and the winch stands {radius_m:.1f} m from the hinge: the pole's "
            "tip would swing past it", "correct the pole's length or stand the winch farther out",
        )  # fmt: skip
    poles, lines = [], []
    for angle in angles_deg:
        tip = pole_m * pole_direction(math.radians(angle))
        # The tip of a mast that lies downhill stands a little over the laydown's side: no ground is known there.
        tip_s = max(-float(tip[0]), 0.0)
        foot = min(FOOT_LEFT_OUT_M / pole_m, 1.0)
        poles.append(least_clearance((foot * tip_s, foot * float(tip[2])), (tip_s, float(tip[2])), ground, hinge_m))
        share = max((radius_m - END_LEFT_OUT_M - tip_s) / (radius_m - tip_s), 0.0)
        end = (tip_s + share * (radius_m - tip_s), float(tip[2]) + share * (float(winch[2]) - float(tip[2])))
        lines.append(least_clearance((tip_s, float(tip[2])), end, ground, hinge_m))
    return LineClearance(
        angles_deg=angles_deg,
        pole_clear_m=tuple(gap for gap, _ in poles),
        pole_at_m=tuple(at for _, at in poles),
        line_clear_m=tuple(gap for gap, _ in lines),
        line_at_m=tuple(at for _, at in lines),
        s_m=tuple(ground.s_m.tolist()),
        ground_m=tuple((ground.ground_m - hinge_m).tolist()),
        end_left_out_m=END_LEFT_OUT_M,
        text="; ".join(
            [
                _words("gin pole", "digs into the ground", angles_deg, poles),
                _words("winch line", "bears on the ground: its pull turns other than worked out", angles_deg, lines),
            ]
        ),
    )


def _require_profile(winch: np.ndarray, radius_m: float, angles_deg: tuple[float, ...], ground: WinchGround) -> None:
    """Refuses ground that is not under the gin pole and the line."""
    off_deg = abs(math.degrees(math.atan2(winch[1], -winch[0])))
    if off_deg > OFF_LINE_MAX_DEG:
        raise OutOfMethod.of(
            "statics_range", "winch anchor", f"stands {off_deg:.1f}° beside the lift plane: the gin pole swings over other ground",
            f"give it a bearing within {OFF_LINE_MAX_DEG:g}° of 180",
        )  # fmt: skip
    if radius_m <= END_LEFT_OUT_M:
        raise OutOfMethod.of(
            "statics_range", "winch anchor", f"stands {radius_m:.1f} m from the base: the whole line runs down to it",
            "stand it farther out",
        )  # fmt: skip
    if ground.s_m[0] > 0.0 or ground.s_m[-1] < radius_m - 1e-6 or not np.isfinite(ground.ground_m).all():
        raise OutOfMethod.of(
            "statics_range", "ground towards the winch", f"is not known from the base to the winch at {radius_m:.1f} m",
            "give a DEM that covers the layout",
        )  # fmt: skip
    if angles_deg[0] < -45.0:
        raise OutOfMethod.of("statics_range", "rest line", f"lies at {angles_deg[0]:.1f}°", "lay the mast along gentler ground")


def _words(what: str, touches: str, angles_deg: tuple[float, ...], found: list[tuple[float, float]]) -> str:
    """What touches the ground and when, in plain words."""
    under = [(angle, gap, at) for angle, (gap, at) in zip(angles_deg, found, strict=True) if gap < -TOUCH_M]
    if under:
        angle, gap, at = min(under, key=lambda item: item[1])
        return (
            f"the {what} {touches}: in the table from {under[0][0]:.1f}° on, worst at {angle:.1f}°, {shown(-gap, 'length')} "
            f"too low at {shown(at, 'length')} from the base"
        )
    gap, angle, at = min((gap, angle, at) for angle, (gap, at) in zip(angles_deg, found, strict=True))
    return f"the {what} clears the ground by {shown(gap, 'length')} or more (least at {angle:.1f}°, {shown(at, 'length')} from the base)"
