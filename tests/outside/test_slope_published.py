"""Slope and aspect against printed 3 x 3 examples, closed forms, and gdaldem on a real lidar DEM.

Sources: the two worked examples of GIS documentation "How Slope works" and "How Aspect works", printed alike in
many places; closed forms of a plane and of a Gaussian hill; GDAL 3.6 or later, gdaldem slope and aspect -alg Horn
(Debian package gdal-bin). A GIS aspect is the downslope azimuth from GRID north; siting reports the uphill azimuth
from TRUE north, so uphill = aspect + 180 + convergence. Angles in degrees.
"""

import math
import shutil
import subprocess

import numpy as np
import pytest
import rasterio
from outside.open_data import open_file
from pyproj import Proj

from siting.geodesy.dem_frame import GroundScale
from siting.inputs.site_file import site_from_options
from siting.kernels.heights import horn_gradient
from siting.planning.ground import open_ground
from siting.records.ground import Grid
from siting.terrain.surface import Surface

SLOPE_WINDOW = np.array([[50, 45, 50], [30, 30, 30], [8, 10, 10]], float)  # "How Slope works", cells of 5
ASPECT_WINDOW = np.array([[101, 92, 85], [101, 92, 85], [101, 91, 84]], float)  # "How Aspect works"
CENTRE = np.array([1.5]), np.array([1.5])


def north_up(heights, cell_m):
    """A surface of square cells on flat ground, row 0 in the north."""
    jacobians = np.broadcast_to(np.array([[cell_m, 0.0], [0.0, -cell_m]]), (3, 3, 2, 2))
    return Surface(Grid(heights, 0, 0), None, GroundScale(0.0, 0.0, 10.0, jacobians))


def slope_and_uphill_deg(heights, cell_m):
    """Slope in degrees and uphill azimuth of the centre cell."""
    percent, uphill = north_up(heights, cell_m).slopes(*CENTRE)
    return math.degrees(math.atan(percent[0] / 100.0)), uphill[0]


def test_how_slope_works():
    # Printed: dz/dx 0.05, dz/dy -3.8, rise/run 3.80032, slope 75.25762. The print cuts rise/run (3.800329) and then
    # takes the angle of what it cut: that unit carried over to the angle, and half a unit of the angle's own.
    per_col, per_row = horn_gradient(SLOPE_WINDOW, *CENTRE)
    assert per_col[0] / 5.0 == pytest.approx(0.05, abs=0.005)
    assert per_row[0] / 5.0 == pytest.approx(-3.8, abs=0.05)
    one_unit = 1e-5
    slope_deg, _ = slope_and_uphill_deg(SLOPE_WINDOW, 5.0)
    assert math.tan(math.radians(slope_deg)) == pytest.approx(3.80032, abs=one_unit)
    assert slope_deg == pytest.approx(75.25762, abs=math.degrees(one_unit / (1.0 + 3.80032**2)) + 5e-6)


def test_how_aspect_works():
    # Printed: dz/dx -8.125, dz/dy -0.375, aspect 92.64 (downslope, clockwise from north); uphill is opposite.
    per_col, per_row = horn_gradient(ASPECT_WINDOW, *CENTRE)
    assert (per_col[0], per_row[0]) == (-8.125, -0.375)
    _, uphill = slope_and_uphill_deg(ASPECT_WINDOW, 1.0)
    assert (uphill + 180.0) % 360.0 == pytest.approx(92.64, abs=0.005)


def test_aspect_of_the_slope_example():
    # Same grid, aspect by gdaldem 3.6.2: 180.75385.
    _, uphill = slope_and_uphill_deg(SLOPE_WINDOW, 5.0)
    assert (uphill + 180.0) % 360.0 == pytest.approx(180.75385, abs=5e-5)


@pytest.mark.parametrize("cell_m", [0.5, 1.0, 30.0])
def test_plane_in_closed_form(cell_m):
    # z = 0.1 x + 0.2 y (x east, y north): slope 12.60438, uphill 26.56505.
    x, y = np.meshgrid([-cell_m, 0.0, cell_m], [cell_m, 0.0, -cell_m])
    slope_deg, uphill = slope_and_uphill_deg(100.0 + 0.1 * x + 0.2 * y, cell_m)
    assert slope_deg == pytest.approx(12.60438, abs=5e-6)
    assert uphill == pytest.approx(26.56505, abs=5e-6)


def test_gaussian_hill_in_closed_form():
    # z = 100 exp(-(x^2 + y^2)/(2 100^2)) at x 60, y 80: slope 31.2381, uphill 216.8699. Cells of 1 cm: Horn's own
    # error there is the hill's third derivative (1e-4 per square metre at most) x cell^2 / 2, far below the print.
    x, y = np.meshgrid(60.0 + np.array([-0.01, 0.0, 0.01]), 80.0 + np.array([0.01, 0.0, -0.01]))
    slope_deg, uphill = slope_and_uphill_deg(100.0 * np.exp(-(x**2 + y**2) / 2e4), 0.01)
    assert slope_deg == pytest.approx(31.2381, abs=5e-5)
    assert uphill == pytest.approx(216.8699, abs=5e-5)


