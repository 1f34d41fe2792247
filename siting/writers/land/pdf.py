"""The land sheet, land.pdf: rules and the move, zones and whose they are, overhead lines, air navigation, markings."""

from __future__ import annotations

from siting.records.plan import Plan
from siting.writers.land.air_page import fill_air
from siting.writers.land.lines_page import fill_power_lines
from siting.writers.land.markings_page import fill_markings
from siting.writers.land.rules_page import fill_rules
from siting.writers.land.words import DEFER_LAND
from siting.writers.land.zones_page import fill_zones
from siting.writers.lift.pages import draw_lift_title
from siting.writers.paper.flow import Flow

KIND = "Land sheet"


def land_pdf(plan: Plan) -> bytes:
    """land.pdf on the plan's paper, fonts embedded, the same bytes for the same plan.

    Every number is the plan's; only the drawing is laid out here. What the plan does not hold is said in words.
    """
    pages = _fill(plan, 1).sheet.page
    return _fill(plan, pages).finish()


def _fill(plan: Plan, pages: int) -> Flow:
    """The sheet with everything on it, telling on each page how many there are."""
    flow = Flow(plan, KIND, pages)
    fill_land(flow)
    return flow


def fill_land(flow: Flow) -> None:
    """The sheet from the open page on, which is still empty."""
    plan = flow.plan
    fill_rules(flow, draw_lift_title(flow.sheet, plan, KIND, flow.pages))
    fill_zones(flow)
    fill_power_lines(flow)
    fill_air(flow)
    fill_markings(flow)
    flow.lines("Cautions", (DEFER_LAND, *plan.cautions))
    flow.remarks()
