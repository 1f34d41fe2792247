"""The forces of the whole lift: loads, gin poles, the mast's own stage, winch line, ground, slope, bending, wind."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from siting.errors import OutOfMethod
from siting.lift.bending import mast_bending
from siting.lift.forces import Lines
from siting.lift.geometry import lift_angles_deg
from siting.lift.gin_poles import first_pole, pole_stages
from siting.lift.line_clearance import WinchGround, ground_above_hinge, line_clearance
from siting.lift.loads import Turning, bare, hanging_guys, lift_loads, mast_turning
from siting.lift.side_wind import side_places, side_wind
from siting.lift.slope_gain import slope_gain
from siting.lift.stage import Stage, lift_stage, lines_of
from siting.lift.winch_line import line_table
from siting.records.mast import Mast
from siting.records.plan import GuyChord
from siting.records.rigging import Rigging
from siting.records.statics import HandLift, LineClearance, MastBending, Statics


@dataclass(frozen=True, slots=True)
class StaticsCase:
    """What the forces of a lift stand on."""

    mast: Mast
    rigging: Rigging
    anchor_heights_m: dict[str, float]  # ground at each anchor above datum
    hinge_m: float  # above datum
    rest_rad: float
    slope_percent: float  # of the ground along the laydown, for the comparison
    arm_min_ratio: float  # the limit of the check `winch_arm`
    guys: tuple[GuyChord, ...] = ()
    strand_kg_per_m: tuple[float | None, ...] = ()  # of each guy, in their order; None where not known
    winch_ground: WinchGround | None = None
    wind_m_s: float | None = None  # the user's, no default


def lift_statics(case: StaticsCase) -> Statics:
    """The forces of a lift, kN, kNm, metres; what the method cannot give is null, and a remark says why.

    Raises:
        OutOfMethod: the mast has no winch anchor, a load stands beyond it, its section masses do not fit, or its
            weight is over the hinge before the lift.
    """
    mast, rigging = case.mast, case.rigging
    lines = lines_of(mast, case.anchor_heights_m, case.hinge_m)
    hung, without = hanging_guys(case.guys, case.strand_kg_per_m)
    turning = mast_turning(mast, rigging, hung)
    friction = rigging.friction_ratio or 0.0
    angles = lift_angles_deg(math.degrees(case.rest_rad))
    main = lift_stage(Stage("mast", "mast's gin pole", turning, lines, angles, bare(turning)), friction)
    ground = case.winch_ground
    remarks: list[str] = []
    pole_tables = _or_say(lambda: _poles(case, lines, friction), "gin poles", remarks)
    first, stages = pole_tables if pole_tables is not None else (None, ())
    return Statics(
        loads=lift_loads(mast, rigging, hung, without),
        friction_ratio=friction,
        first_pole=first,
        stages=(*stages, main),
        winch_line=line_table(
            mast.gin_pole_length_m, lines.winch, angles, case.arm_min_ratio, main.winch_pull_kn, rigging.winch, _heights(case)
        ),
        clearance=_clearance(case, lines, angles, ground, remarks),
        gain=slope_gain(mast, turning, case.slope_percent, friction),
        bending=_bending(rigging, turning, lines, angles, remarks),
        side_wind=side_wind(mast, rigging, case.wind_m_s, side_places(mast, case.anchor_heights_m, case.hinge_m), angles),
        remarks=tuple(remarks),
    )


def _poles(case: StaticsCase, lines: Lines, friction: float) -> tuple[HandLift | None, tuple]:
    """The first light pole, and the stages in which one pole raises the next."""
    first = first_pole(case.mast, case.rigging, lines.winch, case.rest_rad, case.arm_min_ratio)
    stages = pole_stages(case.mast, case.rigging, lines.winch, case.rest_rad)
    return first, tuple(lift_stage(stage, friction) for stage in stages)


def _clearance(
    case: StaticsCase, lines: Lines, angles: tuple[float, ...], ground: WinchGround | None, remarks: list[str]
) -> LineClearance | None:
    """Gin pole and winch line over the ground; None where the ground is not known, and a remark."""
    if ground is None:
        remarks.append("gin pole and winch line over the ground: not checked, the ground towards the winch was not given")
        return None
    return _or_say(
        lambda: line_clearance(case.mast.gin_pole_length_m, lines.winch, angles, ground, case.hinge_m),
        "gin pole and winch line over the ground", remarks,
    )  # fmt: skip


def _bending(
    rigging: Rigging, turning: Turning, lines: Lines, angles: tuple[float, ...], remarks: list[str]
) -> MastBending | None:
    """The mast as a beam; None without lift points or out of the method, and a remark."""
    return _or_say(lambda: mast_bending(rigging, turning, lines, angles), "bending of the mast", remarks)


def _heights(case: StaticsCase) -> Callable[[np.ndarray], np.ndarray] | None:
    """Ground above the hinge at radii towards the winch, metres; None where the ground is not given."""
    ground = case.winch_ground
    return None if ground is None else lambda s_m: ground_above_hinge(ground, case.hinge_m, s_m)


def _or_say(work: Callable, what: str, remarks: list[str]) -> Any:
    """The work's result; None and a remark where it is out of the method."""
    try:
        return work()
    except OutOfMethod as fault:
        remarks.append(f"{what}: not worked out: {fault}")
        return None
