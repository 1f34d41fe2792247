"""The section along the guy: real ground, guy and rod in one line, the anchor, cover, frost and water, with dimensions."""

from __future__ import annotations

import math

from siting.figures import shown
from siting.records.holding import ROCK_BAR, SCREW
from siting.writers.dig.cases import Case
from siting.writers.paper.canvas import HAIR_MM, THIN_MM, Point
from siting.writers.paper.scale_drawing import DIMENSION_MM, Bounds, Drawing, Margins
from siting.writers.paper.sketch_marks import draw_mark

GUY_MM, ROD_MM, ANCHOR_MM, ARC_MM = 13.0, 0.55, 1.3, 9.0
GUY_STROKE, FROST, WATER, LEVEL = (0.25, (3.0, 0.8, 0.5, 0.8)), (0.2, (2.2, 1.0)), (0.25, ()), (0.15, (0.5, 0.7))
LEAST_SIGN_MM = 2.4  # an anchor's sign is never smaller than this
# From memory: a screw's plates stand three diameters of the lower one apart.
HELIX_PITCH = 3.0
SECTION_MARGINS: Margins = (12.0, 12.0, 23.0, 5.0)
SIDE_M = 0.15


def half_length_m(case: Case) -> float:
    """How far the anchor reaches past its middle along the rod, metres; 0 where it is not known."""
    held = case.choice.chosen
    return 0.0 if held.end_m is None else max(0.0, held.end_m - held.rod_m)


def section_bounds(case: Case) -> Bounds:
    """What the section of a screw or a bar must show, metres."""
    tip = case.along(case.choice.chosen.rod_m + half_length_m(case))
    first, last = -SIDE_M, tip[0] + SIDE_M
    heights = [z for _, z in case.ground.line(first, last)]
    return first, last, min(tip[1] - 0.15, *heights), max(0.0, *heights)


def draw_section(drawing: Drawing, case: Case, bounds: Bounds) -> None:
    """The whole section of a screw or a bar."""
    draw_ground(drawing, case, (drawing.box[0], drawing.box[2]))
    draw_guy_and_rod(drawing, case)
    draw_angle(drawing, case)
    held, middle = case.choice.chosen, case.middle
    over = (middle[0], case.ground.rise(middle[0]))
    down = (-math.sin(case.dip_rad) * 6.0, math.cos(case.dip_rad) * 6.0)
    drawing.dimension((0.0, 0.0), middle, down, f"rod {shown(held.rod_m, 'length')}")
    drawing.dimension(over, middle, (5.0, 0.0), f"depth {shown(held.depth_m, 'length')}")
    if held.cover_m is not None and abs(held.cover_m - held.depth_m) >= 0.005:
        # A bar's cover is that of the upper end of its bond.
        foot = case.along(held.rod_m - half_length_m(case)) if held.kind == ROCK_BAR else middle
        aside_mm = 11.0 + 1000.0 * (middle[0] - foot[0]) / drawing.scale
        drawing.dimension((foot[0], foot[1] + held.cover_m), foot, (aside_mm, 0.0), f"cover {shown(held.cover_m, 'length')}")
    draw_levels(drawing, case, bounds[2])


def draw_ground(drawing: Drawing, case: Case, sides_mm: tuple[float, float], gap_m: Point | None = None) -> None:
    """The ground from one side of the box to the other (mm), open where a pit is (metres outward)."""
    ground = case.ground
    first, last = ((x - drawing.origin[0]) * drawing.scale / 1000.0 for x in (sides_mm[0] + 1.0, sides_mm[1] - 1.0))
    known = (ground.points[0][0], ground.points[-1][0])
    parts = [(first, last)] if gap_m is None else [(first, gap_m[0]), (gap_m[1], last)]
    for start, end in parts:
        cuts = [start, *(k for k in known if start < k < end), end]
        for a, b in zip(cuts, cuts[1:], strict=False):
            drawing.earth(ground.line(a, b), known)


def draw_guy_and_rod(drawing: Drawing, case: Case) -> None:
    """Guy and rod in one straight line, the stake between them, the anchor's sign at the rod's end."""
    turn, foot = case.dip_rad, drawing.at((0.0, 0.0))
    end = (foot[0] - math.cos(turn) * GUY_MM, foot[1] - math.sin(turn) * GUY_MM)
    drawing.paper_line(end, foot, *GUY_STROKE)
    drawing.note(((foot[0] * 0.3 + end[0] * 0.7), (foot[1] * 0.3 + end[1] * 0.7)), "guy, to the mast", (0.6, -0.8), 0.8)
    held = case.choice.chosen
    drawing.line((0.0, 0.0), case.along(held.rod_m + half_length_m(case)), ROD_MM)
    if held.kind == SCREW:
        _helices(drawing, case)
    elif held.kind == ROCK_BAR:
        _bond(drawing, case)
    else:
        _plate(drawing, case)
    draw_mark(drawing.sheet, "permanent", foot)
    drawing.keep_off((0.0, 0.0), 1.4)


