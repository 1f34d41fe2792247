"""The search's kernel: the best azimuth of every cell, eight neighbours at once, with exact lower bounds.

For each azimuth the checks come in the order of what they cost for what they rule out. After each, a cell goes on only
if what is known so far could still take the place of its best azimuth: the highest of some utilisations is a lower
bound of the highest of all, in floating point too, since every step of it is monotone. So the result is that of
looking at everything, to the last bit.
"""

from __future__ import annotations

import numpy as np

from siting.screening.compiled import kernel, part
from siting.screening.lanes import (
    BLOCK,
    WIDE,
    at,
    both,
    choose,
    equal,
    fetch,
    keep,
    larger,
    largest,
    less,
    load,
    load_bytes,
    pointer,
    put,
    smaller,
    splat,
    store,
    sum_of,
    which,
)
from siting.screening.rules import (
    NO_END,
    arm_at_end,
    arm_used,
    at_least_used,
    at_most_used,
    capped,
    height_at,
    is_better,
    range_used,
    rest_angle,
    steepest,
    travel_used,
)
from siting.screening.stencil import COARSE_PER_ONE, FINE_PER_ONE, FINE_TO, FOLDED_STEP, STARTS, Rules, Stencil, Taps
from siting.verdict import UTILISATION_MAX

NO_AZIMUTH = 1e9
ALL_EIGHT = 255
EARLY_STAGES = 2  # stages that see some of the samples (stencil.STRIDES)
# Far more than the roundings of what is bounded, far less than what decides.
FOLDED_MARGIN_PERCENT = 1e-6
BOUND_MARGIN = 1e-9


@part
def side_heights(heights, p, hinge, stencil: Stencil, sides):
    """Heights over the hinge of every place of a side anchor, into `sides`."""
    for d in range(stencil.side_place_count):
        store(sides, d * WIDE, height_at(heights, p, stencil.sides, d, hinge) - hinge)


@part
def level_of(used):
    """The first tabled utilisation that is not below this one (stencil.LEVELS)."""
    if used <= FINE_TO:
        return int(np.ceil(used * FINE_PER_ONE))
    return FINE_TO * FINE_PER_ONE + int(np.ceil((used - FINE_TO) * COARSE_PER_ONE))


@part
def with_sides(used, k, level, stencil: Stencil, sides):
    """A lower bound of an azimuth's utilisation: this one, and that of its side guys for cells that use no more than a level."""
    rules = stencil.rules
    for s in range(rules.side_count):
        z = load(sides, at(stencil.side_places, k * rules.side_count + s) * WIDE)
        chord = (level * rules.side_count + s) * 4
        above, below = z - at(rules.chords, chord), at(rules.chords, chord + 2) - z
        used = larger(larger(used, above * at(rules.chords, chord + 1)), below * at(rules.chords, chord + 3))
    return used


@part
def anchors_used(slopes, p, k, stencil: Stencil):
    """What the slopes at an azimuth's anchors use; infinite where an anchor has no ground."""
    steep = steepest(slopes, p, stencil.anchors, k * stencil.anchor_count, stencil.anchor_count, splat(0.0))
    return choose(less(steep, splat(NO_END)), capped(at_most_used(steep, stencil.rules.anchor_most)), splat(NO_END))


@part
def folded_bound(heights, p, k, stencil: Stencil):
    """A lower bound of the utilisation by the laydown's slope; NaN where a sample has no ground.

    The slope is summed cell by cell in another order than in `slope_and_gap`, which may change it by a rounding: far less
    than the margin by which it is moved towards its range here.
    """
    rules, row = stencil.rules, k * stencil.folded_count
    one, two, three, four = splat(0.0), splat(0.0), splat(0.0), splat(0.0)
    for i in range(row, row + stencil.folded_count, FOLDED_STEP):
        one = one + load(heights, p + at(stencil.folded_at, i)) * at(stencil.folded, i)
        two = two + load(heights, p + at(stencil.folded_at, i + 1)) * at(stencil.folded, i + 1)
        three = three + load(heights, p + at(stencil.folded_at, i + 2)) * at(stencil.folded, i + 2)
        four = four + load(heights, p + at(stencil.folded_at, i + 3)) * at(stencil.folded, i + 3)
    slope = ((one + two) + (three + four)) * 100.0
    up, down = slope + FOLDED_MARGIN_PERCENT, slope - FOLDED_MARGIN_PERCENT
    inside = smaller(larger(up, splat(rules.slope_least)), down)  # the margin never carries it over the range
    return choose(less(up, splat(rules.slope_least)), range_used(up, rules.slope_least, rules.slope_most), range_used(inside, rules.slope_least, rules.slope_most))


