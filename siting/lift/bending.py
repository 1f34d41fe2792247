"""The mast as a beam between its hinge and its lift points, at the angle of the lift where it bends most."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from siting.errors import OutOfMethod
from siting.figures import shown
from siting.kernels.beam import BeamLoads, deflection, largest_moment, moment
from siting.lift.forces import Lines, lift_line_forces, line_pull_kn, moment_knm, square_loads
from siting.lift.loads import Turning
from siting.records.rigging import Rigging
from siting.records.statics import MastBending

# Small deflections: beyond this part of the span the straight beam's formula is left (common practice, no source).
SMALL_RATIO = 0.05
# EN 1993-1-1, 5.2.1(3) and 5.2.2(5), from memory: to a tenth of the critical load first-order moments hold; to a third
# they are grown by 1/(1 - ratio); beyond that only a second-order calculation will do.
EULER_FIRST_ORDER_RATIO, EULER_LAST_RATIO = 0.1, 1.0 / 3.0
PLACES, SHOWN_PLACES = 401, 81  # along the mast: to find the largest deflection, to draw the curves


@dataclass(frozen=True, slots=True)
class BeamCase:
    """The mast at one angle as a beam: loads square to it, supports among them (kN, m)."""

    angle_deg: float
    loads: BeamLoads
    axial_kn: float  # push along the span that it brings nearest to buckling
    span_m: float  # length of that span


def beam_at(turning: Turning, lines: Lines, angle_deg: float) -> BeamCase:
    """What is raised at an angle while the winch holds it, as a beam; kN and metres, positive towards the gin pole's tip.

    Raises:
        OutOfMethod: no lift points, the winch line cannot lift, or the weight has passed over the hinge.
    """
    if not turning.attach_m:
        raise OutOfMethod.of(
            "statics_range", "mast file, lift_attach_m", "is not given: where the lift lines hold is not known",
            "give the places along the mast where the lift lines hold it",
        )  # fmt: skip
    t = math.radians(angle_deg)
    if moment_knm(turning, t) < 0.0:
        raise OutOfMethod.of(
            "statics_range", f"bending at {angle_deg:.1f}°", "the weight has passed over the hinge: the back guys hold, not the winch",
            "take an angle before the take-over",
        )  # fmt: skip
    line_pull_kn(turning, lines.winch, t)
    lift_kn = np.array(lift_line_forces(turning, [], t))
    attach = np.array(turning.attach_m)
    length = np.hypot(attach, turning.pole_m)
    bare = square_loads(turning, [], t)
    square = lift_kn * turning.pole_m / length
    whole = float(np.sum(bare.intensity * (bare.end - bare.start)) + bare.force.sum() + square.sum())
    loads = replace(
        bare,
        place=np.concatenate([bare.place, attach, [0.0]]),
        force=np.concatenate([bare.force, square, [-whole]]),
    )
    return BeamCase(angle_deg, loads, *_critical_span(turning, lift_kn, t))


def _critical_span(turning: Turning, lift_kn: np.ndarray, t: float) -> tuple[float, float]:
    """Push (kN) and length (m) of the span between held places that is nearest to buckling, by push x length squared.

    The push is taken at the span's lower end: the lift lines' share from there up, and the weight above it.
    """
    attach = np.array(turning.attach_m)
    along = lift_kn * attach / np.hypot(attach, turning.pole_m)
    taut = lift_kn > 0.0
    held = attach[taut] if taut.any() and not turning.equalised else attach[-1:]
    spans = []
    for low, high in zip((0.0, *held[:-1]), held, strict=True):
        weight = float(turning.weight_kn[turning.at_m > low].sum())
        spans.append((float(along[attach > low].sum()) + weight * max(math.sin(t), 0.0), float(high - low)))
    return max(spans, key=lambda span: span[0] * span[1] ** 2)


def mast_bending(
    rigging: Rigging, turning: Turning, lines: Lines, angles_deg: tuple[float, ...]
) -> MastBending:
    """Moment (kNm) and deflection (m) of the mast at the angle where the moment is largest.

    Raises:
        OutOfMethod: no lift points, the winch line can lift at no angle, or the push along the mast is too near Euler's load.
    """
    case = _worst(turning, lines, angles_deg)
    euler = growth = None
    if rigging.stiffness_knm2 is not None:
        euler, growth = _growth(rigging.stiffness_knm2, case)
    grown = growth or 1.0
    largest, at = largest_moment(case.loads)
    steps = np.linspace(0.0, float(turning.end_m[-1]), SHOWN_PLACES)
    x = np.unique(np.concatenate([steps, turning.start_m, turning.end_m, case.loads.place, [at]]))
    shape, deep = None, (None, None)
    told = "deflection, and what the push along the mast adds, not worked out: stiffness_knm2 is not given"
    if rigging.stiffness_knm2 is not None:
        shape, deep, told = _deflected(rigging.stiffness_knm2 / grown, case, x, turning)
    if grown > 1.0:
        told += f"; the push along the mast is {euler:.2f} of Euler's load of its span, moment and deflection are grown by {grown:.2f} for it"
    limit = rigging.moment_limit_knm
    return MastBending(
        angle_deg=case.angle_deg,
        at_m=tuple(float(v) for v in x),
        moment_knm=tuple(float(v) * grown for v in moment(x, case.loads)),
        largest_knm=largest * grown,
        largest_at_m=at,
        limit_knm=limit,
        use_ratio=None if limit is None else abs(largest) * grown / limit,
        deflection_m=shape,
        largest_deflection_m=deep[0],
        largest_deflection_at_m=deep[1],
        axial_kn=case.axial_kn,
        growth_ratio=growth,
        euler_ratio=euler,
        text=_words(case, (largest * grown, at), limit, told, turning.equalised),
    )


def _worst(turning: Turning, lines: Lines, angles_deg: tuple[float, ...]) -> BeamCase:
    """The angle with the largest moment, level included where the mast passes through it.

    While the winch holds, every load square to the mast goes with cos t: the nearest to level bends it most.
    """
    angles = (*angles_deg, 0.0) if angles_deg[0] < 0.0 else angles_deg
    first_fault = None
    for angle in sorted(angles, key=abs):
        try:
            return beam_at(turning, lines, angle)
        except OutOfMethod as fault:
            first_fault = first_fault or fault
    raise first_fault


def _growth(stiffness: float, case: BeamCase) -> tuple[float, float]:
    """Push / Euler's load of the span, and the factor by which it makes moment and deflection grow."""
    ratio = case.axial_kn * case.span_m**2 / (math.pi**2 * stiffness)
    if ratio > EULER_LAST_RATIO:
        raise OutOfMethod.of(
            "statics_range", f"bending at {case.angle_deg:.1f}°",
            f"the push along the mast ({case.axial_kn:.1f} kN) is {ratio:.2f} of Euler's load of its span of {case.span_m:.1f} m, "
            f"the straight beam's formula holds to {EULER_LAST_RATIO:.2f}",
            "give more lift points, or have the mast maker work it out",
        )  # fmt: skip
    return ratio, 1.0 if ratio <= EULER_FIRST_ORDER_RATIO else 1.0 / (1.0 - ratio)


