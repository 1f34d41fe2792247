"""What land.geojson and land.kml hold: zones, a line for each rule and each overhead line, the move; in WGS 84."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from siting.records.dig import Ring
from siting.records.plan import Plan
from siting.writers.land.places import LonLat, lonlat_at, tie_of
from siting.writers.land.words import NO_PERMISSION

ZONE, RULE_TIE, LINE_TIE, MOVE = "zone", "rule", "power_line", "move"
KINDS = {ZONE: "Zones", RULE_TIE: "Rules", LINE_TIE: "Overhead lines", MOVE: "Move"}


@dataclass(frozen=True, slots=True)
class LandFeature:
    """One feature: polygons, each an outline with its holes, or a line; its name and what is known of it."""

    id: str
    kind: str
    name: str
    polygons: tuple[tuple[Ring, ...], ...]
    line: tuple[LonLat, ...]
    properties: dict[str, Any]


def land_features(plan: Plan) -> tuple[LandFeature, ...]:
    """Every feature, zones first; distances in metres, azimuths true, degrees.

    A rule's line begins where the rule measures from: the base, an anchor, the edge of the fall circle.
    """
    return (*_zones(plan), *_rules(plan), *_lines(plan), *_move(plan))


def polygons_of(rings: tuple[Ring, ...]) -> tuple[tuple[Ring, ...], ...]:
    """Outlines with the holes that follow them, from rings one after the other: outlines run counter-clockwise, holes clockwise."""
    found: list[list[Ring]] = []
    for ring in rings:
        if _area(ring) >= 0.0 or not found:
            found.append([ring])
        else:
            found[-1].append(ring)
    return tuple(tuple(rings) for rings in found)


def _area(ring: Ring) -> float:
    """Twice the signed area in square degrees: positive where it runs counter-clockwise."""
    x0, y0 = ring[0]
    return sum((a[0] - x0) * (b[1] - y0) - (b[0] - x0) * (a[1] - y0) for a, b in zip(ring, ring[1:], strict=False))


def _zones(plan: Plan) -> list[LandFeature]:
    found = []
    for zone in plan.reach:
        if not zone.rings:
            continue
        others = [p for p in zone.by_parcel if not p.is_own]
        properties = {
            "what": zone.what, "area_m2": zone.area_m2, "radius_m": zone.radius_m, "is_rule": zone.is_rule,
            "neighbours": ", ".join(p.id for p in others), "neighbours_m2": round(sum(p.area_m2 for p in others), 1),
            "no_parcel_m2": zone.no_parcel_m2, "source": zone.source,
        }  # fmt: skip
        found.append(LandFeature(f"zone:{zone.id}", ZONE, zone.title, polygons_of(zone.rings), (), properties))
    return found


def _rules(plan: Plan) -> list[LandFeature]:
    found = []
    for number, rule in enumerate(plan.land.rules, 1):
        tie = tie_of(plan, rule)
        if tie is None:
            continue
        foot = (plan.base.lon, plan.base.lat) if tie[0] == (0.0, 0.0) else lonlat_at(plan, tie[0])
        properties = {
            "rule": rule.id, "rule_set": rule.rule_set, "found_m": rule.value_m, "asked_m": rule.limit_m, "margin_m": rule.margin_m,
            "how": rule.how, "measured": rule.measured, "to": rule.to, "bearing_deg": rule.bearing_deg, "verdict": rule.verdict,
            "waived": "; ".join(rule.waived), "source": rule.source,
        }  # fmt: skip
        found.append(LandFeature(f"rule:{number}", RULE_TIE, f"{number}: {rule.title}", (), (foot, (rule.lon, rule.lat)), properties))
    return found


def _lines(plan: Plan) -> list[LandFeature]:
    found = []
    for number, line in enumerate(plan.power_lines, 1):
        properties = {
            "owner": line.owner, "voltage_kv": line.voltage_kv, "lying_m": line.lying_m, "lifting_m": line.lifting_m, "standing_m": line.standing_m,
            "falling_m": line.falling_m, "asked_m": line.needed_m, "margin_m": round(line.least_m - line.needed_m, 3),
            "bearing_deg": line.bearing_deg, "verdict": line.verdict, "text": line.text, "source": line.source,
        }  # fmt: skip
        ends = (plan.base.lon, plan.base.lat), (line.lon, line.lat)
        if ends[0] != ends[1]:
            found.append(LandFeature(f"power_line:{number}", LINE_TIE, line.name, (), ends, properties))
    return found


def _move(plan: Plan) -> list[LandFeature]:
    move = plan.move
    if move is None or move.lat is None or move.lon is None:
        return []
    properties = {
        "distance_m": move.distance_m, "bearing_deg": move.bearing_deg, "easting": move.easting, "northing": move.northing,
        "crs": plan.crs.name, "verdict": move.verdict, "text": move.text, "note": NO_PERMISSION,
    }  # fmt: skip
    ends = (plan.base.lon, plan.base.lat), (move.lon, move.lat)
    return [LandFeature("move", MOVE, "Move of the base", (), ends, properties)] if ends[0] != ends[1] else []
