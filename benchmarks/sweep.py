"""All 360 azimuths of one base, against the same samples taken azimuth by azimuth with scipy."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from scipy.ndimage import map_coordinates

from benchmarks.timing import function_s
from siting.inputs.site_file import read_site
from siting.planning.ground import open_ground
from siting.sweep.azimuths import azimuths_to_sweep, rays_for, sweep_azimuths
from siting.sweep.choose import rank_azimuths


def measure(quick: bool) -> list[dict]:
    """Rows of (figure, against, ratio, goal)."""
    site = read_site(Path("sample_dem/site.toml"))
    ground = open_ground(site)
    azimuths = azimuths_to_sweep(None)

    def ours() -> object:
        rays = rays_for(ground.surface, site.mast, azimuths, ground.base_height_m)
        sweep = sweep_azimuths(
            ground.surface, rays, ground.header, site.mast, site.limits, azimuths, ground.base_height_m
        )
        return rank_azimuths(sweep.azimuths_deg, list(sweep.columns))

    rays = rays_for(ground.surface, site.mast, azimuths, ground.base_height_m)
    grid = ground.surface.grid
    s_m = np.linspace(0.0, site.mast.height_m, 161)

    def plain() -> object:
        lines = []
        for k in rays.index_of(azimuths):
            col, row = rays.at(np.array([k])[:, None], s_m)
            position = np.vstack([row[0] - grid.row0 - 0.5, col[0] - grid.col0 - 0.5])
            lines.append(map_coordinates(grid.heights_m, position, order=1))
        return np.array(lines)

    runs = 3 if quick else 40
    mine, theirs = function_s(ours, runs), function_s(plain, runs)
    return [
        {
            "figure": "360 azimuths of one base, every check of ground and lift",
            "against": "the profiles alone, azimuth by azimuth with scipy",
            "ratio": mine / theirs,
            "goal": 1.0,
            "seconds": mine,
        }
    ]
