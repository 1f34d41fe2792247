"""A drawing to scale in the workshop manner: metres to paper, dimension lines with strokes at their ends, earth, names."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from siting.writers.paper.canvas import CAPITAL_EM, HAIR_MM, POINTS_PER_MM, THIN_MM, Point, Sheet
from siting.writers.paper.sketch_labels import Box, Label, Segment, place_labels

# Scales of a common scale ruler, for drawings of single anchors.
SCALES = (10, 20, 25, 40, 50, 75, 100, 125, 150, 200, 250, 300, 400, 500)
GROUND_MM, DIMENSION_MM, TICK_MM, TICK_STROKE_MM = 0.5, 0.13, 0.8, 0.3
EARTH_STEP_MM, EARTH_MM = 2.0, 1.5
EXTENSION_GAP_MM, OVERRUN_MM = 0.7, 0.9
NAME_SIZES = (8.0, 7.5, 7.0, 6.5)


@dataclass
class Drawing:
    """A drawing in the making: where the stake lies on the paper (mm), how many metres a metre is, and the names to place."""

    sheet: Sheet
    box: Box
    origin: Point
    scale: int
    labels: list[Label] = field(default_factory=list)
    marks: list[Box] = field(default_factory=list)
    lines: list[Segment] = field(default_factory=list)

    def at(self, place: Point) -> Point:
        """A place in metres (outward, up) on the paper, mm."""
        return self.origin[0] + 1000.0 * place[0] / self.scale, self.origin[1] - 1000.0 * place[1] / self.scale

    def line(self, a: Point, b: Point, stroke_mm: float = THIN_MM, dash_mm: Sequence[float] = ()) -> None:
        """A line between two places in metres, kept free of names where that is possible."""
        self.paper_line(self.at(a), self.at(b), stroke_mm, dash_mm)

    def paper_line(self, a: Point, b: Point, stroke_mm: float = THIN_MM, dash_mm: Sequence[float] = ()) -> None:
        """The same between two points of the paper, mm."""
        self.sheet.line(a, b, stroke_mm, dash_mm)
        self.lines.append((a, b))

    def path(self, places: Sequence[Point], stroke_mm: float = THIN_MM, dash_mm: Sequence[float] = ()) -> None:
        """A line through several places in metres."""
        for a, b in zip(places, places[1:], strict=False):
            self.line(a, b, stroke_mm, dash_mm)

    def note(self, at: Point, text: str, outward: tuple[float, float], reach_mm: float = 0.5) -> None:
        """A name for a point of the paper, mm; outward: where it would best stand (right, down)."""
        self.labels.append(Label(at, reach_mm, 0.0, 0.0, math.atan2(outward[1], outward[0]), (text,)))

    def dimension(self, a: Point, b: Point, away: tuple[float, float], text: str) -> None:
        """A dimension between two places in metres, drawn this far beside them on the paper (right, down; mm)."""
        pa, pb = self.at(a), self.at(b)
        da, db = (pa[0] + away[0], pa[1] + away[1]), (pb[0] + away[0], pb[1] + away[1])
        long = math.hypot(*away) or 1.0
        unit = (away[0] / long, away[1] / long)
        if long > EXTENSION_GAP_MM + 0.5:
            for foot, end in ((pa, da), (pb, db)):
                start = (foot[0] + unit[0] * EXTENSION_GAP_MM, foot[1] + unit[1] * EXTENSION_GAP_MM)
                self.sheet.line(start, (end[0] + unit[0] * OVERRUN_MM, end[1] + unit[1] * OVERRUN_MM), HAIR_MM)
                self.lines.append((start, end))
        self.measured(da, db, unit, text)

    def measured(self, da: Point, db: Point, outward: tuple[float, float], text: str) -> None:
        """The dimension line itself between two points of the paper, mm, with its strokes and its figure."""
        self.paper_line(da, db, DIMENSION_MM)
        long = math.dist(da, db) or 1.0
        ux, uy = (db[0] - da[0]) / long, (db[1] - da[1]) / long
        slant = ((ux - uy) * TICK_MM * math.sqrt(0.5), (uy + ux) * TICK_MM * math.sqrt(0.5))
        for end in (da, db):
            self.sheet.line((end[0] - slant[0], end[1] - slant[1]), (end[0] + slant[0], end[1] + slant[1]), TICK_STROKE_MM)
        self.note(((da[0] + db[0]) / 2, (da[1] + db[1]) / 2), text, outward, 0.3)

    def earth(self, places: Sequence[Point], known: tuple[float, float]) -> None:
        """The ground's line with strokes below it; dashed outside the distances that the records know, metres."""
        for a, b in zip(places, places[1:], strict=False):
            middle = (a[0] + b[0]) / 2
            is_known = known[0] - 1e-6 <= middle <= known[1] + 1e-6
            self.line(a, b, GROUND_MM if is_known else 0.35, () if is_known else (1.8, 0.9))
            pa, pb = self.at(a), self.at(b)
            long = math.dist(pa, pb)
            count = int(long // EARTH_STEP_MM)
            for k in range(count):
                part = (k + 0.5) * EARTH_STEP_MM / long
                x, y = pa[0] + (pb[0] - pa[0]) * part, pa[1] + (pb[1] - pa[1]) * part
                self.sheet.line((x, y + 0.25), (x - EARTH_MM * 0.7, y + 0.25 + EARTH_MM * 0.7), HAIR_MM)

    def keep_off(self, place: Point, reach_mm: float) -> None:
        """No name covers the paper around this place in metres."""
        x, y = self.at(place)
        self.marks.append((x - reach_mm, y - reach_mm, x + reach_mm, y + reach_mm))

    def finish(self) -> None:
        """Places and writes the names, as large as they find room; the last ones go where there is none."""
        inner = (self.box[0] + 0.6, self.box[1] + 0.6, self.box[2] - 0.6, self.box[3] - 0.6)
        labels = list(self.labels)
        while labels:
            for size in NAME_SIZES:
                sized = [self._sized(label, size) for label in labels]
                placed = place_labels(sized, self.marks, self.lines, inner)
                if placed is not None:
                    break
            if placed is not None:
                break
            labels.pop()
        for name in placed or () if labels else ():
            if name.leader:
                self.sheet.line(*name.leader, HAIR_MM)
            left, top, right, low = name.box
            self.sheet.box((left, top), (right - left, low - top), fill=1.0)
            base = (top + low) / 2 + CAPITAL_EM * size / POINTS_PER_MM / 2
            self.sheet.text(((left + right) / 2, base), name.label.lines[0], size, align="middle")

    def _sized(self, label: Label, size: float) -> Label:
        wide = self.sheet.text_mm(label.lines[0], size) + 0.5
        return Label(label.at, label.reach_mm, wide, 0.98 * size / POINTS_PER_MM, label.outward_rad, label.lines)


Bounds = tuple[float, float, float, float]  # least and largest outward, least and largest up; metres
Margins = tuple[float, float, float, float]  # left, top, right, bottom of what is drawn; mm


def needed_mm(bounds: Bounds, scale: int, margins: Margins) -> Point:
    """Width and height of a drawing at this scale with its margins, mm."""
    return (
        1000.0 * (bounds[1] - bounds[0]) / scale + margins[0] + margins[2],
        1000.0 * (bounds[3] - bounds[2]) / scale + margins[1] + margins[3],
    )


def best_scale(bounds: Bounds, room_mm: Point, margins: Margins) -> int:
    """The largest round scale at which it fits the room, mm; the smallest of all where none does."""
    for scale in SCALES:
        wide, high = needed_mm(bounds, scale, margins)
        if wide <= room_mm[0] and high <= room_mm[1]:
            return scale
    return SCALES[-1]


def start_drawing(sheet: Sheet, box: Box, bounds: Bounds, scale: int, margins: Margins) -> Drawing:
    """An empty drawing whose bounds stand in the middle of the box, margins counted."""
    wide, high = needed_mm(bounds, scale, margins)
    left = box[0] + (box[2] - box[0] - wide) / 2 + margins[0]
    top = box[1] + (box[3] - box[1] - high) / 2 + margins[1]
    return Drawing(sheet, box, (left - 1000.0 * bounds[0] / scale, top + 1000.0 * bounds[3] / scale), scale)
