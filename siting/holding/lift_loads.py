"""The pull at the anchors of the lift and on the base: side and back guys, the winch, the hinge."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np

from siting.figures import shown
from siting.holding.pulls import Grounds, GuyAtAnchor, LiftPulls, pull_kn
from siting.records.holding import LIFT, GuyLoad
from siting.records.mast import TEMPORARY, WINCH, Anchor, Mast
from siting.records.statics import Statics

_ANGLES = 91  # of the lift, for the steepest pull
# The smallest factor of safety of any kind of anchor (holding/screw.py): what is held with it holds a jammed winch.
JAM_FACTOR = 2.0


def lift_pulls(statics: Statics, mast: Mast) -> LiftPulls:
    """The largest pull of winch, back guys and side guys over the lift, kN, as its forces stand in the plan."""
    last = statics.stages[-1]
    top_m = max((lv.attach_m for lv in mast.guys if lv.use == TEMPORARY), default=None)
    backs = {a.id for a in mast.anchors if a.use == TEMPORARY and not a.is_side}
    held = {a for lv in mast.guys if lv.attach_m == top_m and lv.use == TEMPORARY for a in lv.anchors} & backs
    back_kn = _largest(last.back_guy_kn)
    return LiftPulls(
        winch_kn=_largest(v for stage in statics.stages for v in stage.winch_pull_kn),
        back_kn={name: back_kn for name in held} if back_kn else {},
        side_kn={guy.anchor: guy.largest_kn for guy in statics.side_wind.guys},
        rest_deg=last.angles_deg[0],
        takeover_deg=last.takeover_deg,
    )


def base_loads(statics: Statics) -> tuple[float | None, float | None]:
    """Largest level force of hinge on base and largest upward pull on the base over all stages, kN.

    The upward pull is 0 where the base is only pressed; None where no angle of the lift has forces.
    """
    pushes = [
        math.hypot(along, side)
        for stage in statics.stages
        for along, side in zip(stage.hinge_along_kn, stage.hinge_side_kn, strict=True)
        if along is not None and side is not None
    ]
    upright = [v for stage in statics.stages for v in (*stage.hinge_vertical_kn, *stage.foot_vertical_kn) if v is not None]
    return (max(pushes) if pushes else None), (max(0.0, -min(upright)) if upright else None)


def steepest_deg(mast: Mast, anchor: Anchor, drop_m: float, attach_m: float, lift: LiftPulls) -> float:
    """Steepest angle of a lift's line at its anchor above the horizontal, degrees, straight, while it holds.

    A side guy holds from the rest line to plumb, a back guy from the take-over; the winch line runs to the gin pole's tip.

    Args:
        drop_m: hinge above the ground at the anchor; attach_m: above the hinge, along the mast (winch: length of the gin pole).
    """
    across, rise = _reach(mast, anchor, drop_m, attach_m, lift)
    return math.degrees(float(np.arctan2(rise, np.hypot(across[:, 0], across[:, 1])).max()))


def swing_deg(mast: Mast, anchor: Anchor, drop_m: float, attach_m: float, lift: LiftPulls) -> float:
    """How far a lift's line swings in plan about its anchor while it holds, degrees."""
    across, _ = _reach(mast, anchor, drop_m, attach_m, lift)
    bearing = np.unwrap(np.arctan2(across[:, 1], across[:, 0]))
    return math.degrees(float(bearing.max() - bearing.min()))


def _reach(mast: Mast, anchor: Anchor, drop_m: float, attach_m: float, lift: LiftPulls) -> tuple[np.ndarray, np.ndarray]:
    """Anchor to the line's upper end over the lift: level (n, 2) along the laydown and right, and rise (n,), metres."""
    from_deg = lift.rest_deg
    if anchor.use != WINCH and not anchor.is_side:
        from_deg = 90.0 if lift.takeover_deg is None else lift.takeover_deg
    angle = np.radians(np.linspace(min(from_deg, 90.0), 90.0, _ANGLES))
    along, up = attach_m * np.cos(angle), attach_m * np.sin(angle)
    if anchor.use == WINCH:  # the gin pole stands square to the mast, on the winch's side
        along, up = -attach_m * np.sin(angle), attach_m * np.cos(angle)
    bearing = math.radians(anchor.bearing_deg)
    across = np.stack(
        [along - anchor.radius_m * math.cos(bearing), np.full_like(along, -anchor.radius_m * math.sin(bearing))], -1
    )
    return across, up + drop_m


