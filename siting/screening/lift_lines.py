"""Compiled: what each lift line holds, and whether the mast bends over its limit (lift.forces, lift.bending)."""

from __future__ import annotations

import math
from typing import Any, NamedTuple

from siting.kernels.beam import PUSH_ROUNDING
from siting.lift.bending import EULER_FIRST_ORDER_RATIO, EULER_LAST_RATIO
from siting.screening.compiled import part
from siting.screening.lanes import at, pointer, put
from siting.screening.lift_beam import BeamRules

EULER = math.pi**2
BOUND_MARGIN = 1e-9  # relative: far more than the roundings of what is bounded


class Loads(NamedTuple):
    """What loads the mast square to it at one angle, besides itself; bare memory."""

    hung: Any  # (L,) hangs at the guy levels, kN
    cosine: float  # of the angle
    moment: float  # of all together about the hinge, kNm, towards the laydown
    backs: Any  # (B,) forces of the back guys square to the mast, towards the gin pole's tip, kN
    back_count: int


@part
def bare_beam(beam: BeamRules):
    """The rules with bare memory in the place of their arrays (lanes.pointer)."""
    return BeamRules(
        beam.line_count, beam.level_count, beam.place_count, beam.is_possible, beam.is_equalised, beam.pole, pointer(beam.attach),
        pointer(beam.length), beam.per_moment, pointer(beam.level_m), pointer(beam.held_own), pointer(beam.held_level),
        pointer(beam.held_back), pointer(beam.matrix), pointer(beam.right_own), pointer(beam.right_level), pointer(beam.right_back),
        beam.is_judged, beam.moment_most, beam.stiffness, beam.own_weight, pointer(beam.above_own), pointer(beam.place),
        pointer(beam.intensity), pointer(beam.moment_own), pointer(beam.moment_level), pointer(beam.ramps), pointer(beam.reference),
        beam.moment_reference, pointer(beam.per_level),
    )  # fmt: skip


@part
def hold_lines(loads: Loads, beam: BeamRules, held, work):
    """What each lift line holds square to the mast, kN, into `held`; 0 in one that would have to push.

    Args:
        work: (m + 2) * (m + 4) numbers for the force method.
    """
    count = beam.line_count
    if beam.is_equalised:
        for i in range(count):
            put(held, i, loads.moment * beam.per_moment * beam.pole / at(beam.length, i))
        return
    most, least = 0.0, 0.0
    for i in range(count):
        force = _of_loads(loads, beam.level_count, at(beam.held_own, i), beam.held_level, beam.held_back, count, i)
        put(held, i, force)
        most, least = max(most, abs(force)), min(least, force)
    if count > 1 and least < -PUSH_ROUNDING * max(most, 1e-30):
        _let_go(loads, beam, held, work)


@part
def _of_loads(loads: Loads, level_count, own, by_level, by_back, width, i):
    """Number i of `width` that are linear in the loads: the mast's own, by what hangs at each level, by each back guy."""
    total = own
    for level in range(level_count):
        total += at(loads.hung, level) * at(by_level, level * width + i)
    total *= loads.cosine
    for b in range(loads.back_count):
        total += at(loads.backs, b) * at(by_back, b * width + i)
    return total


@part
def _let_go(loads: Loads, beam: BeamRules, held, work):
    """`hold_lines` where a line would have to push: the one that pushes hardest is let go, until none does (kernels.beam).

    Args:
        work: is filled: which lines are taut, then the equations.
    """
    count = beam.line_count
    taut = count
    for i in range(count):
        put(work, i, 1.0)
    while taut > 0:
        most, least = 0.0, 0.0
        for i in range(count):
            most, least = max(most, abs(at(held, i))), min(least, at(held, i))
        if taut == 1 or not least < -PUSH_ROUNDING * max(most, 1e-30):
            return
        for i in range(count):
            if at(work, i) > 0.0 and at(held, i) <= least:
                put(work, i, 0.0)
                taut -= 1
        if taut > 0:
            _solve(loads, beam, held, work, taut)


