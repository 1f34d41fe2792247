"""The picture of the zones: every outline in its own kind of line with its letter, the keep-out hatched, on the land."""

from __future__ import annotations

import math
from collections.abc import Sequence

from siting.records.plan import Plan
from siting.records.reach import ReachZone
from siting.writers.land.map_drawing import NEIGHBOUR_DASH, OBSTACLE_DASH, OWN_DASH, OWN_MM, LandMap, draw_key
from siting.writers.land.places import clipped, hatch
from siting.writers.land.words import zone_letter
from siting.writers.paper.canvas import Point, Sheet
from siting.writers.paper.sketch_labels import Box

HATCH_MM, HATCH_INK = 2.6, 0.55
KEEP_OUT, GUY_WHIP = "keep_out", "guy_whip"
# Stroke (mm) and dashes of each kind of outline.
RULE_LINE, KEEP_LINE, WHIP_LINE, OTHER_LINE = (0.7, ()), (0.4, ()), (0.1, ()), (0.25, (1.2, 0.6))
LINES = {
    "fall_on_ground": (0.25, (2.6, 1.2)), "tip_lands": (0.3, (0.4, 0.9)),
}  # fmt: skip
CORRIDORS = ("laydown_corridor", "side_guys", "back_guys", "winch_line")
GOLDEN_DEG = 137.508  # the next letter stands this much further round, so that letters stand apart
TITLE = "Zones: letters as in the table; hatched: keep-out while the mast moves"


def draw_zones_map(sheet: Sheet, plan: Plan, box: Box) -> int:
    """Draws it inside the box, mm; returns the scale."""
    probe = LandMap(sheet, plan, box, 1.0)
    rings = [[[probe.place(*p) for p in ring] for ring in zone.rings] for zone in plan.reach]
    every = [p for found, zone in zip(rings, plan.reach, strict=True) if zone.id.partition(":")[0] != GUY_WHIP for ring in found for p in ring]
    drawn = LandMap(sheet, plan, box, plan.land.fall_radius_m * 1.03, every)
    for zone, found in zip(plan.reach, rings, strict=True):
        if zone.id == KEEP_OUT:
            _hatch(drawn, found)
    drawn.land()
    for zone, found in zip(plan.reach, rings, strict=True):
        stroke_mm, dash_mm = line_of(zone)
        for ring in found:
            drawn.outline(ring, stroke_mm, dash_mm)
    order = sorted(range(len(rings)), key=lambda k: plan.reach[k].id.partition(":")[0] == GUY_WHIP)
    for k in order:
        place = _letter_place(drawn, plan.reach[k], rings[k], k)
        if place is not None:
            drawn.name(place, zone_letter(k), place, 0.3)
    drawn.land_names()
    drawn.finish(TITLE)
    items = (
        ("own land", OWN_MM, OWN_DASH), ("neighbours", 0.2, NEIGHBOUR_DASH), ("obstacles", 0.35, OBSTACLE_DASH), ("fall circle", *RULE_LINE),
        ("keep-out", *KEEP_LINE), ("lift", *OTHER_LINE), ("parted guys", *WHIP_LINE),
    )  # fmt: skip
    draw_key(sheet, (box[0] + 52.0, drawn.area[3] + 3.2), items, box[2])
    return drawn.scale


def line_of(zone: ReachZone) -> tuple[float, Sequence[float]]:
    """Stroke and dashes of a zone's outline, mm."""
    if zone.is_rule:
        return RULE_LINE
    if zone.id == KEEP_OUT:
        return KEEP_LINE
    return WHIP_LINE if zone.id.partition(":")[0] == GUY_WHIP else LINES.get(zone.id, OTHER_LINE)


def _hatch(drawn: LandMap, rings: list[list[Point]]) -> None:
    paper = [[drawn.drawing.at(p) for p in ring] for ring in rings]
    for a, b in hatch(paper, HATCH_MM):
        part = clipped(a, b, drawn.area)
        if part is not None:
            drawn.sheet.line(*part, 0.1, ink=HATCH_INK)


def _letter_place(drawn: LandMap, zone: ReachZone, rings: list[list[Point]], number: int) -> Point | None:
    """Where on its outline a zone's letter stands: at the far end of a corridor, else turned on from letter to letter."""
    corners = [p for ring in rings for p in ring if drawn.is_inside(p)]
    if not corners:
        return None
    if zone.id in CORRIDORS:
        return max(corners, key=lambda p: math.hypot(*p))
    turn = math.radians(GOLDEN_DEG * number)
    return max(corners, key=lambda p: (p[0] * math.sin(turn) + p[1] * math.cos(turn)) / (math.hypot(*p) or 1.0))
