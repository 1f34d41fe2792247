"""A search streamed over a DEM of 1 GB: peak memory, the time of a cell as the cells grow, and memory where all is one tile."""

from __future__ import annotations

import io
import os
import statistics
import sys
import tempfile
import time
from pathlib import Path

import rasterio

from benchmarks.terrains import hills
from benchmarks.timing import SITING, peak_memory_bytes

MB = 2**20
GENTLE, ROUGH, STEEP = 0.07, 0.40, 0.80  # most cells pass; of 268 M a few pass, so that spots are planned; none passes
BLOCK = 1024  # cells along the side of the ground that is repeated; hills() joins itself at its sides
SIDES, QUICK_SIDES = (1024, 2048, 4096, 8192), (512, 1024)  # 1, 4, 16 and 64 M cells
STREAMED, QUICK_STREAMED = (4096, 16_384), (512, 1024)  # of float32: 64 MB and 1 GB
ONE_TILE, QUICK_ONE_TILE = (512, 4096), (256, 768)
STREAMED_MOST, CELL_MOST_BYTES = 300 * MB, 32
SHORT_RUNS = 5  # of a search over 4 M cells at most; a longer one is run once
AREA_FILE = """name = "{name}"
date = 2027-05-10

[dem]
path = "{dem}"

[mast]
use = "lattice-80"

[search]
azimuth_step_deg = 5
"""


def measure(quick: bool) -> list[dict]:
    """Rows of (figure, against, ratio, goal)."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        return [*_streamed(folder, quick), *_linear(folder, quick), _one_tile(folder, quick)]


def rough(folder: Path, side: int, slope: float = ROUGH) -> Path:
    """The area file of a search over a whole DEM of 1 m cells on rough ground.

    The DEM is one block of hills again and again, in plain tiles, so that it is written fast and is as large as its cells.

    Args:
        slope: median rise per metre.
    """
    ground = hills((BLOCK, BLOCK), slope, 7, forms=0.95).astype("float32")
    name = f"{slope:g}-{side}"
    dem, area = folder / f"{name}.tif", folder / f"{name}.toml"
    place = rasterio.transform.from_origin(590_000.0 - side / 2, 5_210_000.0 + side / 2, 1.0, 1.0)
    profile = {
        "driver": "GTiff", "width": side, "height": side, "count": 1, "dtype": "float32", "crs": "EPSG:32612",
        "transform": place, "nodata": -9999.0, "tiled": True, "blockxsize": 256, "blockysize": 256,
    }  # fmt: skip
    with rasterio.open(dem, "w", **profile) as raster:
        for row in range(0, side, BLOCK):
            for col in range(0, side, BLOCK):
                rows, cols = min(BLOCK, side - row), min(BLOCK, side - col)
                raster.write(ground[:rows, :cols], 1, window=((row, row + rows), (col, col + cols)))
    area.write_text(AREA_FILE.format(name=name, dem=dem.name), encoding="utf-8")
    return area


def _streamed(folder: Path, quick: bool) -> list[dict]:
    """Peak memory of the whole command line, from the area file to the written files."""
    sides = QUICK_STREAMED if quick else STREAMED
    small, large = (rough(folder, side) for side in sides)
    what = f"search streamed over {sides[1]:,} × {sides[1]:,}"
    against = f"the same over {sides[0]:,} × {sides[0]:,}"
    kept = {"NUMBA_CACHE_DIR": str(folder / "kernels")}
    gentle = rough(folder, BLOCK // 2, GENTLE)  # cells pass, so that the kernels of the lift are compiled too
    first, rows = _peak_bytes(gentle, folder, 1, kept), []
    for workers, words in ((1, "one worker"), (2, "two workers")):
        least, most = (_peak_bytes(area, folder, workers, kept) for area in (small, large))
        if workers == 1:
            second = _peak_bytes(gentle, folder, 1, kept)
            rows.append({"figure": "the first search of all, which compiles, memory", "against": "the second", "ratio": first / second, "goal": 1.6, "bytes": first})
        rows += [
            {"figure": f"{what}, {words}, memory", "against": against, "ratio": most / least, "goal": 1.1, "bytes": most},
            _bound(f"{what}, {words}, memory", most),
        ]
    return rows


def _bound(figure: str, peak_bytes: int) -> dict:
    """A row of a peak against the bound of a streamed search."""
    return {"figure": figure, "against": f"{STREAMED_MOST / MB:.0f} MB", "ratio": peak_bytes / STREAMED_MOST, "goal": 1.0, "bytes": peak_bytes}


def _peak_bytes(area: Path, folder: Path, workers: int, kept: dict[str, str]) -> int:
    """Peak memory of the command line, bytes; kernels are kept compiled from one to the next."""
    out = folder / f"{area.stem}-{workers}"
    return peak_memory_bytes([*SITING, "search", str(area), "--out", str(out), "--workers", str(workers)], os.environ | kept)


def _linear(folder: Path, quick: bool) -> list[dict]:
    """The time of a cell in searches over more and more of the same ground, one worker.

    The tiles' work, their files and the search for spots are in it; there are none to plan, and nothing else is written.
    """
    rows, first = [], None
    sides = QUICK_SIDES if quick else SIDES
    search_s(rough(folder, BLOCK // 4, STEEP), folder)  # compiles
    for side in sides:
        area = rough(folder, side, STEEP)
        runs = 1 if quick or side > 2048 else SHORT_RUNS
        cell_s = statistics.median(search_s(area, folder) for _ in range(runs)) / side**2
        first = first or cell_s
        if side != sides[0]:
            rows.append({
                "figure": f"search over {side**2 / 1e6:.2g} M cells of steep ground, a cell", "against": f"a cell of {sides[0] ** 2 / 1e6:.2g} M",
                "ratio": cell_s / first, "goal": 1.1, "seconds": cell_s,
            })  # fmt: skip
    return rows


def search_s(area: Path, folder: Path, tile_cells: int | None = None) -> float:
    """Seconds of a search with one worker from its area file to its spots.

    Args:
        tile_cells: cells along a tile's side; None: as the program cuts them.
    """
    from siting.inputs.area_file import read_area
    from siting.search.progress import TileProgress
    from siting.search.run import TILE_CELLS, search

    with tempfile.TemporaryDirectory(dir=folder) as out:
        start = time.perf_counter()
        search(read_area(area), Path(out), 1, progress=TileProgress(io.StringIO()), tile_cells=tile_cells or TILE_CELLS)
        return time.perf_counter() - start


def _one_tile(folder: Path, quick: bool) -> dict:
    """By how much the peak grows with a cell where the whole area is one tile."""
    sides = QUICK_ONE_TILE if quick else ONE_TILE
    least, most = (
        peak_memory_bytes([sys.executable, "-m", "benchmarks.search_stream", str(rough(folder, side)), str(side)]) for side in sides
    )
    cell_bytes = (most - least) / (sides[1] ** 2 - sides[0] ** 2)
    return {
        "figure": f"search over {sides[1]:,} × {sides[1]:,} as one tile, memory a cell beyond that of {sides[0]:,} × {sides[0]:,}",
        "against": f"{CELL_MOST_BYTES} bytes", "ratio": cell_bytes / CELL_MOST_BYTES, "goal": 1.0, "bytes": most,
    }  # fmt: skip


if __name__ == "__main__":
    search_s(Path(sys.argv[1]), Path(sys.argv[1]).parent, int(sys.argv[2]))
