"""Reads a DEM: its header, and the one window of heights that a plan needs."""

from __future__ import annotations

import logging
import re
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import rasterio
from pyproj import CRS
from rasterio.errors import NotGeoreferencedWarning, RasterioError, RasterioIOError
from rasterio.windows import Window

from siting.errors import InputError
from siting.records.ground import DemHeader, Grid
from siting.records.site import DemSource
from siting.units import UNIT_NAMES, VERTICAL_UNITS_M

logging.getLogger("rasterio").addHandler(logging.NullHandler())
logging.getLogger("rasterio").propagate = False

# Names of height units as rasters carry them.
UNIT_WORDS = {
    "m": ("m", "metre", "metres", "meter", "meters", "mt"),
    "ft": ("ft", "foot", "feet", "international foot", "international feet", "foot (international)", "ft_i"),
    "us-ft": (
        "us-ft", "us_ft", "usft", "ftus", "us survey foot", "us survey feet", "u.s. survey foot", "us_survey_foot",
        "foot_us", "us foot", "survey foot", "survey feet", "usfoot", "sft", "foot (us survey)",
    ),
}  # fmt: skip
# Ground lies between these; the sea floor is deeper, but no mast stands there. What is outside is no height.
LOWEST_GROUND_M, HIGHEST_GROUND_M = -500.0, 9000.0
# A window is read by strips of so much of the file, and GDAL keeps so much of it decoded: left alone it takes a twentieth of
# the machine's memory, and a file of whole rows fills it. GDAL reads a strip twice, once for its mask.
STRIP_BYTES, DECODED_BYTES = 4 * 2**20, 8 * 2**20


@contextmanager
def _opened(source: DemSource):
    """The open raster, with GDAL's own errors turned into plain ones."""
    where = source.shown_path
    if not source.path.exists() and "://" not in str(source.path) and not str(source.path).startswith("/vsi"):
        raise InputError.of("dem_missing", where, "no such file", "check [dem] path: it is relative to the site file")
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", NotGeoreferencedWarning)
            with rasterio.Env(GDAL_CACHEMAX=DECODED_BYTES), rasterio.open(source.path) as raster:
                yield raster
    except RasterioIOError as fault:
        raise InputError.of(
            "dem_unreadable", where, f"cannot be read as a raster ({_first_line(fault)})", "give a whole, intact DEM file"
        ) from None
    except RasterioError as fault:
        raise InputError.of(
            "dem_unreadable", where, f"cannot be read ({_first_line(fault)})", "give a whole, intact DEM file"
        ) from None


def _first_line(fault: Exception) -> str:
    """The fault's first line without the machine's folders."""
    line = (str(fault).strip().splitlines() or [type(fault).__name__])[0]
    return re.sub(r"(/[^\s':,]+)+/", "", line)


def read_header(source: DemSource) -> DemHeader:
    """The DEM's size, place, units; no height is read.

    Raises:
        InputError: missing, broken, without a coordinate system or georeference, or not one band of heights.
    """
    with _opened(source) as raster:
        where = source.shown_path
        band = source.band or 1
        if source.band is None and raster.count != 1:
            raise InputError.of(
                "dem_bands", where, f"holds {raster.count} bands, and a DEM is one band of heights",
                "name the band of heights under [dem] band, or give a DEM",
            )  # fmt: skip
        if band > raster.count:
            raise InputError.of("dem_bands", where, f"has no band {band}, only {raster.count}", "correct [dem] band")
        if raster.crs is None:
            raise InputError.of(
                "dem_no_crs", where, "carries no coordinate system, so nobody knows where it lies",
                "write its system into the file (for example with gdal_edit -a_srs) or export the DEM again",
            )  # fmt: skip
        affine = raster.transform
        if affine.is_identity or affine.is_degenerate:
            raise InputError.of(
                "dem_no_place", where, "carries no georeference (its cells have no place on the ground)",
                "export the DEM again with its georeference",
            )  # fmt: skip
        if np.dtype(raster.dtypes[band - 1]).kind == "c":
            raise InputError.of("dem_bands", where, "holds complex numbers, not heights", "give a DEM")
        crs = CRS.from_user_input(raster.crs)
        if not (crs.is_projected or crs.is_geographic):
            raise InputError.of(
                "dem_no_crs", where, f"its coordinate system '{crs.name}' is tied to no place on the earth",
                "export the DEM in a projected or geographic system",
            )  # fmt: skip
        unit, unit_source, is_stated = _height_unit(raster.units[band - 1], crs, source)
        return DemHeader(
            shown_path=where,
            rows=raster.height,
            cols=raster.width,
            affine=tuple(affine)[:6],
            crs_wkt=crs.to_wkt(),
            crs_name=crs.name,
            unit=unit,
            unit_source=unit_source,
            unit_is_stated=is_stated,
            vertical_datum=source.vertical_datum or _vertical_name(crs),
            band=band,
        )


def _height_unit(band_unit: str | None, crs: CRS, source: DemSource) -> tuple[str, str, bool]:
    """Unit of the heights, where it is stated, and whether it is stated at all."""
    if source.vertical_unit:
        return source.vertical_unit, "stated by the user", True
    if band_unit:
        wanted = band_unit.strip().lower()
        for unit, names in UNIT_WORDS.items():
            if wanted in names:
                return unit, "stated in the file's band", True
        raise InputError.of(
            "dem_unit", source.shown_path, f"states its heights in '{band_unit}', which is none of m, ft, us-ft",
            'write [dem] vertical_unit = "m", "ft" or "us-ft"',
        )  # fmt: skip
    axes = crs.axis_info
    if len(axes) == 3:
        for unit, factor in VERTICAL_UNITS_M.items():
            if abs(axes[2].unit_conversion_factor / factor - 1.0) < 1e-9:
                return unit, "stated by the file's vertical coordinate system", True
    return "m", "not stated anywhere: taken as metres", False


