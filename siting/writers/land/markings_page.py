"""Markings on the land sheet: what laws ask for so that the mast is seen, bands in figures and drawn, the others with why."""

from __future__ import annotations

from siting.figures import shown
from siting.records.air import NO, Marking
from siting.writers.land.entries import Entry, Heads, fill_entries
from siting.writers.land.marking_drawing import draw_marking
from siting.writers.land.words import asked_markings, drawn_marking, marking_texts
from siting.writers.paper.blocks import draw_lines
from siting.writers.paper.flow import GAP_MM, TITLE_SIZE, Flow
from siting.writers.paper.language import Said
from siting.writers.paper.table import Column, Table, draw_table

DRAWING_PART, MOST_BESIDE = 0.56, 18
HIGH_MM, LEAST_MM, ROW_MM, SIZE = 138.0, 40.0, 5.0, 8.5
APPLIES = {"yes": "APPLIES", NO: "NO"}
HEADS = Heads("Law or guidance, where it holds", (), "Applies", 32.0)


def fill_markings(flow: Flow) -> None:
    """The markings, the drawing whole on a page; nothing where the plan has no screening."""
    air = flow.plan.air
    if air is None or not air.markings:
        return
    shown_one = drawn_marking(air.markings)
    flow.need(TITLE_SIZE + HIGH_MM if shown_one is not None else LEAST_MM)
    if shown_one is not None:
        _drawn(flow, shown_one)
    for marking in air.markings:
        if marking.applies == "yes" and marking.bands and marking is not shown_one and marking.bands != shown_one.bands:
            _table(flow, marking)
    asked = [m for m in asked_markings(air.markings) if m is not shown_one]
    fill_entries(flow, "Other laws that apply, or of which it cannot be told", HEADS, [_entry(k, m) for k, m in enumerate(asked, 1)])
    texts = tuple(f"{m.law} ({m.place}): {m.why}. Source: {m.source}; read {m.date_read}." for m in air.markings if m.applies == NO)
    flow.lines("Laws that do not apply, and why", texts)


def _entry(number: int, marking: Marking) -> Entry:
    title = f"{marking.law} ({marking.place})"
    lines = (f"Why: {marking.why}.", " ".join(marking_texts(marking)), f"Source: {marking.source}; read {marking.date_read}.")
    return Entry(str(number), title, (), APPLIES.get(marking.applies, "CANNOT TELL"), lines)


def _drawn(flow: Flow, marking: Marking) -> None:
    """The first law with bands: its drawing, its bands in figures beside or below it, and what else it asks for."""
    applies = APPLIES.get(marking.applies, "CANNOT TELL")
    whole = f"Marking as drawn: {marking.law} ({marking.place}): {applies}"
    is_cut = flow.sheet.text_mm(whole, TITLE_SIZE, bold=True) > flow.width_mm
    flow.title(f"Marking as drawn: {applies}" if is_cut else whole)
    width_mm = flow.width_mm * DRAWING_PART
    high_mm = min(HIGH_MM, flow.end - flow.y)
    draw_marking(flow.sheet, flow.plan, marking, (flow.left, flow.y, flow.left + width_mm, flow.y + high_mm))
    x, beside_mm = flow.left + width_mm + 3.0, flow.width_mm - width_mm - 3.0
    y = flow.y
    is_beside = len(marking.bands) <= MOST_BESIDE
    if is_beside:
        y = draw_table(flow.sheet, (x, y), bands_table(marking, beside_mm)) + GAP_MM
    named = (f"{marking.law} ({marking.place}).",) if is_cut else ()
    texts = (*named, f"Why: {marking.why}.", *marking_texts(marking), f"Source: {marking.source}; read {marking.date_read}.")
    lines = [line for text in texts for line in flow.sheet.wrapped(text, beside_mm, 8.0)]
    room = max(0, int((flow.y + high_mm - y) / 3.4))
    draw_lines(flow.sheet, (x, y), lines[:room], 8.0)
    flow.y += high_mm + GAP_MM
    if lines[room:]:  # what finds no room beside the drawing
        flow.y = draw_lines(flow.sheet, (flow.left, flow.y), flow.sheet.wrapped(Said(" ".join(lines[room:])), flow.width_mm, 8.0), 8.0) + GAP_MM
    if not is_beside:
        _table(flow, marking)


def _table(flow: Flow, marking: Marking) -> None:
    flow.table_in_columns(f"Bands: {marking.law} ({marking.place})", bands_table(marking, flow.half_mm))


def bands_table(marking: Marking, width_mm: float) -> Table:
    """The bands from the tip down, in metres and feet."""
    rows = tuple(
        (str(k), shown(b.from_m, "length", unit=False), shown(b.to_m, "length", unit=False), shown(b.from_ft, "feet", unit=False),
         shown(b.to_ft, "feet", unit=False), b.colour)
        for k, b in enumerate(marking.bands, 1)
    )  # fmt: skip
    part = width_mm / 10
    columns = (
        Column("Band", "", part, "left", is_bold=True), Column("From", "m", part * 1.6, group="from the tip down"),
        Column("to", "m", part * 1.6, group="from the tip down"), Column("From", "ft", part * 1.6, group="from the tip down"),
        Column("to", "ft", part * 1.6, group="from the tip down"), Column("Colour", "", part * 2.6, "left", is_words=True),
    )  # fmt: skip
    return Table(columns, rows, ROW_MM, SIZE)
