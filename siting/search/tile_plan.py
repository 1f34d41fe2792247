"""Cuts the cells of a search into tiles."""

from __future__ import annotations

from siting.records.search import Tile


def tiles_of(rows: int, cols: int, size: int) -> tuple[Tile, ...]:
    """The tiles of a grid, row by row; those at the last row and column are as small as the grid leaves them. No unit.

    Args:
        size: cells along a tile's side.
    Raises:
        ValueError: a size or a count of cells under 1.
    """
    if min(rows, cols, size) < 1:
        raise ValueError(f"no tiles of {size} cells in {rows} x {cols}")
    return tuple(
        Tile(f"r{row:05d}_c{col:05d}", row, col, min(size, rows - row), min(size, cols - col))
        for row in range(0, rows, size)
        for col in range(0, cols, size)
    )
