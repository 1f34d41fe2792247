"""The ground along each azimuth, sampled as the contract says."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from siting.records.ground import Rays
from siting.terrain.offsets import Offsets
from siting.terrain.surface import Surface

# A sample step is no longer than this, nor than half a cell (CONTRACT, geometry).
STEP_MAX_M = 1.0
CROSS_SAMPLES = 41


@dataclass(frozen=True, slots=True)
class Profiles:
    """Heights along K azimuths. `s_m` (n+1,) from 0 to the mast height; `ground_m` (n+1, K), NaN for no data."""

    s_m: np.ndarray
    ground_m: np.ndarray


def sample_distances_m(mast_height_m: float, cell_m: tuple[float, float]) -> np.ndarray:
    """Sample distances i*H/n, metres: n the smallest whole number with a step within half a cell and 1 m.

    Source: CONTRACT, geometry; half of the shorter side of the cell on the ground.
    """
    step_m = min(STEP_MAX_M, min(cell_m) / 2.0)
    count = max(1, math.ceil(mast_height_m / step_m - 1e-9))
    return np.arange(count + 1) * (mast_height_m / count)


def sample_profiles(surface: Surface, base_colrow: tuple[float, float], s_m: np.ndarray, samples: Offsets) -> Profiles:
    """Heights (metres) at the samples (n+1, K) of every azimuth."""
    return Profiles(s_m, surface.heights_at(base_colrow, samples))


def cross_fall_percent(surface: Surface, rays: Rays, azimuths_deg: np.ndarray, half_width_m: float) -> np.ndarray:
    """Least-squares slope square to each azimuth, percent, over +- half_width_m; rising to the right positive.

    NaN where a sample has no height. No limit is known for it: side-guy travel judges what it does.
    """
    offsets = np.linspace(-half_width_m, half_width_m, CROSS_SAMPLES)
    right = rays.index_of(azimuths_deg + 90.0)
    left = rays.index_of(azimuths_deg - 90.0)
    index = np.where(offsets[:, None] >= 0, right[None, :], left[None, :])
    col, row = rays.at(index, np.abs(offsets)[:, None])
    heights = surface.heights_m(col, row)
    return 100.0 * (offsets @ heights) / (offsets @ offsets)
