"""Writes the as-staked report: JSON, text, GeoJSON, KML and CSV, all of them or none."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

from siting.figures import kept
from siting.records.as_staked import AsStaked, MissingPoint, StakedPoint
from siting.verdict import PASS, UNCHECKED
from siting.writers.as_staked.kml import as_staked_kml
from siting.writers.as_staked.text import as_staked_text
from siting.writers.folder import put_in_place, unwritable
from siting.writers.record_json import record_json

CSV_HEADER = (
    "point", "northing", "easting", "elevation", "stake", "d_north_m", "d_east_m", "d_height_m", "miss_m", "miss_azimuth_grid_deg",
    "verdict", "lat", "lon",
)  # fmt: skip


def write_as_staked(report: AsStaked, out: Path, shown: str) -> tuple[str, ...]:
    """Writes the report's files into the folder and returns their names, in order.

    Raises:
        WriteError: the folder cannot be written; nothing there has changed.
    """
    contents = {name: make(report) for name, make in FILES.items()}
    try:
        put_in_place(contents, out, set())
    except OSError as fault:
        raise unwritable(shown, fault) from None
    return tuple(contents)


def as_staked_json(report: AsStaked) -> bytes:
    """as_staked.json as UTF-8 text."""
    return record_json(report)


def as_staked_txt(report: AsStaked) -> bytes:
    """as_staked.txt as UTF-8 text: what the terminal shows."""
    return as_staked_text(report).encode()


def as_staked_geojson(report: AsStaked) -> bytes:
    """as_staked.geojson as UTF-8 text: measured points, stakes not measured, a line for each miss; longitude, latitude.

    A point whose place has no meaning has a null geometry. Source: RFC 7946.
    """
    missed = [p for p in report.points if p.verdict != PASS and p.lon is not None]
    collection = {
        "type": "FeatureCollection",
        "name": f"{report.source.plan} as staked",
        "run_id": report.source.run_id,
        "features": [*map(_point, report.points), *map(_missing, report.missing), *map(_miss, missed)],
    }
    return (json.dumps(collection, ensure_ascii=False, allow_nan=False, indent=1) + "\n").encode()


def _point(point: StakedPoint) -> dict[str, Any]:
    shown = ("point", "role", "matched_by", "northing", "easting", "elevation_m", "d_north_m", "d_east_m", "d_height_m",
             "miss_m", "miss_azimuth_deg", "miss_azimuth_grid_deg", "verdict", "note")  # fmt: skip
    geometry = None if point.lon is None else {"type": "Point", "coordinates": [point.lon, point.lat]}
    properties = {name: getattr(point, name) for name in shown}
    return {"type": "Feature", "id": point.id, "geometry": geometry, "properties": properties}


def _missing(point: MissingPoint) -> dict[str, Any]:
    return {
        "type": "Feature",
        "id": point.id,
        "geometry": {"type": "Point", "coordinates": [point.lon, point.lat]},
        "properties": {"role": point.role, "verdict": UNCHECKED, "note": "not measured; shown where it was planned"},
    }


def _miss(point: StakedPoint) -> dict[str, Any]:
    return {
        "type": "Feature",
        "id": f"miss:{point.id}",
        "geometry": {
            "type": "LineString",
            "coordinates": [[point.planned_lon, point.planned_lat], [point.lon, point.lat]],
        },
        "properties": {"kind": "miss", "miss_m": point.miss_m, "verdict": point.verdict},
    }


def as_staked_csv(report: AsStaked) -> bytes:
    """as_staked.csv as UTF-8, CRLF, one header row; coordinates as measured, differences in metres along the grid.

    The first four columns are those of stakes.csv, so that the file can be loaded like it; no field holds a comma.
    """
    lines = [",".join(CSV_HEADER), *(_line(p) for p in report.points)]
    return ("\r\n".join(lines) + "\r\n").encode()


def _line(point: StakedPoint) -> str:
    metres: Callable[[float | None], str] = lambda value: "" if value is None else kept(value, "coordinate")  # noqa: E731
    degrees: Callable[[float | None, str], str] = lambda value, kind: "" if value is None else kept(value, kind)  # noqa: E731
    fields = (
        point.point, metres(point.northing), metres(point.easting), metres(point.elevation_m), point.id,
        metres(point.d_north_m), metres(point.d_east_m), metres(point.d_height_m), metres(point.miss_m),
        degrees(point.miss_azimuth_grid_deg, "bearing"), point.verdict, degrees(point.lat, "latlon"), degrees(point.lon, "latlon"),
    )  # fmt: skip
    return ",".join(re.sub(r"[,;\"'\s]+", " ", f) for f in fields)


FILES: dict[str, Callable[[AsStaked], bytes]] = {
    "as_staked.json": as_staked_json,
    "as_staked.txt": as_staked_txt,
    "as_staked.geojson": as_staked_geojson,
    "as_staked.kml": as_staked_kml,
    "as_staked.csv": as_staked_csv,
}
