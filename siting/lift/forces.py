"""The forces at one angle of a lift, in balance: winch line, lift lines, gin pole, back guys, hinge.

Model: what is raised and its gin pole are bars on one hinge pin at the base, square to each other. The winch line pulls
at the gin pole's tip; lift lines run from there to what is raised. Each lift line is as long as keeps its place
straight, so what is raised is a beam on stiff supports; or all are equally tight, led over an equalising block. Half
of the gin pole's weight hangs at its tip, half at its foot. Friction sits between the gin pole's tip and the winch,
so it loads the winch only. Once the weight has passed over the hinge the winch line is slack and the back guys of the
highest level hold, equally tight.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from siting.errors import OutOfMethod
from siting.kernels.beam import BeamLoads
from siting.kernels.moments import line_between, line_pulls, mast_direction, pole_direction, raising_moment, weight_moment
from siting.kernels.swing import winch_arm
from siting.lift.loads import Turning, line_forces_kn

# A winch line that passes the hinge nearer than this part of the gin pole's length has no arm that a number could rest
# on: a hand's breadth in an anchor's height would turn it round (common practice, no source).
ARM_LEAST_RATIO = 0.01
# Any other line: the hinge pin is thicker than this.
ARM_LEAST_M = 0.001
# Of the weight's greatest moment: less than this is no moment but the rounding of a cosine at plumb.
MOMENT_ROUNDING = 1e-12

Force = tuple[np.ndarray, np.ndarray]  # (3,) place seen from the hinge in metres, (3,) force in kN


@dataclass(frozen=True, slots=True)
class Lines:
    """Where the lines are held, seen from the hinge: (3,) places in metres, z above the hinge."""

    winch: np.ndarray
    back: tuple[tuple[float, np.ndarray], ...] = ()  # (attachment along the mast, anchor) of the highest back guys


@dataclass(frozen=True, slots=True)
class Forces:
    """Forces at one angle, kN; moments kNm; vectors (x along the laydown, y to its right, z up)."""

    weight_moment_knm: float
    arm_m: float
    line_kn: float
    back_kn: float
    lift_kn: tuple[float, ...]  # in each lift line, in the order of the attachments; empty: not known
    pole_foot_kn: float | None
    pole_side_kn: float
    hinge_kn: np.ndarray  # (3,) base on hinge
    hinge_knm: np.ndarray  # (3,) base on hinge; its second, about the hinge axis, is 0
    foot_kn: np.ndarray | None  # (3,) base on the foot of what is raised, without the gin pole's


def winch_reach(turning: Turning, winch: np.ndarray, angle_rad: float) -> tuple[np.ndarray, np.ndarray, float]:
    """The gin pole's tip (m), the unit vector from there to the winch (no unit), the lever arm about the hinge (m)."""
    tip = turning.pole_m * pole_direction(angle_rad)
    unit, _ = line_between(tip, winch)
    return tip, unit, float(raising_moment(tip, unit))


def moments_knm(turning: Turning, angles_rad: np.ndarray) -> np.ndarray:
    """Moments of all weights about the hinge at angles, kNm; positive lays down."""
    whole = (np.array([turning.centre_m]), np.array([turning.whole_kn]))
    moments = weight_moment(*whole, turning.pole_centre_m, turning.pole_kn, angles_rad)
    greatest = turning.centre_m * turning.whole_kn + turning.pole_kn * turning.pole_centre_m
    return np.where(np.abs(moments) < MOMENT_ROUNDING * greatest, 0.0, moments)


def moment_knm(turning: Turning, angle_rad: float) -> float:
    """The same at one angle, kNm."""
    return float(moments_knm(turning, angle_rad))


def line_pulls_kn(turning: Turning, winch: np.ndarray, angles_rad: np.ndarray) -> np.ndarray:
    """Force of the winch line at angles, kN without friction; NaN where it cannot lift, 0 once the weight is over."""
    arms_m = winch_arm(turning.pole_m, tuple(winch), angles_rad)
    return line_pulls(moments_knm(turning, angles_rad), arms_m, ARM_LEAST_RATIO * turning.pole_m)


def line_pull_kn(turning: Turning, winch: np.ndarray, angle_rad: float) -> float:
    """Force of the winch line without friction, kN; 0 once the weight has passed over the hinge.

    Raises:
        OutOfMethod: the line passes through or under the hinge.
    Source:
        moments about the hinge: weight moment / lever arm.
    """
    moment = moment_knm(turning, angle_rad)
    if moment < 0.0:
        return 0.0
    arm_m = winch_reach(turning, winch, angle_rad)[2]
    # Without a moment (plumb, a weightless pole) any arm will do: the pull is 0.
    least_m = ARM_LEAST_RATIO * turning.pole_m
    if arm_m <= (least_m if moment > 0.0 else 0.0):
        how = "through or close by" if arm_m > -least_m else "under"
        raise OutOfMethod.of(
            "statics_range", f"lift at {np.degrees(angle_rad):.1f}°",
            f"the winch line passes {how} the hinge (arm {arm_m:.2f} m): it does not lift",
            "stand the winch lower or farther out, or use a longer gin pole",
        )  # fmt: skip
    return moment / arm_m


