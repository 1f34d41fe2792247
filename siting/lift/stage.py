"""One stage of the lift as a table: the forces at each angle, the largest pull, the take-over by the back guys."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from siting.errors import OutOfMethod
from siting.figures import shown
from siting.kernels.moments import balance_angle
from siting.kernels.swing import winch_arm
from siting.lift.forces import Forces, Lines, forces_at, line_pulls_kn, moment_knm, moments_knm
from siting.lift.geometry import ARM_JUDGED_TO_DEG, seen_from_hinge
from siting.lift.loads import Turning
from siting.records.mast import TEMPORARY, Mast
from siting.records.statics import LiftLine, LiftStage

# Steps of the search for the largest pull; the pull is smooth, so it lies within a hair of the largest one found.
SEARCH_STEP_DEG = 0.25
HALVINGS = 30


@dataclass(frozen=True, slots=True)
class Stage:
    """What is raised, from where to where, by what."""

    raises: str
    by: str
    turning: Turning
    lines: Lines
    angles_deg: tuple[float, ...]
    bare: Turning | None = None  # without loads and guys
    no_back: str = "no back guy is named, so nothing holds it"  # after the take-over, where no back guy holds


def lines_of(mast: Mast, anchor_heights_m: dict[str, float], hinge_m: float) -> Lines:
    """Winch anchor and highest back guys seen from the hinge, metres.

    Raises:
        OutOfMethod: the mast has no winch anchor.
    """
    if mast.winch is None:
        raise OutOfMethod.of(
            "statics_range", f"mast '{mast.name}'", "has no winch anchor: there is no lift to work out",
            "name one in the mast file, use = \"winch\"",
        )  # fmt: skip
    place = {a.id: np.array([float(v) for v in seen_from_hinge(a, np.array(anchor_heights_m[a.id]), hinge_m)]) for a in mast.anchors}
    backs = {a.id for a in mast.anchors if a.use == TEMPORARY and not a.is_side}
    held = [(level.attach_m, anchor) for level in mast.guys for anchor in level.anchors if anchor in backs]
    highest = max((attach_m for attach_m, _ in held), default=0.0)
    return Lines(place[mast.winch.id], tuple((a, place[anchor]) for a, anchor in held if a == highest))


def pulls_at(stage: Stage, angles_deg: Sequence[float] | np.ndarray, friction_ratio: float) -> np.ndarray:
    """Pulls at the winch with friction, kN; NaN where the line cannot lift, 0 once the weight is over the hinge."""
    return line_pulls_kn(stage.turning, stage.lines.winch, np.radians(angles_deg)) * (1.0 + friction_ratio)


def known(pulls_kn: np.ndarray) -> tuple[float | None, ...]:
    """The pulls (kN) with None where the line cannot lift."""
    return tuple(None if math.isnan(pull) else pull for pull in pulls_kn.tolist())


def largest_pull(
    stage: Stage, friction_ratio: float, from_deg: float | None = None, to_deg: float = ARM_JUDGED_TO_DEG
) -> tuple[float | None, float | None]:
    """Largest pull (kN, with friction) between two angles and its angle (degrees); None where the line fails between.

    Args:
        from_deg: the stage's first angle where not given; to_deg: no farther than the stage's last angle.
    """
    first = stage.angles_deg[0] if from_deg is None else from_deg
    last = max(min(to_deg, stage.angles_deg[-1]), first)
    count = max(2, math.ceil((last - first) / SEARCH_STEP_DEG) + 1)
    angles = np.linspace(first, last, count)
    pulls = pulls_at(stage, angles, friction_ratio)
    if np.isnan(pulls).any():
        return None, None
    index = int(np.argmax(pulls))
    return float(pulls[index]), float(angles[index])


def takeover_deg(turning: Turning, rest_deg: float) -> float | None:
    """Angle from which the weight pulls to the winch's side, degrees; None where it does not before plumb.

    Raises:
        OutOfMethod: the weight is over the hinge before the lift begins.
    """
    angle = math.degrees(balance_angle(turning.at_m, turning.weight_kn, turning.pole_centre_m, turning.pole_kn))
    if angle <= rest_deg:
        raise OutOfMethod.of(
            "statics_range", f"lift from {rest_deg:.1f}°", f"the weight stands over the hinge at {angle:.1f}° already",
            "check the gin pole's mass and length against the mast's",
        )  # fmt: skip
    return angle if angle < 90.0 - 1e-9 else None


def lift_stage(stage: Stage, friction_ratio: float) -> LiftStage:
    """The table of one stage: kN, kNm, metres, degrees.

    Raises:
        OutOfMethod: the weight is over the hinge before the lift begins.
    """
    angles = stage.angles_deg
    over = takeover_deg(stage.turning, angles[0])
    rows, why = _rows(stage)
    column = lambda pick: tuple(None if row is None else pick(row) for row in rows)  # noqa: E731
    feet = column(lambda f: None if f.foot_kn is None else float(f.foot_kn[2]))
    upward = column(lambda f: float(f.hinge_kn[2]))
    last = min(over if over is not None else 90.0, angles[-1])
    largest, at = largest_pull(stage, friction_ratio, to_deg=min(ARM_JUDGED_TO_DEG, last))
    end = largest_pull(stage, friction_ratio, ARM_JUDGED_TO_DEG, last)[0] if last > ARM_JUDGED_TO_DEG else None
    radians, pulls = np.radians(angles), known(pulls_at(stage, angles, friction_ratio))
    return LiftStage(
        raises=stage.raises,
        by=stage.by,
        angles_deg=angles,
        weight_moment_knm=tuple(moments_knm(stage.turning, radians).tolist()),
        arm_m=tuple(winch_arm(stage.turning.pole_m, tuple(stage.lines.winch), radians).tolist()),
        line_kn=column(lambda f: f.line_kn),
        winch_pull_kn=tuple(None if row is None else pull for row, pull in zip(rows, pulls, strict=True)),
        lift_lines=_lift_lines(stage.turning, rows),
        gin_pole_compression_kn=column(lambda f: f.pole_foot_kn),
        gin_pole_side_kn=column(lambda f: f.pole_side_kn),
        back_guy_kn=column(lambda f: f.back_kn),
        hinge_along_kn=column(lambda f: float(f.hinge_kn[0])),
        hinge_side_kn=column(lambda f: float(f.hinge_kn[1])),
        hinge_vertical_kn=upward,
        foot_vertical_kn=feet,
        uplift_at_deg=tuple(a for a, h, f in zip(angles, upward, feet, strict=True) if _is_up(h) or _is_up(f)),
        no_number=why,
        start_pull_kn=pulls[0],
        largest_pull_kn=largest,
        largest_pull_at_deg=at,
        end_pull_kn=end,
        pole_pulled_from_deg=_pulled_from(stage, rows),
        takeover_deg=over,
        takeover_early_deg=takeover_deg(stage.bare, angles[0]) if stage.bare is not None else None,
        takeover=_takeover_words(stage, over),
    )


def _rows(stage: Stage) -> tuple[list[Forces | None], tuple[str, ...]]:
    """The forces at each angle, None where the method has none, and why."""
    rows, why = [], []
    for angle in stage.angles_deg:
        try:
            rows.append(forces_at(stage.turning, stage.lines, math.radians(angle)))
            why.append("")
        except OutOfMethod as fault:
            rows.append(None)
            over = moment_knm(stage.turning, math.radians(angle)) < 0.0 and not stage.lines.back
            why.append(f"the weight has passed over the hinge: {stage.no_back}" if over else fault.faults[0].what)
    return rows, tuple(why)


def _lift_lines(turning: Turning, rows: list[Forces | None]) -> tuple[LiftLine, ...]:
    """Each lift line with its force at each angle."""
    lines = []
    for index, attach_m in enumerate(turning.attach_m):
        forces = tuple(None if row is None else row.lift_kn[index] for row in rows)
        known = [f for f in forces if f is not None]
        lines.append(LiftLine(attach_m, math.hypot(attach_m, turning.pole_m), forces, max(known, default=None)))
    return tuple(lines)


def _pulled_from(stage: Stage, rows: list[Forces | None]) -> float | None:
    """Angle (degrees) from which the gin pole is in tension, None where it never is; halved between two of the table."""
    pulled = [i for i, row in enumerate(rows) if row is not None and row.pole_foot_kn is not None and row.pole_foot_kn < 0.0]
    if not pulled:
        return None
    index = pulled[0]
    if index == 0 or rows[index - 1] is None:
        return stage.angles_deg[index]
    low, high = stage.angles_deg[index - 1], stage.angles_deg[index]
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        if forces_at(stage.turning, stage.lines, math.radians(middle)).pole_foot_kn < 0.0:
            high = middle
        else:
            low = middle
    return high


def _is_up(vertical_kn: float | None) -> bool:
    """True where the base has to hold down."""
    return vertical_kn is not None and vertical_kn < 0.0


def _takeover_words(stage: Stage, over_deg: float | None) -> str:
    """The take-over in plain words."""
    if over_deg is None or over_deg >= stage.angles_deg[-1]:
        cause = "" if stage.turning.pole_kn > 0.0 else " (the gin pole's weight is not known and not counted)"
        return f"the weight of the {stage.raises} stays on the laydown's side up to {stage.angles_deg[-1]:.0f}°{cause}"
    side = f"from {shown(over_deg, 'angle')} on the weight pulls towards the winch and its line goes slack"
    if stage.lines.back:
        return f"{side}: the back guys must hold before that"
    return f"{side}: {stage.no_back}"
