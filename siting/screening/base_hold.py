"""Whether pins or a buried plate hold the base of a lift, in compiled form: pass or fail as holding.choose.hold_base finds it."""

from __future__ import annotations

import math

from numba.extending import register_jitable

from siting.holding.breakout import clay_plug, sand_plug
from siting.holding.earth_pressure import FAN_RAD, active_root, cohesive_net_kpa, passive_root, wedge_root
from siting.holding.ground_places import RINGS_M
from siting.holding.ladder import STEP_M
from siting.holding.plate import LAST_STEP, slanting_kn
from siting.records.soil import vertical_stress_kpa
from siting.screening.base_ground import (
    LINE,
    MIDDLE,
    RINGS,
    Around,
    around_of,
    hidden_at,
    is_bank_near,
    is_inside,
    is_known,
    knows,
    lowest_at,
    rise_at,
    steepest_deg,
)
from siting.screening.base_rules import COLUMNS, HALF_UPRIGHT, HEIGHT, LENGTH, MOST, NEED, BaseRules, PlateGround, Plates
from siting.screening.compiled import part
from siting.screening.lanes import at, pointer

# The plan's own formulas, compiled into the kernels as they stand.
for formula in (
    active_root, clay_plug, cohesive_net_kpa, passive_root, sand_plug, slanting_kn, vertical_stress_kpa, wedge_root,
):  # fmt: skip
    register_jitable(formula)

PUSH_FAILS, PULL_FAILS = 1, 2  # bits of base_fails
TOO_SHALLOW = -1.0  # in the place of what a plate holds


@part
def bare_base(base: BaseRules):
    """The rules with bare memory in the place of their arrays (lanes.pointer)."""
    plates = Plates(base.plates.count, pointer(base.plates.rows), pointer(base.plates.strongest_first))
    return BaseRules(base.knows_soil, base.pins_kn, base.drawn_kn, base.most_kn, base.scratch_size, plates, base.ground)


@part
def holds(load_kn, allowable_kn):
    """Whether a load uses no more than is allowed (checks.holding)."""
    return allowable_kn > 0.0 and load_kn / allowable_kn <= 1.0


@part
def of_size(size, column, base: BaseRules):
    """A number of one size of plate."""
    return at(base.plates.rows, size * COLUMNS + column)


@part
def is_too_far(step, size, around: Around, base: BaseRules):
    """Whether a rod is too long for the pit or for the ground that is known, or ends near a bank (holding.plate)."""
    ground, height = base.ground, of_size(size, HEIGHT, base)
    rod = step * STEP_M
    out = rod * ground.cos
    if not is_inside(out, out, around):
        return True
    depth = rod * ground.sin + rise_at(out, around)
    if depth + of_size(size, HALF_UPRIGHT, base) > ground.deepest_m:
        return True
    reach = max(depth + height / 2.0, 0.0) * ground.wedge
    reach = max(reach, max(of_size(size, LENGTH, base), height) / 2.0 + max(depth, 0.0) * ground.plug)
    return not knows(out, reach, around) or is_bank_near(out, reach, around)


@part
def farthest_step(size, around: Around, base: BaseRules):
    """The longest rod in steps, as holding.ladder.farthest looks for it; 0 where none is."""
    low, high = 0, LAST_STEP
    while low < high:
        middle = (low + high + 1) // 2
        if is_too_far(middle, size, around, base):
            high = middle - 1
        else:
            low = middle
    return low


@part
def level_push_kpa(stress, fall, rise, ground: PlateGround):
    """Push of the ground before a plate less that behind it; NaN where it slopes too steeply."""
    if ground.is_granular:
        if fall >= ground.friction_deg or rise >= ground.friction_deg:
            return math.nan
        passive, active = passive_root(ground.friction_deg, fall), active_root(ground.friction_deg, rise)
        return stress * max(passive**ground.square - active**ground.square, 0.0)
    turned = math.radians(fall)
    return math.nan if turned >= FAN_RAD else cohesive_net_kpa(ground.undrained_kpa, stress, turned)


@part
def stress_at(depth, ground: PlateGround):
    """Vertical stress at a depth, kPa."""
    return vertical_stress_kpa(depth, ground.water_m, ground.unit_weight_kn_m3, ground.buoyant_kn_m3)