# gdaldem on real ground.
LAT, LON = 46.505671, -93.919333  # middle of the lidar DEM
CELLS = 200
LOWERED_M = 380.0
# gdaldem sums in float32. Lowered by 380 m the heights stay below 32 m, the sum of four below 128 m, whose float32
# steps are 2^-17 m: six additions and one difference, each off by half a step at most, over 8 cells of 1 m.
GDAL_GRADIENT = 7 * 0.5 * 2.0**-17 / 8.0 * math.sqrt(2.0)
FLOAT32 = 2.0**-23


@pytest.fixture(scope="module")
def lidar(tmp_path_factory):
    """gdaldem's slope (percent) and aspect, siting's slope and uphill, the point scale and the convergence."""
    if shutil.which("gdaldem") is None:
        pytest.fail("gdaldem is not on the path: install GDAL's utility programs (Debian package gdal-bin)", pytrace=False)
    folder = tmp_path_factory.mktemp("gdaldem")
    original = open_file("lidar")
    with rasterio.open(original) as dem:
        profile, heights, inverse = dem.profile, dem.read(1), ~dem.transform
        crs = dem.crs.to_wkt()
    lowered = heights - np.float32(LOWERED_M)
    assert np.array_equal(lowered.astype(float), heights.astype(float) - LOWERED_M), "lowering must lose no bit"
    with rasterio.open(folder / "lowered.tif", "w", **profile) as dem:
        dem.write(lowered, 1)
    bands = []
    for mode in (["slope", "-p"], ["aspect"]):
        out = folder / f"{mode[0]}.tif"
        command = ["gdaldem", mode[0], str(folder / "lowered.tif"), str(out), "-q", "-alg", "Horn", *mode[1:]]
        done = subprocess.run(command, capture_output=True, text=True, check=False)
        assert done.returncode == 0, done.stderr
        with rasterio.open(out) as result:
            bands.append(result.read(1).astype(float))
    surface = open_ground(site_from_options(str(original), f"{LAT}, {LON}", "lattice-80")).surface
    projection = Proj(crs)
    base = ~inverse * surface.frame.colrow(np.array(LON), np.array(LAT))
    factors = projection.get_factors(*projection(*base, inverse=True))
    dice = np.random.default_rng(20270315)
    # Within 110 m of the base, where siting reads the DEM; cells that gdaldem calls flat have no aspect.
    rows, cols = (dice.integers(200 - 110, 200 + 110, 3 * CELLS) for _ in range(2))
    steep = np.flatnonzero(bands[0][rows, cols] > 1.0)[:CELLS]
    rows, cols = rows[steep], cols[steep]
    found = surface.slopes(cols + 0.5, rows + 0.5)
    return bands[0][rows, cols], bands[1][rows, cols], *found, factors.meridional_scale, factors.meridian_convergence


def test_gdaldem_slope_on_lidar_ground(lidar):
    grid_percent, _, ground_percent, _, scale, _ = lidar
    assert len(ground_percent) == CELLS
    # gdaldem counts grid metres; a metre of ground is `scale` grid metres, so the same rise is steeper by that.
    tolerance = 100.0 * GDAL_GRADIENT + grid_percent * FLOAT32
    assert (np.abs(ground_percent - grid_percent * scale) <= tolerance).all()
    # The factor is needed: without it the steeper cells are off.
    assert (np.abs(ground_percent - grid_percent) > tolerance).mean() > 0.5
    assert 1.0 < grid_percent.min() < 10.0 < 30.0 < grid_percent.max()


def test_gdaldem_aspect_on_lidar_ground(lidar):
    grid_percent, aspect, _, uphill, _, convergence_deg = lidar
    assert len(uphill) == CELLS
    miss = (uphill - (aspect + 180.0 + convergence_deg) + 180.0) % 360.0 - 180.0
    tolerance = np.degrees(GDAL_GRADIENT / (grid_percent / 100.0)) + 360.0 * FLOAT32
    assert (np.abs(miss) <= tolerance + CONVERGENCE_DRIFT_DEG).all()
    assert abs(convergence_deg) > 10.0 * CONVERGENCE_DRIFT_DEG


# The convergence is taken at the base; over 160 m it changes by sin(lat) x the change of longitude.
CONVERGENCE_DRIFT_DEG = math.sin(math.radians(LAT)) * math.degrees(160.0 / (6378137.0 * math.cos(math.radians(LAT))))
