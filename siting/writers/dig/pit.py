"""A pit with its plate: section along the guy on the sloping ground, walls laid back, spoil at its setback; its plan below."""

from __future__ import annotations

import math

from siting.figures import shown
from siting.writers.dig.cases import Case
from siting.writers.dig.pit_shape import SETBACK_M, Pit, pit_of
from siting.writers.dig.section import GUY_STROKE, ROD_MM, draw_angle, draw_ground, draw_guy_and_rod, draw_levels
from siting.writers.paper.canvas import HAIR_MM, THIN_MM, Point, Sheet
from siting.writers.paper.scale_drawing import SCALES, Bounds, Drawing, Margins, needed_mm
from siting.writers.paper.sketch_labels import Box
from siting.writers.paper.sketch_marks import draw_mark

WALL_MM, FLOOR_MM, PLATE_MM = 0.45, 0.6, 1.3
SECTION_MARGINS: Margins = (14.0, 14.0, 23.0, 9.0)
PLAN_MARGINS: Margins = (14.0, 7.0, 23.0, 4.0)
ARROW_MM = 7.0
TRENCH_HALF_M = 0.15  # a narrow bucket's half width: common practice, no source


def _bounds(case: Case, pit: Pit) -> tuple[Bounds, Bounds]:
    """What section and plan must show, metres."""
    first, last = min(0.0, pit.edges[0]) - 0.1, pit.edges[1] + 0.1
    heights = [z for _, z in case.ground.line(first, last)]
    half = pit.hole.top_length_m / 2
    return (first, last, min(pit.floor_z, *heights), max(0.0, *heights)), (first, last, -half - SETBACK_M - pit.drawn_m, half)


def _needed(case: Case, pit: Pit, scale: int) -> tuple[Point, Point]:
    """Width and height of the section and of the plan, mm."""
    section, plan = _bounds(case, pit)
    return needed_mm(section, scale, SECTION_MARGINS), needed_mm(plan, scale, PLAN_MARGINS)


def _is_stacked(needed: tuple[Point, Point], room_mm: Point) -> bool | None:
    """True where both fit one above the other, False where they fit beside each other, None where neither."""
    (a, b), (wide, high) = needed, room_mm
    if max(a[0], b[0]) <= wide and a[1] + b[1] <= high:
        return True
    return False if a[0] + b[0] <= wide and max(a[1], b[1]) <= high else None


def pit_scale(case: Case, room_mm: tuple[float, float]) -> int:
    """The largest round scale at which section and plan fit the room, mm, one above the other or beside each other."""
    pit = pit_of(case)
    return next((s for s in SCALES if _is_stacked(_needed(case, pit, s), room_mm) is not None), SCALES[-1])


def draw_pit(sheet: Sheet, case: Case, box: Box, scale: int) -> None:
    """Section and plan to one scale: the plan below the section in line, or beside it."""
    pit = pit_of(case)
    section, plan = _bounds(case, pit)
    needed = _needed(case, pit, scale)
    (wide, section_mm), (_, plan_mm) = needed
    is_stacked = _is_stacked(needed, (box[2] - box[0], box[3] - box[1])) is not False
    if is_stacked:
        spare = max(0.0, (box[3] - box[1] - section_mm - plan_mm) / 2)
        middle = box[1] + section_mm + spare
        boxes = ((box[0], box[1], box[2], middle), (box[0], middle, box[2], box[3]))
        sheet.line((box[0], middle), (box[2], middle), HAIR_MM)
    else:
        middle = (box[0] + box[2]) / 2
        boxes = ((box[0], box[1], middle, box[3]), (middle, box[1], box[2], box[3]))
        sheet.line((middle, box[1]), (middle, box[3]), HAIR_MM)
    for area, bounds, margins, draw in zip(boxes, (section, plan), (SECTION_MARGINS, PLAN_MARGINS), (_section, _plan), strict=True):
        high = needed_mm(bounds, scale, margins)[1]
        x = area[0] + max(0.0, (area[2] - area[0] - wide) / 2) + margins[0] - 1000.0 * bounds[0] / scale
        y = area[1] + max(0.0, (area[3] - area[1] - high) / 2) + margins[1] + 1000.0 * bounds[3] / scale
        drawing = Drawing(sheet, area, (x, y), scale)
        draw(drawing, case, pit)
        drawing.finish()


