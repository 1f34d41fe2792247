"""Fences and ground patches around anchors, as outlines to draw and to set out."""

from __future__ import annotations

import math

import numpy as np

from siting.geodesy.geodesic import place
from siting.records.air import GroundMark
from siting.records.plan import Stake
from siting.units import METRES_PER_FOOT

# A fence around at least 64 sq ft whose edge keeps 4 ft from the anchor: a square of 8 ft, rounded up to the centimetre.
FENCE_FT2, FENCE_EDGE_FT = 64.0, 4.0
# Ground within 6 ft of the anchor.
CIRCLE_FT = 6.0
CIRCLE_CORNERS = 24


def fence(anchor: Stake) -> GroundMark:
    """A square fence around an anchor, its sides to true north and east: metres, WGS 84."""
    side_m = max(math.sqrt(FENCE_FT2), 2.0 * FENCE_EDGE_FT) * METRES_PER_FOOT
    side_m = math.ceil(side_m * 100.0 - 1e-9) / 100.0
    ring = _ring(anchor, np.array([45.0, 315.0, 225.0, 135.0]), side_m / math.sqrt(2.0))
    return GroundMark(anchor.id, "fence", "square", side_m, side_m**2, side_m / 2.0, ring)


def patch(anchor: Stake) -> GroundMark:
    """A round patch around an anchor, drawn as a polygon that lies on or outside the circle: metres, WGS 84."""
    radius_m = CIRCLE_FT * METRES_PER_FOOT
    corners_deg = 360.0 - np.arange(CIRCLE_CORNERS) * 360.0 / CIRCLE_CORNERS
    ring = _ring(anchor, corners_deg, radius_m / math.cos(math.pi / CIRCLE_CORNERS))
    return GroundMark(anchor.id, "patch", "circle", 2.0 * radius_m, math.pi * radius_m**2, radius_m, ring)


def _ring(anchor: Stake, azimuths_deg: np.ndarray, radius_m: float) -> tuple[tuple[float, float], ...]:
    """A closed outline, counter-clockwise."""
    lon, lat = place(anchor.lat, anchor.lon, azimuths_deg, np.full(azimuths_deg.shape, radius_m), anchor.height_m)
    points = [(float(a), float(b)) for a, b in zip(lon, lat, strict=True)]
    return (*points, points[0])
