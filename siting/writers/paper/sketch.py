"""The drawing of the layout on a sheet: true north up, a round scale, every stake with its mark and its name."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from siting.records.plan import Plan, Stake
from siting.records.survey import ControlPoint
from siting.writers.paper.canvas import CAPITAL_EM, HAIR_MM, POINTS_PER_MM, THIN_MM, Point, Sheet
from siting.writers.paper.sketch_labels import Box, Label, Placed, Segment, crosses, overlap, place_labels
from siting.writers.paper.sketch_marks import (
    ARROWS_MM,
    REACH_MM,
    STROKES,
    bar_length_m,
    draw_legend,
    draw_mark,
    draw_norths,
    draw_scale_bar,
    laydown_words,
    legend_items,
    legend_mm,
)

# Scales of a common scale ruler.
SCALES = (100, 200, 250, 300, 400, 500, 750, 1000, 1250, 1500, 2000, 2500, 3000, 4000, 5000, 7500, 10000, 20000, 50000)
HEAD_MM, BAR_MM, EDGE_MM = 5.2, 6.8, 1.5
ROOM_MM = (5.0, 4.0)  # beside and above the outermost named marks, for their names
BARE_MM = 1.5  # around a mark without a name
BESIDE_MM = 46.0  # with this much room beside the scale bar the legend stands there
CLEAR_MM = 0.2  # offset stakes are drawn where this much stays between them and every other mark
NAME_SIZES, LAYDOWN_SIZE = (8.0, 7.0, 6.0), 7.0
LONGEST_NAME = 12  # longer names are drawn as their number in the table


@dataclass(frozen=True, slots=True)
class Sketch:
    """A drawing that has been laid out: the box it fills, its scale, where the base lies, and the names."""

    box: Box
    area: Box
    scale: int
    base_at: Point
    norths_at: Point
    names: tuple[Placed, ...]
    name_size: float
    has_numbers: bool  # names are row numbers of the stake table
    legend: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True)
class _Mark:
    """A point to draw: where it lies from the base (metres on the ground, east and north) and what it is."""

    east_m: float
    north_m: float
    role: str
    name: str


def lay_out(sheet: Sheet, plan: Plan, box: Box) -> Sketch | None:
    """The drawing at the largest round scale at which everything finds room in the box; None where none does."""
    has_long_names = any(len(s.point) > LONGEST_NAME for s in plan.stakes if s.role != "offset")
    for scale in SCALES:
        if _base_at(plan, _area(plan, box, scale), scale) is None:
            continue
        for numbers in (False, True)[int(has_long_names) :]:
            for size in NAME_SIZES:
                sketch = _try(sheet, plan, box, (scale, size, numbers))
                if sketch is not None:
                    return sketch
    return None


def _place(point: Stake | ControlPoint) -> Point:
    """East and north of the base, metres on the ground, by true azimuth and ground distance."""
    radius_m = point.distance_m if isinstance(point, ControlPoint) else point.radius_m
    turn = math.radians(point.azimuth_deg)
    return radius_m * math.sin(turn), radius_m * math.cos(turn)


def _marks(plan: Plan, scale: int, *, numbers: bool) -> list[_Mark]:
    """Every mark that is drawn at this scale; offset stakes have no name here, their table has."""
    marks = []
    for number, stake in enumerate((s for s in plan.stakes if s.role != "offset"), 1):
        marks.append(_Mark(*_place(stake), stake.role, str(number) if numbers else stake.point))
    return [*marks, *_offsets(plan, marks, scale)]


def _offsets(plan: Plan, marks: Sequence[_Mark], scale: int) -> list[_Mark]:
    """The offset stakes where they stand clear of every mark, all or none; their table says where they are."""
    offsets = [_Mark(*_place(s), "offset", "") for s in plan.stakes if s.role == "offset"]
    for o in offsets:
        for m in marks:
            away_mm = 1000.0 * math.hypot(o.east_m - m.east_m, o.north_m - m.north_m) / scale
            if away_mm < REACH_MM["offset"] + REACH_MM[m.role] + CLEAR_MM:
                return []
    return offsets


def _paper(mark: _Mark, base_at: Point, scale: int) -> Point:
    return base_at[0] + 1000.0 * mark.east_m / scale, base_at[1] - 1000.0 * mark.north_m / scale


def _area(plan: Plan, box: Box, scale: int) -> Box:
    """The part of the box for the drawing itself: between the heading and the scale bar with the legend."""
    room_mm = box[2] - box[0] - 2 * EDGE_MM
    left_mm = _legend_left_mm(scale, room_mm)
    legend = legend_mm(room_mm - left_mm, len(_legend(plan, scale)))
    below_mm = max(BAR_MM, legend + 0.6) if left_mm else BAR_MM + legend
    return box[0], box[1] + HEAD_MM, box[2], box[3] - below_mm - EDGE_MM


def _legend_left_mm(scale: int, room_mm: float) -> float:
    """How far right of the scale bar's beginning the legend begins; 0 where it stands below the bar."""
    left_mm = 1000.0 * bar_length_m(scale, room_mm) / scale + 6.0
    return left_mm if room_mm - left_mm >= BESIDE_MM else 0.0


