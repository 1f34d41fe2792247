"""Made-up ground and mast files for tests: one true surface, written in any CRS, grid, number type and unit.

A surface is a function of true ground metres east and north of a base (horizontal distances along the geodesics
from it, at the base's height), so the same ground can be written as UTM metres, degrees, Web Mercator, Albers or
US survey feet, and a right reader finds the same slopes and stakes in each. All of it is invented.

    ground = rough_ground(seed=7, slope_percent=6.0, uphill_deg=40.0)
    write_dem("a.tif", ground, 46.5, 7.5, crs="utm")
    write_dem("b.tif", ground, 46.5, 7.5, crs="lonlat", affine="south_up", unit="ft", dtype="float64")
    write_mast("mast.toml", hinge_height_m=0.4)
"""

import math

import numpy as np
import pyproj
import rasterio
from rasterio.transform import Affine

METRES_IN_UNIT = {"m": 1.0, "ft": 0.3048, "us-ft": 1200.0 / 3937.0}
BAND_UNIT_TAG = {"m": "m", "ft": "ft", "us-ft": "us-ft"}
AFFINES = ("north_up", "south_up", "rotated")
CRS_CHOICES = ("utm", "lonlat", "mercator", "albers", "state_plane_us_ft")  # or any text that pyproj reads
ROTATED_BY_DEG = 23.0
NODATA = {"float32": -9999.0, "float64": -9999.0, "int16": -32768}


def plane(slope_percent, uphill_deg, height_m=500.0):
    """Surface (east_m, north_m) -> height_m that rises evenly towards an azimuth."""
    up_east, up_north = math.sin(math.radians(uphill_deg)), math.cos(math.radians(uphill_deg))
    return lambda east_m, north_m: height_m + slope_percent / 100.0 * (up_east * east_m + up_north * north_m)


def gauss_hill(peak_m=15.0, east_m=90.0, north_m=60.0, spread_m=70.0, height_m=500.0):
    """Surface of level ground with one round hill whose top stands at (east_m, north_m); its slope is known."""

    def surface(e_m, n_m):
        away2 = (np.asarray(e_m) - east_m) ** 2 + (np.asarray(n_m) - north_m) ** 2
        return height_m + peak_m * np.exp(-away2 / (2.0 * spread_m**2))

    return surface


def rough_ground(
    seed, amplitude_m=0.8, waves=24, shortest_m=25.0, longest_m=160.0, slope_percent=0.0, uphill_deg=0.0, height_m=500.0
):
    """Surface of a plane with random smooth waves on it; a wave's height grows with its length (their sum: 1 sigma)."""
    dice = np.random.default_rng(seed)
    lengths = np.exp(dice.uniform(math.log(shortest_m), math.log(longest_m), waves))
    turns, phases = dice.uniform(0.0, 2.0 * math.pi, (2, waves))
    heights = lengths / math.sqrt(float((lengths**2).sum()) / 2.0) * amplitude_m
    under = plane(slope_percent, uphill_deg, height_m)

    def surface(east_m, north_m):
        z = under(np.asarray(east_m, float), np.asarray(north_m, float))
        for length, turn, phase, height in zip(lengths, turns, phases, heights, strict=True):
            along = math.sin(turn) * np.asarray(east_m) + math.cos(turn) * np.asarray(north_m)
            z = z + height * np.sin(2.0 * math.pi * along / length + phase)
        return z

    return surface


def choose_crs(name, lat, lon):
    """pyproj CRS of one of CRS_CHOICES for a base, or of any text that pyproj reads."""
    if name == "utm":
        zone = math.floor((lon + 180.0) / 6.0) + 1  # plain zones: the DEM's zone need not be the plan's
        return pyproj.CRS.from_epsg((32600 if lat >= 0 else 32700) + zone)
    if name == "albers":  # eight degrees off its middle meridian, so that its north is far from true north
        return pyproj.CRS.from_user_input(
            f"+proj=aea +lat_1={lat - 9:.1f} +lat_2={lat + 8:.1f} +lat_0={lat - 5:.1f} +lon_0={lon - 8:.1f} "
            "+datum=WGS84 +units=m"
        )
    known = {"lonlat": "EPSG:4326", "mercator": "EPSG:3857", "state_plane_us_ft": "EPSG:2232"}  # 2232: Colorado Central
    return pyproj.CRS.from_user_input(known.get(name, name))


