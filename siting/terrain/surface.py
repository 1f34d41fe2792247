"""The ground around the base: heights and slopes at points of the layout."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from siting.geodesy.dem_frame import DemFrame, GroundScale
from siting.kernels.heights import PARTS, bilinear, bilinear_at, horn_at, parts, whole_px
from siting.records.ground import Grid
from siting.terrain.offsets import Offsets


@dataclass(frozen=True, slots=True)
class Surface:
    """A grid of heights with its place on the ground."""

    grid: Grid
    frame: DemFrame
    scale: GroundScale

    def heights_m(self, col_px: np.ndarray, row_px: np.ndarray) -> np.ndarray:
        """Bilinear heights between cell centres, metres; NaN where a neighbour has no data or the DEM ends.

        Source: CONTRACT, geometry.
        """
        return bilinear(self.grid.heights_m, col_px - self.grid.col0, row_px - self.grid.row0)

    def heights_at(self, base_colrow: tuple[float, float], offsets: Offsets) -> np.ndarray:
        """`heights_m` at offsets from the base's pixel, metres."""
        col, row = self._base_parts(base_colrow)
        return bilinear_at(self.grid.heights_m, offsets.cols + (col - PARTS // 2), offsets.rows + (row - PARTS // 2))

    def slopes_at(self, base_colrow: tuple[float, float], offsets: Offsets) -> tuple[np.ndarray, np.ndarray]:
        """`slopes` at offsets from the base's pixel: percent, degrees."""
        col, row = self._base_parts(base_colrow)
        return self._slopes_of_cells((offsets.cols + col) // PARTS, (offsets.rows + row) // PARTS)

    def _base_parts(self, base_colrow: tuple[float, float]) -> tuple[int, int]:
        """The base on this grid, in millionths of a cell."""
        grid = self.grid
        return int(parts(base_colrow[0])) - grid.col0 * PARTS, int(parts(base_colrow[1])) - grid.row0 * PARTS

    def slopes(self, col_px: np.ndarray, row_px: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Slope (percent) and uphill true azimuth (degrees) of the cells that hold these positions.

        Horn's gradient per cell is turned into ground metres by the Jacobian at the cell's centre.

        Source: Horn 1981 (kernels.heights); CONTRACT, geometry.
        """
        return self._slopes_of_cells(whole_px(col_px) - self.grid.col0, whole_px(row_px) - self.grid.row0)

    def _slopes_of_cells(self, col: np.ndarray, row: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """`slopes` of whole cells of the grid."""
        along_col, along_row = horn_at(self.grid.heights_m, col, row)
        jacobian = self.scale.at(col + (self.grid.col0 + 0.5), row + (self.grid.row0 + 0.5))
        a, b = jacobian[..., 0, 0], jacobian[..., 0, 1]
        c, d = jacobian[..., 1, 0], jacobian[..., 1, 1]
        # height per pixel = (height per metre) . J, so the ground gradient is that row times J's inverse.
        det = a * d - b * c
        east = (along_col * d - along_row * c) / det
        north = (along_row * a - along_col * b) / det
        return 100.0 * np.hypot(east, north), np.degrees(np.arctan2(east, north)) % 360.0
