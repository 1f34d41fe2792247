"""The lean of each level from above: its limit as a circle, the lean as a line to a dot, the guys' bearings around it."""

from __future__ import annotations

import math

from siting.records.plan import Plan
from siting.records.plumb import LevelLean
from siting.records.plumb_sheet import PlumbSheet
from siting.units import turn_deg
from siting.writers.anchor_names import level_name
from siting.writers.lift.force_words import angle
from siting.writers.lift.form_view import on_paper
from siting.writers.paper.canvas import BOLD_LINE_MM, HAIR_MM, POINTS_PER_MM, THIN_MM, Point, Sheet
from siting.writers.paper.sketch_labels import Box, overlap
from siting.writers.plumb.words import cm, limit_cm

SCALES = (0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 80.0, 100.0)
SCALES += (200.0, 500.0)
MOST_COLUMNS, CAPTION_MM, NAME_MM = 3, 14.4, 5.2
FIGURE_SIZE, WHERE_SIZE, NAME_SIZE = 14.0, 8.5, 7.5
DOT_MM, LEAST_DISC_MM, LEAN_STROKE_MM, GREY, CROSS_INK = 1.2, 0.5, 0.7, 0.72, 0.6


def draw_targets(sheet: Sheet, box: Box, plan: Plan, plumb: PlumbSheet) -> float:
    """Draws a picture a level, from the top level on; returns the scale's denominator, the same for all."""
    levels = tuple(reversed(plumb.report.levels))
    after = dict(zip(plumb.correction.levels_m, plumb.correction.after_cm, strict=True)) if plumb.correction else {}
    columns = max(range(1, MOST_COLUMNS + 1), key=lambda n: (_radius_mm(box, len(levels), n), -n))
    radius = _radius_mm(box, len(levels), columns)
    farthest_cm = max(max(v.limit_cm, v.lean_cm, after.get(v.attach_m, 0.0)) for v in levels)
    scale = next((s for s in SCALES if 10.0 * farthest_cm / s <= radius), SCALES[-1])
    rows = -(-len(levels) // columns)
    width_mm, height_mm = (box[2] - box[0]) / columns, (box[3] - box[1]) / rows
    sheet.box(box[:2], (box[2] - box[0], box[3] - box[1]), THIN_MM)
    for number, level in enumerate(levels):
        left, top = box[0] + number % columns * width_mm, box[1] + number // columns * height_mm
        if number % columns:
            sheet.line((left, top), (left, top + height_mm), HAIR_MM)
        if number >= columns:
            sheet.line((left, top), (left + width_mm, top), HAIR_MM)
        centre = (left + width_mm / 2, top + (height_mm - CAPTION_MM) / 2)
        _anchors(sheet, centre, radius, _bearings(plan, plumb, level.attach_m))
        _target(sheet, centre, radius, level, (10.0 / scale, after.get(level.attach_m)))
        _caption(sheet, (left + 1.6, top + height_mm - CAPTION_MM), width_mm - 3.2, level)
    return scale


def _radius_mm(box: Box, count: int, columns: int) -> float:
    """The radius of the picture's field where so many stand beside each other."""
    rows = -(-count // columns)
    return min((box[2] - box[0]) / columns, (box[3] - box[1]) / rows - CAPTION_MM) / 2 - NAME_MM


def _bearings(plan: Plan, plumb: PlumbSheet, attach_m: float) -> list[tuple[str, float]]:
    """The level's permanent guys: the point's name of the anchor, and its bearing from the laydown, degrees."""
    named = plumb.correction.guys if plumb.correction else [g for g in plan.guys if g.use == "permanent"]
    anchors = [guy.anchor for guy in named if guy.attach_m == attach_m]
    return [(s.point, turn_deg(plumb.azimuth_deg, s.azimuth_deg)) for s in plan.stakes if s.id in anchors]


def _anchors(sheet: Sheet, centre: Point, radius: float, bearings: list[tuple[str, float]]) -> None:
    """A tick at each guy's bearing on the edge of the field, and its name as far as the names find room."""
    taken: list[Box] = []
    for name, bearing_deg in bearings:
        sheet.line(on_paper(centre, bearing_deg, radius - 1.2), on_paper(centre, bearing_deg, radius + 0.6), 0.5)
        half = (sheet.text_mm(name, NAME_SIZE, bold=True) / 2, 0.36 * NAME_SIZE / POINTS_PER_MM)
        turn = math.radians(bearing_deg)
        out = radius + 1.2 + abs(math.sin(turn)) * half[0] + abs(math.cos(turn)) * half[1]
        x, y = on_paper(centre, bearing_deg, min(out, radius + NAME_MM - 0.4 - half[1] if half[0] < 3.0 else out))
        label = (x - half[0], y - half[1], x + half[0], y + half[1])
        if any(overlap(label, other, 0.4) for other in taken) or half[0] > NAME_MM:
            continue
        taken.append(label)
        sheet.text((x, y + half[1] * 0.9), name, NAME_SIZE, bold=True, align="middle")


def _target(sheet: Sheet, centre: Point, radius: float, level: LevelLean, drawn: tuple[float, float | None]) -> None:
    """Circle of the limit, cross, disc of what is left, line and dot of the lean; `drawn`: mm for a cm, and what is left."""
    mm_per_cm, left_cm = drawn
    if left_cm is not None:
        sheet.circle(centre, max(left_cm * mm_per_cm, LEAST_DISC_MM), HAIR_MM, GREY)
    for bearing_deg in (0.0, 90.0):
        ends = on_paper(centre, bearing_deg, radius), on_paper(centre, bearing_deg + 180.0, radius)
        sheet.line(*ends, HAIR_MM, ink=CROSS_INK)
    sheet.circle(centre, level.limit_cm * mm_per_cm, BOLD_LINE_MM)
    dot = on_paper(centre, level.bearing_deg, level.lean_cm * mm_per_cm)
    sheet.line(centre, dot, LEAN_STROKE_MM)
    sheet.circle(dot, DOT_MM, 0.0, 0.0)


def _caption(sheet: Sheet, at: Point, width_mm: float, level: LevelLean) -> None:
    """Level and lean in large figures; where it leans, and the limit, white on black where it is over."""
    x, y = at
    lean = cm(level.lean_cm)
    sheet.text((x, y + 5.6), level_name(level.attach_m), FIGURE_SIZE, bold=True)
    room_mm = width_mm - sheet.text_mm(level_name(level.attach_m), FIGURE_SIZE, bold=True) - 2.0
    lean, size = sheet.fitted(lean, room_mm, FIGURE_SIZE, 9.0, bold=True)
    sheet.text((x + width_mm, y + 5.6), lean, size, bold=True, align="right")
    is_over = level.margin_cm < 0.0
    if is_over:
        sheet.box((x - 0.6, y + 7.2), (width_mm + 1.2, 6.0), fill=0.0)
    words = f"leans to {angle(level.bearing_deg)} · {'OVER' if is_over else 'limit'} {limit_cm(level.limit_cm)}"
    words, size = sheet.fitted(words, width_mm - 1.0, WHERE_SIZE, 6.0, bold=is_over)
    sheet.text((x + 0.4, y + 11.2), words, size, bold=is_over, ink=1.0 if is_over else 0.0)
