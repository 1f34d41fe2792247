"""Compiled: the checks of the lift of one cell in one azimuth, and what the lift brings on the base; as the plan decides them.

The table of angles, its pulls and what the base bears are those of siting/lift/stage.py, forces.py and gin_poles.py.
"""

from __future__ import annotations

import math

from siting.lift.forces import ARM_LEAST_M, MOMENT_ROUNDING
from siting.lift.geometry import TABLE_STEP_DEG
from siting.screening.compiled import part
from siting.screening.lanes import at, put
from siting.screening.lift_checks import BENDING, WINCH, bends, clearances, winch_over
from siting.screening.lift_lines import Loads, hold_lines
from siting.screening.lift_room import Room, arm_of
from siting.screening.lift_rules import STEPS, LiftRules

ANGLE_ROUNDING_DEG = 1e-6  # a step of the table so near to the rest line is the rest line (lift.geometry)
LOWEST_REST_DEG = -45.0  # below that the winch line's ground is not judged (lift.line_clearance)


@part
def lift_of(z, rest, ground, count, lift: LiftRules, room: Room):
    """Bits of the checks that fail, the largest level push and the largest upward pull on the base (kN, NaN where not known).

    Args:
        z: (A,) ground at the anchors above the hinge, metres; rest: slope of the rest line, rise per metre.
        ground: (count,) ground above the hinge at lift.ground_s_m, metres; NaN: not known.
    """
    if not lift.is_known:
        return 0, math.nan, math.nan
    rest_deg = math.degrees(math.atan(rest))
    weight, moment = _hang(z, lift, room)
    over_deg = math.degrees(math.atan2(moment, lift.pole_weight * lift.pole / 2.0))
    if over_deg <= rest_deg or lift.bare_over_deg <= rest_deg:
        return 0, math.nan, math.nan  # the plan works out no forces then
    rows = _table(rest_deg, rest, lift, room)
    winch_z = at(z, lift.winch)
    push, upright = _mast_stage(z, rows, weight, moment, lift, room)
    push, upright = _pole_stages(rest_deg, rest, winch_z, push, upright, lift)
    uplift = math.nan if upright == math.inf else max(0.0, -upright)
    bits = 0
    if lift.winch_most_kn < math.inf and winch_over(rows, rest_deg, over_deg, moment, winch_z, lift, room):
        bits |= WINCH
    if lift.beam.is_judged and bends(rows, moment, lift, room):
        bits |= BENDING
    if lift.is_ground_judged and rest_deg >= LOWEST_REST_DEG:
        bits |= clearances(ground, count, rows, winch_z, lift, room)
    return bits, math.nan if push < 0.0 else push, uplift


@part
def _hang(z, lift: LiftRules, room: Room):
    """What the guys' own weight adds at each level; weight (kN) and moment (kNm) of all that is raised, level."""
    weight, moment, level = lift.weight, lift.moment, 0
    for i in range(lift.beam.level_count):
        put(room.hung, i, 0.0)
    for g in range(lift.guy_count):
        attach, radius = at(lift.guys, 4 * g), at(lift.guys, 4 * g + 1)
        rise = attach - at(z, int(at(lift.guys, 4 * g + 3)))
        kn = math.sqrt(radius * radius + rise * rise) * at(lift.guys, 4 * g + 2)
        weight += kn
        moment += kn * attach
        while at(lift.beam.level_m, level) != attach:
            level = level + 1 if level + 1 < lift.beam.level_count else 0
        put(room.hung, level, at(room.hung, level) + kn)
    return weight, moment


