"""The checklist beside the map: what permit offices ask for, each drawn, given by the applicant elsewhere, or missing."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from siting.records.air import NOT_BY_THESE
from siting.records.permit import ASKED_FOR, PermitFacts, PermitGround
from siting.records.plan import Plan
from siting.units import METRES_PER_INCH
from siting.writers.paper.canvas import PAPERS_MM
from siting.writers.sitemap.distances import known_distances
from siting.writers.sitemap.line_types import drawn_as
from siting.writers.sitemap.outlines import known_outlines
from siting.writers.sitemap.scale import Scale

DRAWN, WRITTEN, GIVEN, MISSING = "drawn", "written", "given", "MISSING"
LARGEST_SHEET_IN = (17.0, 11.0)


@dataclass(frozen=True, slots=True)
class Item:
    """One item: its number, id, title, whether it is drawn, given or missing, and the words for that."""

    number: int
    id: str
    title: str
    state: str
    words: str


@dataclass(frozen=True, slots=True)
class Evidence:
    """What the checklist looks at."""

    plan: Plan
    facts: PermitFacts
    ground: PermitGround | None
    scale: Scale
    lot_is_shown: bool  # every side of the lot stands on the map or the vicinity map

    def has_kind(self, *keys: str) -> bool:
        """Whether anything of these line types is drawn."""
        return any(drawn_as(o.kind) in keys for o in known_outlines(self.plan, self.ground)[0])

    def knows_kind(self, *keys: str) -> bool:
        """Whether the obstacle layer holds such things anywhere, so that none near is an answer."""
        return self.ground is not None and any(drawn_as(kind) in keys for kind in self.ground.layer_kinds)


def checklist(evidence: Evidence) -> tuple[Item, ...]:
    """Every item; what is neither drawn nor given by the applicant is missing."""
    given = {g.item: g.reference for g in evidence.facts.given}
    items = []
    for number, (name, title) in enumerate(ASKED_FOR, 1):
        drawn = ITEMS[name](evidence)
        if drawn:
            items.append(Item(number, name, title, DRAWN, drawn))
        elif name in given:
            items.append(Item(number, name, title, GIVEN, given[name]))
        else:
            items.append(Item(number, name, title, MISSING, MISSING))
    return tuple(items)


def headline(items: tuple[Item, ...]) -> str:
    """What the map says of itself; never that it is complete."""
    missing = [i for i in items if i.state == MISSING]
    if missing:
        return f"INCOMPLETE: {len(missing)} item{'s' if len(missing) > 1 else ''} missing"
    return "No item of this list is missing; the office's own list decides"


def _kinds(*keys: str) -> Callable[[Evidence], str]:
    def look(e: Evidence) -> str:
        if e.has_kind(*keys):
            return DRAWN
        return "none within reach" if e.knows_kind(*keys) else ""

    return look


def _sheet_size(e: Evidence) -> str:
    sides = sorted((mm / 1000.0 / METRES_PER_INCH for mm in PAPERS_MM[e.facts.paper or e.plan.paper]), reverse=True)
    return DRAWN if all(a <= b + 0.01 for a, b in zip(sides, LARGEST_SHEET_IN, strict=True)) else ""


def _vicinity(e: Evidence) -> str:
    return DRAWN if any(o.kind in ("parcel", "own_land") for o in known_outlines(e.plan, e.ground)[0]) else ""


def _lot(e: Evidence) -> str:
    return DRAWN if e.ground is not None and e.ground.is_whole_lot and e.lot_is_shown and e.ground.lot_lines else ""


def _lines(e: Evidence) -> str:
    return DRAWN if any(d.kind == "property_line" for d in known_distances(e.plan, e.ground)) else ""


def _road(e: Evidence) -> str:
    near = [d for d in known_distances(e.plan, e.ground) if drawn_as(d.kind) in ("road", "planned_road")]
    return "in the table" if near else "none within reach" if e.knows_kind("road", "planned_road") else ""


def _access(e: Evidence) -> str:
    return "in words" if e.facts.access else DRAWN if e.has_kind("access") else ""


def _contours(e: Evidence) -> str:
    return DRAWN if e.plan.backdrop is not None and e.plan.backdrop.contours else ""


def _air(e: Evidence) -> str:
    return "screened: not due" if e.plan.air is not None and e.plan.air.result == NOT_BY_THESE else ""


def _text(key: str) -> Callable[[Evidence], str]:
    return lambda e: WRITTEN if getattr(e.facts, key) else ""


def _always(e: Evidence) -> str:
    return DRAWN


def _never(e: Evidence) -> str:
    return ""


ITEMS: dict[str, Callable[[Evidence], str]] = {
    "scale": lambda e: DRAWN if e.scale.is_standard else "",
    "scale_bar": _always,
    "north": _always,
    "title_block": lambda e: WRITTEN if e.facts.applicant and e.facts.drawing else "",
    "legend": _always,
    "date": _always,
    "sheet_size": _sheet_size,
    "vicinity": _vicinity,
    "lot_lines": _lot,
    "parcel": _text("parcel"),
    "owner": _text("owner"),
    "zoning": _text("zoning"),
    "adjoining": _text("adjoining"),
    "line_distances": _lines,
    "road_distance": _road,
    "guys": lambda e: DRAWN if e.plan.guys else "",
    "height": _always,
    "coordinates": _always,
    "contours": _contours,
    "access": _access,
    "fence": _kinds("fence"),
    "utilities": _kinds("buried_line"),
    "overhead_lines": _kinds("overhead_line"),
    "easements": _kinds("easement"),
    "structures": _kinds("building"),
    "water": _kinds("water", "wetland"),
    "flood": _kinds("flood_zone"),
    "air_notice": _air,
    "elevation": _always,
    "surveyed_height": _never,
    "corners": _never,
    "permission": _never,
    "removal": _never,
}