def _vertical_name(crs: CRS) -> str:
    """Name of the vertical datum, empty where the file names none."""
    for part in crs.sub_crs_list:
        if part.is_vertical:
            return part.name
    return "ellipsoid" if len(crs.axis_info) == 3 and not crs.is_compound else ""


def read_window(
    source: DemSource, header: DemHeader, box_px: tuple[float, float, float, float]
) -> tuple[Grid, tuple[str, ...]]:
    """Heights in metres of the cells inside a pixel box (left, top, right, bottom), NaN for no data or outside.

    Only that window is read. Returns the grid and notes on cells that were taken as no data.

    Raises:
        InputError: the raster cannot be read there.
    """
    left, top = int(np.floor(box_px[0])), int(np.floor(box_px[1]))
    right, bottom = int(np.ceil(box_px[2])), int(np.ceil(box_px[3]))
    heights = np.empty((bottom - top, right - left))
    notes = fill_window(source, header, (top, left), heights)
    heights.setflags(write=False)
    return Grid(heights, top, left), notes


def fill_window(source: DemSource, header: DemHeader, corner: tuple[int, int], heights: np.ndarray) -> tuple[str, ...]:
    """Fills an array with the heights in metres of a window, NaN for no data or outside; the notes of `read_window`.

    A strip of rows at a time: beside the array itself only a strip stands in memory.

    Args:
        corner: row and column of the window's first cell in the DEM; either may be negative.
        heights: (rows, cols) float64 of the window's cells.
    Raises:
        InputError: the raster cannot be read there.
    """
    (top, left), (rows, cols) = corner, heights.shape
    c0, r0 = max(left, 0), max(top, 0)
    c1, r1 = min(left + cols, header.cols), min(top + rows, header.rows)
    if (c0, r0, c1, r1) != (left, top, left + cols, top + rows):
        heights.fill(np.nan)
    doubts = _Doubts()
    if c1 > c0 and r1 > r0:
        with _opened(source) as raster:
            for first, last in _strips(raster, header.band, (r0, r1), (c0, c1)):
                part = heights[first - top : last - top, c0 - left : c1 - left]
                _read_strip(raster, header, Window(c0, first, c1 - c0, last - first), part, doubts)
    return doubts.notes()


def _strips(raster: Any, band: int, rows: tuple[int, int], cols: tuple[int, int]) -> Iterator[tuple[int, int]]:
    """Rows cut where the file's own blocks begin, so that what is decoded for a strip stays small."""
    block_rows, block_cols = raster.block_shapes[band - 1]
    across = (-(-cols[1] // block_cols) - cols[0] // block_cols) * block_cols
    step = max(1, STRIP_BYTES // (across * np.dtype(raster.dtypes[band - 1]).itemsize * block_rows)) * block_rows
    at = rows[0]
    while at < rows[1]:
        end = min(rows[1], (at // step + 1) * step)
        yield at, end
        at = end


def _read_strip(raster: Any, header: DemHeader, window: Window, heights: np.ndarray, doubts: _Doubts) -> None:
    """Fills `heights` (metres) with a window that lies inside the DEM."""
    block = raster.read(header.band, window=window, masked=True)
    np.add(block.data, 0.0, out=heights, dtype=np.float64)  # a negative zero becomes one
    if block.mask is not np.ma.nomask:
        heights[block.mask] = np.nan
    if raster.nodatavals[header.band - 1] is None:
        for number in _usual_numbers(block.dtype):
            doubts.drop(heights, heights == number, number)
    gain, offset, unit_m = raster.scales[header.band - 1], raster.offsets[header.band - 1], VERTICAL_UNITS_M[header.unit]
    if (gain, offset, unit_m) != (1.0, 0.0, 1.0):
        heights *= gain
        heights += offset
        heights *= unit_m
    wild = heights < LOWEST_GROUND_M
    wild |= heights > HIGHEST_GROUND_M
    doubts.drop(heights, wild, None)


def _usual_numbers(dtype: np.dtype) -> list[float]:
    """The usual no-data numbers, looked for where the file declares none."""
    return [-9999.0, -99999.0] + ([float(np.iinfo(dtype).min)] if dtype.kind == "i" else [])


@dataclass(slots=True)
class _Doubts:
    """Cells that were taken as no data: how many of each usual number, and of impossible heights, with the first of these."""

    usual: dict[float, int] = field(default_factory=dict)
    wild: int = 0
    example_m: float = 0.0

    def drop(self, heights: np.ndarray, found: np.ndarray, number: float | None) -> None:
        """Makes the found cells NaN and counts them; None: they hold no possible height."""
        count = int(np.count_nonzero(found))
        if not count:
            return
        if number is not None:
            self.usual[number] = self.usual.get(number, 0) + count
        else:
            self.example_m = self.example_m if self.wild else float(heights[found][0])
            self.wild += count
        heights[found] = np.nan

    def notes(self) -> tuple[str, ...]:
        """What is said of them."""
        said = [
            f"{count} cells near the base hold {number:.0f} though the file declares no such value: taken as no data"
            for number, count in sorted(self.usual.items(), reverse=True)
        ]
        if self.wild:
            said.append(f"{self.wild} cells near the base hold no possible height (such as {self.example_m:.0f} m): taken as no data")
        return tuple(said)


def unit_text(header: DemHeader) -> str:
    """The unit of the heights in words, and where it is stated; no unit of its own."""
    return f"{UNIT_NAMES[header.unit]}, {header.unit_source}"