def _deflected(
    stiffness: float, case: BeamCase, x: np.ndarray, turning: Turning
) -> tuple[tuple[float, ...] | None, tuple[float | None, float | None], str]:
    """Deflection at the places, the largest and where (m), and words; None where it is not small."""
    held = (0.0, max(turning.attach_m))
    dense = np.unique(np.concatenate([np.linspace(0.0, float(turning.end_m[-1]), PLACES), x]))
    sag = deflection(dense, case.loads, stiffness, held)
    index = int(np.abs(sag).argmax())
    size, at = abs(float(sag[index])), float(dense[index])
    if size > SMALL_RATIO * case.span_m:
        told = (
            f"deflection out of the method: the straight beam's formula gives {size / case.span_m:.2f} of the longest span, "
            f"it holds to {SMALL_RATIO:g}; the mast needs more lift points, or the maker's own figures"
        )
        return None, (None, None), told
    told = f"largest deflection {1000.0 * size:.1f} mm at {shown(at, 'length')}"
    return tuple(float(v) for v in deflection(x, case.loads, stiffness, held)), (float(sag[index]), at), told


def _words(case: BeamCase, largest: tuple[float, float], limit: float | None, told: str, equalised: bool) -> str:
    """The bending in plain words."""
    size, at = abs(largest[0]), largest[1]
    against = "no limit given (moment_limit_knm)" if limit is None else f"limit {limit:.1f} kNm"
    rig = "lift lines equally tight over a block" if equalised else "each lift line set so that its place stays straight"
    return (
        f"at {case.angle_deg:.1f}° the mast bends most: {size:.1f} kNm at {shown(at, 'length')} from the hinge, {against}; "
        f"{told}. {rig[:1].upper()}{rig[1:]}; same stiffness all along; the lines' stretch, jerks, wind and the side guys' pull are not in it"
    )
