"""The drawing itself: ground, land, zones, layout, distances, then every name where it covers nothing."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from siting.records.permit import LineDistance, PermitFacts, PermitGround
from siting.records.plan import Plan, Stake
from siting.writers.paper.canvas import Point
from siting.writers.paper.sketch_marks import REACH_MM, STROKES, draw_mark
from siting.writers.sitemap import ground_picture
from siting.writers.sitemap.distances import drawn_distances
from siting.writers.sitemap.grid_band import draw_band, draw_crosses
from siting.writers.sitemap.label_room import LabelRoom
from siting.writers.sitemap.lengths import height, length
from siting.writers.sitemap.line_types import LAND_KINDS, LINE_TYPES
from siting.writers.sitemap.map_sheet import MapSheet
from siting.writers.sitemap.outlines import Drawn, draw_outlines, pieces
from siting.writers.sitemap.strokes import draw_arrows, draw_hatch, draw_line
from siting.writers.sitemap.window import Window

CIRCLE_SIDES = 48  # of the circles, as lines that names keep off
INDEX_EVERY, FEW_CONTOURS = 5, 14
INDEX_MM = 0.22


@dataclass
class MapDrawing:
    """What was drawn: the kinds of line for the legend, the parcels whose name found no room and their number on the map."""

    kinds: set[str] = field(default_factory=set)
    roles: set[str] = field(default_factory=set)
    strokes: set[str] = field(default_factory=set)
    numbered: dict[str, int] = field(default_factory=dict)
    unnamed: list[str] = field(default_factory=list)
    named: set[str] = field(default_factory=set)  # parcels
    distances: list[LineDistance] = field(default_factory=list)


def stakes_drawn(plan: Plan) -> tuple[Stake, ...]:
    """The stakes of the site map: all but the offset stakes, which only the crew needs."""
    return tuple(s for s in plan.stakes if s.role != "offset")


def draw_map(sheet: MapSheet, plan: Plan, facts: PermitFacts, ground: PermitGround | None, window: Window) -> MapDrawing:
    """Draws the site map into its window and returns what stands on it."""
    done = MapDrawing()
    outlines = draw_outlines(plan, ground, window, window.box)
    room = LabelRoom(sheet, _inside(window.box, 0.7))
    with sheet.clipped(window.box):
        lines = _draw_ground(sheet, plan, window, done)
        draw_crosses(sheet, window)
        _draw_land(sheet, outlines, room, done)
        _draw_zones(sheet, plan, window, room, done)
        _draw_layout(sheet, plan, window, room, done)
    done.distances = drawn_distances(plan, ground, window)
    dimensions = _draw_distances(sheet, plan, facts, window, room, done.distances)
    if dimensions:
        done.kinds.add("dimension")
    _name_stakes(plan, window, room, dimensions)
    _name_zones(plan, facts, window, room)
    _name_land(outlines, room, done)
    _name_contours(plan, facts, lines, room)
    room.draw()
    _draw_marks(sheet, plan, window, done)
    draw_band(sheet, window)
    return done


def _inside(box, by_mm: float):
    return box[0] + by_mm, box[1] + by_mm, box[2] - by_mm, box[3] - by_mm


def _draw_ground(sheet: MapSheet, plan: Plan, window: Window, done: MapDrawing):
    """Shaded relief and contours; returns the contours."""
    if plan.backdrop is None:
        return []
    sheet.picture(ground_picture.shaded(plan.backdrop, window, window.box), window.box)
    lines = ground_picture.contours(plan.backdrop, window, window.box)
    style = LINE_TYPES["contour"]
    for height_m, line in lines:
        stroke = INDEX_MM if _is_index(plan, height_m) else style.stroke_mm
        for points in pieces(line):
            sheet.path(points, stroke, style.dash_mm, style.ink)
    if lines:
        done.kinds.add("contour")
    edge = ground_picture.edge(plan.backdrop, window, window.box)
    if not edge.is_empty:
        draw_line(sheet, edge, LINE_TYPES["edge"])
        done.kinds.add("edge")
    return lines


def _is_index(plan: Plan, height_m: float) -> bool:
    steps = height_m / (plan.backdrop.contour_interval_m * INDEX_EVERY)
    return abs(steps - round(steps)) < 1e-6


def _draw_land(sheet: MapSheet, outlines: list[Drawn], room: LabelRoom, done: MapDrawing) -> None:
    """Hatches first, then things, then property lines over them; the own land's line last."""
    for item in outlines:
        draw_hatch(sheet, item.band if item.key == "own_land" else item.area, LINE_TYPES[item.key].hatch)
    by_order = sorted(outlines, key=lambda d: (d.key in LAND_KINDS, d.key == "own_land"))
    for item in by_order:
        draw_line(sheet, item.line, LINE_TYPES[item.key])
        done.kinds.add(item.key)
        for points in pieces(item.line):
            room.add_lines(points)


