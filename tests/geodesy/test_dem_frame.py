"""Pixels of a point and back, and what a pixel is on the ground, whatever the DEM's system and affine."""

from __future__ import annotations

import numpy as np
import pytest
from pyproj import CRS, Geod
from strategies import PLACES, dem_frame_of

from siting.geodesy.dem_frame import dem_frame_at, ground_scale
from siting.records.ground import DemHeader

GEOD = Geod(ellps="WGS84")


@pytest.mark.parametrize(("crs", "lat", "lon", "height_m"), PLACES)
def test_there_and_back(crs, lat, lon, height_m):
    frame = dem_frame_of(crs, lat, lon)
    cols, rows = np.array([1000.3, 900.0, 1200.5, 1000.0]), np.array([1000.7, 1100.0, 850.5, 1000.0])
    back = frame.colrow(*frame.lonlat(cols, rows))
    assert np.max(np.abs(np.array(back) - [cols, rows])) < 1e-6


@pytest.mark.parametrize(("crs", "lat", "lon", "height_m"), PLACES)
def test_the_jacobian_is_the_ground_between_two_cells(crs, lat, lon, height_m):
    """Against the geodesic from half a pixel before to half a pixel behind, along each axis."""
    frame = dem_frame_of(crs, lat, lon)
    jacobian = frame.jacobians(np.array(1000.3), np.array(1000.7))
    for axis, (dc, dr) in enumerate(((0.5, 0.0), (0.0, 0.5))):
        lon0, lat0 = frame.lonlat(np.array(1000.3 - dc), np.array(1000.7 - dr))
        lon1, lat1 = frame.lonlat(np.array(1000.3 + dc), np.array(1000.7 + dr))
        azimuth, _, length_m = GEOD.inv(float(lon0), float(lat0), float(lon1), float(lat1))
        east, north = length_m * np.sin(np.radians(azimuth)), length_m * np.cos(np.radians(azimuth))
        assert jacobian[:, axis] == pytest.approx([east, north], abs=2e-6 * length_m)


@pytest.mark.parametrize(("crs", "lat", "lon", "height_m"), PLACES)
def test_the_quadratic_of_the_jacobians_is_theirs(crs, lat, lon, height_m):
    frame = dem_frame_of(crs, lat, lon)
    scale = ground_scale(frame, 120.0)
    cols, rows = np.array([1000.3, 920.0, 1110.0]), np.array([1000.7, 1090.0, 930.0])
    exact = frame.jacobians(cols, rows)
    assert np.max(np.abs(scale.at(cols, rows) - exact)) < 1e-8 * np.max(np.abs(exact))


def degrees_header(west: float) -> DemHeader:
    affine = (1e-4, 0.0, west, 0.0, -1e-4, -16.9)
    return DemHeader("dem.tif", 2000, 3000, affine, CRS.from_epsg(4326).to_wkt(), "", "m", "", True, "", 1)


@pytest.mark.parametrize(
    ("west", "lon"), [(179.9, -179.95), (-180.1, 179.95), (359.9, 0.05), (-0.1, 359.95 - 360.0), (0.0, 0.05)]
)
def test_a_dem_in_degrees_may_lie_across_180_or_count_to_360(west, lon):
    frame = dem_frame_at(degrees_header(west), -17.0, lon)
    col, row = frame.colrow(np.array(lon), np.array(-17.0))
    assert 0 <= col <= 3000
    assert (col, row) == pytest.approx((((lon - west) % 360.0) / 1e-4, 1000.0), abs=1e-5)
    back_lon, back_lat = frame.lonlat(col, row)
    assert (back_lon, back_lat) == pytest.approx((lon, -17.0), abs=1e-9)
