"""The map of a search: one HTML file that opens from disk with the network off."""

from __future__ import annotations

import numpy as np

from siting.records.search import SearchResult, Spot
from siting.writers.map.features import feature, unwrapped
from siting.writers.map.leaflet_script import (
    HEAD,
    OPTIONS,
    PLACE,
    collection,
    layer_lines,
    picture_layer,
    script_of,
    shapes_layer,
)
from siting.writers.map.offline_page import for_script, whole_page
from siting.writers.search.land_layers import land_layers
from siting.writers.search.overlay import class_picture
from siting.writers.search.overview import Overview
from siting.writers.search.page_panel import body, look_of, spot_rows
from siting.writers.search.words import NO_PLAN, VERDICT_WORDS, fails_words

SHEETS = ("map.css", "map_marks.css", "map_print.css", "search.css")
SCRIPTS = ("map_ground.js", "map_labels.js", "map_keys.js", "map_panel.js", "map_print.js", "search_map.js")
ZOOMS = {"minZoom": 6, "maxZoom": 22}


def search_html(result: SearchResult, overview: Overview) -> bytes:
    """`search.html`: UTF-8, whole, the same bytes for the same search; units stand in its text.

    Args:
        overview: filled with every tile.
    """
    picture = class_picture(result.grid, overview)
    bounds = picture.bounds
    middle = ((bounds[0][0] + bounds[1][0]) / 2, (bounds[0][1] + bounds[1][1]) / 2)
    lines = layer_lines("cells", "Cells", picture_layer(picture.png, bounds, "Cells by what they use of the limits"))
    for layer in land_layers(result.land, middle[1]):
        lines += layer_lines(layer.key, layer.name, shapes_layer(layer.features, interactive=False))
    spots = collection([_feature(spot, middle[1]) for spot in result.spots])
    lines += layer_lines("spots", "Spots", f"L.geoJson({spots}, {{pointToLayer: Siting.found}})")
    config = {"bounds": bounds, "near": picture.near, "lat": middle[0], "lowered": 1.0}
    start = script_of(middle, lines, f"Siting.startSearch(map, layers, {for_script(config)});", {**OPTIONS, **ZOOMS})
    drawn = {int(v) for v in np.unique(overview.classes())}
    stage = 'aria-label="Map">'  # with it in front, the map's place cannot be taken for a word of the user
    whole = body(result, drawn).replace(f"{stage}{{map}}", f"{stage}{PLACE}", 1)
    return whole_page(result.job.name, HEAD, whole, (SHEETS, SCRIPTS), start).encode("utf-8")


def _feature(spot: Spot, near_lon: float) -> dict:
    """A spot as a point with what its sign and its popup say; degrees."""
    words = {
        "rank": spot.rank, "verdict": look_of(spot), "azimuth": spot.azimuth_deg,
        "word": NO_PLAN if spot.verdict is None else VERDICT_WORDS[spot.verdict].upper(),
        "title": f"No. {spot.rank}", "notes": [text for text in (spot.differs, fails_words(spot)) if text],
        "file": spot.site_file, "rows": spot_rows(spot),
    }  # fmt: skip
    return feature(spot.rank, "Point", [unwrapped(spot.lon, near_lon), spot.lat], words)
