"""The packet's cover: site and verdict in large letters, what is not checked as loud, wind stop, laydown, where the base is, contents."""

from __future__ import annotations

from dataclasses import dataclass

from siting.figures import shown
from siting.records.plan import Plan
from siting.verdict import PASS
from siting.writers.lift.pages import draw_lift_title, draw_parts, draw_place
from siting.writers.lift.words import DEFER, NOT_SET, wind_words
from siting.writers.map.words import VERDICT_WORDS
from siting.writers.packet_pdf.checks_pages import unchecked_names
from siting.writers.paper.blocks import beside, box_words
from siting.writers.paper.canvas import BOLD_LINE_MM, HAIR_MM, THIN_MM, Sheet
from siting.writers.paper.flow import Flow
from siting.writers.paper.table import fit_lines

KIND = "Packet"
TAG_MM, VERDICT_MM, UNCHECKED_MM, WIND_MM, GAP_MM, SIDE_MM = 72.0, 22.0, 18.0, 13.0, 2.6, 3.0
VERDICT_SIZE, HEADLINE_SIZE, WIND_SIZE, FIGURE = 31.0, 15.0, 20.0, 17.0
FACT_MM, FACT_LABEL, FACT_SIZE = 8.6, 7.0, 12.0
ROW_MM, LEAST_ROW_MM, MOST_ROW_MM, NAME_SIZE, PURPOSE_SIZE = 9.5, 7.0, 13.0, 12.0, 10.0
NAME_PART, PAGE_MM = 0.34, 14.0
DEFER_MM, TITLE_MM = 7.0, 5.6
NO_WIND = "No wind at which the lift stops is written in the plan: nothing is raised before it is set."


@dataclass(frozen=True, slots=True)
class Entry:
    """A line of the contents: a sheet, the page on which it begins, what it is for."""

    kind: str
    page: int
    purpose: str


def fill_cover(flow: Flow, entries: tuple[Entry, ...]) -> None:
    """The cover on the page where the packet is."""
    plan, sheet = flow.plan, flow.sheet
    y = draw_lift_title(sheet, plan, KIND, flow.pages) + GAP_MM
    y = _loud(sheet, y, VERDICT_MM, (VERDICT_WORDS[plan.verdict].upper(), plan.headline), is_dark=plan.verdict != PASS)
    names = f"Nobody has checked these, which is never a pass: {', '.join(unchecked_names(plan))}."
    y = _loud(sheet, y, UNCHECKED_MM, (VERDICT_WORDS["unchecked"], names), is_dark=True)
    y = _wind(sheet, plan, y)
    y = _laydown(sheet, plan, y)
    y = _facts(sheet, plan, y)
    y = draw_place(sheet, plan, y) + GAP_MM
    _contents(flow, entries, y)
    text, size = sheet.fitted(DEFER, flow.width_mm, 11.0, 7.0, bold=True)
    sheet.text((flow.left, flow.end - 1.8), text, size, bold=True)


def _loud(sheet: Sheet, y: float, high_mm: float, words: tuple[str, str], *, is_dark: bool) -> float:
    """A word in a box and its sentence beside it; returns the y below, mm."""
    box_words(sheet, (sheet.left, y, TAG_MM, high_mm), words[0], VERDICT_SIZE, dark=is_dark)
    left = sheet.left + TAG_MM + SIDE_MM
    size = HEADLINE_SIZE
    room = (left, y, sheet.right - left, high_mm)
    beside(sheet, room, words[1], size, 6.0)
    return y + high_mm + GAP_MM


