"""The search against plain ways to do the same, against one slope map by gdaldem, and against itself."""

from __future__ import annotations

import math
import subprocess
import sys
import tempfile
import threading
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import rasterio

from benchmarks import search_brute
from benchmarks.terrains import hills
from benchmarks.timing import function_s
from siting.inputs.site_file import read_site
from siting.kernels.fitting import slope_weights
from siting.records.search import FULL, PASSING, SearchJob, SearchOptions
from siting.records.site import BasePoint, LandSource
from siting.search import tile_work
from siting.search.opening import open_search

CELLS = 1024  # along a side: 1 M cells
BRUTE_CELLS = 96  # plain ways are timed on a piece and reckoned up by the number of cells
SCIPY_CELLS = 48
STRIPS = 32  # of rows, for two threads
TERRAINS = (("gentle", 0.07, 1.2), ("rolling", 0.115, 1.15), ("hilly", 0.14, 1.1), ("rough", 0.40, 0.95))


@dataclass
class Case:
    """A DEM with a search open on it, and the rasters of one tile."""

    name: str
    search: tile_work.Opened
    window: tile_work.Window
    stencil: object
    halo: int
    cells: int
    dem: Path

    def work(self, modes: int, rows: tuple[int, int] | None = None) -> tuple[Callable[[], object], np.ndarray, np.ndarray]:
        """The kernel over the tile or some of its rows, ready to be called, and where it writes what cells use and their azimuths."""
        from siting.screening.eight import search_rows

        wanted = np.zeros(self.window.heights.size, dtype=np.uint8)
        here = slice(self.halo, self.halo + self.cells)
        self.window.square(wanted)[here, here] = np.isfinite(self.window.square(self.window.heights)[here, here])
        raster = (self.window.heights, self.window.slopes, self.window.steps, wanted)
        row0, row1 = rows or (0, self.cells)
        best, azimuth = np.full((row1 - row0, self.cells), np.nan), np.full((row1 - row0, self.cells), -1, dtype=np.int16)
        shape = (self.window.shape[1], self.halo + row0, self.halo + row1, self.halo, self.halo + self.cells)
        return lambda: search_rows(raster, shape, self.stencil, modes, best, azimuth), best, azimuth

    def seconds(self, runs: int, modes: int) -> tuple[float, float]:
        """Seconds of the kernel over the tile, and the share of cells that pass."""
        work, best, _ = self.work(modes)
        return function_s(work, runs), float((best <= 1.0).mean())


def case(name: str, heights: np.ndarray, folder: Path, step_deg: float = 5.0) -> Case:
    """A search open on these heights, 1 m cells, the demo's mast and limits, no land."""
    dem = folder / f"{name}.tif"
    place = rasterio.transform.from_origin(590_000.0, 5_210_000.0, 1.0, 1.0)
    rows, cols = heights.shape
    with rasterio.open(dem, "w", driver="GTiff", width=cols, height=rows, count=1, dtype="float32", crs="EPSG:32612", transform=place) as out:
        out.write(heights.astype("float32"), 1)
    return case_of(name, dem, step_deg)


