"""A plan on a 40,000 x 40,000 DEM against the same plan on 400 x 400: time and memory."""

from __future__ import annotations

import tempfile
from pathlib import Path

import numpy as np
import rasterio
from rasterio.transform import from_origin

from benchmarks.timing import SITING, interleaved_s, peak_memory_bytes

EASTING, NORTHING = 500_000.0, 5_200_000.0
BASE = "46.95320, 9.00000"


def measure(quick: bool) -> list[dict]:
    """Rows of (figure, against, ratio, goal)."""
    rows = []
    with tempfile.TemporaryDirectory() as folder:
        small = write_dem(Path(folder) / "small.tif", 400, tiled=True)
        for layout in ("tiled", "striped"):
            large = write_dem(Path(folder) / f"large-{layout}.tif", 40_000, tiled=layout == "tiled")
            commands = {name: plan_command(dem, f"{folder}/{name}") for name, dem in (("small", small), ("large", large))}
            times = interleaved_s(commands, 1 if quick else 7)
            memory = {name: peak_memory_bytes(command) for name, command in commands.items()}
            against = "the same plan on 400 × 400"
            rows += [
                {"figure": f"plan on 40,000 × 40,000, {layout}, time", "against": against, "ratio": times["large"] / times["small"], "goal": 1.2, "seconds": times["large"]},
                {"figure": f"plan on 40,000 × 40,000, {layout}, memory", "against": against, "ratio": memory["large"] / memory["small"], "goal": 1.2, "bytes": memory["large"]},
            ]  # fmt: skip
    return rows


def plan_command(dem: Path, out: str) -> list[str]:
    """The plan of one base on a DEM."""
    return [*SITING, "plan", "--dem", str(dem), "--base", BASE, "--mast", "lattice-80", "--out", out]


def write_dem(path: Path, side: int, *, tiled: bool) -> Path:
    """A square DEM of 1 m cells, an even slope with soft waves, centred on the same ground whatever its side.

    Only the blocks around the middle are written; the others stay empty in the file, as GeoTIFF allows.
    """
    middle = 1024 if side > 1024 else side
    profile = {
        "driver": "GTiff", "height": side, "width": side, "count": 1, "dtype": "float32", "crs": "EPSG:32632",
        "transform": from_origin(EASTING - side / 2, NORTHING + side / 2, 1.0, 1.0), "nodata": -9999.0,
        "compress": "deflate", "sparse_ok": True, "bigtiff": "yes",
    }  # fmt: skip
    if tiled:
        profile |= {"tiled": True, "blockxsize": 256, "blockysize": 256}
    start = (side - middle) // 2
    rows, cols = np.mgrid[start : start + middle, start : start + middle]
    east, north = cols - side / 2, side / 2 - rows
    heights = 800 + 0.06 * north + 0.01 * east + 0.3 * np.sin(east / 17) * np.cos(north / 23)
    with rasterio.open(path, "w", **profile) as raster:
        raster.write(heights.astype("float32"), 1, window=((start, start + middle), (start, start + middle)))
    return path