@part
def allowable_at(step, size, around: Around, base: BaseRules):
    """Pull along the rod that a size may take at a step, kN; TOO_SHALLOW, or NaN outside the method's range."""
    ground, length, height = base.ground, of_size(size, LENGTH, base), of_size(size, HEIGHT, base)
    wide, long = min(length, height), max(length, height)
    rod = step * STEP_M
    out = rod * ground.cos
    depth = rod * ground.sin + rise_at(out, around)
    reach = max(depth + height / 2.0, 0.0) * ground.wedge
    cover = rod * ground.sin + lowest_at(out, long / 2.0 + max(depth, 0.0) * ground.plug, around)
    level_depth = depth - hidden_at(out, reach, around) if ground.is_granular else min(cover, depth)
    if cover != cover or level_depth != level_depth:
        return math.nan
    if not min(cover, level_depth) >= of_size(size, NEED, base):
        return TOO_SHALLOW
    fall, rise = steepest_deg(out, -reach, -1.0, around), steepest_deg(out, reach, 1.0, around)
    if fall != fall or rise != rise:
        return math.nan
    area, stress = wide * long, stress_at(cover, ground)
    if ground.is_granular:
        upward = area * stress * sand_plug(cover, wide, long, ground.sand_row, ground.tan_friction)
    else:
        upward = area * (ground.undrained_kpa * clay_plug(cover, wide, long) + stress)
    top, bottom = level_depth - height / 2.0, level_depth + height / 2.0
    level = level_push_kpa((stress_at(top, ground) + stress_at(bottom, ground)) / 2.0, fall, rise, ground) * length * height
    return math.nan if level != level else slanting_kn(upward, level, ground.angle_rad) / ground.factor


@part
def walk_size(tie_kn, size, is_even, around: Around, base: BaseRules):
    """What a size may take at the rod that holding.ladder.walk gives it; below 0 where it is refused, NaN where the method ends.

    On even ground what it may take at its longest rod is enough. Elsewhere the shorter rods that the plan tries may lie
    outside the method, and then it refuses every size.
    """
    end = farthest_step(size, around, base)
    if end == 0:
        return TOO_SHALLOW
    found = allowable_at(end, size, around, base)
    if is_even or not found >= tie_kn:
        return found
    low, high = 1, end
    while low < high:
        middle = (low + high) // 2
        there = allowable_at(middle, size, around, base)
        if there != there:
            return there
        if there >= tie_kn:
            high, found = middle, there
        else:
            low = middle + 1
    return found


@part
def plate_holds(line, rings, push_kn, base: BaseRules, scratch):
    """1 where a plate of the list, tied to the base plate, holds its level push, else 0.

    Args:
        line: (75,) heights of holding.ground_places.LINE_M along the laydown, then ACROSS_M to its left and to its right.
        rings: (24,) the lowest height on each of RINGS_M; NaN unknown. Both in metres above the base's ground.
        scratch: base.scratch_size doubles; all three bare memory.
    """
    ground, tie_kn = base.ground, push_kn / base.ground.cos
    around = around_of(line, rings, scratch)
    is_even = around.first == 0 and around.steepest < ground.even_ratio and push_kn > 0.0
    strongest = TOO_SHALLOW
    for i in range(base.plates.count):
        size = at(base.plates.strongest_first, i) if is_even else i
        if is_even and of_size(size, MOST, base) < tie_kn:
            break
        found = walk_size(tie_kn, size, is_even, around, base)
        if found != found:
            return 0
        strongest = max(strongest, found)
        if found >= tie_kn:
            strongest = found
            break
    return 1 if holds(tie_kn, strongest) else 0


@part
def rings_for(line, base: BaseRules):
    """How many rings any rod that fits into the pit may ask for; what lies farther out decides nothing.

    A rod ends no deeper under the lowest ground of the line than the pit may be.

    Args:
        line: as plate_holds has it.
    """
    ground, lowest = base.ground, 0.0
    for i in range(MIDDLE, LINE):
        if not is_known(at(line, i)):
            break
        lowest = min(lowest, at(line, i))
    rod = min((ground.deepest_m - lowest) / ground.sin, LAST_STEP * STEP_M)
    return min(int(math.ceil((rod * ground.cos + ground.reach_m) / RINGS_M[0])) + 1, RINGS)


@part
def needs_plate(push_kn, base: BaseRules):
    """Whether the ground must be looked at: the pins do not hold the push, and some plate might."""
    return base.knows_soil and push_kn == push_kn and not holds(push_kn, base.pins_kn) and push_kn / base.ground.cos <= base.most_kn


@part
def base_fails(line, rings, push_kn, uplift_kn, base: BaseRules, scratch):
    """PUSH_FAILS where neither pins nor a plate hold the level push, PULL_FAILS where the pins do not hold the upward pull; 0 none.

    NaN is not known and does not fail. The ground is looked at only where `needs_plate` says so.

    Args:
        line, rings, scratch: as plate_holds has them; push_kn, uplift_kn: largest forces of the lift on the base.
    """
    if not base.knows_soil:
        return 0
    bits, pins_fail = 0, push_kn == push_kn and not holds(push_kn, base.pins_kn)
    if pins_fail and not (needs_plate(push_kn, base) and plate_holds(line, rings, push_kn, base, scratch)):
        bits |= PUSH_FAILS
    if uplift_kn > 0.0 and not holds(uplift_kn, base.drawn_kn):
        bits |= PULL_FAILS
    return bits
