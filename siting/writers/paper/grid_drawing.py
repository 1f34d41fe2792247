"""Lines and circles of the plan in its own eastings and northings, for files that draw on the projected grid."""

from __future__ import annotations

import math
from dataclasses import dataclass

from siting.records.plan import Plan

LINE_KINDS = ("laydown", "guy", "side_guy", "winch_line")
CIRCLE_KINDS = ("fall_zone", "setback", "anchor_circle")
# Corners of a circle drawn as a polygon: its sides lie 1 mm inside a circle of 110 m.
CORNERS = 720

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class GridLine:
    """A straight line from the base to a stake; easting and northing in the plan's unit."""

    kind: str
    id: str
    label: str
    start: Point
    end: Point


@dataclass(frozen=True, slots=True)
class GridCircle:
    """A circle around the base; centre and radius in the plan's unit, on the grid."""

    kind: str
    id: str
    label: str
    centre: Point
    radius: float

    def ring(self) -> tuple[Point, ...]:
        """A closed polygon on the circle, counter-clockwise, in the plan's unit."""
        east, north = self.centre
        turns = [2.0 * math.pi * (i % CORNERS) / CORNERS for i in range(CORNERS + 1)]
        return tuple((east + self.radius * math.cos(t), north + self.radius * math.sin(t)) for t in turns)


def grid_lines(plan: Plan) -> tuple[GridLine, ...]:
    """The laydown, every guy and the winch line, from the base's to the stake's own coordinates."""
    at = {s.id: (s.easting, s.northing) for s in plan.stakes}
    head = next(s.id for s in plan.stakes if s.role == "head")
    base = (plan.base.easting, plan.base.northing)
    return tuple(
        GridLine(s.kind, s.id, s.label, base, at[head if s.kind == "laydown" else s.id])
        for s in plan.shapes
        if s.kind in LINE_KINDS
    )


def grid_circles(plan: Plan) -> tuple[GridCircle, ...]:
    """Fall zone, setback and anchor circle: ground radius x combined factor, in the plan's unit."""
    radii_m = {
        "fall_zone": plan.land.fall_radius_m,
        "setback": plan.land.setback_m,
        "anchor_circle": plan.land.anchor_circle_m,
    }
    centre = (plan.base.easting, plan.base.northing)
    to_grid = plan.crs.combined_factor / plan.crs.unit_m
    return tuple(
        GridCircle(s.kind, s.id, s.label, centre, radii_m[s.kind] * to_grid) for s in plan.shapes if s.kind in CIRCLE_KINDS
    )