@part
def _table(rest_deg, rest, lift: LiftRules, room: Room):
    """The table's angles from the rest line to plumb; how many (lift.geometry.lift_angles_deg)."""
    cosine = 1.0 / math.sqrt(rest * rest + 1.0)
    put(room.degrees, 0, rest_deg)
    put(room.cosines, 0, cosine)
    put(room.sines, 0, rest * cosine)
    rows = 1
    for step in range(int(math.floor(rest_deg / TABLE_STEP_DEG)) + 1, STEPS + 1):
        if step * TABLE_STEP_DEG > rest_deg + ANGLE_ROUNDING_DEG:
            put(room.degrees, rows, step * TABLE_STEP_DEG)
            put(room.cosines, rows, at(lift.cosines, step + STEPS))
            put(room.sines, rows, at(lift.sines, step + STEPS))
            rows += 1
    return rows


@part
def _mast_stage(z, rows, weight, moment, lift: LiftRules, room: Room):
    """Arms and pulls of the table; largest level push and least upright force on the base over its angles, kN.

    An angle at which something has no hold has no forces and counts for nothing (lift.stage). Push below 0, upright infinite:
    at no angle.
    """
    beam, winch_z = lift.beam, at(z, lift.winch)
    pole_moment = lift.pole_weight * lift.pole / 2.0
    tiny = MOMENT_ROUNDING * (moment + pole_moment)
    push, upright = -1.0, math.inf
    along_pole = along_mast = 0.0
    if beam.line_count > 0 and beam.is_possible:
        hold_lines(Loads(room.hung, 1.0, moment, room.backs, 0), beam, room.level_lines, room.work)
        for i in range(beam.line_count):  # of what they hold, along the pole and along the mast: for their upright part
            along_pole += at(room.level_lines, i)
            along_mast += at(room.level_lines, i) * at(beam.attach, i) / lift.pole
    for row in range(rows):
        cosine, sine = at(room.cosines, row), at(room.sines, row)
        turning = moment * cosine - pole_moment * sine
        turning = 0.0 if abs(turning) < tiny else turning
        reach, length, dx, dz = arm_of(lift.pole, cosine, sine, winch_z, lift)
        has_arm = reach > lift.arm_least * length
        per_reach = 1.0 / reach if reach > 0.0 else math.inf
        put(room.per_arm, row, length * per_reach if has_arm else math.inf)
        put(room.lengths, row, length)
        if turning < 0.0:
            put(room.pulls, row, 0.0)
            push, upright = _held_by_backs(z, row, turning, (weight, moment), (push, upright), lift, room)
            continue
        if not (has_arm if turning > 0.0 else reach > 0.0):
            put(room.pulls, row, math.nan)
            continue
        per_m = turning * per_reach  # of the pull, for each metre of the line
        put(room.pulls, row, per_m * length)
        if not beam.is_possible:
            continue
        push = max(push, per_m * (abs(dx) if lift.winch_y == 0.0 else math.sqrt(dx * dx + lift.winch_y * lift.winch_y)))
        upright = min(upright, weight + lift.pole_weight - per_m * dz)
        if beam.line_count > 0:
            upright = min(upright, weight - cosine * (cosine * along_pole - sine * along_mast))
    return push, upright


