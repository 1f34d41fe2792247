"""The shortest move of the base after which every rule of the land holds: pure geometry in the ground frame, metres.

A rule speaks of a thing (the base, an anchor, a guy's plan line) that moves with the base, and of a place that stays.
The places of the base at which a rule holds are the stationary shape taken apart by the thing's own shape.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import shapely

from siting.layout.minkowski import areas_of, grown, held, moved, parts_of, shrunk, swept

# Room for the last digits, so that a corridor exactly as wide as asked for is not lost.
SLACK_M = 0.0002
# The region is shrunk by this at the end: cracks and specks of the last digit go, at which a rule may be broken by metres.
# It is less than the slack, so no place at which all rules hold goes with them.
CLEAN_M = 0.00005
# What touches a thing is at distance 0 from it, so nothing smaller than this keeps clear of it.
LEAST_AWAY_M = 0.001
# A segment that leaves an area is looked at in so many places for how far it lies outside.
DEPTH_SAMPLES = 64
POLISH_STEPS, POLISH_STEP_M, POLISH_REACH_M = 30, 1e-5, 0.002


@dataclass(frozen=True, slots=True)
class Constraint:
    """One rule about one thing that moves with the base.

    The thing is a point where start and end are equal, else a segment. It must lie inside `inside`, at least `least_m`
    from its outline, or stay at least `least_m` from `away`: one of the two.
    """

    id: str
    start_xy_m: tuple[float, float]  # offsets from the base, grid east and north
    end_xy_m: tuple[float, float]
    least_m: float
    inside: Any = None
    away: Any = None

    def __post_init__(self) -> None:
        if (self.inside is None) == (self.away is None):
            raise ValueError(f"constraint {self.id}: give a place to lie in or a place to stay away from")
        if self.least_m < (0.0 if self.away is None else LEAST_AWAY_M):
            raise ValueError(f"constraint {self.id}: {self.least_m} m is no distance to keep")

    @property
    def target(self) -> Any:
        """The place that stays, no unit."""
        return self.inside if self.away is None else self.away

    @property
    def reach_m(self) -> float:
        """How far from the base the rule looks, metres."""
        return max(math.hypot(*self.start_xy_m), math.hypot(*self.end_xy_m)) + self.least_m


def allowed_region(constraints: tuple[Constraint, ...], window: Any) -> Any:
    """The places of the base, as moves from where it stands, at which every constraint holds.

    Made of sums of shapes: an area is shrunk or a thing is grown by the distance, and swept along the guy. Arcs are
    chords drawn so that too little is taken away, never too much.

    Args:
        window: area of the moves that are looked at; without it the region has no end.
    Accuracy:
        every place in the window at which all constraints hold is in the region, and at every place in the region none
        is short by more than 1 mm (0.6 mm: ARC_ERROR_M + SLACK_M); held by tests/layout/test_moves.py.
    """
    margin_m = 1.0 + max((c.reach_m for c in constraints), default=0.0)
    made: dict[tuple, Any] = {}  # one shape for all things that keep one distance in or from one place
    region, blocked = grown(window, 2.0 * CLEAN_M), []
    for constraint in constraints:
        if region.is_empty:
            return region
        target, start, end = constraint.target, constraint.start_xy_m, constraint.end_xy_m
        is_point, key = start == end, (id(target), constraint.least_m, constraint.away is None)
        if key not in made:
            near = _near(target, window, margin_m)
            made[key] = _shrunk_by(near, constraint.least_m) if constraint.away is None else _Away(near, constraint.least_m - SLACK_M)
        if constraint.away is None:
            region = shapely.intersection(region, held(made[key], start, end))
        else:
            back = (-start[0], -start[1]), (-end[0], -end[1])
            blocked.append(moved(made[key].around, back[0]) if is_point else made[key].around_way(*back))
    return shrunk(areas_of(shapely.difference(region, shapely.union_all(blocked))), CLEAN_M)


class _Away:
    """A place to stay away from, and what lies within the distance of it."""

    def __init__(self, shape: Any, distance_m: float) -> None:
        self._shape, self._distance_m = shape, distance_m

    @cached_property
    def around(self) -> Any:
        """What a point must not enter."""
        return grown(self._shape, self._distance_m)

    def around_way(self, start_xy_m: tuple[float, float], end_xy_m: tuple[float, float]) -> Any:
        """What must not be entered by a segment: it lies this way from the base, seen from the place."""
        return grown(swept(self._shape, start_xy_m, end_xy_m), self._distance_m)


def _shrunk_by(area: Any, least_m: float) -> Any:
    """Where a point may lie that must be in the area and so far from its outline, with the slack."""
    area = areas_of(area)
    return grown(area, SLACK_M) if least_m <= SLACK_M else shrunk(area, least_m - SLACK_M)


def _near(shape: Any, window: Any, margin_m: float) -> Any:
    """The part of a shape that the window's moves can bring near: the cut lies farther off than any rule looks."""
    west, south, east, north = window.bounds
    box = shapely.box(west - margin_m, south - margin_m, east + margin_m, north + margin_m)
    if shapely.covers(box, shape):
        return shape
    return shapely.geometrycollections([shapely.intersection(part, box) for part in parts_of(shape)])


