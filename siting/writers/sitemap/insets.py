"""The small maps beside the site map: the vicinity from the layers given, and an overview where the main map shows a part only."""

from __future__ import annotations

import math
from typing import Any

from siting.records.permit import PermitFacts, PermitGround
from siting.records.plan import Plan
from siting.writers.paper.canvas import THIN_MM
from siting.writers.paper.sketch_marks import REACH_MM, draw_mark
from siting.writers.sitemap.drawing import draw_map
from siting.writers.sitemap.grid_frame import GridFrame
from siting.writers.sitemap.label_room import LabelRoom
from siting.writers.sitemap.line_types import LAND_KINDS, LINE_TYPES
from siting.writers.sitemap.map_sheet import HEADING, TEXT, Box, MapSheet
from siting.writers.sitemap.outlines import draw_outlines, known_outlines, pieces
from siting.writers.sitemap.scale import METRIC, Extent, fits
from siting.writers.sitemap.strokes import draw_hatch, draw_line
from siting.writers.sitemap.window import Window, needed, place_window, room_mm

TITLE_MM, FOOT_MM = 5.4, 9.6
# Between the ruler's scales: a small map is not measured on.
INSET_SCALES = tuple(sorted({*METRIC, 1500, 3000, 4000, 6000, 7500, 8000, 15_000}))
MOST_M = 4000.0  # a lot that reaches further from the base is not shown whole
VICINITY_KINDS = ("road", "railway", "access", "water", "building", "overhead_line", "planned_road")


def vicinity_extent(plan: Plan, ground: PermitGround | None, frame: GridFrame) -> tuple[Extent, bool]:
    """What the vicinity map shows, ground metres from the base, and whether the whole lot is in it."""
    own = [o for o in known_outlines(plan, ground)[0] if o.kind == "own_land"]
    radius = 1.5 * max(plan.land.fall_radius_m, plan.land.setback_m)
    places = [(-radius, -radius), (radius, radius)]
    lot = [frame.ground(lon, lat) for o in own for ring in o.rings for lon, lat in ring]
    is_whole = bool(lot) and all(math.hypot(*p) <= MOST_M for p in lot)
    places += lot if is_whole else []
    east, north = [p[0] for p in places], [p[1] for p in places]
    margin = 0.12 * max(max(east) - min(east), max(north) - min(north))
    return (min(east) - margin, min(north) - margin, max(east) + margin, max(north) + margin), is_whole


def draw_vicinity(sheet: MapSheet, plan: Plan, ground: PermitGround | None, frame: GridFrame, box: Box) -> bool:
    """The vicinity map in this box; returns whether every side of the lot is on it."""
    extent, is_whole = vicinity_extent(plan, ground, frame)
    window, does_fit = _window(frame, box, extent)
    inner = window.box
    title = f"Vicinity, 1:{window.ratio:g}, grid north up"
    _frame(sheet, box, inner, title)
    room = LabelRoom(sheet, (inner[0] + 0.5, inner[1] + 0.5, inner[2] - 0.5, inner[3] - 0.5))
    outlines = draw_outlines(plan, ground, window, inner)
    shown = [o for o in outlines if o.key in LAND_KINDS or o.key in VICINITY_KINDS]
    with sheet.clipped(inner):
        for item in shown:
            if item.key == "own_land":
                draw_hatch(sheet, item.band, "edge")
        for item in sorted(shown, key=lambda d: d.key in LAND_KINDS):
            draw_line(sheet, item.line, LINE_TYPES[item.key])
            for points in pieces(item.line):
                room.add_lines(points)
        sheet.ring(window.base_at, 1000.0 * plan.land.fall_radius_m / window.ratio, 0.3)
    _north(sheet, inner, room)
    r = REACH_MM["base"]
    x, y = window.base_at
    room.boxes.append((x - r, y - r, x + r, y + r))
    numbers = 0
    for side in ground.lot_lines if ground is not None else ():
        start, end = window.at(*side.start), window.at(*side.end)
        middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
        outward = math.atan2(middle[1] - y, middle[0] - x)
        numbers += not room.points([(middle, 0.3, outward, (str(side.number),))])
    for item in (o for o in shown if o.key in ("parcel", "own_land") and o.area is not None and not o.area.is_empty):
        room.in_area(_largest(item.area), (item.name if item.key == "own_land" else item.id,), bold=item.key == "own_land")
    for item in (o for o in shown if o.key in VICINITY_KINDS and o.name):
        lines = pieces(item.line)
        if lines:
            room.along(max(lines, key=len), (item.name,))
    room.draw()
    draw_mark(sheet, "base", window.base_at)
    reference = plan.base.mgrs or f"{plan.base.easting:.0f} E, {plan.base.northing:.0f} N"
    words = f"Base: {'MGRS ' if plan.base.mgrs else ''}{reference}. From the layers given; nothing else was looked up."
    for number, line in enumerate(sheet.wrapped(words, box[2] - box[0], TEXT)[:2]):
        sheet.text((box[0], inner[3] + 4.2 + 3.75 * number), line, TEXT)
    return is_whole and does_fit and ground is not None and numbers == len(ground.lot_lines)


def draw_overview(sheet: MapSheet, plan: Plan, facts: PermitFacts, ground: PermitGround | None, main: Window, box: Box) -> None:
    """Fall circle, setback and layout whole, and the part that the main map shows."""
    window, _ = _window(main.frame, (box[0] + 5.2, box[1] + 5.2, box[2] - 5.2, box[3] - 5.2), needed(plan, main.frame))
    sheet.text((box[0], box[1] + TITLE_MM - 1.5), f"Overview, 1:{window.ratio:g}: all of the fall circle", HEADING, bold=True)
    draw_map(sheet, plan, facts, ground, window)
    (x0, y0), (x1, y1) = (window.paper(p) for p in (main.corners_m[1], main.corners_m[3]))
    sheet.box((x0, y0), (x1 - x0, y1 - y0), THIN_MM)


def _window(frame: GridFrame, box: Box, extent: Extent) -> tuple[Window, bool]:
    inner = (box[0], box[1] + TITLE_MM, box[2], box[3] - FOOT_MM)
    room = room_mm(inner)
    ratio = next((float(m) for m in INSET_SCALES if fits(extent, m, room)), float(INSET_SCALES[-1]))
    return place_window(frame, inner, ratio, extent, on_base=False), fits(extent, ratio, room)


def _frame(sheet: MapSheet, box: Box, inner: Box, title: str) -> None:
    sheet.text((box[0], box[1] + TITLE_MM - 1.5), title, HEADING, bold=True)
    sheet.box((inner[0], inner[1]), (inner[2] - inner[0], inner[3] - inner[1]), 0.35)


def _north(sheet: MapSheet, inner: Box, room: LabelRoom) -> None:
    x, y = inner[2] - 5.0, inner[1] + 12.0
    sheet.box((x - 2.6, y - 11.0), (5.2, 12.0), fill=1.0)
    sheet.line((x, y), (x, y - 6.6), 0.3)
    sheet.polygon([(x, y - 6.6), (x - 0.9, y - 4.0), (x, y - 4.6), (x + 0.9, y - 4.0)], 0.2, 0.0)
    sheet.text((x, y - 7.4), "G", TEXT, align="middle")
    room.boxes.append((x - 2.6, y - 11.0, x + 2.6, y + 1.0))


def _largest(area: Any) -> Any:
    import shapely

    return max((p for p in shapely.get_parts(area) if p.geom_type == "Polygon"), key=lambda p: p.area)
