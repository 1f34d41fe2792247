"""The drawing of the locate notice: outlines to be looked at, every hole, base and stakes, true north up, a round scale."""

from __future__ import annotations

import math
from dataclasses import dataclass

from siting.figures import shown
from siting.records.dig import DigPlan
from siting.records.plan import Plan, Stake
from siting.writers.paper.canvas import HAIR_MM, THIN_MM, Point, Sheet
from siting.writers.paper.scale_drawing import Drawing
from siting.writers.paper.sketch import SCALES
from siting.writers.paper.sketch_labels import Box
from siting.writers.paper.sketch_marks import ARROWS_MM, REACH_MM, draw_mark, draw_norths, draw_scale_bar

OUTLINE_MM, FILL, EDGE_MM, BAR_MM, HEAD_MM = 0.55, 0.93, 4.0, 8.0, 5.4
CROSS_MM, SMALL_MM = 1.2, 20.0
ROLES = ("base", "permanent", "temporary", "winch")


@dataclass(frozen=True, slots=True)
class _Frame:
    """Metres on a degree of latitude and of longitude at the base."""

    lat: float
    lon: float
    north_m: float
    east_m: float

    def place(self, lon: float, lat: float) -> Point:
        """East and north of the base, metres; good to a thousandth of the distance, for a drawing only."""
        return (lon - self.lon) * self.east_m, (lat - self.lat) * self.north_m


def _frame(plan: Plan) -> _Frame:
    """The ellipsoid's degree lengths at the base. Source: the series of the WGS 84 meridian and parallel, from memory."""
    t = math.radians(plan.base.lat)
    north_m = 111132.954 - 559.822 * math.cos(2 * t) + 1.175 * math.cos(4 * t)
    east_m = 111412.84 * math.cos(t) - 93.5 * math.cos(3 * t) + 0.118 * math.cos(5 * t)
    return _Frame(plan.base.lat, plan.base.lon, north_m, east_m)


def draw_locate_sketch(sheet: Sheet, plan: Plan, dig: DigPlan, box: Box) -> int:
    """Draws it inside the box, mm; returns the scale."""
    frame = _frame(plan)
    rings = [[frame.place(*p) for p in ring] for ring in dig.locate.rings]
    holes = [frame.place(h.lon, h.lat) for h in dig.holes]
    stakes = [(frame.place(s.lon, s.lat), s) for s in plan.stakes if s.role in ROLES]
    every = [p for ring in rings for p in ring] + holes + [p for p, _ in stakes]
    xs, ys = [p[0] for p in every], [p[1] for p in every]
    room = (box[2] - box[0] - 2 * EDGE_MM - ARROWS_MM[0], box[3] - box[1] - HEAD_MM - BAR_MM - 2 * EDGE_MM)
    wide, high = max(xs) - min(xs), max(ys) - min(ys)
    scale = next((s for s in SCALES if 1000.0 * wide / s <= room[0] and 1000.0 * high / s <= room[1]), SCALES[-1])
    middle = (box[0] + EDGE_MM + room[0] / 2, box[1] + HEAD_MM + EDGE_MM + room[1] / 2)
    origin = (middle[0] - 500.0 * (max(xs) + min(xs)) / scale, middle[1] + 500.0 * (max(ys) + min(ys)) / scale)
    area = (box[0], box[1] + HEAD_MM, box[2], box[3] - BAR_MM)
    drawing = Drawing(sheet, area, origin, scale)
    sheet.box(box[:2], (box[2] - box[0], box[3] - box[1]), THIN_MM)
    _rings(drawing, rings)
    _points(drawing, holes, stakes)
    corner = (box[2] - ARROWS_MM[0] - 1.5, box[1] + HEAD_MM + 1.0)
    draw_norths(sheet, corner, plan.crs)
    drawing.marks.append((*corner, corner[0] + ARROWS_MM[0], corner[1] + ARROWS_MM[1]))
    drawing.finish()
    _frame_words(sheet, dig, box, scale)
    return scale


def _rings(drawing: Drawing, rings: list[list[Point]]) -> None:
    """The outlines, lightly filled, and their numbers."""
    for ring in rings:
        drawing.sheet.polygon([drawing.at(p) for p in ring], OUTLINE_MM, FILL)
        drawing.lines += [(drawing.at(a), drawing.at(b)) for a, b in zip(ring, ring[1:], strict=False)]
        xs, ys = zip(*(drawing.at(p) for p in ring), strict=True)
        if max(xs) - min(xs) < SMALL_MM and max(ys) - min(ys) < SMALL_MM:  # the name stands outside
            drawing.marks.append((min(xs), min(ys), max(xs), max(ys)))


def _points(drawing: Drawing, holes: list[Point], stakes: list[tuple[Point, Stake]]) -> None:
    """The stakes with their names, and a cross at every hole that does not lie under a stake's mark."""
    marks = [drawing.at(place) for place, _ in stakes]
    for place in holes:
        x, y = drawing.at(place)
        if any(math.dist((x, y), mark) < 2 * CROSS_MM for mark in marks):
            continue
        drawing.sheet.line((x - CROSS_MM, y), (x + CROSS_MM, y), 0.4)
        drawing.sheet.line((x, y - CROSS_MM), (x, y + CROSS_MM), 0.4)
        drawing.keep_off(place, CROSS_MM)
    middle = ((drawing.box[0] + drawing.box[2]) / 2, (drawing.box[1] + drawing.box[3]) / 2)
    for place, stake in stakes:
        x, y = drawing.at(place)
        draw_mark(drawing.sheet, stake.role, (x, y))
        drawing.keep_off(place, REACH_MM[stake.role])
        drawing.note((x, y), stake.point, (x - middle[0] or 0.1, y - middle[1]), REACH_MM[stake.role] + 0.3)


def _frame_words(sheet: Sheet, dig: DigPlan, box: Box, scale: int) -> None:
    """Heading and scale bar."""
    told = f"Area to be looked at 1:{scale}"
    sheet.text((box[0] + 1.5, box[1] + 3.8), told, 9.0, bold=True)
    left = box[0] + 1.5 + sheet.text_mm(told, 9.0, bold=True) + 2.5
    words = f"True north up, arrows not to angle. {shown(dig.locate.buffer_m, 'length')} around every hole, {shown(dig.locate.area_m2, 'area')} in all. + hole away from its stake"
    text, size = sheet.fitted(words, box[2] - left - 1.5, 7.5, 5.5)
    sheet.text((left, box[1] + 3.8), text, size)
    low = box[3] - BAR_MM
    sheet.line((box[0], low), (box[2], low), HAIR_MM)
    draw_scale_bar(sheet, (box[0] + 1.5, low + 2.0), scale, 70.0)
