"""The land's outlines as the site map draws them, on the paper, cut to the window."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Any

from siting.records.permit import MapOutline, PermitGround
from siting.records.plan import Plan
from siting.writers.sitemap.line_types import LAND_KINDS, drawn_as
from siting.writers.sitemap.map_sheet import Box
from siting.writers.sitemap.window import Window

# A side nearer than this to the edge of what was read is the edge itself, and no line of the land.
NUMBER_AT_END = re.compile(r"[-:]\d+$")  # an obstacle's id is its kind and its number
EDGE_M = 0.05
EDGE_BAND_MM = 2.0  # hatched inside the own land's outline
EARTH_M = 6_371_000.0  # the radius by which the backdrop was cut


@dataclass(frozen=True, slots=True)
class Drawn:
    """An outline on the paper: the line to draw, the area inside the window (None for a line), mm. Shapely geometries.

    `band` is the strip inside an own land's outline that is hatched: made before the window cuts the land.
    """

    key: str
    id: str
    name: str
    owner: str
    line: Any
    area: Any
    band: Any = None


def known_outlines(plan: Plan, ground: PermitGround | None) -> tuple[tuple[MapOutline, ...], bool]:
    """Every outline that is known, and whether they are whole: the plan's own shapes are cut to a square around the base."""
    if ground is not None and ground.outlines:
        return ground.outlines, True
    found = []
    for shape in plan.shapes:
        if shape.kind in ("parcel", "own_land", "obstacle"):
            kind = shape.kind if shape.kind != "obstacle" else NUMBER_AT_END.sub("", shape.id)
            name = ", ".join(plan.land.own) if shape.kind == "own_land" else shape.label.partition(": ")[2]
            found.append(MapOutline(kind, shape.id, name, "", shape.geometry, shape.rings))
    return tuple(found), False


def view_m(plan: Plan) -> float | None:
    """Half the side of the square that the plan's shapes are cut to, metres; None where it is not known."""
    if plan.backdrop is None:
        return None
    return math.radians(plan.backdrop.north - plan.backdrop.south) / 2.0 * EARTH_M


def draw_outlines(plan: Plan, ground: PermitGround | None, window: Window, box: Box) -> list[Drawn]:
    """The outlines inside the box, land first. mm on the paper."""
    import shapely

    outlines, are_whole = known_outlines(plan, ground)
    inner = shapely.box(*box)
    limit = None
    if not are_whole and view_m(plan) is not None:
        half = view_m(plan) - EDGE_M
        (x0, y0), (x1, y1) = window.paper((-half, half)), window.paper((half, -half))
        limit = shapely.box(x0, y0, x1, y1)
    drawn = []
    for outline in outlines:
        line, area = _on_paper(outline, window)
        line = shapely.intersection(line, inner)
        if limit is not None:
            line = shapely.intersection(line, limit)
        band = None
        if area is not None:
            if outline.kind == "own_land":
                whole = area
                band = shapely.intersection(shapely.difference(whole, shapely.buffer(whole, -EDGE_BAND_MM)), inner)
                band = band if limit is None else shapely.intersection(band, limit)
            area = shapely.intersection(area, inner)
        if line.is_empty and (area is None or area.is_empty):
            continue
        key = outline.kind if outline.kind in LAND_KINDS else drawn_as(outline.kind)
        drawn.append(Drawn(key, outline.id, outline.name, outline.owner, line, area, band))
    return sorted(drawn, key=lambda d: LAND_KINDS.index(d.key) if d.key in LAND_KINDS else -1)


def _on_paper(outline: MapOutline, window: Window) -> tuple[Any, Any]:
    """The outline's lines and, of an area, the area itself, on the paper."""
    import shapely

    rings = [window.line(ring) for ring in outline.rings]
    if outline.geometry == "Polygon":
        area = shapely.Polygon(rings[0], rings[1:])
        area = area if area.is_valid else shapely.make_valid(area)
        return shapely.boundary(area), area
    return shapely.MultiLineString(rings), None


def pieces(line: Any) -> list[list[tuple[float, float]]]:
    """A line's parts as lists of points, mm."""
    import shapely

    if line is None or line.is_empty:
        return []
    merged = shapely.line_merge(line) if line.geom_type == "MultiLineString" else line
    parts = [p for p in shapely.get_parts(merged) if p.geom_type in ("LineString", "LinearRing")]
    return [[(float(x), float(y)) for x, y in shapely.get_coordinates(p)] for p in parts]