@part
def _held_by_backs(z, row, turning, raised, borne, lift: LiftRules, room: Room):
    """The largest push and the least upright force with an angle at which the back guys hold, equally tight.

    Args:
        turning: moment about the hinge there, kNm; raised: weight (kN) and level moment (kNm) of what is raised.
        borne: the largest push and the least upright force so far, kN.
    """
    (weight, moment), (push, upright) = raised, borne
    beam, cosine, sine = lift.beam, at(room.cosines, row), at(room.sines, row)
    arm = fx = fy = fz = 0.0
    for b in range(lift.back_count):
        attach = at(lift.backs, 4 * b)
        px, pz = attach * cosine, attach * sine
        dx, dy, dz = at(lift.backs, 4 * b + 1) - px, at(lift.backs, 4 * b + 2), at(z, int(at(lift.backs, 4 * b + 3))) - pz
        length = math.sqrt(dx * dx + dy * dy + dz * dz)
        arm -= (px * dz - pz * dx) / length
        fx, fy, fz = fx + dx / length, fy + dy / length, fz + dz / length
        put(room.backs, b, (cosine * dz - sine * dx) / length)
    if arm <= ARM_LEAST_M or not beam.is_possible:
        return push, upright
    each = -turning / arm
    push = max(push, each * math.sqrt(fx * fx + fy * fy))
    upright = min(upright, weight + lift.pole_weight - each * fz)
    if beam.line_count > 0:
        square = moment * cosine
        for b in range(lift.back_count):
            put(room.backs, b, each * at(room.backs, b))
            square -= at(room.backs, b) * at(lift.backs, 4 * b)
        # The lines only pull, and hold that moment together: so they lift the mast's foot most if the lowest holds it alone.
        if square >= 0.0 and weight - each * fz + square * (sine / lift.pole - cosine / at(beam.attach, 0)) >= 0.0:
            return push, upright
        hold_lines(Loads(room.hung, cosine, square, room.backs, lift.back_count), beam, room.lines, room.work)
        along_pole = along_mast = 0.0
        for i in range(beam.line_count):
            along_pole += at(room.lines, i)
            along_mast += at(room.lines, i) * at(beam.attach, i) / lift.pole
        upright = min(upright, weight - each * fz - (cosine * along_pole - sine * along_mast))
    return push, upright


@part
def _pole_stages(rest_deg, rest, winch_z, push, upright, lift: LiftRules):
    """The largest push and the least upright force with the stages in which one gin pole raises the next (lift.gin_poles)."""
    for stage in range(lift.stage_count):
        if at(lift.stages, 7 * stage + 6) <= rest_deg:
            return push, upright  # the plan has no tables of the gin poles then
    rest_cos = 1.0 / math.sqrt(rest * rest + 1.0)
    rest_sin = rest * rest_cos
    square_deg = min(rest_deg + 90.0, 90.0)
    for stage in range(lift.stage_count):
        weight, moment, pole = at(lift.stages, 7 * stage), at(lift.stages, 7 * stage + 1), at(lift.stages, 7 * stage + 2)
        pole_weight, attach, line = at(lift.stages, 7 * stage + 3), at(lift.stages, 7 * stage + 4), at(lift.stages, 7 * stage + 5)
        pole_moment, line_m = pole_weight * pole / 2.0, math.sqrt(attach * attach + pole * pole)
        for step in range(int(math.floor(rest_deg / TABLE_STEP_DEG)) - 1, STEPS + 1):
            degrees = step * TABLE_STEP_DEG
            cosine, sine = at(lift.cosines, max(step, -STEPS) + STEPS), at(lift.sines, max(step, -STEPS) + STEPS)
            if step == int(math.floor(rest_deg / TABLE_STEP_DEG)) - 1:  # the first two: the rest line, and square to it
                degrees, cosine, sine = rest_deg, rest_cos, rest_sin
            elif step == int(math.floor(rest_deg / TABLE_STEP_DEG)):
                degrees = square_deg
                cosine, sine = (-rest_sin, rest_cos) if rest_deg < 0.0 else (at(lift.cosines, 2 * STEPS), at(lift.sines, 2 * STEPS))
            elif degrees <= rest_deg + ANGLE_ROUNDING_DEG or degrees >= square_deg - ANGLE_ROUNDING_DEG:
                continue
            turning = moment * cosine - pole_moment * sine
            turning = 0.0 if abs(turning) < MOMENT_ROUNDING * (moment + pole_moment) else turning
            reach, length, dx, dz = arm_of(pole, cosine, sine, winch_z, lift)
            if turning < 0.0 or not reach > (lift.arm_least / lift.pole * pole * length if turning > 0.0 else 0.0):
                continue
            push = max(push, turning / reach * math.sqrt(dx * dx + lift.winch_y * lift.winch_y))
            upright = min(upright, weight + pole_weight - turning / reach * dz)
            upright = min(upright, weight - line * cosine * (pole * cosine - attach * sine) / line_m)
    return push, upright
