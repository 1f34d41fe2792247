"""Compiled: the checks of one lift, once its table stands: winch, bending, gin pole and winch line over the ground.

Bounds that are no closer than they need be come first; what they do not decide is worked out as the plan does
(siting/lift/stage.py, line_clearance.py, siting/checks/lift.py).
"""

from __future__ import annotations

import math

from siting.lift.forces import MOMENT_ROUNDING
from siting.lift.geometry import ARM_JUDGED_TO_DEG
from siting.lift.line_clearance import FOOT_LEFT_OUT_M
from siting.lift.stage import SEARCH_STEP_DEG
from siting.screening.compiled import part
from siting.screening.lanes import at, put
from siting.screening.lift_lines import BOUND_MARGIN, bends_over
from siting.screening.lift_room import Room, arm_of
from siting.screening.lift_rules import LiftRules

WINCH, BENDING, POLE, LINE = 1, 2, 4, 8  # bits of the checks that fail


@part
def winch_over(rows, rest_deg, over_deg, moment, winch_z, lift: LiftRules, room: Room):
    """Whether the winch pulls over its limit between the rest line and 80 degrees, or its line cannot lift the mast there.

    While the line has an arm it is smallest at the ends of a step, and the weight's moment is largest at its start, once
    the mast is over level: so the pull of a step is no more than the one over the other.
    """
    last_deg = max(min(ARM_JUDGED_TO_DEG, over_deg), rest_deg)
    pole_moment, first_m = lift.pole_weight * lift.pole / 2.0, at(room.lengths, 0)
    for row in range(rows):
        put(room.rated, row, _rated(first_m - at(room.lengths, row), lift))
    is_sure, row = True, 0
    while is_sure and row + 1 < rows and at(room.degrees, row) < last_deg:
        turning = moment * at(room.cosines, row) - pole_moment * at(room.sines, row)
        if at(room.degrees, row) < 0.0:
            turning = math.sqrt(moment * moment + pole_moment * pole_moment)
        per_arm = max(at(room.per_arm, row), at(room.per_arm, row + 1))
        rated = min(at(room.rated, row), at(room.rated, row + 1))
        is_sure = turning * per_arm * (1.0 + lift.friction) <= rated * (1.0 - BOUND_MARGIN)
        row += 1
    return False if is_sure and row > 0 else _winch_over_by_steps(rows, rest_deg, last_deg, moment, winch_z, lift, room)


@part
def _rated(take_up_m, lift: LiftRules):
    """The winch's limit (kN) with so much line taken up: less on each layer of the drum (kernels.drum)."""
    if not lift.drum_m > 0.0:
        return lift.winch_most_kn
    length, line = lift.drum_wound_m + max(take_up_m, 0.0), lift.drum_line_m
    root = math.sqrt(lift.drum_m * lift.drum_m + 4.0 * line * length / (math.pi * lift.drum_wraps))
    layer = math.floor((root - lift.drum_m) / (2.0 * line) + 1e-12) + 1.0
    return lift.winch_most_kn * (lift.drum_m + line) / (lift.drum_m + (2.0 * layer - 1.0) * line)


@part
def _winch_over_by_steps(rows, rest_deg, last_deg, moment, winch_z, lift: LiftRules, room: Room):
    """The same in the plan's own steps (lift.stage.largest_pull, checks.lift.winch_use)."""
    for row in range(rows):
        pull = at(room.pulls, row)
        if at(room.degrees, row) <= ARM_JUDGED_TO_DEG and _has_forces(row, lift, room) and pull * (1.0 + lift.friction) / at(room.rated, row) > 1.0:
            return True
    pole_moment = lift.pole_weight * lift.pole / 2.0
    count = max(2, int(math.ceil((last_deg - rest_deg) / SEARCH_STEP_DEG)) + 1)
    largest, largest_deg = -1.0, rest_deg
    for i in range(count):
        degrees = rest_deg + (last_deg - rest_deg) * i / (count - 1)
        cosine, sine = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
        turning = moment * cosine - pole_moment * sine
        turning = 0.0 if abs(turning) < MOMENT_ROUNDING * (moment + pole_moment) else turning
        if turning < 0.0:
            pull = 0.0
        else:
            reach, length, _, _ = arm_of(lift.pole, cosine, sine, winch_z, lift)
            if not reach > (lift.arm_least * length if turning > 0.0 else 0.0):
                return True  # the line fails: no pull lifts the mast
            pull = turning * length / reach
        if pull > largest:
            largest, largest_deg = pull, degrees
    rated = at(room.rated, rows - 1)
    for row in range(rows - 1, -1, -1):
        if at(room.degrees, row) >= largest_deg - 1e-9:
            rated = at(room.rated, row)
    return largest * (1.0 + lift.friction) / rated > 1.0


@part
def _has_forces(row, lift: LiftRules, room: Room):
    """Whether the plan's table has forces at an angle at which the winch line has a pull."""
    return at(room.pulls, row) == at(room.pulls, row) and lift.beam.is_possible


