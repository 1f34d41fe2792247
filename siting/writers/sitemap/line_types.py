"""How each kind of thing is drawn on the site map: line, sign along it, hatch; never told apart by colour."""

from __future__ import annotations

from dataclasses import dataclass

PROPOSED, EXISTING, RULES = "Proposed", "Existing", "Zones and distances"


@dataclass(frozen=True, slots=True)
class LineType:
    """A line: stroke and dashes (mm), grey (0 black), the sign along it, the hatch of an area, its words in the legend."""

    words: str
    group: str
    stroke_mm: float = 0.25
    dash_mm: tuple[float, ...] = ()
    ink: float = 0.0
    sign: str = ""  # poles, crosses, ticks, waves
    hatch: str = ""  # slant, level, upright, edge


LINE_TYPES = {
    "own_land": LineType("own land, hatched", EXISTING, 0.6, (8.0, 1.4, 1.2, 1.4, 1.2, 1.4), hatch="edge"),
    "parcel": LineType("property line", EXISTING, 0.35, (6.0, 1.3, 0.8, 1.3)),
    "own_parcel": LineType("between own parcels", EXISTING, 0.2, (1.2, 1.6)),
    "road": LineType("road", EXISTING, 1.1, ink=0.62),
    "planned_road": LineType("planned road", EXISTING, 1.1, (3.0, 1.5), ink=0.62),
    "railway": LineType("railway", EXISTING, 0.35, sign="ticks"),
    "access": LineType("track or access", EXISTING, 0.5, (3.0, 1.0), ink=0.35),
    "overhead_line": LineType("overhead line", EXISTING, 0.3, sign="poles"),
    "buried_line": LineType("buried line", EXISTING, 0.3, (2.4, 1.2), sign="upright"),
    "building": LineType("building", EXISTING, 0.4, hatch="slant"),
    "water": LineType("water", EXISTING, 0.35, sign="waves", hatch="level"),
    "wetland": LineType("wetland", EXISTING, 0.25, (0.5, 1.0), hatch="level"),
    "flood_zone": LineType("flood zone", EXISTING, 0.25, (4.0, 1.0, 0.5, 1.0), hatch="upright"),
    "easement": LineType("easement", EXISTING, 0.3, (0.6, 1.1)),
    "fence": LineType("fence", EXISTING, 0.2, sign="crosses"),
    "other": LineType("other, as named", EXISTING, 0.25, (1.8, 0.8)),
    "contour": LineType("contour", EXISTING, 0.1, ink=0.45),
    "edge": LineType("edge of the heights", EXISTING, 0.15, (0.4, 1.4), ink=0.4),
    "fall_zone": LineType("fall circle", RULES, 0.55),
    "setback": LineType("setback", RULES, 0.3, (4.0, 1.6)),
    "corridor": LineType("ground of the mast", RULES, 0.2, (0.7, 0.9)),
    "dimension": LineType("ground distance", RULES, 0.15, sign="arrows"),
}
# The obstacle layer's words for the same thing.
SAME = {
    "highway": "road", "street": "road", "public_road": "road", "lane": "road",
    "planned_right_of_way": "planned_road", "track": "access", "driveway": "access", "path": "access",
    "power_line": "overhead_line", "overhead_power_line": "overhead_line", "overhead_wire": "overhead_line",
    "pipeline": "buried_line", "utility": "buried_line", "buried_cable": "buried_line",
    "house": "building", "dwelling": "building", "barn": "building", "structure": "building",
    "stream": "water", "river": "water", "pond": "water", "lake": "water", "floodplain": "flood_zone",
}  # fmt: skip
LAND_KINDS = ("own_land", "parcel", "own_parcel")


def drawn_as(kind: str) -> str:
    """The line type of an obstacle's kind, no unit."""
    kind = SAME.get(kind, kind)
    return kind if kind in LINE_TYPES else "other"
