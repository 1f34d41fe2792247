"""The rasters of a search: on the DEM's grid, cloud optimized, every number as it was found, never a failing cell as passing."""

from __future__ import annotations

import json
import subprocess
from dataclasses import replace

import numpy as np
import pytest
import rasterio
from writers.search_results import COLS, ROWS, made

from siting.records.search import FATES, FULL, IN_THE_LIFT, PASSING, Tile, fails_in_lift
from siting.writers.search.classes import CLASSES, OF_FATE, classes_of
from siting.writers.search.overview import Overview
from siting.writers.search.rasters import at_most_as_float32, write_rasters

NAMES = ("utilisation.tif", "azimuth.tif", "utilisation_classes.tif")


@pytest.fixture(scope="module", params=[PASSING, FULL])
def written(request, tmp_path_factory):
    search, folder, seen = made(request.param), tmp_path_factory.mktemp("rasters"), []
    assert write_rasters(search.result, search.load, folder, lambda tile, found: seen.append(tile)) == NAMES
    assert tuple(seen) == search.result.tiles
    assert sorted(p.name for p in folder.iterdir()) == sorted(NAMES)  # nothing rough is left behind
    return search, folder


def test_every_file_is_cloud_optimized_and_lies_on_the_grid(written):
    search, folder = written
    for name in NAMES:
        told = json.loads(subprocess.run(["gdalinfo", "-json", folder / name], capture_output=True, text=True, check=True).stdout)
        assert told["metadata"]["IMAGE_STRUCTURE"]["LAYOUT"] == "COG"
        with rasterio.open(folder / name) as raster:
            assert tuple(raster.transform)[:6] == search.result.grid.affine
            assert (raster.crs.to_epsg(), raster.shape, raster.count) == (32612, (ROWS, COLS), 1)


def test_utilisation_and_azimuth_are_what_was_found(written):
    """In mode passing, cells that fail in the lift or on the base have neither."""
    search, folder = written
    is_no = fails_in_lift(search.whole.fate) & (search.result.job.options.mode == PASSING)
    wanted = np.where(is_no, np.nan, search.whole.used)
    assert np.isnan(wanted).sum() > np.isnan(search.whole.used).sum() or search.result.job.options.mode == FULL
    with rasterio.open(folder / "utilisation.tif") as raster:
        used = raster.read(1)
        assert raster.dtypes == ("float32",) and np.isnan(raster.nodata) and raster.units == ("ratio",)
    np.testing.assert_array_equal(np.isnan(used), np.isnan(wanted))
    np.testing.assert_allclose(used, wanted, rtol=1.2e-7)
    with np.errstate(invalid="ignore"):
        np.testing.assert_array_equal(used <= 1.0, wanted <= 1.0)
    with rasterio.open(folder / "azimuth.tif") as raster:
        azimuth = raster.read(1)
        assert raster.dtypes == ("int16",) and raster.nodata == -1 and raster.units == ("degrees",)
    np.testing.assert_array_equal(azimuth, np.where((search.whole.azimuth < 0) | is_no, -1, 5 * search.whole.azimuth))


def test_tags_say_what_the_numbers_mean(written):
    search, folder = written
    for name in NAMES:
        with rasterio.open(folder / name) as raster:
            tags = raster.tags()
        assert tags["RUN_ID"] == "abc123def456" and tags["MAST"] == search.result.job.site.mast.name and tags["MAST_HEIGHT_M"] == "80"
        assert {"MEANING", "UNITS", "MODE"} <= set(tags)
    with rasterio.open(folder / "azimuth.tif") as raster:
        assert raster.tags()["UNITS"] == "degrees clockwise from true north"
    with rasterio.open(folder / "utilisation.tif") as raster:
        assert raster.tags(1)["LEGEND_4"] == "passes, uses 90 to 100 %: rgb(250, 214, 72)"


