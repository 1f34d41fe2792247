"""Points of the layout counted from the base in millionths of a DEM cell: what the sweep of a plan and the search both read."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from siting.kernels.heights import parts
from siting.records.ground import Rays


@dataclass(frozen=True, slots=True)
class Offsets:
    """Columns and rows from the base, int64 arrays of one shape, in millionths of a DEM cell."""

    cols: np.ndarray
    rows: np.ndarray


def offsets_along(rays: Rays, azimuths_deg: np.ndarray, distance_m: np.ndarray) -> Offsets:
    """The points at these azimuths and ground distances (metres), each rounded once.

    Two layouts that put a point at one azimuth and distance get the same offset to the last digit, so a tie between
    them stays a tie.

    Args:
        azimuths_deg, distance_m: arrays that broadcast against each other.
    """
    cols, rows = rays.from_origin(rays.index_of(azimuths_deg), distance_m)
    return Offsets(parts(cols), parts(rows))