def winch_grounds(mast: Mast, lift: LiftPulls) -> tuple[float, Grounds] | None:
    """Pull on the winch's anchor, kN, and what it rests on; None where nothing is known of it."""
    limit_kn = mast.rigging.winch.limit_kn
    if lift.winch_kn:
        return _known_pull(lift.winch_kn, limit_kn, friction=bool(mast.rigging.friction_ratio))
    if limit_kn:
        text = f"The winch can pull {shown(limit_kn, 'force')} on its first layer; the lift's own pull is not known."
        return limit_kn, Grounds(LIFT, text, "mast file, [winch] limit_kn")
    if lift.winch_line_breaking_kn is None:
        return None
    text = "Neither the lift's pull nor the winch's limit is known: the breaking strength of the winch line."
    return lift.winch_line_breaking_kn, Grounds(LIFT, text, "winch line")


def _known_pull(pull_kn_: float, limit_kn: float | None, *, friction: bool) -> tuple[float, Grounds]:
    """The lift's pull, or the part of the winch's limit that a jammed line asks for, whichever is larger; kN."""
    how = "with friction" if friction else "without friction (the mast file has no friction_ratio)"
    text = f"Largest pull of the winch over the whole lift, {how}: {shown(pull_kn_, 'force')}; jerks are not in it."
    if limit_kn and pull_kn_ > limit_kn:
        return pull_kn_, Grounds(LIFT, f"{text} It is more than the winch's limit of {shown(limit_kn, 'force')}.", "the lift's forces")
    jammed_kn = limit_kn / JAM_FACTOR if limit_kn else 0.0
    if limit_kn:
        text += (
            f" On a jammed line the winch pulls up to its limit, {shown(limit_kn, 'force')}: taken as at least {shown(jammed_kn, 'force')}, "
            f"so that a hold with a factor of {JAM_FACTOR:g} or more does not give way to it."
        )
    return max(pull_kn_, jammed_kn), Grounds(LIFT, text, "the lift's forces; a jammed line: common practice, no source")


def temporary_grounds(
    anchor: Anchor, guys: tuple[GuyAtAnchor, ...], angles_deg: tuple[float, ...], lift: LiftPulls
) -> tuple[tuple[GuyLoad, ...], Grounds] | None:
    """Guys of a temporary anchor as the lift pulls them, kN, and what that rests on; None where the lift's pull is not known.

    Args:
        angles_deg: steepest angle of each guy at the anchor.
    """
    found = (lift.side_kn if anchor.is_side else lift.back_kn).get(anchor.id)
    if not found or not guys:
        return None
    top = max(range(len(guys)), key=lambda i: guys[i].attach_m)
    hauled = (GuyLoad(guys[top].attach_m, found, angles_deg[top]),)
    as_set = tuple(GuyLoad(g.attach_m, g.set_kn, angle) for g, angle in zip(guys, angles_deg, strict=True))
    what = "in the side wind that was given" if anchor.is_side else "once the weight has passed over the hinge"
    text = f"Highest guy alone {what}: {shown(found, 'force')}, at the steepest angle at which it holds."
    breaking = shown(guys[top].breaking_kn, "force")
    left_out = (
        f" Not in it: jerks, and a guy that is not let out in time, which can pull up to its breaking strength, {breaking}."
    )
    if pull_kn(as_set) > found:
        text += f" The guys at their set tensions pull more, {shown(pull_kn(as_set), 'force')}: that is taken."
        return as_set, Grounds(LIFT, text + left_out, "set tensions of the cut list")
    return hauled, Grounds(LIFT, text + left_out, "the lift's forces")


def _largest(values: Iterable[float | None]) -> float | None:
    """The largest of the values that are known; None where none is."""
    return max((v for v in values if v is not None), default=None)