@part
def samples_seen(heights, p, hinge, k, begin, end, rest, stencil: Stencil, profile):
    """The rest line's slope over the samples seen so far; their heights into `profile`."""
    samples = stencil.samples
    row = k * stencil.sample_count
    for i in range(begin, end):
        found = height_at(heights, p, samples, row + i, hinge)
        keep(profile, i, found)
        rest = larger(rest, (found - hinge) * at(stencil.per_s, i))
    return rest


@part
def gap_seen(h0, hinge, rest, end, stencil: Stencil, profile):
    """The largest gap under the rest line at the base and over the samples seen so far, metres."""
    gap = hinge + rest * 0.0 - h0
    for i in range(end):
        gap = larger(gap, rest * at(stencil.s_m, i) + hinge - load(profile, i * WIDE))
    return gap


@part
def slope_and_gap(h0, hinge, rest, stencil: Stencil, profile):
    """Slope of the least-squares line (percent), added up from the base outward, and the gap under the rest line (metres)."""
    total, gap = h0 * at(stencil.weights, 0), hinge + rest * 0.0 - h0
    for i in range(stencil.sample_count):
        place = at(stencil.place, i)
        height = fetch(profile, place, h0)
        total = total + height * at(stencil.weights, i + 1)
        gap = larger(gap, rest * at(stencil.s_m, place) + hinge - height)
    return total * 100.0, gap


@part
def may_leave_range(h0, stencil: Stencil, profile):
    """Whether the slope through the first stage's samples leaves the laydown's range in any of eight cells: only a guess."""
    slope = h0 * at(stencil.coarse_weights, 0)
    for i in range(at(stencil.stages, 0)):
        slope = slope + load(profile, i * WIDE) * at(stencil.coarse_weights, i + 1)
    slope = slope * 100.0
    return less(slope, splat(stencil.rules.slope_least)) | less(splat(stencil.rules.slope_most), slope)


@part
def travel_bound(hinge, best, stencil: Stencil, profile, z):
    """A lower bound of what the side guys use, from the first stage's samples.

    Under a rest line steeper than a sample's height allows, the gap there would use more than the best so far: so for a
    cell that goes on, no rest line is steeper, and the travel over the lift from that one on is no larger than the true one.
    """
    rules = stencil.rules
    ceiling = best * (max(rules.rest_most, 0.0) / 100.0)
    room = best * max(rules.gap_most, 0.0) - hinge
    for i in range(at(stencil.stages, 0)):
        ceiling = smaller(ceiling, (load(profile, i * WIDE) + room) * at(stencil.per_s, i))
    cosine, sine = rest_angle(ceiling + BOUND_MARGIN)
    bound = travel_used(z, cosine, sine, rules) - BOUND_MARGIN
    # A best that is capped is no ceiling.
    return choose(less(best, splat(UTILISATION_MAX)), bound, splat(-NO_END))


@part
def try_azimuth(heights, p, k, alive, best, best_azimuth, stencil: Stencil, scratch):
    """The best azimuths of eight cells after this one has been looked at.

    Args:
        alive: the cells that this azimuth's anchors do not rule out, as bits.
    """
    rules, azimuth = stencil.rules, splat(float(k))
    steep, sides, profile, z = scratch
    h0 = load(heights, p)
    hinge = h0 + rules.hinge_height
    used, rest, begin = load(steep, k * WIDE), splat(-NO_END), 0
    if rules.has_winch:
        winch = height_at(heights, p, stencil.winch, k, hinge) - hinge
        store(z, rules.side_count * WIDE, winch)
        alive &= is_better(capped(at_least_used(arm_at_end(winch, rules) / rules.pole, rules.arm_least)), azimuth, best, best_azimuth)
        if alive == 0:
            return best, best_azimuth
    for s in range(rules.side_count):
        store(z, s * WIDE, load(sides, at(stencil.side_places, k * rules.side_count + s) * WIDE))
    for stage in range(EARLY_STAGES):
        end = at(stencil.stages, stage)
        rest = samples_seen(heights, p, hinge, k, begin, end, rest, stencil, profile)
        used = larger(used, capped(at_most_used(rest * 100.0, rules.rest_most)))
        used = larger(used, capped(at_most_used(gap_seen(h0, hinge, rest, end, stencil, profile), rules.gap_most)))
        alive &= is_better(used, azimuth, best, best_azimuth)
        if stage == 0 and alive & may_leave_range(h0, stencil, profile) != 0:
            alive &= is_better(folded_bound(heights, p, k, stencil), azimuth, best, best_azimuth)
        if stage == 0 and rules.guy_count > 0:
            alive &= is_better(travel_bound(hinge, best, stencil, profile, z), azimuth, best, best_azimuth)
        if alive == 0:
            return best, best_azimuth
        begin = end
    rest = samples_seen(heights, p, hinge, k, begin, stencil.sample_count, rest, stencil, profile)
    used = larger(used, capped(at_most_used(rest * 100.0, rules.rest_most)))
    slope, gap = slope_and_gap(h0, hinge, rest, stencil, profile)
    used = larger(used, capped(at_most_used(gap, rules.gap_most)))
    used = larger(used, capped(range_used(slope, rules.slope_least, rules.slope_most)))
    alive &= is_better(used, azimuth, best, best_azimuth) & equal(slope, slope)
    if alive == 0:
        return best, best_azimuth
    used = lifted(rest, used, stencil, z)
    alive &= is_better(used, azimuth, best, best_azimuth)
    return choose(alive, used, best), choose(alive, azimuth, best_azimuth)


