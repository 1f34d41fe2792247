"""A place that the base is moved to, planned anew, and what of the land fails in a plan."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from siting.checks.land import ANCHOR_ON_LAND, FALL_ZONE, FALL_ZONE_OBSTACLE, GUY_ON_LAND, LAYOUT_CLEAR, SETBACK
from siting.checks.rule_findings import RULE
from siting.errors import SitingError
from siting.geodesy.frames import Frame
from siting.geodesy.geodesic import azimuth_and_ground_m, place
from siting.planner import make_plan
from siting.records.findings import Check
from siting.records.plan import Plan
from siting.records.rules import HEIGHT_ID
from siting.records.site import BasePoint, Site
from siting.verdict import FAIL

LAND_KINDS = (SETBACK, FALL_ZONE, FALL_ZONE_OBSTACLE, ANCHOR_ON_LAND, GUY_ON_LAND, LAYOUT_CLEAR, RULE)
# Latitude and longitude of the new base are those that are printed, so that what is typed in is what was planned.
PRINTED_DECIMALS = 7


@dataclass(frozen=True, slots=True)
class Spot:
    """A place that the base was moved to, and the plan there; without a plan, why there is none."""

    lat: float
    lon: float
    distance_m: float
    bearing_deg: float  # true azimuth of the move
    plan: Plan | None
    fault: str = ""
    held_deg: float | None = None  # the laydown that the plan was held to, where another one is recommended
    is_nearest: bool = False  # no place that holds is nearer, whatever the laydown

    @property
    def holds(self) -> bool:
        """True where the plan there breaks no rule of the land that a move can mend."""
        return self.plan is not None and not movable(failing_of_land(self.plan))


def failing_of_land(plan: Plan) -> tuple[Check, ...]:
    """The failing checks of the land, no unit."""
    return tuple(c for c in plan.checks if c.kind in LAND_KINDS and c.verdict == FAIL)


def movable(checks: tuple[Check, ...]) -> tuple[Check, ...]:
    """Those that a move may mend: all but a rule set's greatest height; no unit."""
    return tuple(c for c in checks if not (c.kind == RULE and c.id.endswith(f":{HEIGHT_ID}")))


def plan_spot(site: Site, frame: Frame, height_m: float, move: tuple[float, float], held_deg: float | None = None) -> Spot:
    """The plan with the base moved, or why there is none.

    Args:
        frame, height_m: the ground frame of the base as it stands, and its height.
        move: metres grid east and north.
        held_deg: true azimuth that the laydown is held to; None: as the site says.
    """
    lon, lat = (round(float(v), PRINTED_DECIMALS) for v in frame.lonlat(*(np.array(v) for v in move)))
    bearing, distance = azimuth_and_ground_m(site.base.lat, site.base.lon, lat, lon, height_m)
    there = replace(site, base=BasePoint(lat, lon, f"{lat:.{PRINTED_DECIMALS}f}, {lon:.{PRINTED_DECIMALS}f}"))
    if held_deg is not None:
        there = replace(there, azimuth_deg=held_deg)
    try:
        return Spot(lat, lon, distance, bearing, make_plan(there), held_deg=held_deg)
    except SitingError as fault:
        return Spot(lat, lon, distance, bearing, None, str(fault).splitlines()[0], held_deg)


def azimuth_in(frame: Frame, plan: Plan) -> float:
    """The laydown of a plan elsewhere as the frame sees it, degrees true: its north is turned by the meridians' convergence."""
    base = plan.base
    lon, lat = place(base.lat, base.lon, np.array([plan.laydown.azimuth_deg]), np.array([100.0]), base.height_m)
    x, y = frame.ground_xy(np.array([base.lon, lon[0]]), np.array([base.lat, lat[0]]))
    return frame.true_bearing_deg(float(x[1] - x[0]), float(y[1] - y[0]))
