"""Where the plan's latitudes and longitudes lie from the base: metres on the ground, true north up."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import cache

from siting.records.plan import Plan
from siting.records.rules import RuleFinding
from siting.writers.paper.canvas import Point

LonLat = tuple[float, float]
LEAST_M = 0.0005  # a tie shorter than this is none


@cache
def _projection(lat: float, lon: float):
    """The azimuthal equidistant projection about the base on the WGS 84 ellipsoid."""
    from pyproj import Proj

    return Proj(proj="aeqd", ellps="WGS84", lat_0=lat, lon_0=lon)


def places_of(plan: Plan) -> Callable[[float, float], Point]:
    """What turns (lon, lat), degrees, into metres east and north of the base, on the ground at the base's height."""
    base, factor = plan.base, plan.crs.elevation_factor
    project = _projection(base.lat, base.lon)

    def place(lon: float, lat: float) -> Point:
        east, north = project(lon, lat)
        return east / factor, north / factor

    return place


def lonlat_at(plan: Plan, place: Point) -> LonLat:
    """Longitude and latitude, degrees, of a place in metres east and north of the base."""
    base, factor = plan.base, plan.crs.elevation_factor
    lon, lat = _projection(base.lat, base.lon)(place[0] * factor, place[1] * factor, inverse=True)
    return round(lon, 9), round(lat, 9)


def tie_of(plan: Plan, rule: RuleFinding) -> tuple[Point, Point] | None:
    """From the part of the mast that a rule measures from to the nearest point of the thing, metres east and north of the base.

    None where the rule found no point. The foot is the part itself: the base, an anchor, the edge of the fall circle.
    """
    if rule.value_m is None or rule.lat is None or rule.lon is None or rule.bearing_deg is None or abs(rule.value_m) < LEAST_M:
        return None
    there, turn, long = places_of(plan)(rule.lon, rule.lat), math.radians(rule.bearing_deg), abs(rule.value_m)
    foot = there[0] - long * math.sin(turn), there[1] - long * math.cos(turn)
    return (0.0, 0.0) if math.hypot(*foot) < 0.05 else foot, there


def clipped(a: Point, b: Point, box: tuple[float, float, float, float]) -> tuple[Point, Point] | None:
    """The part of a line inside a box (left, top, right, bottom); None where none of it is (Liang and Barsky, from memory)."""
    dx, dy, first, last = b[0] - a[0], b[1] - a[1], 0.0, 1.0
    for step, room in ((-dx, a[0] - box[0]), (dx, box[2] - a[0]), (-dy, a[1] - box[1]), (dy, box[3] - a[1])):
        if step == 0.0:
            if room < 0.0:
                return None
        elif step < 0.0:
            first = max(first, room / step)
        else:
            last = min(last, room / step)
    if first >= last:
        return None
    return (a[0] + first * dx, a[1] + first * dy), (a[0] + last * dx, a[1] + last * dy)


def hatch(rings: Sequence[Sequence[Point]], step: float, turn_deg: float = 45.0) -> list[tuple[Point, Point]]:
    """Parallel lines inside closed outlines and their holes, by even and odd crossings; the same unit as the outlines.

    Args:
        step: from line to line.
        turn_deg: the lines' angle.
    """
    c, s = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
    turned = [[(x * c + y * s, y * c - x * s) for x, y in ring] for ring in rings]
    heights = [y for ring in turned for _, y in ring]
    lines: list[tuple[Point, Point]] = []
    if not heights:
        return lines
    for k in range(math.floor(min(heights) / step) + 1, math.ceil(max(heights) / step)):
        y = k * step
        cuts = sorted(
            x0 + (y - y0) / (y1 - y0) * (x1 - x0)
            for ring in turned
            for (x0, y0), (x1, y1) in zip(ring, ring[1:], strict=False)
            if (y0 <= y) != (y1 <= y)
        )
        lines += [((a * c - y * s, a * s + y * c), (b * c - y * s, b * s + y * c)) for a, b in zip(cuts[::2], cuts[1::2], strict=False)]
    return lines


def centre_of(ring: Sequence[Point]) -> Point:
    """The middle of a ring's box: a place for a name."""
    xs, ys = zip(*ring, strict=True)
    return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
