"""Lower bounds of what an azimuth uses, eight cells at once: each costs little, and none is above the true value."""

from __future__ import annotations

import numpy as np

from siting.screening.compiled import part
from siting.screening.grades import BLOCK, MOST, PER_ONE, higher, load_block, not_above, step_of, store_block, store_steps
from siting.screening.lanes import WIDE, at, choose, fused, larger, less, load, put, smaller, splat, store
from siting.screening.rules import NO_END, height_at, range_used, rest_angle, travel_used
from siting.screening.stencil import COARSE_PER_ONE, FINE_PER_ONE, FINE_TO, FOLDED_STEP, Stencil
from siting.verdict import UTILISATION_MAX

ALL_EIGHT = 255
# Far more than the roundings of what is bounded, far less than what decides.
FOLDED_MARGIN_PERCENT = 1e-6
BOUND_MARGIN = 1e-9
PASSING_LEVEL = FINE_PER_ONE  # level_of(1.0)


@part
def eight_of(bits, group):
    """The bits of eight cells among those of 64."""
    return np.int64((bits >> np.uint64(group)) & np.uint64(ALL_EIGHT))


@part
def level_of(used):
    """The first tabled utilisation that is not below this one (stencil.LEVELS)."""
    if used <= FINE_TO:
        return int(np.ceil(used * FINE_PER_ONE))
    return FINE_TO * FINE_PER_ONE + int(np.ceil((used - FINE_TO) * COARSE_PER_ONE))


@part
def guys_used(used, z, side, level, stencil: Stencil):
    """This utilisation and that of a side anchor's guys, at least, for cells that use no more than a level.

    Args:
        z: height of the anchor over the hinge, metres.
    """
    rules = stencil.rules
    chord = (level * rules.side_count + side) * 4
    above, below = z - at(rules.chords, chord), at(rules.chords, chord + 2) - z
    return larger(larger(used, above * at(rules.chords, chord + 1)), below * at(rules.chords, chord + 3))


@part
def with_sides(used, k, group, level, stencil: Stencil, sides):
    """A lower bound of an azimuth's utilisation: this one, and that of its side guys for cells that use no more than a level."""
    count = stencil.rules.side_count
    for s in range(count):
        z = load(sides, at(stencil.side_places, k * count + s) * BLOCK + group)
        used = guys_used(used, z, s, level, stencil)
    return used


@part
def side_place(heights, p, wanted, d, stencil: Stencil, block):
    """Heights over the hinge of one place of a side anchor for 64 cells, and the least that its guys use where that may pass."""
    side = at(stencil.side_of, d)
    for group in range(0, BLOCK, WIDE):
        if eight_of(wanted, group) != 0:
            hinge = load(heights, p + group) + stencil.rules.hinge_height
            z = height_at(heights, p + group, stencil.sides, d, hinge) - hinge
            store(block.sides, d * BLOCK + group, z)
            store_steps(block.side_steps, d * BLOCK + group, step_of(guys_used(splat(0.0), z, side, PASSING_LEVEL, stencil)))


@part
def azimuths_for(heights, steps, p, wanted, is_passing, stencil: Stencil, block):
    """Azimuths that any of 64 cells may have, in visiting order; how many. The least that each uses goes into the block.

    Args:
        is_passing: only where anchors and side guys may be within their limits; else wherever the anchors have ground.
    """
    anchors, count, width, side_count = stencil.anchors, 0, stencil.anchor_count, stencil.rules.side_count
    most = int(PER_ONE) if is_passing else int(MOST)
    for d in range(stencil.side_place_count):
        put(block.is_known, d, 0)
    for i in range(stencil.azimuth_count):
        k = at(stencil.visits, i)
        row = k * width
        held = load_block(steps, p + at(anchors, row))
        for a in range(1, width):
            held = higher(held, load_block(steps, p + at(anchors, row + a)))
            if a & 3 == 3 and not_above(held, most) & wanted == 0:
                break
        may = not_above(held, most) & wanted
        for s in range(side_count):
            d = at(stencil.side_places, k * side_count + s)
            if may != 0 and at(block.is_known, d) == 0:
                side_place(heights, p, wanted, d, stencil, block)
                put(block.is_known, d, 1)
            if may != 0 and is_passing:
                held = higher(held, load_block(block.side_steps, d * BLOCK))
        store_block(block.steps, k * BLOCK, held)
        if may != 0 and not_above(held, most) & wanted != 0:
            put(block.found, count, k)
            count += 1
    return count


@part
def folded_bound(heights, p, k, stencil: Stencil):
    """A lower bound of the utilisation by the laydown's slope; NaN where a sample has no ground.

    The slope is summed cell by cell in another order than in `slope_and_gap`, which may change it by a rounding: far less
    than the margin by which it is moved towards its range here.
    """
    rules, row = stencil.rules, k * stencil.folded_count
    one, two, three, four = splat(0.0), splat(0.0), splat(0.0), splat(0.0)
    for i in range(row, row + stencil.folded_count, FOLDED_STEP):
        one = fused(load(heights, p + at(stencil.folded_at, i)), at(stencil.folded, i), one)
        two = fused(load(heights, p + at(stencil.folded_at, i + 1)), at(stencil.folded, i + 1), two)
        three = fused(load(heights, p + at(stencil.folded_at, i + 2)), at(stencil.folded, i + 2), three)
        four = fused(load(heights, p + at(stencil.folded_at, i + 3)), at(stencil.folded, i + 3), four)
    slope = ((one + two) + (three + four)) * 100.0
    up, down = slope + FOLDED_MARGIN_PERCENT, slope - FOLDED_MARGIN_PERCENT
    inside = smaller(larger(up, splat(rules.slope_least)), down)  # the margin never carries it over the range
    return choose(less(up, splat(rules.slope_least)), range_used(up, rules.slope_least, rules.slope_most), range_used(inside, rules.slope_least, rules.slope_most))


@part
def slope_guess(h0, stencil: Stencil, profile):
    """What the slope through the first stage's samples uses where it leaves the laydown's range: only a guess."""
    slope = h0 * at(stencil.coarse_weights, 0)
    for i in range(at(stencil.stages, 0)):
        slope = fused(load(profile, i * WIDE), at(stencil.coarse_weights, i + 1), slope)
    return range_used(slope * 100.0, stencil.rules.slope_least, stencil.rules.slope_most)


@part
def travel_bound(hinge, best, stencil: Stencil, profile, z):
    """A lower bound of what the side guys use, from the first stage's samples and one guy of each side anchor.

    Under a rest line steeper than a sample's height allows, the gap there would use more than the best so far: so for a
    cell that goes on, no rest line is steeper, and the travel over the lift from that one on is no larger than the true one.
    """
    rules = stencil.rules
    ceiling = best * (max(rules.rest_most, 0.0) / 100.0)
    room = best * max(rules.gap_most, 0.0) - hinge
    for i in range(at(stencil.stages, 0)):
        ceiling = smaller(ceiling, (load(profile, i * WIDE) + room) * at(stencil.per_s, i))
    cosine, sine = rest_angle(ceiling + BOUND_MARGIN)
    bound = travel_used(z, cosine, sine, rules, rules.leaders, rules.leader_count) - BOUND_MARGIN
    # A best that is capped is no ceiling.
    return choose(less(best, splat(UTILISATION_MAX)), bound, splat(-NO_END))
