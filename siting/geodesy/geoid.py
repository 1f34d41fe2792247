"""Geoid undulations from a grid file that the user has at hand."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from pyproj import Transformer
from pyproj.exceptions import ProjError

from siting.errors import FrameError


def undulations_m(path: Path, shown: str, lon: np.ndarray, lat: np.ndarray) -> np.ndarray:
    """Height of the geoid above the ellipsoid at WGS 84 points, metres: ellipsoidal = orthometric + undulation.

    Raises:
        FrameError: the file is no geoid grid that PROJ reads, or does not cover the points.
    """
    try:
        grid = Transformer.from_pipeline(f"+proj=pipeline +step +proj=unitconvert +xy_in=deg +xy_out=rad +step +proj=vgridshift +grids={path.resolve()} +multiplier=1")
        heights = np.asarray(grid.transform(lon, lat, np.zeros(len(lon)), errcheck=True)[2])
    except ProjError:
        heights = np.full(len(lon), np.inf)
    if not np.isfinite(heights).all():
        raise FrameError.of(
            "geoid_unusable", f"[dem] geoid, {shown}", "is no geoid grid that PROJ reads, or does not cover the site",
            "give a .gtx or GeoTIFF geoid grid of the region, or leave it out",
        )  # fmt: skip
    return heights
