"""The nearest point of a runway: how far, in which direction, at which height."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from siting.geodesy.geodesic import WGS84
from siting.records.airfields import HELIPORT, Strip

# The step along the runway below which its nearest point is found.
FOUND_M = 1e-4
STEPS_MOST = 50


@dataclass(frozen=True, slots=True)
class Near:
    """A strip as seen from the mast. Heights above mean sea level; None: not known."""

    strip: Strip
    distance_m: float  # horizontal, to its nearest point as drawn
    bearing_deg: float  # true, mast to that point
    from_deg: float  # true, that point to the mast
    elevation_m: float | None  # at that point
    lowest_m: float | None  # the lowest that the ground may be there
    highest_m: float | None

    @property
    def near_m(self) -> float:
        """The least distance that the real strip may have, metres."""
        return max(0.0, self.distance_m - self.strip.within_m)

    @property
    def far_m(self) -> float:
        """The largest distance that the real strip may have, metres."""
        return self.distance_m + self.strip.within_m


def nearest_point(lat: float, lon: float, strip: Strip) -> Near:
    """The strip's nearest point: distance in metres along the WGS 84 ellipsoid, true azimuths, height between its ends.

    Accuracy:
        0.1 m for runways of 10 km within 200 km, against geographiclib (tests/outside/test_air_published.py).
    Source:
        the foot of the perpendicular, found again and again on the geodesic (C. F. F. Karney 2013, as built into PROJ).
    """
    along_m, length_m, foot = _foot(lat, lon, strip)
    bearing, back, distance_m = WGS84.inv(lon, lat, *foot)
    elevation, lowest, highest = _heights(strip, along_m, length_m)
    return Near(strip, float(distance_m), float(bearing % 360.0), float(back % 360.0), elevation, lowest, highest)


def _foot(lat: float, lon: float, strip: Strip) -> tuple[float, float, tuple[float, float]]:
    """(metres along the strip, its drawn length, (lon, lat)) of its nearest point."""
    first, last = strip.ends[0], strip.ends[-1]
    if first == last:
        return 0.0, 0.0, first
    azimuth, _, length_m = WGS84.inv(*first, *last)
    along_m = 0.0
    for _ in range(STEPS_MOST):
        at_lon, at_lat, back = WGS84.fwd(*first, azimuth, along_m)
        out_deg, _, distance_m = WGS84.inv(at_lon, at_lat, lon, lat)
        step_m = distance_m * math.cos(math.radians(out_deg - back - 180.0))
        moved_m = min(max(along_m + step_m, 0.0), length_m)
        if abs(moved_m - along_m) < FOUND_M:
            break
        along_m = moved_m
    at_lon, at_lat, _ = WGS84.fwd(*first, azimuth, along_m)
    return float(along_m), float(length_m), (float(at_lon), float(at_lat))


def _heights(strip: Strip, along_m: float, length_m: float) -> tuple[float | None, float | None, float | None]:
    """(height, lowest, highest) of the ground at the nearest point.

    Between two known ends on a straight line. At an end, that end's. Where the strip may lie elsewhere, the same over
    the stretch that may be nearest. The airport's own elevation is its highest point: it bounds the height from above.
    """
    first, last = strip.elevations_m[0], strip.elevations_m[-1]
    top = strip.airport_m
    if length_m == 0.0:
        known = first if strip.within_m == 0.0 or strip.kind == HELIPORT else None
        return known, known, known if known is not None else top
    if first is not None and last is not None:
        parts = np.clip((along_m + np.array([-1.0, 0.0, 1.0]) * strip.within_m) / length_m, 0.0, 1.0)
        low, here, high = (first + parts * (last - first)).tolist()
        return here, min(low, here, high), max(low, here, high)
    at_end = first if along_m == 0.0 else last if along_m == length_m else None
    if at_end is not None and strip.within_m == 0.0:
        return at_end, at_end, at_end
    return None, None, top
