"""Bilinear height and Horn's gradient at fractional pixels of a grid."""

from __future__ import annotations

import numpy as np

# A pixel coordinate this close below a whole number counts as that number, so that a point on a cell's border
# has one answer (CONTRACT: rounded to 1e-6 of a cell before floor).
BORDER_PX = 5e-7


def whole_px(position_px: np.ndarray) -> np.ndarray:
    """Index of the cell that holds a position, int64; borders have one answer. Unit: cells."""
    return np.floor(position_px + BORDER_PX).astype(np.int64)


def bilinear(grid: np.ndarray, col_px: np.ndarray, row_px: np.ndarray) -> np.ndarray:
    """Heights between the centres of the four cells around each position, in the grid's unit.

    NaN where a cell that takes part has no data or lies outside the grid: never a guess.

    Args:
        grid: (rows, cols) float64, NaN for no data.
        col_px, row_px: positions counted from the grid's outer corner, so a cell's centre is at whole + 0.5.
    """
    c, r = col_px - 0.5, row_px - 0.5
    j, i = np.floor(c + BORDER_PX), np.floor(r + BORDER_PX)
    rows, cols = grid.shape
    inside = i.size > 0 and i.min() >= 0 and j.min() >= 0 and i.max() < rows - 1 and j.max() < cols - 1
    if not inside:
        return _bilinear_at_edges(grid, c, r)
    u, v = c - j, r - i
    k = (i * cols + j).astype(np.intp)
    flat = grid.ravel()
    top, low = flat.take(k), flat.take(k + cols)
    top += u * (flat.take(k + 1) - top)
    low += u * (flat.take(k + cols + 1) - low)
    height = top + v * (low - top)
    unknown = np.isnan(height)
    if unknown.any():
        c, r = np.broadcast_to(c, height.shape), np.broadcast_to(r, height.shape)
        height[unknown] = _bilinear_at_edges(grid, c[unknown], r[unknown])
    return height


def _bilinear_at_edges(grid: np.ndarray, c: np.ndarray, r: np.ndarray) -> np.ndarray:
    """`bilinear` cell by cell with care for the grid's rim and for missing data; positions from cell centres."""
    c, r = np.broadcast_arrays(c, r)
    i, j = whole_px(r), whole_px(c)
    v, u = r - i, c - j
    # On the very line of centres the next cell takes no part, so its missing data does no harm.
    u[np.abs(u) <= 2 * BORDER_PX] = 0.0
    v[np.abs(v) <= 2 * BORDER_PX] = 0.0
    i1, j1 = i + (v > 0), j + (u > 0)
    rows, cols = grid.shape
    outside = (i < 0) | (j < 0) | (i1 >= rows) | (j1 >= cols)
    i, j, i1, j1 = (np.where(outside, 0, x) for x in (i, j, i1, j1))
    top = grid[i, j] * (1.0 - u) + grid[i, j1] * u
    low = grid[i1, j] * (1.0 - u) + grid[i1, j1] * u
    return np.where(outside, np.nan, top * (1.0 - v) + low * v)


def horn_gradient(grid: np.ndarray, col_px: np.ndarray, row_px: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Change of height per cell along columns and along rows at the cell that holds each position.

    NaN where one of the nine cells has no data or lies outside the grid.

    Source:
        B. K. P. Horn, Hill shading and the reflectance map, Proc. IEEE 69 (1981) 14-47: weights 1 2 1 over 8.
    """
    j, i = whole_px(col_px), whole_px(row_px)
    rows, cols = grid.shape
    outside = (i < 1) | (j < 1) | (i > rows - 2) | (j > cols - 2)
    i, j = np.where(outside, 1, i), np.where(outside, 1, j)
    if rows < 3 or cols < 3:
        nothing = np.full(np.shape(col_px), np.nan)
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
