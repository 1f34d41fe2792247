"""Rings, sectors and patterns of a rose on paper: places by azimuth and distance from its middle, north up."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from siting.writers.paper.canvas import HAIR_MM, Point, Sheet

ARC_STEP_DEG = 2.0
STROKE_MM, DOT_MM, OPEN_MM = 0.14, 0.28, 0.5
LIGHT_GREY, DARK_GREY = 0.8, 0.45


@dataclass(frozen=True, slots=True)
class Rose:
    """A rose on a sheet: its middle, mm."""

    sheet: Sheet
    centre: Point

    def at(self, azimuth_deg: float, radius_mm: float) -> Point:
        """A place on the paper, mm."""
        turn = math.radians(azimuth_deg)
        return self.centre[0] + radius_mm * math.sin(turn), self.centre[1] - radius_mm * math.cos(turn)

    def arc(self, from_deg: float, to_deg: float, radius_mm: float) -> list[Point]:
        """Points along an arc, clockwise."""
        steps = max(1, math.ceil((to_deg - from_deg) / ARC_STEP_DEG))
        return [self.at(from_deg + (to_deg - from_deg) * k / steps, radius_mm) for k in range(steps + 1)]

    def draw_arc(self, span_deg: Point, radius_mm: float, stroke_mm: float = HAIR_MM, dash_mm: Sequence[float] = ()) -> None:
        """An arc of this span, clockwise."""
        points = self.arc(*span_deg, radius_mm)
        for a, b in zip(points, points[1:], strict=False):
            self.sheet.line(a, b, stroke_mm, dash_mm)

    def draw_sector(self, span_deg: Point, radii_mm: Point, stroke_mm: float, fill: float | None) -> None:
        """A piece of a ring; a whole ring has no ends."""
        if span_deg[1] - span_deg[0] >= 360.0 - 1e-9:
            if fill is not None:
                self.sheet.circle(self.centre, radii_mm[1], 0.0, fill)
                self.sheet.circle(self.centre, radii_mm[0], 0.0, 1.0)
            if stroke_mm:
                for radius in radii_mm:
                    self.sheet.circle(self.centre, radius, stroke_mm)
            return
        points = self.arc(*span_deg, radii_mm[1]) + self.arc(*span_deg, radii_mm[0])[::-1]
        self.sheet.polygon(points, stroke_mm, fill)


def _spokes(rose: Rose, span: Point, radii: Point, step_deg: float = 1.0) -> None:
    for azimuth in _inside(span, step_deg):
        rose.sheet.line(rose.at(azimuth, radii[0]), rose.at(azimuth, radii[1]), STROKE_MM)


def _arcs(rose: Rose, span: Point, radii: Point) -> None:
    for k in range(1, 6):
        rose.draw_arc(span, radii[0] + (radii[1] - radii[0]) * k / 6, STROKE_MM)


def _grid(rose: Rose, span: Point, radii: Point) -> None:
    _spokes(rose, span, radii, 2.0)
    _arcs(rose, span, radii)


def _dots(rose: Rose, span: Point, radii: Point) -> None:
    for k, azimuth in enumerate(_inside(span, 1.0)):
        for part in (0.2, 0.6) if k % 2 else (0.4, 0.8):
            rose.sheet.circle(rose.at(azimuth, radii[0] + (radii[1] - radii[0]) * part), DOT_MM, 0.0, 0.0)


def _rings(rose: Rose, span: Point, radii: Point) -> None:
    for k, azimuth in enumerate(_inside(span, 2.0)):
        for part in (0.2, 0.6) if k % 2 else (0.4, 0.8):
            rose.sheet.circle(rose.at(azimuth, radii[0] + (radii[1] - radii[0]) * part), OPEN_MM, STROKE_MM)


def _slant(rose: Rose, span: Point, radii: Point, lean: float = 1.0) -> None:
    """Lines that turn by `wide` degrees from the inner edge to the outer one, cut off at the sector's ends."""
    wide = math.degrees((radii[1] - radii[0]) / radii[0])
    first, last = math.ceil((span[0] - wide) / 2.0), math.floor((span[1] + wide) / 2.0)
    for k in range(first, last + 1):
        start = 2.0 * k - (wide / 2.0 if lean > 0 else -wide / 2.0)
        ends = sorted(((span[0] - start) / (lean * wide), (span[1] - start) / (lean * wide)))
        low, high = max(0.0, ends[0]), min(1.0, ends[1])
        if low < high:
            points = [rose.at(start + lean * wide * t, radii[0] + (radii[1] - radii[0]) * t) for t in (low, (low + high) / 2, high)]
            for a, b in zip(points, points[1:], strict=False):
                rose.sheet.line(a, b, STROKE_MM)


def _back(rose: Rose, span: Point, radii: Point) -> None:
    _slant(rose, span, radii, -1.0)


def _crossed(rose: Rose, span: Point, radii: Point) -> None:
    _slant(rose, span, radii)
    _back(rose, span, radii)


def _light(rose: Rose, span: Point, radii: Point) -> None:
    rose.draw_sector(span, radii, 0.0, LIGHT_GREY)


def _dark(rose: Rose, span: Point, radii: Point) -> None:
    rose.draw_sector(span, radii, 0.0, DARK_GREY)


# In the order of sectors.KINDS.
PATTERNS: tuple[Callable[[Rose, Point, Point], None], ...] = (
    _spokes, _arcs, _dots, _grid, _slant, _back, _crossed, _light, _rings, _dark,
)  # fmt: skip


def _inside(span: Point, step_deg: float) -> list[float]:
    """Whole multiples of a step inside a span, degrees; the middle where there is none."""
    found = [k * step_deg for k in range(math.ceil(span[0] / step_deg - 1e-9), math.floor(span[1] / step_deg + 1e-9) + 1)]
    return [a for a in found if span[0] + 0.2 <= a <= span[1] - 0.2] or [(span[0] + span[1]) / 2]


def draw_pattern(rose: Rose, pattern: int, span_deg: Point, radii_mm: Point) -> None:
    """Fills a piece of a ring with a pattern and outlines it."""
    PATTERNS[pattern % len(PATTERNS)](rose, span_deg, radii_mm)
    rose.draw_sector(span_deg, radii_mm, 0.2, None)
