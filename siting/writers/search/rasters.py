"""Writes the rasters of a search as Cloud Optimized GeoTIFFs, tile by tile: no raster stands in the memory as a whole."""

from __future__ import annotations

import math
from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import numpy as np

from siting.freed_memory import give_back
from siting.records.search import FULL, NO_AZIMUTH, SearchResult, Tile, TileResult, fails_in_lift
from siting.writers.search.classes import CLASSES, OUTSIDE, class_words, tile_classes

UTILISATION, AZIMUTH, CLASSES_FILE = "utilisation.tif", "azimuth.tif", "utilisation_classes.tif"
BLOCK = 512
CACHE_BYTES = 2**20
Load = Callable[[Tile], TileResult]


def write_rasters(result: SearchResult, load: Load, folder: Path, seen: Callable[[Tile, TileResult], None]) -> tuple[str, ...]:
    """Writes the three rasters into the folder and returns their names, in order; no unit.

    Args:
        load: reads a tile's result.
        seen: is shown every tile, so that each is read only once.
    """
    import rasterio
    import rasterio.shutil

    layers = _layers(result)
    with rasterio.Env(GDAL_CACHEMAX=CACHE_BYTES, GDAL_TIFF_INTERNAL_MASK=False):
        rough = {name: folder / f".{name}" for name in layers}
        with ExitStack() as opened:
            rasters = {n: opened.enter_context(rasterio.open(rough[n], "w", **_profile(result, *layers[n][:2]))) for n in layers}
            for name, raster in rasters.items():
                _describe(raster, name, layers[name][2])
            for tile in result.tiles:
                found = load(tile)
                seen(tile, found)
                window = rasterio.windows.Window(tile.col, tile.row, tile.cols, tile.rows)
                for name, raster in rasters.items():
                    raster.write(layers[name][3](found), 1, window=window)
        for name in layers:
            settings = {"compress": "deflate", "predictor": "standard" if name == CLASSES_FILE else "yes", "blocksize": BLOCK}
            give_back()
            rasterio.shutil.copy(rough[name], folder / name, driver="COG", overview_resampling="nearest", level=6, **settings)
            rough[name].unlink()
    return tuple(layers)


def _layers(result: SearchResult) -> dict[str, tuple[str, float, dict[str, str], Callable[[TileResult], np.ndarray]]]:
    """Of each raster: type, no-data value, tags, and what is written of a tile."""
    degrees = np.array([round(a) % 360 for a in result.azimuths_deg], dtype=np.int16)

    def azimuth(found: TileResult) -> np.ndarray:
        none = (found.azimuth == NO_AZIMUTH) | _is_no(result, found)
        return np.where(none, NO_AZIMUTH, degrees[found.azimuth]).astype(np.int16)

    shared = _shared_tags(result)
    rounded = "" if all(a == round(a) for a in result.azimuths_deg) else ", rounded to whole degrees (even ones at the half)"
    return {
        UTILISATION: ("float32", math.nan, shared | {"MEANING": _used_words(result), "UNITS": "ratio: 1.0 is at a limit, less is better"},
                      lambda found: at_most_as_float32(_used(result, found))),
        AZIMUTH: ("int16", NO_AZIMUTH, shared | {
            "MEANING": "laydown azimuth of the best azimuth, from the base to where the mast head lies before the lift; -1 where there is none",
            "UNITS": f"degrees clockwise from true north{rounded}"}, azimuth),
        CLASSES_FILE: ("uint8", OUTSIDE, shared | {"MEANING": class_words(), "UNITS": "class, see MEANING"}, tile_classes),
    }  # fmt: skip


def at_most_as_float32(used: np.ndarray) -> np.ndarray:
    """Utilisations in single precision, no unit: none over 1.0 is rounded down to it, so that what fails never reads as passing."""
    small = used.astype(np.float32)
    return np.where((used > 1.0) & (small <= 1.0), np.nextafter(np.float32(1.0), np.float32(2.0)), small).astype(np.float32)


def _is_no(result: SearchResult, found: TileResult) -> np.ndarray:
    """Where mode passing says no though an azimuth passes on the ground: in the lift or on the base it fails."""
    return fails_in_lift(found.fate) & (result.job.options.mode != FULL)


def _used(result: SearchResult, found: TileResult) -> np.ndarray:
    """A tile's utilisations as the raster has them."""
    return np.where(_is_no(result, found), np.nan, found.used)


def _used_words(result: SearchResult) -> str:
    """What a cell's number means."""
    where = "NaN where it cannot stand" if result.job.options.mode == FULL else "NaN where none passes, or where it fails in the lift or on the base"
    what = "largest utilisation of the checks of ground, layout and land with the mast's base in this cell, in its best azimuth"
    return f"{what}; {where}. Lift and base are judged pass or fail: see {CLASSES_FILE}"


def _shared_tags(result: SearchResult) -> dict[str, str]:
    """What every raster of a search says of itself."""
    mast, options = result.job.site.mast, result.job.options
    return {
        "TIFFTAG_SOFTWARE": f"siting {result.version}",
        "TIFFTAG_IMAGEDESCRIPTION": f"{result.job.name}: screening of every cell as a mast's base. Not a survey, no permission to lift.",
        "RUN_ID": result.run_id,
        "MAST": mast.name,
        "MAST_HEIGHT_M": f"{mast.height_m:g}",
        "MODE": options.mode,
        "AZIMUTH_STEP_DEG": f"{options.azimuth_step_deg:g}",
    }


def _profile(result: SearchResult, dtype: str, nodata: float) -> dict[str, Any]:
    """How a rough raster is opened: tiled, on the DEM's own grid."""
    from affine import Affine

    grid = result.grid
    return {
        "driver": "GTiff", "width": grid.cols, "height": grid.rows, "count": 1, "dtype": dtype, "nodata": nodata,
        "crs": grid.crs_wkt, "transform": Affine(*grid.affine), "tiled": True, "blockxsize": BLOCK, "blockysize": BLOCK,
        "compress": "deflate", "zlevel": 1, "bigtiff": "if_safer",
    }  # fmt: skip


def _describe(raster: Any, name: str, tags: dict[str, str]) -> None:
    """Tags, band name and, where it has classes, the colours."""
    raster.update_tags(**tags)
    raster.set_band_description(1, name.removesuffix(".tif").replace("_", " "))
    if name == CLASSES_FILE:
        raster.write_colormap(1, {OUTSIDE: (255, 255, 255, 0)} | {c.value: (*c.colour, 255) for c in CLASSES})
        return
    raster.set_band_unit(1, "degrees" if name == AZIMUTH else "ratio")
    legend = {f"LEGEND_{c.value}": f"{c.words}: rgb{c.colour}" for c in CLASSES if c.at_most is not None}
    raster.update_tags(1, **({} if name == AZIMUTH else legend))
