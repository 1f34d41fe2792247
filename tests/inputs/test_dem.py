"""What is read of a DEM: units and where they are stated, missing data declared or not, scale, bands, the window."""

from __future__ import annotations

import re
import subprocess
import sys

import numpy as np
import pytest
import rasterio
import rasterio.shutil
from pyproj import CRS
from strategies import LAT, LON, local_crs, turned_affine

from siting.inputs.dem import UNIT_WORDS, read_header, read_window, unit_text
from siting.records.site import DemSource

FOOT, SURVEY_FOOT = 0.3048, 1200.0 / 3937.0
HEIGHTS = np.add.outer(np.arange(8.0), 10.0 * np.arange(10.0)) + 500.0
WHOLE = (0.0, 0.0, 10.0, 8.0)


def write(path, heights=HEIGHTS, *, dtype="float64", crs=None, unit="", nodata=None, scale=None, offset=None, bands=1):
    rows, cols = heights.shape
    system = crs or local_crs(LAT, LON)
    with rasterio.open(
        path, "w", driver="GTiff", width=cols, height=rows, count=bands, dtype=dtype, nodata=nodata,
        crs=system.to_wkt() if isinstance(system, CRS) else system, transform=turned_affine(8, 2.0, 0.0),
    ) as dem:  # fmt: skip
        for band in range(1, bands + 1):
            dem.write((heights + 1000.0 * (band - 1)).astype(dtype), band)
        dem.units = (unit,) * bands
        if scale is not None:
            dem.scales, dem.offsets = (scale,) * bands, (offset,) * bands
    return path


def read(path, box=WHOLE, **source):
    wanted = DemSource(path, path.name, **source)
    header = read_header(wanted)
    return header, *read_window(wanted, header, box)


@pytest.mark.parametrize(
    ("word", "metres"),
    [
        ("", 1.0), ("m", 1.0), ("Metre", 1.0), ("meters", 1.0), ("ft", FOOT), ("feet", FOOT), ("International Foot", FOOT),
        ("US survey foot", SURVEY_FOOT), ("us-ft", SURVEY_FOOT), ("ftUS", SURVEY_FOOT), (" foot_us ", SURVEY_FOOT),
    ],
)  # fmt: skip
def test_the_unit_of_the_band_is_believed(tmp_path, word, metres):
    header, grid, notes = read(write(tmp_path / "dem.tif", unit=word))
    assert grid.heights_m == pytest.approx(HEIGHTS * metres, rel=1e-12)
    assert header.unit_is_stated == bool(word)
    assert notes == ()


def test_no_word_stands_for_two_units():
    words = [word for names in UNIT_WORDS.values() for word in names]
    assert len(words) == len(set(words)) > 25
    assert all(word == word.lower().strip() for word in words)


def test_the_users_word_comes_before_the_files(tmp_path):
    header, grid, _ = read(write(tmp_path / "dem.tif", unit="ft"), vertical_unit="m")
    assert grid.heights_m[0, 0] == 500.0
    assert unit_text(header) == "metres, stated by the user"
    header, grid, _ = read(write(tmp_path / "feet.tif"), vertical_unit="us-ft")
    assert grid.heights_m[0, 0] == pytest.approx(500.0 * SURVEY_FOOT)
    assert unit_text(header) == "US survey feet (1200/3937 m), stated by the user"


@pytest.mark.parametrize(
    ("code", "metres", "datum"),
    [("EPSG:26913+5703", 1.0, "NAVD88 height"), ("EPSG:26913+8228", FOOT, "NAVD88 height (ft)"), ("EPSG:26913+6360", SURVEY_FOOT, "NAVD88 height (ftUS)")],
)  # fmt: skip
def test_a_compound_system_states_unit_and_datum(tmp_path, code, metres, datum):
    header, grid, _ = read(write(tmp_path / "dem.tif", crs=CRS(code)))
    assert grid.heights_m[0, 0] == pytest.approx(500.0 * metres)
    assert (header.vertical_datum, header.unit_is_stated) == (datum, True)
    # A raster that says nothing in its band is asked for its system: the band's own word is taken out here.
    rasterio.shutil.copy(tmp_path / "dem.tif", tmp_path / "dem.vrt", driver="VRT")
    text = (tmp_path / "dem.vrt").read_text()
    (tmp_path / "dem.vrt").write_text(re.sub(r"<UnitType>.*?</UnitType>", "", text))
    header, grid, _ = read(tmp_path / "dem.vrt")
    assert grid.heights_m[0, 0] == pytest.approx(500.0 * metres)
    assert unit_text(header).endswith("stated by the file's vertical coordinate system")


