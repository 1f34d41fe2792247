"""Made-up sites for every test: grounds, DEMs, masts, land layers and site files, and hypothesis draws of them.

All of it is invented. A test that needs a new kind of site adds its maker here.
"""

from __future__ import annotations

import json
import math
import warnings
from pathlib import Path
from unittest.mock import patch

import numpy as np
import pyproj
import rasterio
import shapely
from geographiclib.geodesic import Geodesic
from hypothesis import strategies as st
from rasterio.transform import Affine
from synthetic import choose_crs, write_dem, write_mast

from siting.geodesy.dem_frame import DemFrame, dem_frame_at, ground_scale
from siting.inputs.dem import read_header, read_window
from siting.inputs.site_file import read_site
from siting.planner import make_plan
from siting.records.ground import DemHeader
from siting.records.site import DemSource
from siting.terrain.surface import Surface
from siting.writers.plan_json import plan_json

LAT, LON = 46.5, 7.5
DATE = "2027-05-10"
EARTH = Geodesic.WGS84
# A 60 m mast with few guys: quick to plan, every kind of anchor on it.
SMALL_ANCHORS = (
    ("A1", "permanent", 60.0, 40.0), ("B1", "permanent", 180.0, 40.0), ("C1", "permanent", 300.0, 40.0),
    ("S1", "temporary", 90.0, 36.0), ("S2", "temporary", 270.0, 36.0), ("K1", "temporary", 0.0, 66.0),
    ("W1", "winch", 180.0, 55.0),
)  # fmt: skip
SMALL_GUYS = (
    (58.0, ("A1", "B1", "C1"), "permanent"), (30.0, ("A1", "B1", "C1"), "permanent"),
    (58.0, ("S1", "S2"), "temporary"), (58.0, ("K1",), "temporary"),
)  # fmt: skip


def small_mast(path: Path, **changes: object) -> Path:
    """Writes the 60 m mast; returns its path."""
    made = {"height_m": 60.0, "gin_pole_length_m": 10.0, "anchors": SMALL_ANCHORS, "guys": SMALL_GUYS}
    return write_mast(path, **(made | changes))


def toml_value(value: object) -> str:
    """A value as TOML writes it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False)
    if isinstance(value, list | tuple):
        return "[" + ", ".join(toml_value(v) for v in value) + "]"
    return repr(value)


def site_text(**tables: object) -> str:
    """A site file's text: plain keys at the top, each dict a table; a table set to None is left out."""
    whole: dict[str, object] = {
        "name": "Test Ridge",
        "date": None,
        "base": {"lat": LAT, "lon": LON},
        "dem": {"path": "dem.tif"},
        "mast": {"use": "mast.toml"},
    }
    for name, value in tables.items():
        known = whole.get(name)
        whole[name] = known | value if isinstance(known, dict) and isinstance(value, dict) else value
    lines = [f"{k} = {toml_value(v)}" for k, v in whole.items() if not isinstance(v, dict | None)]
    if whole["date"] is None:
        lines.append(f"date = {DATE}")
    for name, table in whole.items():
        if isinstance(table, dict):
            lines += ["", f"[{name}]", *(f"{k} = {toml_value(v)}" for k, v in table.items() if v is not None)]
    return "\n".join(lines) + "\n"


def write_site(folder: Path, file: str = "site.toml", **tables: object) -> Path:
    """Writes a site file into a folder; returns its path."""
    path = folder / file
    path.write_text(site_text(**tables), encoding="utf-8")
    return path


def plan_of(folder: Path, file: str = "site.toml", **tables: object):
    """The Plan of a site file that is written with these tables; its picture of the ground is small, to be quick."""
    with patch("siting.terrain.backdrop.SIDE_PX", 40):
        return make_plan(read_site(write_site(folder, file, **tables)))


def as_json(plan) -> dict:
    """plan.json of a plan, read back."""
    return json.loads(plan_json(plan))


