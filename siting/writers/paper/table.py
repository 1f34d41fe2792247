"""Ruled tables of the printed sheets: heading with units, rows of one height, empty columns to write in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from siting.writers.paper.canvas import BOLD_LINE_MM, CAPITAL_EM, HAIR_MM, POINTS_PER_MM, THIN_MM, Point, Sheet
from siting.writers.paper.language import Said
from siting.writers.paper.sketch_marks import draw_mark

PAD_MM = 1.1
MARK_MM, HEAD_TIP_MM = 5.0, 1.3  # room for a mark; the head's is drawn from its tip
HEAD_MM, GROUP_MM = 7.2, 3.6
HEAD_SIZE, UNIT_SIZE, LOW_UNIT_SIZE = 7.0, 6.5, 6.0
# Words beside the numbers: on two lines where one is too short, never smaller than this.
SMALL_SIZE, ONE_LINE_SIZE, SMALLEST_SIZE = 7.5, 6.0, 5.5
RULE_INK = 0.25


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its heading, the unit below it, its width, and how its cells are set."""

    title: str
    unit: str = ""
    width_mm: float = 0.0
    align: str = "right"
    group: str = ""  # a heading over several neighbours
    is_bold: bool = False
    is_words: bool = False  # small words, on two lines where needed
    is_blank: bool = False  # to write in


@dataclass(frozen=True, slots=True)
class Table:
    """Columns and the texts of the rows, with the rows' height (mm) and the numbers' type size (points).

    A row of one text is a heading between the rows. Marks, one a row, stand at the right of the first column.
    """

    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    row_mm: float
    size: float
    marks: tuple[str, ...] = ()

    @property
    def width_mm(self) -> float:
        """The whole width, mm."""
        return sum(c.width_mm for c in self.columns)

    @property
    def head_mm(self) -> float:
        """Height of the heading, mm."""
        return HEAD_MM + (GROUP_MM if any(c.group for c in self.columns) else 0.0)

    @property
    def height_mm(self) -> float:
        """The whole height, mm."""
        return self.head_mm + self.row_mm * len(self.rows)

    def part(self, first: int, last: int) -> Table:
        """The same table with these rows only."""
        return replace(self, rows=self.rows[first:last], marks=self.marks[first:last])


def column_mm(sheet: Sheet, texts: Sequence[str], size: float, column: Column) -> float:
    """The width at which a column holds these texts at this size and its own heading, padding included, mm."""
    widths = [sheet.text_mm(t, size, bold=column.is_bold) for t in texts]
    widths += [sheet.text_mm(column.title, HEAD_SIZE, bold=True), sheet.text_mm(column.unit, LOW_UNIT_SIZE)]
    return max(widths) + 2 * PAD_MM


def base_line_mm(row_mm: float, size: float) -> float:
    """How far below a row's upper rule the base line of its text lies, mm."""
    return row_mm / 2 + CAPITAL_EM * size / POINTS_PER_MM / 2


def draw_table(sheet: Sheet, at: Point, table: Table) -> float:
    """Draws the table with its upper left corner here; returns the y below it, mm."""
    x, y = at
    _draw_head(sheet, at, table)
    y += table.head_mm
    for number, row in enumerate(table.rows):
        if table.marks:
            role = table.marks[number]
            middle = y + table.row_mm / 2 - (HEAD_TIP_MM if role == "head" else 0.0)
            draw_mark(sheet, role, (x + table.columns[0].width_mm - MARK_MM / 2, middle))
        if len(row) == 1:
            sheet.text((x + PAD_MM, y + base_line_mm(table.row_mm, HEAD_SIZE)), row[0], HEAD_SIZE, bold=True)
        left = x
        for column, text in zip(table.columns, row, strict=True) if len(row) > 1 else ():
            if not column.is_blank:
                _draw_cell(sheet, (left, y), column, text, table)
            left += column.width_mm
        y += table.row_mm
        sheet.line((x, y), (x + table.width_mm, y), HAIR_MM, ink=RULE_INK)
    _draw_rules(sheet, at, table, y)
    return y


def _draw_rules(sheet: Sheet, at: Point, table: Table, end_y: float) -> None:
    """The outer rules, and lines that set off the groups and the columns to write in."""
    x, y = at
    sheet.line((x, y), (x + table.width_mm, y), BOLD_LINE_MM)
    sheet.line((x, end_y), (x + table.width_mm, end_y), THIN_MM)
    left, before = x, table.columns[0]
    for column in table.columns:
        if left > x and (column.is_blank or column.group != before.group):
            is_inside = bool(column.group) and column.group == before.group
            sheet.line((left, y + (GROUP_MM if is_inside else 0.0)), (left, end_y), HAIR_MM, ink=RULE_INK)
        left, before = left + column.width_mm, column
    if before.is_blank:
        sheet.line((left, y), (left, end_y), HAIR_MM, ink=RULE_INK)