def _draw_zones(sheet: MapSheet, plan: Plan, window: Window, room: LabelRoom, done: MapDrawing) -> None:
    """Fall circle and setback as true circles on the ground, and the ground of the lying mast."""
    for kind, radius_m in (("fall_zone", plan.land.fall_radius_m), ("setback", plan.land.setback_m)):
        if radius_m <= 0.0:
            continue
        radius_mm = 1000.0 * radius_m / window.ratio
        style = LINE_TYPES[kind]
        sheet.ring(window.base_at, radius_mm, style.stroke_mm, style.dash_mm)
        room.add_lines(_circle(window.base_at, radius_mm))
        done.kinds.add(kind)
    for zone in plan.reach:
        if zone.id == "laydown_corridor":
            style = LINE_TYPES["corridor"]
            for ring in zone.rings:
                sheet.path(window.line(ring), style.stroke_mm, style.dash_mm)
            done.kinds.add("corridor")


def _circle(centre: Point, radius_mm: float) -> list[Point]:
    turns = [2.0 * math.pi * k / CIRCLE_SIDES for k in range(CIRCLE_SIDES + 1)]
    return [(centre[0] + radius_mm * math.cos(t), centre[1] + radius_mm * math.sin(t)) for t in turns]


def _draw_layout(sheet: MapSheet, plan: Plan, window: Window, room: LabelRoom, done: MapDrawing) -> None:
    """Guys, winch line and laydown, from the base's to the stake's own coordinates."""
    at = {s.id: (s, window.paper(window.frame.from_grid(s.easting, s.northing))) for s in plan.stakes}
    drawn = set()
    for shape in plan.shapes:
        if shape.kind in ("guy", "side_guy", "winch_line") and shape.id in at and shape.id not in drawn:
            stake, end = at[shape.id]
            key = stake.role if stake.role in STROKES else "permanent"
            sheet.line(window.base_at, end, *STROKES[key], ink=0.0 if key == "permanent" else 0.3)
            room.add_lines([window.base_at, end])
            drawn.add(shape.id)
            done.strokes.add(key)
    for stake, end in at.values():
        if stake.role == "head":
            sheet.line(window.base_at, end, *STROKES["laydown"])
            room.add_lines([window.base_at, end])
            done.strokes.add("laydown")


def _draw_marks(sheet: MapSheet, plan: Plan, window: Window, done: MapDrawing) -> None:
    left, top, right, bottom = _inside(window.box, 0.5)
    for stake in reversed(stakes_drawn(plan)):
        x, y = window.paper(window.frame.from_grid(stake.easting, stake.northing))
        if left <= x <= right and top <= y <= bottom:
            turn = plan.laydown.azimuth_deg - plan.crs.convergence_deg if stake.role == "head" else 0.0
            draw_mark(sheet, stake.role, (x, y), turn)
            done.roles.add(stake.role)


