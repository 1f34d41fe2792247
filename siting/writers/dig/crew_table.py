"""The crew's table of anchors on the dig sheet: load, angle, kind, rod, where to stop, proof load, in figures of 14 points."""

from __future__ import annotations

from dataclasses import dataclass, replace

from siting.figures import shown
from siting.records.dig import DigPlan
from siting.records.holding import AnchorChoice, HoldingPlan
from siting.records.plan import Plan
from siting.writers.anchor_names import anchor_name
from siting.writers.dig.words import DO_NOT_RIG, KIND_WORDS, NOTHING_HOLDS, stop_at
from siting.writers.paper.blocks import middle_base
from siting.writers.paper.canvas import BOLD_LINE_MM, HAIR_MM, POINTS_PER_MM, THIN_MM, Sheet
from siting.writers.paper.flow import GAP_MM, TITLE_MM, Flow
from siting.writers.paper.sketch_marks import draw_mark
from siting.writers.paper.table import HEAD_MM, HEAD_SIZE, PAD_MM, RULE_INK, UNIT_SIZE, Column, Table, fit_lines

FIGURE, MOST_FIGURE, WORD_SIZE, SMALL = 14.0, 17.0, 8.0, 7.0
ROW_MM, LEAST_ROW_MM, MOST_ROW_MM = 9.2, 7.6, 12.0
MARK_MM, COMMA_MM = 4.4, 0.7
TITLE = "Anchors: dig or drill to these figures; a screw stops at its torque, never before its rod is in; then pull to the proof load"
# Title, unit, the column's part of the width.
HEADS = (
    ("Anchor", "", 0.13), ("Load", "kN", 0.09), ("from", "", 0.1), ("Angle", "of the rod", 0.1), ("Kind and size", "", 0.235),
    ("Rod", "m to its middle", 0.095), ("Stop at", "torque or depth", 0.15), ("Proof load", "kN", 0.1),
)  # fmt: skip
LEFT = (0, 2, 4)  # columns whose texts begin at the left


@dataclass(frozen=True, slots=True)
class CrewRow:
    """An anchor's row: its stake's role for the mark, the cells' texts, and why nothing holds there."""

    role: str
    cells: tuple[str, ...]
    stop_name: str
    refusal: str


def crew_rows(plan: Plan, holding: HoldingPlan, dig: DigPlan) -> tuple[CrewRow, ...]:
    """A row for each anchor, in the plan's order."""
    return tuple(_row(plan, choice, dig) for choice in holding.anchors)


def _row(plan: Plan, choice: AnchorChoice, dig: DigPlan) -> CrewRow:
    load, held, stop = choice.load, choice.chosen, stop_at(choice, dig)
    role = next((s.role for s in plan.stakes if s.id == choice.anchor), "permanent")
    cells = (
        anchor_name(plan, choice.anchor), shown(load.load_kn, "force", unit=False), load.basis, f"{load.angle_deg:.1f}°",
        f"{KIND_WORDS.get(held.kind, held.kind)}: {held.size}" if held else "",
        shown(held.rod_m, "length", unit=False) if held else "",
        f"{stop.figure} {stop.unit}" if stop.figure else "–", shown(choice.proof_kn, "force", unit=False),
    )  # fmt: skip
    return CrewRow(role, cells, stop.name, "" if held else " ".join((*choice.reasons[:1], DO_NOT_RIG)))


def crew_mm(count: int, row_mm: float = ROW_MM) -> float:
    """Height of the table with this many rows, mm."""
    return HEAD_MM + count * row_mm


def draw_crew_table(sheet: Sheet, y: float, rows: tuple[CrewRow, ...], row_mm: float = ROW_MM) -> float:
    """Draws it over the page's width; returns the y below it, mm."""
    width_mm = sheet.right - sheet.left
    edges = [sheet.left]
    for *_, part in HEADS:
        edges.append(edges[-1] + part * width_mm)
    _head(sheet, y, edges)
    top, y = y, y + HEAD_MM
    for row in rows:
        draw_mark(sheet, row.role, (edges[0] + MARK_MM / 2, y + row_mm / 2))
        _draw_row(sheet, y, row_mm, row, edges)
        y += row_mm
        sheet.line((sheet.left, y), (sheet.right, y), HAIR_MM, ink=RULE_INK)
    sheet.line((sheet.left, top), (sheet.right, top), BOLD_LINE_MM)
    sheet.line((sheet.left, y), (sheet.right, y), THIN_MM)
    return y


def _head(sheet: Sheet, y: float, edges: list[float]) -> None:
    sheet.box((sheet.left, y), (sheet.right - sheet.left, HEAD_MM), fill=0.93)
    low = y + HEAD_MM
    for number, (title, unit, _) in enumerate(HEADS):
        is_left = number in LEFT
        x = edges[number] + PAD_MM if is_left else edges[number + 1] - PAD_MM
        align = "left" if is_left else "right"
        room = edges[number + 1] - edges[number] - PAD_MM
        title, size = sheet.fitted(title, room, HEAD_SIZE, 5.5, bold=True)
        sheet.text((x, low - (3.9 if unit else 2.4)), title, size, bold=True, align=align)
        unit, size = sheet.fitted(unit, room, UNIT_SIZE, 5.0)
        sheet.text((x, low - 1.2), unit, size, align=align)
    sheet.line((sheet.left, low), (sheet.right, low), THIN_MM)


