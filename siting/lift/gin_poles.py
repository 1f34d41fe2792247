"""Two gin poles: the first, light, goes up by hand or a small winch and raises the second, which lifts the mast.

Common practice, no source. Each pole lies along the mast on its rest line, its foot at the hinge, and turns up about
the hinge axis until it stands square to the mast. The pole before it stands square to it while it turns, and comes
off when it has done its work.
"""

from __future__ import annotations

import math

import numpy as np

from siting.errors import OutOfMethod
from siting.figures import shown
from siting.kernels.moments import line_between, mast_direction, raising_moment
from siting.lift.forces import Lines
from siting.lift.geometry import TABLE_STEP_DEG, lift_angles_deg
from siting.lift.loads import Turning, weight_kn
from siting.lift.stage import Stage
from siting.records.mast import Mast
from siting.records.rigging import BY_WINCH, LightPole, Rigging
from siting.records.statics import HandLift
from siting.units import GRAVITY_M_S2


def pole_stages(mast: Mast, rigging: Rigging, winch: np.ndarray, rest_rad: float) -> tuple[Stage, ...]:
    """The stages in which one gin pole raises the next; none where the mast has one gin pole only. Metres, kN.

    Raises:
        OutOfMethod: the mast's own gin pole has no mass.
    """
    if not rigging.gin_poles:
        return ()
    if rigging.gin_pole_mass_kg is None:
        raise OutOfMethod.of(
            "statics_range", f"mast '{mast.name}', gin_pole_mass_kg", "is not given, but a lighter pole raises that gin pole",
            "give its mass in kg",
        )  # fmt: skip
    own = LightPole(mast.gin_pole_length_m, rigging.gin_pole_mass_kg, BY_WINCH)
    chain = [*rigging.gin_poles, own]
    stages = []
    for number, (lifts, raised) in enumerate(zip(chain[:-1], chain[1:], strict=True), 2):
        name = "mast's gin pole" if raised is own else f"gin pole no. {number}"
        turning = Turning(
            start_m=np.zeros(1),
            end_m=np.array([raised.length_m]),
            span_kn=np.array([weight_kn(raised.mass_kg)]),
            point_m=np.zeros(0),
            point_kn=np.zeros(0),
            pole_m=lifts.length_m,
            pole_kn=float(weight_kn(lifts.mass_kg)),
            attach_m=(raised.length_m,),
        )
        held = "the lift lines, made fast to the mast beforehand, must hold it square to the mast"
        stages.append(Stage(name, f"gin pole no. {number - 1}", turning, Lines(winch), _angles_deg(rest_rad), no_back=held))
    return tuple(stages)


def _angles_deg(rest_rad: float) -> tuple[float, ...]:
    """Angles of a pole from the rest line until it stands square to the mast, plumb at most."""
    rest_deg = math.degrees(rest_rad)
    square_deg = min(rest_deg + 90.0, 90.0)
    return (*(a for a in lift_angles_deg(rest_deg) if a < square_deg - 1e-6), square_deg)


def first_pole(mast: Mast, rigging: Rigging, winch: np.ndarray, rest_rad: float, arm_min_ratio: float) -> HandLift | None:
    """How the first light pole goes up: the force at its tip and, by a small winch, the pull; kN. None without one.

    A winch's line straight to the tip of a lying pole passes through the hinge: hands lift until it has an arm.

    Args:
        arm_min_ratio: least arm / pole length with which the small winch may pull.
    Source:
        moments about the foot: half the pole's weight x cos t, square to the pole, at its tip.
    """
    if not rigging.gin_poles:
        return None
    pole = rigging.gin_poles[0]
    angles = _angles_deg(rest_rad)
    t = np.radians(angles)
    weight = float(weight_kn(pole.mass_kg))
    tip_kn = 0.5 * weight * np.cos(t)
    tips = pole.length_m * mast_direction(t)
    units, _ = line_between(tips, winch)
    ratio = raising_moment(tips, units) / pole.length_m
    by_winch = pole.raised_by == BY_WINCH
    ready = ratio >= arm_min_ratio
    pulls = tuple(
        float(force / r) if by_winch and ok and force >= 0.0 else None for force, r, ok in zip(tip_kn, ratio, ready, strict=True)
    )
    to = next((a for a, ok in zip(angles, ready, strict=True) if ok), None) if by_winch else None
    return HandLift(
        length_m=pole.length_m,
        mass_kg=pole.mass_kg,
        raised_by=pole.raised_by,
        angles_deg=angles,
        tip_kn=tuple(float(v) for v in tip_kn),
        tip_kg=tuple(float(v) * 1000.0 / GRAVITY_M_S2 for v in tip_kn),
        winch_pull_kn=pulls,
        hand_to_deg=to,
        text=_words(pole, float(tip_kn.max()), to, by_winch),
    )


def _words(pole: LightPole, tip_kn: float, to_deg: float | None, by_winch: bool) -> str:
    """How the first pole goes up, in plain words."""
    lift = f"{shown(tip_kn * 1000.0 / GRAVITY_M_S2, 'mass')} at the tip at the start ({shown(tip_kn, 'force')})"
    if not by_winch:
        return f"by hand: {lift}, less as it rises; no source says how much a crew may lift by hand"
    if to_deg is None:
        return f"by hand: {lift}; a line straight from its tip to the winch never has an arm to lift with"
    return f"by hand to about {to_deg:.0f}° ({lift}), then by a small winch; steps of {TABLE_STEP_DEG:g}°"