def ground_offset_m(lons, lats, lat, lon, height_m):
    """(east_m, north_m) arrays: true ground metres of points from the base, along the geodesics from it."""
    geod = pyproj.Geod(ellps="WGS84")
    shape = np.shape(lons)
    here = np.full(shape, lon), np.full(shape, lat)
    azimuths, _, lengths = geod.inv(*here, lons, lats)
    turn = np.radians(azimuths)
    squash = geod.es * math.sin(math.radians(lat)) ** 2
    big_n = geod.a / math.sqrt(1.0 - squash)
    big_m = big_n * (1.0 - geod.es) / (1.0 - squash)
    radius = 1.0 / (np.cos(turn) ** 2 / big_m + np.sin(turn) ** 2 / big_n)
    ground = lengths * (radius + height_m) / radius
    return ground * np.sin(turn), ground * np.cos(turn)


def crs_units_per_metre(to_crs, lat, lon):
    """(x, y) CRS units in one metre of ellipsoid at the base, to three digits (so that UTM gives 1 and 1)."""
    step = 1e-4
    geod = pyproj.Geod(ellps="WGS84")
    east_m = geod.inv(lon - step, lat, lon + step, lat)[2]
    north_m = geod.inv(lon, lat - step, lon, lat + step)[2]
    x1, y1 = to_crs.transform([lon - step, lon], [lat, lat - step])
    x2, y2 = to_crs.transform([lon + step, lon], [lat, lat + step])
    units = math.hypot(x2[0] - x1[0], y2[0] - y1[0]) / east_m, math.hypot(x2[1] - x1[1], y2[1] - y1[1]) / north_m
    return tuple(float(f"{u:.3g}") for u in units)


def grid_affine(base_x, base_y, cell_x, cell_y, cells, affine, offset):
    """The DEM's affine: the base lies in its middle cell, at `offset` of that cell."""
    if affine == "north_up":
        turn = Affine.scale(cell_x, -cell_y)
    elif affine == "south_up":
        turn = Affine.scale(cell_x, cell_y)
    elif affine == "rotated":
        # cells are turned, then stretched: in degrees they stay square on the ground
        turn = Affine.scale(cell_x, cell_y) * Affine.rotation(ROTATED_BY_DEG) * Affine.scale(1.0, -1.0)
    else:
        raise ValueError(f"affine is one of {AFFINES}")
    col, row = cells // 2 + offset[0], cells // 2 + offset[1]
    dx, dy = turn * (col, row)
    return Affine.translation(base_x - dx, base_y - dy) * turn