def _figure_size(row_mm: float) -> float:
    """Type size of the figures in a row of this height, points."""
    return min(MOST_FIGURE, max(FIGURE, FIGURE * row_mm / ROW_MM))


def _draw_row(sheet: Sheet, y: float, row_mm: float, row: CrewRow, edges: list[float]) -> None:
    figure, words = _figure_size(row_mm), WORD_SIZE if row_mm < ROW_MM + 1.0 else WORD_SIZE + 1.5
    for number, text in enumerate(row.cells):
        room = edges[number + 1] - edges[number] - 2 * PAD_MM
        if number == 0:
            _words(sheet, (edges[0] + MARK_MM + 0.6, y), (room - MARK_MM + 0.5, row_mm), text, figure)
        elif number in LEFT:
            _words(sheet, (edges[number] + PAD_MM, y), (room, row_mm), text, words)
        elif number == 6 and row.stop_name:
            text = sheet.speaker.say(text)
            up_mm = COMMA_MM if "," in text else 0.0  # a decimal comma hangs lower than a point
            sheet.text((edges[7] - PAD_MM, y + row_mm * 0.62 - up_mm), text, figure, bold=True, align="right")
            name, size = sheet.fitted(row.stop_name, room, SMALL, 4.5)
            sheet.text((edges[7] - PAD_MM, y + row_mm * 0.9), name, size, align="right")
        elif not (row.refusal and number > 3):
            sheet.text((edges[number + 1] - PAD_MM, middle_base(y, row_mm, figure)), text, figure, bold=number != 5, align="right")
    if row.refusal:
        tag_mm = sheet.text_mm(NOTHING_HOLDS, figure, bold=True) + 4.0
        sheet.box((edges[4] + PAD_MM, y + 0.7), (tag_mm, row_mm - 1.4), fill=0.0)
        sheet.text((edges[4] + PAD_MM + tag_mm / 2, middle_base(y, row_mm, figure)), NOTHING_HOLDS, figure, bold=True, align="middle", ink=1.0)
        left = edges[4] + PAD_MM + tag_mm + 1.5
        _words(sheet, (left, y), (sheet.right - left, row_mm), row.refusal, words)


def _words(sheet: Sheet, corner: tuple[float, float], room_mm: tuple[float, float], text: str, size: float) -> None:
    """Words in a cell: on one line as large as wanted where they fit, else smaller on two."""
    is_name = size >= FIGURE
    one, one_size = sheet.fitted(text, room_mm[0], size, size * (0.6 if is_name else 0.9), bold=is_name)
    lines, size = ([one], one_size) if not one.endswith("…") else fit_lines(sheet, text, room_mm[0], min(size, WORD_SIZE + 1.0), bold=is_name)
    step_mm = size * 1.05 / POINTS_PER_MM
    first = middle_base(corner[1], room_mm[1], size) - step_mm * (len(lines) - 1) / 2
    for number, line in enumerate(lines):
        sheet.text((corner[0], first + number * step_mm), line, size, bold=is_name)


def fill_crew_rows(flow: Flow, rows: tuple[CrewRow, ...]) -> None:
    """The rows that the first page had no room for, on pages of their own."""
    while rows:
        flow.turn()
        fits = int((flow.end - flow.y - TITLE_MM - HEAD_MM) // ROW_MM)
        flow.title(f"{TITLE}, continued")
        flow.y = draw_crew_table(flow.sheet, flow.y, rows[:fits]) + GAP_MM
        rows = rows[fits:]


RECORD_ROW_MM, RECORD_TITLE = 7.4, "Record: what was reached and what held"
RECORD_COLUMNS = (
    Column("Anchor", "", 0.13, "left", is_bold=True), Column("Reached", "kNm or m", 0.13, is_blank=True),
    Column("Ground as taken", "yes, or what", 0.2, is_blank=True), Column("Proof load", "kN on the gauge", 0.13, is_blank=True),
    Column("Held", "minutes", 0.1, is_blank=True), Column("Moved", "mm", 0.1, is_blank=True), Column("By, time", "", 0.21, is_blank=True),
)  # fmt: skip


def record_table(width_mm: float, rows: tuple[CrewRow, ...]) -> Table:
    """A form to write in what each anchor reached and held, over this width, mm."""
    columns = tuple(replace(c, width_mm=c.width_mm * width_mm) for c in RECORD_COLUMNS)
    blank = ("",) * (len(columns) - 1)
    return Table(columns, tuple((row.cells[0], *blank) for row in rows if not row.refusal), RECORD_ROW_MM, 11.0)


def fill_record(flow: Flow, holding: HoldingPlan, dig: DigPlan) -> None:
    """The form where the first page has no room for it."""
    record = record_table(flow.width_mm, crew_rows(flow.plan, holding, dig))
    flow.table(RECORD_TITLE, record)
