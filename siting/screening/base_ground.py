"""The ground around a base in compiled form: as holding.ground_cover.GroundLine finds it, number for number."""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numpy as np

from siting.holding.ground_cover import BANK_DROP_M, BANK_PERCENT
from siting.holding.ground_places import ACROSS_M, LINE_M, RINGS_M, STEP_M
from siting.screening.compiled import part
from siting.screening.lanes import at, put

LINE, RINGS = LINE_M.size, RINGS_M.size
MIDDLE = int(np.flatnonzero(LINE_M == 0.0)[0])
PER_STEP = 1.0 / STEP_M  # half a metre: times that is exact
PER_RING = int(RINGS_M[0] / STEP_M)  # rings are as far apart as the first is from the base
# Where in the bare memory stands what each ring hides, the ends of falls, those of bands between rings.
FALLS, BANDS = RINGS, RINGS + 2 * LINE


class Around(NamedTuple):
    """A base's ground ready to be asked; metres outward from the base, and above its ground."""

    line: Any  # heights of the profile, as bare memory
    kept: Any  # what each ring hides, banks on the line and between rings, as bare memory
    first: int  # of the profile's heights that are known
    end: int  # behind the last of them
    ring_count: int  # rings that are known
    fall_count: int
    band_count: int
    across: float  # slope square to the line, a ratio
    steepest: float  # rise / run between neighbours on the line


@part
def is_known(value):
    """Whether a height is one."""
    return value - value == 0.0


@part
def s_at(index):
    """Distance of a place of the profile, metres outward."""
    return (index - MIDDLE) * STEP_M


@part
def first_behind(s_m):
    """The first place of an endless profile farther out than that."""
    return math.floor(s_m * PER_STEP) + 1 + MIDDLE


@part
def first_from(s_m):
    """The first place of an endless profile there or farther out."""
    return math.ceil(s_m * PER_STEP) + MIDDLE


@part
def rise_between(line, first, end, out_m):
    """Height on the part of the line that is known, straight between samples; the caller has seen that it is known there."""
    index = min(max(first_behind(out_m) - 1, first), end - 2)
    low = at(line, index)
    return low + (out_m - s_at(index)) * PER_STEP * (at(line, index + 1) - low)


@part
def around_of(line, rings, kept):
    """The ground out of its samples, cut off where it is not known (planning.anchor_ground); `kept` is filled.

    Args:
        line: the profile's heights, then those to its left and to its right; rings: the lowest height on each.
    """
    first, end, steepest = MIDDLE, MIDDLE, 0.0
    while end < LINE and is_known(at(line, end)):
        end += 1
    while first > 0 and is_known(at(line, first - 1)):
        first -= 1
    for i in range(first, end - 1):
        steepest = max(steepest, abs(at(line, i + 1) - at(line, i)) * PER_STEP)
    across = 100.0 * (at(line, LINE + 1) - at(line, LINE)) / (2.0 * ACROSS_M)
    across = abs(across) / 100.0 if is_known(across) else 0.0
    ring_count = keep_hidden(line, first, end, across, rings, kept)
    fall_count = keep_falls(line, first, end, kept) if steepest * 100.0 >= BANK_PERCENT else 0
    return Around(line, kept, first, end, ring_count, fall_count, keep_bands(ring_count, kept), across, steepest)


@part
def keep_hidden(line, first, end, across, rings, kept):
    """How much lower each ring's lowest ground is than the profile inside it less the slope across; how many are known."""
    lowest, inside, low, high = 0.0, math.inf, MIDDLE, MIDDLE
    for ring in range(RINGS):
        found = at(rings, ring)
        if not is_known(found):
            return ring
        lowest = min(lowest, found)
        radius = RINGS_M[ring]
        near, far = max(MIDDLE - (ring + 1) * PER_RING, first), min(MIDDLE + (ring + 1) * PER_RING, end - 1)
        while low > near + 1:
            low -= 1
            inside = min(inside, at(line, low))
        while high < far:
            inside = min(inside, at(line, high))
            high += 1
        ends = min(rise_between(line, first, end, s_at(near)), rise_between(line, first, end, s_at(far)))
        put(kept, ring, max(min(ends, inside) - across * radius - lowest, 0.0))
    return RINGS


