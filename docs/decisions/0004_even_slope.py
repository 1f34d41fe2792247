"""Prints the numbers of decision 0004: the recommended laydown on even slopes, uphill due north.

    python docs/decisions/0004_even_slope.py
"""

from __future__ import annotations

import tempfile
from pathlib import Path

import numpy as np
import rasterio
from rasterio.transform import from_origin

from siting.inputs.site_file import site_from_options
from siting.planner import make_plan

SLOPES_PERCENT = (5, 6, 7, 8, 10, 12, 15, 16)
MASTS = ("lattice-60", "lattice-80", "lattice-100", "tube-60")
# On the central meridian of UTM zone 32, where grid north is true north.
EASTING, NORTHING, BASE = 500_000.0, 5_200_000.0, "46.95320, 9.00000"


def write_slope(path: Path, slope_percent: float) -> None:
    """A DEM of 400 x 400 cells of 1 m that rises evenly to the north."""
    rows = np.mgrid[0:400, 0:400][0]
    heights = 800 + slope_percent / 100 * (199.5 - rows)
    profile = {
        "driver": "GTiff", "height": 400, "width": 400, "count": 1, "dtype": "float64", "crs": "EPSG:32632",
        "transform": from_origin(EASTING - 200, NORTHING + 200, 1.0, 1.0),
    }  # fmt: skip
    with rasterio.open(path, "w", **profile) as raster:
        raster.write(heights, 1)


def main() -> None:
    """One line for each mast and slope."""
    with tempfile.TemporaryDirectory() as folder:
        dem = Path(folder) / "slope.tif"
        for mast in MASTS:
            for slope in SLOPES_PERCENT:
                write_slope(dem, slope)
                laydown = make_plan(site_from_options(str(dem), BASE, mast)).laydown
                uphill = laydown.candidates[0]
                print(
                    f"{mast:<12} {slope:>3} %: {laydown.azimuth_deg:>3.0f}° {laydown.verdict}, "
                    f"worst {laydown.worst_utilisation:.4f}; straight uphill {uphill.worst_utilisation:.4f} ({uphill.worst_check})"
                )


if __name__ == "__main__":
    main()
