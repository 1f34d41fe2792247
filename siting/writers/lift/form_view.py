"""The small view from above on the form: base, laydown, permanent anchors, and where the two instruments stand."""

from __future__ import annotations

import math

from siting.records.plan import Plan, Stake
from siting.records.plumb import FormDirection
from siting.units import turn_deg
from siting.writers.paper.canvas import BOLD_LINE_MM, HAIR_MM, POINTS_PER_MM, THIN_MM, Point, Sheet
from siting.writers.paper.sketch_labels import Box, Label, Placed, Segment, place_labels
from siting.writers.paper.sketch_marks import draw_mark

NAME_SIZE, LETTER_SIZE, SMALL_SIZE = 8.5, 14.0, 7.0
EDGE_MM, INSTRUMENT_MM, ARROW_MM, HEAD_MM = 2.0, 3.4, 9.0, 2.0
ANCHORS_REACH = 0.72  # the outermost anchor lies at this part of the way to an instrument: those are not to scale
NO_NAMES = "Permanent anchors to scale, too many to name here: see the staking plan. + : that way is right."
SIGHT = (0.25, (1.6, 0.9))


def on_paper(centre: Point, bearing_deg: float, distance_mm: float) -> Point:
    """A point at this bearing from the laydown, which runs up the paper."""
    turn = math.radians(bearing_deg)
    return centre[0] + distance_mm * math.sin(turn), centre[1] - distance_mm * math.cos(turn)


def draw_arrow(sheet: Sheet, foot: Point, tip: Point, stroke_mm: float, head_mm: float = HEAD_MM, fill: float = 0.0) -> None:
    """A line with a full head at its tip."""
    long = math.dist(foot, tip) or 1.0
    along = ((tip[0] - foot[0]) / long, (tip[1] - foot[1]) / long)
    back = (tip[0] - along[0] * head_mm, tip[1] - along[1] * head_mm)
    half = head_mm * 0.42
    sheet.line(foot, back, stroke_mm)
    sides = [(back[0] - along[1] * half, back[1] + along[0] * half), (back[0] + along[1] * half, back[1] - along[0] * half)]
    sheet.polygon([tip, *sides], 0.2, fill)


def permanent_stakes(plan: Plan) -> tuple[Stake, ...]:
    """The stakes of the permanent anchors, in the plan's order."""
    return tuple(s for s in plan.stakes if s.role == "permanent")


def draw_form_view(sheet: Sheet, box: Box, plan: Plan) -> None:
    """Draws it inside this box, mm: the laydown runs up, the anchors are to scale, the instruments stand outside them."""
    sheet.box(box[:2], (box[2] - box[0], box[3] - box[1]), THIN_MM)
    directions = plan.plumb_form.directions
    low = box[3] - 4.6  # below it stands what is to scale
    reach = min((box[2] - box[0]) / 2, (low - box[1]) / 2) - EDGE_MM - INSTRUMENT_MM
    centre = ((box[0] + box[2]) / 2, (box[1] + low) / 2)
    stakes = permanent_stakes(plan)
    farthest_m = max((s.radius_m for s in stakes), default=1.0) or 1.0
    places = [
        on_paper(centre, turn_deg(plan.laydown.azimuth_deg, s.azimuth_deg), reach * ANCHORS_REACH * s.radius_m / farthest_m)
        for s in stakes
    ]
    head = on_paper(centre, 0.0, reach - 3.0)
    for place in places:
        sheet.line(centre, place, HAIR_MM)
    draw_arrow(sheet, centre, head, 0.9, 3.4)
    sheet.text((centre[0], head[1] - 1.2), "where the head lay", SMALL_SIZE, align="middle")
    marks = [(centre[0] - 2.4, centre[1] - 2.4, centre[0] + 2.4, centre[1] + 2.4)]
    marks.append((centre[0] - 1.2, head[1], centre[0] + 1.2, centre[1]))
    words_mm = sheet.text_mm("where the head lay", SMALL_SIZE) / 2
    marks.append((centre[0] - words_mm, head[1] - 4.0, centre[0] + words_mm, head[1]))
    sights = [(centre, head), *((centre, on_paper(centre, d.stand_deg, reach)) for d in directions)]
    for direction in directions:
        marks += _instrument(sheet, centre, reach, direction)
    for stake, place in zip(stakes, places, strict=True):
        draw_mark(sheet, stake.role, place)
    draw_mark(sheet, "base", centre)
    area = (box[0] + 0.5, box[1] + 0.5, box[2] - 0.5, low - 0.3)
    named = _names(sheet, area, list(zip(stakes, places, strict=True)), centre, (marks, sights))
    words = "Permanent anchors to scale; A and B farther out. + : that way is right." if named else NO_NAMES
    words, size = sheet.fitted(words, box[2] - box[0] - 2.8, SMALL_SIZE, 5.0)
    sheet.text((box[0] + 1.4, box[3] - 1.4), words, size)


def _instrument(sheet: Sheet, centre: Point, reach: float, direction: FormDirection) -> list[Box]:
    """An instrument with its letter, its sight to the base, and the arrow of what it counts as positive; boxes to keep free."""
    x, y = at = on_paper(centre, direction.stand_deg, reach)
    sheet.line(on_paper(centre, direction.stand_deg, 2.4), on_paper(centre, direction.stand_deg, reach - INSTRUMENT_MM), *SIGHT)
    sheet.circle(at, INSTRUMENT_MM, BOLD_LINE_MM, 1.0)
    sheet.text((x, y + 1.7), direction.name, LETTER_SIZE, bold=True, align="middle")
    foot = on_paper(at, direction.positive_deg, INSTRUMENT_MM + 0.5)
    tip = on_paper(at, direction.positive_deg, INSTRUMENT_MM + 0.5 + ARROW_MM * 0.7)
    draw_arrow(sheet, foot, tip, 0.5)
    plus = on_paper(tip, direction.positive_deg, 2.2)
    sheet.text((plus[0], plus[1] + 1.4), "+", 13.0, bold=True, align="middle")
    ends = (min(x - INSTRUMENT_MM, plus[0] - 2.0), min(y - INSTRUMENT_MM, plus[1] - 2.0))
    return [(*ends, max(x + INSTRUMENT_MM, plus[0] + 2.0), max(y + INSTRUMENT_MM, plus[1] + 2.0))]


def _names(
    sheet: Sheet, area: Box, found: list[tuple[Stake, Point]], centre: Point, keep_off: tuple[list[Box], list[Segment]]
) -> bool:
    """The anchors' names beside their marks, smaller where there are many; False where they find no room at all."""
    marks, sights = keep_off
    own = [(x - 1.3, y - 1.3, x + 1.3, y + 1.3) for _, (x, y) in found]
    lines = [(centre, place) for _, place in found] + sights
    placed: list[Placed] | None = []
    for size in (NAME_SIZE, 7.0, 6.0, 5.0):
        labels = [
            Label(at, 1.3, sheet.text_mm(s.point, size, bold=True) + 0.4, size / POINTS_PER_MM,
                  math.atan2(at[1] - centre[1], at[0] - centre[0]), (s.point,))
            for s, at in found
        ]  # fmt: skip
        placed = place_labels(labels, [*own, *marks], lines, area)
        if placed is not None:
            break
    for name in placed or ():
        if name.leader:
            sheet.line(*name.leader, HAIR_MM)
        left, top, right, low = name.box
        base = (top + low) / 2 + 0.33 * size / POINTS_PER_MM
        sheet.text(((left + right) / 2, base), name.label.lines[0], size, bold=True, align="middle")
    return placed is not None
