"""Lift and base of the cells that pass: against the search of all cells, and against the plan's own code for one base."""

from __future__ import annotations

import tempfile
from pathlib import Path

import numpy as np

from benchmarks.search import CELLS, Case, case
from benchmarks.terrains import hills
from benchmarks.timing import function_s
from siting.planner import make_plan
from siting.search.finalists import place_of, site_at
from siting.search.opening import frame_of

TERRAINS = (("gentle", 0.07, 1.2), ("hilly", 0.14, 1.1))


def measure(quick: bool) -> list[dict]:
    """Rows of (figure, against, ratio, goal)."""
    runs, size = (1 if quick else 3), (300 if quick else CELLS) + 2 * 96
    rows = []
    with tempfile.TemporaryDirectory() as name:
        for terrain, slope, forms in TERRAINS:
            one = case(terrain, hills((size, size), slope, 7, forms=forms), Path(name))
            seconds, count, share = _lift_s(one, runs)
            what = f"search, {terrain}: lift and base of the {share:.0%} of the cells that pass"
            rows.append(_row(what, "ground of all cells, mode passing", seconds, one.seconds(runs, 1)[0], 10.0))
            if terrain == "hilly":
                rows.append(_row("search, lift and base of one cell", "a whole plan there", seconds / count, _plan_s(one), 1e-3))
    return rows


def _row(figure: str, against: str, mine: float, theirs: float, goal: float) -> dict:
    return {"figure": figure, "against": against, "ratio": mine / theirs, "goal": goal, "seconds": mine}


def _plan_s(one: Case) -> float:
    """Seconds of a whole plan in the middle of a tile."""
    context, middle = one.search.context, one.halo + one.cells // 2
    lat, lon = place_of(frame_of(context), context.grid, middle, middle)
    site = site_at(context.job, lat, lon, "middle")
    return function_s(lambda: make_plan(site), 2)


def _lift_s(one: Case, runs: int) -> tuple[float, int, float]:
    """Seconds of lift and base of all cells that pass, how many they are, and which share of all."""
    work, best, azimuth = one.work(1)
    work()
    i, j = np.nonzero(best <= 1.0)
    width = one.window.shape[1]
    flat = (i + one.halo) * width + j + one.halo
    patches, lift = one.search.patches, one.search.lift
    patch = (one.halo // patches.size, one.halo // patches.size)
    stencil = lift.stencil(patches, patch, 800.0, width)
    return function_s(lambda: lift.fates(one.window.heights, flat, azimuth[i, j], one.stencil, stencil), runs), i.size, i.size / best.size
