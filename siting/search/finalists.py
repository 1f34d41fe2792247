"""Plans the best spots exactly, by the plan's own code, and ranks them by that."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from siting.checks.ground import ANCHOR_SLOPE, GAP, LAYDOWN_SLOPE, REST_SLOPE, SIDE_GUY_TRAVEL, WINCH_ARM
from siting.checks.land import ANCHOR_ON_LAND, FALL_ZONE, FALL_ZONE_OBSTACLE, GUY_ON_LAND, LAYOUT_CLEAR, SETBACK
from siting.checks.rule_findings import RULE
from siting.errors import SitingError
from siting.figures import shown
from siting.geodesy.dem_frame import DemFrame
from siting.planner import make_plan
from siting.records.findings import Check
from siting.records.plan import Plan
from siting.records.search import SearchGrid, SearchJob, Spot
from siting.records.site import BasePoint, Site
from siting.verdict import FAIL, ORDER

DECIMALS = 7  # of latitude and longitude, as they stand in the spot's site file
# Screening and plan stand on the same tables; their difference is the place's own scale and height (search.patches), a
# stake that falls into the next cell, and the plan's finer azimuths. Worse than this is said.
WORSE_BY = 0.01
# A spot that fails when planned is put after those that hold, and the next best is planned in its place, so many times.
MORE_PLANS = 2
# The checks that a search screens: those of the base, and those that decide between azimuths.
SCREENED = (
    SETBACK, FALL_ZONE, FALL_ZONE_OBSTACLE, RULE, LAYDOWN_SLOPE, REST_SLOPE, GAP, ANCHOR_SLOPE, SIDE_GUY_TRAVEL, WINCH_ARM,
    ANCHOR_ON_LAND, GUY_ON_LAND, LAYOUT_CLEAR,
)  # fmt: skip

Pick = tuple[int, int, float, int]


def place_of(frame: DemFrame, grid: SearchGrid, row: int, col: int) -> tuple[float, float]:
    """Latitude and longitude (degrees) of a cell's centre, as they are written."""
    lon, lat = frame.lonlat(np.array(grid.col0 + col + 0.5), np.array(grid.row0 + row + 0.5))
    return round(float(lat), DECIMALS), round((float(lon) + 180.0) % 360.0 - 180.0, DECIMALS)


def site_at(job: SearchJob, lat: float, lon: float, name: str) -> Site:
    """The site of a spot: the job's own with its base there."""
    return replace(job.site, name=name, base=BasePoint(lat, lon, f"{lat:.{DECIMALS}f}, {lon:.{DECIMALS}f}"))


def plan_finalists(
    job: SearchJob, frame: DemFrame, grid: SearchGrid, azimuths_deg: np.ndarray, picks: list[Pick]
) -> tuple[Spot, ...]:
    """The wanted number of spots, the best first: by verdict, then by worst utilisation, then as screened.

    Args:
        picks: (row, column, utilisation, azimuth) as screened, the best first; more than are wanted.
    """
    wanted = job.options.spots
    found: list[tuple[tuple, Spot]] = []
    holding = 0
    for number, pick in enumerate(picks, 1):
        if holding == wanted or number > wanted * (1 + MORE_PLANS):
            break
        spot = _spot(job, frame, grid, azimuths_deg, pick, f"{job.name}, spot {number}")
        holds = spot.verdict not in (None, FAIL)
        holding += holds
        order = len(ORDER) if spot.verdict is None else ORDER.index(spot.verdict)
        found.append(((order, 99.0 if spot.worst_utilisation is None else round(spot.worst_utilisation, 3), number), spot))
    ranked = [spot for _, spot in sorted(found, key=lambda item: item[0])][:wanted]
    return tuple(replace(spot, rank=n, site_file=f"spot_{n:02d}.toml") for n, spot in enumerate(ranked, 1))


def _spot(job: SearchJob, frame: DemFrame, grid: SearchGrid, azimuths_deg: np.ndarray, pick: Pick, name: str) -> Spot:
    """One spot as screened and as planned."""
    row, col, used, azimuth = pick
    lat, lon = place_of(frame, grid, row, col)
    screened_deg = float(azimuths_deg[azimuth])
    try:
        plan = make_plan(site_at(job, lat, lon, name))
    except SitingError as fault:
        return Spot(
            0, "", lat, lon, float("nan"), float("nan"), float("nan"), screened_deg, used, None, None, None, "", (),
            f"No plan can be made there: {fault.faults[0].line()}", (), (),
        )  # fmt: skip
    worst = _worst(plan)
    failing = tuple(f"{c.label}: {_value_words(c)}" for c in plan.checks if c.verdict == FAIL)
    return Spot(
        rank=0,
        site_file="",
        lat=lat,
        lon=lon,
        easting=plan.base.easting,
        northing=plan.base.northing,
        height_m=plan.base.height_m,
        screened_azimuth_deg=screened_deg,
        screened_utilisation=used,
        azimuth_deg=plan.laydown.azimuth_deg,
        worst_utilisation=worst[0],
        verdict=plan.verdict,
        worst_check=worst[1],
        reasons=plan.laydown.reasons,
        differs=_differs(plan, used, screened_deg, worst[0], failing),
        failing=failing,
        unchecked=plan.unchecked,
    )


def _worst(plan: Plan) -> tuple[float, str]:
    """The largest utilisation of what a search screens, as planned, and of which check."""
    screened = [c for c in plan.checks if c.kind in SCREENED and not (c.kind == LAYDOWN_SLOPE and c.verdict != FAIL)]
    worst = max(screened, key=lambda c: c.utilisation, default=None)
    return (0.0, "") if worst is None else (worst.utilisation, worst.label)


def _value_words(check: Check) -> str:
    """A check's value and limit in words, no unit of its own."""
    return f"{check.value:.2f} {check.unit}, limit {check.limit:.2f}"


def _differs(plan: Plan, used: float, screened_deg: float, worst: float, failing: tuple[str, ...]) -> str:
    """How the plan differs from what was screened, in words; empty where it does not in a way that matters."""
    said = []
    if plan.verdict == FAIL and used <= 1.0:
        said.append(f"Screening passes, the plan fails: {failing[0]}.")
    elif worst > used + WORSE_BY:
        said.append(f"The plan uses {worst:.2f}, screening {used:.2f}.")
    turned = abs((plan.laydown.azimuth_deg - screened_deg + 180.0) % 360.0 - 180.0)
    if said and turned > 1.0:
        said.append(f"The plan lays towards {shown(plan.laydown.azimuth_deg, 'bearing')}, screening {shown(screened_deg, 'bearing')}.")
    return " ".join(said)
