"""The banded mast with its guys, spheres and sleeves, to scale; every guy turned to the right of it."""

from __future__ import annotations

import math

from siting.figures import shown
from siting.records.air import Marking
from siting.records.plan import GuyChord, Plan
from siting.writers.paper.canvas import HAIR_MM, THIN_MM, Point, Sheet
from siting.writers.paper.scale_drawing import Drawing, needed_mm, start_drawing
from siting.writers.paper.sketch import SCALES
from siting.writers.paper.sketch_labels import Box

MAST_MM, SPHERE_MM, SLEEVE_MM, ORANGE_INK = 3.2, 1.1, 1.1, 0.3
MARGINS = (16.0, 6.0, 4.0, 3.0)
HEAD_MM, FOOT_MM, MOST_FIGURES, LEFT_M = 5.2, 5.4, 14, 3.0
TITLE = "Dark: aviation orange (O); empty: white (W)"
GUYS_TOLD = "Guys turned to the right; spheres and sleeves drawn large enough to see."


def draw_marking(sheet: Sheet, plan: Plan, marking: Marking, box: Box) -> int:
    """Draws it inside the box, mm; returns the scale."""
    mast = plan.mast
    reach = {s.id: s.radius_m for s in plan.stakes}
    out_m = max([5.0, *(reach.get(g.anchor, 0.0) for g in plan.guys if g.use == "permanent")])
    bounds = (-LEFT_M, out_m, 0.0, mast.total_height_m)
    inner = (box[0], box[1] + HEAD_MM, box[2], box[3] - FOOT_MM)
    room = inner[2] - inner[0], inner[3] - inner[1]
    scale = next((s for s in SCALES if all(n <= r for n, r in zip(needed_mm(bounds, s, MARGINS), room, strict=True))), SCALES[-1])
    drawing = start_drawing(sheet, inner, bounds, scale, MARGINS)
    drawing.line((-LEFT_M, 0.0), (out_m, 0.0), 0.35)
    for guy in plan.guys:
        if guy.use == "permanent" and guy.anchor in reach:
            _guy(drawing, plan, guy, marking)
    _mast(drawing, plan, marking)
    drawing.finish()
    sheet.box(box[:2], (box[2] - box[0], box[3] - box[1]), THIN_MM)
    sheet.line((box[0], inner[1]), (box[2], inner[1]), HAIR_MM)
    sheet.text((box[0] + 1.4, box[1] + 3.7), TITLE, 8.0)
    sheet.text((box[2] - 1.4, box[1] + 3.7), f"1:{scale}", 9.0, bold=True, align="right")
    told, size = sheet.fitted(GUYS_TOLD, box[2] - box[0] - 2.8, 7.0, 5.5)
    sheet.text((box[0] + 1.4, box[3] - 1.6), told, size)
    return scale


def _guy(drawing: Drawing, plan: Plan, guy: GuyChord, marking: Marking) -> None:
    """One guy in its own plane, with its spheres and its sleeve."""
    stake = next(s for s in plan.stakes if s.id == guy.anchor)
    foot = stake.radius_m, 0.0
    top = 0.0, guy.attach_m + plan.mast.hinge_height_m
    drawing.line(foot, top, THIN_MM)
    long = math.dist(foot, top)
    if marking.sleeve_m:
        end = _along(foot, top, marking.sleeve_m / long)
        drawing.sheet.line(drawing.at(foot), drawing.at(end), SLEEVE_MM)
    for sphere in marking.spheres:
        if sphere.anchor == guy.anchor and abs(sphere.attach_m - guy.attach_m) < 0.01:
            place = _along(foot, top, sphere.from_anchor_m / (sphere.from_anchor_m + sphere.from_mast_m))
            drawing.sheet.circle(drawing.at(place), SPHERE_MM, 0.35, 1.0)
            drawing.keep_off(place, SPHERE_MM)


def _along(foot: Point, top: Point, part: float) -> Point:
    return foot[0] + (top[0] - foot[0]) * part, foot[1] + (top[1] - foot[1]) * part


def _mast(drawing: Drawing, plan: Plan, marking: Marking) -> None:
    """The mast with its bands, dark for orange, with their edges' depths below the tip at the left."""
    sheet, total_m = drawing.sheet, plan.mast.total_height_m
    x, top = drawing.at((0.0, total_m))
    low = drawing.at((0.0, 0.0))[1]
    sheet.box((x - MAST_MM / 2, top), (MAST_MM, low - top), THIN_MM, 1.0)
    for band in marking.bands:
        y0, y1 = (drawing.at((0.0, total_m - v))[1] for v in (band.from_m, band.to_m))
        is_orange = "white" not in band.colour
        sheet.box((x - MAST_MM / 2, y0), (MAST_MM, y1 - y0), THIN_MM, ORANGE_INK if is_orange else 1.0)
        if y1 - y0 > 3.6:
            sheet.text((x, (y0 + y1) / 2 + 0.9), "O" if is_orange else "W", 7.0, bold=True, align="middle", ink=1.0 if is_orange else 0.0)
    drawing.marks.append((x - MAST_MM / 2, top, x + MAST_MM / 2, low))
    edges = sorted({b.from_m for b in marking.bands} | {b.to_m for b in marking.bands})
    step = -(-len(edges) // MOST_FIGURES)
    last = -10.0
    for k, edge_m in enumerate(edges):
        y = drawing.at((0.0, total_m - edge_m))[1]
        if k % step and edge_m != edges[-1] or y - last < 3.0:
            continue
        last = y
        sheet.line((x - MAST_MM / 2 - 2.4, y), (x - MAST_MM / 2, y), HAIR_MM)
        sheet.text((x - MAST_MM / 2 - 3.0, y + 0.9), shown(edge_m, "length"), 7.5, align="right")