def _legend(plan: Plan, scale: int) -> tuple[tuple[str, str, str], ...]:
    roles = {m.role for m in _marks(plan, scale, numbers=False)} | {c.role for c in plan.control}
    strokes = {"laydown"} if "head" in roles else set()
    strokes |= {_stroke(plan, s.id) for s in plan.shapes if s.kind in ("guy", "side_guy", "winch_line")}
    return tuple(legend_items(tuple(roles), tuple(strokes)))


def _stroke(plan: Plan, anchor: str) -> str:
    return next((s.role for s in plan.stakes if s.id == anchor and s.role in STROKES), "permanent")


def _base_at(plan: Plan, area: Box, scale: int) -> Point | None:
    """Where the base lies on the paper so that the layout stands in the middle; None where it is too large."""
    marks = _marks(plan, scale, numbers=False)
    beside = [(1000.0 * m.east_m / scale, ROOM_MM[0] if m.name else BARE_MM) for m in marks]
    above = [(1000.0 * m.north_m / scale, ROOM_MM[1] if m.name else BARE_MM) for m in marks]
    west, east = min(x - room for x, room in beside), max(x + room for x, room in beside)
    south, north = min(y - room for y, room in above), max(y + room for y, room in above)
    if east - west > area[2] - area[0] or north - south > area[3] - area[1]:
        return None
    return (area[0] + area[2]) / 2 - (west + east) / 2, (area[1] + area[3]) / 2 + (north + south) / 2


def _try(sheet: Sheet, plan: Plan, box: Box, how: tuple[int, float, bool]) -> Sketch | None:
    """The drawing at this scale, type size and kind of names; None where it finds no room."""
    scale, size, numbers = how
    area = _area(plan, box, scale)
    base_at = _base_at(plan, area, scale)
    if base_at is None:
        return None
    marks = _marks(plan, scale, numbers=numbers) + _given(plan, area, base_at, scale)
    boxes = [_mark_box(m, base_at, scale) for m in marks]
    lines = [line for line, _ in _lines(plan, base_at, scale)]
    norths_at = _free_corner(area, boxes, lines)
    if norths_at is None:
        return None
    taken = [*boxes, (*norths_at, norths_at[0] + ARROWS_MM[0], norths_at[1] + ARROWS_MM[1])]
    labels = [_label(sheet, m, base_at, scale, size) for m in marks if m.name]
    labels += _laydown_label(sheet, plan, base_at, scale)
    inner = (area[0] + 0.8, area[1] + 0.8, area[2] - 0.8, area[3] - 0.8)
    names = place_labels(labels, taken, lines, inner)
    if names is None:
        return None
    return Sketch(box, area, scale, base_at, norths_at, tuple(names), size, numbers, _legend(plan, scale))


def _given(plan: Plan, area: Box, base_at: Point, scale: int) -> list[_Mark]:
    """Control points and features that lie inside the drawing."""
    marks = [_Mark(*_place(c), c.role, c.point) for c in plan.control]
    inner = (area[0] + 4.0, area[1] + 4.0, area[2] - 4.0, area[3] - 4.0)
    return [m for m in marks if overlap(_mark_box(m, base_at, scale), inner, -2 * REACH_MM[m.role])]


def _mark_box(mark: _Mark, base_at: Point, scale: int) -> Box:
    x, y = _paper(mark, base_at, scale)
    r = REACH_MM[mark.role]
    return x - r, y - r, x + r, y + r


def _lines(plan: Plan, base_at: Point, scale: int) -> list[tuple[Segment, str]]:
    """The plan's lines from the base to a stake, each once, with the kind of stroke."""
    ends = {s.id: _paper(_Mark(*_place(s), s.role, ""), base_at, scale) for s in plan.stakes}
    drawn = {}
    for shape in plan.shapes:
        if shape.kind in ("guy", "side_guy", "winch_line") and shape.id in ends:
            drawn[shape.id] = ((base_at, ends[shape.id]), _stroke(plan, shape.id))
    lines = list(drawn.values())
    lines += [((base_at, ends[s.id]), "laydown") for s in plan.stakes if s.role == "head"]
    return lines


