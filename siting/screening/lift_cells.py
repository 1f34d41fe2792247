"""Lift and base of many cells, each in one azimuth: samples the ground of the lift and holds its checks against it."""

from __future__ import annotations

import numpy as np

from siting.screening.base_hold import bare_base, base_fails, needs_plate, rings_for
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
def take_rings(heights, p, ring, count, stencil: LiftStencil, above_m, found):
    """The lowest height of each of the first rings above a height, metres; NaN where one of its points has no ground, and behind them."""
    tap = ring * stencil.ring_count * stencil.ring_points
    for r in range(count, stencil.ring_count):
        put(found, r, np.nan)
    for r in range(count):
        lowest = NO_END
        for _ in range(stencil.ring_points):
            height = height_at(heights, p, stencil.rings, tap, above_m)
            if lowest == lowest and not height >= lowest:  # NaN takes its place, and nothing that of NaN
                lowest = height
            tap += 1
        put(found, r, lowest - above_m)


@kernel
def lift_cells(heights_raster, cells, azimuths, tables, bits_out, loads_out):
    """Which checks of the lift each cell fails in one azimuth, and what the lift brings on the base.

    Args:
        heights_raster: flat heights, metres, NaN no data; the layout of every cell lies within it and has ground.
        cells: (m,) flat indices; azimuths: (m,) indices.
        tables: (Stencil, LiftStencil, LiftRules).
        bits_out: (m,) uint8 is filled: bit i for records.search.IN_THE_LIFT[i]; what is not known does not fail.
        loads_out: (m, 2) is filled: largest level push and largest upward pull on the base, kN; NaN where not known.
    """
    heights, stencil, places, lift = pointer(heights_raster), bare(tables[0]), bare_lift(tables[1]), bare_lift_rules(tables[2])
    profile, z, line = np.empty(stencil.sample_count), np.empty(places.anchor_count), np.empty(places.line_count + 1)
    room = room_for(tables[2])
    memory = bare_room(room)
    for cell in range(cells.size):
        p, k = cells[cell], np.int64(azimuths[cell])
        hinge = at(heights, p) + stencil.rules.hinge_height
        rest = samples_seen(heights, p, hinge, k, 0, stencil.sample_count, -NO_END, stencil, pointer(profile))
        take_heights(heights, p, places.anchors, k * places.anchor_count, places.anchor_count, hinge, pointer(z))
        take_heights(heights, p, places.winch_line, k * places.line_count, places.line_count, hinge, pointer(line))
        bits, loads_out[cell, 0], loads_out[cell, 1] = lift_of(pointer(z), rest, pointer(line), places.line_count, lift, memory)
        bits_out[cell] = np.uint8(bits)
    return profile.size + z.size + line.size + room[0].size


@kernel
def base_cells(heights_raster, cells, azimuths, places, rules, loads, bits_out):
    """Which checks of the base each cell fails under the loads of its lift, where nothing has failed before.

    Args:
        heights_raster, cells, azimuths: as lift_cells has them; places: LiftStencil; rules: BaseRules.
        loads: (m, 2) as lift_cells fills them.
        bits_out: (m,) uint8: those above LIFT_BITS are filled.
    """
    heights, stencil, base = pointer(heights_raster), bare_lift(places), bare_base(rules)
    around, rings, scratch = np.empty(stencil.around_count), np.empty(stencil.ring_count), np.empty(rules.scratch_size)
    for cell in range(cells.size):
        if bits_out[cell] != 0:
            continue
        p, k, push_kn, uplift_kn = cells[cell], np.int64(azimuths[cell]), loads[cell, 0], loads[cell, 1]
        if needs_plate(push_kn, base):
            h0 = at(heights, p)
            take_heights(heights, p, stencil.around, k * stencil.around_count, stencil.around_count, h0, pointer(around))
            take_rings(heights, p, at(stencil.ring_of, k), rings_for(pointer(around), base), stencil, h0, pointer(rings))
        bits_out[cell] = np.uint8(base_fails(pointer(around), pointer(rings), push_kn, uplift_kn, base, pointer(scratch)) << LIFT_BITS)
    return around.size + rings.size + scratch.size