def test_classes_have_colours_and_follow_utilisation_and_fate(written):
    search, folder = written
    with rasterio.open(folder / "utilisation_classes.tif") as raster:
        classes, colours = raster.read(1), raster.colormap(1)
        assert raster.nodata == 0
    np.testing.assert_array_equal(classes, classes_of(search.whole.used, search.whole.fate))
    assert {value: colours[value][:3] for value in range(1, 10)} == {c.value: c.colour for c in CLASSES}
    assert set(np.unique(classes)) == {0, 1, 2, 3, 4, 7, 8, 9} | ({5} if search.result.job.options.mode == FULL else {6})


def test_a_limit_reached_exactly_is_inside_its_class():
    used = np.array([0.0, 0.5, np.nextafter(0.5, 1), 0.75, 0.9, 1.0, np.nextafter(1.0, 2), 10.0])
    assert classes_of(used, np.zeros(8, np.uint8)).tolist() == [1, 1, 2, 2, 3, 4, 5, 5]
    none = np.full(len(FATES), np.nan)
    assert classes_of(none, np.arange(len(FATES), dtype=np.uint8)).tolist() == [0, 8, 7, 7, 7, 7, 6, *[9] * len(IN_THE_LIFT), 6]
    assert set(OF_FATE) == set(FATES)


def test_what_is_over_a_limit_is_never_rounded_down_to_it():
    used = np.array([1.0, np.nextafter(1.0, 2.0), 1.0 + 1e-9, 0.9999999999, np.nan])
    small = at_most_as_float32(used)
    assert small.dtype == np.float32
    assert (small > 1.0).tolist() == [False, True, True, False, False]
    assert np.isnan(small[-1]) and small[0] == 1.0


def test_azimuths_between_whole_degrees_are_rounded_and_said_to_be(tmp_path):
    search = made(FULL)
    azimuths = tuple(7.5 * k for k in range(48))
    whole = replace(search.whole, azimuth=np.where(search.whole.azimuth < 0, -1, search.whole.azimuth % 48).astype(np.int16))
    search = replace(search, result=replace(search.result, azimuths_deg=azimuths), whole=whole)
    write_rasters(search.result, search.load, tmp_path, lambda tile, found: None)
    with rasterio.open(tmp_path / "azimuth.tif") as raster:
        found = raster.read(1)
        assert raster.tags()["UNITS"].endswith("rounded to whole degrees (even ones at the half)")
    exact = np.where(whole.azimuth < 0, -1, np.array(azimuths)[whole.azimuth])
    assert np.abs(found - exact).max() == 0.5 and found.max() < 360


def test_the_same_search_gives_the_same_bytes(written, tmp_path):
    search, folder = written
    write_rasters(search.result, search.load, tmp_path, lambda tile, found: None)
    assert {n: (tmp_path / n).read_bytes() for n in NAMES} == {n: (folder / n).read_bytes() for n in NAMES}


@pytest.mark.parametrize("most", [7, 25, 1500])
@pytest.mark.parametrize("cut", [13, 40, 90])
def test_a_point_of_the_overview_shows_its_best_cell_however_the_tiles_are_cut(monkeypatch, most, cut):
    monkeypatch.setattr("siting.writers.search.overview.MOST_POINTS", most)
    search = made()
    overview, whole = Overview(search.result.grid), search.whole
    for row in range(0, ROWS, cut):
        for col in range(0, COLS, cut):
            tile = Tile("t", row, col, min(cut, ROWS - row), min(cut, COLS - col))
            overview.add(tile, search.load(tile))
    step = overview.step
    used, fate = np.full((-(-ROWS // step), -(-COLS // step)), np.inf), np.zeros((-(-ROWS // step), -(-COLS // step)), np.uint8)
    for i in range(ROWS):
        for j in range(COLS):
            at = (i // step, j // step)
            if not fails_in_lift(whole.fate[i, j]):
                used[at] = np.fmin(used[at], whole.used[i, j])
            fate[at] = max(fate[at], whole.fate[i, j])
    np.testing.assert_array_equal(overview.classes(), classes_of(np.where(np.isinf(used), np.nan, used), fate))
