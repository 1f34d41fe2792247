"""Real DEMs at their limits: nodata, the raster's rim, ground turned upside down, cells larger than the mast.

Sources: the DEMs of open_data.py (package, version, hash, licence there). A height that the file does not have is
never guessed: an azimuth that needs it drops out with its reason, and where none remains the plan is refused.
Angles in degrees; lengths in metres; slopes in percent.
"""

import math

import numpy as np
import pytest
import rasterio
from outside.open_data import jacksboro_tif, open_file
from pyproj import Transformer

from siting.errors import InputError, TerrainGap
from siting.inputs.site_file import read_site, site_from_options
from siting.planner import make_plan
from siting.planning.ground import open_ground

MAST = "lattice-60"  # outermost anchor at 65 m


def plan_on(name, lat, lon, mast=MAST):
    """The plan of a base on one of the open DEMs."""
    return make_plan(site_from_options(str(open_file(name)), f"{lat:.7f}, {lon:.7f}", mast))


def latlon_of(name, col, row):
    """(lat, lon) of a place in the raster, in pixels from its outer corner."""
    with rasterio.open(open_file(name)) as dem:
        to_lonlat = Transformer.from_crs(dem.crs.to_wkt(), "EPSG:4326", always_xy=True)
        lon, lat = to_lonlat.transform(*(dem.transform * (col, row)))
    return lat, lon


# lidar_sink is lidar with nodata 0 in 55 % of its cells. (lat, lon) of bases with ground around them on one side.
SINK_BASES = ((46.505504, -93.918711), (46.506762, -93.918993), (46.506398, -93.919508))


@pytest.mark.parametrize(("lat", "lon"), SINK_BASES)
def test_nodata_under_an_anchor_drops_the_azimuth_and_changes_no_other(lat, lon):
    whole, holed = plan_on("lidar", lat, lon), plan_on("lidar_sink", lat, lon)
    kept = {c.azimuth_deg: c for c in holed.laydown.candidates}
    dropped = {d.azimuth_deg: d.reason for d in holed.laydown.dropped}
    assert (len(whole.laydown.candidates), len(whole.laydown.dropped)) == (360, 0)
    assert len(kept) + len(dropped) == 360
    assert kept
    assert len(dropped) > 100
    assert all(reason.endswith("lidar_sink.tif has no data there") for reason in dropped.values())
    # The holes' nought enters nowhere: what remains is what the whole ground gives, digit for digit.
    assert [kept[c.azimuth_deg] for c in whole.laydown.candidates if c.azimuth_deg in kept] == [
        c for c in whole.laydown.candidates if c.azimuth_deg in kept
    ]
    assert min(s.height_m for s in holed.stakes) > 379.0, "the lowest cell with data holds 379.66 m"


def test_the_users_own_azimuth_over_nodata_is_refused(tmp_path):
    lat, lon = SINK_BASES[0]
    azimuth = plan_on("lidar_sink", lat, lon).laydown.dropped[0].azimuth_deg
    site = tmp_path / "site.toml"
    site.write_text(
        f'name = "gap"\n[base]\nlat = {lat}\nlon = {lon}\n[dem]\npath = "{open_file("lidar_sink")}"\n'
        f'[mast]\nuse = "{MAST}"\n[laydown]\nazimuth_deg = {azimuth}\n'
    )
    with pytest.raises(TerrainGap, match=f"azimuth_deg = {azimuth:g}: anchor .* lidar_sink.tif has no data there"):
        make_plan(read_site(site))


def test_a_base_on_nodata_is_refused():
    with pytest.raises(TerrainGap, match=r"lies where the DEM has no data \(lidar_sink.tif\)"):
        plan_on("lidar_sink", *latlon_of("lidar_sink", 60.5, 60.5))


# The lidar raster is 400 m square.
def test_sixty_metres_inside_the_rim_some_azimuths_remain_and_keep_their_numbers():
    lat, lon = latlon_of("lidar", 60.3, 200.4)
    plan = plan_on("lidar", lat, lon)
    assert plan.laydown.candidates
    assert plan.laydown.dropped
    assert {d.reason.rpartition(": ")[2] for d in plan.laydown.dropped} == {"lidar.tif ends there"}
    for stake in plan.stakes:
        assert latlon_of("lidar", 0.5, 200.4)[1] <= stake.lon, f"{stake.id} stands off the raster"
    # The back anchor (65 m) reaches over the rim straight west, the winch anchor straight east.
    assert {270.0, 90.0} <= {d.azimuth_deg for d in plan.laydown.dropped}


@pytest.mark.parametrize("inside_px", [1.0, 10.0, 20.0])
def test_close_to_the_rim_no_azimuth_remains(inside_px):
    with pytest.raises(TerrainGap, match=r"no azimuth has ground under the whole layout.*lidar.tif ends there"):
        plan_on("lidar", *latlon_of("lidar", inside_px, 200.4))


def test_the_outer_half_cell_has_no_height():
    with pytest.raises(TerrainGap, match=r"lies on the DEM's very edge \(lidar.tif\)"):
        plan_on("lidar", *latlon_of("lidar", 0.3, 200.4))


def test_off_the_raster_is_refused_with_what_it_covers():
    with pytest.raises(
        InputError, match=r"lies outside lidar.tif, which covers latitude 46\.50\d+ to 46\.50\d+, longitude -93\.92"
    ):
        plan_on("lidar", *latlon_of("lidar", -5.0, 200.4))


