"""The search's kernel: the best azimuth of every cell, eight neighbours at once, with exact lower bounds.

For each azimuth the checks come in the order of what they cost for what they rule out. After each, a cell goes on only
if what is known so far could still take the place of its best azimuth: the highest of some utilisations is a lower
bound of the highest of all, in floating point too, since every step of it is monotone. So the result is that of
looking at everything, to the last bit.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from siting.screening.bounds import azimuths_for, eight_of, folded_bound, level_of, slope_guess, travel_bound, with_sides
from siting.screening.compiled import kernel, part
from siting.screening.grades import BLOCK, NO_GROUND, eight_not_above, load_block, step_of, store_steps, which
from siting.screening.lanes import WIDE, at, choose, equal, fetch, keep, larger, largest, less, load, pointer, splat, store
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
from siting.screening.stencil import STARTS, STRIDES, Rules, Stencil, Taps

NO_AZIMUTH = 1e9
EARLY_STAGES = len(STRIDES)  # stages that see some of the samples


class Block(NamedTuple):
    """What is known of 64 cells beside each other, and of eight of them, as bare memory (lanes.pointer)."""

    steps: Any  # (K, 64) uint8: the least that an azimuth uses (grades.step_of)
    best: Any  # (64,) uint8: the best so far
    found: Any  # (K,) azimuths that any cell may have
    is_known: Any  # (D,) whether a place of a side anchor has been looked at
    sides: Any  # (D, 64) height of the place over the hinge, metres
    side_steps: Any  # (D, 64) uint8: the least that its guys use where they may pass
    profile: Any  # (n, 8) heights of the samples, metres
    z: Any  # (S + 1, 8) heights of side anchors and winch over the hinge, metres


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
def try_azimuth(heights, slopes, p, k, group, alive, best, best_azimuth, stencil: Stencil, block):
    """The best azimuths of eight cells after this one has been looked at.

    Args:
        alive: the cells that this azimuth's anchors and side guys do not rule out, as bits.
    """
    rules, azimuth, profile, z = stencil.rules, splat(float(k)), block.profile, block.z
    h0 = load(heights, p)
    hinge = h0 + rules.hinge_height
    rest, begin = splat(-NO_END), 0
    for stage in range(EARLY_STAGES):
        end = at(stencil.stages, stage)
        rest = samples_seen(heights, p, hinge, k, begin, end, rest, stencil, profile)
        gap = gap_seen(h0, hinge, rest, end, stencil, profile)
        bound = capped(larger(rest * stencil.per_rest_most, gap * stencil.per_gap_most))
        alive &= is_better(bound, azimuth, best, best_azimuth)
        if stage == 0 and alive != 0:
            for s in range(rules.side_count):
                store(z, s * WIDE, load(block.sides, at(stencil.side_places, k * rules.side_count + s) * BLOCK + group))
            if rules.leader_count > 0:
                alive &= is_better(travel_bound(hinge, best, stencil, profile, z), azimuth, best, best_azimuth)
            if alive != 0 and rules.has_winch:
                winch = height_at(heights, p, stencil.winch, k, hinge) - hinge
                store(z, rules.side_count * WIDE, winch)
                alive &= is_better(capped(at_least_used(arm_at_end(winch, rules) / rules.pole, rules.arm_least)), azimuth, best, best_azimuth)
            if alive & less(best, slope_guess(h0, stencil, profile)) != 0:
                alive &= is_better(capped(folded_bound(heights, p, k, stencil)), azimuth, best, best_azimuth)
        if alive == 0:
            return best, best_azimuth
        begin = end
    rest = samples_seen(heights, p, hinge, k, begin, stencil.sample_count, rest, stencil, profile)
    slope, gap = slope_and_gap(h0, hinge, rest, stencil, profile)
    steep = steepest(slopes, p, stencil.anchors, k * stencil.anchor_count, stencil.anchor_count, rest)
    used = capped(at_most_used(steep, rules.anchor_most))
    used = larger(used, capped(at_most_used(rest * 100.0, rules.rest_most)))
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
        used = larger(used, capped(travel_used(z, cosine, sine, rules, rules.guys, rules.guy_count)))
    if rules.has_winch:
        used = larger(used, capped(arm_used(fetch(z, rules.side_count, rest), cosine, sine, rules)))
    return used


@part
def search_eight(heights, slopes, p, group, wanted, above, seed, count, run, stencil: Stencil, block):
    """Best utilisation and azimuth of eight cells over the azimuths that they may have.

    Args:
        p: the first of them; group: which of the block's 64 cells that is.
        above, seed: azimuths to look at first: the best of neighbours before.
        count: how many azimuths the block has found; run: which of the starts a cell must not exceed.
    """
    best, best_azimuth = choose(wanted, splat(start_of(run)), splat(-1.0)), splat(NO_AZIMUTH)
    store_steps(block.best, group, step_of(splat(start_of(run))))
    least, likely, level = np.int64(NO_GROUND), np.int64(0), level_of(start_of(run))
    for i in range(count):
        k = at(block.found, i)
        step = np.int64(at(block.steps, k * BLOCK + group + WIDE // 2))
        if step < least:
            least, likely = step, k
    for i in range(-3, count):
        k = at(block.found, i) if i >= 0 else (above if i == -3 else (seed if i == -2 else likely))
        alive = eight_not_above(block.steps, k * BLOCK + group, block.best, group) & wanted
        if alive == 0 or (i >= 0 and k in (seed, likely, above)):
            continue
        alive &= is_better(with_sides(splat(-NO_END), k, group, level, stencil, block.sides), splat(float(k)), best, best_azimuth)
        if alive != 0:
            best, best_azimuth = try_azimuth(heights, slopes, p, k, group, alive, best, best_azimuth, stencil, block)
            store_steps(block.best, group, step_of(larger(splat(0.0), best)))
            level = level_of(largest(best))
    return best, best_azimuth


@part
def bare_taps(taps: Taps):
    """Taps with bare memory in the place of their arrays (lanes.pointer)."""
    return Taps(pointer(taps.first), pointer(taps.right), pointer(taps.down), pointer(taps.u), pointer(taps.v))


@part
def bare(stencil: Stencil):
    """The stencil with bare memory in the place of its arrays (lanes.pointer)."""
    rules = stencil.rules
    return Stencil(
        stencil.azimuth_count, stencil.sample_count, stencil.anchor_count, stencil.side_place_count, stencil.folded_count,
        stencil.per_rest_most, stencil.per_gap_most,
        bare_taps(stencil.samples), pointer(stencil.s_m), pointer(stencil.per_s), pointer(stencil.weights), pointer(stencil.place), pointer(stencil.stages),
        pointer(stencil.coarse_weights),
        pointer(stencil.anchors),
        bare_taps(stencil.sides), pointer(stencil.side_of), pointer(stencil.side_places), bare_taps(stencil.winch),
        pointer(stencil.folded_at), pointer(stencil.folded), pointer(stencil.visits),
        Rules(
            rules.slope_least, rules.slope_most, rules.rest_most, rules.gap_most, rules.anchor_most, rules.travel_most,
            rules.arm_least, rules.hinge_height, rules.pole, rules.end_cos, rules.end_sin, rules.has_winch, rules.winch_x,
            rules.winch_y, rules.guy_count, rules.side_count, pointer(rules.guys), rules.leader_count,
            pointer(rules.leaders), pointer(rules.chords),
        ),
    )  # fmt: skip


@part
def arrays_for(stencil: Stencil):
    """Memory for what is known of 64 cells and of eight of them, in the order of Block."""
    azimuths, places = stencil.azimuth_count, stencil.side_place_count
    return (
        np.empty(azimuths * BLOCK, dtype=np.uint8), np.empty(BLOCK, dtype=np.uint8), np.empty(azimuths, dtype=np.int64),
        np.empty(places, dtype=np.int64), np.empty(places * BLOCK), np.empty(places * BLOCK, dtype=np.uint8),
        np.empty(stencil.sample_count * WIDE), np.empty((stencil.rules.side_count + 1) * WIDE),
    )  # fmt: skip


@part
def laid_bare(arrays):
    """`arrays_for` as the parts of the search take them. The arrays must be held as long."""
    steps, best, found, is_known, sides, side_steps, profile, z = arrays
    return Block(pointer(steps), pointer(best), pointer(found), pointer(is_known), pointer(sides), pointer(side_steps), pointer(profile), pointer(z))


@part
def start_of(run):
    """The utilisation that a run of the search must not exceed."""
    return STARTS[run]


@kernel
def search_rows(raster, shape, whole_stencil: Stencil, runs, best_out, azimuth_out):
    """Best utilisation and azimuth of every wanted cell of some rows.

    Args:
        raster: flat heights (m, NaN no data), slopes (percent, infinite where unknown), steps (uint8: what the slope uses
            for an anchor, grades.step_of) and wanted (uint8) of one shape with a halo all round and room for 64 more cells at the end.
        shape: (width of the raster, first row, last row + 1, first column, last column + 1) of the cells asked for.
        runs: how many of the starts are gone through: 1 for the cells that pass, 2 for every cell.
        best_out, azimuth_out: (rows, columns) of the cells asked for; NaN and -1 where there is none.
    """
    heights, slopes, steps, wanted = pointer(raster[0]), pointer(raster[1]), pointer(raster[2]), pointer(raster[3])
    width, row0, row1, col0, col1 = shape
    stencil = bare(whole_stencil)
    held, seed = arrays_for(stencil), 0
    block = laid_bare(held)
    got, azimuths = np.empty(WIDE), np.empty(WIDE)
    for row in range(row0, row1):
        for col in range(col0, col1, BLOCK):
            p = row * width + col
            here = which(load_block(wanted, p))
            for run in range(runs):
                if here == 0:
                    continue
                count = azimuths_for(heights, steps, p, here, run == 0, stencil, block)
                if count == 0:
                    continue
                for group in range(0, min(BLOCK, col1 - col), WIDE):
                    asked = eight_of(here, group)
                    if asked == 0:
                        continue
                    above = np.int64(azimuth_out[row - row0 - 1, min(col - col0 + group + WIDE // 2, col1 - col0 - 1)]) if row > row0 else seed
                    above = above if above >= 0 else seed
                    best, best_azimuth = search_eight(heights, slopes, p + group, group, asked, above, seed, count, run, stencil, block)
                    store(pointer(got), 0, best)
                    store(pointer(azimuths), 0, best_azimuth)
                    for i in range(min(WIDE, col1 - col - group)):
                        if azimuths[i] < NO_AZIMUTH:
                            best_out[row - row0, col - col0 + group + i] = got[i]
                            azimuth_out[row - row0, col - col0 + group + i] = np.int16(azimuths[i])
                            seed = np.int64(azimuths[i])
                            here &= ~(np.uint64(1) << np.uint64(group + i))
    return held[0].size  # the arrays behind the bare memory are held to here
