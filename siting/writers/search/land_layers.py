"""The searched area, parcels and obstacles as layers of the search's map, under the spots and with their names."""

from __future__ import annotations

from typing import Any

from siting.records.plan import Shape
from siting.records.search import GivenLand
from siting.writers.map.features import feature, unwrapped
from siting.writers.map.layers import MapLayer
from siting.writers.map.words import capital

# key, name in the list of layers, kinds of shape; the lowest first
LAYERS = (
    ("parcels", "Parcels", ("parcel", "own_land")),
    ("obstacles", "Obstacles", ("obstacle",)),
    ("area", "Searched area", ("area",)),
)
# style class, how it is drawn in the legend, words
STROKES = (("area", "Searched area"), ("own_land", "Own land"), ("parcel", "Other parcel"), ("obstacle", "Obstacle"))
ANY_PARCEL = "Parcel, own land to its base"  # where the file names no own parcels, each is
# What has a name on the map, and whose takes a free place first.
ORDER = ("own_land", "obstacle", "parcel")


def land_layers(land: GivenLand, near_lon: float) -> list[MapLayer]:
    """What there is of the land, in layers, the lowest first; degrees.

    Args:
        near_lon: longitudes are given within half a turn of it, as those of the picture of the cells.
    """
    layers = []
    for key, name, kinds in LAYERS:
        shapes = sorted((shape for shape in land.shapes if shape.kind in kinds), key=lambda shape: kinds.index(shape.kind))
        features = [_feature(number, shape, near_lon) for number, shape in enumerate(shapes)]
        layers += [MapLayer(key, name, features)] if features else []
    return layers


def _feature(number: int, shape: Shape, near_lon: float) -> dict[str, Any]:
    lines = [[[unwrapped(lon, near_lon), lat] for lon, lat in ring] for ring in shape.rings]
    words: dict[str, Any] = {"css": shape.kind}
    if shape.kind in ORDER:
        brief = shape.id if shape.kind in ("parcel", "own_land") else ""  # where there is no room
        place = {"Polygon": "area", "Point": "point"}.get(shape.geometry, "line")
        words |= {"label": capital(shape.label), "brief": brief, "place": place, "order": ORDER.index(shape.kind)}
    return feature(number, shape.geometry, lines[0][0] if shape.geometry == "Point" else lines if shape.geometry == "Polygon" else lines[0], words)


def land_legend(land: GivenLand) -> list[str]:
    """What is drawn of the land, as entries of the legend; no unit."""
    kinds = {shape.kind for shape in land.shapes}
    entries = [(css, ANY_PARCEL if css == "parcel" and "own_land" not in kinds else words) for css, words in STROKES if css in kinds]
    return [
        f'<li><svg viewBox="0 0 34 20" aria-hidden="true"><path class="k k-case case-{css}" d="M1 10H33"></path>'
        f'<path class="k k-{css}" d="M1 10H33"></path></svg>{words}</li>'
        for css, words in entries
    ]
