"""From longitude and latitude to the plan's grid around the base and back, fitted to the plan's own stakes.

A projected CRS of a plan is conformal, so near the base it is a complex polynomial of the isometric latitude and the longitude.
Its two coefficients come from the stakes, which hold both kinds of coordinates: no second projection can disagree with the plan's.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence
from dataclasses import dataclass

from siting.records.plan import Plan

# WGS 84: defining flattening and semi-major axis (NGA.STND.0036).
AXIS_M, FLATTENING = 6_378_137.0, 1.0 / 298.257223563
ECCENTRICITY = math.sqrt(FLATTENING * (2.0 - FLATTENING))
STEPS = 12  # of Newton's way back; each doubles the digits

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class GridFrame:
    """Ground metres from the base along grid east and grid north. `first`, `second`: the polynomial's coefficients."""

    lon: float
    lat: float
    easting: float
    northing: float
    grid_m: float  # grid units in a metre on the ground
    first: complex
    second: complex

    def ground(self, lon: float, lat: float) -> Point:
        """Ground metres (grid east, grid north) from the base of a WGS 84 point."""
        w = _flat(lon, lat, self.lon, self.lat)
        z = w * (self.first + self.second * w)
        return z.real, z.imag

    def ring(self, lonlat: Sequence[Point]) -> list[Point]:
        """The same for every point of a line."""
        return [self.ground(lon, lat) for lon, lat in lonlat]

    def grid(self, xy_m: Point) -> Point:
        """Easting and northing of a place in ground metres, in the CRS's unit."""
        return self.easting + xy_m[0] * self.grid_m, self.northing + xy_m[1] * self.grid_m

    def from_grid(self, easting: float, northing: float) -> Point:
        """Ground metres of an easting and a northing."""
        return (easting - self.easting) / self.grid_m, (northing - self.northing) / self.grid_m

    def lonlat(self, xy_m: Point) -> Point:
        """WGS 84 longitude and latitude, degrees, of a place in ground metres."""
        z = complex(*xy_m)
        w = z / self.first
        for _ in range(STEPS):
            w -= (w * (self.first + self.second * w) - z) / (self.first + 2.0 * self.second * w)
        return _round_again(w, self.lon, self.lat)


def grid_frame(plan: Plan) -> GridFrame:
    """The frame of a plan, fitted to its stakes by least squares; good to a centimetre within half a kilometre."""
    base, crs = plan.base, plan.crs
    grid_m = crs.combined_factor / crs.unit_m
    pairs = []
    for stake in plan.stakes:
        w = _flat(stake.lon, stake.lat, base.lon, base.lat)
        if abs(w) > 1.0:
            pairs.append((w, complex(stake.easting - base.easting, stake.northing - base.northing) / grid_m))
    first, second = _least_squares(pairs, crs.elevation_factor, crs.convergence_deg)
    return GridFrame(base.lon, base.lat, base.easting, base.northing, grid_m, first, second)


def _least_squares(
    pairs: list[tuple[complex, complex]], elevation_factor: float, convergence_deg: float
) -> tuple[complex, complex]:
    """Coefficients of z = first w + second w²; by the recorded factors where fewer than three stakes tell them."""
    if len(pairs) < 3:
        return cmath.exp(1j * math.radians(convergence_deg)) / elevation_factor, 0j
    a = sum(abs(w) ** 2 for w, _ in pairs)
    b = sum(w.conjugate() * w * w for w, _ in pairs)
    c = sum(abs(w) ** 4 for w, _ in pairs)
    u = sum(w.conjugate() * z for w, z in pairs)
    v = sum((w * w).conjugate() * z for w, z in pairs)
    whole = a * c - abs(b) ** 2
    return (u * c - b * v) / whole, (a * v - b.conjugate() * u) / whole


def _isometric(lat_deg: float) -> float:
    sine = math.sin(math.radians(lat_deg))
    return math.atanh(sine) - ECCENTRICITY * math.atanh(ECCENTRICITY * sine)


def _curve_m(lat_deg: float) -> float:
    """Radius of the parallel at this latitude, metres."""
    return AXIS_M * math.cos(math.radians(lat_deg)) / math.sqrt(1.0 - (ECCENTRICITY * math.sin(math.radians(lat_deg))) ** 2)


def _flat(lon: float, lat: float, lon0: float, lat0: float) -> complex:
    """Metres east and north on the isometric plane that touches at the base."""
    turn = math.remainder(lon - lon0, 360.0)
    return _curve_m(lat0) * complex(math.radians(turn), _isometric(lat) - _isometric(lat0))


def _round_again(w: complex, lon0: float, lat0: float) -> Point:
    """Longitude and latitude of a place on that plane; the latitude by fixed point (Snyder 1987, eq. 7-9, in its own form)."""
    radius_m = _curve_m(lat0)
    psi = _isometric(lat0) + w.imag / radius_m
    sine = math.tanh(psi)
    for _ in range(STEPS):
        sine = math.tanh(psi + ECCENTRICITY * math.atanh(ECCENTRICITY * sine))
    return lon0 + math.degrees(w.real / radius_m), math.degrees(math.asin(sine))
