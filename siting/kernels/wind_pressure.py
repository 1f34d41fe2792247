"""Mean wind, turbulence and peak velocity pressure over height by terrain category: EN 1991-1-4, 4.3 to 4.5.

The basic wind is the 10 minutes' mean at 10 m over open ground; direction and season factors are 1, the turbulence factor
is 1, air weighs 1.25 kg/m3 (recommended values). A hill or ridge speeds the wind up near its top: that is NOT in the
figures unless its orography factor is given.

Source: EN 1991-1-4:2005, (4.3) to (4.8) and Table 4.1; held against printed worked sheets in tests/outside/test_wind_published.py.
"""

from __future__ import annotations

import numpy as np

AIR_KG_M3 = 1.25  # EN 1991-1-4, 4.5 (recommended value)
HIGHEST_M = 200.0  # 1.1 (2): the part is for heights up to this
# Category: roughness length z0 and least height zmin, metres (Table 4.1).
TERRAIN = {"0": (0.003, 1.0), "I": (0.01, 1.0), "II": (0.05, 2.0), "III": (0.3, 5.0), "IV": (1.0, 10.0)}
_OPEN_Z0_M = TERRAIN["II"][0]


def terrain_factor(terrain: str) -> float:
    """Terrain factor kr of (4.5), no unit.

    Raises:
        ValueError: not a category of Table 4.1.
    """
    return 0.19 * (_roughness(terrain)[0] / _OPEN_Z0_M) ** 0.07


def roughness_factor(height_m: np.ndarray | float, terrain: str) -> np.ndarray:
    """Roughness factor cr of (4.4), no unit; below zmin as at zmin.

    Args:
        height_m: above the ground, up to 200 m.
    Raises:
        ValueError: above 200 m or below the ground, or not a category of Table 4.1.
    """
    return terrain_factor(terrain) * _logarithm(height_m, terrain)


def mean_wind_m_s(
    height_m: np.ndarray | float, basic_m_s: float, terrain: str, orography: np.ndarray | float = 1.0
) -> np.ndarray:
    """Mean wind vm of (4.3), m/s.

    Args:
        height_m: above the ground, up to 200 m; orography: factor co of 4.3.3, 1 on level ground.
    Raises:
        ValueError: above 200 m or below the ground, or not a category of Table 4.1.
    """
    return roughness_factor(height_m, terrain) * np.asarray(orography) * basic_m_s


def turbulence_intensity(height_m: np.ndarray | float, terrain: str, orography: np.ndarray | float = 1.0) -> np.ndarray:
    """Turbulence intensity Iv of (4.7), no unit.

    Args:
        height_m: above the ground, up to 200 m; orography: factor co of 4.3.3.
    Raises:
        ValueError: above 200 m or below the ground, or not a category of Table 4.1.
    """
    return 1.0 / (np.asarray(orography) * _logarithm(height_m, terrain))


def peak_pressure_pa(
    height_m: np.ndarray | float, basic_m_s: float, terrain: str, orography: np.ndarray | float = 1.0
) -> np.ndarray:
    """Peak velocity pressure qp of (4.8), pascals: the mean wind's and seven turbulence intensities on top.

    Args:
        height_m: above the ground, up to 200 m; orography: factor co of 4.3.3, 1 on level ground.
    Raises:
        ValueError: above 200 m or below the ground, or not a category of Table 4.1.
    """
    mean_pa = 0.5 * AIR_KG_M3 * mean_wind_m_s(height_m, basic_m_s, terrain, orography) ** 2
    return (1.0 + 7.0 * turbulence_intensity(height_m, terrain, orography)) * mean_pa


def _roughness(terrain: str) -> tuple[float, float]:
    """z0 and zmin of a category, metres."""
    if terrain not in TERRAIN:
        raise ValueError(f"no terrain category of EN 1991-1-4: {terrain!r}; there are {', '.join(TERRAIN)}")
    return TERRAIN[terrain]


def _logarithm(height_m: np.ndarray | float, terrain: str) -> np.ndarray:
    """ln(z / z0), z at least zmin."""
    z0_m, least_m = _roughness(terrain)
    height = np.asarray(height_m, dtype=float)
    if not ((height >= 0.0) & (height <= HIGHEST_M)).all():
        raise ValueError(f"heights from 0 to {HIGHEST_M:g} m above the ground; asked: {height.min():g} to {height.max():g} m")
    return np.log(np.maximum(height, least_m) / z0_m)
