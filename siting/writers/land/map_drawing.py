"""A small map on the land sheet: the land around the base to scale, true north up, cut off at the frame, names in free places."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from siting.records.plan import Plan, Shape
from siting.writers.land.places import centre_of, clipped, places_of
from siting.writers.paper.canvas import HAIR_MM, THIN_MM, Point, Sheet
from siting.writers.paper.language import Said
from siting.writers.paper.scale_drawing import Drawing
from siting.writers.paper.sketch import SCALES
from siting.writers.paper.sketch_labels import Box
from siting.writers.paper.sketch_marks import ARROWS_MM, draw_mark, draw_norths, draw_scale_bar

EDGE_MM, BAR_MM, HEAD_MM, OWN_MM, OWN_DASH = 3.0, 7.0, 5.2, 0.7, (4.5, 0.8)
MOST_NAMES = 16
NEIGHBOUR_DASH = (2.4, 0.8, 0.4, 0.8)
OBSTACLE_DASH = (0.5, 0.7)
COARSE_MM = 6.0  # lines that names keep off are this long or longer
LONGEST_NAME = 34


class LandMap:
    """A map in the making: `drawing` takes names, `place` turns (lon, lat) into metres from the base."""

    def __init__(self, sheet: Sheet, plan: Plan, box: Box, radius_m: float, also: Sequence[Point] = ()) -> None:
        self.sheet, self.plan, self.box = sheet, plan, box
        self.place: Callable[[float, float], Point] = places_of(plan)
        self.area = (box[0], box[1] + HEAD_MM, box[2], box[3] - BAR_MM)
        every = [(-radius_m, -radius_m), (radius_m, radius_m), *also]
        xs, ys = [p[0] for p in every], [p[1] for p in every]
        room = self.area[2] - self.area[0] - 2 * EDGE_MM, self.area[3] - self.area[1] - 2 * EDGE_MM
        wide, high = max(xs) - min(xs), max(ys) - min(ys)
        self.scale = next((s for s in SCALES if 1000.0 * wide / s <= room[0] and 1000.0 * high / s <= room[1]), SCALES[-1])
        middle = (self.area[0] + self.area[2]) / 2, (self.area[1] + self.area[3]) / 2
        origin = middle[0] - 500.0 * (max(xs) + min(xs)) / self.scale, middle[1] + 500.0 * (max(ys) + min(ys)) / self.scale
        self.drawing = Drawing(sheet, self.area, origin, self.scale)
        self._names = 0

    def path(self, points: Sequence[Point], stroke_mm: float, dash_mm: Sequence[float] = (), *, free: bool = True) -> None:
        """A line through places in metres, cut off at the frame; free: names keep off it where they can."""
        paper = [self.drawing.at(p) for p in points]
        begun: Point | None = None
        for a, b in zip(paper, paper[1:], strict=False):
            part = clipped(a, b, self.area)
            if part is None:
                begun = None
                continue
            self.sheet.line(*part, stroke_mm, dash_mm)
            begun = begun or part[0]
            if free and (math.dist(begun, part[1]) >= COARSE_MM or b == paper[-1]):
                self.drawing.lines.append((begun, part[1]))
                begun = None

    def outline(self, points: Sequence[Point], stroke_mm: float, dash_mm: Sequence[float] = ()) -> None:
        """An outline of many corners, its dashes running on over them, cut off at the frame."""
        if not dash_mm:
            self.path(points, stroke_mm)
            return
        paper, on, left, k = [self.drawing.at(p) for p in points], True, dash_mm[0], 0
        for a, b in zip(paper, paper[1:], strict=False):
            seen = clipped(a, b, self.area)
            if seen is not None and math.dist(*seen) >= COARSE_MM:
                self.drawing.lines.append(seen)
            long, at = math.dist(a, b), 0.0
            while long - at > 1e-9:
                step = min(left, long - at)
                if on:
                    ends = [(a[0] + (b[0] - a[0]) * t / long, a[1] + (b[1] - a[1]) * t / long) for t in (at, at + step)]
                    part = clipped(ends[0], ends[1], self.area)
                    if part is not None:
                        self.sheet.line(*part, stroke_mm)
                at, left = at + step, left - step
                if left <= 1e-9:
                    k += 1
                    on, left = not on, dash_mm[k % len(dash_mm)]

    def circle(self, radius_m: float, stroke_mm: float, dash_mm: Sequence[float] = ()) -> None:
        """A circle about the base."""
        turns = [2 * math.pi * k / 180 for k in range(181)]
        self.outline([(radius_m * math.sin(t), radius_m * math.cos(t)) for t in turns], stroke_mm, dash_mm)

    def shape(self, shape: Shape, stroke_mm: float, dash_mm: Sequence[float] = ()) -> None:
        """A shape of the plan, its rings or its line."""
        for ring in shape.rings:
            self.outline([self.place(*p) for p in ring], stroke_mm, dash_mm)

    def is_inside(self, place: Point, room_mm: float = 2.0) -> bool:
        """Whether a place in metres stands inside the frame."""
        x, y = self.drawing.at(place)
        return self.area[0] + room_mm <= x <= self.area[2] - room_mm and self.area[1] + room_mm <= y <= self.area[3] - room_mm

    def name(self, place: Point, text: str, outward: Point = (0.1, -0.1), reach_mm: float = 0.5) -> None:
        """A name for a place in metres; the first ones find room before the last."""
        if self.is_inside(place) and self._names < MOST_NAMES:
            said = self.sheet.say(text)
            short = said if len(said) <= LONGEST_NAME else Said(f"{said[: LONGEST_NAME - 1]}…")
            self.drawing.note(self.drawing.at(place), short, outward, reach_mm)
            self._names += 1

    def land(self) -> None:
        """Own outline in bold long dashes, neighbours in dashes and dots, obstacles in dots."""
        for shape in self.plan.shapes:
            if shape.kind == "parcel":
                self.shape(shape, THIN_MM, NEIGHBOUR_DASH)
        for shape in self.plan.shapes:
            if shape.kind == "own_land":
                self.shape(shape, OWN_MM, OWN_DASH)
            elif shape.kind == "obstacle":
                self.shape(shape, 0.35, OBSTACLE_DASH)

    def land_names(self) -> None:
        """The neighbours' ids and the obstacles' names, as far as they find room."""
        half = [(p[0] - self.drawing.origin[0], self.drawing.origin[1] - p[1]) for p in ((self.area[0], self.area[3]), (self.area[2], self.area[1]))]
        window = [v * self.scale / 1000.0 for pair in half for v in pair]
        for shape in self.plan.shapes:
            if shape.kind in ("parcel", "obstacle"):
                seen = [self.place(*p) for ring in shape.rings for p in ring]
                x, y = zip(*seen, strict=True)
                low = max(min(x), window[0]), max(min(y), window[1])
                high = min(max(x), window[2]), min(max(y), window[3])
                if low[0] < high[0] and low[1] < high[1]:
                    text = shape.id if shape.kind == "parcel" else shape.label
                    self.name(centre_of((low, high)), text)

    def finish(self, title: str) -> None:
        """Base, north arrows, names, frame, title, scale and scale bar."""
        box, sheet = self.box, self.sheet
        draw_mark(sheet, "base", self.drawing.at((0.0, 0.0)))
        self.drawing.keep_off((0.0, 0.0), 2.2)
        corner = (self.area[2] - ARROWS_MM[0] - 0.8, self.area[1] + 0.8)
        sheet.box(corner, ARROWS_MM, fill=1.0)
        draw_norths(sheet, corner, self.plan.crs)
        self.drawing.marks.append((*corner, corner[0] + ARROWS_MM[0], corner[1] + ARROWS_MM[1]))
        self.drawing.finish()
        sheet.box(box[:2], (box[2] - box[0], box[3] - box[1]), THIN_MM)
        told = f"1:{self.scale}"
        sheet.text((box[2] - 1.4, box[1] + 3.7), told, 9.0, bold=True, align="right")
        title, size = sheet.fitted(title, box[2] - box[0] - 4.0 - sheet.text_mm(told, 9.0, bold=True), 8.0, 5.5)
        sheet.text((box[0] + 1.4, box[1] + 3.7), title, size)
        for y in (self.area[1], self.area[3]):
            sheet.line((box[0], y), (box[2], y), HAIR_MM)
        draw_scale_bar(sheet, (box[0] + 1.6, self.area[3] + 1.4), self.scale, 42.0)


def draw_key(sheet: Sheet, at: Point, items: Sequence[tuple[str, float, Sequence[float]]], end_mm: float) -> None:
    """The kinds of lines side by side with their words, as far as there is room to the right.

    Args:
        items: words, stroke (mm) and dashes (mm).
    """
    x = at[0]
    for text, stroke_mm, dash_mm in items:
        wide = 8.0 + sheet.text_mm(text, 6.5) + 3.0
        if x + wide > end_mm:
            return
        sheet.line((x, at[1]), (x + 6.8, at[1]), stroke_mm, dash_mm)
        sheet.text((x + 7.8, at[1] + 0.8), text, 6.5)
        x += wide