def ready_folder(folder: Path, surface, *, mast: dict | None = None, lat: float = LAT, lon: float = LON, **dem: object) -> Path:
    """A folder with dem.tif of a surface around a base and mast.toml; returns it."""
    folder.mkdir(parents=True, exist_ok=True)
    write_dem(folder / "dem.tif", surface, lat, lon, **({"half_width_m": 110.0, "cell_m": 2.0, "dtype": "float64"} | dem))
    small_mast(folder / "mast.toml", **(mast or {}))
    return folder


def local_crs(lat: float, lon: float) -> pyproj.CRS:
    """A transverse Mercator through a point: true north is up there, and its scale is 1."""
    return pyproj.CRS(f"+proj=tmerc +lat_0={lat!r} +lon_0={lon!r} +k=1 +x_0=0 +y_0=0 +datum=WGS84 +units=m")


def write_grid(path: Path, heights_m: np.ndarray, crs: pyproj.CRS, affine: Affine, nodata: float = -9999.0) -> Path:
    """Writes an array of heights as it stands; returns the path."""
    rows, cols = heights_m.shape
    with rasterio.open(
        path, "w", driver="GTiff", width=cols, height=rows, count=1, dtype="float64", crs=crs.to_wkt(),
        transform=affine, nodata=nodata,
    ) as dem:  # fmt: skip
        dem.write(np.where(np.isnan(heights_m), nodata, heights_m), 1)
        dem.units = ("m",)
    return path


def turned_affine(cells: int, cell_m: float, turn_deg: float, x: float = 0.0, y: float = 0.0) -> Affine:
    """A north-up grid about (x, y), turned clockwise by an angle: (x, y) stays the grid's middle."""
    cosine, sine = cell_m * math.cos(math.radians(turn_deg)), cell_m * math.sin(math.radians(turn_deg))
    half = cells / 2.0
    a, b, d, e = cosine, -sine, -sine, -cosine  # columns run to azimuth 90 + turn, rows to 180 + turn
    return Affine(a, b, x - half * (a + b), d, e, y - half * (d + e))


def rough_heights(seed: int, cells: int, cell_m: float, slope_percent: float = 6.0, height_m: float = 700.0) -> np.ndarray:
    """Heights of smooth rough ground that rises to its grid's right side, by a few waves of a seeded dice."""
    dice = np.random.default_rng(seed)
    x, y = np.meshgrid(*(2 * [(np.arange(cells) - cells / 2) * cell_m]))
    z = height_m + slope_percent / 100.0 * x
    for _ in range(6):
        turn, phase = dice.uniform(0, 2 * math.pi, 2)
        length = dice.uniform(40.0, 150.0)
        z += 0.006 * length * np.sin(2 * math.pi * (x * math.sin(turn) + y * math.cos(turn)) / length + phase)
    return z


def ground_point(azimuth_deg: float, radius_m: float, height_m: float, lat: float = LAT, lon: float = LON) -> tuple[float, float]:
    """(lon, lat) of a horizontal ground distance from the base, by geographiclib and Euler's radius."""
    squash = EARTH.f * (2 - EARTH.f)
    w2 = 1 - squash * math.sin(math.radians(lat)) ** 2
    big_n = EARTH.a / math.sqrt(w2)
    big_m = big_n * (1 - squash) / w2
    turn = math.radians(azimuth_deg)
    radius = 1 / (math.cos(turn) ** 2 / big_m + math.sin(turn) ** 2 / big_n)
    there = EARTH.Direct(lat, lon, azimuth_deg, radius_m * radius / (radius + height_m))
    return there["lon2"], there["lat2"]


def ground_ring(points_en_m, height_m: float, lat: float = LAT, lon: float = LON) -> list[tuple[float, float]]:
    """(lon, lat) of points given in ground metres east and north (true) of the base."""
    return [
        ground_point(math.degrees(math.atan2(e, n)), math.hypot(e, n), height_m, lat, lon) for e, n in points_en_m
    ]  # fmt: skip


def box_en(west: float, south: float, east: float, north: float, step_m: float = 25.0) -> list[tuple[float, float]]:
    """Corners of a box in ground metres, with points along its sides (a side bends a little in another system)."""
    line = shapely.segmentize(shapely.LinearRing([(west, south), (east, south), (east, north), (west, north)]), step_m)
    return [tuple(p) for p in shapely.get_coordinates(line)[:-1].tolist()]


