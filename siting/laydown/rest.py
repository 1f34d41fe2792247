"""Where the assembled mast lies: the rest line over each profile, and the slope under it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from siting.kernels.fitting import least_squares_slope, rest_line
from siting.laydown.profile import Profiles


@dataclass(frozen=True, slots=True)
class RestLines:
    """Arrays (K,) over the azimuths. Slopes in percent, angles in radians, lengths in metres."""

    slope_percent: np.ndarray
    rest_slope_percent: np.ndarray
    rest_slope: np.ndarray  # rise per metre
    rest_rad: np.ndarray
    gap_m: np.ndarray
    gap_at_m: np.ndarray


def lay_mast(profiles: Profiles, hinge_m: float) -> RestLines:
    """The mast lying along each profile from a hinge at this height (metres above datum).

    Source: CONTRACT, geometry.
    """
    slope = least_squares_slope(profiles.s_m, profiles.ground_m)
    rest, gap, at = rest_line(profiles.s_m, profiles.ground_m, hinge_m)
    return RestLines(100.0 * slope, 100.0 * rest, rest, np.arctan(rest), gap, profiles.s_m[at])
