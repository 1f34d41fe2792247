"""The dig sheet, dig.pdf: a page for the hand, drawings of every anchor, tables of the digging, the locate notice, materials."""

from __future__ import annotations

from siting.records.dig import DigPlan
from siting.records.holding import HoldingPlan
from siting.records.plan import Plan
from siting.writers.dig.crew_table import fill_crew_rows, fill_record
from siting.writers.dig.locate_page import fill_locate
from siting.writers.dig.materials import fill_materials
from siting.writers.dig.method import fill_method
from siting.writers.dig.pages import draw_dig_page
from siting.writers.dig.pictures import fill_dig_pictures
from siting.writers.dig.tables import fill_dig_tables
from siting.writers.lift.pages import draw_lift_title
from siting.writers.paper.flow import Flow

KIND = "Dig sheet"


def dig_pdf(plan: Plan, holding: HoldingPlan, dig: DigPlan) -> bytes:
    """dig.pdf on the plan's paper, fonts embedded, the same bytes for the same plan.

    Every number is the records'; only the drawing is laid out here.
    """
    pages = _fill(plan, (holding, dig), 1).sheet.page
    return _fill(plan, (holding, dig), pages).finish()


def _fill(plan: Plan, found: tuple[HoldingPlan, DigPlan], pages: int) -> Flow:
    """The sheet with everything on it, telling on each page how many there are."""
    flow = Flow(plan, KIND, pages)
    fill_dig(flow, *found)
    return flow


def fill_dig(flow: Flow, holding: HoldingPlan, dig: DigPlan) -> None:
    """The whole sheet from the top of a page on."""
    found = (holding, dig)
    y = draw_lift_title(flow.sheet, flow.plan, KIND, flow.pages)
    left_over, has_record = draw_dig_page(flow.sheet, flow.plan, found, (y, flow.end))
    fill_crew_rows(flow, left_over)
    if left_over:
        fill_record(flow, *found)
    fill_dig_pictures(flow, *found)
    flow.turn()
    if not (has_record or left_over):
        fill_record(flow, *found)
    fill_dig_tables(flow, *found)
    fill_locate(flow, found[1])
    fill_materials(flow, found[1])
    fill_method(flow, *found)
