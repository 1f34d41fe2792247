"""Where a sampled quantity first passes a level: found on a grid, then closed in by halving."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np


def first_at_least(
    quantity: Callable[[np.ndarray], np.ndarray], level: float, ends: tuple[float, float], steps: int
) -> float | None:
    """The first argument in the range at which the quantity is at least the level, in the argument's unit.

    None where no grid point reaches it. Closed in to 1e-10 of the range; a rise and fall between two grid
    points is not seen, so the steps must be finer than the quantity's own turns.

    Args:
        quantity: takes (n,), gives (n,).
    """
    grid = np.linspace(ends[0], ends[1], steps + 1)
    reached = np.flatnonzero(quantity(grid) >= level)
    if reached.size == 0:
        return None
    index = int(reached[0])
    if index == 0:
        return float(grid[0])
    low, high = float(grid[index - 1]), float(grid[index])
    while high - low > 1e-10 * (ends[1] - ends[0]):
        middle = 0.5 * (low + high)
        if quantity(np.array([middle]))[0] >= level:
            high = middle
        else:
            low = middle
    return high