@part
def bends(rows, moment, lift: LiftRules, room: Room):
    """Whether the mast bends over its limit at the angle nearest to level at which the winch holds it (lift.bending)."""
    pole_moment = lift.pole_weight * lift.pole / 2.0
    nearest, least = -1, math.inf
    for row in range(rows):
        turning = moment * at(room.cosines, row) - pole_moment * at(room.sines, row)
        can_lift = at(room.pulls, row) == at(room.pulls, row) and not turning < 0.0
        if can_lift and abs(at(room.degrees, row)) < least:
            nearest, least = row, abs(at(room.degrees, row))
    if nearest < 0:
        return False
    cosine = at(room.cosines, nearest)
    for i in range(lift.beam.line_count):
        put(room.lines, i, at(room.level_lines, i) * cosine)
    return bends_over(room.hung, room.lines, cosine, at(room.sines, nearest), lift.beam) == 1


@part
def clearances(ground, count, rows, winch_z, lift: LiftRules, room: Room):
    """Bits of gin pole and winch line that come too near to the ground (lift.line_clearance, checks.lift.clearances)."""
    lowest_near, reach = math.inf, int(math.ceil(lift.pole / lift.ground_step_m))
    steepness, is_lowest = _lowest_line(rows, winch_z, lift, room)
    under_line, start = math.inf, winch_z + steepness * lift.radius_m
    for i in range(count):
        height = at(ground, i)
        if height != height:
            return 0  # not known: not judged
        if i <= reach:
            lowest_near = min(lowest_near, -height)
        s_m = at(lift.ground_s_m, i)
        if s_m < lift.radius_m - lift.end_left_out_m + lift.ground_step_m:
            under_line = min(under_line, start - steepness * s_m - height)
    bits = 0
    # Below plumb the pole's places stand over the hinge, so no lower over the ground than the hinge itself is there.
    if lowest_near < lift.pole_clear_least_m and _pole_clear_m(ground, count, rows, lift, room) < lift.pole_clear_least_m:
        bits |= POLE
    is_clear = is_lowest and under_line >= lift.line_clear_least_m + BOUND_MARGIN
    if not is_clear and _line_clear_m(ground, count, rows, winch_z, lift, room) < lift.line_clear_least_m:
        bits |= LINE
    return bits


@part
def _lowest_line(rows, winch_z, lift: LiftRules, room: Room):
    """How steeply the last judged line leaves the winch, and whether no gin pole's tip before it lies under that line."""
    last = 0
    while last + 1 < rows and at(room.degrees, last + 1) <= ARM_JUDGED_TO_DEG:
        last += 1
    steepness = (lift.pole * at(room.cosines, last) - winch_z) / (lift.radius_m - max(lift.pole * at(room.sines, last), 0.0))
    is_lowest = True
    for row in range(last):
        tip_s, tip_z = max(lift.pole * at(room.sines, row), 0.0), lift.pole * at(room.cosines, row)
        is_lowest = is_lowest and tip_z - winch_z >= steepness * (lift.radius_m - tip_s)
    return steepness, is_lowest


@part
def _ground_at(ground, count, s_m, lift: LiftRules):
    """Ground above the hinge at a radius towards the winch, straight between the samples, metres."""
    i = min(int(s_m / lift.ground_step_m), count - 2)
    s0, s1 = at(lift.ground_s_m, i), at(lift.ground_s_m, i + 1)
    return at(ground, i) + (at(ground, i + 1) - at(ground, i)) * (s_m - s0) / (s1 - s0)


@part
def _pole_clear_m(ground, count, rows, lift: LiftRules, room: Room):
    """Least height of the gin pole over the ground to plumb, metres: at its ends, and over each sample when it lies level."""
    least, foot = math.inf, min(FOOT_LEFT_OUT_M / lift.pole, 1.0)
    for row in range(rows):
        tip_s, tip_z = max(lift.pole * at(room.sines, row), 0.0), lift.pole * at(room.cosines, row)
        least = min(least, tip_z - _ground_at(ground, count, tip_s, lift))
        least = min(least, foot * tip_z - _ground_at(ground, count, foot * tip_s, lift))
        for i in range(count):
            s_m = at(lift.ground_s_m, i)
            if foot * tip_s < s_m < tip_s:
                least = min(least, s_m / tip_s * tip_z - at(ground, i))
    return least


@part
def _line_clear_m(ground, count, rows, winch_z, lift: LiftRules, room: Room):
    """Least height of the winch line over the ground to 80 degrees, metres.

    All lines end at the winch: over a place the lowest is that which leaves the winch least steeply, of those whose tip is
    nearer to the base than the place.
    """
    least, lowest, row, first = math.inf, math.inf, 0, 1
    end_s = lift.radius_m - lift.end_left_out_m
    while row < rows and at(room.degrees, row) <= ARM_JUDGED_TO_DEG:
        tip_s, tip_z = max(lift.pole * at(room.sines, row), 0.0), lift.pole * at(room.cosines, row)
        while at(lift.ground_s_m, first) <= tip_s and at(lift.ground_s_m, first) < end_s:
            least = min(least, winch_z + lowest * (lift.radius_m - at(lift.ground_s_m, first)) - at(ground, first))
            first += 1
        least = min(least, tip_z - _ground_at(ground, count, tip_s, lift))
        if tip_s < end_s:
            lowest = min(lowest, (tip_z - winch_z) / (lift.radius_m - tip_s))
        row += 1
    while at(lift.ground_s_m, first) < end_s:
        least = min(least, winch_z + lowest * (lift.radius_m - at(lift.ground_s_m, first)) - at(ground, first))
        first += 1
    at_end = winch_z + lowest * lift.end_left_out_m - _ground_at(ground, count, end_s, lift)
    return min(least, at_end)
