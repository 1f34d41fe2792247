"""What the map draws, as GeoJSON with its words: the stakes, and lines and areas sorted into layers."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import Any

from siting.figures import shown
from siting.records.ground import Backdrop
from siting.records.plan import Plan, Shape, Stake
from siting.writers.map.words import ROLES, STAKE_VERDICTS, capital, control_rows, shape_rows, stake_rows

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
    ("laydown", "Laydown", ("laydown",)),
)
# Contours whose height is a whole multiple of this many intervals are drawn stronger and carry their height;
# where there are few contours, each carries it.
INDEX_EVERY = 5
FEW_CONTOURS = 12
# Which label is placed first (JavaScript takes the first free place for each).
LABEL_ORDER = ("laydown", "boundary_tie", "fall_zone", "setback", "anchor_circle", "obstacle", "own_land", "parcel")


@dataclass(frozen=True, slots=True)
class MapLayer:
    """One entry of the list of layers: GeoJSON features and the style class of each in `css`."""

    key: str
    name: str
    features: list[dict[str, Any]]


def _feature(number: int, kind: str, coordinates: Any, properties: dict[str, Any]) -> dict[str, Any]:
    geometry = {"type": kind, "coordinates": coordinates}
    return {"type": "Feature", "id": number, "geometry": geometry, "properties": properties}


def unwrapped(lon: float, base_lon: float) -> float:
    """The longitude within 180 degrees of the base's, so that a site on the antimeridian is drawn in one piece."""
    if lon - base_lon > 180.0:
        return lon - 360.0
    return lon + 360.0 if lon - base_lon < -180.0 else lon


def stake_features(plan: Plan) -> list[dict[str, Any]]:
    """The stakes as points with what their labels and popups say; degrees."""
    places = [[unwrapped(stake.lon, plan.base.lon), stake.lat] for stake in plan.stakes]
    return [_feature(k, "Point", places[k], _stake_words(plan, stake)) for k, stake in enumerate(plan.stakes)]


def control_features(plan: Plan) -> list[dict[str, Any]]:
    """The user's own points, drawn like stakes but judged by nothing; degrees."""
    features = []
    for number, point in enumerate(plan.control, len(plan.stakes)):
        place = [unwrapped(point.lon, plan.base.lon), point.lat]
        words = {
            "id": point.id, "role": point.role, "verdict": "", "word": "", "label": point.id,
            "title": f"{point.id}: {ROLES[point.role]}", "note": "As given by the user.", "azimuth": point.azimuth_deg,
            "rows": control_rows(plan, point),
        }  # fmt: skip
        features.append(_feature(number, "Point", place, words))
    return features


def _stake_words(plan: Plan, stake: Stake) -> dict[str, Any]:
    flagged = {"fail": " · FAIL", "marginal": " · marginal"}.get(stake.verdict, "")
    return {
        "id": stake.id,
        "role": stake.role,
        "verdict": stake.verdict,
        "word": STAKE_VERDICTS[stake.verdict],
        "label": stake.id + flagged,
        "title": f"{stake.id}: {ROLES[stake.role]}",
        "note": stake.description,
        "azimuth": plan.laydown.azimuth_deg if stake.role in ("base", "head") else stake.azimuth_deg,
        "rows": stake_rows(plan, stake),
    }


def _label(plan: Plan, shape: Shape) -> dict[str, Any]:
    """The text on the map and how it lies: along the line or the outline, or inside the area."""
    land = plan.land
    numbers = {
        "laydown": f"Laydown {shown(plan.laydown.azimuth_deg, 'bearing')} true",
        "fall_zone": f"Fall zone {shown(land.fall_radius_m, 'length')}",
        "setback": f"Setback {shown(land.setback_m, 'length')}",
        "anchor_circle": f"Anchor circle {shown(land.anchor_circle_m, 'length')}",
        "boundary_tie": f"{shown(land.nearest_boundary_m, 'length')} to boundary",
    }
    brief = {
        "laydown": f"{shown(plan.laydown.azimuth_deg, 'bearing')} true",
        "boundary_tie": shown(land.nearest_boundary_m, "length"),
    }
    if shape.kind not in LABEL_ORDER:
        return {}
    inside = shape.kind in ("parcel", "own_land") or (shape.kind == "obstacle" and shape.geometry == "Polygon")
    return {
        "label": numbers.get(shape.kind, capital(shape.label)),
        "brief": brief.get(shape.kind, ""),  # where there is no room
        "aside": shape.kind == "own_land",  # the layout stands in its middle
        "place": "area" if inside else "line",
        "closed": shape.geometry == "Polygon",
        "off": 13 if shape.kind == "laydown" else 10,
        "order": LABEL_ORDER.index(shape.kind),
    }


def _css(plan: Plan, shape: Shape) -> str:
    """The style class of a shape: a guy is drawn by its use, everything else by its kind."""
    if shape.kind != "guy":
        return shape.kind
    uses = {guy.use for guy in plan.guys if guy.anchor == shape.id}
    return "guy_temporary" if uses == {"temporary"} else "guy_permanent"


def _coordinates(plan: Plan, shape: Shape) -> list[Any]:
    lines = [[[unwrapped(lon, plan.base.lon), lat] for lon, lat in ring] for ring in shape.rings]
    return lines if shape.geometry == "Polygon" else lines[0]


def shape_layers(plan: Plan) -> list[MapLayer]:
    """The lines and areas of the plan in layers, the lowest first; layers without a shape are left out. Degrees."""
    by_kind: dict[str, list[Shape]] = defaultdict(list)
    drawn = set()
    for shape in plan.shapes:
        same = (shape.kind, shape.id, shape.rings)
        if same not in drawn:  # guys of one anchor lie on one line in plan view
            by_kind[shape.kind].append(shape)
        drawn.add(same)
    layers = []
    for key, name, kinds in LAYERS:
        features = []
        for shape in (shape for kind in kinds for shape in by_kind.pop(kind, [])):
            lines = _coordinates(plan, shape)
            words = {"title": capital(shape.label), "kind": shape.kind, "rows": shape_rows(plan, shape), **_label(plan, shape)}
            if shape.kind == "laydown":  # a white line below it, so that it stands out from the ground
                case = {**words, "label": "", "css": "laydown_case"}
                features.append(_feature(len(features), shape.geometry, lines, case))
            words["css"] = _css(plan, shape)
            features.append(_feature(len(features), shape.geometry, lines, words))
        if features:
            layers.append(MapLayer(key, name, features))
    if by_kind:
        raise ValueError(f"the map has no layer for shapes of kind {', '.join(sorted(by_kind))}")
    return layers


def contour_features(backdrop: Backdrop) -> list[dict[str, Any]]:
    """The contours, all lines of one height as one feature; heights on the index contours. Degrees, metres."""
    lines: dict[float, list[Any]] = defaultdict(list)
    for height_m, line in backdrop.contours:
        lines[height_m].append([[round(lon, 6), round(lat, 6)] for lon, lat in line])  # 0.1 m on paper
    features = []
    for number, (height_m, parts) in enumerate(sorted(lines.items())):
        steps = height_m / (backdrop.contour_interval_m * INDEX_EVERY)
        index = abs(steps - round(steps)) < 1e-6
        words = {"css": "contour_index" if index else "contour", "kind": "contour", "rows": []}
        if index or len(lines) <= FEW_CONTOURS:
            words |= {"label": f"{height_m:g}", "place": "line", "dense": True, "order": len(LABEL_ORDER)}
        features.append(_feature(number, "MultiLineString", parts, words))
    return features
