"""The zones on the land sheet: what can come down where, drawn to scale, and whose ground it is, parcel by parcel."""

from __future__ import annotations

from siting.figures import shown
from siting.records.reach import ReachZone
from siting.writers.land.entries import fill_loud
from siting.writers.land.words import NO_REACH, NOT_CHECKED, RULE_STANDS, fall_words, zone_head, zone_letter
from siting.writers.land.zones_map import draw_zones_map
from siting.writers.paper.canvas import HAIR_MM, Sheet
from siting.writers.paper.flow import GAP_MM, Flow
from siting.writers.paper.language import Said
from siting.writers.paper.table import HEAD_SIZE, Column, Table

MAP_PART = 0.5
ROW_MM, SIZE = 4.2, 7.5
FALL = "FALL CIRCLE"


def fill_zones(flow: Flow) -> None:
    """The zones from a new page on."""
    plan = flow.plan
    flow.turn()
    flow.title("Zones: what mast, guys and lift can reach, and whose ground it is")
    if not plan.reach:
        fill_loud(flow, NOT_CHECKED, (NO_REACH,))
        return
    rule = next((z for z in plan.reach if z.is_rule), None)
    is_dark = rule is not None and (rule.no_parcel_m2 is None or rule.no_parcel_m2 > 0.0 or any(not p.is_own for p in rule.by_parcel))
    fill_loud(flow, FALL, (fall_words(plan), RULE_STANDS), dark=is_dark)
    high_mm = (flow.end - flow.y) * MAP_PART
    draw_zones_map(flow.sheet, plan, (flow.left, flow.y, flow.sheet.right, flow.y + high_mm))
    flow.y += high_mm + GAP_MM
    flow.table_in_columns("Whose ground: neighbours in capitals, areas on the ground", _parcels(flow.sheet, flow.half_mm, plan.reach))
    _obstacles(flow)
    flow.lines(
        "What each zone is",
        tuple(
            Said(f"{zone_letter(k)} {flow.sheet.say(f'{zone.title}: {zone.what}. Source: {zone.source}.')}")
            for k, zone in enumerate(plan.reach)
        ),
    )


def _parcels(sheet: Sheet, width_mm: float, zones: tuple[ReachZone, ...]) -> Table:
    """Every zone as a heading with its parcels below it."""
    rows: list[tuple[str, ...]] = []
    for number, zone in enumerate(zones):
        head = Said(f"{zone_letter(number)} {sheet.say(zone_head(zone))}")
        rows.append((sheet.fitted(head, width_mm - 17.0, HEAD_SIZE, HEAD_SIZE, bold=True)[0],))
        for parcel in zone.by_parcel:
            whose = "own" if parcel.is_own else "NEIGHBOUR"
            rows.append((parcel.id, parcel.owner or "owner not named", whose, _area(parcel.area_m2)))
        if zone.no_parcel_m2 is None:
            rows.append(("–", "no parcels given", NOT_CHECKED, shown(zone.area_m2, "area", unit=False)))
        elif zone.no_parcel_m2 > 0.0:
            rows.append(("–", "in no parcel that is drawn", "NOT KNOWN", _area(zone.no_parcel_m2)))
    columns = (
        Column("Parcel", "", width_mm * 0.28, "left", is_bold=True, is_words=True), Column("Owner", "", width_mm * 0.34, "left", is_words=True),
        Column("Whose", "", width_mm * 0.2, "left", is_words=True), Column("Area", "m²", width_mm * 0.18),
    )  # fmt: skip
    return Table(columns, tuple(rows), ROW_MM, SIZE)


def _area(value_m2: float) -> str:
    """An area; what is there is never printed as nothing."""
    return "< 1" if 0.0 < value_m2 < 0.5 else shown(value_m2, "area", unit=False)


def _obstacles(flow: Flow) -> None:
    """Every obstacle that a zone reaches, with the letters of those zones."""
    found: dict[tuple[str, str, float], list[str]] = {}
    for number, zone in enumerate(flow.plan.reach):
        for thing in zone.obstacles:
            found.setdefault((thing.kind, thing.name, thing.distance_m), []).append(zone_letter(number))
    if not found:
        flow.need(6.0)
        flow.sheet.text((flow.left, flow.y + 3.0), "Obstacles: no zone reaches one that is drawn. What is not drawn is not known.", 8.0, bold=True)
        flow.y += 5.4
        flow.sheet.line((flow.left, flow.y - 0.6), (flow.sheet.right, flow.y - 0.6), HAIR_MM)
        return
    rows = tuple(
        (kind.replace("_", " "), name or "no name", shown(distance_m, "length", unit=False), ", ".join(letters))
        for (kind, name, distance_m), letters in sorted(found.items(), key=lambda item: item[0][2])
    )
    part = flow.width_mm / 10
    columns = (
        Column("Kind", "", part * 2, "left", is_words=True), Column("Obstacle", "", part * 4, "left", is_bold=True, is_words=True),
        Column("From the base", "m", part * 1.4), Column("Zones that reach it", "", part * 2.6, "left", is_words=True),
    )  # fmt: skip
    flow.table("Obstacles that a zone reaches", Table(columns, rows, 5.0, 8.0))
