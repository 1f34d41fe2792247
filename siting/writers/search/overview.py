"""A small picture of a search, filled tile by tile: each of its points shows the best cell that lies under it."""

from __future__ import annotations

import numpy as np

from siting.records.search import SearchGrid, Tile, TileResult
from siting.writers.search.classes import NO_USE, used_classes, with_fates

MOST_POINTS = 1500  # along the longer side


class Overview:
    """Points of step × step cells, with the least utilisation and the fate that came furthest of the cells in each."""

    def __init__(self, grid: SearchGrid) -> None:
        self.step = max(1, -(-max(grid.rows, grid.cols) // MOST_POINTS))
        shape = (-(-grid.rows // self.step), -(-grid.cols // self.step))
        self._used = np.full(shape, NO_USE, dtype=np.uint8)  # class of the least utilisation
        self._fate = np.zeros(shape, dtype=np.uint8)

    def add(self, tile: Tile, result: TileResult) -> None:
        """Takes a tile in."""
        rows, row_starts = self._groups(tile.row, tile.rows)
        cols, col_starts = self._groups(tile.col, tile.cols)
        for whole, part, best in ((self._used, used_classes(result.used, result.fate), np.minimum), (self._fate, result.fate, np.maximum)):
            small = best.reduceat(best.reduceat(part, row_starts, axis=0), col_starts, axis=1)
            whole[rows, cols] = best(whole[rows, cols], small)

    def classes(self) -> np.ndarray:
        """uint8 class of each point, no unit."""
        return with_fates(self._used, self._fate)

    def _groups(self, first: int, count: int) -> tuple[slice, np.ndarray]:
        """The points that cells first ... first + count - 1 lie in, and where in the cells each point begins."""
        points = (first + np.arange(count)) // self.step
        starts = np.flatnonzero(np.diff(points, prepend=points[0] - 1))
        return slice(int(points[0]), int(points[-1]) + 1), starts
