"""Lift and base of many cells, each in one azimuth: samples the ground of the lift and holds its checks against it."""

from __future__ import annotations

import numpy as np

from siting.screening.base_hold import bare_base, base_fails, needs_plate
from siting.screening.compiled import kernel, part
from siting.screening.eight import bare, bare_taps, samples_seen
from siting.screening.lanes import at, pointer, put
from siting.screening.lift import lift_of
from siting.screening.lift_room import bare_lift_rules, bare_room, room_for
from siting.screening.lift_stencil import LiftStencil
from siting.screening.rules import NO_END, height_at

LIFT_BITS = 4  # of the lift's own checks; those of the base stand above them


@part
def bare_lift(stencil: LiftStencil):
    """The stencil with bare memory in the place of its arrays (lanes.pointer)."""
    return LiftStencil(
        stencil.anchor_count, stencil.line_count, stencil.around_count, stencil.ring_count, stencil.ring_points,
        bare_taps(stencil.anchors), bare_taps(stencil.winch_line), bare_taps(stencil.around), bare_taps(stencil.rings),
        pointer(stencil.ring_of),
    )  # fmt: skip


@part
def take_heights(heights, p, taps, first, count, above_m, found):
    """Heights of `count` samples above a height, metres, into bare memory."""
    for i in range(count):
        put(found, i, height_at(heights, p, taps, first + i, above_m) - above_m)


@part
def take_rings(heights, p, ring, stencil: LiftStencil, above_m, found):
    """The lowest height of each ring above a height, metres; NaN where one of its points has no ground."""
    tap = ring * stencil.ring_count * stencil.ring_points
    for r in range(stencil.ring_count):
        lowest = NO_END
        for _ in range(stencil.ring_points):
            height = height_at(heights, p, stencil.rings, tap, above_m)
            if lowest == lowest and not height >= lowest:  # NaN takes its place, and nothing that of NaN
                lowest = height
            tap += 1
        put(found, r, lowest - above_m)


@kernel
def lift_cells(heights_raster, cells, azimuths, tables, bits_out):
    """Which checks of lift and base each cell fails in one azimuth.

    Args:
        heights_raster: flat heights, metres, NaN no data; the layout of every cell lies within it and has ground.
        cells: (m,) flat indices; azimuths: (m,) indices.
        tables: (Stencil, LiftStencil, LiftRules, BaseRules).
        bits_out: (m,) uint8 is filled: bit i for records.search.IN_THE_LIFT[i]; what is not known does not fail.
    """
    heights, stencil, places = pointer(heights_raster), bare(tables[0]), bare_lift(tables[1])
    lift, base = bare_lift_rules(tables[2]), bare_base(tables[3])
    profile, z = np.empty(stencil.sample_count), np.empty(places.anchor_count)
    line, around, rings = np.empty(places.line_count + 1), np.empty(places.around_count), np.empty(places.ring_count)
    room, scratch = room_for(tables[2]), np.empty(tables[3].scratch_size)
    memory = bare_room(room)
    for cell in range(cells.size):
        p, k = cells[cell], np.int64(azimuths[cell])
        h0 = at(heights, p)
        hinge = h0 + stencil.rules.hinge_height
        rest = samples_seen(heights, p, hinge, k, 0, stencil.sample_count, -NO_END, stencil, pointer(profile))
        take_heights(heights, p, places.anchors, k * places.anchor_count, places.anchor_count, hinge, pointer(z))
        take_heights(heights, p, places.winch_line, k * places.line_count, places.line_count, hinge, pointer(line))
        bits, push_kn, uplift_kn = lift_of(pointer(z), rest, pointer(line), places.line_count, lift, memory)
        if base.knows_soil:
            if needs_plate(push_kn, base):
                take_heights(heights, p, places.around, k * places.around_count, places.around_count, h0, pointer(around))
                take_rings(heights, p, at(places.ring_of, k), places, h0, pointer(rings))
            bits |= base_fails(pointer(around), pointer(rings), push_kn, uplift_kn, base, pointer(scratch)) << LIFT_BITS
        bits_out[cell] = np.uint8(bits)
    return profile.size + z.size + line.size + around.size + rings.size + room[0].size + scratch.size