def _free_corner(area: Box, boxes: Sequence[Box], lines: Sequence[Segment]) -> Point | None:
    """The first corner that the north arrows can have to themselves."""
    (w, h), edge = ARROWS_MM, 1.0
    for x in (area[2] - w - edge, area[0] + edge):
        for y in (area[1] + edge, area[3] - h - edge):
            corner = (x, y, x + w, y + h)
            if not any(overlap(corner, b, 1.0) for b in boxes) and not any(crosses(s, corner) for s in lines):
                return x, y
    return None


def _label(sheet: Sheet, mark: _Mark, base_at: Point, scale: int, size: float) -> Label:
    is_base = mark.role == "base"
    outward = math.pi / 2 if is_base else math.atan2(-mark.north_m, mark.east_m)
    width_mm = sheet.text_mm(mark.name, size, bold=mark.role not in ("control", "feature")) + 0.4
    height_mm = 0.98 * size / POINTS_PER_MM
    return Label(_paper(mark, base_at, scale), REACH_MM[mark.role], width_mm, height_mm, outward, (mark.name,))


def _laydown_label(sheet: Sheet, plan: Plan, base_at: Point, scale: int) -> list[Label]:
    """The laydown's azimuth beside its line, six tenths out."""
    head = next((s for s in plan.stakes if s.role == "head"), None)
    if head is None:
        return []
    words = laydown_words(plan.laydown.azimuth_deg, plan.laydown.azimuth_grid_deg)
    east, north = _place(head)
    at = base_at[0] + 600.0 * east / scale, base_at[1] - 600.0 * north / scale
    side = math.radians(head.azimuth_deg)  # on the paper this points to the right of the line
    width_mm = max(sheet.text_mm(w, LAYDOWN_SIZE) for w in words) + 0.4
    return [Label(at, 0.6, width_mm, 2 * 1.05 * LAYDOWN_SIZE / POINTS_PER_MM, side, words)]


def draw_sketch(sheet: Sheet, plan: Plan, sketch: Sketch) -> None:
    """Draws what was laid out, with its frame, heading, scale bar and legend."""
    box, scale, base_at = sketch.box, sketch.scale, sketch.base_at
    sheet.box(box[:2], (box[2] - box[0], box[3] - box[1]), THIN_MM)
    heading = f"Sketch 1:{scale}"
    sheet.text((box[0] + EDGE_MM, box[1] + 3.7), heading, 9.0, bold=True)
    told = "True north up, lengths on the ground, arrows not to angle." + (" Numbers: the table's." if sketch.has_numbers else "")
    left = box[0] + EDGE_MM + sheet.text_mm(heading, 9.0, bold=True) + 2.5
    told, size = sheet.fitted(told, box[2] - EDGE_MM - left, 7.0, 5.5)
    sheet.text((left, box[1] + 3.7), told, size)
    for (start, end), kind in _lines(plan, base_at, scale):
        sheet.line(start, end, *STROKES[kind])
    head = next((s for s in plan.stakes if s.role == "head"), None)
    marks = _marks(plan, scale, numbers=sketch.has_numbers) + _given(plan, sketch.area, base_at, scale)
    for mark in sorted(marks, key=lambda m: m.role == "base"):
        draw_mark(sheet, mark.role, _paper(mark, base_at, scale), head.azimuth_deg if head else 0.0)
    given = {c.point for c in plan.control}
    for name in sketch.names:
        _draw_name(sheet, name, sketch.name_size, is_bold=name.label.lines[0] not in given)
    draw_norths(sheet, sketch.norths_at, plan.crs)
    left, low = box[0] + EDGE_MM, sketch.area[3]
    sheet.line((box[0], low), (box[2], low), HAIR_MM)
    room_mm = box[2] - box[0] - 2 * EDGE_MM
    draw_scale_bar(sheet, (left, low + 1.6), scale, room_mm)
    aside_mm = _legend_left_mm(scale, room_mm)
    draw_legend(sheet, (left + aside_mm, low + (0.6 if aside_mm else BAR_MM)), room_mm - aside_mm, sketch.legend)


def _draw_name(sheet: Sheet, name: Placed, size: float, *, is_bold: bool) -> None:
    """A name on a white ground, so that a line below it does not spoil it."""
    left, top, right, bottom = name.box
    if name.leader:
        sheet.line(*name.leader, HAIR_MM)
    sheet.box((left, top), (right - left, bottom - top), fill=1.0)
    lines = name.label.lines
    if len(lines) > 1:
        size, is_bold = LAYDOWN_SIZE, False
    step = (bottom - top) / len(lines)
    for number, line in enumerate(lines):
        base = top + step * (number + 0.5) + CAPITAL_EM * size / POINTS_PER_MM / 2
        sheet.text(((left + right) / 2, base), line, size, bold=is_bold, align="middle")
