"""Blocks of the printed sheets that must be heard: a word in a black box, a sentence as large as its room allows."""

from __future__ import annotations

from collections.abc import Sequence

from siting.writers.paper.canvas import BOLD_LINE_MM, CAPITAL_EM, POINTS_PER_MM, THIN_MM, Point, Sheet
from siting.writers.paper.language import Said

LINE_EM = 1.18
LEAST_WORD = 14.0  # points: a word that is shouted is never smaller
TICK_STROKE_MM = 0.45


def box_words(sheet: Sheet, box: tuple[float, float, float, float], text: str, size: float, *, dark: bool) -> None:
    """A word in a box, white on black where it must be heard."""
    left, top, width_mm, height_mm = box
    sheet.box((left, top), (width_mm, height_mm), BOLD_LINE_MM, 0.0 if dark else 1.0)
    text, size = sheet.fitted(text, width_mm - 3.0, size, LEAST_WORD, bold=True)
    base = top + height_mm / 2 + CAPITAL_EM * size / POINTS_PER_MM / 2
    sheet.text((left + width_mm / 2, base), text, size, bold=True, align="middle", ink=1.0 if dark else 0.0)


def beside(sheet: Sheet, box: tuple[float, float, float, float], text: str, most: float, least: float = 7.0) -> None:
    """A sentence on one to three lines in the middle of a box, as large as fits."""
    left, top, width_mm, height_mm = box
    size = most
    while size > least and len(sheet.wrapped(text, width_mm, size)) * size * LINE_EM / POINTS_PER_MM > height_mm:
        size -= 0.25
    lines = sheet.wrapped(text, width_mm, size)
    step_mm = size * LINE_EM / POINTS_PER_MM
    room = max(1, int(height_mm / step_mm + 0.2))
    if len(lines) > room:
        lines = [*lines[: room - 1], sheet.cut(Said(" ".join(lines[room - 1 :])), width_mm, size)]
    first = top + height_mm / 2 + CAPITAL_EM * size / POINTS_PER_MM / 2 - step_mm * (len(lines) - 1) / 2
    for number, line in enumerate(lines):
        sheet.text((left, first + number * step_mm), line, size)


def step_of(size: float) -> float:
    """From one base line to the next at this type size, mm."""
    return size * LINE_EM / POINTS_PER_MM


def draw_lines(sheet: Sheet, at: Point, lines: Sequence[str], size: float, *, bold: bool = False) -> float:
    """Lines of text from this upper left corner; returns the y below them, mm."""
    y = at[1]
    for line in lines:
        sheet.text((at[0], y + step_of(size) * 0.78), line, size, bold=bold)
        y += step_of(size)
    return y


def middle_base(y: float, height_mm: float, size: float) -> float:
    """The base line of a text of this size in the middle of a row, mm."""
    return y + height_mm / 2 + CAPITAL_EM * size / POINTS_PER_MM / 2


def draw_tick(sheet: Sheet, corner: Point, side_mm: float) -> None:
    """An empty box to tick."""
    sheet.box(corner, (side_mm, side_mm), TICK_STROKE_MM)


def draw_blank(sheet: Sheet, corner: Point, size_mm: Point, label: str) -> None:
    """A box to write in, its name small in the corner."""
    sheet.box(corner, size_mm, THIN_MM)
    label, size = sheet.fitted(label, size_mm[0] - 2.0, 7.5, 5.5)
    sheet.text((corner[0] + 1.1, corner[1] + 2.9), label, size, ink=0.15)
