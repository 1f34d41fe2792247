"""What the checks of the lift need of a mast and its limits, as plain numbers for the kernels."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from siting.errors import OutOfMethod
from siting.kernels.drum import wraps_in_layer
from siting.kernels.moments import balance_angle
from siting.lift.forces import ARM_LEAST_RATIO
from siting.lift.geometry import TABLE_STEP_DEG, seen_from_hinge
from siting.lift.gin_poles import pole_stages
from siting.lift.line_clearance import END_LEFT_OUT_M, OFF_LINE_MAX_DEG, PROFILE_STEP_M
from siting.lift.loads import GUY_SHARE_RATIO, Turning, bare, mast_turning, weight_kn
from siting.lift.strands import find_strands
from siting.records.mast import TEMPORARY, Mast
from siting.records.rigging import WinchGear
from siting.records.site import Limits
from siting.screening.lift_beam import BeamRules, beam_rules_of

STEPS = int(90.0 / TABLE_STEP_DEG)  # of the table of angles between level and plumb
NO_STAGES = np.zeros((0, 8))


class LiftRules(NamedTuple):
    """Weights (kN), lengths (m) and limits of the lift. `is_known`: whether its forces are worked out at all.

    A check that the plan leaves unchecked is never failed: `winch_most_kn`, `moment_most_knm` are infinite without a limit.
    """

    is_known: bool
    pole: float
    pole_weight: float
    arm_least: float  # m: a shorter one is none
    winch: int  # number of its anchor
    winch_x: float  # seen from the hinge
    winch_y: float
    friction: float  # of the line's force, beside it
    weight: float  # of mast and loads, without guys
    moment: float  # the same times its distance from the hinge, kNm
    bare_over_deg: float  # angle at which the weight of the bare mast stands over the hinge
    stages: np.ndarray  # (P, 7) gin poles that raise the next: weight, moment, pole, its weight, lift line: place, force level, angle over
    stage_count: int
    guys: np.ndarray  # (G, 4) attachment, radius of its anchor, kN per metre, number of its anchor
    guy_count: int
    backs: np.ndarray  # (B, 4) the highest back guys: attachment, x and y of the anchor, its number
    back_count: int
    cosines: np.ndarray  # of the table's angles from -90 to 90 degrees
    sines: np.ndarray
    winch_most_kn: float  # on the first layer
    drum_m: float  # bare drum's diameter, 0 where the limit is the same on every layer
    drum_line_m: float
    drum_wraps: float  # in a layer
    drum_wound_m: float
    ground_s_m: np.ndarray  # (n,) radii towards the winch at which the ground is asked for: whole steps, then the winch's own
    ground_step_m: float
    is_ground_judged: bool
    pole_clear_least_m: float
    line_clear_least_m: float
    radius_m: float  # of the winch
    end_left_out_m: float
    beam: BeamRules


def lift_rules_of(mast: Mast, limits: Limits) -> LiftRules:
    """The rules of a mast; not known without a winch, or where the plan works out no forces of its lift.

    Raises:
        InputError: a strand that no table has.
    """
    try:
        known = _known(mast, limits) if mast.winch else None
    except OutOfMethod:
        known = None
    return known or _unknown(mast)


def _known(mast: Mast, limits: Limits) -> LiftRules:
    """The rules of a mast that has a winch."""
    rigging, gear, winch = mast.rigging, mast.rigging.winch, mast.winch
    turning = mast_turning(mast, rigging)
    x, y, _ = (float(v) for v in seen_from_hinge(winch, np.zeros(()), 0.0))
    radius_m = math.hypot(x, y)
    steps = np.arange(-STEPS, STEPS + 1) * TABLE_STEP_DEG
    stages, guys, backs = _stages(mast), _guys(mast), _backs(mast)
    level_m = np.unique(guys[:, 0])
    hung_kn = np.array([float(np.sum((np.hypot(g[:, 0], g[:, 1]) * g[:, 2])[g[:, 0] == a])) for a in level_m for g in (guys,)])
    off_deg = abs(math.degrees(math.atan2(y, -x)))
    s_m = np.union1d(np.arange(0.0, radius_m, PROFILE_STEP_M), [winch.radius_m])
    return LiftRules(
        is_known=True,
        pole=turning.pole_m,
        pole_weight=turning.pole_kn,
        arm_least=ARM_LEAST_RATIO * turning.pole_m,
        winch=mast.anchors.index(winch),
        winch_x=x,
        winch_y=y,
        friction=rigging.friction_ratio or 0.0,
        weight=float(turning.weight_kn.sum()),
        moment=float(np.sum(turning.weight_kn * turning.at_m)),
        bare_over_deg=_over_deg(bare(turning)),
        stages=stages,
        stage_count=stages.shape[0],
        guys=guys,
        guy_count=guys.shape[0],
        backs=backs,
        back_count=backs.shape[0],
        cosines=np.cos(np.radians(steps)),
        sines=np.sin(np.radians(steps)),
        **_drum(gear),
        ground_s_m=s_m,
        ground_step_m=PROFILE_STEP_M,
        is_ground_judged=off_deg <= OFF_LINE_MAX_DEG and radius_m > END_LEFT_OUT_M and turning.pole_m < radius_m,
        pole_clear_least_m=limits.pole_clear_min_m.value,
        line_clear_least_m=limits.line_clear_min_m.value,
        radius_m=radius_m,
        end_left_out_m=END_LEFT_OUT_M,
        beam=beam_rules_of(rigging, turning, level_m, hung_kn, backs[:, 0]),
    )


def _unknown(mast: Mast) -> LiftRules:
    """The rules of a lift whose forces are not known: nothing is asked for, nothing fails."""
    nothing, none = np.zeros((0, 4)), np.zeros(0)
    empty = Turning(np.zeros(1), np.ones(1), np.zeros(1), none, none, 1.0, 0.0)
    return LiftRules(
        False, 1.0, 0.0, 0.0, 0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, NO_STAGES, 0, nothing, 0, nothing, 0, none, none, math.inf, 0.0, 0.0, 1.0, 0.0,
        none, PROFILE_STEP_M, False, 0.0, 0.0, 0.0, 0.0, beam_rules_of(mast.rigging.__class__(), empty, none, none, none),
    )  # fmt: skip


def _over_deg(turning: Turning) -> float:
    """Mast angle at which the weight stands over the hinge, degrees."""
    return math.degrees(balance_angle(turning.at_m, turning.weight_kn, turning.pole_centre_m, turning.pole_kn))


def _stages(mast: Mast) -> np.ndarray:
    """(P, 7): the gin poles that raise the next one; none where the plan has no tables of them."""
    try:
        made = pole_stages(mast, mast.rigging, np.array([-1.0, 0.0, 0.0]), 0.0)
    except OutOfMethod:
        return NO_STAGES[:, :7]
    rows = [
        (
            stage.turning.whole_kn, stage.turning.whole_kn * stage.turning.centre_m, stage.turning.pole_m, stage.turning.pole_kn,
            stage.turning.attach_m[0], float(stage.turning.level_lines_kn[0]), _over_deg(stage.turning),
        )
        for stage in made
    ]  # fmt: skip
    return np.array(rows, dtype=float).reshape(-1, 7)


def _guys(mast: Mast) -> np.ndarray:
    """(G, 4): the guys that hang on the mast; one without a known strand weighs nothing (lift.loads.hanging_guys)."""
    number, radius = {a.id: i for i, a in enumerate(mast.anchors)}, {a.id: a.radius_m for a in mast.anchors}
    strands = find_strands(((g.strand, g.diameter_mm) for g in mast.guys), mast.shown)
    rows = [
        (level.attach_m, radius[anchor], GUY_SHARE_RATIO * float(weight_kn(strand.mass_kg_per_m)), number[anchor])
        for level, strand in zip(mast.guys, strands, strict=True)
        if strand is not None
        for anchor in level.anchors
    ]
    return np.array(rows, dtype=float).reshape(-1, 4)


def _backs(mast: Mast) -> np.ndarray:
    """(B, 4): the highest back guys (lift.stage.lines_of)."""
    backs = {a.id: (i, a) for i, a in enumerate(mast.anchors) if a.use == TEMPORARY and not a.is_side}
    held = [(level.attach_m, anchor) for level in mast.guys for anchor in level.anchors if anchor in backs]
    highest = max((attach_m for attach_m, _ in held), default=0.0)
    rows = []
    for attach_m, name in held:
        if attach_m == highest:
            index, anchor = backs[name]
            x, y, _ = seen_from_hinge(anchor, np.zeros(()), 0.0)
            rows.append((attach_m, float(x), float(y), index))
    return np.array(rows, dtype=float).reshape(-1, 4)


def _drum(gear: WinchGear) -> dict[str, float]:
    """The winch's limit and its drum (lift.winch_line).

    Raises:
        OutOfMethod: the line does not fit on the drum.
    """
    limit = math.inf if gear.limit_kn is None else gear.limit_kn
    if gear.drum_diameter_mm is None or gear.drum_width_m is None or gear.line_diameter_mm is None:
        return {"winch_most_kn": limit, "drum_m": 0.0, "drum_line_m": 0.0, "drum_wraps": 1.0, "drum_wound_m": 0.0}
    wraps = wraps_in_layer(gear.drum_width_m, gear.line_diameter_mm / 1000.0)
    if wraps < 1:
        raise OutOfMethod.of("statics_range", "mast file, [winch]", "the line does not fit on the drum", "check line and drum")
    return {
        "winch_most_kn": limit, "drum_m": gear.drum_diameter_mm / 1000.0, "drum_line_m": gear.line_diameter_mm / 1000.0,
        "drum_wraps": float(wraps), "drum_wound_m": gear.wound_m,
    }  # fmt: skip