def write_dem(
    path, surface, lat, lon, *, crs="utm", half_width_m=130.0, cell_m=1.0, affine="north_up", dtype="float32",
    unit="m", tag_unit=True, hole=None, offset=(0.37, 0.61),
):  # fmt: skip
    """Write a surface as a GeoTIFF around a base; returns the path.

    Args:
        surface: (east_m, north_m) arrays of true ground metres from the base -> heights in metres.
        crs: one of CRS_CHOICES or any text that pyproj reads.
        half_width_m: from the base to each side of the DEM, about.
        cell_m: side of a cell on the ground, about (three digits of the CRS's scale at the base are kept).
        affine: one of AFFINES.
        dtype: "float32", "float64" or "int16" (whole units, rounded).
        unit: unit of the heights: "m", "ft", "us-ft"; written as the band's unit unless tag_unit is False.
        hole: (east_m, north_m, radius_m) without data, or None.
        offset: where the base lies in its cell, in parts of a column and a row from the cell's first corner.
    """
    system = choose_crs(crs, lat, lon)
    to_crs = pyproj.Transformer.from_crs("EPSG:4326", system, always_xy=True)
    to_lonlat = pyproj.Transformer.from_crs(system, "EPSG:4326", always_xy=True)
    per_x, per_y = crs_units_per_metre(to_crs, lat, lon)
    cells = 2 * math.ceil(half_width_m / cell_m) + 1
    base_x, base_y = to_crs.transform(lon, lat)
    transform = grid_affine(base_x, base_y, cell_m * per_x, cell_m * per_y, cells, affine, offset)
    cols, rows = np.meshgrid(np.arange(cells) + 0.5, np.arange(cells) + 0.5)
    xs, ys = transform * (cols, rows)
    lons, lats = to_lonlat.transform(xs, ys)
    east_m, north_m = ground_offset_m(lons, lats, lat, lon, float(surface(0.0, 0.0)))
    heights = np.asarray(surface(east_m, north_m), float) / METRES_IN_UNIT[unit]
    if dtype == "int16":
        heights = np.rint(heights)
    if hole is not None:
        heights[np.hypot(east_m - hole[0], north_m - hole[1]) <= hole[2]] = NODATA[dtype]
    with rasterio.open(
        path, "w", driver="GTiff", width=cells, height=cells, count=1, dtype=dtype, crs=system.to_wkt(),
        transform=transform, nodata=NODATA[dtype],
    ) as dem:  # fmt: skip
        dem.write(heights.astype(dtype), 1)
        if tag_unit:
            dem.units = (BAND_UNIT_TAG[unit],)
    return path


DEFAULT_MAST = {
    "name": "invented test mast",
    "height_m": 80.0,
    "structure": "lattice",
    "mass_kg_per_m": 12.0,
    "section_length_m": 3.0,
    "hinge_height_m": 0.3,
    "gin_pole_length_m": 12.0,
}
DEFAULT_ANCHORS = (
    ("A1", "permanent", 60.0, 50.0), ("B1", "permanent", 180.0, 50.0), ("C1", "permanent", 300.0, 50.0),
    ("A2", "permanent", 60.0, 28.0), ("B2", "permanent", 180.0, 28.0), ("C2", "permanent", 300.0, 28.0),
    ("S1", "temporary", 90.0, 50.0), ("S2", "temporary", 270.0, 50.0),
    ("K1", "temporary", 0.0, 90.0), ("W1", "winch", 180.0, 60.0),
)  # fmt: skip
DEFAULT_GUYS = (
    (78.0, ("A1", "B1", "C1"), "permanent"), (58.0, ("A1", "B1", "C1"), "permanent"),
    (38.0, ("A2", "B2", "C2"), "permanent"), (19.0, ("A2", "B2", "C2"), "permanent"),
    (78.0, ("S1", "S2"), "temporary"), (38.0, ("S1", "S2"), "temporary"), (78.0, ("K1",), "temporary"),
)  # fmt: skip


def write_mast(path, *, anchors=DEFAULT_ANCHORS, guys=DEFAULT_GUYS, **changes):
    """Write a mast file; returns the path.

    Args:
        anchors: (id, use, bearing_deg, radius_m) rows.
        guys: (attach_m, anchor ids, use) rows.
        changes: top-level keys to set, `height_m=60.0`; a key set to None is left out.
    """
    top = {key: value for key, value in (DEFAULT_MAST | changes).items() if value is not None}
    lines = [f'{key} = "{value}"' if isinstance(value, str) else f"{key} = {value}" for key, value in top.items()]
    for name, use, bearing_deg, radius_m in anchors:
        lines += ["", "[[anchors]]", f'id = "{name}"', f'use = "{use}"']
        lines += [f"bearing_deg = {float(bearing_deg)!r}", f"radius_m = {float(radius_m)!r}"]
    for attach_m, names, use in guys:
        ids = ", ".join(f'"{name}"' for name in names)
        lines += ["", "[[guys]]", f"attach_m = {float(attach_m)!r}", f"anchors = [{ids}]", f'use = "{use}"']
        lines += ["diameter_mm = 4.0"]
    with open(path, "w", encoding="utf-8") as file:
        file.write("\n".join(lines) + "\n")
    return path
