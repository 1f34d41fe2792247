"""Ground slope of every cell of a window, and how far an anchor there uses its limit up."""

from __future__ import annotations

import math

import numpy as np

from siting.screening.compiled import kernel, part
from siting.screening.grades import NO_GROUND, step_of
from siting.screening.rules import NO_END, at_most_used, capped

# The ground's metric is taken as a quadratic between three nodes along a patch of cells, and three across.
NODES = 3


def ground_metric(jacobians: np.ndarray) -> np.ndarray:
    """Quadratic form of a gradient: (slope)^2 = a p^2 + 2 b p q + c q^2 for p, q the change of height per column and row.

    Args:
        jacobians: (..., 2, 2) ground metres east and north per column and row (geodesy.dem_frame).
    Returns: (..., 3) a, b, c per square metre.
    Source: the gradient on the ground is (p, q) J^-1; its square is (p, q) (J^T J)^-1 (p, q)^T.
    """
    square = np.swapaxes(jacobians, -1, -2) @ jacobians
    inverse = np.linalg.inv(square)
    return np.stack([inverse[..., 0, 0], inverse[..., 0, 1], inverse[..., 1, 1]], axis=-1)


@part
def _along_row(nodes, v, part):
    """A quantity across one row of a patch as c0 + c1 u + c2 u^2, u from 0 to 1 along it; v down the patch."""
    first, middle, last = (2.0 * v - 1.0) * (v - 1.0), 4.0 * v * (1.0 - v), v * (2.0 * v - 1.0)
    n0 = first * nodes[0, 0, part] + middle * nodes[1, 0, part] + last * nodes[2, 0, part]
    n1 = first * nodes[0, 1, part] + middle * nodes[1, 1, part] + last * nodes[2, 1, part]
    n2 = first * nodes[0, 2, part] + middle * nodes[1, 2, part] + last * nodes[2, 2, part]
    return n0, 4.0 * n1 - 3.0 * n0 - n2, 2.0 * (n0 + n2) - 4.0 * n1


@kernel
def slopes_of(heights, nodes, patch, corner, limit_percent, slopes, steps):
    """Slope (percent) of every cell by Horn's operator, infinite where one of the nine has no height.

    The metric comes from the patch that the cell itself lies in, whatever window is read, so a cell has one slope.

    Args:
        heights: (rows, cols) metres, NaN no data.
        nodes: (patch rows, patch cols, 3, 3, 3) `ground_metric` at the corners, middles and centre of each patch.
        patch: cells along a patch's side; corner: (row, column) of the first cell, counted from the first patch's corner.
        slopes, steps: (rows, cols) are filled: the slope, and the step of what it uses up for an anchor (grades.step_of).
    Source: Horn 1981 (kernels.heights.horn_at); CONTRACT, geometry.
    """
    rows, cols = heights.shape
    for i in range(rows):
        row, v = (corner[0] + i) // patch, ((corner[0] + i) % patch + 0.5) / patch
        j = 0
        while j < cols:
            col = (corner[1] + j) // patch
            end = min(cols, (col + 1) * patch - corner[1])
            net = nodes[row, col]
            a, b, c = _along_row(net, v, 0), _along_row(net, v, 1), _along_row(net, v, 2)
            for k in range(j, end):
                slope = np.inf
                if 0 < i < rows - 1 and 0 < k < cols - 1:
                    u = ((corner[1] + k) % patch + 0.5) / patch
                    p, q = _horn(heights, i, k)
                    square = (
                        (a[0] + u * (a[1] + u * a[2])) * (p * p) + 2.0 * (b[0] + u * (b[1] + u * b[2])) * (p * q)
                    ) + (c[0] + u * (c[1] + u * c[2])) * (q * q)  # fmt: skip
                    if square == square and heights[i, k] == heights[i, k]:
                        slope = 100.0 * math.sqrt(square)
                slopes[i, k] = slope
                steps[i, k] = np.uint8(step_of(capped(at_most_used(slope, limit_percent)))) if slope < NO_END else NO_GROUND
            j = end
    return


@part
def _horn(heights, i, k):
    """Change of height per column and per row at a cell (kernels.heights.horn_at)."""
    left = heights[i - 1, k - 1] + 2.0 * heights[i, k - 1] + heights[i + 1, k - 1]
    right = heights[i - 1, k + 1] + 2.0 * heights[i, k + 1] + heights[i + 1, k + 1]
    upper = heights[i - 1, k - 1] + 2.0 * heights[i - 1, k] + heights[i - 1, k + 1]
    lower = heights[i + 1, k - 1] + 2.0 * heights[i + 1, k] + heights[i + 1, k + 1]
    return (right - left) / 8.0, (lower - upper) / 8.0
