"""The mast from two sides, its lean drawn larger than its height: as read, the limit, and what is left after the last step."""

from __future__ import annotations

from collections.abc import Sequence

from siting.records.plumb import LevelLean
from siting.records.plumb_sheet import PlumbSheet
from siting.writers.anchor_names import level_name
from siting.writers.paper.canvas import CAPITAL_EM, HAIR_MM, POINTS_PER_MM, THIN_MM, Sheet
from siting.writers.paper.sketch_labels import Box
from siting.writers.plumb.words import cm

FACTORS = (1000.0, 800.0, 600.0, 500.0, 400.0, 300.0, 250.0, 200.0, 150.0, 120.0, 100.0, 80.0, 60.0, 50.0, 40.0, 30.0, 25.0, 20.0)
FACTORS += (15.0, 10.0, 8.0, 6.0, 5.0, 4.0, 3.0, 2.0, 1.0)
HEAD_MM, LOW_MM, NAME_MM, VALUE_MM, EDGE_MM = 14.5, 5.0, 11.5, 13.5, 1.6
TITLE_SIZE, NAME_SIZE, VALUE_SIZE, WAY_SIZE = 11.0, 9.0, 11.0, 7.5
STEP_MM, DOT_MM, MAST_MM, GREY = 4.4, 0.9, 0.8, 0.72
LIMIT = (0.35, (1.6, 0.9))
VIEWS = (("ALONG", "right: where", "the head lay"), ("ACROSS", "right: the right", "of the laydown"))


def draw_elevations(sheet: Sheet, box: Box, plumb: PlumbSheet) -> float:
    """Draws both views inside the box, mm; returns how many times the sideways scale is the height's."""
    levels = plumb.report.levels
    after = plumb.correction.after_cm if plumb.correction else ()
    top_m = levels[-1].attach_m
    tall_mm = box[3] - box[1] - HEAD_MM - LOW_MM
    width_mm = (box[2] - box[0] - NAME_MM) / 2
    half_mm = (width_mm - VALUE_MM) / 2 - EDGE_MM
    widest_cm = max(max(v.limit_cm, abs(v.along_cm), abs(v.across_cm)) for v in levels)
    widest_cm = max((widest_cm, *after))
    mm_per_m = tall_mm / top_m
    factor = next((f for f in FACTORS if widest_cm / 100.0 * mm_per_m * f <= half_mm), FACTORS[-1])
    sheet.box(box[:2], (box[2] - box[0], box[3] - box[1]), THIN_MM)
    foot = box[3] - LOW_MM
    _heights(sheet, box, [(v.attach_m, foot - v.attach_m * mm_per_m) for v in levels], foot)
    for number, words in enumerate(VIEWS):
        left = box[0] + NAME_MM + number * width_mm
        sheet.line((left, box[1]), (left, box[3]), HAIR_MM)
        values = [v.across_cm if number else v.along_cm for v in levels]
        _view(sheet, (left, box[1], left + width_mm, foot), words, (levels, values, after), (mm_per_m, factor))
    return factor


def spread(ys: Sequence[float], step_mm: float, low: float) -> list[float]:
    """Places of rows from the lowest up, each at least so far above the one below it, none below `low`, mm downward."""
    found: list[float] = []
    for y in ys:
        found.append(min(y, (found[-1] - step_mm) if found else low))
    return found


def _heights(sheet: Sheet, box: Box, marks: list[tuple[float, float]], foot: float) -> None:
    """The levels' heights in a column of their own, and the hinge."""
    places = spread([y for _, y in marks], STEP_MM, foot - STEP_MM)
    shift = CAPITAL_EM * NAME_SIZE / POINTS_PER_MM / 2
    for (attach_m, _), y in zip(marks, places, strict=True):
        text, size = sheet.fitted(level_name(attach_m), NAME_MM - 1.6, NAME_SIZE, 6.0, bold=True)
        sheet.text((box[0] + NAME_MM - 0.8, y + shift), text, size, bold=True, align="right")
    sheet.text((box[0] + NAME_MM - 0.8, foot + shift), "hinge", 7.5, align="right")


Drawn = tuple[Sequence[LevelLean], Sequence[float], Sequence[float]]  # levels, their lean this way, what is left; cm


def _view(sheet: Sheet, box: Box, words: tuple[str, str, str], drawn: Drawn, scale: tuple[float, float]) -> None:
    """One view: band of what is left, limits, plumb line, the mast as read, and its offsets in figures."""
    levels, values, after = drawn
    mm_per_m, factor = scale
    foot, middle = box[3], box[0] + (box[2] - box[0] - VALUE_MM) / 2
    mm_per_cm = mm_per_m * factor / 100.0
    ys = [foot - v.attach_m * mm_per_m for v in levels]
    sheet.text((box[0] + 1.2, box[1] + 4.6), words[0], TITLE_SIZE, bold=True)
    for number, text in enumerate(words[1:]):
        sheet.text((box[0] + 1.2, box[1] + 8.0 + 2.9 * number), text, WAY_SIZE)
    sheet.text((box[2] - 1.2, box[1] + 4.6), "cm", 9.0, align="right")
    if after:
        right = [(middle + a * mm_per_cm, y) for a, y in zip(after, ys, strict=True)]
        left = [(middle - a * mm_per_cm, y) for a, y in zip(after, ys, strict=True)]
        sheet.polygon([(middle, foot), *right, *reversed(left)], HAIR_MM, GREY)
    for sign in (-1.0, 1.0):
        knots = [(middle, foot), *((middle + sign * v.limit_cm * mm_per_cm, y) for v, y in zip(levels, ys, strict=True))]
        for a, b in zip(knots, knots[1:], strict=False):
            sheet.line(a, b, *LIMIT)
    sheet.line((middle, foot), (middle, ys[-1]), HAIR_MM)
    half = (box[2] - box[0] - VALUE_MM) / 2
    sheet.line((middle - half + 0.6, foot), (middle + half - 0.6, foot), 0.5)
    knots = [(middle, foot), *((middle + v * mm_per_cm, y) for v, y in zip(values, ys, strict=True))]
    for a, b in zip(knots, knots[1:], strict=False):
        sheet.line(a, b, MAST_MM)
        sheet.circle(b, DOT_MM, 0.0, 0.0)
    shift = CAPITAL_EM * VALUE_SIZE / POINTS_PER_MM / 2
    for value, y in zip(values, spread(ys, STEP_MM, foot - STEP_MM), strict=True):
        text, size = sheet.fitted(cm(value, sign=True, unit=False), VALUE_MM - 2.0, VALUE_SIZE, 7.0, bold=True)
        sheet.text((box[2] - 1.2, y + shift), text, size, bold=True, align="right")
