"""Points at an azimuth and a ground distance from the base, on the WGS 84 ellipsoid."""

from __future__ import annotations

import numpy as np
from pyproj import Geod

WGS84 = Geod(ellps="WGS84")


def principal_radii_m(lat_deg: np.ndarray | float) -> tuple[np.ndarray, np.ndarray]:
    """Radii of curvature M (meridian) and N (prime vertical) of the ellipsoid, metres.

    Source: any textbook of geodesy, e.g. Snyder, USGS Professional Paper 1395 (1987), eq. 4-18 and 4-20.
    """
    e2 = WGS84.es
    w2 = 1.0 - e2 * np.sin(np.radians(lat_deg)) ** 2
    return WGS84.a * (1.0 - e2) / w2**1.5, WGS84.a / np.sqrt(w2)


def azimuth_radius_m(lat_deg: float, azimuth_true_deg: np.ndarray) -> np.ndarray:
    """Radius of curvature of the ellipsoid in an azimuth, metres.

    Source: Euler's formula, 1/R = cos^2(A)/M + sin^2(A)/N.
    """
    meridian_m, prime_m = principal_radii_m(lat_deg)
    a = np.radians(azimuth_true_deg)
    return 1.0 / (np.cos(a) ** 2 / meridian_m + np.sin(a) ** 2 / prime_m)


def mean_radius_m(lat_deg: float) -> float:
    """Geometric mean radius R = sqrt(M N) at a latitude, metres (US NGS, combined factor)."""
    meridian_m, prime_m = principal_radii_m(lat_deg)
    return float(np.sqrt(meridian_m * prime_m))


def place(
    lat_deg: float, lon_deg: float, azimuths_true_deg: np.ndarray, ground_m: np.ndarray, height_m: float
) -> tuple[np.ndarray, np.ndarray]:
    """Longitudes and latitudes (degrees) of points at a true azimuth and a HORIZONTAL GROUND distance.

    The ground distance is brought down to the ellipsoid by R/(R+h), R the radius of curvature in the azimuth
    and h the base's height, then laid off as a geodesic (CONTRACT, geometry).

    Args:
        azimuths_true_deg, ground_m: arrays that broadcast against each other.
    Source:
        C. F. F. Karney, Algorithms for geodesics, J. Geodesy 87 (2013) 43-55, as built into PROJ.
    """
    azimuths, ground = np.broadcast_arrays(np.asarray(azimuths_true_deg, float), np.asarray(ground_m, float))
    radius_m = azimuth_radius_m(lat_deg, azimuths)
    ellipsoid_m = ground * radius_m / (radius_m + height_m)
    lon, lat, _ = WGS84.fwd(
        np.full(azimuths.size, lon_deg), np.full(azimuths.size, lat_deg), azimuths.ravel(), ellipsoid_m.ravel()
    )
    return np.asarray(lon).reshape(azimuths.shape), np.asarray(lat).reshape(azimuths.shape)


def azimuth_and_ground_m(
    lat_deg: float, lon_deg: float, to_lat_deg: float, to_lon_deg: float, height_m: float
) -> tuple[float, float]:
    """True azimuth (degrees) and horizontal ground distance (metres) from one point to another: `place` undone."""
    azimuth, _, ellipsoid_m = WGS84.inv(lon_deg, lat_deg, to_lon_deg, to_lat_deg)
    radius_m = float(azimuth_radius_m(lat_deg, np.asarray(azimuth)))
    return azimuth % 360.0, ellipsoid_m * (radius_m + height_m) / radius_m