def _section(drawing: Drawing, case: Case, pit: Pit) -> None:
    """The section: ground, pit, heap, guy, rod and plate in one line, dimensions."""
    hole, ground = pit.hole, case.ground
    tops = [(x, ground.rise(x)) for x in pit.edges]
    draw_ground(drawing, case, (drawing.box[0], drawing.box[2]), pit.edges)
    drawing.path(ground.line(*pit.edges), 0.15, (0.8, 0.8))
    drawing.path((tops[0], (pit.floor[0], pit.floor_z), (pit.floor[1], pit.floor_z), tops[1]), WALL_MM)
    draw_guy_and_rod(drawing, case)
    draw_angle(drawing, case)
    bottom, over = (hole.out_m, pit.floor_z), (hole.out_m, ground.rise(hole.out_m))
    drawing.dimension((pit.floor[1], over[1]), (pit.floor[1], bottom[1]), (_past_wall_mm(drawing, pit), 0.0), f"{shown(hole.depth_m, 'length')} deep")
    drawing.dimension((pit.floor[0], pit.floor_z), (pit.floor[1], pit.floor_z), (0.0, 4.0), f"floor {shown(hole.floor_width_m, 'length')}")
    highest = min(drawing.at(t)[1] for t in tops)
    level = [(drawing.at(t)[0], highest - 6.5) for t in tops]
    for t, end in zip(tops, level, strict=True):
        drawing.sheet.line((end[0], drawing.at(t)[1] - 0.8), (end[0], end[1] - 0.9), HAIR_MM)
        drawing.lines.append((drawing.at(t), end))
    drawing.measured(level[0], level[1], (0.0, -1.0), f"opening {shown(hole.top_width_m, 'length')}")
    if hole.wall_h_per_v:
        foot, top = drawing.at((pit.floor[0], pit.floor_z)), drawing.at(tops[0])
        drawing.note(((foot[0] + top[0]) / 2, (foot[1] + top[1]) / 2), f"wall {hole.wall_h_per_v:g} : 1", (-0.7, 0.7), 0.6)
    drawing.dimension((0.0, 0.0), case.middle, (-math.sin(case.dip_rad) * 4.5, math.cos(case.dip_rad) * 4.5),
                      f"rod {shown(case.choice.chosen.rod_m, 'length')}")  # fmt: skip
    draw_levels(drawing, case, pit.floor_z)


def _past_wall_mm(drawing: Drawing, pit: Pit) -> float:
    """How far beside the floor's end the depth is drawn, mm: inside a laid-back pit, outside an upright one."""
    room = 1000.0 * (pit.edges[1] - pit.floor[1]) / drawing.scale
    return 3.0 if room == 0.0 or room > 6.0 else room + 3.0


def _break(drawing: Drawing, a: Point, b: Point) -> None:
    """A broken edge: what goes on beyond it is not drawn."""
    long = math.dist(a, b)
    ux, uy = (b[0] - a[0]) / (long or 1.0), (b[1] - a[1]) / (long or 1.0)
    middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    out = ((a[0] - ux * 1.5, a[1] - uy * 1.5), (middle[0] - ux, middle[1] - uy), (middle[0] - ux * 0.4 + uy * 1.4, middle[1] - uy * 0.4 - ux * 1.4),
           (middle[0] + ux * 0.4 - uy * 1.4, middle[1] + uy * 0.4 + ux * 1.4), (middle[0] + ux, middle[1] + uy), (b[0] + ux * 1.5, b[1] + uy * 1.5))  # fmt: skip
    drawing.sheet.line(a, b, 0.5, (), 1.0)
    for p, q in zip(out, out[1:], strict=False):
        drawing.paper_line(p, q, 0.2)


