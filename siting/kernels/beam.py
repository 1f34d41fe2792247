"""A straight beam under forces square to it: shear, moment, deflection. Lengths and forces share their units.

Forces are positive in one direction square to the beam. Span loads are (start, end, force per length), point loads
(place, force). With supports among the point loads the beam is in balance, and the moment is 0 at both ends.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

# Of the largest force of a support: a push smaller than this is rounding.
PUSH_ROUNDING = 1e-12


@dataclass(frozen=True, slots=True)
class BeamLoads:
    """Loads and support forces of a beam: spans (n,) and points (m,)."""

    start: np.ndarray
    end: np.ndarray
    intensity: np.ndarray
    place: np.ndarray
    force: np.ndarray


def _ramp(x: np.ndarray, from_x: np.ndarray, power: int) -> np.ndarray:
    """(len(x), n) of Macaulay's bracket <x - from>^power: zero before it."""
    reach = x[:, None] - from_x[None, :]
    return np.where(reach > 0.0, np.abs(reach) ** power, 0.0)


def _integral(x: np.ndarray, loads: BeamLoads, power: int, divisor: float) -> np.ndarray:
    """The loads integrated `power` times along the beam; divisor is the factorial of that power."""
    spans = (_ramp(x, loads.start, power) - _ramp(x, loads.end, power)) @ loads.intensity
    points = _ramp(x, loads.place, power - 1) @ loads.force if power > 1 else (x[:, None] > loads.place[None, :]) @ loads.force
    return spans / divisor + points * power / divisor


def shear(x: np.ndarray, loads: BeamLoads) -> np.ndarray:
    """(len(x),) sum of the forces before each place, just after the loads that stand at it left out."""
    return _integral(x, loads, 1, 1.0)


def moment(x: np.ndarray, loads: BeamLoads) -> np.ndarray:
    """(len(x),) bending moment, force x length; positive where the beam is hollow on the side of positive forces.

    Source: Macaulay's brackets: the forces before a place times their distances to it.
    """
    return _integral(x, loads, 2, 2.0)


def largest_moment(loads: BeamLoads) -> tuple[float, float]:
    """The moment of the largest size (with its sign) and its place, exact: at a load or where the shear is zero."""
    knots = np.unique(np.concatenate([loads.start, loads.end, loads.place]))
    places = [knots]
    for low, high in zip(knots[:-1], knots[1:], strict=True):
        inside = (loads.start <= low) & (loads.end >= high)
        intensity = float(loads.intensity[inside].sum())
        middle = 0.5 * (low + high)
        if intensity != 0.0:
            turn = middle - float(shear(np.array([middle]), loads)[0]) / intensity
            if low < turn < high:
                places.append(np.array([turn]))
    x = np.concatenate(places)
    moments = moment(x, loads)
    index = int(np.abs(moments).argmax())
    return float(moments[index]), float(x[index])


def deflection(x: np.ndarray, loads: BeamLoads, stiffness: float, held: tuple[float, float]) -> np.ndarray:
    """(len(x),) deflection in the lengths' unit, positive with the forces, zero at the two places held.

    Small deflections: stiffness x second derivative = moment.

    Source: Macaulay's brackets, integrated twice more; the straight line left free is set by the places held.
    """
    free = lambda at: _integral(np.asarray(at, dtype=float), loads, 4, 24.0) / stiffness  # noqa: E731
    low, high = held
    ends = free([low, high])
    slope = (ends[1] - ends[0]) / (high - low)
    return free(x) - ends[0] - slope * (x - low)


def support_forces(loads: BeamLoads, places: np.ndarray) -> np.ndarray:
    """(len(places),) forces of stiff supports that keep the beam straight there, held by a hinge at 0 as well.

    The beam has the same stiffness all along, so it cancels; the hinge's own force is not among them.

    Args:
        places: (m,) all above 0, no two alike; loads: without any support.
    Source:
        force method: no deflection at the supports, balance of forces and moments (continuous beam).
    """
    places = np.asarray(places, dtype=float)
    return np.linalg.solve(force_matrix(places), force_right(loads, places))[: places.size]


def force_matrix(places: np.ndarray) -> np.ndarray:
    """(m + 2, m + 2) of `support_forces`: unknown are the supports' forces, the hinge's force, the slope at the hinge.

    Lengths as parts of the farthest place; each row of the first m says that a support does not move.
    """
    rel = places / float(places.max())
    count = rel.size
    matrix = np.zeros((count + 2, count + 2))
    matrix[:count, :count] = _ramp(rel, rel, 3) / 6.0
    matrix[:count, count] = rel**3 / 6.0
    matrix[:count, count + 1] = rel
    matrix[count, : count + 1] = 1.0
    matrix[count + 1, :count] = rel
    return matrix


def force_right(loads: BeamLoads, places: np.ndarray) -> np.ndarray:
    """(m + 2,) right side of `support_forces`, in the loads' unit of force."""
    scale = float(places.max())
    spans = loads.intensity * (loads.end - loads.start)
    total = spans.sum() + loads.force.sum()
    about_hinge = (spans * (loads.start + loads.end) / 2.0).sum() + (loads.force * loads.place).sum()
    return np.concatenate([-_integral(places, loads, 4, 24.0) / scale**3, [-total, -about_hinge / scale]])


def pulling_forces(loads: BeamLoads, places: np.ndarray) -> np.ndarray:
    """As `support_forces`, of supports that can pull (positive) but not push: 0 at one that would have to push.

    Source: the support that pushes hardest is let go, until none pushes.
    """
    forces = np.zeros(places.size)
    taut = np.ones(places.size, dtype=bool)
    while taut.any():
        forces[:] = 0.0
        forces[taut] = support_forces(loads, places[taut])
        pushing = forces < -PUSH_ROUNDING * max(float(np.abs(forces).max()), 1e-30)
        if not pushing.any() or taut.sum() == 1:
            break
        taut &= forces > forces.min()
    return forces