def _across(drawing: Drawing, case: Case, rod_m: float, size_m: float | None, stroke_mm: float) -> None:
    """A stroke square to the rod, to scale where its size is known, never too small to be seen."""
    half = max(LEAST_SIGN_MM, 1000.0 * (size_m or 0.0) / drawing.scale) / 2
    x, y = drawing.at(case.along(rod_m))
    side = (math.sin(case.dip_rad) * half, -math.cos(case.dip_rad) * half)
    drawing.paper_line((x - side[0], y - side[1]), (x + side[0], y + side[1]), stroke_mm)
    drawing.marks.append((x - 1.0, y - 1.0, x + 1.0, y + 1.0))


def _helices(drawing: Drawing, case: Case) -> None:
    """The screw's plates, the first at its tip, each three diameters of the one below it farther up."""
    held = case.choice.chosen
    place = held.rod_m + half_length_m(case)
    for size_m in held.face_m or (0.0,):
        _across(drawing, case, place, size_m, ANCHOR_MM * 0.8)
        place -= HELIX_PITCH * size_m


def _bond(drawing: Drawing, case: Case) -> None:
    """The bonded length of a bar as a sleeve around it."""
    rod_m, half_m = case.choice.chosen.rod_m, half_length_m(case)
    if half_m == 0.0:
        _across(drawing, case, rod_m, None, ANCHOR_MM)
        return
    side = (math.sin(case.dip_rad) * 1.1, -math.cos(case.dip_rad) * 1.1)
    a, b = drawing.at(case.along(rod_m - half_m)), drawing.at(case.along(rod_m + half_m))
    corners = [(p[0] + s * side[0], p[1] + s * side[1]) for p, s in ((a, 1), (b, 1), (b, -1), (a, -1))]
    drawing.sheet.polygon(corners, 0.25, 0.75)
    drawing.sheet.line(a, b, ROD_MM)
    drawing.dimension(case.along(rod_m - half_m), case.along(rod_m + half_m), (side[0] * 4.0, side[1] * 4.0), f"bond {2 * half_m:.2f} m")


def _plate(drawing: Drawing, case: Case) -> None:
    """The plate as a thick stroke square to the rod."""
    face_m = case.choice.chosen.face_m
    _across(drawing, case, case.choice.chosen.rod_m, face_m[1] if len(face_m) > 1 else None, ANCHOR_MM)


def draw_angle(drawing: Drawing, case: Case) -> None:
    """The rod's angle below the level, as an arc about the stake."""
    x, y = drawing.at((0.0, 0.0))
    drawing.paper_line((x, y), (x + ARC_MM + 3.0, y), DIMENSION_MM, LEVEL[1])
    steps = [case.dip_rad * k / 10 for k in range(11)]
    arc = [(x + ARC_MM * math.cos(t), y + ARC_MM * math.sin(t)) for t in steps]
    for a, b in zip(arc, arc[1:], strict=False):
        drawing.sheet.line(a, b, DIMENSION_MM)
    drawing.lines.append((arc[0], arc[-1]))
    middle = case.dip_rad / 2
    at = (x + ARC_MM * math.cos(middle), y + ARC_MM * math.sin(middle))
    drawing.note(at, f"{case.choice.load.angle_deg:.1f}°", (math.cos(middle), math.sin(middle)), 0.4)


def draw_levels(drawing: Drawing, case: Case, lowest_m: float) -> None:
    """Frost and ground water below the ground, where they lie inside the drawing."""
    soil, box = case.choice.soil, drawing.box
    for depth_m, stroke, name in ((soil.frost_depth_m, FROST, "frost"), (soil.water_depth_m, WATER, "water")):
        if depth_m is None:
            continue
        left, right = ((x - drawing.origin[0]) * drawing.scale / 1000.0 for x in (box[0] + 2.5, box[2] - 2.5))
        line = [(x, z - depth_m) for x, z in case.ground.line(left, right)]
        if min(z for _, z in line) < lowest_m - 0.3 or depth_m == 0.0:
            continue
        drawing.path(line, *stroke)
        x, y = drawing.at(line[0])
        if name == "water":
            drawing.sheet.polygon([(x + 3.0, y - 0.15), (x + 2.0, y - 1.9), (x + 4.0, y - 1.9)], THIN_MM, 1.0)
            drawing.sheet.line((x + 2.2, y + 0.8), (x + 3.8, y + 0.8), HAIR_MM)
            drawing.marks.append((x + 1.8, y - 2.0, x + 4.2, y + 1.0))
        is_near = 1000.0 * depth_m / drawing.scale < 6.0  # no room between it and the ground
        drawing.note((x + 9.0, drawing.at((0.0, case.ground.rise(line[0][0]) - depth_m))[1]), f"{name} {shown(depth_m, 'length')}", (0.0, 1.0 if is_near else -1.0), 0.3)
