"""The lines and distances of the permit's site map: whole outlines, distances to each neighbour's line, sides of the lot."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

import numpy as np
import shapely

from siting.geodesy.frames import Frame
from siting.layout.footprint import GroundFeature, OwnLand
from siting.records.permit import LineDistance, LotLine, MapOutline, PermitGround
from siting.records.plan import Stake

# Two lines closer than this are one line when the neighbour across it is looked for.
TOUCH_M = 0.5
# A corner that turns the outline by less than this off its sides is no corner of the lot: layers are cut into pieces on the way.
STRAIGHT_M = 0.02
PROPERTY_LINE = "property_line"


def permit_ground(
    own: OwnLand | None,
    parcels: tuple[GroundFeature, ...],
    own_parcels: tuple[GroundFeature, ...],
    obstacles: tuple[GroundFeature, ...],
    stakes: tuple[Stake, ...],
    frame: Frame,
) -> PermitGround:
    """What the site map draws of the land, lengths in metres on the ground.

    Args:
        parcels: the neighbours'; own_parcels: the applicant's; obstacles: every one that was read, with its kind.
    """
    outlines = [o for p in parcels for o in _outlines("parcel", p, frame)]
    outlines += [o for p in own_parcels for o in _outlines("own_parcel", p, frame)]
    if own is not None:
        whole = GroundFeature("own", "own_land", ", ".join(own.ids), own.area, own.boundary_m, own.nearest_xy_m)
        outlines += _outlines("own_land", whole, frame)
    outlines += [o for thing in obstacles for o in _outlines(thing.kind, thing, frame)]
    distances = [*_to_lines(own, parcels, stakes, frame), *_to_obstacles(obstacles, frame)]
    return PermitGround(
        tuple(outlines),
        tuple(distances),
        _lot_lines(own, frame),
        own is not None and set(own.ids) <= {p.id for p in own_parcels},
    )


def _outlines(kind: str, feature: GroundFeature, frame: Frame) -> Iterable[MapOutline]:
    """The feature's parts, points as squares of a metre."""
    for part in shapely.get_parts(feature.geometry):
        if part.geom_type == "Point":
            part = part.buffer(0.5, cap_style="square")
        if part.is_empty or part.geom_type not in ("Polygon", "LineString", "LinearRing"):
            continue
        is_area = part.geom_type == "Polygon"
        rings = [part.exterior, *part.interiors] if is_area else [part]
        lines = tuple(_lonlat(shapely.get_coordinates(ring), frame) for ring in rings)
        yield MapOutline(kind, feature.id, feature.name, feature.owner, "Polygon" if is_area else "LineString", lines)


def _lonlat(xy_m: np.ndarray, frame: Frame) -> tuple[tuple[float, float], ...]:
    lon, lat = frame.lonlat(xy_m[:, 0], xy_m[:, 1])
    return tuple((float(a), float(b)) for a, b in zip(lon, lat, strict=True))


def _xy(stake: Stake, frame: Frame) -> tuple[float, float]:
    """Where a stake stands, ground metres from the base along the grid."""
    metres = frame.unit_m / frame.combined_factor
    return (stake.easting - frame.easting) * metres, (stake.northing - frame.northing) * metres


def _to_lines(
    own: OwnLand | None, parcels: tuple[GroundFeature, ...], stakes: tuple[Stake, ...], frame: Frame
) -> list[LineDistance]:
    """From the base to the line with each neighbour, and from each permanent anchor to the nearest line."""
    if own is None:
        return []
    line = own.area.boundary
    shared = {}
    for parcel in parcels:
        part = shapely.intersection(line, parcel.geometry.buffer(TOUCH_M))
        if part.length > 2 * TOUCH_M:
            known = shared.get(parcel.id)
            shared[parcel.id] = part if known is None else shapely.union(known, part)
    rest = line
    for parcel in parcels:
        rest = shapely.difference(rest, parcel.geometry.buffer(TOUCH_M))
    if rest.length > 2 * TOUCH_M:
        shared[""] = rest
    found = []
    for stake in stakes:
        if stake.role not in ("base", "permanent"):
            continue
        point = shapely.Point(_xy(stake, frame))
        sign = 1.0 if own.area.covers(point) else -1.0
        nearest = [(point.distance(part), name, part) for name, part in shared.items()]
        if stake.role == "permanent":
            nearest = sorted(nearest, key=lambda row: row[:2])[:1]
        found += [_distance(stake.id, PROPERTY_LINE, name, point, part, sign, frame) for _, name, part in nearest]
    return sorted(found, key=lambda d: (d.start != "BASE", d.distance_m, d.start))


def _to_obstacles(obstacles: tuple[GroundFeature, ...], frame: Frame) -> list[LineDistance]:
    """From the base to the nearest obstacle of each kind."""
    nearest: dict[str, GroundFeature] = {}
    for thing in sorted(obstacles, key=lambda o: (o.distance_m, o.id)):
        nearest.setdefault(thing.kind, thing)
    origin = shapely.Point(0.0, 0.0)
    return [_distance("BASE", kind, o.name, origin, o.geometry, 1.0, frame) for kind, o in sorted(nearest.items())]


def _distance(start: str, kind: str, name: str, point: Any, to: Any, sign: float, frame: Frame) -> LineDistance:
    (x0, y0), (x1, y1) = shapely.get_coordinates(shapely.shortest_line(point, to))[[0, -1]]
    ((lon, lat),) = _lonlat(np.array([[x1, y1]]), frame)
    return LineDistance(
        start, kind, name, sign * math.hypot(x1 - x0, y1 - y0), frame.true_bearing_deg(x1 - x0, y1 - y0), lat, lon
    )


def _lot_lines(own: OwnLand | None, frame: Frame) -> tuple[LotLine, ...]:
    """The sides of every ring of the own land, corners on a straight side left out; the outline clockwise."""
    lines: list[LotLine] = []
    for part in shapely.get_parts(own.area) if own is not None else ():
        for ring in (part.exterior, *part.interiors):
            corners = shapely.get_coordinates(shapely.orient_polygons(_straightened(ring), exterior_cw=True).exterior)
            lonlat = _lonlat(corners, frame)
            for k in range(len(corners) - 1):
                dx, dy = corners[k + 1] - corners[k]
                bearing = frame.true_bearing_deg(float(dx), float(dy))
                lines.append(LotLine(len(lines) + 1, float(math.hypot(dx, dy)), bearing, lonlat[k], lonlat[k + 1]))
    return tuple(lines)


def _straightened(ring: Any) -> Any:
    """The ring as an area with its true corners only, also where the ring begins on a straight side."""
    xy = shapely.get_coordinates(ring)[:-1]
    keep = []
    for k in range(len(xy)):
        side = shapely.LineString([xy[k - 1], xy[(k + 1) % len(xy)]])
        if side.distance(shapely.Point(xy[k])) > STRAIGHT_M:
            keep.append(k)
    return shapely.Polygon(xy[keep] if len(keep) >= 3 else xy)