def shortest_move(constraints: tuple[Constraint, ...], reach_m: float) -> tuple[float, float] | None:
    """The shortest move (metres grid east and north) to where every constraint holds; None within `reach_m` of none.

    (0, 0) where they hold already. At the answer no constraint is short by more than 1 mm (`worst_margin_m`), and no
    place at which all hold lies nearer by more than 2 mm.
    """
    if worst_margin_m(constraints, 0.0, 0.0) >= 0:
        return 0.0, 0.0
    region = allowed_region(constraints, shapely.box(-reach_m, -reach_m, reach_m, reach_m))
    if region.is_empty:
        return None
    x, y = shapely.get_coordinates(shapely.shortest_line(shapely.Point(0.0, 0.0), region))[1]
    return _polished(constraints, float(x), float(y)) if math.hypot(x, y) <= reach_m else None


def _polished(constraints: tuple[Constraint, ...], x_m: float, y_m: float) -> tuple[float, float]:
    """The place stepped off the chords of the arcs, square to the rule that is short; as it was where that fails."""
    x, y = x_m, y_m
    for _ in range(POLISH_STEPS):
        margins = [_margin_m(c, x, y) for c in constraints]
        worst = int(np.argmin(margins))
        if margins[worst] >= 0:
            return x, y
        rule, step = constraints[worst], POLISH_STEP_M
        east = _margin_m(rule, x + step, y) - _margin_m(rule, x - step, y)
        north = _margin_m(rule, x, y + step) - _margin_m(rule, x, y - step)
        steep = math.hypot(east, north)
        if steep == 0:
            break
        x += (1e-7 - margins[worst]) * east / steep
        y += (1e-7 - margins[worst]) * north / steep
        if math.hypot(x - x_m, y - y_m) > POLISH_REACH_M:
            break
    return x_m, y_m


def worst_margin_m(constraints: tuple[Constraint, ...], dx_m: float, dy_m: float) -> float:
    """The smallest margin (metres) of all constraints with the base moved by (dx, dy); below 0 one is broken.

    Measured on the shapes themselves, without `allowed_region`. Where a thing that must lie inside does not, the margin
    is minus its greatest distance outside, less `least_m`; where a thing touches what it must stay away from, minus `least_m`.
    """
    return min((_margin_m(c, dx_m, dy_m) for c in constraints), default=math.inf)


def _margin_m(constraint: Constraint, dx_m: float, dy_m: float) -> float:
    """Distance found less distance asked for."""
    ends = [(x + dx_m, y + dy_m) for x, y in (constraint.start_xy_m, constraint.end_xy_m)]
    thing = shapely.Point(ends[0]) if ends[0] == ends[1] else shapely.LineString(ends)
    if constraint.away is not None:
        return shapely.distance(thing, constraint.away) - constraint.least_m
    if shapely.covers(constraint.inside, thing):
        return shapely.distance(thing, constraint.inside.boundary) - constraint.least_m
    outside = shapely.difference(thing, constraint.inside)
    if outside.geom_type != "Point":
        outside = shapely.points(shapely.get_coordinates(shapely.segmentize(outside, outside.length / DEPTH_SAMPLES + 1e-12)))
    return -float(np.max(shapely.distance(outside, constraint.inside), initial=0.0)) - constraint.least_m
