"""Lines and areas sorted into the layers of the map, with their words, labels and styles; unknown kinds by their prefix."""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import dataclass
from typing import Any

from siting.figures import shown
from siting.records.plan import Plan, Shape
from siting.writers.map.features import LAST_LABEL, feature, unwrapped
from siting.writers.map.more_shapes import MOVE, POWER, REACH, ZONE, drawn_shapes
from siting.writers.map.words import capital, shape_rows

# key, name in the list of layers, kinds of shape; the lowest layer first
LAYERS = (
    ("parcels", "Parcels", ("parcel", "own_land")),
    ("obstacles", "Obstacles", ("obstacle",)),
    ("setback", "Setback", ("setback",)),
    ("fall_zone", "Fall zone", ("fall_zone",)),
    ("anchor_circle", "Anchor circle", ("anchor_circle",)),
    ("guys", "Guys", ("guy", "side_guy")),
    ("winch", "Winch line", ("winch_line",)),
    ("boundary", "Distance to boundary", ("boundary_tie",)),
    ("move", "Move of the base", (MOVE,)),
    ("laydown", "Laydown", ("laydown",)),
)
# prefix of the kind, the longer before the shorter: key, name, whether it is on as the page opens; below the layers above
GROUPS = {
    ZONE: ("zones", "Exclusion zones of the lift", False),
    f"{REACH}guy": ("reach_guys", "Reach of parted guys", False),
    REACH: ("reach", "Reach of a fall", False),
    POWER: ("power", "Overhead lines, nearest point", True),
}
# Which label is placed first (JavaScript takes the first free place for each); the others follow.
LABEL_ORDER = ("laydown", "boundary_tie", MOVE, "fall_zone", "setback", "anchor_circle", "obstacle", "own_land", "parcel")
WITHOUT_LABEL = ("guy", "side_guy", "winch_line")
# Style classes; an unknown kind is drawn as `other`.
STYLES = {kind: kind for _, _, kinds in LAYERS for kind in kinds}


@dataclass(frozen=True, slots=True)
class MapLayer:
    """One entry of the list of layers: GeoJSON features and the style class of each in `css`."""

    key: str
    name: str
    features: list[dict[str, Any]]
    is_on: bool = True


def _numbers(plan: Plan) -> dict[str, tuple[str, str]]:
    """Labels that hold a number, by kind: at full length, and where there is no room."""
    land, move = plan.land, plan.move
    laydown, boundary = shown(plan.laydown.azimuth_deg, "bearing"), shown(land.nearest_boundary_m, "length")
    found = {
        "laydown": (f"Laydown {laydown} true", f"{laydown} true"),
        "fall_zone": (f"Fall zone {shown(land.fall_radius_m, 'length')}", ""),
        "setback": (f"Setback {shown(land.setback_m, 'length')}", ""),
        "anchor_circle": (f"Anchor circle {shown(land.anchor_circle_m, 'length')}", ""),
        "boundary_tie": (f"{boundary} to boundary", boundary),
    }
    if move is not None:
        way = shown(move.distance_m, "length")
        found[MOVE] = (f"Move {way} to {shown(move.bearing_deg, 'bearing')} true", f"Move {way}")
    return found


def _label(plan: Plan, shape: Shape) -> dict[str, Any]:
    """The text on the map and how it lies: along the line or the outline, or inside the area."""
    if shape.kind in WITHOUT_LABEL or not shape.label:
        return {}
    is_area = shape.geometry == "Polygon"
    inside = shape.kind in ("parcel", "own_land") or (shape.kind == "obstacle" and is_area)
    label, brief = _numbers(plan).get(shape.kind, (capital(shape.label), ""))
    return {
        "label": label,
        "brief": brief,  # where there is no room
        "aside": shape.kind == "own_land",  # the layout stands in its middle
        "place": "point" if shape.geometry == "Point" else "area" if inside else "line",
        "closed": is_area,
        "off": 13 if shape.kind in ("laydown", MOVE) else 10,
        "order": LABEL_ORDER.index(shape.kind) if shape.kind in LABEL_ORDER else LAST_LABEL - 1,
    }


def _css(plan: Plan, shape: Shape) -> str:
    """The style class of a shape: a guy is drawn by its use, everything else by its kind or its group."""
    if shape.kind != "guy":
        prefix = next((prefix for prefix in GROUPS if shape.kind.startswith(prefix)), None)
        return STYLES.get(shape.kind, GROUPS[prefix][0] if prefix else "other")
    uses = {guy.use for guy in plan.guys if guy.anchor == shape.id}
    return "guy_temporary" if uses == {"temporary"} else "guy_permanent"


def _coordinates(plan: Plan, shape: Shape) -> list[Any]:
    lines = [[[round(unwrapped(lon, plan.base.lon), 8), round(lat, 8)] for lon, lat in ring] for ring in shape.rings]  # 1 mm
    if shape.geometry == "Point":
        return lines[0][0]
    return lines if shape.geometry == "Polygon" else lines[0]


def _layer_of(kind: str) -> tuple[str, str, bool]:
    """Key, name and state of a kind's layer; a kind that nobody foresaw goes by its first word."""
    for key, name, kinds in LAYERS:
        if kind in kinds:
            return key, name, True
    for prefix, group in GROUPS.items():
        if kind.startswith(prefix):
            return group
    first = re.sub(r"[^A-Za-z0-9]", " ", kind.partition("_")[0]).strip() or "other"  # the list of layers takes HTML
    return f"other_{first.replace(' ', '_')}", f"Other: {first}", True


def _different(shapes: tuple[Shape, ...]) -> list[Shape]:
    """The shapes without those that lie on another of their kind and id, as guys of one anchor do in plan view."""
    return list({(shape.kind, shape.id, shape.rings): shape for shape in reversed(shapes)}.values())[::-1]


def shape_layers(plan: Plan) -> list[MapLayer]:
    """The lines and areas of the plan in layers, the lowest first; layers without a shape are left out. Degrees."""
    shapes: dict[tuple[str, str, bool], list[Shape]] = defaultdict(list)
    for shape in _different(drawn_shapes(plan)):
        shapes[_layer_of(shape.kind)].append(shape)
    known = [(key, name, True) for key, name, _ in LAYERS]
    order = [*(entry for entry in shapes if entry not in known), *(entry for entry in known if entry in shapes)]
    kinds = [kind for _, _, of_layer in LAYERS for kind in of_layer]
    layers = []
    for entry in order:
        features = []
        inside = sorted(shapes[entry], key=lambda shape: kinds.index(shape.kind) if shape.kind in kinds else 0)
        for number, shape in enumerate(inside):
            words = {"title": capital(shape.label or shape.id), "kind": shape.kind, "rows": shape_rows(plan, shape)}
            words |= {"css": _css(plan, shape), **_label(plan, shape)}
            features.append(feature(number, shape.geometry, _coordinates(plan, shape), words))
        layers.append(MapLayer(entry[0], entry[1], features, entry[2]))
    return layers
