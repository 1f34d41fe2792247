"""A vertical section on paper: distance to the right, height upward, each to its own scale; hatched ground, axes that are scale bars."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from siting.records.plan import Plan
from siting.writers.paper.canvas import CAPITAL_EM, HAIR_MM, POINTS_PER_MM, Point, Sheet

GROUND_MM, HATCH_STEP_MM, HATCH_MM = 0.45, 1.8, 1.6
BAR_MM, NUMBER_SIZE = 1.3, 7.5
EXAGGERATIONS = (1.0, 2.0, 5.0)
STEPS_M = (0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
LEAST_BLOCK_MM = 7.0


@dataclass(frozen=True, slots=True)
class Section:
    """A section: where (0, 0) lies on the paper (mm), the scale of lengths 1:scale, how many times heights are drawn."""

    sheet: Sheet
    origin: Point
    scale: int
    tall: float = 1.0

    def at(self, place: Point) -> Point:
        """A place (metres along, metres up) on the paper, mm."""
        mm_per_m = 1000.0 / self.scale
        return self.origin[0] + place[0] * mm_per_m, self.origin[1] - place[1] * mm_per_m * self.tall

    def path(self, places: Sequence[Point], stroke_mm: float, dash_mm: Sequence[float] = ()) -> None:
        """A line through places in metres; its dashes run on from piece to piece, so that a curve shows them too."""
        points = [self.at(p) for p in places]
        for a, b in _dashes(points, dash_mm) if dash_mm else zip(points, points[1:], strict=False):
            self.sheet.line(a, b, stroke_mm)

    def earth(self, places: Sequence[Point]) -> None:
        """The ground's line with slant strokes below it at even distances."""
        points = [self.at(p) for p in places]
        for a, b in zip(points, points[1:], strict=False):
            self.sheet.line(a, b, GROUND_MM)
        first, last = points[0][0] + HATCH_STEP_MM, points[-1][0]
        for k in range(max(0, math.floor((last - first) / HATCH_STEP_MM) + 1)):
            x = first + k * HATCH_STEP_MM
            y = _height(points, x)
            self.sheet.line((x, y + 0.2), (x - HATCH_MM * 0.75, y + 0.2 + HATCH_MM), HAIR_MM)


def _dashes(points: Sequence[Point], dash_mm: Sequence[float]) -> list[tuple[Point, Point]]:
    """The pieces of a line that are drawn: strokes and gaps in turn, counted along it, mm."""
    drawn, turn, left = [], 0, dash_mm[0]
    for a, b in zip(points, points[1:], strict=False):
        long, done = math.dist(a, b), 0.0
        while long - done > 1e-9:
            step = min(left, long - done)
            ends = [(a[0] + (b[0] - a[0]) * t / long, a[1] + (b[1] - a[1]) * t / long) for t in (done, done + step)]
            if turn % 2 == 0:
                drawn.append((ends[0], ends[1]))
            done, left = done + step, left - step
            if left <= 1e-9:
                turn += 1
                left = dash_mm[turn % len(dash_mm)]
    return drawn


def _height(points: Sequence[Point], x: float) -> float:
    """y of a line that runs to the right, mm."""
    for a, b in zip(points, points[1:], strict=False):
        if a[0] <= x <= b[0]:
            return a[1] + (b[1] - a[1]) * (x - a[0]) / ((b[0] - a[0]) or 1.0)
    return points[-1][1]


def block_m(mm_per_m: float, least_mm: float = LEAST_BLOCK_MM) -> float:
    """A round length whose block on an axis is at least this long, metres."""
    return next((m for m in STEPS_M if m * mm_per_m >= least_mm), STEPS_M[-1])


def draw_distance_axis(section: Section, y: float, end_m: float) -> None:
    """A bar of blocks along the distance from the base, numbered: axis and scale bar in one."""
    sheet, step = section.sheet, block_m(1000.0 / section.scale, 11.0)
    count = math.floor(end_m / step + 1e-9)
    for k in range(count):
        left, right = section.at((k * step, 0.0))[0], section.at(((k + 1) * step, 0.0))[0]
        sheet.box((left, y), (right - left, BAR_MM), HAIR_MM, 0.0 if k % 2 == 0 else 1.0)
    for k in range(count + 1):
        text = f"{k * step:g}" + (" m" if k == count else "")
        sheet.text((section.at((k * step, 0.0))[0], y + BAR_MM + 3.2), text, NUMBER_SIZE, align="middle")


def draw_height_axis(section: Section, x: float, low_m: float, high_m: float) -> None:
    """A bar of blocks up the height, numbered: axis and scale bar in one; 0 is the ground at the base."""
    sheet, step = section.sheet, block_m(1000.0 * section.tall / section.scale)
    first, last = math.floor(low_m / step + 1e-9), math.ceil(high_m / step - 1e-9)
    for k in range(first, last):
        top, foot = section.at((0.0, (k + 1) * step))[1], section.at((0.0, k * step))[1]
        sheet.box((x - BAR_MM, top), (BAR_MM, foot - top), HAIR_MM, 0.0 if k % 2 == 0 else 1.0)
    for k in range(first, last + 1):
        y = section.at((0.0, k * step))[1]
        text = f"{k * step:g}".replace("-", "−") + (" m" if k == last else "")
        sheet.text((x - BAR_MM - 0.8, y + CAPITAL_EM * NUMBER_SIZE / POINTS_PER_MM / 2), text, NUMBER_SIZE, align="right")


def exaggeration(plan: Plan, per_m: float, how: tuple[float, float, float]) -> tuple[float, Point]:
    """How many times heights are drawn in the laydown's picture, and the heights between whole blocks of its axis, metres.

    Heights are drawn as they are where the largest crib can be read so; else twice or five times, as far as there is room.

    Args:
        per_m: drawn length of a metre along the laydown.
        how: the least that the largest crib is drawn, the most that all heights may take, the least block of the axis.
    """
    read, most, least = how
    profile, base_m = plan.laydown.profile, plan.base.height_m
    heights = [h - base_m for h in (*profile.ground_m, *profile.rest_line_m)]
    largest_m = max([plan.laydown.max_gap_m, *(j.cribbing_m for j in plan.profiles.laydown_joints)])
    chosen = (1.0, (0.0, 0.0))
    for tall in EXAGGERATIONS:
        step = block_m(per_m * tall, least)
        low, high = math.floor(min(heights) / step + 1e-9) * step, math.ceil(max(heights) / step - 1e-9) * step
        if tall > 1.0 and (high - low) * per_m * tall > most:
            break
        chosen = (tall, (low, high))
        if largest_m * per_m * tall >= read:
            break
    return chosen
