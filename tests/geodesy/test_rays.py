"""The cubic of a ray against the exact geodesic, on every kind of DEM grid, and the table of rays."""

from __future__ import annotations

import numpy as np
import pytest
from strategies import PLACES, dem_frame_of, ground_point

from siting.geodesy.dem_frame import cell_size_m, ground_scale, trace_rays

MICROMETRE = 1e-6


@pytest.mark.parametrize(("crs", "lat", "lon", "height_m"), PLACES)
def test_the_cubic_is_the_ray_within_a_micrometre(crs, lat, lon, height_m):
    frame = dem_frame_of(crs, lat, lon)
    azimuths = np.array([0.0, 17.0, 90.0, 133.0, 180.0, 251.5, 359.0])
    rays = trace_rays(frame, azimuths, 500.0, height_m)
    assert rays.origin_colrow == pytest.approx((1000.3, 1000.7), abs=1e-6)
    cell_m = max(cell_size_m(ground_scale(frame, 500.0)))
    worst_m = 0.0
    for azimuth in azimuths:
        for distance_m in (3.0, 41.0, 77.7, 160.0, 333.0, 420.0, 500.0):
            col, row = rays.at(rays.index_of(np.array([azimuth])), np.array([distance_m]))
            exact_col, exact_row = frame.colrow(*(np.array(v) for v in ground_point(azimuth, distance_m, height_m, lat, lon)))
            worst_m = max(worst_m, cell_m * float(np.hypot(col[0] - exact_col, row[0] - exact_row)))
    assert worst_m < MICROMETRE


def test_each_azimuth_stands_once_and_is_found_again():
    frame = dem_frame_of("utm", 46.5, 7.5)
    wanted = np.array([0.0, 360.0, -1.0, 359.0, 12.3456789, 372.3456789, 90.0])
    rays = trace_rays(frame, wanted, 100.0, 0.0)
    assert np.unique(np.round(rays.azimuths_deg, 7)).tolist() == [0.0, 12.3456789, 90.0, 359.0]
    assert (np.diff(rays.azimuths_deg) > 0).all() and rays.azimuths_deg.size <= 5
    found = rays.azimuths_deg[rays.index_of(wanted)]
    assert np.max(np.abs((found - wanted + 180.0) % 360.0 - 180.0)) < 1e-8


def test_an_azimuth_just_below_a_full_turn_is_north():
    rays = trace_rays(dem_frame_of("utm", 46.5, 7.5), np.array([0.0, 90.0]), 100.0, 0.0)
    assert rays.azimuths_deg[rays.index_of(np.array([359.9999999999]))].tolist() == [0.0]
