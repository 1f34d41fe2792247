"""Points at an azimuth and a ground distance, and the way back, against geographiclib; UTM zones with their exceptions."""

from __future__ import annotations

import math

import numpy as np
import pytest
import twin_layout
from hypothesis import given
from hypothesis import strategies as st
from strategies import EARTH, bearings, ground_point, latitudes, longitudes

from siting.errors import FrameError
from siting.geodesy.frames import utm_code, utm_zone
from siting.geodesy.geodesic import azimuth_and_ground_m, azimuth_radius_m, mean_radius_m, place, principal_radii_m

HALF_MILLIMETRE = 0.0005


@given(latitudes, longitudes, bearings, st.floats(0.0, 500.0), st.floats(-400.0, 5000.0))
def test_a_stake_is_the_geodesic_direct_solution(lat, lon, azimuth, radius_m, height_m):
    lons, lats = place(lat, lon, np.array([azimuth]), np.array([radius_m]), height_m)
    exact_lon, exact_lat = ground_point(azimuth, radius_m, height_m, lat, lon)
    assert EARTH.Inverse(lats[0], lons[0], exact_lat, exact_lon)["s12"] < 1e-6


@given(latitudes, longitudes, bearings, st.floats(0.5, 500.0), st.floats(-400.0, 5000.0))
def test_azimuth_and_distance_undo_it(lat, lon, azimuth, radius_m, height_m):
    lons, lats = place(lat, lon, np.array([azimuth]), np.array([radius_m]), height_m)
    back_deg, back_m = azimuth_and_ground_m(lat, lon, float(lats[0]), float(lons[0]), height_m)
    assert back_m == pytest.approx(radius_m, abs=1e-6)
    assert abs((back_deg - azimuth + 180.0) % 360.0 - 180.0) * math.radians(radius_m) < 1e-6
    assert 0.0 <= back_deg < 360.0


def test_ground_is_longer_than_the_ellipsoid_below_it():
    """At 3000 m, 110 m on the ground are 52 mm less on the ellipsoid: more than a stake may be off."""
    lons, lats = place(46.5, 7.5, np.array([0.0]), np.array([110.0]), 3000.0)
    on_ellipsoid_m = EARTH.Inverse(46.5, 7.5, lats[0], lons[0])["s12"]
    assert 110.0 - on_ellipsoid_m == pytest.approx(110.0 * 3000.0 / (6.368e6 + 3000.0), abs=HALF_MILLIMETRE)


def test_radii_of_curvature_at_the_pole_and_the_equator():
    """a(1-e2) and a at the equator, a/sqrt(1-e2) both at the pole: WGS 84, NGA.STND.0036."""
    meridian_m, prime_m = principal_radii_m(0.0)
    assert (float(meridian_m), float(prime_m)) == pytest.approx((6335439.327, 6378137.0), abs=0.001)
    meridian_m, prime_m = principal_radii_m(90.0)
    assert (float(meridian_m), float(prime_m)) == pytest.approx((6399593.626, 6399593.626), abs=0.001)
    assert mean_radius_m(0.0) == pytest.approx(math.sqrt(6335439.327 * 6378137.0), abs=0.001)
    assert azimuth_radius_m(0.0, np.array([0.0, 90.0])) == pytest.approx([6335439.327, 6378137.0], abs=0.001)


@given(st.floats(-80.0, 83.99, allow_nan=False), st.floats(-180.0, 180.0, allow_nan=False))
def test_zones_are_those_of_the_twin(lat, lon):
    assert utm_code(lat, lon) == f"EPSG:{twin_layout.utm_epsg(lat, lon)}"


@pytest.mark.parametrize(
    ("lat", "lon", "zone"),
    [
        (46.5, 7.5, 32), (60.0, 2.9, 31), (60.0, 3.0, 32), (60.0, 11.9, 32), (60.0, 12.0, 33), (55.9, 5.0, 31), (64.0, 5.0, 31),
        (78.0, 8.9, 31), (78.0, 9.0, 33), (78.0, 20.9, 33), (78.0, 21.0, 35), (78.0, 33.0, 37), (78.0, 41.9, 37),
        (78.0, 42.0, 38), (71.9, 9.0, 32), (0.0, -180.0, 1), (0.0, 180.0, 1), (0.0, 179.9, 60), (-33.9, 18.6, 34),
    ],
)  # fmt: skip
def test_zones_at_their_edges(lat, lon, zone):
    assert utm_zone(lat, lon) == zone


@pytest.mark.parametrize("lat", [84.0, 88.5, -80.001])
def test_utm_ends_near_the_poles(lat):
    with pytest.raises(FrameError) as caught:
        utm_code(lat, 15.0)
    assert str(caught.value) == (
        f"base {lat:.6f}, 15.000000: UTM covers latitudes from 80 S to 84 N only. "
        "Name a projected system for it under [crs] projected."
    )
