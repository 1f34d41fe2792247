"""A map as a script for Leaflet: every layer with its features inside, in the order in which they lie on each other."""

from __future__ import annotations

import json
from typing import Any

from siting.records.ground import Backdrop
from siting.writers.map.features import contour_features
from siting.writers.map.hillshade_png import grey_png
from siting.writers.map.layers import MapLayer
from siting.writers.map.offline_page import data_uri, for_script

# Where the map stands in the page, and what its box needs beside the style sheets.
PLACE = '<div id="map"></div>'
HEAD = (
    '<meta name="viewport" content="width=device-width, initial-scale=1.0">\n'
    "<style>html, body { width: 100%; height: 100%; margin: 0; padding: 0; }\n"
    "#map { position: relative; width: 100%; height: 100%; }\n.leaflet-container { font-size: 1rem; }</style>"
)
OPTIONS = {
    "attributionControl": False,
    "trackResize": False,  # map.js does it, and keeps the whole layout in view
    "zoomSnap": 0.25,
    "minZoom": 10,
    "maxZoom": 23,
}
FIRST_ZOOM = 16


def map_script(
    centre: tuple[float, float], ground: Backdrop | None, layers: list[MapLayer], stakes: list[dict[str, Any]], config: dict[str, Any]
) -> str:
    """JavaScript that makes the map in PLACE and hands it to Siting.start; the same text for the same plan. No unit.

    Args:
        centre: latitude and longitude, degrees; layers: the lowest first; stakes: GeoJSON features, above all others.
        config: what Siting.start asks for.
    """
    lines = []
    if ground is not None:
        lines += layer_lines("ground", "Shaded ground", _shade(ground))
        contours = shapes_layer(contour_features(ground), interactive=False)
        lines += layer_lines("contours", f"Contours, {ground.contour_interval_m:g} m", f"L.featureGroup([{contours}])")
    for layer in layers:
        lines += layer_lines(layer.key, layer.name, shapes_layer(layer.features, interactive=True), is_on=layer.is_on)
    marks = f"L.geoJson({collection(stakes)}, {{pointToLayer: Siting.stake}})"
    lines += layer_lines("stakes", "Stakes", marks)  # last, so that clicks reach them
    return script_of(centre, lines, f"Siting.start(map, layers, {for_script(config)});")


def script_of(centre: tuple[float, float], layers: list[str], start: str, options: dict[str, Any] = OPTIONS) -> str:
    """The whole script of a map in PLACE, no unit.

    Args:
        centre: latitude and longitude, degrees; layers: from `layer_lines`, the lowest first; start: what runs last.
    """
    first = f'const map = L.map("map", {for_script({**options, "center": list(centre), "zoom": FIRST_ZOOM})}), layers = {{}}, listed = {{}};'
    return "\n".join(["{", first, *layers, "L.control.layers({}, listed, {collapsed: false}).addTo(map);", start, "}"])


def layer_lines(key: str, name: str, made: str, *, is_on: bool = True) -> list[str]:
    """A layer under its key in the script and its name in the list of layers; on the map where it is on at first. No unit."""
    place, shown = f"layers[{for_script(key)}]", f"listed[{for_script(name)}]"
    return [f"{place} = {shown} = {made};", *([f"{place}.addTo(map);"] if is_on else [])]


def picture_layer(png: bytes, bounds: list[list[float]], words: str) -> str:
    """A PNG between its corners as a layer, no unit.

    Args:
        bounds: south-west and north-east, latitude first, degrees.
    """
    return f'L.imageOverlay("{data_uri("image/png", png)}", {for_script(bounds)}, {{alt: {for_script(words)}}})'


def _shade(ground: Backdrop) -> str:
    """The shaded ground as a picture between its corners."""
    return picture_layer(grey_png(ground.shade), [[ground.south, ground.west], [ground.north, ground.east]], "Shaded ground")


def shapes_layer(features: list[dict[str, Any]], *, interactive: bool) -> str:
    """Lines and areas, each with its style class, as a layer, no unit.

    Leaflet may not thin them: it would leave out half of a circle's points.
    """
    style = "(feature) => ({className: `k k-${feature.properties.css}`})"
    return (
        f"L.geoJson({collection(features)}, "
        f"{{style: {style}, pointToLayer: Siting.spot, smoothFactor: 0, interactive: {for_script(interactive)}}})"
    )


def collection(features: list[dict[str, Any]]) -> str:
    """GeoJSON that can stand in a script, its keys in the alphabet's order, so that a program finds the same text each time."""
    text = json.dumps({"type": "FeatureCollection", "features": features}, sort_keys=True)
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")