@part
def keep_falls(line, first, end, kept):
    """Top and foot of every run of samples that falls steeply one way by enough; how many there are."""
    count, way, start, drop = 0, 0, first, 0.0
    for i in range(first, end):
        rise = at(line, i + 1) - at(line, i) if i < end - 1 else 0.0
        grade = rise / STEP_M * 100.0
        this = 0 if abs(grade) < BANK_PERCENT else (1 if grade > 0.0 else -1)
        if this != way:
            if way != 0 and abs(drop) >= BANK_DROP_M:
                put(kept, FALLS + 2 * count, s_at(start if way < 0 else i))
                put(kept, FALLS + 2 * count + 1, s_at(i if way < 0 else start))
                count += 1
            way, start, drop = this, i, 0.0
        drop += rise
    return count


@part
def keep_bands(ring_count, kept):
    """Inner and outer radius of every two rings between which ground hides a bank; how many there are."""
    count, hidden, radius = 0, 0.0, 0.0
    for ring in range(ring_count):
        drop, outer = at(kept, ring) - hidden, RINGS_M[ring]
        if drop >= BANK_DROP_M and drop >= BANK_PERCENT / 100.0 * (outer - radius):
            put(kept, BANDS + 2 * count, radius)
            put(kept, BANDS + 2 * count + 1, outer)
            count += 1
        hidden, radius = at(kept, ring), outer
    return count


@part
def is_inside(low_m, high_m, ground: Around):
    """Whether the profile reaches from one distance to the other."""
    return s_at(ground.first) <= low_m and high_m <= s_at(ground.end - 1)


@part
def knows(out_m, reach_m, ground: Around):
    """Whether the profile and the rings reach as far as this on both sides of a point."""
    far = max(abs(out_m - reach_m), abs(out_m + reach_m))
    return is_inside(out_m - reach_m, out_m + reach_m, ground) and ground.ring_count > 0 and far <= RINGS_M[ground.ring_count - 1]


@part
def rise_at(out_m, ground: Around):
    """Height on the line; the caller has seen that it is known there."""
    return rise_between(ground.line, ground.first, ground.end, out_m)


@part
def hidden_at(out_m, reach_m, ground: Around):
    """How much lower some ground near is than profile and cross slope say, metres; NaN beyond the rings."""
    far = max(abs(out_m - reach_m), abs(out_m + reach_m))
    index = max(math.ceil(far / RINGS_M[0]) - 1, 0)
    return at(ground.kept, index) if index < ground.ring_count else math.nan


@part
def lowest_at(out_m, reach_m, ground: Around):
    """The lowest ground within a distance of a point on the line; NaN where it is not known."""
    low, high = out_m - reach_m, out_m + reach_m
    if not is_inside(low, high, ground):
        return math.nan
    found = min(rise_at(low, ground), rise_at(high, ground))
    for i in range(first_behind(low), min(first_from(high), ground.end)):
        found = min(found, at(ground.line, i))
    return found - ground.across * reach_m - hidden_at(out_m, reach_m, ground)


@part
def steepest_deg(out_m, reach_m, way, ground: Around):
    """The steepest straight fall (way -1) or rise (1) from a point to ground within a distance, never below 0; NaN where not known.

    Args:
        reach_m: positive outward, negative towards the base.
    """
    there = out_m + reach_m
    low, high = min(out_m, there), max(out_m, there)
    if not is_inside(low, high, ground):
        return math.nan
    here = rise_at(out_m, ground)
    steepest = way * (rise_at(there, ground) - here) / abs(reach_m)
    for i in range(first_behind(low), min(first_from(high), ground.end)):
        steepest = max(steepest, way * (at(ground.line, i) - here) / abs(s_at(i) - out_m))
    return math.degrees(math.atan(max(steepest, 0.0)))


@part
def is_bank_near(out_m, reach_m, ground: Around):
    """Whether a bank is as near to a point on the line as that."""
    for i in range(ground.fall_count):
        top, foot = at(ground.kept, FALLS + 2 * i), at(ground.kept, FALLS + 2 * i + 1)
        if foot >= top >= out_m or foot <= top <= out_m:
            if abs(top - out_m) <= reach_m:
                return True
        elif min(top, foot) < out_m < max(top, foot) and reach_m >= 0.0:
            return True
    for i in range(ground.band_count):
        inner, outer = at(ground.kept, BANDS + 2 * i), at(ground.kept, BANDS + 2 * i + 1)
        if max(inner - abs(out_m), abs(out_m) - outer, 0.0) <= reach_m:
            return True
    return False
