"""Cells one at a time: every check of every azimuth without a short cut, and the search where azimuths are left out."""

from __future__ import annotations

import numpy as np

from siting.screening.bounds import azimuths_for
from siting.screening.compiled import kernel, part
from siting.screening.eight import NO_AZIMUTH, arrays_for, bare, laid_bare, samples_seen, search_eight, slope_and_gap
from siting.screening.lanes import WIDE, at, larger, pointer, put, store
from siting.screening.rules import (
    NO_END,
    arm_used,
    at_most_used,
    capped,
    height_at,
    range_used,
    rest_angle,
    slope_used,
    steepest,
    travel_used,
)
from siting.screening.stencil import Stencil

# The order of `uses`: that of records.search.RULES without its first and last.
ANCHOR, SLOPE, REST, GAP, TRAVEL, ARM = range(6)
USES = 6


@part
def uses_of(heights, slopes, p, k, stencil: Stencil, profile, z, uses):
    """What each check of one azimuth of one cell uses, into `uses`; the worst, NaN without ground.

    The laydown's slope counts in the worst only where it is out of its range (sweep.choose).
    """
    rules = stencil.rules
    h0 = at(heights, p)
    hinge = h0 + rules.hinge_height
    for s in range(rules.side_count):
        put(z, s, height_at(heights, p, stencil.sides, at(stencil.side_places, k * rules.side_count + s), hinge) - hinge)
    steep = steepest(slopes, p, stencil.anchors, k * stencil.anchor_count, stencil.anchor_count, h0)
    rest = samples_seen(heights, p, hinge, k, 0, stencil.sample_count, -NO_END, stencil, profile)
    slope, gap = slope_and_gap(h0, hinge, rest, stencil, profile)
    if not steep < NO_END or slope != slope:
        return np.nan
    cosine, sine = rest_angle(rest)
    put(uses, ANCHOR, capped(at_most_used(steep, rules.anchor_most)))
    put(uses, SLOPE, capped(slope_used(slope, rules.slope_least, rules.slope_most)))
    put(uses, REST, capped(at_most_used(rest * 100.0, rules.rest_most)))
    put(uses, GAP, capped(at_most_used(gap, rules.gap_most)))
    put(uses, TRAVEL, -NO_END)
    put(uses, ARM, -NO_END)
    if rules.guy_count > 0:
        put(uses, TRAVEL, capped(travel_used(z, cosine, sine, rules, rules.guys, rules.guy_count)))
    if rules.has_winch:
        winch = height_at(heights, p, stencil.winch, k, hinge) - hinge
        put(uses, ARM, capped(arm_used(winch, cosine, sine, rules)))
    worst = capped(range_used(slope, rules.slope_least, rules.slope_most))
    for check in range(USES):
        if check != SLOPE:
            worst = larger(worst, at(uses, check))
    return worst


@kernel
def score_azimuths(raster, p, whole_stencil: Stencil, used):
    """The worst utilisation of every azimuth of one cell into `used` (K,), NaN without ground."""
    heights, slopes, stencil = pointer(raster[0]), pointer(raster[1]), bare(whole_stencil)
    profile, z, uses = np.empty(stencil.sample_count), np.empty(stencil.rules.side_count + 1), np.empty(USES)
    for k in range(stencil.azimuth_count):
        used[k] = uses_of(heights, slopes, p, k, stencil, pointer(profile), pointer(z), pointer(uses))
    return profile.size + z.size + uses.size


@kernel
def search_cells(raster, cells, allowed, whole_stencil: Stencil, runs, best_out, azimuth_out):
    """Best utilisation and azimuth of some cells, each with its own azimuths left out.

    Args:
        raster, runs: as eight.search_rows has them.
        cells: (m,) flat indices; allowed: (m, K) uint8.
        best_out, azimuth_out: (m,); left as they are where there is none.
    """
    heights, slopes, steps, stencil = pointer(raster[0]), pointer(raster[1]), pointer(raster[2]), bare(whole_stencil)
    held = arrays_for(stencil)
    block = laid_bare(held)
    got, azimuths = np.empty(WIDE), np.empty(WIDE)
    for cell in range(cells.size):
        for run in range(runs):
            count = 0
            for i in range(azimuths_for(heights, steps, cells[cell], np.uint64(1), run == 0, stencil, block)):
                k = at(block.found, i)
                if allowed[cell, k]:
                    put(block.found, count, k)
                    count += 1
            if count == 0:
                continue
            best, best_azimuth = search_eight(heights, slopes, cells[cell], 0, 1, at(block.found, 0), at(block.found, 0), count, run, stencil, block)
            store(pointer(got), 0, best)
            store(pointer(azimuths), 0, best_azimuth)
            if azimuths[0] < NO_AZIMUTH:
                best_out[cell], azimuth_out[cell] = got[0], np.int16(azimuths[0])
                break
    return held[0].size  # the arrays behind the bare memory are held to here


@kernel
def look_into(raster, cells, allowed, whole_stencil: Stencil, critical, lost):
    """Rule by rule: what removed a cell, and how far each limit decides.

    Args:
        cells: (m,) flat indices; allowed: (m, K) uint8, what the land leaves.
        critical: (m, 6) is filled: the least utilisation of a check over the azimuths whose other checks all pass.
        lost: (m,) uint8 is filled: 0 no ground, 1 to 6 the first check after which no azimuth is left, 7 the land, 8 passes.
    """
    heights, slopes, stencil = pointer(raster[0]), pointer(raster[1]), bare(whole_stencil)
    profile, z, uses = np.empty(stencil.sample_count), np.empty(stencil.rules.side_count + 1), np.empty(USES)
    for cell in range(cells.size):
        reached = 0
        critical[cell] = np.inf
        for k in range(stencil.azimuth_count):
            worst = uses_of(heights, slopes, cells[cell], k, stencil, pointer(profile), pointer(z), pointer(uses))
            if worst != worst:
                continue
            passed = 1
            while passed <= USES and uses[passed - 1] <= 1.0:
                passed += 1
            if passed > USES and allowed[cell, k]:
                passed += 1
            reached = max(reached, passed)
            if allowed[cell, k]:
                for check in range(USES):
                    others = True
                    for other in range(USES):
                        others = others and (other == check or uses[other] <= 1.0)
                    if others:
                        critical[cell, check] = min(critical[cell, check], uses[check])
        lost[cell] = reached
    return profile.size + z.size + uses.size
