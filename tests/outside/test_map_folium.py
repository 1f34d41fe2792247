"""The map against folium, a general-purpose map library that draws GeoJSON with Leaflet: both look at the same ground."""

import json
import re

import folium
import pytest

ROUNDING_DEG = 2e-9  # decimals of the files


def test_folium_finds_the_stakes_where_the_map_looks(packet):
    """What folium would show of stakes.geojson lies in the map's first view, and fills it to a tenth."""
    (south, west), (north, east) = folium.GeoJson(json.loads((packet.folder / "stakes.geojson").read_text(encoding="utf-8"))).get_bounds()
    page = (packet.folder / "map.html").read_text(encoding="utf-8")
    view = json.loads(re.search(r'"bounds": ?(\[\[.*?\]\])', page).group(1))
    assert view[0][0] <= south + ROUNDING_DEG and view[0][1] <= west + ROUNDING_DEG
    assert view[1][0] >= north - ROUNDING_DEG and view[1][1] >= east - ROUNDING_DEG
    assert view[1][0] - view[0][0] == pytest.approx(north - south, rel=0.1)
    assert view[1][1] - view[0][1] == pytest.approx(east - west, rel=0.1)
