"""Compiled: the memory for one cell's lift, the rules laid bare, and the winch line's arm."""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numpy as np

from siting.screening.compiled import part
from siting.screening.lanes import pointer
from siting.screening.lift_lines import bare_beam
from siting.screening.lift_rules import STEPS, LiftRules

MOST_ROWS = 2 * STEPS + 3


class Room(NamedTuple):
    """Memory for one cell, bare (lanes.pointer). Rows: the angles of a table, the rest line first."""

    degrees: Any
    cosines: Any
    sines: Any
    per_arm: Any  # 1 / lever arm of the winch line, 1/m; infinite where it is too short
    lengths: Any  # of the winch line, m
    pulls: Any  # kN without friction; NaN where the line cannot lift
    rated: Any  # kN
    hung: Any  # (L,) at the guy levels
    level_lines: Any  # (m,) what the lift lines hold square to the level mast
    lines: Any  # (m,) at one angle
    backs: Any  # (B,) square to the mast
    work: Any


@part
def room_for(lift: LiftRules):
    """Memory for one cell, in the order of Room, from the rules with their arrays."""
    size = lift.beam.line_count + 2
    return (
        np.empty(MOST_ROWS), np.empty(MOST_ROWS), np.empty(MOST_ROWS), np.empty(MOST_ROWS), np.empty(MOST_ROWS), np.empty(MOST_ROWS),
        np.empty(MOST_ROWS), np.empty(lift.beam.level_count + 1), np.empty(size), np.empty(size), np.empty(lift.back_count + 1), np.empty(size * (size + 2)),
    )  # fmt: skip


@part
def bare_room(room):
    """`room_for` as the parts take it. The arrays must be held as long."""
    a, b, c, d, e, f, g, h, i, j, k, n = room
    return Room(
        pointer(a), pointer(b), pointer(c), pointer(d), pointer(e), pointer(f), pointer(g), pointer(h), pointer(i), pointer(j), pointer(k), pointer(n)
    )


@part
def bare_lift_rules(lift: LiftRules):
    """The rules with bare memory in the place of their arrays (lanes.pointer)."""
    return LiftRules(
        lift.is_known, lift.pole, lift.pole_weight, lift.arm_least, lift.winch, lift.winch_x, lift.winch_y, lift.friction, lift.weight,
        lift.moment, lift.bare_over_deg, pointer(lift.stages), lift.stage_count, pointer(lift.guys), lift.guy_count, pointer(lift.backs),
        lift.back_count, pointer(lift.cosines), pointer(lift.sines), lift.winch_most_kn, lift.drum_m, lift.drum_line_m, lift.drum_wraps,
        lift.drum_wound_m, pointer(lift.ground_s_m), lift.ground_step_m, lift.is_ground_judged, lift.pole_clear_least_m,
        lift.line_clear_least_m, lift.radius_m, lift.end_left_out_m, bare_beam(lift.beam),
    )  # fmt: skip


@part
def arm_of(pole, cosine, sine, winch_z, lift: LiftRules):
    """Of the winch line: its lever arm times its length (m2), its length, and how far it runs along the laydown and up (m)."""
    tip_x, tip_z = -pole * sine, pole * cosine
    dx, dz = lift.winch_x - tip_x, winch_z - tip_z
    return tip_x * dz - tip_z * dx, math.sqrt(dx * dx + lift.winch_y * lift.winch_y + dz * dz), dx, dz