def _draw_head(sheet: Sheet, at: Point, table: Table) -> None:
    x, y = at
    lower = y + table.head_mm
    sheet.box(at, (table.width_mm, table.head_mm), fill=0.93)
    left, group_left = x, x
    for number, column in enumerate(table.columns):
        right = left + column.width_mm
        title, size = sheet.fitted(column.title, column.width_mm - PAD_MM, HEAD_SIZE, SMALLEST_SIZE, bold=True)
        unit, unit_size = sheet.fitted(column.unit, column.width_mm - 1.5 * PAD_MM, UNIT_SIZE, 5.0)
        align = "middle" if column.is_blank else column.align
        place = {"left": left + PAD_MM, "right": right - PAD_MM, "middle": (left + right) / 2}[align]
        sheet.text((place, lower - (3.9 if unit else 2.4)), title, size, bold=True, align=align)
        sheet.text((place, lower - 1.2), unit, unit_size, align=align)
        after = table.columns[number + 1].group if number + 1 < len(table.columns) else ""
        if column.group and column.group != after:
            sheet.text(((group_left + right) / 2, y + GROUP_MM - 0.7), column.group, HEAD_SIZE, align="middle")
            sheet.line((group_left + PAD_MM, y + GROUP_MM), (right - PAD_MM, y + GROUP_MM), HAIR_MM)
        if column.group != after:
            group_left = right
        left = right
    sheet.line((x, lower), (x + table.width_mm, lower), THIN_MM)


def _draw_cell(sheet: Sheet, at: Point, column: Column, text: str, table: Table) -> None:
    room_mm = column.width_mm - 2 * PAD_MM
    if column.is_words:
        lines, size = _words(sheet, text, room_mm, table, bold=column.is_bold)
    elif sheet.text_mm(text, table.size * 0.75, bold=column.is_bold) <= room_mm:
        fitted, size = sheet.fitted(text, room_mm, table.size, table.size * 0.75, bold=column.is_bold)
        lines = [fitted]
    else:  # a long name: better on two lines than cut
        lines, size = fit_lines(sheet, text, room_mm, table.size * 0.75, bold=column.is_bold)
    left = at[0] + PAD_MM if column.align == "left" else at[0] + column.width_mm - PAD_MM
    step_mm = min(size * 1.05 / POINTS_PER_MM, table.row_mm / max(len(lines), 1))
    first = at[1] + base_line_mm(table.row_mm, size) - step_mm * (len(lines) - 1) / 2
    for number, line in enumerate(lines):
        sheet.text((left, first + number * step_mm), line, size, bold=column.is_bold, align=column.align)


def _words(sheet: Sheet, text: str, width_mm: float, table: Table, *, bold: bool) -> tuple[list[str], float]:
    """Small words on a line, or on two where a line break stands or one line is too short."""
    size = min(SMALL_SIZE, table.size)
    low_size = min(size, (table.row_mm - 0.7) / 2 / 1.05 * POINTS_PER_MM)
    parts = text.split("\n")
    if len(parts) == 2:
        fitted = [sheet.fitted(p, width_mm, low_size, SMALLEST_SIZE, bold=bold) for p in parts]
        least = min(size for _, size in fitted)
        if all(sheet.text_mm(p, least, bold=bold) <= width_mm for p in parts):
            return parts, least
    one, one_size = sheet.fitted(text, width_mm, size, ONE_LINE_SIZE, bold=bold)
    if sheet.text_mm(text, one_size, bold=bold) <= width_mm:
        return [one], one_size
    return fit_lines(sheet, text, width_mm, low_size, bold=bold)


def fit_lines(sheet: Sheet, text: str, width_mm: float, size: float, *, bold: bool = False) -> tuple[list[str], float]:
    """The text on one or two lines and the type size, the largest at which two lines hold it."""
    while size > sheet.least(SMALLEST_SIZE) and len(sheet.wrapped(text, width_mm, size, bold=bold)) > 2:
        size -= 0.25
    lines = sheet.wrapped(text, width_mm, size, bold=bold)
    if len(lines) > 2:
        lines = [lines[0], sheet.cut(Said(" ".join(lines[1:])), width_mm, size, bold=bold)]
    return lines, size
