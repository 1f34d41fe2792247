"""The shaded ground and its contours: lit from the north-west, nothing where there is no data, heights that are true."""

from __future__ import annotations

import numpy as np
import pytest
from strategies import EARTH, LAT, LON, surface_of
from synthetic import gauss_hill, plane, write_dem

from siting.terrain.backdrop import CONTOUR_STEPS_M, SIDE_PX, backdrop


@pytest.fixture(scope="module")
def hill(tmp_path_factory):
    path = tmp_path_factory.mktemp("hill") / "dem.tif"
    write_dem(path, gauss_hill(30.0, 20.0, 10.0, 35.0), LAT, LON, half_width_m=120.0, dtype="float64", hole=(-60.0, 60.0, 15.0))
    surface = surface_of(path)
    return surface, backdrop(surface, 90.0)


def test_the_square_is_centred_on_the_base_and_as_large_as_asked(hill):
    _, ground = hill
    assert (ground.west + ground.east) / 2 == pytest.approx(LON, abs=1e-9)
    assert (ground.south + ground.north) / 2 == pytest.approx(LAT, abs=1e-9)
    assert EARTH.Inverse(ground.south, LON, ground.north, LON)["s12"] == pytest.approx(180.0, rel=0.005)
    assert EARTH.Inverse(LAT, ground.west, LAT, ground.east)["s12"] == pytest.approx(180.0, rel=0.005)
    assert ground.shade.shape == (SIDE_PX, SIDE_PX) and ground.shade.dtype == np.uint8
    assert not ground.shade.flags.writeable


def test_shade_is_nought_only_where_there_is_no_data(hill):
    _, ground = hill
    hole = ground.shade == 0
    row, col = np.argwhere(hole).mean(axis=0)
    east_m, north_m = (col / SIDE_PX - 0.5) * 180.0, (0.5 - row / SIDE_PX) * 180.0
    assert (east_m, north_m) == pytest.approx((-60.0, 60.0), abs=1.5)
    assert hole.mean() == pytest.approx(np.pi * 15.5**2 / 180.0**2, rel=0.1)


def test_the_north_west_side_of_a_hill_is_the_bright_one(hill):
    _, ground = hill

    def at(east_m, north_m):
        return int(ground.shade[round((0.5 - north_m / 180.0) * SIDE_PX), round((0.5 + east_m / 180.0) * SIDE_PX)])

    level = at(85.0, -85.0)
    assert at(20.0 - 25.0, 10.0 + 25.0) > level + 25 > level > at(20.0 + 25.0, 10.0 - 25.0) + 25


def test_contours_lie_on_their_heights(hill):
    surface, ground = hill
    assert ground.contour_interval_m in CONTOUR_STEPS_M
    heights = sorted({height for height, _ in ground.contours})
    assert heights[0] >= 500.0 and heights[-1] <= 530.0 and len(heights) >= 5
    assert all(height % ground.contour_interval_m == 0 for height in heights)
    errors = []
    for height, line in ground.contours:
        lon, lat = np.array(line).T
        found = surface.heights_m(*surface.frame.colrow(lon, lat))
        errors += np.abs(found[np.isfinite(found)] - height).tolist()
    assert len(errors) > 200
    # Points were thinned by 0.4 of a cell of the picture (0.18 m); the hill is at most 52 % steep.
    assert max(errors) < 0.3


def test_the_interval_follows_the_relief(tmp_path):
    for slope, interval in ((1.0, 0.5), (20.0, 5.0), (100.0, 20.0)):
        path = write_dem(tmp_path / f"{slope}.tif", plane(slope, 0.0, 900.0), LAT, LON, half_width_m=120.0, cell_m=4.0)
        assert backdrop(surface_of(path), 90.0).contour_interval_m == interval


def test_no_ground_no_picture(tmp_path):
    path = write_dem(tmp_path / "dem.tif", plane(1.0, 0.0), LAT, LON, half_width_m=40.0, hole=(0.0, 0.0, 200.0))
    assert backdrop(surface_of(path), 30.0) is None
