"""The map of a packet: one HTML file that opens from disk with the network off, on a phone or a desk, and prints."""

from __future__ import annotations

from typing import TYPE_CHECKING

from siting.records.plan import Plan
from siting.writers.map.features import contour_features, control_features, stake_features, unwrapped
from siting.writers.map.hillshade_png import grey_png
from siting.writers.map.layers import MapLayer, shape_layers
from siting.writers.map.offline_folium import data_uri, for_script, offline_map, page
from siting.writers.map.panel import body

if TYPE_CHECKING:
    import folium

# The first view takes the boundary in up to this many times the larger of setback and fall radius.
NEAR = 1.5
SHEETS = ("map.css", "map_marks.css", "map_print.css")
SCRIPTS = ("map_ground.js", "map_labels.js", "map_measure.js", "map_here.js", "map_keys.js", "map_panel.js", "map_print.js", "map.js")


def _extent(plan: Plan) -> list[list[float]]:
    """South-west and north-east of what must be in view at first: the layout, and the boundary where it is near."""
    land = plan.land
    far = land.nearest_boundary_m is None or land.nearest_boundary_m > NEAR * max(land.setback_m, land.fall_radius_m)
    wide = ("parcel", "own_land", "obstacle", *(("boundary_tie",) if far else ()))
    points = [(stake.lon, stake.lat) for stake in plan.stakes]
    points += [point for shape in plan.shapes if shape.kind not in wide for ring in shape.rings for point in ring]
    lons, lats = zip(*((unwrapped(lon, plan.base.lon), lat) for lon, lat in points), strict=True)
    return [[min(lats), min(lons)], [max(lats), max(lons)]]


def _geojson(layer: MapLayer, *, named: bool = True, interactive: bool = True) -> folium.GeoJson:
    import folium
    from folium.utilities import JsCode

    return folium.GeoJson(
        {"type": "FeatureCollection", "features": layer.features},
        style_function=lambda feature: {"className": f"k k-{feature['properties']['css']}"},
        name=layer.name,
        control=named,
        show=layer.is_on,
        smooth_factor=0,  # else Leaflet leaves out more than half of a circle's points
        interactive=interactive,
        point_to_layer=JsCode("Siting.spot"),
    )


def _add_ground(the_map: folium.Map, plan: Plan) -> dict[str, str]:
    """Shaded ground and contours; their names in the page's script."""
    import folium

    ground = plan.backdrop
    shade = folium.raster_layers.ImageOverlay(
        data_uri("image/png", grey_png(ground.shade)),
        bounds=[[ground.south, ground.west], [ground.north, ground.east]],
        pixelated=False,
        name="Shaded ground",
        alt="Shaded ground",
    )
    contours = folium.FeatureGroup(name=f"Contours, {ground.contour_interval_m:g} m")
    _geojson(MapLayer("contours", "", contour_features(ground)), interactive=False).add_to(contours)
    shade.add_to(the_map)
    contours.add_to(the_map)
    return {"ground": shade.get_name(), "contours": contours.get_name()}


def map_html(plan: Plan) -> bytes:
    """`map.html` of the packet: UTF-8, whole, the same bytes for the same plan; units stand in its text."""
    import folium
    from folium.utilities import JsCode

    the_map = offline_map(
        (plan.base.lat, plan.base.lon),
        attribution_control=False,
        track_resize=False,  # map.js does it, and keeps the whole layout in view
        zoom_snap=0.25,
        min_zoom=10,
        max_zoom=23,
    )
    names = _add_ground(the_map, plan) if plan.backdrop is not None else {}
    layers = shape_layers(plan)
    for layer in layers:
        names[layer.key] = _geojson(layer).add_to(the_map).get_name()
    stakes = folium.GeoJson(
        {"type": "FeatureCollection", "features": [*stake_features(plan), *control_features(plan)]},
        name="Stakes",
        point_to_layer=JsCode("Siting.stake"),
    )
    names["stakes"] = stakes.add_to(the_map).get_name()  # last, so that clicks reach them
    folium.LayerControl(collapsed=False).add_to(the_map)
    config = {
        "bounds": _extent(plan), "lat": plan.base.lat, "lowered": plan.crs.elevation_factor, "declination": plan.crs.declination_deg,
    }  # fmt: skip
    listed = ", ".join(f"{for_script(key)}: {name}" for key, name in names.items())
    start = f"Siting.start({the_map.get_name()}, {{{listed}}}, {for_script(config)});"
    kinds = [found["properties"]["css"] for layer in layers for found in layer.features]
    return page(the_map, plan.name, body(plan, kinds), SHEETS, SCRIPTS, start)