def _wind(sheet: Sheet, plan: Plan, y: float) -> float:
    """The wind at which the lift stops; that it is not set is shouted."""
    width_mm = sheet.right - sheet.left
    value, words = wind_words(plan)
    if plan.wind_stop is None:
        box_words(sheet, (sheet.left, y, width_mm, WIND_MM), NOT_SET, WIND_SIZE, dark=True)
        text, size = sheet.fitted(NO_WIND, width_mm, 9.5, 7.0)
        sheet.text((sheet.left, y + WIND_MM + 3.8), text, size)
        return y + WIND_MM + 5.2 + GAP_MM
    sheet.box((sheet.left, y), (width_mm, WIND_MM), BOLD_LINE_MM)
    x = draw_parts(sheet, (sheet.left + 3.0, y + 9.0), (("WIND STOP", FIGURE, True), (value, WIND_SIZE, True)), 4.0)
    beside(sheet, (x, y + 1.0, sheet.right - x - 2.0, WIND_MM - 2.0), words, 12.0, 7.0)
    return y + WIND_MM + GAP_MM


def _laydown(sheet: Sheet, plan: Plan, y: float) -> float:
    """The laydown by its three norths, large."""
    lay = plan.laydown
    sheet.line((sheet.left, y), (sheet.right, y), THIN_MM)
    norths = ((lay.azimuth_deg, "true"), (lay.azimuth_grid_deg, "grid"), (lay.azimuth_magnetic_deg, "magnetic"))
    parts = [("Lay down to", 10.0, True)]
    for value, name in norths:
        parts += [("not known" if value is None else shown(value, "bearing"), FIGURE, True), (name, 10.0, False)]
    draw_parts(sheet, (sheet.left, y + 7.6), parts, 2.0)
    sheet.line((sheet.left, y + 10.6), (sheet.right, y + 10.6), THIN_MM)
    return y + 10.6 + GAP_MM


def _facts(sheet: Sheet, plan: Plan, y: float) -> float:
    """Mast and run, in two columns."""
    mast, made = plan.mast, plan.provenance
    rows = (
        ("Mast", mast.name),
        ("Height from the hinge", shown(mast.height_m, "length")),
        ("Ground to the tip of the air terminal", shown(mast.total_height_m, "length")),
        ("Run: the same in every file and on every sheet", made.run_id),
    )
    wide_mm = (sheet.right - sheet.left) / 2
    for number, (name, value) in enumerate(rows):
        x, top = sheet.left + number % 2 * wide_mm, y + number // 2 * FACT_MM
        name, size = sheet.fitted(name, wide_mm - 3.0, FACT_LABEL, 5.5)
        sheet.text((x, top + 2.6), name, size, ink=0.2)
        value, size = sheet.fitted(value, wide_mm - 3.0, FACT_SIZE, 7.0, bold=True)
        sheet.text((x, top + 7.2), value, size, bold=True)
    return y + 2 * FACT_MM + 1.4


def _contents(flow: Flow, entries: tuple[Entry, ...], y: float) -> None:
    """Every sheet with its page and what it is for."""
    sheet = flow.sheet
    sheet.text((flow.left, y + 3.6), "Contents", 10.0, bold=True)
    sheet.text((sheet.right, y + 3.6), "page", 8.0, align="right")
    y += TITLE_MM
    row_mm = max(LEAST_ROW_MM, min(MOST_ROW_MM, (flow.end - DEFER_MM - y) / max(len(entries), 1)))
    name_mm = flow.width_mm * NAME_PART
    for entry in entries:
        sheet.line((flow.left, y), (sheet.right, y), HAIR_MM)
        middle = y + row_mm / 2 + 1.5
        name, size = sheet.fitted(entry.kind, name_mm - 3.0, NAME_SIZE, 7.0, bold=True)
        sheet.text((flow.left, middle), name, size, bold=True)
        lines, size = fit_lines(sheet, entry.purpose, flow.width_mm - name_mm - PAGE_MM, PURPOSE_SIZE if row_mm > ROW_MM else 8.5)
        step_mm = size * 0.37
        for number, line in enumerate(lines):
            sheet.text((flow.left + name_mm, middle + (number - (len(lines) - 1) / 2) * step_mm), line, size)
        sheet.text((sheet.right, middle), str(entry.page), NAME_SIZE, bold=True, align="right")
        sheet.link((flow.left, y), (flow.width_mm, row_mm), entry.kind)
        y += row_mm
    sheet.line((flow.left, y), (sheet.right, y), HAIR_MM)
