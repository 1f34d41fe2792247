"""Plans a cell of a search exactly, by the plan's own code, and says how that differs from what was screened."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from siting.checks.ground import LAYDOWN_SLOPE
from siting.errors import SitingError
from siting.figures import CHECK_QUANTITIES, shown
from siting.geodesy.dem_frame import DemFrame
from siting.planner import make_plan
from siting.records.findings import Check
from siting.records.plan import Plan
from siting.records.search import SearchGrid, SearchJob, Spot
from siting.records.site import BasePoint, Site
from siting.search.pick import Distance, Pick
from siting.search.screened import IN_LIFT, OF_PLAN_ONLY, SCREENED, is_screened
from siting.verdict import FAIL

DECIMALS = 7  # of latitude and longitude, as they stand in the spot's site file
# Screening and plan stand on the same tables; their difference is the place's own scale and height (search.patches), a
# stake that falls into the next cell, and the plan's finer azimuths. Worse than this is said.
WORSE_BY = 0.01


@dataclass(frozen=True, slots=True)
class Places:
    """Where the cells of a search lie, and which azimuths it looked at (degrees)."""

    job: SearchJob
    frame: DemFrame
    grid: SearchGrid
    azimuths_deg: tuple[float, ...]
    distance_m: Distance  # between cells, as pick.Picker takes it


def place_of(frame: DemFrame, grid: SearchGrid, row: int, col: int) -> tuple[float, float]:
    """Latitude and longitude (degrees) of a cell's centre, as they are written."""
    lon, lat = frame.lonlat(np.array(grid.col0 + col + 0.5), np.array(grid.row0 + row + 0.5))
    return round(float(lat), DECIMALS), round((float(lon) + 180.0) % 360.0 - 180.0, DECIMALS)


def site_at(job: SearchJob, lat: float, lon: float, name: str) -> Site:
    """The site of a spot: the job's own with its base there."""
    return replace(job.site, name=name, base=BasePoint(lat, lon, f"{lat:.{DECIMALS}f}, {lon:.{DECIMALS}f}"))


def plan_cell(places: Places, pick: Pick, name: str) -> tuple[Spot, frozenset[str]]:
    """A cell as screened and as planned, and the kinds of its plan's checks that fail."""
    lat, lon = place_of(places.frame, places.grid, pick.row, pick.col)
    screened_deg = float(places.azimuths_deg[pick.azimuth])
    nowhere = float("nan")
    spot = Spot(
        0, "", lat, lon, nowhere, nowhere, nowhere, screened_deg, pick.used, None, None, None, "", (), "", (), (), (), (), (),
    )  # fmt: skip
    try:
        plan = make_plan(site_at(places.job, lat, lon, name))
    except SitingError as fault:
        return replace(spot, differs=f"No plan can be made there: {fault.faults[0].line()}"), frozenset()
    worst, worst_check = _worst(plan)
    failing = [c for c in plan.checks if c.verdict == FAIL]
    kinds = {c.kind for c in plan.checks}
    planned = replace(
        spot,
        easting=plan.base.easting,
        northing=plan.base.northing,
        height_m=plan.base.height_m,
        azimuth_deg=plan.laydown.azimuth_deg,
        worst_utilisation=worst,
        verdict=plan.verdict,
        worst_check=worst_check,
        reasons=plan.laydown.reasons,
        differs=_differs(plan, spot, worst),
        failing=tuple(_words(c) for c in failing),
        failing_unscreened=tuple(_words(c) for c in failing if not is_screened(c.kind)),
        checks_screened=tuple(kind for kind in (*SCREENED, *IN_LIFT) if kind in kinds),
        checks_of_plan_only=tuple(kind for kind in OF_PLAN_ONLY if kind in kinds),
        unchecked=plan.unchecked,
    )
    return planned, frozenset(c.kind for c in failing)


def _worst(plan: Plan) -> tuple[float, str]:
    """The largest utilisation of what decides between a search's cells, as planned, and of which check."""
    screened = [c for c in plan.checks if c.kind in SCREENED and not (c.kind == LAYDOWN_SLOPE and c.verdict != FAIL)]
    worst = max(screened, key=lambda c: c.utilisation, default=None)
    return (0.0, "") if worst is None else (worst.utilisation, worst.label)


def _words(check: Check) -> str:
    """A check with its value and its limit in words."""
    kind = CHECK_QUANTITIES.get(check.unit, "none")
    side = "at least" if check.limit_is_least else "at most"
    return f"{check.label}: {shown(check.value, kind)}, {side} {shown(check.limit, kind)}"


def _differs(plan: Plan, spot: Spot, worst: float) -> str:
    """How the plan differs from what was screened, in words; empty where it does not in a way that matters.

    What fails in the plan and is not screened is no difference.
    """
    said = []
    failing = [c for c in plan.checks if c.verdict == FAIL and is_screened(c.kind)]
    if failing and spot.screened_utilisation <= 1.0:
        said.append(f"Screening passes, the plan fails: {_words(failing[0])}.")
    elif worst > spot.screened_utilisation + WORSE_BY:
        said.append(f"The plan uses {worst:.2f}, screening {spot.screened_utilisation:.2f}.")
    turned = abs((plan.laydown.azimuth_deg - spot.screened_azimuth_deg + 180.0) % 360.0 - 180.0)
    if said and turned > 1.0:
        said.append(f"The plan lays towards {shown(plan.laydown.azimuth_deg, 'bearing')}, screening {shown(spot.screened_azimuth_deg, 'bearing')}.")
    return " ".join(said)
