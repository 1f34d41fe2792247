"""A plan on a latitude/longitude DEM equals the plan on the same surface in metres.

Source: the requirement itself, the same ground written twice by an independent writer (tests/naive/synthetic.py,
true ground metres along geodesics): once in the base's UTM metres, once in degrees. At 0, 45 and 65 degrees north,
uphill in eight directions: slope within 0.5 % of itself, laydown within one step of the sweep (1 degree). A degree
of longitude is 1.00, 0.71 and 0.42 of a degree of latitude there, so that one scale for both axes shows at once.
"""

import pytest
from synthetic import plane, rough_ground, write_dem, write_mast

from siting.inputs.site_file import site_from_options
from siting.planner import make_plan

SLOPE_RATIO = 0.005  # 0.5 % of the slope: required
ONE_STEP_DEG = 1.0  # required
SLOPE_PERCENT = 8.0
LATITUDES = (0.0, 45.0, 65.0)
UPHILL = tuple(range(0, 360, 45))
LON = 10.3  # 1.3 degrees off the middle of zone 32: grid north is not true north there


@pytest.fixture(scope="module")
def two_plans(tmp_path_factory):
    """(surface, lat) -> the plans on the DEM in metres and in degrees."""
    folder = tmp_path_factory.mktemp("pairs")
    mast = write_mast(folder / "mast.toml")

    def make(surface, lat):
        pair = []
        for crs in ("utm", "lonlat"):
            dem = write_dem(folder / f"{crs}.tif", surface, lat, LON, crs=crs, cell_m=2.0)
            pair.append(make_plan(site_from_options(str(dem), f"{lat}, {LON}", str(mast))))
        return pair

    return make


def turn_deg(one, other):
    """Angle between two azimuths, degrees."""
    return abs((one - other + 180.0) % 360.0 - 180.0)


def test_every_latitude_and_direction_is_here():
    assert (LATITUDES, UPHILL) == ((0.0, 45.0, 65.0), (0, 45, 90, 135, 180, 225, 270, 315))


@pytest.mark.parametrize("lat", LATITUDES)
@pytest.mark.parametrize("uphill_deg", UPHILL)
def test_even_slope(two_plans, lat, uphill_deg):
    metres, degrees = two_plans(plane(SLOPE_PERCENT, uphill_deg), lat)
    assert (metres.terrain.crs, degrees.terrain.crs) == ("WGS 84 / UTM zone 32N", "WGS 84")
    for plan in (metres, degrees):
        assert plan.laydown.slope_percent == pytest.approx(SLOPE_PERCENT, rel=SLOPE_RATIO)
        assert plan.base.slope_percent == pytest.approx(SLOPE_PERCENT, rel=SLOPE_RATIO)
        assert turn_deg(plan.laydown.azimuth_deg, uphill_deg) <= ONE_STEP_DEG
        assert turn_deg(plan.base.uphill_deg, uphill_deg) <= ONE_STEP_DEG
        assert plan.verdict == "pass"
    assert degrees.laydown.slope_percent == pytest.approx(metres.laydown.slope_percent, rel=SLOPE_RATIO)
    assert turn_deg(degrees.laydown.azimuth_deg, metres.laydown.azimuth_deg) <= ONE_STEP_DEG
    for one, other in zip(metres.stakes, degrees.stakes, strict=True):
        # Across the slope a step of 1 degree lifts a stake at 90 m by 0.13 m at most.
        assert other.height_m == pytest.approx(one.height_m, abs=0.13)
        assert other.slope_percent == pytest.approx(one.slope_percent, rel=SLOPE_RATIO)


@pytest.mark.parametrize("lat", LATITUDES)
def test_rough_ground_azimuth_by_azimuth(two_plans, lat):
    # The two grids cut the same waves (25 m and longer) at other points, so the sweeps differ a little, but by no more
    # than the required half percent of the ground's mean slope.
    surface = rough_ground(seed=11, amplitude_m=0.5, slope_percent=SLOPE_PERCENT, uphill_deg=30.0)
    metres, degrees = two_plans(surface, lat)
    assert len(metres.laydown.candidates) == len(degrees.laydown.candidates) == 360
    for one, other in zip(metres.laydown.candidates, degrees.laydown.candidates, strict=True):
        assert other.slope_percent == pytest.approx(one.slope_percent, abs=SLOPE_RATIO * SLOPE_PERCENT)
    assert turn_deg(degrees.laydown.azimuth_deg, metres.laydown.azimuth_deg) <= ONE_STEP_DEG
