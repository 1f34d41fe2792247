"""The mast as a beam on its lift lines, as plain numbers for the kernels: what the lines hold, how it bends.

Every force square to the mast is linear in what hangs on it, as long as the same lift lines are taut: what the mast's own
weight and a kilonewton at each guy level bring is worked out once (kernels.beam).
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

import numpy as np

from siting.kernels.beam import BeamLoads, force_matrix, force_right, moment, support_forces
from siting.lift.forces import ARM_LEAST_M
from siting.lift.loads import Turning
from siting.records.rigging import Rigging


class BeamRules(NamedTuple):
    """m lift lines, L guy levels, B back guys, K places along the mast. Lengths m, forces kN, moments kNm.

    Loads are those of the level mast: at an angle t all are cos t of it. `held` is what a line holds square to the mast.
    """

    line_count: int
    level_count: int
    place_count: int
    is_possible: bool  # no lift line holds at the hinge
    is_equalised: bool
    pole: float
    attach: np.ndarray  # (m,) rising
    length: np.ndarray  # (m,) of the lines
    per_moment: float  # equally tight: force in each line for a moment of 1 kNm
    level_m: np.ndarray  # (L,)
    held_own: np.ndarray  # (m,) by mast and loads
    held_level: np.ndarray  # (L, m) by 1 kN down at a level
    held_back: np.ndarray  # (B, m) by 1 kN towards the gin pole's tip at a back guy
    matrix: np.ndarray  # (m + 2, m + 2) of the force method (kernels.beam.support_forces)
    right_own: np.ndarray  # (m + 2,) its right sides
    right_level: np.ndarray  # (L, m + 2)
    right_back: np.ndarray  # (B, m + 2)
    is_judged: bool  # whether the mast's bending is
    moment_most: float
    stiffness: float  # kNm2; 0: not given
    own_weight: float
    above_own: np.ndarray  # (m,) weight of mast and loads above the lower end of each span between lines
    place: np.ndarray  # (K,) ends of sections, loads, levels, lines
    intensity: np.ndarray  # (K - 1,) between them, kN/m, downward negative
    moment_own: np.ndarray  # (K,) of mast and loads alone, without supports
    moment_level: np.ndarray  # (L, K) of 1 kN down at a level, without supports
    ramps: np.ndarray  # (m, K) of 1 kN at a lift line, towards the gin pole's tip
    reference: np.ndarray  # (L,) what hangs at a level on level ground
    moment_reference: float  # the largest size of the mast's moment with that
    per_level: np.ndarray  # (L,) the most that 1 kN more at a level changes a moment, the same lines taut


def beam_rules_of(rigging: Rigging, turning: Turning, level_m: np.ndarray, reference: np.ndarray, back_m: np.ndarray) -> BeamRules:
    """The rules of a mast with its loads.

    Args:
        turning: mast and loads without guys; level_m: (L,) rising, where guys hang; reference: (L,) what hangs there on level
            ground, kN; back_m: (B,) attachments of the back guys that hold after the take-over.
    """
    attach, own = np.array(turning.attach_m, dtype=float), turning.level_loads
    count, can_hold = attach.size, attach.size > 0 and bool(attach.min(initial=math.inf) > ARM_LEAST_M)
    length = np.hypot(attach, turning.pole_m)
    matrix, right, held = _force_method(attach, can_hold)
    levels, backs = [_point(a, -1.0) for a in level_m], [_point(a, 1.0) for a in back_m]
    held_own, held_level = held(own), _rows(map(held, levels), count)
    place = np.unique(np.concatenate([own.start, own.end, own.place, level_m, attach, [0.0]]))
    middle = (place[:-1] + place[1:]) / 2.0
    moment_own, moment_level = moment(place, own), _rows((moment(place, p) for p in levels), place.size)
    ramps = _rows((moment(place, _point(a, 1.0)) for a in attach), place.size)
    weight = float(turning.weight_kn.sum())
    # With its lines and the hinge, which holds what the lines do not.
    own_moments = moment_own + held_own @ ramps + (weight - held_own.sum()) * place
    level_moments = moment_level + held_level @ ramps + (1.0 - held_level.sum(axis=1))[:, None] * place
    lows = np.concatenate([[0.0], attach[:-1]])[:count]
    intensity = np.array([float(own.intensity[(own.start <= x) & (own.end >= x)].sum()) for x in middle])
    return BeamRules(
        count, level_m.size, place.size, count == 0 or can_hold, turning.equalised, turning.pole_m, attach, length,
        1.0 / float(np.sum(attach * turning.pole_m / length)) if can_hold else 0.0,
        level_m, held_own, held_level, _rows(map(held, backs), count),
        matrix, right(own), _rows(map(right, levels), count + 2), _rows(map(right, backs), count + 2),
        can_hold and rigging.moment_limit_knm is not None,
        math.inf if rigging.moment_limit_knm is None else rigging.moment_limit_knm, rigging.stiffness_knm2 or 0.0,
        weight, np.array([float(turning.weight_kn[turning.at_m > low].sum()) for low in lows]),
        place, intensity, moment_own, moment_level, ramps, reference,
        largest_between(own_moments + reference @ level_moments, place, intensity),
        np.abs(level_moments).max(axis=1, initial=0.0),
    )  # fmt: skip


def largest_between(moments: np.ndarray, place: np.ndarray, intensity: np.ndarray) -> float:
    """The largest size of a moment (kNm) of which the values at the places (m) are known; intensity (kN/m) between them.

    Source: between two places the moment is a parabola of that curvature.
    """
    step = np.diff(place)
    shear = np.diff(moments) / step  # in the middle of each piece
    middle = (moments[:-1] + moments[1:]) / 2.0 - intensity * step**2 / 8.0
    turns = np.abs(shear) < np.abs(intensity) * step / 2.0
    safe = np.where(turns, intensity, 1.0)
    inside = np.where(turns, np.abs(middle - shear**2 / (2.0 * safe)), 0.0)
    return float(max(np.abs(moments).max(), inside.max(initial=0.0)))


def _point(place_m: float, force_kn: float) -> BeamLoads:
    """One force on the beam."""
    none = np.zeros(0)
    return BeamLoads(none, none, none, np.array([place_m]), np.array([force_kn]))


def _rows(rows: Iterable[np.ndarray], width: int) -> np.ndarray:
    """Rows one under the other, also where there are none."""
    made = list(rows)
    return np.array(made, dtype=float).reshape(len(made), width)


def _force_method(attach: np.ndarray, can_hold: bool):
    """The matrix of the force method, and two functions of loads: its right side, and the supports' forces."""
    size = attach.size + 2
    if not can_hold:
        return np.zeros((size, size)), lambda loads: np.zeros(size), lambda loads: np.zeros(attach.size)
    return force_matrix(attach), lambda loads: force_right(loads, attach), lambda loads: support_forces(loads, attach)
