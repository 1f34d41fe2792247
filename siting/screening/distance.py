"""Distance from every cell of a raster to the nearest cell that is marked, in a time linear in the cells."""

from __future__ import annotations

import math

import numpy as np

from siting.screening.compiled import kernel, part

NEVER = -1


@kernel
def distance_m(is_target, row_m, col_m):
    """Distance (metres, float64) from each cell's centre to the centre of the nearest target; infinite without a target.

    Args:
        is_target: (rows, cols) uint8, not 0 where a cell is a target.
        row_m, col_m: ground metres from a cell to the next along a row, and along a column.
    Accuracy:
        equal to the nearest of all targets but for the last digits; held by tests/screening/test_distance.py.
    Source: Felzenszwalb and Huttenlocher 2012, Distance transforms of sampled functions (lower envelope of parabolas).
    """
    rows, cols = is_target.shape
    found = np.empty((rows, cols))
    if rows == 0:
        return found
    steps = _steps_along_columns(is_target)
    unit = (col_m / row_m) ** 2
    high, place = np.empty(cols), np.empty(cols, dtype=np.int64)
    begin = np.empty(cols + 1)
    for i in range(rows):
        count = _envelope(steps[i], unit, high, place, begin)
        if count == 0:
            found[i, :] = np.inf
            continue
        k = 0
        for j in range(cols):
            while k + 1 < count and begin[k + 1] < j:
                k += 1
            away, down = (j - place[k]) * row_m, steps[i, place[k]] * col_m
            found[i, j] = math.sqrt(away * away + down * down)
    return found


@part
def _steps_along_columns(is_target):
    """(rows, cols) int32: cells to the nearest target of the same column, NEVER where it has none."""
    rows, cols = is_target.shape
    steps = np.empty((rows, cols), dtype=np.int32)
    far = 1 << 30
    for j in range(cols):
        steps[0, j] = 0 if is_target[0, j] else far
    for i in range(1, rows):
        for j in range(cols):
            steps[i, j] = 0 if is_target[i, j] else steps[i - 1, j] + 1
    for i in range(rows - 2, -1, -1):
        for j in range(cols):
            steps[i, j] = min(steps[i, j], steps[i + 1, j] + 1)
    for i in range(rows):
        for j in range(cols):
            steps[i, j] = NEVER if steps[i, j] >= far else steps[i, j]
    return steps


@part
def _envelope(steps, unit, high, place, begin):
    """How many parabolas make the lower envelope of a row; fills the column of each and where it begins to be the lowest.

    Heights and distances are squares in cells along the row: unit = (col_m / row_m)^2.
    """
    count = 0
    for j in range(steps.size):
        if steps[j] == NEVER:
            continue
        square = unit * (float(steps[j]) * steps[j])
        at = -np.inf
        while count > 0:
            last = place[count - 1]
            at = ((square - high[count - 1]) / (j - last) + (j + last)) / 2.0
            if at > begin[count - 1]:
                break
            count -= 1
            at = -np.inf
        high[count], place[count], begin[count] = square, j, at
        count += 1
    return count
