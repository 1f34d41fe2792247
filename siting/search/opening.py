"""Opens a search: the DEM, the window of cells that is asked for, and everything that a worker needs to know."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from siting.errors import InputError
from siting.geodesy.dem_frame import DemFrame, dem_frame_at
from siting.geodesy.frames import wkt_crs
from siting.geodesy.links import own_lonlat
from siting.inputs.dem import read_header
from siting.records.ground import DemHeader
from siting.records.search import SearchGrid, SearchJob
from siting.search.sample_net import net_steps
from siting.search.search_land import SearchLand, read_search_land

# The land of the search that was opened last, until the process takes it to work out tiles: it need not be read twice.
_READ: dict[str, SearchLand] = {}


@dataclass(frozen=True, slots=True)
class SearchContext:
    """What a worker needs to work out a tile; small, and the same on every machine. Everything heavy is opened anew there."""

    job: SearchJob
    header: DemHeader
    lat: float  # a place on the DEM, for its way to WGS 84
    lon: float
    grid: SearchGrid
    azimuths_deg: tuple[float, ...]
    sample_steps: tuple[int, int]  # every so many rows and columns a cell is looked at rule by rule
    fingerprint: str


def open_search(job: SearchJob, fingerprint: str) -> SearchContext:
    """The context of a search; no unit.

    Raises:
        InputError: the DEM or the land cannot be used, or the area lies outside the DEM.
        FrameError: a coordinate system cannot be reached.
    """
    header = read_header(job.site.dem)
    lon, lat = _a_place(header)
    frame = dem_frame_at(header, lat, lon)
    grid = _grid(job, header, frame)
    land = read_search_land(job, header, frame, grid)
    _READ.clear()
    _READ[fingerprint] = land
    steps = net_steps(land, job, frame, grid)
    return SearchContext(job, header, lat, lon, grid, _azimuths_deg(job.options.azimuth_step_deg), steps, fingerprint)


def land_of(context: SearchContext) -> SearchLand:
    """The land of a search, read where this process has not just done so.

    Raises:
        InputError, FrameError: a layer cannot be used.
    """
    land = _READ.pop(context.fingerprint, None)
    return read_search_land(context.job, context.header, frame_of(context), context.grid) if land is None else land


def _azimuths_deg(step_deg: float) -> tuple[float, ...]:
    """The true azimuths of a search."""
    return tuple((np.arange(round(360.0 / step_deg)) * step_deg).tolist())


def frame_of(context: SearchContext) -> DemFrame:
    """The DEM's frame of a search."""
    return dem_frame_at(context.header, context.lat, context.lon)


def _a_place(header: DemHeader) -> tuple[float, float]:
    """Longitude and latitude (degrees) of the DEM's middle."""
    a, b, c, d, e, f = header.affine
    x, y = a * header.cols / 2 + b * header.rows / 2 + c, d * header.cols / 2 + e * header.rows / 2 + f
    return own_lonlat(wkt_crs(header.crs_wkt), x, y, header.shown_path)


def _grid(job: SearchJob, header: DemHeader, frame: DemFrame) -> SearchGrid:
    """The window of the DEM that holds the area, or all of it."""
    row0, col0, rows, cols = 0, 0, header.rows, header.cols
    if job.options.area is not None:
        from siting.search.area import area_lonlat

        lon, lat = area_lonlat(job)
        col, row = frame.colrow(lon, lat)
        left, right = max(0, math.floor(col.min())), min(header.cols, math.ceil(col.max()))
        top, bottom = max(0, math.floor(row.min())), min(header.rows, math.ceil(row.max()))
        if right <= left or bottom <= top:
            raise InputError.of(
                "area_outside_dem", f"{job.where}, [search] area", f"{job.options.area_shown} lies outside {header.shown_path}",
                "give a DEM that covers the area, or another area",
            )  # fmt: skip
        row0, col0, rows, cols = top, left, bottom - top, right - left
    a, b, c, d, e, f = header.affine
    affine = (a, b, a * col0 + b * row0 + c, d, e, d * col0 + e * row0 + f)
    return SearchGrid(row0, col0, rows, cols, affine, header.crs_wkt)
