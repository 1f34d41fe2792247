"""The forces at one angle of a lift, in balance: winch line, lift lines, gin pole, back guys, hinge.

Model: what is raised and its gin pole are stiff bars on one hinge pin at the base, square to each other. The winch line
pulls at the gin pole's tip, the lift lines run from there to what is raised, all equally tight (led over an
equalising block). Half of the gin pole's weight hangs at its tip, half at its foot. Friction sits between the gin
pole's tip and the winch, so it loads the winch only. Once the weight has passed over the hinge the winch line is
slack and the back guys of the highest level hold, equally tight.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from siting.errors import OutOfMethod
from siting.kernels.moments import line_between, mast_direction, pole_direction, raising_moment, weight_moment
from siting.lift.loads import Turning

# A line that passes the hinge this near has no arm that a number could rest on: the hinge pin is thicker.
ARM_LEAST_M = 0.001
# Of the weight's greatest moment: less than this is no moment but the rounding of a cosine at plumb.
MOMENT_ROUNDING = 1e-12


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
    lift_line_kn: float | None  # None: it is not known where the lift lines hold
    pole_foot_kn: float | None
    pole_side_kn: float
    hinge_kn: np.ndarray  # (3,) base on hinge
    hinge_knm: np.ndarray  # (3,) base on hinge; its second, about the hinge axis, is 0
    foot_kn: np.ndarray | None  # (3,) base on the foot of what is raised, without the gin pole's


def winch_line(turning: Turning, winch: np.ndarray, angle_rad: float) -> tuple[np.ndarray, np.ndarray, float]:
    """The gin pole's tip (m), the unit vector from there to the winch (no unit), the lever arm about the hinge (m)."""
    tip = turning.pole_m * pole_direction(angle_rad)
    unit, _ = line_between(tip, winch)
    return tip, unit, float(raising_moment(tip, unit))


def moment_knm(turning: Turning, angle_rad: float) -> float:
    """Moment of all weights about the hinge, kNm; positive lays down."""
    moment = float(weight_moment(turning.at_m, turning.weight_kn, turning.pole_centre_m, turning.pole_kn, angle_rad))
    greatest = float(np.sum(turning.at_m * turning.weight_kn)) + turning.pole_kn * turning.pole_centre_m
    return 0.0 if abs(moment) < MOMENT_ROUNDING * greatest else moment


def forces_at(turning: Turning, lines: Lines, angle_rad: float) -> Forces:
    """Every force at an angle of what is raised, kN and kNm.

    Raises:
        OutOfMethod: the line that has to hold passes through or under the hinge, or there is none.
    Source:
        balance of forces and moments of three bodies: what is raised, the gin pole, both together.
    """
    u, n = mast_direction(angle_rad), pole_direction(angle_rad)
    tip, unit, arm_m = winch_line(turning, lines.winch, angle_rad)
    moment = moment_knm(turning, angle_rad)
    line_kn = _winch_holds(moment, arm_m, angle_rad) if moment >= 0.0 else 0.0
    pulls, back_kn = _back_guys_hold(moment, lines, u, angle_rad) if moment < 0.0 else ([], 0.0)
    down = np.array([0.0, 0.0, -1.0])
    on_raised = [(a * u, w * down) for a, w in zip(turning.at_m, turning.weight_kn, strict=True)] + pulls
    on_pole = [(turning.pole_centre_m * n, turning.pole_kn * down), (tip, line_kn * unit)]
    hinge_kn = -sum(force for _, force in on_raised + on_pole)
    hinge_knm = -sum(_moments(point, force) for point, force in on_raised + on_pole)
    lift_kn = foot_kn = compression_kn = None
    if turning.attach_m:
        lift_kn, compression_kn, from_tip = _at_the_tip(turning, line_kn * unit, u, n, angle_rad)
        foot_kn = -sum(force for _, force in on_raised) + from_tip
    return Forces(
        moment, arm_m, line_kn, back_kn, lift_kn, compression_kn, line_kn * float(unit[1]), hinge_kn, hinge_knm, foot_kn
    )  # fmt: skip


def _winch_holds(moment: float, arm_m: float, angle_rad: float) -> float:
    """Force of the winch line, kN."""
    if arm_m <= ARM_LEAST_M:
        raise OutOfMethod.of(
            "statics_range", f"lift at {np.degrees(angle_rad):.1f}°",
            f"the winch line passes {'through' if arm_m > -ARM_LEAST_M else 'under'} the hinge (arm {arm_m:.2f} m): it does not lift",
            "stand the winch lower or farther out, or use a longer gin pole",
        )  # fmt: skip
    return moment / arm_m


def _back_guys_hold(
    moment: float, lines: Lines, u: np.ndarray, angle_rad: float
) -> tuple[list[tuple[np.ndarray, np.ndarray]], float]:
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


def _at_the_tip(
    turning: Turning, pull: np.ndarray, u: np.ndarray, n: np.ndarray, angle_rad: float
) -> tuple[float, float, np.ndarray]:
    """Force in each lift line, compression at the gin pole's foot (kN), and minus the lines' forces on what is raised.

    At the tip the winch line, the lift lines, the pole and half of its weight are in balance; the lift lines lean
    from the tip by (a u - p n)/L.
    """
    attach = np.array(turning.attach_m)
    length = np.hypot(attach, turning.pole_m)
    half = 0.5 * turning.pole_kn
    along = float(np.sum(attach / length))
    if along * turning.pole_m <= ARM_LEAST_M:
        raise OutOfMethod.of(
            "statics_range", "mast file, lift_attach_m", "the lift lines hold at the hinge: they have no arm",
            "give the places along the mast where the lift lines hold it",
        )  # fmt: skip
    each = (-float(pull @ u) + half * float(np.sin(angle_rad))) / along
    square = float(np.sum(turning.pole_m / length))
    tip_kn = -float(pull @ n) + each * square + half * float(np.cos(angle_rad))
    return each, tip_kn + half * float(np.cos(angle_rad)), each * (along * u - square * n)


def _moments(point: np.ndarray, force: np.ndarray) -> np.ndarray:
    """(3,) moments of a force about the hinge: about x, about the hinge axis (raising), about z."""
    return np.array(
        [
            point[1] * force[2] - point[2] * force[1],
            raising_moment(point, force),
            point[0] * force[1] - point[1] * force[0],
        ]
    )