def forces_at(turning: Turning, lines: Lines, angle_rad: float) -> Forces:
    """Every force at an angle of what is raised, kN and kNm.

    Raises:
        OutOfMethod: the line that has to hold passes through or under the hinge, or there is none.
    Source:
        balance of forces and moments of three bodies: what is raised, the gin pole, both together.
    """
    u, n = mast_direction(angle_rad), pole_direction(angle_rad)
    tip, unit, arm_m = winch_reach(turning, lines.winch, angle_rad)
    moment = moment_knm(turning, angle_rad)
    line_kn = line_pull_kn(turning, lines.winch, angle_rad)
    pull = line_kn * unit
    backs, back_kn = _back_guys(moment, lines, u, angle_rad) if moment < 0.0 else ([], 0.0)
    down = np.array([0.0, 0.0, -1.0])
    on_raised = [(turning.centre_m * u, turning.whole_kn * down), *backs]
    on_pole = [(turning.pole_centre_m * n, turning.pole_kn * down), (tip, pull)]
    lift_kn, compression_kn, foot_kn = (), None, None
    if turning.attach_m:
        lift_kn = lift_line_forces(turning, backs, angle_rad)
        from_tip = [f * line_between(a * u, tip)[0] for a, f in zip(turning.attach_m, lift_kn, strict=True)]
        # The pole's foot carries what its tip does not: pull, lift lines and its own weight, along the pole.
        compression_kn = float((sum(from_tip) - pull - turning.pole_kn * down) @ n)
        foot_kn = -sum(force for _, force in on_raised) - sum(from_tip)
    return Forces(
        weight_moment_knm=moment,
        arm_m=arm_m,
        line_kn=line_kn,
        back_kn=back_kn,
        lift_kn=lift_kn,
        pole_foot_kn=compression_kn,
        pole_side_kn=float(pull[1]),
        hinge_kn=-sum(force for _, force in on_raised + on_pole),
        hinge_knm=-sum(_moments(*item) for item in on_raised + on_pole),
        foot_kn=foot_kn,
    )


def square_loads(turning: Turning, backs: list[Force], angle_rad: float) -> BeamLoads:
    """Loads square to what is raised, without any support: kN/m and kN, positive towards the gin pole's tip."""
    n = pole_direction(angle_rad)
    level, part = turning.level_loads, float(n[2])
    back_m = [float(np.linalg.norm(place)) for place, _ in backs]
    back_kn = [float(force @ n) for _, force in backs]
    return BeamLoads(
        level.start,
        level.end,
        level.intensity * part,
        np.concatenate([level.place, back_m]),
        np.concatenate([level.force * part, back_kn]),
    )


def lift_line_forces(turning: Turning, backs: list[Force], angle_rad: float) -> tuple[float, ...]:
    """Force in each lift line, kN; 0 in one that would have to push.

    Raises:
        OutOfMethod: the lift lines hold at the hinge.
    """
    attach = np.array(turning.attach_m)
    if attach.min() <= ARM_LEAST_M:
        raise OutOfMethod.of(
            "statics_range", "mast file, lift_attach_m", "a lift line holds at the hinge: it has no arm",
            "give the places along the mast where the lift lines hold it",
        )  # fmt: skip
    if not backs:
        return tuple((turning.level_lines_kn * float(pole_direction(angle_rad)[2])).tolist())
    return tuple(line_forces_kn(turning, square_loads(turning, backs, angle_rad)).tolist())


def _back_guys(moment: float, lines: Lines, u: np.ndarray, angle_rad: float) -> tuple[list[Force], float]:
    """Places and forces (kN) of the back guys, equally tight, and the force in each."""
    units = [(attach_m * u, line_between(attach_m * u, anchor)[0]) for attach_m, anchor in lines.back]
    arm_m = -sum(float(raising_moment(point, unit)) for point, unit in units)
    if arm_m <= ARM_LEAST_M:
        cause = "no back guy is named" if not units else f"the back guys have no arm about the hinge ({arm_m:.2f} m)"
        raise OutOfMethod.of(
            "statics_range", f"lift at {np.degrees(angle_rad):.1f}°",
            f"the weight has passed over the hinge and {cause}: nothing holds it",
            "give the mast a temporary anchor behind the head, with guys to it",
        )  # fmt: skip
    each = -moment / arm_m
    return [(point, each * unit) for point, unit in units], each


def _moments(point: np.ndarray, force: np.ndarray) -> np.ndarray:
    """(3,) moments of a force about the hinge: about x, about the hinge axis (raising), about z."""
    return np.array(
        [
            point[1] * force[2] - point[2] * force[1],
            raising_moment(point, force),
            point[0] * force[1] - point[1] * force[0],
        ]
    )