def _draw_distances(
    sheet: MapSheet, plan: Plan, facts: PermitFacts, window: Window, room: LabelRoom, distances: list[LineDistance]
) -> list[tuple[Point, float, float, tuple[str, ...]]]:
    """The dimension lines; returns their names to place."""
    names = []
    at = {s.id: window.paper(window.frame.from_grid(s.easting, s.northing)) for s in plan.stakes}
    with sheet.clipped(window.box):
        for item in distances:
            start, end = at[item.start], window.at(item.lon, item.lat)
            draw_arrows(sheet, start, end, LINE_TYPES["dimension"].stroke_mm)
            room.add_lines([start, end])
            part = 0.62 if item.start == "BASE" else 0.5
            middle = (start[0] + (end[0] - start[0]) * part, start[1] + (end[1] - start[1]) * part)
            side = math.atan2(end[1] - start[1], end[0] - start[0]) + math.pi / 2
            names.append((middle, 0.5, side, (length(abs(item.distance_m), facts.units),)))
    return names


def _name_stakes(plan: Plan, window: Window, room: LabelRoom, dimensions: list) -> None:
    """Names of the stakes and figures of the distances; nothing may cover a mark."""
    names = []
    box = window.box
    for stake in stakes_drawn(plan):
        x, y = window.paper(window.frame.from_grid(stake.easting, stake.northing))
        r = REACH_MM[stake.role]
        if not (box[0] + 2 < x < box[2] - 2 and box[1] + 2 < y < box[3] - 2):
            continue
        room.boxes.append((x - r, y - r, x + r, y + r))
        outward = math.atan2(y - window.base_at[1], x - window.base_at[0]) if stake.role != "base" else math.pi / 2
        names.append(((x, y), r, outward, (stake.point,)))
    room.points(names, bold=True)
    room.points([d for d in dimensions if box[0] < d[0][0] < box[2] and box[1] < d[0][1] < box[3]])


def _name_zones(plan: Plan, facts: PermitFacts, window: Window, room: LabelRoom) -> None:
    """The circles' radii on their lines."""
    import shapely

    for words, radius_m in (("fall circle", plan.land.fall_radius_m), ("setback", plan.land.setback_m)):
        points = _circle(window.base_at, 1000.0 * radius_m / window.ratio)
        runs = sorted(pieces(shapely.intersection(shapely.LineString(points), shapely.box(*window.box))), key=lambda p: -len(p))
        for run in runs if radius_m > 0.0 else ():
            if room.on(run, (f"{words} {length(radius_m, facts.units)}",), least_crossings=True):
                break


def _name_land(outlines: list[Drawn], room: LabelRoom, done: MapDrawing) -> None:
    """Names of parcels and things; a parcel too small for its name gets a number, one too small for that is listed only."""
    import shapely

    for item in (o for o in outlines if o.key == "own_land"):
        for lines in (("OWN LAND", f"parcel {item.name}"), ("OWN LAND",)):
            if item.area is not None and any(room.in_area(p, lines, bold=True) for p in _largest_first(item.area)):
                break
    for item in (o for o in outlines if o.key not in LAND_KINDS):
        words = (item.name or LINE_TYPES[item.key].words,)
        if item.area is not None and not item.area.is_empty and room.in_area(item.area, words):
            continue
        lines = pieces(item.line)
        if lines:
            room.along(max(lines, key=lambda p: shapely.length(shapely.LineString(p))), words)
    parcels = [o for o in outlines if o.key == "parcel" and o.area is not None and not o.area.is_empty]
    for item in sorted(parcels, key=lambda o: -o.area.area):
        parts = _largest_first(item.area)
        lines = (item.id, item.owner) if item.owner else (item.id,)
        if any(room.in_area(parts[0], words) for words in dict.fromkeys((lines, lines[:1]))):
            done.named.add(item.id)
            continue
        number = done.numbered.get(item.id, len(done.numbered) + 1)
        if room.in_area(parts[0], (f"({number})",)):
            done.numbered[item.id] = number
        else:
            done.unnamed.append(item.id)


def _largest_first(area) -> list:
    import shapely

    return sorted((p for p in shapely.get_parts(area) if p.geom_type == "Polygon"), key=lambda p: -p.area)


def _name_contours(plan: Plan, facts: PermitFacts, lines: list, room: LabelRoom) -> None:
    for height_m, line in lines:
        if len(lines) > FEW_CONTOURS and not _is_index(plan, height_m):
            continue
        for points in sorted(pieces(line), key=lambda p: -len(p))[:2]:
            room.on(points, (height(height_m, facts.units, 1 if facts.units == "ft" else 0),))