def ground_polygon(points_en_m, height_m: float, holes=(), lat: float = LAT, lon: float = LON) -> shapely.Polygon:
    """A polygon in longitude and latitude from ground metres about the base."""
    return shapely.Polygon(
        ground_ring(points_en_m, height_m, lat, lon), [ground_ring(hole, height_m, lat, lon) for hole in holes]
    )


def write_layer(path: Path, geometries, fields: dict[str, list], crs: str | None = "EPSG:4326", **options: object) -> Path:
    """Writes geometries given in longitude and latitude as a layer in a CRS (None: without one); returns the path."""
    import geopandas

    frame = geopandas.GeoDataFrame(fields, geometry=list(geometries), crs="OGC:CRS84")
    frame = frame.set_crs(None, allow_override=True) if crs is None else frame.to_crs(crs)
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", "'crs' was not provided", UserWarning)
        frame.to_file(path, **options)
    return path


def tree_bytes(folder: Path) -> dict[str, bytes]:
    """Every file under a folder with its bytes; folders with None."""
    return {
        str(p.relative_to(folder)): (p.read_bytes() if p.is_file() else b"<folder>") for p in sorted(folder.rglob("*"))
    }  # fmt: skip


def surface_of(path: Path, box_px=None, reach_m: float = 80.0) -> Surface:
    """The surface of a DEM around LAT, LON, through a window of pixels (left, top, right, bottom)."""
    source = DemSource(path, path.name)
    header = read_header(source)
    frame = dem_frame_at(header, LAT, LON)
    grid, _ = read_window(source, header, box_px or (0.0, 0.0, float(header.cols), float(header.rows)))
    return Surface(grid, frame, ground_scale(frame, reach_m))


# Where DEMs of every kind lie.
PLACES = [
    # CRS, latitude, longitude, base height
    ("utm", 46.5, 7.5, 1450.0),
    ("utm", -33.9, 18.6, 0.0),
    ("lonlat", 46.5, 7.5, 1450.0),
    ("lonlat", 69.0, 20.0, 300.0),
    ("mercator", 60.5, 25.0, 50.0),
    ("albers", 46.5, 7.5, 4000.0),
    ("state_plane_us_ft", 39.2, -105.5, 2800.0),
    ("EPSG:3413", 78.2, 15.6, 20.0),
]


def dem_frame_of(crs: str, lat: float, lon: float, cell: float = 1.0) -> DemFrame:
    """The frame of a large DEM whose cells are about a metre on a side, turned by 20 degrees."""
    system: pyproj.CRS = choose_crs(crs, lat, lon)
    size = cell / 111_000.0 if system.is_geographic else cell / system.axis_info[0].unit_conversion_factor
    probe = DemHeader("dem.tif", 1, 1, (1.0, 0.0, 0.0, 0.0, 1.0, 0.0), system.to_wkt(), "", "m", "", True, "", 1)
    x, y = dem_frame_at(probe, lat, lon).link.forward(np.array(lon), np.array(lat))
    c, s = size * np.cos(np.radians(20.0)), size * np.sin(np.radians(20.0))
    affine = (c, s, float(x) - 1000.3 * c - 1000.7 * s, s, -c, float(y) - 1000.3 * s + 1000.7 * c)
    header = DemHeader("dem.tif", 2001, 2001, affine, system.to_wkt(), "", "m", "", True, "", 1)
    return dem_frame_at(header, lat, lon)


# hypothesis draws
whole_degrees = st.integers(0, 359).map(float)
bearings = st.floats(0.0, 360.0, exclude_max=True, allow_nan=False)
seeds = st.integers(0, 10_000)
cell_offsets = st.tuples(st.floats(0.02, 0.98), st.floats(0.02, 0.98))
latitudes = st.floats(-79.0, 83.0, allow_nan=False)
longitudes = st.floats(-180.0, 179.999, allow_nan=False)
slopes_percent = st.floats(1.0, 12.0, allow_nan=False)
