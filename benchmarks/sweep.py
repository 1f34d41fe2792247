"""All 360 azimuths of one base: in numpy and compiled, against the same samples taken azimuth by azimuth with scipy."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
from scipy.ndimage import map_coordinates

from benchmarks.search import case_of
from benchmarks.timing import function_s
from siting.checks.ground import anchor_columns, laydown_columns, lift_columns
from siting.geodesy.dem_frame import cell_size_m
from siting.inputs.site_file import read_site
from siting.laydown.profile import sample_distances_m, sample_profiles
from siting.laydown.rest import lay_mast
from siting.layout.anchors import ground_at_anchors
from siting.layout.tables import layout_tables
from siting.lift.geometry import least_arms_m, side_guy_travels
from siting.planning.ground import open_ground
from siting.records.site import Site
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

    tables = layout_tables(rays, site.mast, azimuths, sample_distances_m(site.mast.height_m, cell_size_m(ground.surface.scale)))
    hinge_m = ground.base_height_m + site.mast.hinge_height_m

    def checked() -> object:
        base, mast = rays.origin_colrow, site.mast
        rest = lay_mast(sample_profiles(ground.surface, base, tables.s_m, tables.samples), hinge_m)
        stood = ground_at_anchors(ground.surface, base, mast, tables.anchor_azimuths_deg, tables.anchors)
        travels = side_guy_travels(mast, stood.heights_m, hinge_m, rest.rest_slope)
        arms = least_arms_m(mast, stood.heights_m, hinge_m, rest.rest_slope)
        return laydown_columns(rest, site.limits), anchor_columns(stood, site.limits), lift_columns(mast, travels, arms, lambda k: 0.0, site.limits)

    compiled = _compiled(site)
    runs = 3 if quick else 40
    mine, theirs, from_tables, kernel = (function_s(work, runs) for work in (ours, plain, checked, compiled))
    figure = "360 azimuths of one base from the traced tables, the checks that rank them"
    return [
        {"figure": f"{figure}, in numpy", "against": "2 ms", "ratio": from_tables / 0.002, "goal": 1.0, "seconds": from_tables},
        {"figure": f"{figure}, compiled", "against": "0.3 ms", "ratio": kernel / 0.0003, "goal": 1.0, "seconds": kernel},
        {"figure": f"{figure}, compiled", "against": "in numpy", "ratio": kernel / from_tables, "goal": 0.15, "seconds": kernel},
        {
            "figure": "360 azimuths of one base, every check of ground and lift",
            "against": "the profiles alone, azimuth by azimuth with scipy",
            "ratio": mine / theirs,
            "goal": 1.0,
            "seconds": mine,
        },
    ]


def _compiled(site: Site) -> Callable[[], object]:
    """The search's kernel on the middle cell of the demo's DEM, every check of every azimuth (tests hold that both say the same)."""
    from siting.screening.alone import score_azimuths

    one = case_of("one base", site.dem.path, 1.0)
    raster, used = (one.window.heights, one.window.slopes, one.window.steps, one.window.steps), np.empty(360)
    middle = (one.window.shape[0] // 2) * one.window.shape[1] + one.window.shape[1] // 2
    return lambda: score_azimuths(raster, middle, one.stencil, used)
