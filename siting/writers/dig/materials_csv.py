"""materials.csv: what to bring, one line of the list a row, for an order or a spreadsheet."""

from __future__ import annotations

import unicodedata

from siting.records.dig import DigPlan
from siting.writers.dig.materials import count_words

HEADER = ("group", "item", "size", "count", "unit", "used_at", "note")
# Signs of the list that have a plain twin; what has none stays as it is, in UTF-8.
PLAIN = {"×": "x", "–": "-", "−": "-", "°": " deg", "²": "2", "³": "3", "≤": "<=", "≥": ">=", "…": "..."}


def materials_csv(dig: DigPlan) -> bytes:
    """materials.csv as UTF-8, comma separated, CRLF, one header row; no field holds a comma, a quote or a line end.

    `count` stands in `unit`: pcs, m, kg or m3.
    """
    lines = [",".join(HEADER)]
    for row in dig.materials:
        fields = (row.group, row.item, row.size, count_words(row), row.unit, row.used_at, row.note)
        lines.append(",".join(_bare(field) for field in fields))
    return ("\r\n".join(lines) + "\r\n").encode()


def _bare(text: str) -> str:
    """A field that survives the plainest reader."""
    plain = "".join(PLAIN.get(c, c) for c in unicodedata.normalize("NFC", text))
    plain = plain.replace("'", "").replace("’", "")
    return " ".join("".join(" " if c in ',;"' or c.isspace() or ord(c) < 32 else c for c in plain).split())
