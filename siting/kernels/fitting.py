"""Lines along a sampled profile: least squares, and the lowest line that clears it."""

from __future__ import annotations

import numpy as np


def least_squares_slope(s_m: np.ndarray, heights_m: np.ndarray) -> np.ndarray:
    """Slope (rise per metre) of the least-squares line through each row of heights.

    Args:
        s_m: (n,) distances; heights_m: (..., n).
    """
    centred = s_m - s_m.mean()
    return (heights_m @ centred) / (centred @ centred)


def rest_line(s_m: np.ndarray, heights_m: np.ndarray, hinge_m: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """The lowest straight line from the hinge that clears each profile.

    Returns its slope (rise per metre), the largest gap under it (metres, the hinge's own height at s = 0
    included) and the index of the sample with that gap.

    Args:
        s_m: (n,) distances with s_m[0] = 0; heights_m: (..., n); hinge_m: height of the hinge.
    Source:
        CONTRACT, geometry: the largest (height - hinge height)/s over the samples after the first.
    """
    slope = ((heights_m[..., 1:] - hinge_m) / s_m[1:]).max(axis=-1)
    gaps = hinge_m + slope[..., None] * s_m - heights_m
    index = gaps.argmax(axis=-1)
    return slope, np.take_along_axis(gaps, index[..., None], axis=-1)[..., 0], index
