"""Opens the ground around the base: the DEM's frame, the one window that the plan needs, the base itself."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from siting.errors import InputError, TerrainGap
from siting.geodesy.dem_frame import DemFrame, cell_size_m, dem_frame_at, ground_scale
from siting.geodesy.geodesic import place
from siting.inputs.dem import read_header, read_window
from siting.records.ground import DemHeader
from siting.records.site import Site
from siting.terrain.surface import Surface

# The map shows this much more than the largest circle of the plan, so that what lies just outside is seen too.
VIEW_MARGIN = 1.7
# Cells around the window, for Horn's 3 x 3 and the bilinear neighbours.
HALO_PX = 3.0
# More cells than this around one base is no DEM for siting a mast (and would fill a small computer's memory).
WINDOW_CELLS_MAX = 150_000_000


@dataclass(frozen=True, slots=True)
class Ground:
    """The ground of a plan."""

    header: DemHeader
    surface: Surface
    view_m: float  # half side of the square that is read and shown
    base_height_m: float
    base_slope_percent: float | None
    base_uphill_deg: float | None
    notes: tuple[str, ...]


def setback_m(site: Site) -> float:
    """Setback factor x total height, metres."""
    return site.land.setback_factor.value * site.mast.total_height_m


def open_ground(site: Site) -> Ground:
    """Reads the window around the base and the ground at the base.

    Raises:
        InputError: the DEM cannot be used, or the base lies outside it.
        TerrainGap: the DEM has no height at the base.
        FrameError: the DEM's coordinate system cannot be reached.
    """
    mast = site.mast
    header = read_header(site.dem)
    frame = dem_frame_at(header, site.base.lat, site.base.lon)
    col, row = frame.colrow(np.array(site.base.lon), np.array(site.base.lat))
    if not (0 <= col <= header.cols and 0 <= row <= header.rows):
        raise _outside(site, header, frame)
    view_m = VIEW_MARGIN * max(mast.reach_m, mast.total_height_m, setback_m(site))
    window = _window_px(frame, view_m)
    _require_sane_window(window, site, header)
    grid, notes = read_window(site.dem, header, window)
    surface = Surface(grid, frame, ground_scale(frame, mast.reach_m))
    height = surface.heights_m(np.array([col]), np.array([row]))[0]
    if not np.isfinite(height):
        edge = min(col, row, header.cols - col, header.rows - row) < 1.0
        cause = "lies on the DEM's very edge" if edge else "lies where the DEM has no data"
        raise TerrainGap.of(
            "ground_missing", f"base {site.base.lat:.6f}, {site.base.lon:.6f}", f"{cause} ({header.shown_path})",
            "move the base or give a DEM that covers it",
        )  # fmt: skip
    slope, uphill = (float(v[0]) for v in surface.slopes(np.array([col]), np.array([row])))
    known = math.isfinite(slope)
    return Ground(
        header, surface, view_m, float(height), slope if known else None, uphill if known and slope > 0 else None, notes
    )


def cell_m(ground: Ground) -> tuple[float, float]:
    """Ground size of a cell at the base, metres: along a row, along a column."""
    return cell_size_m(ground.surface.scale)


def _window_px(frame: DemFrame, view_m: float) -> tuple[float, float, float, float]:
    """The pixels (left, top, right, bottom) of a square of half side `view_m` around the base."""
    around = np.arange(0.0, 360.0, 7.5)
    lon, lat = place(frame.lat, frame.lon, around, np.full(around.size, 1.42 * view_m), 0.0)
    col, row = frame.colrow(lon, lat)
    return (
        float(col.min()) - HALO_PX,
        float(row.min()) - HALO_PX,
        float(col.max()) + HALO_PX,
        float(row.max()) + HALO_PX,
    )


def _require_sane_window(window: tuple[float, float, float, float], site: Site, header: DemHeader) -> None:
    """Refuses a DEM so fine that the ground of one layout would not fit into memory."""
    cells = (window[2] - window[0]) * (window[3] - window[1])
    if cells > WINDOW_CELLS_MAX:
        raise InputError.of(
            "dem_too_fine", header.shown_path, f"has {cells:.2g} cells around the base {site.base.lat:.5f}, {site.base.lon:.5f}",
            "give a DEM with cells of a few centimetres at least, or check its coordinate system",
        )  # fmt: skip


def _outside(site: Site, header: DemHeader, frame: DemFrame) -> InputError:
    """The base lies off the DEM: says where the DEM is, and whether latitude and longitude look swapped."""
    lat, lon = site.base.lat, site.base.lon
    cols = np.array([0.0, header.cols, header.cols, 0.0, header.cols / 2])
    rows = np.array([0.0, 0.0, header.rows, header.rows, header.rows / 2])
    lons, lats = frame.lonlat(cols, rows)
    lons = (lons + 180.0) % 360.0 - 180.0
    south, north, west, east = lats.min(), lats.max(), lons.min(), lons.max()
    swapped = south <= lon <= north and west <= lat <= east
    hint = "latitude and longitude look swapped: give latitude first" if swapped else "check the base and the DEM"
    return InputError.of(
        "base_outside_dem",
        f"base {lat:.6f}, {lon:.6f}",
        f"lies outside {header.shown_path}, which covers latitude {south:.5f} to {north:.5f}, "
        f"longitude {west:.5f} to {east:.5f}",
        hint,
    )
