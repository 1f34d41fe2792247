"""Bilinear height and Horn's gradient at fractional pixels of a grid."""

from __future__ import annotations

import numpy as np

# Positions are counted in whole millionths of a cell, so that a point on a cell's border, and a tie between two
# azimuths, has one answer wherever it is worked out (CONTRACT: rounded to 1e-6 of a cell before floor).
PARTS = 1_000_000
PART = 1e-6
# So many positions at a time: what is worked on then stays in the processor's cache (benchmarks/sweep.py).
BLOCK = 8192


def parts(position_px: np.ndarray) -> np.ndarray:
    """Positions in whole millionths of a cell, int64."""
    return np.rint(np.asarray(position_px) * PARTS).astype(np.int64)


def whole_px(position_px: np.ndarray) -> np.ndarray:
    """Index of the cell that holds a position, int64; borders have one answer. Unit: cells."""
    return parts(position_px) // PARTS


def bilinear(grid: np.ndarray, col_px: np.ndarray, row_px: np.ndarray) -> np.ndarray:
    """Heights between the centres of the four cells around each position, in the grid's unit.

    NaN where a cell that takes part has no data or lies outside the grid: never a guess.

    Args:
        grid: (rows, cols) float64, NaN for no data.
        col_px, row_px: positions counted from the grid's outer corner, so a cell's centre is at whole + 0.5.
    """
    return bilinear_at(grid, parts(col_px) - PARTS // 2, parts(row_px) - PARTS // 2)


def bilinear_at(grid: np.ndarray, col_parts: np.ndarray, row_parts: np.ndarray) -> np.ndarray:
    """`bilinear` at positions in millionths of a cell, counted from the centre of the grid's first cell.

    Each row of cells first, then between the rows: a + u (b - a). The compiled search works in the same order.
    """
    if col_parts.ndim < 2 or col_parts.shape != row_parts.shape or col_parts.size <= 2 * BLOCK:
        return _bilinear_block(grid, col_parts, row_parts)
    step = max(1, BLOCK * col_parts.shape[0] // col_parts.size)
    height = np.empty(col_parts.shape)
    for first in range(0, col_parts.shape[0], step):
        here = slice(first, first + step)
        height[here] = _bilinear_block(grid, col_parts[here], row_parts[here])
    return height


def _bilinear_block(grid: np.ndarray, col_parts: np.ndarray, row_parts: np.ndarray) -> np.ndarray:
    """`bilinear_at` of one block."""
    j, i = col_parts // PARTS, row_parts // PARTS
    rows, cols = grid.shape
    inside = i.size > 0 and j.size > 0 and i.min() >= 0 and j.min() >= 0 and i.max() < rows - 1 and j.max() < cols - 1
    if not inside:
        return _bilinear_at_edges(grid, col_parts, row_parts)
    u, v = (col_parts - j * PARTS) * PART, (row_parts - i * PARTS) * PART
    k = i * cols + j
    flat = grid.ravel()
    height, low, right = flat.take(k), flat.take(k + cols), flat.take(k + 1)
    right -= height
    right *= u
    height += right
    right = flat.take(k + (cols + 1))
    right -= low
    right *= u
    low += right
    low -= height
    low *= v
    height += low
    unknown = np.isnan(height)
    if unknown.any():
        height[unknown] = _bilinear_at_edges(grid, *(np.broadcast_to(p, height.shape)[unknown] for p in (col_parts, row_parts)))
    return height


def _bilinear_at_edges(grid: np.ndarray, col_parts: np.ndarray, row_parts: np.ndarray) -> np.ndarray:
    """`bilinear_at` cell by cell with care for the grid's rim and for missing data."""
    j, i = col_parts // PARTS, row_parts // PARTS
    u, v = (col_parts - j * PARTS) * PART, (row_parts - i * PARTS) * PART
    # On the very line of centres the next cell takes no part, so its missing data does no harm.
    i1, j1 = i + (v > 0), j + (u > 0)
    rows, cols = grid.shape
    outside = (i < 0) | (j < 0) | (i1 >= rows) | (j1 >= cols)
    i, j, i1, j1 = (np.where(outside, 0, x) for x in (i, j, i1, j1))
    top = grid[i, j] + u * (grid[i, j1] - grid[i, j])
    low = grid[i1, j] + u * (grid[i1, j1] - grid[i1, j])
    return np.where(outside, np.nan, top + v * (low - top))


def horn_gradient(grid: np.ndarray, col_px: np.ndarray, row_px: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """`horn_at` the cell that holds each position, counted in pixels from the grid's outer corner."""
    return horn_at(grid, whole_px(col_px), whole_px(row_px))


def horn_at(grid: np.ndarray, col: np.ndarray, row: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Change of height per cell along columns and along rows at whole cells.

    NaN where one of the nine cells has no data or lies outside the grid.

    Source:
        B. K. P. Horn, Hill shading and the reflectance map, Proc. IEEE 69 (1981) 14-47: weights 1 2 1 over 8.
    """
    j, i = col, row
    rows, cols = grid.shape
    outside = (i < 1) | (j < 1) | (i > rows - 2) | (j > cols - 2)
    i, j = np.where(outside, 1, i), np.where(outside, 1, j)
    if rows < 3 or cols < 3:
        nothing = np.full(np.shape(j), np.nan)
        return nothing, nothing.copy()
    cell = {(a, b): grid[i + a, j + b] for a in (-1, 0, 1) for b in (-1, 0, 1)}
    along_col = (
        cell[-1, 1] + 2 * cell[0, 1] + cell[1, 1] - cell[-1, -1] - 2 * cell[0, -1] - cell[1, -1]
    ) / 8.0
    along_row = (
        cell[1, -1] + 2 * cell[1, 0] + cell[1, 1] - cell[-1, -1] - 2 * cell[-1, 0] - cell[-1, 1]
    ) / 8.0
    hole = outside | np.isnan(cell[0, 0])  # the centre has no weight in Horn's sums, but a slope needs its cell
    return np.where(hole, np.nan, along_col), np.where(hole, np.nan, along_row)
