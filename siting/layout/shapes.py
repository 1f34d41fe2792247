"""Lines and areas of the plan in longitude and latitude, for every file that draws."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely

from siting.geodesy.frames import Frame
from siting.geodesy.geodesic import place
from siting.layout.footprint import GroundFeature, OwnLand
from siting.records.mast import TEMPORARY, WINCH, Mast
from siting.records.plan import Shape, Stake

CIRCLE_STEP_DEG = 2.0


def circle_shape(kind: str, label: str, lat: float, lon: float, radius_m: float, height_m: float) -> Shape:
    """A circle of this ground radius around the base, counter-clockwise."""
    azimuths = np.arange(360.0, 0.0, -CIRCLE_STEP_DEG)
    lons, lats = place(lat, lon, azimuths, np.full(azimuths.size, radius_m), height_m)
    lons = lons - 360.0 * np.round((lons - lon) / 360.0)  # across 180 degrees a ring must not run round the world
    ring = tuple((float(x), float(y)) for x, y in zip(lons, lats, strict=True))
    return Shape(kind, kind, label, "Polygon", ((*ring, ring[0]),))


def layout_shapes(stakes: tuple[Stake, ...], mast: Mast) -> tuple[Shape, ...]:
    """The laydown, every guy's plan line and the winch line, from the base outward."""
    lon0 = next(s.lon for s in stakes if s.role == "base")
    at = {s.id: (s.lon - 360.0 * round((s.lon - lon0) / 360.0), s.lat) for s in stakes}
    shapes = [Shape("laydown", "HEAD", "mast lying before the lift", "LineString", ((at["BASE"], at["HEAD"]),))]
    sides = {a.id for a in mast.side_anchors}
    guyed = {anchor for level in mast.guys for anchor in level.anchors}
    for anchor in mast.anchors:
        line = ((at["BASE"], at[anchor.id]),)
        if anchor.use == WINCH:
            shapes.append(Shape("winch_line", anchor.id, f"winch line to {anchor.id}", "LineString", line))
        elif anchor.id in guyed:
            kind = "side_guy" if anchor.id in sides else "guy"
            use = "temporary" if anchor.use == TEMPORARY else "permanent"
            shapes.append(Shape(kind, anchor.id, f"{use} guys to {anchor.id}", "LineString", line))
    return tuple(shapes)


def land_shapes(
    parcels: tuple[GroundFeature, ...], obstacles: tuple[GroundFeature, ...], own: OwnLand | None, frame: Frame, view_m: float
) -> tuple[Shape, ...]:
    """Parcels, own land, obstacles and the tie to the nearest line, cut to a square around the base."""
    window = shapely.box(-view_m, -view_m, view_m, view_m)
    shapes: list[Shape] = []
    for parcel in parcels:
        shapes += _drawn("parcel", parcel.id, f"parcel {parcel.id}", parcel.geometry, window, frame)
    if own is not None:
        shapes += _drawn("own_land", "own", f"own land: {', '.join(own.ids)}", own.area, window, frame)
        tie = shapely.linestrings([(0.0, 0.0), own.nearest_xy_m])
        shapes += _drawn("boundary_tie", "boundary", f"nearest property line: {abs(own.boundary_m):.2f} m", tie, None, frame)
    for obstacle in obstacles:
        label = f"{obstacle.kind.replace('_', ' ')}: {obstacle.name}"
        shapes += _drawn("obstacle", obstacle.id, label, obstacle.geometry, window, frame)
    return tuple(shapes)


def _drawn(kind: str, name: str, label: str, geometry: Any, window: Any, frame: Frame) -> list[Shape]:
    """A geometry's parts as shapes; points become small squares, so that they can be seen."""
    if window is not None:
        geometry = shapely.intersection(geometry, window)
    shapes = []
    for part in shapely.get_parts(geometry):
        if part.geom_type == "Point":
            part = part.buffer(0.5, cap_style="square")
        if part.is_empty or part.geom_type not in ("Polygon", "LineString", "LinearRing"):
            continue
        if part.geom_type == "Polygon":
            part = shapely.orient_polygons(part)
            rings = [part.exterior, *part.interiors]
        else:
            rings = [part]
        lines = []
        for ring in rings:
            xy = shapely.get_coordinates(ring)
            lon, lat = frame.lonlat(xy[:, 0], xy[:, 1])
            lines.append(tuple((float(a), float(b)) for a, b in zip(lon, lat, strict=True)))
        shapes.append(Shape(kind, name, label, "Polygon" if part.geom_type == "Polygon" else "LineString", tuple(lines)))
    return shapes
