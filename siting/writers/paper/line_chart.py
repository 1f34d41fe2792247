"""A chart on paper: axes with units, lines told apart by stroke and by name at their end, marks at an angle."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from siting.writers.paper.canvas import CAPITAL_EM, HAIR_MM, POINTS_PER_MM, THIN_MM, Point, Sheet

STROKES = ((0.55, ()), (0.45, (2.4, 1.0)), (0.45, (0.7, 0.8)), (0.4, (3.0, 0.8, 0.6, 0.8)), (0.25, ()), (0.25, (1.2, 0.8)))
TICK_SIZE, NAME_SIZE, TITLE_SIZE, MARK_SIZE = 8.0, 7.5, 8.0, 9.0
LEFT_MM, RIGHT_MM, TOP_MM, LOW_MM = 11.0, 24.0, 5.8, 9.0
SAMPLE_MM = 5.5  # of a curve's stroke beside its name
MOST_TICKS = 7
GRID_INK = 0.75


@dataclass(frozen=True, slots=True)
class Curve:
    """A line of a chart: its name and its points; a value of None is a gap."""

    name: str
    x: tuple[float, ...]
    y: tuple[float | None, ...]


@dataclass(frozen=True, slots=True)
class Chart:
    """Curves with the titles of their axes; marks are upright lines with a letter at their head."""

    x_title: str
    y_title: str
    curves: tuple[Curve, ...]
    marks: tuple[tuple[str, float], ...] = ()
    x_step: float = 10.0


def nice_step(span: float) -> float:
    """A round step that divides a span into at most MOST_TICKS parts, in the span's unit."""
    power = 10.0 ** math.floor(math.log10(span / MOST_TICKS))
    return next(s * power for s in (1.0, 2.0, 5.0, 10.0) if span / (s * power) <= MOST_TICKS)


def _range(values: Sequence[float], step: float) -> tuple[float, float]:
    """The values between whole steps; one step at least, so that a chart of nought has an axis."""
    low, high = math.floor(min(values) / step + 1e-9) * step, math.ceil(max(values) / step - 1e-9) * step
    return low, max(high, low + step)


def draw_chart(sheet: Sheet, box: tuple[float, float, float, float], chart: Chart) -> None:
    """Draws the chart inside this box, mm; axes begin at round values and hold 0."""
    values = [v for c in chart.curves for v in c.y if v is not None] + [0.0]
    y_step = nice_step((max(values) - min(values)) or 1.0)
    xs = _range([x for c in chart.curves for x in c.x], chart.x_step)
    ys = _range(values, y_step)
    area = (box[0] + LEFT_MM, box[1] + TOP_MM, box[2] - RIGHT_MM, box[3] - LOW_MM)

    def at(x: float, y: float) -> Point:
        return (
            area[0] + (x - xs[0]) / (xs[1] - xs[0]) * (area[2] - area[0]),
            area[3] - (y - ys[0]) / (ys[1] - ys[0]) * (area[3] - area[1]),
        )

    _axes(sheet, area, chart, at, (xs, ys, y_step))
    for _, x in chart.marks:
        top, foot = at(x, ys[1]), at(x, ys[0])
        sheet.line(foot, (top[0], top[1] - 0.6), 0.3, (0.4, 0.9))
    _letters(sheet, chart, at, ys[1])
    ends = []
    for number, curve in enumerate(chart.curves):
        stroke = STROKES[number % len(STROKES)]
        points = [None if y is None else at(x, y) for x, y in zip(curve.x, curve.y, strict=True)]
        for a, b in zip(points, points[1:], strict=False):
            if a is not None and b is not None:
                sheet.line(a, b, *stroke)
        last = next((p for p in reversed(points) if p is not None), None)
        if last is not None:
            ends.append((last, curve.name, stroke))
    _end_names(sheet, area, box[2], ends)


def _axes(sheet: Sheet, area: tuple[float, float, float, float], chart: Chart, at, ranges) -> None:
    """Grid, ticks with their numbers, titles with units."""
    xs, ys, y_step = ranges
    capital_mm = CAPITAL_EM * TICK_SIZE / POINTS_PER_MM
    digits = max(0, -math.floor(math.log10(y_step) + 1e-9))
    for k in range(round((ys[1] - ys[0]) / y_step) + 1):
        value = ys[0] + k * y_step
        y = at(xs[0], value)[1]
        is_zero = abs(value) < y_step / 1e3
        sheet.line((area[0], y), (area[2], y), THIN_MM if is_zero else HAIR_MM, ink=0.0 if is_zero else GRID_INK)
        text = f"{0.0 if is_zero else value:.{digits}f}".replace("-", "−")
        sheet.text((area[0] - 1.2, y + capital_mm / 2), text, TICK_SIZE, align="right")
    for k in range(round((xs[1] - xs[0]) / chart.x_step) + 1):
        value = xs[0] + k * chart.x_step
        x = at(value, ys[0])[0]
        sheet.line((x, area[1]), (x, area[3]), HAIR_MM, ink=GRID_INK)
        sheet.text((x, area[3] + 3.6), f"{value:g}".replace("-", "−"), TICK_SIZE, align="middle")
    sheet.box(area[:2], (area[2] - area[0], area[3] - area[1]), THIN_MM)
    sheet.text((area[0] - LEFT_MM, area[1] - TOP_MM + 2.6), chart.y_title, TITLE_SIZE, bold=True)
    sheet.text(((area[0] + area[2]) / 2, area[3] + 7.4), chart.x_title, TITLE_SIZE, bold=True, align="middle")


def _letters(sheet: Sheet, chart: Chart, at, top: float) -> None:
    """The letters over the marks, moved apart where two stand together."""
    last = -math.inf
    for letter, x in sorted(chart.marks, key=lambda mark: mark[1]):
        place = at(x, top)
        width_mm = sheet.text_mm(letter, MARK_SIZE, bold=True)
        middle = max(place[0], last + width_mm + 1.0)
        sheet.text((middle, place[1] - 1.0), letter, MARK_SIZE, bold=True, align="middle")
        last = middle


def _end_names(sheet: Sheet, area: tuple[float, float, float, float], right: float, ends) -> None:
    """Each curve's name beside its end, moved apart, with a piece of its stroke and a thin line to the curve."""
    if not ends:
        return
    order = sorted(ends, key=lambda e: e[0][1])
    step_mm = NAME_SIZE * 1.15 / POINTS_PER_MM
    ys = []
    for (_, y), _, _ in order:
        ys.append(max(y, ys[-1] + step_mm) if ys else max(y, area[1] + step_mm / 2))
    over = max(0.0, ys[-1] - (area[3] - step_mm / 2))
    for k in reversed(range(len(ys))):
        ys[k] = min(ys[k], (ys[k + 1] - step_mm) if k + 1 < len(ys) else ys[k] - over)
    left = area[2] + 2.4
    for y, (end, name, stroke) in zip(ys, order, strict=True):
        sheet.line(end, (left, y), HAIR_MM)
        sheet.line((left, y), (left + SAMPLE_MM, y), *stroke)
        name, size = sheet.fitted(name, right - left - SAMPLE_MM - 0.6, NAME_SIZE, 5.5)
        sheet.text((left + SAMPLE_MM + 0.6, y + CAPITAL_EM * size / POINTS_PER_MM / 2), name, size)
