"""Tables of record: every row of the plan in the largest type at which the columns fit side by side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from siting.writers.paper.canvas import POINTS_PER_MM, Sheet
from siting.writers.paper.table import Column, Table, column_mm

SIZES = (9.0, 8.5, 8.0, 7.5, 7.0, 6.5, 6.0)
ROW_EM, WIDEST_WORDS_MM = 1.38, 62.0

Head = tuple[str, str] | tuple[str, str, str]  # title, unit, and `words` for a column of words


def record_table(sheet: Sheet, heads: Sequence[Head], rows: Sequence[Sequence[str]], width_mm: float) -> Table:
    """A table of this width, mm; the columns share what is left over."""
    texts = list(zip(*rows, strict=True)) if rows else [()] * len(heads)
    for size in SIZES:
        columns = []
        for head, column_texts in zip(heads, texts, strict=True):
            is_words = len(head) == 3
            column = Column(head[0], head[1], 0.0, "left" if is_words else "right", is_words=is_words)
            wide = column_mm(sheet, column_texts, size, column)
            columns.append(replace(column, width_mm=min(wide, WIDEST_WORDS_MM) if is_words else wide))
        free_mm = width_mm - sum(c.width_mm for c in columns)
        if free_mm >= 0.0:
            break
    share = max(0.0, free_mm) / len(columns)
    scale = min(1.0, width_mm / sum(c.width_mm for c in columns))
    fitted = tuple(replace(c, width_mm=c.width_mm * scale + share) for c in columns)
    return Table(fitted, tuple(tuple(row) for row in rows), size * ROW_EM / POINTS_PER_MM, size)