def test_luxembourgs_border_is_never_crossed():
    # Cells of 30 seconds (927 m by 600 m); nodata outside the country.
    with rasterio.open(open_file("luxembourg")) as dem:
        known = dem.read_masks(1) > 0
    rows, cols = np.nonzero(known[2:-2, 2:-2] & ~known[2:-2, 3:-1])  # data here, none in the cell to the east
    assert len(rows) > 30
    for row, col in list(zip(rows + 2, cols + 2, strict=True))[::8]:
        for part in (0.5, 0.9):  # in the cell's middle its slope needs the empty cell, further on its height does too
            with pytest.raises(TerrainGap, match="has no data"):
                plan_on("luxembourg", *latlon_of("luxembourg", col + part, row + 0.5))
    with pytest.raises(TerrainGap, match="lies where the DEM has no data"):
        plan_on("luxembourg", *latlon_of("luxembourg", 2.5, 2.5))


# Upside down: dsm = 510.759 - dem in every cell, both float32; below 128 m a float32 steps by 2^-17 m and above by
# 2^-16 m, so eight rounded cells over 8 m put a gradient off by 2^-17 at most.
ROUNDING = 2.0**-17 * math.sqrt(2.0)


def test_upside_down_ground_has_the_same_slopes_and_the_opposite_uphill():
    lat, lon = latlon_of("lidar", 200.4, 200.6)
    up, down = (
        open_ground(site_from_options(str(open_file(name)), f"{lat}, {lon}", MAST)).surface
        for name in ("lidar", "lidar_upside_down")
    )
    cols, rows = (grid.ravel() + 0.5 for grid in np.meshgrid(np.arange(120, 281), np.arange(120, 281)))
    slope, uphill = up.slopes(cols, rows)
    slope_down, uphill_down = down.slopes(cols, rows)
    assert len(slope) == 161 * 161
    assert (np.abs(slope - slope_down) <= 100.0 * ROUNDING).all()
    steep = slope > 1.0
    assert steep.sum() > 20000
    turn = (uphill_down - uphill)[steep] % 360.0
    assert (np.abs(turn - 180.0) <= np.degrees(ROUNDING / (slope[steep] / 100.0))).all()


def test_upside_down_plans_mirror_each_other():
    # The two bases differ by 275 m in height, so a stake at 60 m moves by 60 * 275 / 6.37e6 = 2.6 mm; on ground of
    # 100 % that tilts the line through the samples by 100 * 1.5 * 2.6e-3 / 60 percent at most.
    lat, lon = 46.505516, -93.918980
    up, down = plan_on("lidar", lat, lon), plan_on("lidar_upside_down", lat, lon)
    assert up.base.height_m + down.base.height_m == pytest.approx(510.759, abs=1.1e-3)
    assert down.base.slope_percent == pytest.approx(up.base.slope_percent, abs=100.0 * ROUNDING + 1e-4)
    assert (down.base.uphill_deg - up.base.uphill_deg) % 360.0 == pytest.approx(180.0, abs=0.01)
    for one, other in zip(up.laydown.candidates, down.laydown.candidates, strict=True):
        assert other.slope_percent == pytest.approx(-one.slope_percent, abs=6.5e-3 + 1e-4)


COARSE = (  # (DEM, lat, lon, cell as the warning says it)
    ("jacksboro", 36.573892, -84.347205, "92 m"),  # 1/1200 of a degree of latitude (110.97 km at 36.6 N)
    ("olinda", -8.010467, -34.869059, "90 m"),
    ("rocky_mountain", 40.217938, -105.841863, "234 m"),
    ("luxembourg", 49.590711, 6.202545, "927 m"),
)


def test_every_row_is_here():
    assert (len(SINK_BASES), len(COARSE)) == (3, 4)


@pytest.mark.parametrize(("name", "lat", "lon", "cell"), COARSE)
def test_a_cell_larger_than_the_layout_is_called_too_coarse(tmp_path, name, lat, lon, cell):
    path = jacksboro_tif(tmp_path / "jacksboro.tif") if name == "jacksboro" else open_file(name)
    plan = make_plan(site_from_options(str(path), f"{lat}, {lon}", MAST))
    assert plan.unchecked[0] == "terrain_detail"
    assert plan.warnings[0].startswith(f"The DEM is too coarse for this mast: a cell is {cell} and the nearest anchor")


@pytest.mark.parametrize(("name", "lat", "lon"), [("lidar", 46.505516, -93.918980), ("colorado", 38.992956, -107.060100)])
def test_cells_of_1_and_10_m_are_not(name, lat, lon):
    plan = plan_on(name, lat, lon, "lattice-80")
    assert "terrain_detail" not in plan.unchecked
    assert not any("coarse" in warning for warning in plan.warnings)


def test_no_code_is_invented_for_a_dem_without_one():
    # The file says UTM 25 S, datum unknown; a guess would be EPSG:32000 (SIRGAS 1995) or EPSG:32725.
    plan = plan_on("olinda", -8.010467, -34.869059)
    said = f"{plan.terrain.crs} {plan.terrain.transformation}"
    assert "SIRGAS" not in said
    assert "EPSG" not in said
    assert plan.crs.epsg == 32725, "the plan's own zone"
