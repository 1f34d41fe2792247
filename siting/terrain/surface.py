"""The ground around the base: heights and slopes at points of the layout."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from siting.geodesy.dem_frame import DemFrame, GroundScale
from siting.kernels.heights import bilinear, horn_gradient, whole_px
from siting.records.ground import Grid


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

    def slopes(self, col_px: np.ndarray, row_px: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Slope (percent) and uphill true azimuth (degrees) of the cells that hold these positions.

        Horn's gradient per cell is turned into ground metres by the Jacobian at the cell's centre.

        Source: Horn 1981 (kernels.heights); CONTRACT, geometry.
        """
        along_col, along_row = horn_gradient(
            self.grid.heights_m, col_px - self.grid.col0, row_px - self.grid.row0
        )
        jacobian = self.scale.at(whole_px(col_px) + 0.5, whole_px(row_px) + 0.5)
        a, b = jacobian[..., 0, 0], jacobian[..., 0, 1]
        c, d = jacobian[..., 1, 0], jacobian[..., 1, 1]
        # height per pixel = (height per metre) . J, so the ground gradient is that row times J's inverse.
        det = a * d - b * c
        east = (along_col * d - along_row * c) / det
        north = (along_row * a - along_col * b) / det
        return 100.0 * np.hypot(east, north), np.degrees(np.arctan2(east, north)) % 360.0