@part
def _solve(loads: Loads, beam: BeamRules, held, work, taut):
    """What the taut lines hold, by elimination with the largest pivot of each column."""
    count, full = beam.line_count, beam.line_count + 2
    size, wide, rows = taut + 2, taut + 3, full  # the equations begin behind the flags, each with its right side last
    row = 0
    for i in range(full):
        if i < count and at(work, i) == 0.0:
            continue
        col = 0
        for j in range(full):
            if j < count and at(work, j) == 0.0:
                continue
            put(work, rows + row * wide + col, at(beam.matrix, i * full + j))
            col += 1
        right = _of_loads(loads, beam.level_count, at(beam.right_own, i), beam.right_level, beam.right_back, full, i)
        put(work, rows + row * wide + size, right)
        row += 1
    for k in range(size):
        best = k
        for i in range(k + 1, size):
            if abs(at(work, rows + i * wide + k)) > abs(at(work, rows + best * wide + k)):
                best = i
        for j in range(k, wide):
            upper, lower = at(work, rows + k * wide + j), at(work, rows + best * wide + j)
            put(work, rows + k * wide + j, lower)
            put(work, rows + best * wide + j, upper)
        for i in range(k + 1, size):
            part_of = at(work, rows + i * wide + k) / at(work, rows + k * wide + k)
            for j in range(k, wide):
                put(work, rows + i * wide + j, at(work, rows + i * wide + j) - part_of * at(work, rows + k * wide + j))
    for k in range(size - 1, -1, -1):
        value = at(work, rows + k * wide + size)
        for j in range(k + 1, size):
            value -= at(work, rows + k * wide + j) * at(work, rows + j * wide + size)
        put(work, rows + k * wide + size, value / at(work, rows + k * wide + k))
    row = 0
    for i in range(count):
        if at(work, i) == 0.0:
            put(held, i, 0.0)
        else:
            put(held, i, at(work, rows + row * wide + size))
            row += 1


@part
def bends_over(hung, held, cosine, sine, beam: BeamRules):
    """1 where the mast bends over its limit at an angle, 0 where not or where the method does not reach.

    Args:
        hung: (L,) what hangs at the guy levels, kN; held: (m,) what the lift lines hold square to the mast there, kN.
    """
    grown = 1.0
    if beam.stiffness > 0.0:
        ratio = _euler_ratio(hung, held, max(sine, 0.0), beam)
        if ratio > EULER_LAST_RATIO:
            return 0
        grown = 1.0 if ratio <= EULER_FIRST_ORDER_RATIO else 1.0 / (1.0 - ratio)
    all_taut, lines_kn, weight = True, 0.0, beam.own_weight
    for i in range(beam.line_count):
        all_taut = all_taut and at(held, i) > 0.0
        lines_kn += at(held, i)
    bound = beam.moment_reference
    for level in range(beam.level_count):
        weight += at(hung, level)
        bound += abs(at(hung, level) - at(beam.reference, level)) * at(beam.per_level, level)
    most = beam.moment_most / grown
    if all_taut and not beam.is_equalised and bound * cosine <= most * (1.0 - BOUND_MARGIN):
        return 0
    return 1 if _largest_moment(hung, held, cosine, weight * cosine - lines_kn, beam, most) > most else 0


@part
def _euler_ratio(hung, held, sine, beam: BeamRules):
    """Push / Euler's load of the span between held places that is nearest to buckling (lift.bending)."""
    count, low, worst, worst_push, worst_span = beam.line_count, 0.0, -1.0, 0.0, 0.0
    taut = 0
    for i in range(count):
        taut += 1 if at(held, i) > 0.0 else 0
    for i in range(count):
        is_held = at(held, i) > 0.0 if taut > 0 and not beam.is_equalised else i == count - 1
        if not is_held:
            continue
        high, push, first = at(beam.attach, i), 0.0, -1
        for j in range(count):
            if at(beam.attach, j) > low:
                push += at(held, j) * at(beam.attach, j) / beam.pole
                first = j if first < 0 else first
        above = at(beam.above_own, first)
        for level in range(beam.level_count):
            if at(beam.level_m, level) > low:
                above += at(hung, level)
        push += above * sine
        if push * (high - low) * (high - low) > worst:
            worst, worst_push, worst_span = push * (high - low) * (high - low), push, high - low
        low = high
    return worst_push * worst_span * worst_span / (EULER * beam.stiffness)


@part
def _largest_moment(hung, held, cosine, hinge_kn, beam: BeamRules, enough):
    """The largest size of the mast's moment, kNm, or some value over `enough` (lift_beam.largest_between)."""
    most, before = 0.0, 0.0
    for k in range(beam.place_count):
        here = at(beam.moment_own, k)
        for level in range(beam.level_count):
            here += at(hung, level) * at(beam.moment_level, level * beam.place_count + k)
        here = here * cosine + hinge_kn * at(beam.place, k)
        for i in range(beam.line_count):
            here += at(held, i) * at(beam.ramps, i * beam.place_count + k)
        most = max(most, abs(here))
        if k > 0:
            step, intensity = at(beam.place, k) - at(beam.place, k - 1), at(beam.intensity, k - 1) * cosine
            shear = (here - before) / step
            if abs(shear) < abs(intensity) * step / 2.0:
                most = max(most, abs((here + before) / 2.0 - intensity * step * step / 8.0 - shear * shear / (2.0 * intensity)))
        if most > enough:
            return most
        before = here
    return most