@part
def lifted(rest, used, stencil: Stencil, z):
    """The utilisation so far, with the side guys' travel and the winch line's arm.

    Args:
        z: heights of the side anchors, then of the winch, over the hinge.
    """
    rules = stencil.rules
    cosine, sine = rest_angle(rest)
    if rules.guy_count > 0:
        used = larger(used, capped(travel_used(z, cosine, sine, rules)))
    if rules.has_winch:
        used = larger(used, capped(arm_used(fetch(z, rules.side_count, rest), cosine, sine, rules)))
    return used


@part
def survivors(okay, p, wanted, stencil: Stencil, is_passing, candidates):
    """Azimuths that any of 64 cells may have, in visiting order; which cells, as bits."""
    bits, found = candidates
    anchors, count, width = stencil.anchors, 0, stencil.anchor_count
    for i in range(stencil.azimuth_count):
        k = at(stencil.visits, i)
        may = wanted
        if is_passing:
            row = k * width
            held = load_bytes(okay, p + at(anchors, row))
            for a in range(1, width):
                held = both(held, load_bytes(okay, p + at(anchors, row + a)))
                if a & 3 == 3 and which(held) & wanted == 0:
                    break
            may = which(held) & wanted
        put(bits, k, may)
        if may != 0:
            put(found, count, k)
            count += 1
    return count


@part
def search_eight(heights, slopes, p, shift, wanted, above, seed, count, run, stencil: Stencil, candidates, scratch):
    """Best utilisation and azimuth of eight cells over the azimuths that they may have.

    Args:
        seed: the azimuth to look at first: the best of the neighbours before.
        run: which of the starts a cell must not exceed.
    """
    bits, found = candidates
    steep, sides = scratch[0], scratch[1]
    best, best_azimuth = choose(wanted, splat(start_of(run)), splat(-1.0)), splat(NO_AZIMUTH)
    side_heights(heights, p, load(heights, p) + stencil.rules.hinge_height, stencil, sides)
    least, first, level = NO_END, np.int64(0), level_of(1.0)
    for i in range(count):
        k = at(found, i)
        if asked_of(bits, k, shift) & wanted != 0:
            used = anchors_used(slopes, p, k, stencil)
            store(steep, k * WIDE, used)
            total = sum_of(with_sides(used, k, level, stencil, sides))
            if total < least:
                least, first = total, k
    level = level_of(start_of(run))
    for i in range(-3, count):
        k = at(found, i) if i >= 0 else (above if i == -3 else (seed if i == -2 else first))
        alive = asked_of(bits, k, shift) & wanted
        if alive == 0 or (i >= 0 and k in (seed, first, above)):
            continue
        alive &= is_better(with_sides(load(steep, k * WIDE), k, level, stencil, sides), splat(float(k)), best, best_azimuth)
        if alive != 0:
            best, best_azimuth = try_azimuth(heights, p, k, alive, best, best_azimuth, stencil, scratch)
            level = level_of(largest(best))
    return best, best_azimuth


@part
def asked_of(bits, k, shift):
    """Which of eight cells may have an azimuth."""
    return np.int64((at(bits, k) >> np.uint64(shift)) & np.uint64(ALL_EIGHT))


