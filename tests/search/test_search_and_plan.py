"""The search against the plan: the plan's own sweep at the centres of random cells, azimuth by azimuth.

They share the tables' definition, but a search traces them once for a whole patch, at its middle and at one height. So a
stake may stand up to 2 cm elsewhere, which changes a number a little, and a verdict only where a value lies at its
limit or an anchor within 2 cm of the border of a cell.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from outside.open_data import open_file
from search.search_jobs import hills, job, search_of, write_dem

from siting.geodesy.dem_frame import cell_size_m, ground_scale
from siting.inputs.dem import read_window
from siting.kernels.heights import PARTS
from siting.layout.tables import layout_tables
from siting.screening.alone import score_azimuths
from siting.search import tile_work
from siting.sweep.azimuths import rays_for, sweep_azimuths
from siting.sweep.choose import rank_azimuths
from siting.terrain.surface import Surface

CELLS = 200
NEAR_BORDER_M = 0.02


@pytest.fixture(scope="module")
def dems(tmp_path_factory):
    folder = tmp_path_factory.mktemp("dems")
    return {
        "hills": write_dem(folder / "hills.tif", hills((1500, 600), 0.09, 5, forms=1.2)),
        "high": write_dem(folder / "high.tif", hills((500, 500), 0.09, 6, forms=1.2) + 2600.0, epsg=32645),
        "lidar": open_file("lidar"),
        "colorado": open_file("colorado"),
    }


@pytest.mark.parametrize("name", ["hills", "high", "lidar", "colorado"])
def test_a_plan_at_the_cell_says_the_same(dems, name):
    context, search = search_of(job(dems[name]))
    dice, grid, halo = np.random.default_rng(3), context.grid, search.patches.halo
    rows, cols = dice.integers(0, grid.rows, CELLS), dice.integers(0, grid.cols, CELLS)
    compared, ground_differs, flips, explained, worst = 0, 0, 0, 0, 0.0
    for row, col in zip(rows, cols, strict=True):
        screened = screen(search, int(row), int(col), halo)
        planned, sweep, cell_m, tables = plan(search, int(row), int(col))
        if planned is None:
            assert np.isnan(screened).all()
            continue
        both = np.isfinite(screened) & np.isfinite(planned)
        border = nearest_border_m(tables, cell_m) < NEAR_BORDER_M
        ground_differs += int((np.isfinite(screened) != np.isfinite(planned)).sum())
        flipped = both & ((screened <= 1.0) != (planned <= 1.0))
        at_limit = np.minimum(np.abs(screened - 1.0), np.abs(planned - 1.0)) < 2e-3
        flips += int(flipped.sum())
        explained += int((flipped & (border | at_limit)).sum())
        compared += int(both.sum())
        clear = both & ~border
        if clear.any():
            worst = max(worst, float(np.abs(screened - planned)[clear].max()))
    print(f"{name}: {compared} azimuths of {CELLS} cells, {flips} verdicts differ, {explained} of them explained; ground differs in {ground_differs}; most {worst:.5f}")
    assert compared > 3000
    assert flips == explained
    assert flips < 0.002 * compared
    assert ground_differs <= 0.001 * compared


def screen(search, row, col, halo) -> np.ndarray:
    """The search's utilisation of every azimuth of a cell."""
    size = 2 * halo + 1
    corner = search.context.grid.row0 + row - halo, search.context.grid.col0 + col - halo
    window = tile_work._read(search, corner, (size, size))
    patch = ((corner[0] + halo) // search.patches.size, (corner[1] + halo) // search.patches.size)
    stencil = tile_work._stencil(search, patch, tile_work._patch_height_m(search, patch), size)
    used = np.full(stencil.azimuth_count, np.nan)
    if np.isfinite(window.heights[halo * size + halo]):
        score_azimuths((window.heights, window.slopes, window.steps, window.steps), halo * size + halo, stencil, used)
    return used


def plan(search, row, col):
    """The plan's sweep with its base at the cell's centre: worst utilisation of every azimuth, NaN where it drops out."""
    context, mast, limits = search.context, search.context.job.site.mast, search.context.job.site.limits
    grid = context.grid
    lon, lat = search.patches.frame.lonlat(np.array(grid.col0 + col + 0.5), np.array(grid.row0 + row + 0.5))
    x = float(search.patches.frame.link.forward(lon, lat)[0])
    frame = replace(search.patches.frame, lat=float(lat), lon=float(lon), base_x=x)
    scale, halo = ground_scale(frame, mast.reach_m), search.patches.halo
    box = (grid.col0 + col - halo, grid.row0 + row - halo, grid.col0 + col + halo + 1, grid.row0 + row + halo + 1)
    heights, _ = read_window(context.job.site.dem, context.header, box)
    base_m = float(heights.heights_m[halo, halo])
    if not np.isfinite(base_m):
        return None, None, None, None
    azimuths = np.array(context.azimuths_deg)
    surface = Surface(heights, frame, scale)
    rays = rays_for(surface, mast, azimuths, base_m)
    sweep = sweep_azimuths(surface, rays, context.header, mast, limits, azimuths, base_m)
    found = np.full(azimuths.size, np.nan)
    if sweep.azimuths_deg.size:
        found[np.isin(azimuths, sweep.azimuths_deg)] = rank_azimuths(sweep.azimuths_deg, list(sweep.columns)).worst_utilisation
    return found, sweep, cell_size_m(scale), layout_tables(rays, mast, azimuths, np.array([0.0, 1.0]))


def nearest_border_m(tables, cell_m) -> np.ndarray:
    """(K,): how near any anchor of an azimuth stands to the border of its cell, metres."""
    half = PARTS // 2
    away = [np.abs((part + half) % PARTS / PARTS - np.round((part + half) % PARTS / PARTS)) * size for part, size in ((tables.anchors.cols, cell_m[0]), (tables.anchors.rows, cell_m[1]))]
    return np.minimum(*away).min(axis=1)