def test_without_any_word_metres_are_taken_and_said(tmp_path):
    header, _, _ = read(write(tmp_path / "dem.tif"))
    assert (unit_text(header), header.vertical_datum) == ("metres, not stated anywhere: taken as metres", "")
    header, _, _ = read(tmp_path / "dem.tif", vertical_datum="EGM2008")
    assert header.vertical_datum == "EGM2008"


def test_declared_missing_data_is_missing(tmp_path):
    heights = HEIGHTS.copy()
    heights[3, 4] = -32768
    _, grid, notes = read(write(tmp_path / "dem.tif", heights, dtype="int16", nodata=-32768))
    assert np.isnan(grid.heights_m[3, 4]) and np.isnan(grid.heights_m).sum() == 1
    assert notes == ()


@pytest.mark.parametrize(
    ("number", "dtype"), [(-9999.0, "float32"), (-99999.0, "float64"), (-32768.0, "int16"), (-9999.0, "int16")]
)
def test_the_usual_numbers_are_missing_data_also_undeclared(tmp_path, number, dtype):
    heights = HEIGHTS.copy()
    heights[2:4, 5] = number
    _, grid, notes = read(write(tmp_path / "dem.tif", heights, dtype=dtype))
    assert np.isnan(grid.heights_m[2:4, 5]).all() and np.isnan(grid.heights_m).sum() == 2
    assert notes == (f"2 cells near the base hold {number:.0f} though the file declares no such value: taken as no data",)


@pytest.mark.parametrize("wild", [3.4028235e38, -3.4028235e38, 9001.0, -501.0, np.inf])
def test_what_cannot_be_a_height_is_none(tmp_path, wild):
    heights = HEIGHTS.copy()
    heights[0, 0] = wild
    _, grid, notes = read(write(tmp_path / "dem.tif", heights))
    assert np.isnan(grid.heights_m[0, 0]) and np.isnan(grid.heights_m).sum() == 1
    assert len(notes) == 1 and notes[0].startswith("1 cells near the base hold no possible height (such as ")
    assert notes[0].endswith(" m): taken as no data")


def test_a_number_that_is_not_one_is_missing(tmp_path):
    heights = HEIGHTS.copy()
    heights[1, 1] = np.nan
    assert np.isnan(read(write(tmp_path / "dem.tif", heights))[1].heights_m).sum() == 1


def test_scale_and_offset_of_a_band_mean_heights(tmp_path):
    raw = (HEIGHTS - 100.0) * 10.0
    _, grid, _ = read(write(tmp_path / "dem.tif", raw, dtype="int16", scale=0.1, offset=100.0, unit="ft"))
    assert grid.heights_m == pytest.approx(HEIGHTS * FOOT, abs=1e-9)


def test_the_band_that_the_user_names(tmp_path):
    header, grid, _ = read(write(tmp_path / "dem.tif", bands=3), band=2)
    assert (header.band, grid.heights_m[0, 0]) == (2, 1500.0)


def test_a_window_holds_whole_cells_and_nothing_beyond_the_dem(tmp_path):
    path = write(tmp_path / "dem.tif")
    _, grid, _ = read(path, (2.4, 1.2, 4.5, 3.0))
    assert (grid.row0, grid.col0, grid.heights_m.shape) == (1, 2, (2, 3))
    assert grid.heights_m.tolist() == HEIGHTS[1:3, 2:5].tolist()
    _, grid, _ = read(path, (-2.0, -1.0, 3.0, 2.0))
    assert (grid.row0, grid.col0, grid.heights_m.shape) == (-1, -2, (3, 5))
    assert np.isnan(grid.heights_m[0]).all() and np.isnan(grid.heights_m[:, :2]).all()
    assert grid.heights_m[1:, 2:].tolist() == HEIGHTS[:2, :3].tolist()
    _, grid, _ = read(path, (20.0, 20.0, 25.0, 25.0))
    assert np.isnan(grid.heights_m).all()


