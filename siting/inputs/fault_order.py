"""Faults that several readers found in one TOML file and in the files that it names, in the order in which it says them."""

from __future__ import annotations

import re
from pathlib import Path

from siting.errors import Fault
from siting.inputs.toml_file import line_of_place, lines_of_keys

TABLE = re.compile(r"\[\[?([\w.]+)\]\]?(?: no\. (\d+))?(?: \([^)]*\))? ?(\w+)?")


def in_file_order(faults: list[Fault], path: Path | None, shown: str) -> tuple[Fault, ...]:
    """The faults by the line of their key; those of a file that it names, by the line that names it.

    Args:
        path: the file, None where there is none to go by; shown: the file as its faults name it.
    """
    if path is None:
        return tuple(faults)
    text = path.read_text(encoding="utf-8-sig")
    places, lines = lines_of_keys(text), text.splitlines()
    return tuple(sorted(faults, key=lambda fault: _line(fault.where, shown, places, lines)))


def _line(where: str, shown: str, places: dict[tuple, int], lines: list[str]) -> int:
    """The line that a fault's place stands on; the last where the file does not say it."""
    file = where.split(", ")[0]
    if file != shown:
        named = re.compile(re.escape(file) + "[\"']")
        return next((number for number, line in enumerate(lines, 1) if named.search(line)), len(lines))
    found = TABLE.search(where)
    if found is None:
        return len(lines)
    table, number, key = found.groups()
    loc = (*table.split("."), *((int(number) - 1,) if number else ()), *((key,) if key else ()))
    return min(line_of_place(places, loc), len(lines))
