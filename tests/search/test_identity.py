"""The compiled search against the plan's own numpy on every cell and azimuth: not one bit may differ, whatever the tiles."""

from __future__ import annotations

import os
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np
import pytest
import rasterio
from outside.open_data import open_file
from search.search_jobs import brute_force, hills, job, same_bytes, search_of, whole, write_dem

from siting.records.search import FATES, FULL, PASSING, Tile, fails_in_lift
from siting.search import tile_work

REAL = ("colorado", "rocky_mountain", "luxembourg", "olinda", "lidar")


@pytest.fixture(scope="module")
def grounds(tmp_path_factory):
    """DEMs: gentle, hilly and rough, with holes, off the square, and cut out of real ones."""
    folder = tmp_path_factory.mktemp("search")
    found = {}
    dice = np.random.default_rng(11)
    for name, slope, forms in (("gentle", 0.06, 1.2), ("hilly", 0.15, 1.1), ("rough", 0.4, 0.95)):
        heights = hills((230, 250), slope, 7, forms=forms)
        holes = dice.integers(0, 230, (12, 2))
        if name != "gentle":
            for row, col in holes:
                heights[row : row + 3, col : col + 5] = np.nan
        found[name] = write_dem(folder / f"{name}.tif", heights)
    found["coarse"] = write_dem(folder / "coarse.tif", hills((60, 70), 0.08, 3, 10.0, 1.3), 10.0)
    found["degrees"] = write_dem(folder / "degrees.tif", hills((70, 60), 0.05, 4, 9.0, 1.3), 1.0 / 10800.0, 4326)
    for name in REAL:
        found[name] = _cut(open_file(name), folder / f"{name}.tif", 260 if name == "lidar" else 120)
    return found


