"""The plumb sheet, plumb.pdf: how the mast stands, the order of work in large steps, tensions and leans before and after."""

from __future__ import annotations

from siting.records.plan import Plan
from siting.records.plumb_sheet import PlumbSheet
from siting.writers.lift.orders import big_lines
from siting.writers.lift.words import DEFER
from siting.writers.map.words import VERDICT_WORDS
from siting.writers.paper.blocks import box_words, draw_lines, middle_base, step_of
from siting.writers.paper.flow import GAP_MM, Flow
from siting.writers.plumb.flow import PlumbFlow
from siting.writers.plumb.pictures import fill_pictures
from siting.writers.plumb.steps import fill_steps
from siting.writers.plumb.tables import fill_tables
from siting.writers.plumb.words import check_text, loud, other_warnings

VERDICT_MM, LOUD_MM, TAG_GAP_MM = 50.0, 64.0, 3.0
HEADLINE_SIZE, LOUD_SIZE, DEFER_SIZE = 14.0, 10.5, 12.0
LEAST_TAG_MM, SHOUT_SIZE = 13.0, 20.0


def plumb_pdf(sheet: PlumbSheet, plan: Plan) -> bytes:
    """plumb.pdf on the plan's paper, fonts embedded, the same bytes for the same sheet and plan.

    Every number is the PlumbSheet's; the plan gives names and places of the anchors. What was not read is said in words.
    """
    pages = _fill(sheet, plan, 1).sheet.page
    return _fill(sheet, plan, pages).finish()


def _fill(plumb: PlumbSheet, plan: Plan, pages: int) -> Flow:
    """The sheet with everything on it, telling on each page how many there are."""
    flow = PlumbFlow(plumb, plan, pages)
    _verdict(flow)
    for capitals, text in loud(plumb):
        _tagged(flow, LOUD_MM, capitals, text, LOUD_SIZE)
    _defer(flow)
    big_lines(flow, "Read first", other_warnings(plumb.correction))
    fill_pictures(flow)
    fill_steps(flow)
    fill_tables(flow)
    if plumb.report is not None:
        flow.lines("Checks", tuple(check_text(c) for c in plumb.report.checks))
    flow.lines("As written on the form", plumb.said)
    if plumb.correction is not None:
        flow.lines("How the mast is taken", (plumb.correction.assumes,))
    notes = (plumb.correction.notes if plumb.correction else ()) + (plumb.report.notes if plumb.report else ())
    flow.lines("What the numbers rest on", notes)
    flow.lines("Warnings of the plan", plan.warnings)
    flow.lines("Cautions", (DEFER, *plumb.cautions))
    inputs = tuple(f"{file.path}: SHA-256 {file.sha256}, {file.covers}" for file in plumb.inputs)
    flow.lines("Made from", inputs)
    flow.remarks()
    return flow


def _verdict(flow: PlumbFlow) -> None:
    """The verdict in a box, the headline beside it in large letters."""
    plumb = flow.plumb
    capitals = VERDICT_WORDS[plumb.verdict].upper()
    dark = plumb.verdict != "pass"
    _tagged(flow, VERDICT_MM, capitals, plumb.headline, HEADLINE_SIZE, dark=dark, bold=True)


def _tagged(flow: Flow, tag_mm: float, capitals: str, text: str, size: float, *, dark: bool = True, bold: bool = False) -> None:
    """A word in a box and the whole sentence beside it; the box grows with it, and turns the page with it where it must."""
    lines = flow.sheet.wrapped(text, flow.width_mm - tag_mm - TAG_GAP_MM, size, bold=bold)
    page_lines = int((flow.end - flow.sheet.top - 16.0) // step_of(size))
    for first in range(0, max(len(lines), 1), page_lines):
        part = lines[first : first + page_lines]
        height_mm = max(LEAST_TAG_MM, len(part) * step_of(size) + 1.5)
        flow.need(height_mm)
        box_words(flow.sheet, (flow.left, flow.y, tag_mm, height_mm), capitals, SHOUT_SIZE, dark=dark)
        top = flow.y + (height_mm - len(part) * step_of(size)) / 2
        draw_lines(flow.sheet, (flow.left + tag_mm + TAG_GAP_MM, top), part, size, bold=bold)
        flow.y += height_mm + 1.6


def _defer(flow: Flow) -> None:
    """Whom to defer to, as large as it goes on a line."""
    flow.need(7.0)
    text, size = flow.sheet.fitted(DEFER, flow.width_mm, DEFER_SIZE, 8.0, bold=True)
    flow.sheet.text((flow.left, middle_base(flow.y, 6.0, size)), text, size, bold=True)
    flow.y += 6.0 + GAP_MM
