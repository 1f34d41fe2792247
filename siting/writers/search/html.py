"""The map of a search: one HTML file that opens from disk with the network off."""

from __future__ import annotations

from siting.records.search import SearchResult, Spot
from siting.writers.map.features import feature, unwrapped
from siting.writers.map.offline_folium import data_uri, for_script, offline_map, page
from siting.writers.search.overlay import class_picture
from siting.writers.search.overview import Overview
from siting.writers.search.page_panel import body, look_of, spot_rows
from siting.writers.search.words import NO_PLAN, VERDICT_WORDS

SHEETS = ("map.css", "map_marks.css", "map_print.css", "search.css")
SCRIPTS = ("map_ground.js", "map_keys.js", "map_panel.js", "map_print.js", "search_map.js")


def search_html(result: SearchResult, overview: Overview) -> bytes:
    """`search.html`: UTF-8, whole, the same bytes for the same search; units stand in its text.

    Args:
        overview: filled with every tile.
    """
    import folium
    from folium.utilities import JsCode

    picture = class_picture(result.grid, overview)
    bounds = picture.bounds
    middle = ((bounds[0][0] + bounds[1][0]) / 2, (bounds[0][1] + bounds[1][1]) / 2)
    the_map = offline_map(middle, attribution_control=False, track_resize=False, zoom_snap=0.25, min_zoom=6, max_zoom=22)
    cells = folium.raster_layers.ImageOverlay(data_uri("image/png", picture.png), bounds=bounds, name="Cells", alt="Cells by what they use of the limits")
    cells.add_to(the_map)
    spots = folium.GeoJson(
        {"type": "FeatureCollection", "features": [_feature(spot, middle[1]) for spot in result.spots]},
        name="Spots",
        point_to_layer=JsCode("Siting.found"),
    )
    spots.add_to(the_map)
    folium.LayerControl(collapsed=False).add_to(the_map)
    config = {"bounds": bounds, "near": picture.near, "lat": middle[0], "lowered": 1.0}
    names = f"{{cells: {cells.get_name()}, spots: {spots.get_name()}}}"
    start = f"Siting.startSearch({the_map.get_name()}, {names}, {for_script(config)});"
    drawn = {int(v) for v in set(overview.classes().ravel().tolist())}
    return page(the_map, result.job.name, body(result, drawn), SHEETS, SCRIPTS, start)


def _feature(spot: Spot, near_lon: float) -> dict:
    """A spot as a point with what its sign and its popup say; degrees."""
    words = {
        "rank": spot.rank, "verdict": look_of(spot), "azimuth": spot.azimuth_deg,
        "word": NO_PLAN if spot.verdict is None else VERDICT_WORDS[spot.verdict].upper(),
        "title": f"No. {spot.rank}", "note": spot.differs, "file": spot.site_file, "rows": spot_rows(spot),
    }  # fmt: skip
    return feature(spot.rank, "Point", [unwrapped(spot.lon, near_lon), spot.lat], words)
