"""Draws a line of a line type: its dashes, the signs along it, the hatch of an area."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any

from siting.writers.paper.canvas import HAIR_MM, Point
from siting.writers.sitemap.line_types import LineType
from siting.writers.sitemap.map_sheet import MapSheet
from siting.writers.sitemap.outlines import pieces

SIGN_STEP_MM = {"poles": 9.0, "crosses": 6.0, "ticks": 3.0, "waves": 6.0, "upright": 4.8}
HATCH_STEP_MM = {"slant": 1.1, "level": 1.6, "upright": 2.6, "edge": 1.7}
HATCH_DEG = {"slant": 45.0, "level": 0.0, "upright": 90.0, "edge": 45.0}
HATCH_INK = 0.25
ARROW_MM, ARROW_HALF_MM = 2.4, 0.5


def draw_line(sheet: MapSheet, line: Any, kind: LineType) -> None:
    """A shapely line, mm on the paper, with the signs along it."""
    for points in pieces(line):
        if len(points) < 2:
            continue
        sheet.path(points, kind.stroke_mm, kind.dash_mm, kind.ink)
        if kind.stroke_mm > 1.0:  # a road: its bed light between two edges
            sheet.path(points, kind.stroke_mm - 0.35, kind.dash_mm, 1.0)
        for at, turn in _along(points, SIGN_STEP_MM.get(kind.sign, 0.0)):
            _sign(sheet, kind.sign, at, turn)


def _along(points: Sequence[Point], step_mm: float) -> Iterator[tuple[Point, float]]:
    """Places at even steps along a line, and the line's direction there (radians on the paper)."""
    left = step_mm / 2
    for a, b in zip(points, points[1:], strict=False) if step_mm else ():
        long = math.dist(a, b)
        while long > 0.0 and left <= long:
            part = left / long
            yield (a[0] + (b[0] - a[0]) * part, a[1] + (b[1] - a[1]) * part), math.atan2(b[1] - a[1], b[0] - a[0])
            left += step_mm
        left -= long


def _sign(sheet: MapSheet, sign: str, at: Point, turn: float) -> None:
    c, s = math.cos(turn), math.sin(turn)

    def place(along: float, across: float) -> Point:
        return at[0] + c * along - s * across, at[1] + s * along + c * across

    if sign == "poles":
        sheet.circle(at, 0.65, 0.2, 1.0)
    elif sign == "crosses":
        sheet.line(place(-0.7, -0.7), place(0.7, 0.7), 0.2)
        sheet.line(place(-0.7, 0.7), place(0.7, -0.7), 0.2)
    elif sign in ("ticks", "upright"):
        sheet.line(place(0.0, -0.9), place(0.0, 0.9), 0.2)
    elif sign == "waves":
        wave = [place(k / 4.0 - 1.25, 0.9 + 0.35 * math.sin(k * math.pi / 2.5)) for k in range(11)]
        sheet.path(wave, 0.18)


def draw_hatch(sheet: MapSheet, area: Any, hatch: str) -> None:
    """The hatch of an area, mm on the paper."""
    import shapely

    if not hatch or area is None or area.is_empty:
        return
    left, top, right, bottom = area.bounds
    middle, reach = ((left + right) / 2, (top + bottom) / 2), math.hypot(right - left, bottom - top) / 2 + 1.0
    step, turn = HATCH_STEP_MM[hatch], math.radians(HATCH_DEG[hatch])
    c, s = math.cos(turn), math.sin(turn)
    # Counted from the paper's corner, so that neighbouring areas have one hatch.
    first = math.floor((-s * middle[0] + c * middle[1] - reach) / step)
    lines = []
    for k in range(first, first + int(2 * reach / step) + 2):
        off = k * step + s * middle[0] - c * middle[1]
        x, y = middle[0] - s * off, middle[1] + c * off
        lines.append([(x - c * reach, y - s * reach), (x + c * reach, y + s * reach)])
    for points in pieces(shapely.intersection(shapely.MultiLineString(lines), area)):
        sheet.line(points[0], points[-1], HAIR_MM, ink=HATCH_INK)


def draw_arrows(sheet: MapSheet, start: Point, end: Point, stroke_mm: float) -> None:
    """A dimension line: an arrow head at either end, drawn inside."""
    sheet.line(start, end, stroke_mm)
    long = math.dist(start, end)
    if long < 2.2 * ARROW_MM:
        return
    c, s = (end[0] - start[0]) / long, (end[1] - start[1]) / long
    for tip, sign in ((start, 1.0), (end, -1.0)):
        x, y = tip[0] + sign * c * ARROW_MM, tip[1] + sign * s * ARROW_MM
        head = [tip, (x - s * ARROW_HALF_MM, y + c * ARROW_HALF_MM), (x + s * ARROW_HALF_MM, y - c * ARROW_HALF_MM)]
        sheet.polygon(head, 0.1, 0.0)
