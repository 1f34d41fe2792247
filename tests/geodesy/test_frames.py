"""Convergence, scale and combined factor against differences of a projection; the ground frame and its inverse."""

from __future__ import annotations

import math

import numpy as np
import pytest
import twin_layout
from hypothesis import given
from hypothesis import strategies as st
from strategies import EARTH, ground_point

from siting.geodesy.frames import frame_at

MILLIMETRE = 0.001
PLACES = [
    (46.5, 7.5, 1450.0),
    (-33.9, 18.6, 20.0),
    (60.2, 5.0, 300.0),
    (78.2, 15.6, 20.0),
    (0.0, -78.5, 2800.0),
    (47.0, -179.999, 10.0),
]


@pytest.mark.parametrize(("lat", "lon", "height_m"), PLACES)
def test_factors_of_utm_are_those_of_ten_metres_of_ground(lat, lon, height_m):
    frame = frame_at(lat, lon, height_m, None, "site.toml")
    twin = twin_layout.frame({"lat": lat, "lon": lon, "height_m": height_m})
    assert frame.epsg == twin["epsg"]
    assert frame.convergence_deg == pytest.approx(twin["convergence_deg"], abs=1e-6)
    assert frame.point_scale == pytest.approx(twin["point_scale"], abs=2e-8)
    assert frame.elevation_factor == pytest.approx(twin["elevation_factor"], abs=1e-10)
    assert frame.combined_factor == pytest.approx(twin["combined_factor"], abs=2e-8)
    assert (frame.unit, frame.unit_m) == ("metre", 1.0)


def test_convergence_has_the_sign_of_the_contract():
    """East of the central meridian, north of the equator, grid north lies east of true north: positive."""
    assert frame_at(46.5, 10.5, 0.0, None, "x").convergence_deg == pytest.approx(1.5 * math.sin(math.radians(46.5)), abs=0.001)
    assert frame_at(46.5, 7.5, 0.0, None, "x").convergence_deg < 0
    assert frame_at(-46.5, 10.5, 0.0, None, "x").convergence_deg < 0


def test_a_state_plane_in_us_feet_keeps_its_unit():
    frame = frame_at(39.2, -105.5, 2800.0, "EPSG:2232", "x")
    assert (frame.epsg, frame.unit, frame.unit_m) == (2232, "US survey foot", pytest.approx(1200 / 3937))
    lon, lat = ground_point(90.0, 100.0, 2800.0, 39.2, -105.5)
    easting, northing = frame.grid(np.array([lon]), np.array([lat]))
    grid_ft = math.hypot(easting[0] - frame.easting, northing[0] - frame.northing)
    assert grid_ft * 1200 / 3937 == pytest.approx(100.0 * frame.combined_factor, abs=MILLIMETRE)


@given(st.sampled_from(PLACES), st.floats(0.0, 360.0), st.floats(0.1, 300.0))
def test_the_ground_frame_gives_true_bearings_and_ground_metres(place, azimuth, radius_m):
    lat, lon, height_m = place
    frame = frame_at(lat, lon, height_m, None, "x")
    there_lon, there_lat = ground_point(azimuth, radius_m, height_m, lat, lon)
    x, y = (float(v[0]) for v in frame.ground_xy(np.array([there_lon]), np.array([there_lat])))
    assert math.hypot(x, y) == pytest.approx(radius_m, abs=2 * MILLIMETRE)
    turn = (frame.true_bearing_deg(x, y) - azimuth + 180.0) % 360.0 - 180.0
    assert abs(math.radians(turn)) * radius_m < 2 * MILLIMETRE
    back_lon, back_lat = (float(v) for v in frame.lonlat(np.array(x), np.array(y)))
    assert EARTH.Inverse(back_lat, back_lon, there_lat, there_lon)["s12"] < 1e-5
