"""The lift sheet, lift.pdf: a page for the hand, what each line does, pictures, curves, after the lift, tables of record."""

from __future__ import annotations

from siting.records.plan import Plan
from siting.writers.lift.curves import fill_curves
from siting.writers.lift.force_tables import fill_errors, fill_forces
from siting.writers.lift.force_words import lift_notes
from siting.writers.lift.form import fill_form
from siting.writers.lift.guy_tables import fill_guys
from siting.writers.lift.orders import fill_orders
from siting.writers.lift.pages import draw_first_page, draw_lift_title
from siting.writers.lift.pictures import fill_pictures
from siting.writers.lift.slopes import slope_table
from siting.writers.lift.transfer import fill_transfer
from siting.writers.lift.words import SLOPES_FROM
from siting.writers.paper.flow import Flow

KIND = "Lift sheet"


def lift_pdf(plan: Plan) -> bytes:
    """lift.pdf on the plan's paper, fonts embedded, the same bytes for the same plan.

    Every number is the Plan's; only the drawing is laid out here. What the plan does not hold is said in words.
    """
    pages = _fill(plan, 1).sheet.page
    return _fill(plan, pages).finish()


def _fill(plan: Plan, pages: int) -> Flow:
    """The sheet with everything on it, telling on each page how many there are."""
    flow = Flow(plan, KIND, pages)
    fill_lift(flow)
    return flow


def fill_lift(flow: Flow) -> None:
    """The whole sheet from the top of a page on."""
    plan = flow.plan
    y = draw_lift_title(flow.sheet, plan, KIND, flow.pages)
    left_over = draw_first_page(flow.sheet, plan, y, flow.end)
    fill_orders(flow)
    if left_over:
        flow.table_in_columns(f"Slope of the ground ({SLOPES_FROM}), the other points", slope_table(left_over, flow.half_mm))
    fill_pictures(flow)
    fill_curves(flow)
    fill_transfer(flow)
    fill_form(flow)
    flow.turn()
    fill_forces(flow)
    fill_errors(flow)
    fill_guys(flow)
    flow.lines("What the numbers of the lift rest on and leave out", lift_notes(plan))
    flow.lines("Read first", (*plan.warnings, plan.mast.note, *plan.notes))
    flow.lines("Cautions", plan.cautions)
    flow.remarks()
