"""stakes.geojson against RFC 7946, rule by rule, and read back by a second library.

Sources: H. Butler and others, RFC 7946, The GeoJSON Format (August 2016); the section stands beside each rule. Each
rule is a function that lists what breaks it, so that the same rule is also shown a file that does. Second reader:
geopandas (GDAL's GeoJSON driver). Degrees of WGS 84; lengths in metres.
"""

import copy
import json

import geopandas
import pytest

ONE_MM = 1e-3


def geometries(collection):
    """(feature id, geometry) of a collection."""
    return [(feature["id"], feature["geometry"]) for feature in collection["features"]]


def positions(geometry):
    """Every position of a geometry."""
    coordinates = geometry["coordinates"]
    if geometry["type"] == "Polygon":
        return [position for ring in coordinates for position in ring]
    return coordinates if geometry["type"] == "LineString" else [coordinates]


def twice_area(ring):
    """Signed area of a ring, square degrees, times two; positive counter-clockwise."""
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, ring[1:], strict=False))


def wrong_members(collection):
    """3 and 3.3: the members that must be there; 4: no `crs`; 7.1: no member of another type's."""
    faults = [] if collection.get("type") == "FeatureCollection" else ["not a FeatureCollection"]
    faults += [f"collection has {name}" for name in ("coordinates", "geometry", "properties") if name in collection]
    for thing in (collection, *collection["features"], *(f["geometry"] for f in collection["features"])):
        faults += ["has a crs member"] * ("crs" in thing)
    for feature in collection["features"]:
        faults += [f"{feature.get('id')}: not a Feature"] * (feature.get("type") != "Feature")
        faults += [f"{feature.get('id')}: lacks a member"] * (not {"type", "geometry", "properties"} <= set(feature))
        faults += [f"{feature.get('id')}: has coordinates of its own"] * ("coordinates" in feature or "features" in feature)
    return faults


def wrong_ids(collection):
    """3.2: an id is a string or a number; the contract: unique."""
    ids = [feature.get("id") for feature in collection["features"]]
    faults = [f"id {name!r} is no text" for name in ids if not (isinstance(name, str) and name)]
    return faults + [f"id {name!r} stands twice" for name in ids if ids.count(name) > 1]


def wrong_geometries(collection):
    """1.4 and 3.1: known types; 3.1.4: a line has two positions; 3.1.6: a ring has four and is closed."""
    faults = []
    for name, geometry in geometries(collection):
        if geometry["type"] not in ("Point", "LineString", "Polygon"):
            faults.append(f"{name}: {geometry['type']}")
        if geometry["type"] == "LineString" and len(geometry["coordinates"]) < 2:
            faults.append(f"{name}: short line")
        for ring in geometry["coordinates"] if geometry["type"] == "Polygon" else []:
            faults += [f"{name}: ring of {len(ring)}"] * (len(ring) < 4) + [f"{name}: open ring"] * (ring[0] != ring[-1])
    return faults


def wrong_winding(collection):
    """3.1.6: exterior rings counter-clockwise, holes clockwise."""
    faults = []
    for name, geometry in geometries(collection):
        for number, ring in enumerate(geometry["coordinates"] if geometry["type"] == "Polygon" else []):
            if (twice_area(ring) > 0) == (number > 0):
                faults.append(f"{name}: ring {number} is wound the wrong way")
    return faults


def wrong_positions(collection):
    """3.1.1: two numbers (a third is an ellipsoid height, which a DEM's is not); 4: longitude, then latitude."""
    faults = []
    for name, geometry in geometries(collection):
        for position in positions(geometry):
            if len(position) != 2 or not all(isinstance(v, float) for v in position):
                faults.append(f"{name}: {position}")
            elif not (-180.0 <= position[0] <= 180.0 and -90.0 <= position[1] <= 90.0):
                faults.append(f"{name}: out of range {position}")
    return faults


RULES = (wrong_members, wrong_ids, wrong_geometries, wrong_winding, wrong_positions)


@pytest.mark.parametrize("rule", RULES)
def test_the_file_keeps_the_rule(packet, rule):
    collection = packet.json("stakes.geojson")
    assert len(collection["features"]) >= len(packet.plan.stakes) + 3
    assert rule(collection) == []


def _first(collection, kind):
    return next(f for f in collection["features"] if f["geometry"]["type"] == kind)


def _break(collection, rule):
    """Breaks one rule in a copy."""
    broken = copy.deepcopy(collection)
    ring = _first(broken, "Polygon")["geometry"]["coordinates"][0]
    if rule is wrong_members:
        broken["crs"] = {"type": "name", "properties": {"name": "EPSG:32612"}}
    elif rule is wrong_ids:
        broken["features"][1]["id"] = broken["features"][0]["id"]
    elif rule is wrong_geometries:
        ring.pop()
    elif rule is wrong_winding:
        ring.reverse()
    else:  # a demo longitude is no latitude; the Cape's could be, so a third number there
        point = _first(broken, "Point")["geometry"]
        point["coordinates"] = [*point["coordinates"], 1400.0]
    return broken


@pytest.mark.parametrize("rule", RULES)
def test_the_rule_sees_a_file_that_breaks_it(packet, rule):
    assert len(rule(_break(packet.json("stakes.geojson"), rule))) >= 1


def test_utf_8_without_a_mark_and_no_nan(packet):
    # RFC 7946 is JSON (RFC 8259): UTF-8, no byte order mark, no NaN or Infinity.
    data = (packet.folder / "stakes.geojson").read_bytes()
    assert not data.startswith(b"\xef\xbb\xbf")

    def refuse(name):
        raise AssertionError(f"{name} is not JSON")

    json.loads(data.decode("utf-8"), parse_constant=refuse)


def test_longitude_comes_first(packet):
    # 3.1.1 and 4: longitude and latitude in that order; the base's own say which is which.
    base = _first(packet.json("stakes.geojson"), "Point")
    assert base["id"] == "BASE"
    assert base["geometry"]["coordinates"] == [packet.plan.base.lon, packet.plan.base.lat]
    assert abs(packet.plan.base.lon - packet.plan.base.lat) > 1.0


def test_a_second_reader_finds_the_plan_to_a_millimetre(packet):
    table = geopandas.read_file(packet.folder / "stakes.geojson")
    plan = packet.json("plan.json")
    assert table.crs == "EPSG:4326"
    assert len(table) == len(packet.json("stakes.geojson")["features"])
    assert table.geometry.is_valid.all()
    assert not table.geometry.has_z.any()
    grid = table.to_crs(plan["crs"]["epsg"]).set_index("id")
    assert len(plan["stakes"]) >= 12
    for stake in plan["stakes"]:
        row = grid.loc[stake["id"]]
        assert (row.geometry.x, row.geometry.y) == pytest.approx((stake["easting"], stake["northing"]), abs=ONE_MM)
        for key in ("easting", "northing", "height_m", "radius_m", "azimuth_deg", "azimuth_grid_deg", "above_base_m"):
            assert row[key] == stake[key], (stake["id"], key)
    # The fall zone is the circle of the total height on the ground: its area on the grid, and its every corner.
    fall = grid.loc["fall_zone"].geometry
    radius_m = plan["land"]["fall_radius_m"] * plan["crs"]["combined_factor"]
    base = grid.loc["BASE"].geometry
    for x, y in fall.exterior.coords:
        # M and N in place of sqrt(M N) in the elevation factor: h/R times 0.3 % of 82.5 m; scale over 82.5 m: 1e-7.
        assert ((x - base.x) ** 2 + (y - base.y) ** 2) ** 0.5 == pytest.approx(radius_m, abs=ONE_MM)
