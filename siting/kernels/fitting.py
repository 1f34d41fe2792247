"""Lines along a sampled profile: least squares, and the lowest line that clears it."""

from __future__ import annotations

import numpy as np


def slope_weights(s_m: np.ndarray) -> np.ndarray:
    """Weights (n,) whose sum with the heights is the slope of the least-squares line, per metre."""
    centred = s_m - s_m.mean()
    return centred / (centred @ centred)


def least_squares_slope(s_m: np.ndarray, heights_m: np.ndarray) -> np.ndarray:
    """Slope (rise per metre) of the least-squares line through each profile.

    The samples are added one after the other: the compiled search adds them in the same order.

    Args:
        s_m: (n,) distances; heights_m: (n, K).
    """
    # Rows lie one after the other in memory: numpy then adds row to row, and does not pair them.
    weighted = np.multiply(slope_weights(s_m)[:, None], heights_m, order="C")
    return np.add.reduce(weighted, axis=0)


def rest_line(s_m: np.ndarray, heights_m: np.ndarray, hinge_m: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """The lowest straight line from the hinge that clears each profile.

    Returns its slope (rise per metre), the largest gap under it (metres, the hinge's own height at s = 0
    included) and the index of the sample with that gap.

    Args:
        s_m: (n,) distances with s_m[0] = 0; heights_m: (n, K); hinge_m: height of the hinge.
    Source:
        CONTRACT, geometry: the largest (height - hinge height)/s over the samples after the first.
    """
    rise = heights_m[1:] - hinge_m
    rise *= (1.0 / s_m[1:])[:, None]
    slope = rise.max(axis=0)
    gaps = slope * s_m[:, None]
    gaps += hinge_m
    gaps -= heights_m
    index = gaps.argmax(axis=0)
    return slope, np.take_along_axis(gaps, index[None], axis=0)[0], index
