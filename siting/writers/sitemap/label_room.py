"""Keeps account of what the drawing's names may not cover, and finds each name its room: areas, lines, then points."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from siting.writers.paper.canvas import CAPITAL_EM, HAIR_MM, POINTS_PER_MM, Point
from siting.writers.paper.sketch_labels import Box, Label, Placed, Segment, crosses, overlap, place_labels
from siting.writers.sitemap.map_sheet import LINE_MM, TEXT, MapSheet

GAP_MM = 0.5
CROSSED, PER_MM = 4.0, 0.04
PAD_MM = 0.45
AREA_STEP_MM, LINE_STEP_MM = 4.0, 4.0
MOST_SPOTS = 500  # that are looked at for one name
DESCENT_EM = 0.27


@dataclass
class LabelRoom:
    """What stands on the drawing already: boxes that no name may touch, lines that it had better not cover. mm."""

    sheet: MapSheet
    area: Box
    boxes: list[Box] = field(default_factory=list)
    lines: list[Segment] = field(default_factory=list)
    written: list[tuple[Box, tuple[str, ...], bool]] = field(default_factory=list)
    leaders: list[Segment] = field(default_factory=list)

    def size_mm(self, lines: Sequence[str], *, bold: bool = False) -> Point:
        """Width and height of a name of these lines."""
        wide = max(self.sheet.text_mm(line, TEXT, bold=bold) for line in lines)
        em_mm = TEXT / POINTS_PER_MM
        return wide + 2 * PAD_MM, (len(lines) - 1) * LINE_MM + (CAPITAL_EM + DESCENT_EM) * em_mm + PAD_MM

    def add_lines(self, points: Sequence[Point]) -> None:
        """A line that names had better not cover."""
        self.lines += list(zip(points, points[1:], strict=False))

    def in_area(self, area: Any, lines: tuple[str, ...], *, bold: bool = False) -> bool:
        """A name inside an area, near its middle; False where it does not fit."""
        import shapely

        wide, high = self.size_mm(lines, bold=bold)
        left, top, right, bottom = area.bounds
        if right - left < wide or bottom - top < high:
            return False
        step = max(AREA_STEP_MM, math.sqrt((right - left) * (bottom - top) / MOST_SPOTS))
        middle = area.representative_point() if not area.contains(area.centroid) else area.centroid
        spots = [(middle.x, middle.y)]
        spots += [(x, y) for x in _steps(left, right, step) for y in _steps(top, bottom, step)]
        boxes = [_around(spot, wide, high) for spot in spots]
        inside = shapely.contains_properly(area, shapely.box(*zip(*boxes, strict=True)))
        fair = [(math.dist(spot, spots[0]), box) for spot, box, fits in zip(spots, boxes, inside, strict=True) if fits]
        return self._take(fair, lines, bold=bold)

    def along(self, points: Sequence[Point], lines: tuple[str, ...]) -> bool:
        """A name beside a line; False where there is no room."""
        wide, high = self.size_mm(lines)
        places = list(_walk(points, LINE_STEP_MM))
        fair = []
        for number, (at, turn) in enumerate(places):
            off_middle = abs(number - len(places) / 2) * LINE_STEP_MM
            c, s = math.cos(turn), math.sin(turn)
            away = abs(s) * wide / 2 + abs(c) * high / 2 + 1.0
            fair += [(off_middle, _around((at[0] - k * s * away, at[1] + k * c * away), wide, high)) for k in (-1.0, 1.0)]
        return self._take(fair, lines)

    def on(self, points: Sequence[Point], lines: tuple[str, ...], *, least_crossings: bool = False) -> bool:
        """A name on its own line, which it interrupts; False where there is no room.

        Args:
            least_crossings: False: it is left out rather than cover another line; True: it covers as few as it can.
        """
        wide, high = self.size_mm(lines)
        places = list(_walk(points, LINE_STEP_MM))
        fair = [(abs(k - len(places) / 2) * LINE_STEP_MM, _around(at, wide, high)) for k, (at, _) in enumerate(places)]
        own = set(zip(points, points[1:], strict=False))
        others = [s for s in self.lines if s not in own]
        return self._take(fair, lines, lines_off=others, most=None if least_crossings else 0)

    def _take(
        self, fair: Iterable[tuple[float, Box]], lines: tuple[str, ...], *, bold: bool = False,
        lines_off: Sequence[Segment] | None = None, most: int | None = None,
    ) -> bool:  # fmt: skip
        """Writes the name in the best of these boxes: free, over as few lines as can be, never over more than `most`."""
        best, least = None, math.inf
        for away_mm, box in sorted(fair):
            if away_mm * PER_MM >= least:
                break
            if not self._is_free(box):
                continue
            crossed = sum(crosses(s, box) for s in (self.lines if lines_off is None else lines_off))
            cost = away_mm * PER_MM + CROSSED * crossed
            if cost < least and (most is None or crossed <= most):
                best, least = box, cost
        if best is None:
            return False
        self._write(best, lines, bold=bold)
        return True

    def _is_free(self, box: Box) -> bool:
        left, top, right, bottom = self.area
        if box[0] < left or box[1] < top or box[2] > right or box[3] > bottom:
            return False
        return not any(overlap(box, b, GAP_MM) for b in self.boxes) and not any(crosses(s, box) for s in self.leaders)

    def _write(self, box: Box, lines: tuple[str, ...], *, bold: bool) -> None:
        self.boxes.append(box)
        self.written.append((box, lines, bold))

    def points(self, labels: Sequence[tuple[Point, float, float, tuple[str, ...]]], *, bold: bool = False) -> list[int]:
        """Names beside points: (place, half size of its mark, direction outward, lines). Returns the numbers left out.

        The last ones are left out where not all find room: the first are the most important.
        """
        made = []
        for at, reach_mm, outward_rad, lines in labels:
            wide, high = self.size_mm(lines, bold=bold)
            made.append(Label(at, reach_mm, wide, high, outward_rad, lines))
        count = len(made)
        while count:
            placed = place_labels(made[:count], self.boxes, self.lines, self.area)
            if placed is not None:
                self._keep(placed, bold=bold)
                break
            count -= 1
        return list(range(count, len(made)))

    def _keep(self, placed: Sequence[Placed], *, bold: bool) -> None:
        for name in placed:
            self._write(name.box, name.label.lines, bold=bold)
            if name.leader:
                self.leaders.append(name.leader)

    def draw(self) -> None:
        """Writes every name on a white ground, with the lines that lead to those far off."""
        for leader in self.leaders:
            self.sheet.line(*leader, HAIR_MM)
        for (left, top, right, bottom), lines, bold in self.written:
            self.sheet.box((left, top), (right - left, bottom - top), fill=1.0)
            first = top + PAD_MM / 2 + CAPITAL_EM * TEXT / POINTS_PER_MM + 0.15
            for number, line in enumerate(lines):
                self.sheet.text(((left + right) / 2, first + number * LINE_MM), line, TEXT, bold=bold, align="middle")


def _around(at: Point, wide: float, high: float) -> Box:
    return at[0] - wide / 2, at[1] - high / 2, at[0] + wide / 2, at[1] + high / 2


def _steps(low: float, high: float, step: float) -> list[float]:
    return [low + step * (k + 0.5) for k in range(max(1, int((high - low) / step)))]


def _walk(points: Sequence[Point], step_mm: float) -> Iterable[tuple[Point, float]]:
    """Places along a line at even steps, with the line's direction there."""
    left = step_mm / 2
    for a, b in zip(points, points[1:], strict=False):
        long = math.dist(a, b)
        turn = math.atan2(b[1] - a[1], b[0] - a[0])
        while long > 0.0 and left <= long:
            part = left / long
            yield (a[0] + (b[0] - a[0]) * part, a[1] + (b[1] - a[1]) * part), turn
            left += step_mm
        left -= long
