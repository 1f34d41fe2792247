"""The pages after the lift: in which order the guys go over to the permanent anchors, a row and a box to tick for each step."""

from __future__ import annotations

from dataclasses import dataclass

from siting.records.plumb import LET_GO, SET, TransferStep
from siting.writers.lift.slopes import FIGURE
from siting.writers.lift.transfer_words import (
    ACTION_WORDS,
    NO_ORDER_LOUD,
    TRANSFER_TITLE,
    no_transfer,
    step_anchor,
    step_gap,
    step_held,
    step_level,
)
from siting.writers.lift.words import DEFER
from siting.writers.paper.blocks import box_words, draw_blank, draw_lines, draw_tick, middle_base, step_of
from siting.writers.paper.canvas import HAIR_MM, THIN_MM, Point, Sheet
from siting.writers.paper.flow import GAP_MM, Flow
from siting.writers.paper.table import PAD_MM, RULE_INK

# Widths of the columns, mm; what is done takes the rest.
TICK_MM, NUMBER_MM, ACTION_MM, LEVEL_MM, ANCHOR_MM, HELD_MM, GAP_COLUMN_MM = 8.0, 8.5, 34.0, 17.0, 25.5, 25.0, 15.0
HEAD_MM, LEAST_ROW_MM, TICK_BOX_MM = 7.6, 9.6, 5.6
BIG, LEAST_BIG, HELD_SIZE, WORDS_SIZE, RULE_SIZE = FIGURE, 9.0, 9.0, 8.0, 10.5
HEADING_SIZE, SIGN_MM, SHOUT_MM = 17.0, 12.0, 12.0
LEVEL_RULE_MM, MARK_MM = 0.7, 1.7
SIGNS = ("Led by", "Date", "Begun at", "Done at")
TICK_FIRST = "Tick a step when it is done. Nobody begins a step before the one above it is ticked."


@dataclass(frozen=True, slots=True)
class _Row:
    """A step laid out: its texts, its wrapped lines, its height in mm."""

    step: TransferStep
    anchor: tuple[str, ...]
    anchor_size: float
    held: tuple[str, ...]
    words: tuple[str, ...]
    height_mm: float


def fill_transfer(flow: Flow) -> None:
    """Pages of their own: what the order rests on, then its steps; where the plan holds none, why."""
    flow.turn()
    heading(flow, TRANSFER_TITLE)
    transfer = flow.plan.transfer
    if transfer is None:
        box_words(flow.sheet, (flow.left, flow.y, flow.width_mm, SHOUT_MM), NO_ORDER_LOUD, 19.0, dark=True)
        flow.y += SHOUT_MM + GAP_MM
        for text in (*no_transfer(flow.plan), f"Ask the mast maker for the order. {DEFER}"):
            lines = flow.sheet.wrapped(text, flow.width_mm, 12.0)
            flow.y = draw_lines(flow.sheet, (flow.left, flow.y), lines, 12.0) + 1.5
        return
    _signs(flow)
    for text in (TICK_FIRST, *transfer.notes):
        _rule(flow, text)
    flow.y += 1.2
    rows = [_row(flow, step) for step in transfer.steps]
    _rows(flow, rows)


def heading(flow: Flow, text: str) -> None:
    """The heading of a crew's page, in large letters."""
    text, size = flow.sheet.fitted(text, flow.width_mm, HEADING_SIZE, 11.0, bold=True)
    flow.sheet.text((flow.left, flow.y + 5.4), text, size, bold=True)
    flow.y += 8.6


def _rule(flow: Flow, text: str) -> None:
    """A rule of the work, with a dash before it."""
    flow.sheet.text((flow.left, flow.y + step_of(RULE_SIZE) * 0.78), "–", RULE_SIZE)
    lines = flow.sheet.wrapped(text, flow.width_mm - 3.4, RULE_SIZE)
    flow.y = draw_lines(flow.sheet, (flow.left + 3.4, flow.y), lines, RULE_SIZE) + 0.6


def _words_mm(flow: Flow) -> float:
    return flow.width_mm - TICK_MM - NUMBER_MM - ACTION_MM - LEVEL_MM - ANCHOR_MM - HELD_MM - GAP_COLUMN_MM


def _row(flow: Flow, step: TransferStep) -> _Row:
    """The step's texts in lines, and the height that the longest of them needs."""
    sheet, room_mm = flow.sheet, ANCHOR_MM - 2 * PAD_MM
    anchor, size = step_anchor(flow.plan, step), BIG
    while size > LEAST_BIG and len(sheet.wrapped(anchor, room_mm, size, bold=True)) > 2:
        size -= 0.5
    lines = sheet.wrapped(anchor, room_mm, size, bold=True)
    held = sheet.wrapped(step_held(flow.plan, step), HELD_MM - 2 * PAD_MM, HELD_SIZE)
    text = step.instruction[:1].upper() + step.instruction[1:] + "."
    words = sheet.wrapped(text, _words_mm(flow) - 2 * PAD_MM, WORDS_SIZE)
    tall = max(len(lines) * step_of(size), len(held) * step_of(HELD_SIZE), len(words) * step_of(WORDS_SIZE))
    return _Row(step, tuple(lines), size, tuple(held), tuple(words), max(LEAST_ROW_MM, tall + 1.8))


