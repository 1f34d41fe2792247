"""The profile sheet: the laydown with its cribs, the guys over their ground, the rose of all directions."""

from __future__ import annotations

from siting.records.plan import Plan
from siting.writers.lift.pages import draw_lift_title
from siting.writers.paper.flow import Flow
from siting.writers.profiles.guys_paper import fill_guys
from siting.writers.profiles.laydown_paper import fill_laydown
from siting.writers.profiles.rose_paper import fill_rose
from siting.writers.profiles.words import NO_PROFILES

KIND = "Profile sheet"

__all__ = ["fill_profiles", "fill_rose", "profiles_pdf"]


def profiles_pdf(plan: Plan) -> bytes:
    """profiles.pdf on the plan's paper, fonts embedded, the same bytes for the same plan.

    Every number is the Plan's; only the drawing is laid out here.
    """
    pages = _fill(plan, 1).sheet.page
    return _fill(plan, pages).finish()


def fill_profiles(flow: Flow) -> None:
    """Laydown and guys from where the sheet is: the laydown on what is left of the page, if it has the room."""
    if flow.plan.profiles is None:
        flow.lines("Profiles of the ground", (NO_PROFILES,))
        return
    fill_laydown(flow)
    fill_guys(flow)


def _fill(plan: Plan, pages: int) -> Flow:
    """The sheet with everything on it, telling on each page how many there are."""
    flow = Flow(plan, KIND, pages)
    flow.y = draw_lift_title(flow.sheet, plan, KIND, pages) + 1.5
    fill_profiles(flow)
    fill_rose(flow)
    flow.remarks()
    return flow
