"""Reads runways as lines and heliports as points or areas from a map layer: GeoJSON, GeoPackage, Shapefile."""

from __future__ import annotations

import math
import warnings
from pathlib import Path
from typing import Any

from siting.errors import InputError
from siting.inputs.strips import Window
from siting.records.airfields import HELIPORT, RUNWAY, Strip
from siting.units import METRES_PER_FOOT

# Properties that are read; heights and lengths in feet, as in the open tables, or in metres.
AIRPORT, NAME, RUNWAY_NAME = ("airport", "airport_ident", "ident"), ("name",), ("runway", "ref")
FIRST_END, LAST_END, AT_POINT, LENGTH = "le_elevation", "he_elevation", "elevation", "length"
# A line that is drawn longer than its ends lie apart by more than this is no runway.
BENT = 1.01


def layer_strips(path: Path, shown: str, window: Window, kind: str) -> list[Strip]:
    """Strips near the site: for runways the ends of each line, for heliports each point or an area's middle.

    Raises:
        InputError: missing, unreadable, without coordinate system, or of another kind of geometry.
    """
    frame = _frame(path, shown, window)
    strips = []
    for number, row in enumerate(frame.to_dict("records"), 1):
        geometry = row.pop("geometry", None)
        if geometry is None or geometry.is_empty:
            continue
        where = f"{shown}, feature {number}"
        values = {str(key).strip().lower(): value for key, value in row.items()}
        strips += _runways(geometry, values, where) if kind == RUNWAY else [_heliport(geometry, values, where)]
    return strips


def _frame(path: Path, shown: str, window: Window) -> Any:
    """The features in the window, in WGS 84 degrees.

    Raises:
        InputError: missing, unreadable, or without coordinate system.
    """
    import geopandas
    import pyogrio
    import shapely

    if not path.exists():
        raise InputError.of("file_missing", shown, "no such file", "check [air]: the name of the file")
    west, east = window.lon - window.half_lon_deg, window.lon + window.half_lon_deg
    boxes = [shapely.box(west + turn, window.lat - window.half_lat_deg, east + turn, window.lat + window.half_lat_deg) for turn in (-360, 0, 360)]
    area = shapely.union_all(boxes).intersection(shapely.box(-180.0, -90.0, 180.0, 90.0))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            found = [geopandas.read_file(path, bbox=geopandas.GeoSeries([part], crs="OGC:CRS84")) for part in shapely.get_parts(area)]
        except (pyogrio.errors.DataSourceError, pyogrio.errors.DataLayerError, pyogrio.errors.FeatureError, pyogrio.errors.GeometryError, ValueError, OSError) as fault:
            line = (str(fault).splitlines() or [""])[0]
            raise InputError.of("layer_unreadable", shown, f"cannot be read ({line})", "check the file in a GIS and export it again") from None
    if found[0].crs is None:
        raise InputError.of(
            "layer_no_crs", shown, "carries no coordinate system, so nobody knows where it lies",
            "add its .prj file, or export it again with its coordinate system",
        )  # fmt: skip
    import pandas

    return pandas.concat([part.to_crs("OGC:CRS84") for part in found], ignore_index=True)


def _runways(geometry: Any, values: dict[str, Any], where: str) -> list[Strip]:
    """A strip for each line of a feature.

    Raises:
        InputError: no line, or one that bends.
    """
    import shapely

    strips = []
    for part in shapely.get_parts(geometry):
        if part.geom_type != "LineString":
            raise InputError.of("runway_geometry", where, f"is a {part.geom_type}, but a runway is a line", "draw its centre line from end to end")
        points = [(float(x), float(y)) for x, y in shapely.get_coordinates(part)]
        if _bends(points):
            raise InputError.of("runway_geometry", where, "bends", "draw the runway's centre line from end to end")
        strips.append(
            Strip(
                _word(values, AIRPORT) or where, _word(values, NAME), _runway_name(values), RUNWAY, (points[0], points[-1]),
                (_metres(values, FIRST_END), _metres(values, LAST_END)), _metres(values, LENGTH) or None,
                is_public=_public(values),
            )
        )  # fmt: skip
    return strips


def _bends(points: list[tuple[float, float]]) -> bool:
    """True where the line is longer than its ends lie apart."""
    shrink = math.cos(math.radians(points[0][1]))

    def apart(a: tuple[float, float], b: tuple[float, float]) -> float:
        return math.hypot((a[0] - b[0]) * shrink, a[1] - b[1])

    along = sum(apart(a, b) for a, b in zip(points, points[1:], strict=False))
    return along > BENT * apart(points[0], points[-1])


def _heliport(geometry: Any, values: dict[str, Any], where: str) -> Strip:
    """A point, or the middle of an area with the distance to its farthest corner as doubt.

    Raises:
        InputError: neither a point nor an area.
    """
    import shapely

    if geometry.geom_type not in ("Point", "Polygon", "MultiPolygon"):
        raise InputError.of("runway_geometry", where, f"is a {geometry.geom_type}, but a heliport is a point or an area", "draw its landing area")
    middle = geometry.centroid
    corners = shapely.get_coordinates(geometry)
    shrink = math.cos(math.radians(middle.y))
    within_m = max(math.hypot((x - middle.x) * shrink, y - middle.y) for x, y in corners) * 111_320.0
    elevation = _metres(values, AT_POINT)
    name = _word(values, NAME)
    return Strip(
        _word(values, AIRPORT) or name or where, name, "", HELIPORT, ((float(middle.x), float(middle.y)),), (elevation,), None,
        within_m, elevation, is_public=_public(values),
    )  # fmt: skip


def _word(values: dict[str, Any], keys: tuple[str, ...]) -> str:
    for key in keys:
        text = str(values.get(key) if values.get(key) is not None else "").strip()
        if text and text.lower() not in ("none", "nan"):
            return text
    return ""


def _runway_name(values: dict[str, Any]) -> str:
    ends = [_word(values, ("le_ident",)), _word(values, ("he_ident",))]
    return "/".join(part for part in ends if part) or _word(values, RUNWAY_NAME)


def _metres(values: dict[str, Any], key: str) -> float | None:
    """A property in metres: `…_m` as it is, `…_ft` in feet; None where there is none that is a number."""
    for name, factor in ((f"{key}_m", 1.0), (f"{key}_ft", METRES_PER_FOOT)):
        try:
            number = float(values.get(name))  # type: ignore[arg-type]
        except (TypeError, ValueError):
            continue
        if math.isfinite(number):
            return number * factor
    return None


def _public(values: dict[str, Any]) -> bool | None:
    text = _word(values, ("public_use",)).casefold()
    return {"yes": True, "true": True, "1": True, "no": False, "false": False, "0": False}.get(text)
