"""Which distances the site map dimensions: the base to each neighbour's line, the anchors that stand nearest to one."""

from __future__ import annotations

from siting.records.permit import LineDistance, PermitGround
from siting.records.plan import Plan
from siting.writers.sitemap.window import Window

MOST_FROM_BASE, MOST_FROM_ANCHORS = 4, 3
PROPERTY_LINE = "property_line"


def known_distances(plan: Plan, ground: PermitGround | None) -> tuple[LineDistance, ...]:
    """Every distance that is known; without the land around, the plan's own nearest line alone."""
    if ground is not None and ground.distances:
        return ground.distances
    land = plan.land
    if land.nearest_boundary_point is None or land.nearest_boundary_m is None:
        return ()
    place = land.nearest_boundary_point
    bearing = land.nearest_boundary_bearing_deg or 0.0
    return (LineDistance("BASE", PROPERTY_LINE, land.nearest_neighbour, land.nearest_boundary_m, bearing, place.lat, place.lon),)


def drawn_distances(plan: Plan, ground: PermitGround | None, window: Window) -> list[LineDistance]:
    """Those to property lines that end inside the window, the nearest first, a few."""
    left, top, right, bottom = window.box
    lines = [d for d in known_distances(plan, ground) if d.kind == PROPERTY_LINE]
    seen = []
    for item in sorted(lines, key=lambda d: d.distance_m):
        x, y = window.at(item.lon, item.lat)
        if left + 1.0 < x < right - 1.0 and top + 1.0 < y < bottom - 1.0:
            seen.append(item)
    from_base = [d for d in seen if d.start == "BASE"][:MOST_FROM_BASE]
    nearest: dict[str, LineDistance] = {}
    for item in seen:
        if item.start != "BASE":
            nearest.setdefault(item.to, item)  # one anchor for each neighbour: the others stand in the table
    return from_base + list(nearest.values())[:MOST_FROM_ANCHORS]
