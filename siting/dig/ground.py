"""The ground around the base as the digging asks for it: heights and slopes at metres east and north of the base."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from siting.geodesy.frames import Frame
from siting.geodesy.geodesic import place
from siting.terrain.surface import Surface

SAMPLE_M, SMOOTHED_M = 1.0, 3.0


@dataclass(frozen=True, slots=True)
class DigGround:
    """Heights (metres) and slopes (percent) at (x, y): ground metres to true east and true north of the base; NaN unknown."""

    heights_m: Callable[[np.ndarray, np.ndarray], np.ndarray]
    slopes_percent: Callable[[np.ndarray, np.ndarray], np.ndarray]


@dataclass(frozen=True, slots=True)
class DigPlace:
    """Where the digging is: the base, the plan's frame, the ground."""

    lat_deg: float
    lon_deg: float
    base_height_m: float  # the DEM's, as in every geodesic of the plan
    frame: Frame
    ground: DigGround

    def lonlat(self, x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Longitudes and latitudes (degrees) of places x metres east and y metres north of the base."""
        return lonlat(self.lat_deg, self.lon_deg, self.base_height_m, x, y)


def ground_of(surface: Surface, lat_deg: float, lon_deg: float, base_height_m: float) -> DigGround:
    """The ground of a surface around a base, no unit of its own."""

    def colrow(x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        return surface.frame.colrow(*lonlat(lat_deg, lon_deg, base_height_m, x, y))

    return DigGround(
        lambda x, y: surface.heights_m(*colrow(x, y)),
        lambda x, y: surface.slopes(*colrow(x, y))[0],
    )


def lonlat(lat_deg: float, lon_deg: float, base_height_m: float, x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Longitudes and latitudes (degrees) of places x metres east and y metres north of the base, as geodesics from it.

    Longitudes run on across 180 degrees, so that a ring does not run round the world.
    """
    lon, lat = place(lat_deg, lon_deg, np.degrees(np.arctan2(x, y)), np.hypot(x, y), base_height_m)
    return lon - 360.0 * np.round((lon - lon_deg) / 360.0), lat


def access_slope_percent(ground: DigGround, x_m: float, y_m: float) -> float | None:
    """Steepest ground on the straight way from the base, percent, either way; None where a height is not known.

    A height each metre, the slope over 3 m: a DEM's smaller steps are no slope that a machine feels.
    """
    far_m = math.hypot(x_m, y_m)
    if far_m == 0.0:
        return 0.0
    steps = max(1, math.ceil(far_m / SAMPLE_M))
    part = np.linspace(0.0, 1.0, steps + 1)
    heights = ground.heights_m(x_m * part, y_m * part)
    if not np.isfinite(heights).all():
        return None
    span = min(steps, round(SMOOTHED_M / (far_m / steps)))
    return float(100.0 * np.abs(heights[span:] - heights[:-span]).max() / (span * far_m / steps))
