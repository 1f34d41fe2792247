"""How wide the net of cells is that a search looks at rule by rule: by how many cells come as far as the azimuths."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import shapely

from siting.geodesy.dem_frame import DemFrame
from siting.geodesy.frames import frame_at
from siting.records.search import SearchGrid, SearchJob
from siting.search.land_cells import UNDECIDED, TileGround, land_of_tile
from siting.search.search_land import GivenLayer, SearchLand

# So many cells at most are to be looked at rule by rule, and half as many at least where there are as many: a share is then
# off by 2 percent of the cells, 19 times out of 20.
MOST_SAMPLED = 4000
# Places along each side of the window that the land is asked at, to count the cells that it leaves.
PLACES = 128


@dataclass(frozen=True, slots=True)
class _Window:
    """A window of the search's cells: rows and columns of the grid."""

    top: int
    bottom: int
    left: int
    right: int

    @property
    def size(self) -> int:
        """How many cells it holds."""
        return (self.bottom - self.top) * (self.right - self.left)

    def places(self) -> tuple[np.ndarray, np.ndarray, float]:
        """Rows and columns (n,) of a regular net of cells, and how many cells stand behind each."""
        rows = self.top + _in_the_middle(self.bottom - self.top)
        cols = self.left + _in_the_middle(self.right - self.left)
        row, col = (v.ravel() for v in np.meshgrid(rows, cols, indexing="ij"))
        return row, col, self.size / max(row.size, 1)

    def around(self, row: np.ndarray, col: np.ndarray) -> _Window:
        """The part of this window that may hold more of what was found at some of its places."""
        down = math.ceil((self.bottom - self.top) / PLACES)
        along = math.ceil((self.right - self.left) / PLACES)
        return _Window(
            max(self.top, int(row.min()) - down), min(self.bottom, int(row.max()) + down + 1),
            max(self.left, int(col.min()) - along), min(self.right, int(col.max()) + along + 1),
        )  # fmt: skip


def _in_the_middle(cells: int) -> np.ndarray:
    """Which cells of a row stand for the parts that it is cut into."""
    parts = min(cells, PLACES)
    return ((2 * np.arange(parts) + 1) * cells // max(2 * parts, 1)).astype(np.int64)


def net_steps(land: SearchLand, job: SearchJob, frame: DemFrame, grid: SearchGrid) -> tuple[int, int]:
    """Every so many rows, and every so many columns, a cell is looked at rule by rule; no unit.

    The land is asked at a net of places, not at every cell, so the count is good to some percent; what is counted is the cells
    that the land leaves, whether they have ground or not.
    """
    return steps_for(cells_left(land, job, frame, grid))


def steps_for(cells: float) -> tuple[int, int]:
    """Rows and columns from one cell of the net to the next, so that of so many cells MOST_SAMPLED are in it at most.

    All are where there are no more; otherwise half of MOST_SAMPLED at least.
    """
    every = max(1, math.ceil(cells / MOST_SAMPLED))
    down = math.isqrt(every)
    return down, math.ceil(every / down)


def cells_left(land: SearchLand, job: SearchJob, frame: DemFrame, grid: SearchGrid) -> float:
    """About how many cells the land leaves: inside the area, on own land, and not removed by what only the base decides."""
    window = _own_window(land, frame, grid)
    found = 0.0
    for _ in range(2):  # once more, and closer, around what was found
        if window is None:
            return 0.0
        row, col, cells = window.places()
        is_left = _is_left(land, job, frame, (row + grid.row0, col + grid.col0))
        found = cells * int(is_left.sum())
        if cells <= 1.0 or not is_left.any():
            break
        closer = window.around(row[is_left], col[is_left])
        if closer.size > window.size / 2:
            break
        window = closer
    return found


def _own_window(land: SearchLand, frame: DemFrame, grid: SearchGrid) -> _Window | None:
    """The grid's cells around the own parcels that are named, all of them where none are; None where they lie elsewhere."""
    if land.parcels is None or not land.parcels.layer.own:
        return _Window(0, grid.rows, 0, grid.cols)
    is_own = np.array([f.id in land.parcels.layer.own for f in land.parcels.layer.features], dtype=bool)
    boxes = land.parcels.boxes_deg[is_own]
    lon, lat = np.meshgrid(np.linspace(boxes[:, 0].min(), boxes[:, 2].max(), 9), np.linspace(boxes[:, 1].min(), boxes[:, 3].max(), 9))
    col, row = frame.colrow(lon.ravel(), lat.ravel())
    top, bottom = max(0, math.floor(row.min()) - grid.row0), min(grid.rows, math.ceil(row.max()) + 1 - grid.row0)
    left, right = max(0, math.floor(col.min()) - grid.col0), min(grid.cols, math.ceil(col.max()) + 1 - grid.col0)
    return _Window(top, bottom, left, right) if top < bottom and left < right else None


def _is_left(land: SearchLand, job: SearchJob, frame: DemFrame, cells: tuple[np.ndarray, np.ndarray]) -> np.ndarray:
    """Which of some cells, rows and columns of the DEM, the land does not remove."""
    row, col = cells
    is_left = np.zeros(row.shape, dtype=bool)
    lon, lat = frame.lonlat(col + 0.5, row + 0.5)
    known = np.isfinite(lon) & np.isfinite(lat)
    if not known.any():
        return is_left
    lon, lat = lon[known], lat[known]
    # One frame for all: lengths far from its middle are off by a thousandth, which is enough for a count.
    middle = int(np.argmin(np.hypot(row - (row.min() + row.max()) / 2.0, col - (col.min() + col.max()) / 2.0)[known]))
    here = frame_at(float(lat[middle]), float(lon[middle]), 0.0, job.site.projected_crs, f"{job.where}, [crs] projected")
    x_m, y_m = here.ground_xy(lon, lat)
    ground = TileGround(_only_under(land, lon, lat), here, job, x_m, y_m)
    is_left[known] = land_of_tile(ground, x_m, y_m).fate == UNDECIDED
    return is_left


def _only_under(land: SearchLand, lon: np.ndarray, lat: np.ndarray) -> SearchLand:
    """The land with those parcels only that may hold one of the places, where every parcel is its own."""
    parcels = land.parcels
    if parcels is None or parcels.layer.own:
        return land
    boxes = shapely.box(*parcels.boxes_deg.T)
    under = np.unique(shapely.STRtree(boxes).query(shapely.points(lon, lat), predicate="intersects")[1])
    layer = replace(parcels.layer, features=tuple(parcels.layer.features[i] for i in under))
    return replace(land, parcels=GivenLayer(layer, parcels.boxes_deg[under], parcels.reach_m))
