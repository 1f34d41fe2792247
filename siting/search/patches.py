"""Patches of a DEM small enough for one set of layout tables: fixed by the DEM and the mast, whatever tile is worked on."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from siting.geodesy.dem_frame import DemFrame, cell_size_m, ground_scale, trace_rays
from siting.laydown.profile import sample_distances_m
from siting.layout.anchors import anchor_azimuths_deg
from siting.layout.tables import LayoutTables, layout_tables
from siting.records.ground import DemHeader, Rays
from siting.records.mast import Mast
from siting.screening.lift_stencil import FARTHEST_M, lift_azimuths_deg

# A stake of a base anywhere in a patch may lie so far from where the base's own tables put it (issue: 2 cm). The rest is
# left for the height, which brings a distance down by h/R: 300 m beside the patch's height move a stake at 100 m by 5 mm.
DRIFT_M = 0.015
LARGEST, SMALLEST = 1024, 8  # cells along a patch's side, a power of two


@dataclass(frozen=True, slots=True)
class Patches:
    """The patches of a DEM: squares of `size` cells counted from the DEM's first cell.

    `frame` serves the whole DEM (its link to WGS 84 is looked up once); a patch's tables are traced from its middle.
    """

    header: DemHeader
    frame: DemFrame
    mast: Mast
    azimuths_deg: np.ndarray
    size: int
    halo: int  # cells around a base that its layout may need

    def middle(self, row: int, col: int) -> tuple[float, float]:
        """Longitude and latitude (degrees) of a patch's middle."""
        lon, lat = self.frame.lonlat(np.array((col + 0.5) * self.size), np.array((row + 0.5) * self.size))
        return float(lon), float(lat)

    def tables(self, row: int, col: int, height_m: float) -> LayoutTables:
        """The layout tables of a base in a patch.

        Args:
            height_m: of the patch's ground.
        """
        here = self._frame_at(row, col)
        scale = ground_scale(here, self.mast.reach_m)
        s_m = sample_distances_m(self.mast.height_m, cell_size_m(scale))
        wanted = np.concatenate([self.azimuths_deg, anchor_azimuths_deg(self.mast, self.azimuths_deg).ravel()])
        rays = trace_rays(here, wanted, self.mast.reach_m, height_m)
        return layout_tables(rays, self.mast, self.azimuths_deg, s_m)

    def lift_rays(self, row: int, col: int, height_m: float) -> Rays:
        """Rays of a base in a patch along which the ground of the lift is looked at.

        Args:
            height_m: of the patch's ground.
        """
        return trace_rays(self._frame_at(row, col), lift_azimuths_deg(self.mast, self.azimuths_deg), max(self.mast.reach_m, FARTHEST_M), height_m)

    def nodes(self, rows: range, cols: range) -> np.ndarray:
        """(rows, cols, 3, 3, 2, 2): Jacobians (geodesy.dem_frame) at the corners, middles and centre of patches."""
        step = self.size / 2.0
        row = np.array([[(r * 2 + a) * step for a in range(3)] for r in rows])
        col = np.array([[(c * 2 + b) * step for b in range(3)] for c in cols])
        return self.frame.jacobians(*np.broadcast_arrays(col[None, :, None, :], row[:, None, :, None]))

    def _frame_at(self, row: int, col: int) -> DemFrame:
        """The DEM's frame at a patch's middle."""
        lon, lat = self.middle(row, col)
        x = float(self.frame.link.forward(np.array(lon), np.array(lat))[0])
        turn = 360.0 * round((self.frame.base_x - x) / 360.0) if self.frame.link.crs.is_geographic else 0.0
        return replace(self.frame, lat=lat, lon=lon, base_x=x + turn)


def patches_of(header: DemHeader, frame: DemFrame, mast: Mast, azimuths_deg: np.ndarray) -> Patches:
    """The largest patches in which every stake stays within DRIFT_M of its own place, looked at all over the DEM."""
    size = LARGEST
    while size > SMALLEST and _drift_m(header, frame, mast, size) > DRIFT_M:
        size //= 2
    return Patches(header, frame, mast, azimuths_deg, size, _halo(header, frame, mast))


def _places(header: DemHeader, frame: DemFrame) -> tuple[np.ndarray, np.ndarray]:
    """Columns and rows of a net of 5 x 5 places over the DEM that have coordinates."""
    cols, rows = np.meshgrid(np.linspace(0.0, header.cols, 5), np.linspace(0.0, header.rows, 5))
    lon, lat = frame.lonlat(cols.ravel(), rows.ravel())
    known = np.isfinite(lon) & np.isfinite(lat)
    return cols.ravel()[known], rows.ravel()[known]


def _drift_m(header: DemHeader, frame: DemFrame, mast: Mast, size: int) -> float:
    """How far a stake may lie from its own place at a patch's corner: reach x |1 - J_corner J_middle^-1|."""
    cols, rows = _places(header, frame)
    middle = np.linalg.inv(frame.jacobians(cols, rows))
    drift = 0.0
    for along, down in ((1, 1), (1, -1), (-1, 1), (-1, -1)):
        corner = frame.jacobians(cols + along * size / 2.0, rows + down * size / 2.0)
        change = np.linalg.norm(np.eye(2) - corner @ middle, ord=2, axis=(-2, -1))
        drift = max(drift, mast.reach_m * float(np.nanmax(change, initial=0.0)))
    return drift


def _halo(header: DemHeader, frame: DemFrame, mast: Mast) -> int:
    """Cells from a base to the farthest cell that a layout or its lift reads, with Horn's and the bilinear neighbours."""
    cols, rows = _places(header, frame)
    stretch = np.linalg.svd(frame.jacobians(cols, rows), compute_uv=False)[..., -1]  # metres per cell, at the least
    return int(np.ceil(max(mast.reach_m, FARTHEST_M) / float(np.nanmin(stretch)) * 1.02)) + 3
