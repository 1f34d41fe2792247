"""Shapes that the map draws beside the plan's own: zones of reach and of the lift, the move of the base, overhead lines."""

from __future__ import annotations

from siting.figures import shown
from siting.records.plan import Plan, Shape
from siting.records.reach import ReachZone

ZONE, REACH, POWER, MOVE = "zone_", "reach_", "power_", "move"
# Zones of what falls; every other zone but the fall circle, which is drawn anyway, belongs to the lift.
OF_A_FALL = ("fall_on_ground", "tip_lands", "guy_whip")
DRAWN_ANYWAY = ("fall_circle",)


def _zone(zone: ReachZone) -> Shape:
    name = zone.id.partition(":")[0]
    return Shape(f"{REACH if name in OF_A_FALL else ZONE}{name}", zone.id, zone.title, "Polygon", zone.rings)


def _move(plan: Plan) -> tuple[Shape, ...]:
    move = plan.move
    if move is None or move.lat is None or move.lon is None:
        return ()
    way = ((plan.base.lon, plan.base.lat), (move.lon, move.lat))
    return (Shape(MOVE, "move", "shortest move of the base", "LineString", (way,)),)


def drawn_shapes(plan: Plan) -> tuple[Shape, ...]:
    """The plan's shapes, and what its records know and its shapes do not hold yet; degrees."""
    held = tuple(shape.kind for shape in plan.shapes)
    more = [_zone(zone) for zone in plan.reach if zone.id not in DRAWN_ANYWAY]
    more += _move(plan)
    more += [
        Shape(f"{POWER}point", line.name, f"{line.name or 'overhead line'}: nearest {shown(line.least_m, 'length')}", "Point", (((line.lon, line.lat),),))
        for line in plan.power_lines
    ]
    groups = (ZONE, REACH, POWER, MOVE)
    missing = tuple(group for group in groups if not any(kind.startswith(group) for kind in held))
    return (*plan.shapes, *(shape for shape in more if shape.kind.startswith(missing)))
