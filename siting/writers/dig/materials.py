"""The material list of the dig sheet: what to bring, by group, with where it is used and a box to tick."""

from __future__ import annotations

from dataclasses import replace

from siting.records.dig import DigPlan, Material
from siting.writers.paper.flow import Flow
from siting.writers.paper.table import PAD_MM, Column, Table

COLUMNS = (
    Column("Item", "", 0.22, "left", is_words=True, is_bold=True), Column("Size", "", 0.18, "left", is_words=True),
    Column("Count", "", 0.085, is_bold=True), Column("Unit", "", 0.055, "left", is_words=True), Column("Used at", "", 0.16, "left", is_words=True),
    Column("Source, or what to check", "", 0.22, "left", is_words=True), Column("Loaded", "", 0.08, is_blank=True),
)  # fmt: skip
ROW_MM, SIZE, LEAST_SIZE = 7.6, 11.0, 6.5


def count_words(material: Material) -> str:
    """How many, without noughts at its end; no unit."""
    return f"{material.count:.3f}".rstrip("0").rstrip(".")


def fill_materials(flow: Flow, dig: DigPlan) -> None:
    """The list on a page of its own, what is too long for a cell below it; nothing where the plan has none."""
    if not dig.materials:
        return
    flow.turn()
    whole = sum(c.width_mm for c in COLUMNS)
    columns = tuple(replace(c, width_mm=flow.width_mm * c.width_mm / whole) for c in COLUMNS)
    notes: list[str] = []
    groups: dict[str, list[tuple[str, ...]]] = {}
    for material in dig.materials:
        used, note = (_cell(flow, text, columns[k].width_mm, notes) for text, k in ((material.used_at, 4), (material.note, 5)))
        rows = groups.setdefault(material.group, [])
        rows.append((material.item, material.size, _shown(material), material.unit, used, note, ""))
    for group, rows in groups.items():
        flow.table(f"What to bring: {group}", Table(columns, tuple(rows), ROW_MM, SIZE))
    flow.lines("Notes to the list", tuple(f"{number}: {text}" for number, text in enumerate(notes, 1)))
    flow.lines("Before it is ordered", ("The mast maker's list comes first; a size that this list takes from memory or from a ladder of sizes is checked.",))


def _shown(material: Material) -> str:
    """How many on paper: lengths to the tenth."""
    return f"{material.count:.1f}".removesuffix(".0")


def _cell(flow: Flow, text: str, width_mm: float, notes: list[str]) -> str:
    """The text itself where two lines hold it, else the number of its note."""
    if len(flow.sheet.wrapped(text, width_mm - 2 * PAD_MM, LEAST_SIZE)) <= 2:
        return text
    if text not in notes:
        notes.append(text)
    return f"see note {notes.index(text) + 1}"
