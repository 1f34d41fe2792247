"""The map of a packet: one HTML file that opens from disk with the network off, on a phone or a desk, and prints."""

from __future__ import annotations

from siting.records.plan import Plan
from siting.writers.map.features import control_features, stake_features, unwrapped
from siting.writers.map.layers import shape_layers
from siting.writers.map.leaflet_script import HEAD, PLACE, map_script
from siting.writers.map.offline_page import whole_page
from siting.writers.map.panel import body

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


def map_html(plan: Plan) -> bytes:
    """`map.html` of the packet: UTF-8, whole, the same bytes for the same plan; units stand in its text."""
    layers = shape_layers(plan)
    config = {
        "bounds": _extent(plan), "lat": plan.base.lat, "lowered": plan.crs.elevation_factor, "declination": plan.crs.declination_deg,
    }  # fmt: skip
    stakes = [*stake_features(plan), *control_features(plan)]
    start = map_script((plan.base.lat, plan.base.lon), plan.backdrop, layers, stakes, config)
    kinds = [found["properties"]["css"] for layer in layers for found in layer.features]
    stage = 'aria-label="Map">'  # with it in front, the map's place cannot be taken for a word of the user
    drawn = body(plan, kinds).replace(f"{stage}{{map}}", f"{stage}{PLACE}", 1)
    return whole_page(plan.name, HEAD, drawn, (SHEETS, SCRIPTS), start).encode("utf-8")
