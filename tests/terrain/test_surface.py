"""Slope and uphill direction of the ground: on planes, to true north, and whatever window was read."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import LAT, LON, cell_offsets, local_crs, seeds, surface_of, turned_affine, write_grid
from synthetic import AFFINES, plane, rough_ground, write_dem


@pytest.mark.parametrize("affine", AFFINES)
@pytest.mark.parametrize("crs", ["utm", "lonlat", "mercator", "albers", "EPSG:2056"])
def test_a_plane_has_its_slope_and_direction_in_every_system(tmp_path, crs, affine):
    path = write_dem(
        tmp_path / "dem.tif", plane(8.0, 130.0), LAT, LON, crs=crs, affine=affine, dtype="float64", half_width_m=60, cell_m=2.0
    )
    surface = surface_of(path)
    col, row = (np.array([float(v)]) for v in surface.frame.colrow(np.array(LON), np.array(LAT)))
    for dc, dr in ((0, 0), (9, -4), (-12, 7)):
        slope, uphill = surface.slopes(col + dc, row + dr)
        # The ellipsoid's radii are taken without the height: 500 m / 6368 km of 8 %.
        assert slope[0] == pytest.approx(8.0 * (1 + 500.0 / 6.368e6), abs=5e-5)
        assert uphill[0] == pytest.approx(130.0, abs=2e-3)


@given(seeds, st.lists(st.integers(2, 30), min_size=4, max_size=4))
def test_the_window_that_was_read_changes_no_height_and_no_slope(tmp_path_factory, seed, margins):
    """The same point, read through windows of many shapes: the same number to the last bit."""
    path = tmp_path_factory.mktemp("window") / "dem.tif"
    write_dem(path, rough_ground(seed, slope_percent=5.0), LAT, LON, half_width_m=70.0, cell_m=2.0, affine="rotated")
    whole = surface_of(path)
    dice = np.random.default_rng(seed)
    col, row = 35.0 + dice.uniform(-3, 3, 20), 35.0 + dice.uniform(-3, 3, 20)
    left, top, right, bottom = margins
    window = surface_of(path, (35.3 - 3 - left, 35.2 - 3 - top, 35.4 + 3 + right, 35.7 + 3 + bottom))
    assert window.grid.heights_m.shape != whole.grid.heights_m.shape
    assert np.array_equal(window.heights_m(col, row), whole.heights_m(col, row))
    for found, wanted in zip(window.slopes(col, row), whole.slopes(col, row), strict=True):
        assert np.array_equal(found, wanted)
    assert np.isfinite(whole.slopes(col, row)[0]).all()


@given(seeds, cell_offsets)
def test_the_reach_of_the_layout_changes_no_slope(tmp_path_factory, seed, offset):
    path = tmp_path_factory.mktemp("reach") / "dem.tif"
    write_dem(path, rough_ground(seed, slope_percent=5.0), LAT, LON, crs="mercator", half_width_m=60.0, offset=offset, cell_m=2.0)
    near, far = surface_of(path, reach_m=40.0), surface_of(path, reach_m=400.0)
    col, row = np.linspace(12.0, 48.0, 25), np.linspace(45.0, 15.0, 25)
    assert near.slopes(col, row)[0] == pytest.approx(far.slopes(col, row)[0], rel=1e-7)


def test_beyond_the_window_there_is_no_height(tmp_path):
    path = write_dem(tmp_path / "dem.tif", plane(5.0, 0.0), LAT, LON, half_width_m=30.0, cell_m=2.0)
    surface = surface_of(path, (10.0, 10.0, 20.0, 20.0))
    inside, outside = np.array([15.0]), np.array([25.0])
    assert np.isfinite(surface.heights_m(inside, inside)).all()
    assert np.isnan(surface.heights_m(outside, inside)).all()
    assert np.isnan(surface.slopes(np.array([10.5]), inside)[0]).all()  # its neighbour was not read


@pytest.mark.parametrize("missing", [(a, b) for a in (-1, 0, 1) for b in (-1, 0, 1)])
def test_a_slope_needs_all_nine_cells(tmp_path, missing):
    """Also the centre and the middles of the sides, which have no weight in one of Horn's two sums."""
    heights = np.add.outer(np.arange(9.0), 2.0 * np.arange(9.0)) + 100.0
    heights[4 + missing[0], 4 + missing[1]] = np.nan
    write_grid(tmp_path / "dem.tif", heights, local_crs(LAT, LON), turned_affine(9, 2.0, 0.0))
    surface = surface_of(tmp_path / "dem.tif", reach_m=8.0)
    centre, beside = np.array([4.5]), np.array([6.5])
    assert np.isnan(surface.slopes(centre, centre)[0]).all()
    assert np.isfinite(surface.slopes(beside + 1, beside + 1)[0]).all()
