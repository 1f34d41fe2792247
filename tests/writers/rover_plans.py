"""Plans for the tests of the surveyors' formats: the demonstration in several systems, hostile names, control points."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

from writers.plan_by_hand import make_plan

from siting import planner
from siting.inputs.site_file import read_site
from siting.records.plan import Plan
from siting.records.site import GivenPoint, ListLayout

SITE = Path(__file__).parents[2] / "sample_dem" / "site.toml"
US_FOOT, INTERNATIONAL_FOOT, METRE = "EPSG:4432", "EPSG:6515", "EPSG:26912"
HOSTILE = '<b>bold</b> & "quoted" \'single\' ünïcode ≤ Čierna 12-005 x'.ljust(60, "x")
CONTROL = (
    GivenPoint("BM 7 <&> ü", "control", lat=47.0279, lon=-109.8503, height_m=1430.125),
    GivenPoint("gate post", "feature", lat=47.0271, lon=-109.8489),
)
LISTS = (
    ListLayout("pnezd", ("point", "northing", "easting", "elevation", "code"), "comma", False, "m", 3),
    ListLayout("penz", ("point", "easting", "northing", "elevation"), "tab", True, "ft", 4),
    ListLayout("codefirst", ("code", "point", "northing", "easting", "elevation", "description"), "semicolon", True, "us-ft", 3),
    ListLayout("gap", ("point", "none", "easting", "northing", "lat", "lon"), "comma", False, "m", 2),
    ListLayout("blanks", ("point", "easting", "northing", "code", "description"), "space", False, "m", 3),
)


@cache
def demo(projected: str | None = None, *, given: bool = False) -> Plan:
    """The demonstration, in its own UTM zone or in another system; with control points and point lists if asked."""
    site = replace(read_site(SITE), projected_crs=projected, accepts_null_shift=True)
    if given:
        site = replace(site, given_points=CONTROL, points=replace(site.points, lists=LISTS))
    return planner.make_plan(site)


def hostile() -> Plan:
    """The plan made by hand with every name that a user may choose set to the hostile one."""
    plan = make_plan()
    victim = plan.stakes[1].id
    stakes = tuple(replace(s, id=HOSTILE, description=HOSTILE, verdict=s.verdict) if s.id == victim else s for s in plan.stakes)
    shapes = tuple(replace(s, id=HOSTILE, label=HOSTILE) if s.id == victim else s for s in plan.shapes)
    return replace(
        plan, name=HOSTILE, stakes=stakes, shapes=shapes, headline=HOSTILE, warnings=(HOSTILE,),
        terrain=replace(plan.terrain, vertical_datum=HOSTILE), mast=replace(plan.mast, name=HOSTILE),
    )  # fmt: skip


def blank() -> Plan:
    """The plan made by hand, without elevations in its point files."""
    plan = make_plan()
    return replace(plan, terrain=replace(plan.terrain, blank_elevation=True))


def without_code() -> Plan:
    """The plan made by hand in a system that has no EPSG code."""
    plan = make_plan()
    return replace(plan, crs=replace(plan.crs, epsg=None, name="Site grid of the county"))