@part
def bare(stencil: Stencil):
    """The stencil with bare memory in the place of its arrays (lanes.pointer)."""
    samples, sides, winch, rules = stencil.samples, stencil.sides, stencil.winch, stencil.rules
    return Stencil(
        stencil.azimuth_count, stencil.sample_count, stencil.anchor_count, stencil.side_place_count, stencil.folded_count,
        Taps(pointer(samples.first), pointer(samples.right), pointer(samples.down), pointer(samples.u), pointer(samples.v)),
        pointer(stencil.s_m), pointer(stencil.per_s), pointer(stencil.weights), pointer(stencil.place), pointer(stencil.stages),
        pointer(stencil.coarse_weights),
        pointer(stencil.anchors),
        Taps(pointer(sides.first), pointer(sides.right), pointer(sides.down), pointer(sides.u), pointer(sides.v)),
        pointer(stencil.side_places),
        Taps(pointer(winch.first), pointer(winch.right), pointer(winch.down), pointer(winch.u), pointer(winch.v)),
        pointer(stencil.folded_at), pointer(stencil.folded), pointer(stencil.visits),
        Rules(
            rules.slope_least, rules.slope_most, rules.rest_most, rules.gap_most, rules.anchor_most, rules.travel_most,
            rules.arm_least, rules.hinge_height, rules.pole, rules.end_cos, rules.end_sin, rules.has_winch, rules.winch_x,
            rules.winch_y, rules.guy_count, rules.side_count, rules.level_count, pointer(rules.guys), pointer(rules.chords),
        ),
    )  # fmt: skip


@part
def arrays_for(stencil: Stencil):
    """Room for what is known of eight cells: bits and list of azimuths, then anchors' slopes, side heights, profile, points."""
    azimuths, rules = stencil.azimuth_count, stencil.rules
    return (
        np.zeros(azimuths, dtype=np.uint64), np.empty(azimuths, dtype=np.int64), np.empty(azimuths * WIDE),
        np.empty(stencil.side_place_count * WIDE), np.empty(stencil.sample_count * WIDE), np.empty((rules.side_count + 1) * WIDE),
    )  # fmt: skip


@part
def laid_bare(arrays):
    """`arrays_for` as the parts of the search take them: candidates and scratch. The arrays must be held as long."""
    bits, found, steep, sides, profile, z = arrays
    return (pointer(bits), pointer(found)), (pointer(steep), pointer(sides), pointer(profile), pointer(z))


@part
def start_of(run):
    """The utilisation that a run of the search must not exceed."""
    return STARTS[run]


@kernel
def search_rows(raster, shape, whole_stencil: Stencil, runs, best_out, azimuth_out):
    """Best utilisation and azimuth of every wanted cell of some rows.

    Args:
        raster: flat heights (m, NaN no data), slopes (percent, infinite where unknown), okay (uint8: slope within its
            limit) and wanted (uint8) of one shape with a halo all round and room for 64 more cells at the end.
        shape: (width of the raster, first row, last row + 1, first column, last column + 1) of the cells asked for.
        runs: how many of the starts are gone through: 1 for the cells that pass, all four for every cell.
        best_out, azimuth_out: (rows, columns) of the cells asked for; NaN and -1 where there is none.
    """
    heights, slopes, okay, wanted = pointer(raster[0]), pointer(raster[1]), pointer(raster[2]), pointer(raster[3])
    width, row0, row1, col0, col1 = shape
    stencil = bare(whole_stencil)
    held, seed = arrays_for(stencil), 0
    candidates, scratch = laid_bare(held)
    got, azimuths = np.empty(WIDE), np.empty(WIDE)
    for row in range(row0, row1):
        for col in range(col0, col1, BLOCK):
            p = row * width + col
            here = which(load_bytes(wanted, p))
            for run in range(runs):
                survived = survivors(okay, p, here, stencil, run == 0, candidates) if here != 0 else 0
                if survived == 0:
                    continue
                for group in range(0, min(BLOCK, col1 - col), WIDE):
                    asked = np.int64((here >> np.uint64(group)) & np.uint64(ALL_EIGHT))
                    if asked == 0:
                        continue
                    above = seed
                    if row > row0 and azimuth_out[row - row0 - 1, min(col - col0 + group + 4, col1 - col0 - 1)] >= 0:
                        above = np.int64(azimuth_out[row - row0 - 1, min(col - col0 + group + 4, col1 - col0 - 1)])
                    best, best_azimuth = search_eight(heights, slopes, p + group, group, asked, above, seed, survived, run, stencil, candidates, scratch)
                    store(pointer(got), 0, best)
                    store(pointer(azimuths), 0, best_azimuth)
                    for i in range(min(WIDE, col1 - col - group)):
                        if azimuths[i] < NO_AZIMUTH:
                            best_out[row - row0, col - col0 + group + i] = got[i]
                            azimuth_out[row - row0, col - col0 + group + i] = np.int16(azimuths[i])
                            seed = np.int64(azimuths[i])
                            here &= ~(np.uint64(1) << np.uint64(group + i))
    return held[0].size  # the arrays behind the bare memory are held to here