@pytest.mark.parametrize(("block", "strip_bytes"), [((1, 10), 1), ((3, 10), 1), ((16, 16), 1), ((1, 10), 200), ((1, 10), 2**20)])
@pytest.mark.parametrize("box", [(0.0, 0.0, 10.0, 8.0), (2.0, 1.0, 9.0, 7.0), (-3.0, -2.0, 14.0, 11.0)])
def test_a_window_read_by_strips_is_the_window(tmp_path, monkeypatch, block, strip_bytes, box):
    heights = HEIGHTS.copy()
    heights[2, 3], heights[6, 8], heights[1, 2], heights[7, 7] = -9999.0, -9999.0, 12_000.0, 20_000.0
    path, (rows, cols) = tmp_path / "dem.tif", block
    with rasterio.open(write(tmp_path / "plain.tif", heights)) as plain:
        shape = {"tiled": True, "blockxsize": cols, "blockysize": rows} if rows == 16 else {"tiled": False, "blockysize": rows}
        with rasterio.open(path, "w", **(plain.profile | shape)) as dem:
            dem.write(heights, 1)
            assert dem.block_shapes == [block]
    monkeypatch.setattr("siting.inputs.dem.STRIP_BYTES", strip_bytes)
    _, grid, notes = read(path, box)
    wanted = np.pad(np.where((heights > 9000.0) | (heights < -500.0), np.nan, heights), 5, constant_values=np.nan)
    left, top, right, bottom = (int(v) + 5 for v in box)
    np.testing.assert_array_equal(grid.heights_m, wanted[top:bottom, left:right])
    inside = box[2] > 9.0
    assert [note.split(" cells")[0] for note in notes] == ["2", "2" if inside else "1"]
    assert "(such as 12000 m)" in notes[1]


# Reads a window out of a file of whole rows, each 30,000 cells long, and says by how much that lifted the peak.
WIDE = """
import sys
from pathlib import Path
from siting.inputs.dem import read_header, read_window
from siting.records.site import DemSource

def peak_mb():
    return next(int(line.split()[1]) / 1024 for line in open("/proc/self/status") if line.startswith("VmHWM"))

source = DemSource(Path(sys.argv[1]), "wide.tif")
header = read_header(source)
read_window(source, header, (15_000, 0, 15_010, 10))
before = peak_mb()
read_window(source, header, (15_000, 0, 16_000, 1000))
print(peak_mb() - before)
"""


@pytest.mark.skipif(sys.platform != "linux", reason="the peak is read from /proc")
def test_a_window_of_a_file_of_long_rows_takes_little_memory(tmp_path):
    path = tmp_path / "wide.tif"
    with rasterio.open(
        path, "w", driver="GTiff", width=30_000, height=1000, count=1, dtype="float32", nodata=-9999.0, compress="deflate",
        crs="EPSG:32612", transform=rasterio.transform.from_origin(590_000.0, 5_210_000.0, 1.0, 1.0),
    ) as dem:  # fmt: skip
        row = np.linspace(500.0, 900.0, 30_000, dtype="float32")[None, :]
        for first in range(0, 1000, 100):
            dem.write(np.repeat(row, 100, axis=0), 1, window=((first, first + 100), (0, 30_000)))
    said = subprocess.run([sys.executable, "-c", WIDE, str(path)], capture_output=True, text=True, check=True).stdout
    assert float(said) < 45.0  # 8 MB of heights, 16 of what GDAL keeps decoded, a strip; all rows decoded are 120 MB


def test_a_grid_cannot_be_written_to(tmp_path):
    _, grid, _ = read(write(tmp_path / "dem.tif"))
    with pytest.raises(ValueError, match="read-only"):
        grid.heights_m[0, 0] = 1.0
