"""The plan as layers of points, lines and areas with their fields, for GeoPackage and Shapefile."""

from __future__ import annotations

import struct
from collections.abc import Iterable
from dataclasses import dataclass, fields
from typing import Any

from siting.records.plan import Plan, Stake
from siting.records.survey import ControlPoint
from siting.writers.paper.grid_drawing import grid_circles, grid_lines
from siting.writers.points.geojson import SHAPE_KINDS

# Field in the GeoPackage, the same in at most ten characters for the Shapefile, and the record's own field.
STAKE_FIELDS = (
    ("id", "id", "id"),
    ("point", "point", "point"),
    ("role", "role", "role"),
    ("code", "code", "code"),
    ("easting", "easting", "easting"),
    ("northing", "northing", "northing"),
    ("height_m", "height_m", "height_m"),
    ("ellipsoid_height_m", "ell_hgt_m", "ellipsoid_height_m"),
    ("lat", "lat", "lat"),
    ("lon", "lon", "lon"),
    ("azimuth_deg", "az_true", "azimuth_deg"),
    ("azimuth_grid_deg", "az_grid", "azimuth_grid_deg"),
    ("azimuth_magnetic_deg", "az_magn", "azimuth_magnetic_deg"),
    ("ground_distance_m", "ground_m", "radius_m"),
    ("above_base_m", "above_m", "above_base_m"),
    ("slope_percent", "slope_pct", "slope_percent"),
    ("verdict", "verdict", "verdict"),
    ("description", "descript", "description"),
)
CONTROL_FIELDS = (*STAKE_FIELDS[:7], *STAKE_FIELDS[8:11], ("ground_distance_m", "ground_m", "distance_m"))
SHAPE_FIELDS = (("kind", "kind", "kind"), ("id", "id", "id"), ("label", "label", "label"))
PLAN_FIELDS = (("crs", "crs"), ("unit", "unit"), ("vertical_datum", "vert_datum"), ("epoch", "epoch"), ("run_id", "run_id"))
ELEVATIONS = ("height_m", "ellipsoid_height_m")
# A record's field that states a quantity is a number.
NUMBERS = {item.name for record in (Stake, ControlPoint) for item in fields(record) if "quantity" in item.metadata}
WGS84 = "EPSG:4326"


@dataclass(frozen=True, slots=True)
class Column:
    """One field of a layer and its values; a number that is missing is None."""

    name: str
    short_name: str
    is_number: bool
    values: tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class Layer:
    """Features of one kind: their geometries as WKB in the CRS of `layer_crs`, and their fields."""

    name: str
    geometry: str  # Point, LineString or Polygon
    wkb: tuple[bytes, ...]
    columns: tuple[Column, ...]


def layer_crs(plan: Plan) -> str:
    """The CRS of the layers: the plan's own by its EPSG code, WGS 84 longitude and latitude where it has none."""
    return f"EPSG:{plan.crs.epsg}" if plan.crs.epsg else WGS84


def layers(plan: Plan, unit: str) -> tuple[Layer, ...]:
    """Stakes, lines and zones, and the user's own points where there are any; coordinates in `layer_crs`.

    Args:
        unit: the words for the unit of eastings and northings.
    """
    plain = {
        "crs": plan.crs.name,
        "unit": unit,
        "vertical_datum": plan.terrain.vertical_datum,
        "epoch": plan.crs.epoch,
        "run_id": plan.provenance.run_id,
    }
    lines, zones = _shapes(plan)
    made = [
        Layer("stakes", "Point", _points(plan.stakes, plan), _columns(plan.stakes, STAKE_FIELDS, plain, plan)),
        Layer("lines", "LineString", tuple(w for _, w in lines), _columns([s for s, _ in lines], SHAPE_FIELDS, plain, plan)),
        Layer("zones", "Polygon", tuple(w for _, w in zones), _columns([s for s, _ in zones], SHAPE_FIELDS, plain, plan)),
    ]
    if plan.control:
        columns = _columns(plan.control, CONTROL_FIELDS, plain, plan)
        made.append(Layer("control", "Point", _points(plan.control, plan), columns))
    return tuple(made)


def _columns(records: Iterable[Any], names: Iterable[tuple[str, str, str]], plain: dict[str, str], plan: Plan) -> tuple[Column, ...]:
    """The records' own fields, then what is the same for the whole plan."""
    records = tuple(records)
    columns = []
    for name, short, attribute in names:
        is_left_out = name in ELEVATIONS and plan.terrain.blank_elevation
        values = tuple(None if is_left_out else getattr(record, attribute) for record in records)
        columns.append(Column(name, short, attribute in NUMBERS, values))
    columns += [Column(name, short, False, (plain[name],) * len(records)) for name, short in PLAN_FIELDS]
    return tuple(columns)


def _points(records: Iterable[Any], plan: Plan) -> tuple[bytes, ...]:
    """A point is its easting and northing, or its longitude and latitude; never a third coordinate."""
    places = [(r.easting, r.northing) if plan.crs.epsg else (r.lon, r.lat) for r in records]
    return tuple(struct.pack("<BIdd", 1, 1, *place) for place in places)


def _shapes(plan: Plan) -> tuple[list[tuple[Any, bytes]], list[tuple[Any, bytes]]]:
    """Lines and zones, each with its WKB."""
    if plan.crs.epsg:
        lines = [(line, _line_wkb((line.start, line.end))) for line in grid_lines(plan)]
        return lines, [(circle, _polygon_wkb((circle.ring(),))) for circle in grid_circles(plan)]
    drawn = [s for s in plan.shapes if s.kind in SHAPE_KINDS]
    lines = [(s, _line_wkb(s.rings[0])) for s in drawn if s.geometry == "LineString"]
    return lines, [(s, _polygon_wkb(s.rings)) for s in drawn if s.geometry == "Polygon"]


def _coordinates(points: Iterable[tuple[float, float]]) -> bytes:
    points = tuple(points)
    return struct.pack("<I", len(points)) + b"".join(struct.pack("<dd", *point) for point in points)


def _line_wkb(points: Iterable[tuple[float, float]]) -> bytes:
    return struct.pack("<BI", 1, 2) + _coordinates(points)


def _polygon_wkb(rings: tuple[Iterable[tuple[float, float]], ...]) -> bytes:
    return struct.pack("<BII", 1, 3, len(rings)) + b"".join(_coordinates(ring) for ring in rings)
