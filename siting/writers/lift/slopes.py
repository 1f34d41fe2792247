"""Slopes at base and anchors as the crew reads them: percent, degrees, and rise per 10 m."""

from __future__ import annotations

import math
from collections.abc import Sequence

from siting.figures import shown
from siting.records.plan import Stake
from siting.writers.paper.canvas import Sheet
from siting.writers.paper.table import Column, Table, draw_table

FIGURE = 14.0  # the least size of a figure that the crew reads on the ground
SLOPE_ROW_MM, COLUMN_GAP_MM = 5.7, 5.0


def slope_table(stakes: Sequence[Stake], width_mm: float) -> Table:
    """Slopes in percent, degrees and rise per 10 m, in figures of 14 points."""
    columns = (
        Column("Point", "", width_mm * 0.28, "left", is_bold=True),
        Column("Slope", "percent", width_mm * 0.22),
        Column("Slope", "degrees", width_mm * 0.2),
        Column("Rise", "m per 10 m", width_mm * 0.3),
    )
    return Table(columns, tuple((s.point, *slope_texts(s.slope_percent)) for s in stakes), SLOPE_ROW_MM, FIGURE)


def slope_texts(slope_percent: float | None) -> tuple[str, str, str]:
    """A slope in percent, in degrees and as metres of rise per 10 m: three ways to write one number."""
    if slope_percent is None:
        return "not known", "not known", "not known"
    degrees = math.degrees(math.atan(slope_percent / 100.0))
    return shown(slope_percent, "percent"), f"{degrees:.1f}°", f"{slope_percent / 10.0:.2f} m"


def slope_mm(rows: int) -> float:
    """Height of the slopes of this many rows, mm."""
    return slope_table((), 90.0).head_mm + rows * SLOPE_ROW_MM


def draw_slopes(sheet: Sheet, stakes: Sequence[Stake], y: float, rows: int) -> float:
    """The slopes in two columns of tables; returns the y below them, mm."""
    half_mm = (sheet.right - sheet.left - COLUMN_GAP_MM) / 2
    for column, part in enumerate((stakes[:rows], stakes[rows:])):
        if part:
            draw_table(sheet, (sheet.left + column * (half_mm + COLUMN_GAP_MM), y), slope_table(part, half_mm))
    return y + slope_mm(rows)
