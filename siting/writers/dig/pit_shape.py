"""The shape of a pit on sloping ground: floor, walls run up to the ground, the heap of spoil. Metres from the stake, along the guy."""

from __future__ import annotations

import math
from dataclasses import dataclass

from siting.records.dig import Hole
from siting.units import METRES_PER_FOOT
from siting.writers.dig.cases import Case
from siting.writers.paper.canvas import Point

# 29 CFR 1926.651(j)(2): spoil at least 2 ft from the edge.
SETBACK_M = 2.0 * METRES_PER_FOOT
# How loose earth lies, level to upright: common practice, no source.
HEAP_H_PER_V = 1.5
# A wider heap is drawn cut.
HEAP_DRAWN_M = 1.6


@dataclass(frozen=True, slots=True)
class Pit:
    """A pit in metres along the guy (outward, above the stake): floor, edges of the opening, heap of spoil."""

    hole: Hole
    floor_z: float
    floor: Point  # inward and outward end
    edges: Point  # of the opening
    heap_m: float  # width of the heap of spoil along an end of the opening

    @property
    def drawn_m(self) -> float:
        """How much of the heap's width is drawn, metres."""
        return min(self.heap_m, HEAP_DRAWN_M)

    @property
    def takes_the_stake(self) -> bool:
        """Whether the stake stands inside the opening."""
        return self.edges[0] < 0.0 < self.edges[1]


def pit_of(case: Case) -> Pit:
    """The pit of a case, its walls run up to the sloping ground."""
    hole, ground = case.hole, case.ground
    floor_z = ground.rise(hole.out_m) - hole.depth_m
    floor = (hole.out_m - hole.floor_width_m / 2, hole.out_m + hole.floor_width_m / 2)
    edges = (_edge(case, floor[0], floor_z, -1.0), _edge(case, floor[1], floor_z, 1.0))
    long_m = edges[1] - edges[0]  # spoil lies off the guy's line: at an end of the pit
    high_m = math.sqrt(hole.spoil_m3 / max(long_m, 0.5) / HEAP_H_PER_V)
    return Pit(hole, floor_z, floor, edges, 2 * HEAP_H_PER_V * high_m)


def _edge(case: Case, start_m: float, floor_z: float, side: float) -> float:
    """Where a wall meets the ground, metres outward: the wall's line cut with each straight piece of the ground."""
    run = case.hole.wall_h_per_v
    if run == 0.0:
        return start_m
    low, high = 0.0, 4.0 * run * case.hole.depth_m + 1.0
    for _ in range(60):  # halving: the wall rises faster than the ground, so there is one place
        middle = (low + high) / 2
        if floor_z + middle / run < case.ground.rise(start_m + side * middle):
            low = middle
        else:
            high = middle
    return start_m + side * high