def case_of(name: str, dem: Path, step_deg: float) -> Case:
    """A search open on a DEM, its largest square as one tile."""
    site = read_site(Path("sample_dem/site.toml"))
    site = replace(site, base=BasePoint(math.nan, math.nan, ""), land=LandSource(), dem=replace(site.dem, path=dem, shown_path=dem.name, vertical_unit=None))
    job = SearchJob(name, name, dem.parent, {}, site, SearchOptions(None, "", step_deg, 5, 100.0, PASSING))
    context = open_search(job, f"{name} {step_deg}")
    search = tile_work.opened(context)
    halo = search.patches.halo
    cells = min(context.grid.rows, context.grid.cols, CELLS + 2 * halo) - 2 * halo
    window = tile_work._read(search, (0, 0), (cells + 2 * halo, cells + 2 * halo))
    patch = (halo // search.patches.size, halo // search.patches.size)
    stencil = tile_work._stencil(search, patch, tile_work._patch_height_m(search, patch), window.shape[1])
    return Case(name, search, window, stencil, halo, cells, dem)


def plain_s(one: Case) -> dict[str, float]:
    """Seconds a cell of the three plain ways on a piece in the middle."""
    site, rules = one.search.context.job.site, one.search.rules
    mast, azimuths = site.mast, np.array(one.search.context.azimuths_deg)
    tables = one.search.patches.tables(0, 0, 800.0)
    heights, slopes = one.window.square(one.window.heights), one.window.square(one.window.slopes)

    def box(size: int) -> tuple[int, int, int, int]:
        first = one.halo + max(0, (one.cells - size) // 2)
        return first, first + min(size, one.cells), first, first + min(size, one.cells)

    sides = [mast.anchors.index(a) for a in mast.side_anchors]
    limits = np.array([rules.anchor_most, rules.slope_least, rules.slope_most, rules.rest_most, rules.gap_most, rules.travel_most, rules.arm_least])
    small, best = box(BRUTE_CELLS), np.empty((BRUTE_CELLS, BRUTE_CELLS))

    def compiled() -> None:
        search_brute.compiled(
            heights, slopes, small, np.radians(azimuths), tables.s_m, slope_weights(tables.s_m),
            np.radians([a.bearing_deg for a in mast.anchors]), np.array([a.radius_m for a in mast.anchors]),
            np.array([sides[int(g)] for g in rules.guys[:, 3]]), mast.anchors.index(mast.winch), rules.guys, limits, rules.pole,
            rules.hinge_height, math.radians(80.0), best,
        )  # fmt: skip

    raster = (one.window.heights, one.window.slopes, one.window.steps, one.window.steps)
    tiny = box(SCIPY_CELLS)
    count, few = (small[1] - small[0]) ** 2, (tiny[1] - tiny[0]) ** 2
    return {
        "compiled": function_s(compiled, 2) / count,
        "tables": function_s(lambda: search_brute.with_tables(raster, one.window.shape[1], small, one.stencil, best), 2) / count,
        "scipy": function_s(lambda: search_brute.with_scipy(heights, slopes, tiny, mast, rules, azimuths, tables.s_m), 1) / few,
    }


def gdaldem_s(dem: Path, runs: int) -> float:
    """Seconds a cell of one `gdaldem slope` pass over the file, its reading and writing included."""
    with rasterio.open(dem) as raster:
        count = raster.width * raster.height
    command = ["gdaldem", "slope", "-q", "-p", str(dem), str(dem.with_suffix(".slope.tif"))]
    return function_s(lambda: subprocess.run(command, check=True), runs) / count


def measure(quick: bool) -> list[dict]:
    """Rows of (figure, against, ratio, goal); of speed-ups the inverse, so that less is better everywhere."""
    runs, rows = (1 if quick else 3), []
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        size = (300 if quick else CELLS) + 2 * 96
        for terrain, slope, forms in TERRAINS:
            one = case(terrain, hills((size, size), slope, 7, forms=forms), folder)
            rows += _against(one, runs)
            if terrain == "hilly":
                rows.append(_threads(one, runs))
                many = case_of("hilly, 360 azimuths", one.dem, 1.0)
                rows.append(_row("hilly: 360 azimuths", "72 azimuths", many.seconds(runs, 1)[0], one.seconds(runs, 1)[0], 2.8))
        rows.append(_linear(folder, quick, runs))
        rows += _real(runs)
    return rows


def _row(figure: str, against: str, mine: float, theirs: float, goal: float) -> dict:
    return {"figure": f"search, {figure}", "against": against, "ratio": mine / theirs, "goal": goal, "seconds": mine}


def _against(one: Case, runs: int) -> list[dict]:
    """One terrain in both modes against the plain ways and gdaldem."""
    count, rows = one.cells**2, []
    plain, slope = plain_s(one), gdaldem_s(one.dem, runs)
    for mode, modes in ((PASSING, 1), (FULL, 2)):
        seconds, share = one.seconds(runs, modes)
        what = f"{one.name}, {share:.0%} of the cells pass, mode {mode}"
        rows += [
            _row(what, "compiled loop", seconds, plain["compiled"] * count, 1 / 100),
            _row(what, "compiled loop with tables", seconds, plain["tables"] * count, 1 / (25 if one.name == "rough" else 50)),
            _row(what, "numpy and scipy", seconds, plain["scipy"] * count, 1 / 300),
            _row(what, "gdaldem slope", seconds, slope * count, 15.0 if mode == FULL else (1.0 if share < 0.03 else 8.0)),
        ]
    return rows


def _threads(one: Case, runs: int) -> dict:
    """Two threads that take strips of rows as they come, as a search's threads take tiles, against one."""
    edges = np.linspace(0, one.cells, STRIPS + 1).astype(int)
    works = [one.work(1, (int(first), int(last)))[0] for first, last in zip(edges, edges[1:])]

    def share(count: int) -> None:
        left = iter(works)
        threads = [threading.Thread(target=lambda: [work() for work in left]) for _ in range(count)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()

    return _row("hilly: two threads", "one", function_s(lambda: share(2), runs), function_s(lambda: share(1), runs), 1 / 1.8)


def _linear(folder: Path, quick: bool, runs: int) -> dict:
    """A cell among four times as many, on ground that repeats itself, so that every cell has its like."""
    size = 128 if quick else 512
    ground = hills((size, size), 0.14, 9, forms=1.1)
    small, large = (
        case(f"repeated {n}", np.pad(np.tile(ground, (n, n)), 96, mode="wrap"), folder).seconds(runs, 1)[0] / (n * size) ** 2 for n in (2, 4)
    )
    return _row(f"a cell of {(4 * size) ** 2 / 1e6:.2g} M", f"a cell of {(2 * size) ** 2 / 1e6:.2g} M", large, small, 1.1)


def _real(runs: int) -> list[dict]:
    """A real DEM of 1 m (tests/outside/open_data.py: lidar)."""
    sys.path.insert(0, "tests")
    from outside.open_data import open_file

    return _against(case_of("lidar (real)", open_file("lidar"), 5.0), runs)