def _cut(source, target, size):
    """A piece out of the middle of a real DEM."""
    with rasterio.open(source) as raster:
        row, col = max(0, raster.height // 2 - size // 2), max(0, raster.width // 2 - size // 2)
        window = rasterio.windows.Window(col, row, min(size, raster.width), min(size, raster.height))
        profile = raster.profile | {"width": int(window.width), "height": int(window.height), "transform": raster.window_transform(window), "driver": "GTiff"}
        profile = {k: v for k, v in profile.items() if k not in ("blockxsize", "blockysize", "tiled", "interleave", "compress", "photometric")}
        with rasterio.open(target, "w", **profile) as out:
            out.write(raster.read(window=window))
            if raster.units[0]:
                out.units = raster.units
    return target


def expected(search, mode, rows, cols):
    """Best utilisation and azimuth of a rectangle of cells by brute force."""
    halo, grid, patches = search.patches.halo, search.context.grid, search.patches
    corner = grid.row0 + rows[0] - halo, grid.col0 + cols[0] - halo
    tile = Tile("t", rows[0], cols[0], rows[1] - rows[0], cols[1] - cols[0])
    window = tile_work._read(search, corner, (tile.rows + 2 * halo, tile.cols + 2 * halo))
    used, azimuth = np.full((tile.rows, tile.cols), np.nan), np.full((tile.rows, tile.cols), -1, np.int16)
    for piece in tile_work._pieces(tile, halo, corner, patches.size):
        i, j = np.meshgrid(np.arange(*piece.rows), np.arange(*piece.cols), indexing="ij")
        cells = np.column_stack([i.ravel(), j.ravel()])
        cells = cells[np.isfinite(window.square(window.heights)[cells[:, 0], cells[:, 1]])]
        all_used = brute_force(search, piece.patch, window, cells)
        none = np.isnan(all_used).all(axis=1)
        best = np.where(none, 0, np.nanargmin(np.where(none[:, None], 0.0, all_used), axis=1))
        value = np.where(none, np.nan, all_used[np.arange(best.size), best])
        keep = ~none & ((value <= 1.0) | (mode == FULL))
        used[cells[keep, 0] - halo, cells[keep, 1] - halo] = value[keep]
        azimuth[cells[keep, 0] - halo, cells[keep, 1] - halo] = best[keep]
    return used, azimuth


@pytest.mark.parametrize("mode", [PASSING, FULL])
@pytest.mark.parametrize("name", ["gentle", "hilly", "rough", "coarse", "degrees", *REAL])
def test_every_cell_is_what_looking_at_everything_gives(grounds, name, mode):
    context, result = whole(job(grounds[name], mode), 97)
    search = tile_work.opened(context)
    high, wide = (14, 17) if name in REAL else (22, 25)
    rows, cols = (context.grid.rows // 2 - high, context.grid.rows // 2 + high), (context.grid.cols // 2 - wide, context.grid.cols // 2 + wide + 1)
    used, azimuth = expected(search, mode, rows, cols)
    here = slice(*rows), slice(*cols)
    assert result.used[here].tobytes() == used.tobytes()
    assert result.azimuth[here].tobytes() == azimuth.tobytes()
    passes = (result.fate[here] == FATES.index("passes")) | fails_in_lift(result.fate[here])
    assert (passes == (used <= 1.0)).all()
    if mode == FULL and name != "rough":
        assert np.isfinite(used).mean() > 0.2


STRANGE = (
    {"gap_max_m": 0.0, "rest_slope_max_percent": 5.0},  # nearly every azimuth uses the most that a utilisation can be: ties
    {"gap_max_m": -0.5, "side_guy_travel_max_m": 0.05},
    {"anchor_slope_max_percent": 0.0, "laydown_slope_max_percent": 0.0},
    {"rest_slope_max_percent": -2.0, "winch_arm_min_ratio": 0.9},
    {"side_guy_travel_max_m": 0.0, "winch_arm_min_ratio": -1.0},
    {"anchor_slope_max_percent": 200.0, "gap_max_m": 50.0, "side_guy_travel_max_m": 40.0, "rest_slope_max_percent": 300.0},
)


@pytest.mark.parametrize("changed", STRANGE)
@pytest.mark.parametrize("mode", [PASSING, FULL])
def test_strange_limits_are_searched_as_exactly(grounds, mode, changed):
    """Limits of nought and below, and limits that nothing reaches."""
    asked = job(grounds["hilly"], mode)
    limits = replace(asked.site.limits, **{name: replace(getattr(asked.site.limits, name), value=value) for name, value in changed.items()})
    context, result = whole(replace(asked, site=replace(asked.site, limits=limits)), 200)
    rows, cols = (100, 116), (110, 127)
    used, azimuth = expected(tile_work.opened(context), mode, rows, cols)
    assert result.used[slice(*rows), slice(*cols)].tobytes() == used.tobytes()
    assert result.azimuth[slice(*rows), slice(*cols)].tobytes() == azimuth.tobytes()


@pytest.mark.parametrize("mode", [PASSING, FULL])
@pytest.mark.parametrize("name", ["hilly", "coarse", "luxembourg"])
def test_tiles_of_any_size_give_the_same_bytes(grounds, name, mode):
    _, wanted = whole(job(grounds[name], mode), 4096)
    for size in ((64, 61, (7, 300), (250, 9)) if name == "hilly" else ((61, 90),)) if mode == PASSING else (64,):
        assert same_bytes(whole(job(grounds[name], mode), size)[1], wanted), size


def test_tiles_of_any_size_give_the_same_bytes_with_land():
    """The demo's parcels and obstacles: where a cell lies on the ground does not depend on its tile either."""
    _, wanted = whole(job(land=True), 4096)
    assert np.isfinite(wanted.used).sum() > 1000
    for size in (101, (37, 500)):
        assert same_bytes(whole(job(land=True), size)[1], wanted), size


def test_small_patches_move_a_stake_less_than_large_ones(grounds, monkeypatch):
    """Patches cut a tile in pieces with tables of their own; verdicts stay, and no seam shows."""
    from siting.search import patches

    _, wanted = whole(job(grounds["hilly"], FULL), 128)
    monkeypatch.setattr(patches, "LARGEST", 32)
    context, small = whole(job(grounds["hilly"], FULL), 128)
    assert tile_work.opened(context).patches.size == 32
    known = np.isfinite(wanted.used) & np.isfinite(small.used)
    assert (np.isfinite(wanted.used) == np.isfinite(small.used)).mean() > 0.999
    assert np.median(np.abs(wanted.used[known] - small.used[known])) < 1e-3
    assert ((wanted.used[known] <= 1) == (small.used[known] <= 1)).mean() > 0.995


def test_threads_give_the_same_bytes(grounds):
    context, wanted = whole(job(grounds["hilly"]), 64)
    search_of(context.job)
    tiles = [Tile("t", row, 0, min(29, context.grid.rows - row), context.grid.cols) for row in range(0, context.grid.rows, 29)]
    with ThreadPoolExecutor(4) as pool:
        results = list(pool.map(lambda tile: tile_work.work_tile(context, tile), tiles))
    assert np.vstack([r.used for r in results]).tobytes() == wanted.used.tobytes()
    assert np.vstack([r.azimuth for r in results]).tobytes() == wanted.azimuth.tobytes()


SCRIPT = """
import sys, hashlib
sys.path[:0] = {paths!r}
from search.search_jobs import job, whole
_, r = whole(job({dem!r}, {mode!r}), 128)
print(hashlib.sha256(r.used.tobytes() + r.azimuth.tobytes()).hexdigest())
"""


def test_another_instruction_set_gives_the_same_bytes(grounds, tmp_path):
    """The same kernels compiled for a processor without the wide registers, in a process of its own."""
    import hashlib

    _, r = whole(job(grounds["hilly"], FULL), 128)
    here = hashlib.sha256(r.used.tobytes() + r.azimuth.tobytes()).hexdigest()
    paths = [p for p in sys.path if p]
    environment = os.environ | {"NUMBA_CPU_NAME": "nehalem", "NUMBA_CPU_FEATURES": "+sse4.2", "NUMBA_CACHE_DIR": str(tmp_path)}
    script = SCRIPT.format(paths=paths, dem=str(grounds["hilly"]), mode=FULL)
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, env=environment, timeout=300)
    assert done.stdout.strip() == here, done.stderr[-500:]