def _plan(drawing: Drawing, case: Case, pit: Pit) -> None:
    """The pit from above: floor, opening, walls' corners, plate, rod, heap; lengths square to the guy."""
    hole, half = pit.hole, (pit.hole.floor_length_m / 2, pit.hole.top_length_m / 2)
    inner = [(x, y) for x, y in ((pit.floor[0], half[0]), (pit.floor[1], half[0]), (pit.floor[1], -half[0]), (pit.floor[0], -half[0]))]
    outer = [(pit.edges[0], half[1]), (pit.edges[1], half[1]), (pit.edges[1], -half[1]), (pit.edges[0], -half[1])]
    drawing.path((*outer, outer[0]), WALL_MM)
    if hole.wall_h_per_v:
        for a, b in zip(inner, outer, strict=True):
            drawing.line(a, b, THIN_MM)
    drawing.path((*inner, inner[0]), FLOOR_MM if hole.wall_h_per_v else THIN_MM)
    _plan_heap(drawing, pit)
    if pit.edges[0] > TRENCH_HALF_M:
        for side in (-TRENCH_HALF_M, TRENCH_HALF_M):
            drawing.line((0.0, side), (pit.edges[0], side), THIN_MM, (0.8, 0.6))
        drawing.note(drawing.at((pit.edges[0] / 2, TRENCH_HALF_M)), "rod trench", (0.0, -1.0), 0.4)
    foot = drawing.at((0.0, 0.0))
    drawing.paper_line((max(drawing.box[0] + 1.0, foot[0] - 14.0), foot[1]), foot, *GUY_STROKE)
    drawing.line((0.0, 0.0), (case.middle[0], 0.0), ROD_MM, (1.6, 0.8))
    face_m = case.choice.chosen.face_m
    long = (face_m[0] if face_m else hole.floor_length_m * 0.7) / 2
    drawing.line((case.middle[0], -long), (case.middle[0], long), PLATE_MM)
    draw_mark(drawing.sheet, "permanent", foot)
    drawing.keep_off((0.0, 0.0), 1.4)
    drawing.note((foot[0] - 8.0, foot[1]), "to the base", (0.0, -1.0), 0.6)
    drawing.dimension((pit.edges[1], half[1]), (pit.edges[1], -half[1]), (4.0, 0.0), f"opening {shown(hole.top_length_m, 'length')}")
    drawing.dimension(inner[0], inner[3], (-2.6, 0.0), f"floor {shown(hole.floor_length_m, 'length')}")
    _north(drawing, hole.azimuth_deg)


def _plan_heap(drawing: Drawing, pit: Pit) -> None:
    """The heap's outline from above at an end of the pit, and its setback from the opening's edge."""
    near = -pit.hole.top_length_m / 2 - SETBACK_M
    far = near - pit.drawn_m
    corners = [(pit.edges[0], near), (pit.edges[1], near), (pit.edges[1], far), (pit.edges[0], far)]
    drawing.sheet.polygon([drawing.at(c) for c in corners], 0.25, 0.9)
    drawing.lines += [(drawing.at(a), drawing.at(b)) for a, b in zip(corners, corners[1:], strict=False)]
    x = pit.edges[1] * 0.8 + pit.edges[0] * 0.2
    drawing.measured(drawing.at((x, near + SETBACK_M)), drawing.at((x, near)), (1.0, 0.0), f"{SETBACK_M:.2f} m")
    if pit.drawn_m < pit.heap_m:
        _break(drawing, drawing.at(corners[3]), drawing.at(corners[2]))
    drawing.note(drawing.at(((pit.edges[0] + pit.edges[1]) / 2, (near + far) / 2)), f"spoil {shown(pit.hole.spoil_m3, 'volume')}", (0.0, 1.0), 0.3)


def _north(drawing: Drawing, azimuth_deg: float) -> None:
    """True north in the plan's corner: the rod runs to the right, to its azimuth."""
    turn = math.radians(azimuth_deg)
    centre = (drawing.box[0] + 7.5, drawing.box[1] + 8.0)
    step = (math.cos(turn) * ARROW_MM / 2, -math.sin(turn) * ARROW_MM / 2)
    tip, foot = (centre[0] + step[0], centre[1] + step[1]), (centre[0] - step[0], centre[1] - step[1])
    drawing.sheet.line(foot, tip, 0.3)
    back = (tip[0] - 0.72 * step[0], tip[1] - 0.72 * step[1])
    across = (step[1] * 0.28, -step[0] * 0.28)
    drawing.sheet.polygon([tip, (back[0] + across[0], back[1] + across[1]), (back[0] - across[0], back[1] - across[1])], 0.15, 0.0)
    drawing.sheet.text((centre[0] + step[0] * 1.6, centre[1] + step[1] * 1.6 + 1.0), "N", 8.0, bold=True, align="middle")
    told = f"rod to {shown(azimuth_deg, 'bearing')} true"
    drawing.sheet.text((centre[0] + 8.0, drawing.box[1] + 4.0), told, 7.5)
    drawing.marks.append((centre[0] - 6.4, centre[1] - 6.4, centre[0] + 6.2, centre[1] + 6.2))
    drawing.marks.append((centre[0] + 6.2, drawing.box[1] + 1.0, centre[0] + 8.4 + drawing.sheet.text_mm(told, 7.5), drawing.box[1] + 5.2))