def _rows(flow: Flow, rows: list[_Row]) -> None:
    """Every row, a head on each page and a thick rule where a level begins."""
    before: float | None = -1.0
    for number, row in enumerate(rows):
        if number == 0 or flow.y + row.height_mm > flow.end:
            if number:
                flow.turn()
            flow.need(HEAD_MM + row.height_mm)
            _head(flow)
        elif row.step.level_m != before:
            flow.sheet.line((flow.left, flow.y), (flow.sheet.right, flow.y), LEVEL_RULE_MM)
        before = row.step.level_m
        _draw(flow, row)
    flow.sheet.line((flow.left, flow.y), (flow.sheet.right, flow.y), LEVEL_RULE_MM)
    flow.y += GAP_MM


def _lefts(flow: Flow) -> list[float]:
    """The left edges of the columns, mm."""
    edges = [flow.left]
    for width_mm in (TICK_MM, NUMBER_MM, ACTION_MM, LEVEL_MM, ANCHOR_MM, HELD_MM, GAP_COLUMN_MM):
        edges.append(edges[-1] + width_mm)
    return edges


def _head(flow: Flow) -> None:
    sheet, y, x = flow.sheet, flow.y, _lefts(flow)
    sheet.box((flow.left, y), (flow.width_mm, HEAD_MM), fill=0.9)
    titles = (("Done", ""), ("No.", ""), ("Action", ""), ("Level", "above hinge"), ("Anchor", "point on the stake"))
    titles += (("What holds", "the level then"), ("Gap", "the widest"), ("How", ""))
    for left, right, (title, below) in zip(x, (*x[1:], sheet.right), titles, strict=True):
        title, size = sheet.fitted(title, right - left - PAD_MM, 8.0, 5.0, bold=True)
        sheet.text((left + PAD_MM, y + (3.4 if below else 4.8)), title, size, bold=True)
        below, size = sheet.fitted(below, right - left - PAD_MM, 7.0, 5.0)
        sheet.text((left + PAD_MM, y + 6.4), below, size)
    sheet.line((flow.left, y), (sheet.right, y), LEVEL_RULE_MM)
    sheet.line((flow.left, y + HEAD_MM), (sheet.right, y + HEAD_MM), THIN_MM)
    flow.y += HEAD_MM


def _draw(flow: Flow, row: _Row) -> None:
    """One row: the box to tick, what to do in large letters, what holds then, how."""
    sheet, y, step, x = flow.sheet, flow.y, row.step, _lefts(flow)
    base = middle_base(y, row.height_mm, BIG)
    draw_tick(sheet, (x[0] + 0.6, y + (row.height_mm - TICK_BOX_MM) / 2), TICK_BOX_MM)
    sheet.text((x[2] - 1.4, base), str(step.number), BIG, bold=True, align="right")
    _mark(sheet, (x[2] + 2.6, y + row.height_mm / 2), step.action)
    action, size = sheet.fitted(ACTION_WORDS[step.action], x[3] - x[2] - 6.2, BIG, 9.0, bold=True)
    sheet.text((x[2] + 5.6, base), action, size, bold=True)
    level, size = sheet.fitted(step_level(step), LEVEL_MM - 2 * PAD_MM, BIG, 5.5, bold=True)
    sheet.text((x[3] + PAD_MM, middle_base(y, row.height_mm, size)), level, size, bold=True)
    _middle(sheet, (x[4] + PAD_MM, y), row.anchor, row.anchor_size, row.height_mm, bold=True)
    _middle(sheet, (x[5] + PAD_MM, y), row.held, HELD_SIZE, row.height_mm)
    sheet.text((x[7] - 2.4, base), step_gap(step), 12.0, align="right")
    _middle(sheet, (x[7] + PAD_MM, y), row.words, WORDS_SIZE, row.height_mm)
    flow.y += row.height_mm
    sheet.line((flow.left, flow.y), (sheet.right, flow.y), HAIR_MM, ink=RULE_INK)


def _middle(sheet: Sheet, at: Point, lines: tuple[str, ...], size: float, height_mm: float, *, bold: bool = False) -> None:
    """Lines of text in the middle of a row's height."""
    first = middle_base(at[1], height_mm, size) - step_of(size) * (len(lines) - 1) / 2
    for number, line in enumerate(lines):
        sheet.text((at[0], first + number * step_of(size)), line, size, bold=bold)


def _mark(sheet: Sheet, at: Point, action: str) -> None:
    """A ring that is full where a guy holds, half full where it is tightened, and empty where it is let go."""
    sheet.circle(at, MARK_MM, 0.45, 1.0 if action in (LET_GO, SET) else 0.0)
    if action == SET:
        sheet.circle(at, MARK_MM * 0.5, 0.0, 0.0)


def _signs(flow: Flow) -> None:
    """Boxes for who leads it and when."""
    width_mm = flow.width_mm / len(SIGNS)
    for number, label in enumerate(SIGNS):
        draw_blank(flow.sheet, (flow.left + number * width_mm, flow.y), (width_mm, SIGN_MM), label)
    flow.y += SIGN_MM + 1.6
