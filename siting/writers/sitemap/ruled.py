"""Ruled tables of the site map: a heading, columns, rows as high as their words need; a table can go on in another place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from siting.writers.paper.canvas import CAPITAL_EM, HAIR_MM, POINTS_PER_MM, THIN_MM, Point
from siting.writers.sitemap.map_sheet import HEADING, LINE_MM, TEXT, MapSheet

PAD_MM, ROW_PAD_MM, TITLE_MM, HEAD_MM = 0.9, 0.75, 5.2, 4.5
GAP_MM = 3.0  # between two tables
CAP_MM = CAPITAL_EM * TEXT / POINTS_PER_MM
LEAST_ROWS = 2


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its heading, its width (mm, 0: what is left), left or right, bold or not."""

    title: str
    width_mm: float = 0.0
    align: str = "left"
    bold: bool = False


@dataclass(frozen=True, slots=True)
class Ruled:
    """A table with its words already on lines: rows of cells of lines."""

    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[tuple[str, ...], ...], ...]
    strong: frozenset[int] = frozenset()  # rows in bold, by their number
    has_head: bool = True

    @property
    def head_mm(self) -> float:
        """Height of the title and the columns' headings, mm."""
        return (TITLE_MM if self.title else 0.0) + (HEAD_MM if self.has_head else 0.0)

    @property
    def height_mm(self) -> float:
        """The whole height, mm."""
        return self.head_mm + sum(row_mm(row) for row in self.rows)

    def split(self, room_mm: float) -> tuple[Ruled | None, Ruled | None]:
        """What fits this height, and what is left; nothing is begun with fewer than two rows."""
        if self.height_mm <= room_mm + 1e-6:
            return self, None
        used, count = self.head_mm, 0
        for row in self.rows:
            if used + row_mm(row) > room_mm + 1e-6:
                break
            used, count = used + row_mm(row), count + 1
        if count < LEAST_ROWS:
            return None, self
        first = replace(self, rows=self.rows[:count], strong=frozenset(k for k in self.strong if k < count))
        later = frozenset(k - count for k in self.strong if k >= count)
        title = self.title.removesuffix(", continued") + ", continued"
        return first, replace(self, title=title, rows=self.rows[count:], strong=later)

    def draw(self, sheet: MapSheet, at: Point) -> None:
        """Draws it with its upper left corner here."""
        x, y = at
        wide = sum(c.width_mm for c in self.columns)
        if self.title:
            title, size = sheet.fitted(self.title, wide, HEADING, TEXT, bold=True)
            sheet.text((x, y + TITLE_MM - 1.5), title, size, bold=True)
            y += TITLE_MM
        sheet.line((x, y), (x + wide, y), 0.4)
        if self.has_head:
            left = x
            for column in self.columns:
                _cell(sheet, (left, y + HEAD_MM - 1.2), column, column.title, bold=True)
                left += column.width_mm
            y += HEAD_MM
            sheet.line((x, y), (x + wide, y), THIN_MM)
        for number, row in enumerate(self.rows):
            left = x
            for column, lines in zip(self.columns, row, strict=True):
                for k, line in enumerate(lines):
                    base = y + ROW_PAD_MM + CAP_MM + k * LINE_MM + 0.35
                    _cell(sheet, (left, base), column, line, bold=column.bold or number in self.strong)
                left += column.width_mm
            y += row_mm(row)
            sheet.line((x, y), (x + wide, y), HAIR_MM, ink=0.35)


def _cell(sheet: MapSheet, at: Point, column: Column, text: str, *, bold: bool) -> None:
    x = at[0] + (column.width_mm - PAD_MM if column.align == "right" else PAD_MM)
    sheet.text((x, at[1]), text, TEXT, bold=bold, align=column.align)


def row_mm(row: Sequence[Sequence[str]]) -> float:
    """Height of a row, mm."""
    return max(1, *(len(lines) for lines in row)) * LINE_MM + ROW_PAD_MM if row else 0.0


def ruled(
    sheet: MapSheet, title: str, columns: Sequence[Column], rows: Sequence[Sequence[str]], width_mm: float,
    strong: frozenset[int] = frozenset(),
) -> Ruled:  # fmt: skip
    """A table of this width, mm; columns without a width share what the others leave, those with one keep it."""
    fixed = sum(c.width_mm for c in columns)
    free = [c for c in columns if c.width_mm == 0.0]
    share = (width_mm - fixed) / len(free) if free else 0.0
    made = tuple(c if c.width_mm else replace(c, width_mm=share) for c in columns)
    cells = []
    for number, row in enumerate(rows):
        line = []
        for column, text in zip(made, row, strict=True):
            bold = column.bold or number in strong
            line.append(tuple(sheet.wrapped(text, column.width_mm - 2 * PAD_MM, TEXT, bold=bold)) if text else ())
        cells.append(tuple(line))
    return Ruled(title, made, tuple(cells), strong, any(c.title for c in made))


def fitting(sheet: MapSheet, column: Column, texts: Sequence[str]) -> Column:
    """The column as wide as its widest text and its heading, mm."""
    widths = [sheet.text_mm(t, TEXT, bold=column.bold) for t in texts] + [sheet.text_mm(column.title, TEXT, bold=True)]
    return replace(column, width_mm=max(widths) + 2 * PAD_MM + 0.2)
