"""Searches made by hand for the tests: jobs on any DEM, whole searches tile by tile, and the plan's own numpy as brute force."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import rasterio

from benchmarks.terrains import hills
from siting.checks.columns import Column
from siting.checks.ground import LAYDOWN_SLOPE, anchor_columns, laydown_columns, lift_columns
from siting.inputs.site_file import read_site
from siting.kernels.heights import PARTS, bilinear_at
from siting.laydown.profile import Profiles
from siting.laydown.rest import lay_mast
from siting.layout.anchors import AnchorGround
from siting.lift.geometry import least_arms_m, side_guy_travels
from siting.records.search import PASSING, SearchJob, SearchOptions, Tile, TileResult
from siting.records.site import BasePoint, LandSource
from siting.search import tile_work
from siting.search.opening import SearchContext, open_search

DEMO = Path(__file__).parents[2] / "sample_dem"
NOWHERE = BasePoint(float("nan"), float("nan"), "")
__all__ = ["brute_force", "hills", "job", "same_bytes", "search_of", "whole", "write_dem"]
_NUMBER = iter(range(10**9))


def job(dem: Path | None = None, mode: str = PASSING, step_deg: float = 5.0, land: bool = False, **options) -> SearchJob:
    """The demo's mast and limits on a DEM, with or without the demo's land."""
    site = read_site(DEMO / "site.toml")
    site = replace(site, base=NOWHERE, land=site.land if land else LandSource())
    if dem is not None:
        site = replace(site, dem=replace(site.dem, path=Path(dem), shown_path=Path(dem).name, vertical_unit=None))
    wanted = {"spots": 5, "apart_m": 100.0} | options
    return SearchJob("test search", "area.toml", DEMO, {}, site, SearchOptions(None, "", step_deg, wanted["spots"], wanted["apart_m"], mode))


def write_dem(path: Path, heights: np.ndarray, cell_m: float = 1.0, epsg: int = 32612, nodata: float = -9999.0, **profile) -> Path:
    """A GeoTIFF of heights, NaN written as no data."""
    place = rasterio.transform.from_origin(590_000.0, 5_210_000.0, cell_m, cell_m) if epsg != 4326 else rasterio.transform.from_origin(-109.8, 47.05, cell_m, cell_m)
    settings = {"driver": "GTiff", "width": heights.shape[1], "height": heights.shape[0], "count": 1, "dtype": "float64", "nodata": nodata}
    with rasterio.open(path, "w", crs=f"EPSG:{epsg}", transform=place, **(settings | profile)) as raster:
        raster.write(np.where(np.isnan(heights), nodata, heights), 1)
    return path


def search_of(job: SearchJob) -> tuple[SearchContext, tile_work.Opened]:
    """A fresh context and what a process holds open of it."""
    context = open_search(job, f"test {next(_NUMBER)}")
    return context, tile_work.opened(context)


def whole(job: SearchJob, size: tuple[int, int] | int) -> tuple[SearchContext, TileResult]:
    """A whole search in tiles of a size, put together."""
    context, _ = search_of(job)
    size = (size, size) if isinstance(size, int) else size
    rows, cols = context.grid.rows, context.grid.cols
    bands, samples, losts = [], [], []
    for row in range(0, rows, size[0]):
        band = [
            tile_work.work_tile(context, Tile("t", row, col, min(size[0], rows - row), min(size[1], cols - col)))
            for col in range(0, cols, size[1])
        ]
        bands.append([np.hstack([getattr(r, name) for r in band]) for name in ("used", "azimuth", "fate")])
        samples += [r.sample for r in band]
        losts += [r.lost for r in band]
    used, azimuth, fate = (np.vstack([b[i] for b in bands]) for i in range(3))
    sample, lost = np.concatenate(samples), np.concatenate(losts)
    order = np.lexsort((sample[:, 1], sample[:, 0]))
    return context, TileResult(used, azimuth, fate, sample[order], lost[order])


def same_bytes(one: TileResult, other: TileResult) -> bool:
    return all(getattr(one, n).tobytes() == getattr(other, n).tobytes() for n in ("used", "azimuth", "fate", "sample", "lost"))


def brute_force(search: tile_work.Opened, patch: tuple[int, int], window: tile_work.Window, cells: np.ndarray) -> np.ndarray:
    """(m, K): worst utilisation of every azimuth of some cells by the plan's own numpy, NaN without ground.

    Args:
        cells: (m, 2) rows and columns in the window.
    """
    job = search.context.job
    mast, limits = job.site.mast, job.site.limits
    tables = search.patches.tables(*patch, tile_work._patch_height_m(search, patch))
    heights, slopes = window.square(window.heights), window.square(window.slopes)
    row, col = cells[:, 0] * PARTS, cells[:, 1] * PARTS
    found = np.full((cells.shape[0], tables.azimuths_deg.size), np.nan)
    base = heights[cells[:, 0], cells[:, 1]]
    for k in range(tables.azimuths_deg.size):
        ground = bilinear_at(heights, tables.samples.cols[:, k][:, None] + col, tables.samples.rows[:, k][:, None] + row)
        at_col, at_row = tables.anchors.cols[k] + col[:, None], tables.anchors.rows[k] + row[:, None]
        anchor_m = bilinear_at(heights, at_col, at_row)
        half = PARTS // 2
        slope = slopes[(at_row + half) // PARTS, (at_col + half) // PARTS]
        known = np.isfinite(ground).all(axis=0) & np.isfinite(slope).all(axis=1)
        if known.any():
            found[known, k] = _worst(job.site, mast, limits, tables.s_m, ground[:, known], anchor_m[known], slope[known], base[known])
    return found


def _worst(site, mast, limits, s_m, ground, anchor_m, slope, base) -> np.ndarray:
    """The worst utilisation of one azimuth at many bases, by the plan's columns."""
    hinge = base + mast.hinge_height_m
    rest = lay_mast(Profiles(s_m, ground), hinge)
    columns: list[Column] = [
        *laydown_columns(rest, limits),
        *anchor_columns(AnchorGround(mast.anchors, None, anchor_m, slope, slope), limits),
        *lift_columns(
            mast, side_guy_travels(mast, anchor_m, hinge, rest.rest_slope), least_arms_m(mast, anchor_m, hinge, rest.rest_slope),
            lambda k: 0.0, limits,
        ),
    ]  # fmt: skip
    worst = np.full(base.size, -np.inf)
    for column in columns:
        used = column.utilisation
        if column.kind == LAYDOWN_SLOPE:
            used = np.where(column.verdicts == 2, used, -np.inf)
        worst = np.maximum(worst, used)
    return worst
