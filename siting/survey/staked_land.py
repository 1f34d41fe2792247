"""The land seen from the places as staked: distances to the property line and to obstacles, from the plan's own shapes.

The plan holds the land in a square around the planned base. Beyond it only a bound is known, and the bound on the
safe side is used.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from siting.geodesy.geodesic import azimuth_and_ground_m
from siting.records.findings import Check
from siting.records.plan import Plan, Shape

LAND_KINDS = ("own_land", "parcel", "obstacle")
# A point this near to the square's side lies on it.
SIDE_M = 0.05


@dataclass(frozen=True, slots=True)
class LandAround:
    """Own land and obstacles in ground metres from the planned base, grid east and north."""

    own: Any | None
    obstacles: tuple[tuple[str, Any], ...]  # label, geometry
    half_side_m: float

    def boundary_m(self, place: complex, planned: float, moved_m: float) -> tuple[float, bool]:
        """Signed distance (metres) of a place to the own land's outline, positive inside, and whether it is a bound.

        A place that moved by so much cannot be nearer or farther by more than that.
        """
        point = shapely.Point(place.real, place.imag)
        on_line = shapely.get_coordinates(shapely.shortest_line(point, self.own.boundary))[1]
        distance_m = math.hypot(on_line[0] - place.real, on_line[1] - place.imag)
        is_bound = bool(np.abs(on_line).max() > self.half_side_m - SIDE_M)
        signed_m = distance_m if self.own.covers(point) else -distance_m
        return min(max(signed_m, planned - moved_m), planned + moved_m), is_bound and moved_m > 0

    def outside_m(self, line: tuple[complex, complex]) -> float:
        """Plan length (metres) of a straight line that lies outside the own land."""
        ends = [(p.real, p.imag) for p in line]
        return float(shapely.length(shapely.difference(shapely.LineString(ends), self.own)))

    def obstacle_m(self, check: Check, place: complex, moved_m: float) -> tuple[float, bool]:
        """Distance (metres) from a place to the nearest obstacle of a check's kind, and whether it is a bound."""
        kind = check.id.partition(":")[2].replace("_", " ")
        point = shapely.Point(place.real, place.imag)
        near = [g.distance(point) for label, g in self.obstacles if label.startswith(f"{kind}:")]
        nearest_m = min(near, default=math.inf)
        least_m, most_m = check.value - moved_m, check.value + moved_m
        to_side_m = self.half_side_m - max(abs(place.real), abs(place.imag))
        if nearest_m <= to_side_m:
            return min(max(nearest_m, least_m), most_m), False
        return max(least_m, min(nearest_m, to_side_m)), moved_m > 0


def land_around(plan: Plan) -> LandAround:
    """The plan's own land and obstacles about its planned base."""
    drawn = [(s, _ground(s, plan)) for s in plan.shapes if s.kind in LAND_KINDS]
    corners = [np.abs(shapely.get_coordinates(g)).max() for _, g in drawn]
    own = [g for s, g in drawn if s.kind == "own_land"]
    return LandAround(
        own=shapely.union_all(own) if own else None,
        obstacles=tuple((s.label, g) for s, g in drawn if s.kind == "obstacle"),
        half_side_m=float(max(corners, default=0.0)),
    )


def _ground(shape: Shape, plan: Plan) -> Any:
    """A shape in ground metres from the base, by the geodesics from it."""
    base, rings = plan.base, []
    for ring in shape.rings:
        xy = []
        for lon, lat in ring:
            azimuth, metres = azimuth_and_ground_m(base.lat, base.lon, lat, lon, base.height_m)
            grid = math.radians(azimuth - plan.crs.convergence_deg)
            xy.append((metres * math.sin(grid), metres * math.cos(grid)))
        rings.append(xy)
    geometry = shapely.Polygon(rings[0], rings[1:]) if shape.geometry == "Polygon" else shapely.LineString(rings[0])
    return geometry if geometry.is_valid else shapely.make_valid(geometry)
