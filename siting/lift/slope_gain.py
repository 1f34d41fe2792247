"""What laying the mast uphill saves: the same mast and winch on even ground, uphill, level and downhill."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from siting.figures import shown
from siting.lift.forces import Lines
from siting.lift.geometry import ARM_JUDGED_TO_DEG, lift_angles_deg
from siting.lift.loads import Turning
from siting.lift.stage import Stage, known, largest_pull, lines_of, pulls_at
from siting.lift.winch_line import arm_fails_deg
from siting.records.mast import Mast
from siting.records.statics import SlopeCase, SlopeGain


def even_ground(mast: Mast, slope_percent: float) -> tuple[Lines, float]:
    """The lines' places (m) and the rest line's angle (radians) on an even slope that rises along the laydown.

    The hinge stands at its height above the ground at the base, so the rest line from it to the ground under the head
    is a little less steep than the ground.

    Raises:
        OutOfMethod: the mast has no winch anchor.
    """
    rise = slope_percent / 100.0
    heights = {a.id: rise * a.radius_m * math.cos(math.radians(a.bearing_deg)) for a in mast.anchors}
    rest_rad = math.atan(rise - mast.hinge_height_m / mast.height_m)
    return lines_of(mast, heights, mast.hinge_height_m), rest_rad


def slope_gain(mast: Mast, turning: Turning, slope_percent: float, friction_ratio: float) -> SlopeGain:
    """Pull over the angle (kN) uphill, level and downhill on the site's own slope, percent.

    Raises:
        OutOfMethod: the mast has no winch anchor.
    """
    slope = abs(slope_percent)
    cases = tuple(
        _case(mast, turning, laid, percent, friction_ratio)
        for laid, percent in (("uphill", slope), ("level", 0.0), ("downhill", -slope))
    )
    start = _saved_percent(cases[0].start_pull_kn, cases[2].start_pull_kn)
    largest = _saved_percent(cases[0].largest_pull_kn, cases[2].largest_pull_kn)
    return SlopeGain(cases, start, largest, _words(cases, slope, largest))


def _case(mast: Mast, turning: Turning, laid: str, slope_percent: float, friction_ratio: float) -> SlopeCase:
    """One laydown on even ground."""
    lines, rest_rad = even_ground(mast, slope_percent)
    angles = lift_angles_deg(math.degrees(rest_rad))
    stage = Stage("mast", "", turning, replace(lines, back=()), angles)
    pulls = known(pulls_at(stage, angles, friction_ratio))
    return SlopeCase(
        laid=laid,
        slope_percent=slope_percent,
        rest_deg=angles[0],
        angles_deg=angles,
        winch_pull_kn=pulls,
        start_pull_kn=pulls[0],
        largest_pull_kn=largest_pull(stage, friction_ratio)[0],
        fails_at_deg=arm_fails_deg(np.asarray(lines.winch), angles[0]),
    )


def _saved_percent(uphill_kn: float | None, downhill_kn: float | None) -> float | None:
    """How much less the uphill pull is, percent of the downhill one."""
    if uphill_kn is None or not downhill_kn:
        return None
    return 100.0 * (1.0 - uphill_kn / downhill_kn)


def _words(cases: tuple[SlopeCase, ...], slope: float, saved: float | None) -> str:
    """The gain in plain words."""
    if slope == 0.0:
        return "the ground is level along the laydown: the three cases are one"
    told = []
    for case in cases:
        pull = f"{shown(case.start_pull_kn, 'force')} at the start" if case.start_pull_kn is not None else "no lift at the start"
        if case.largest_pull_kn is not None:
            pull += f", {shown(case.largest_pull_kn, 'force')} at most up to {ARM_JUDGED_TO_DEG:.0f}°"
        if case.fails_at_deg is not None:
            pull += f", the line fails at {case.fails_at_deg:.1f}°"
        told.append(f"{case.laid} {pull}")
    gain = "" if saved is None else f"; the largest pull is {saved:.0f} % less uphill than downhill"
    return f"on even ground of {slope:.1f} %: {'; '.join(told)}{gain}"
