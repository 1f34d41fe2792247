"""land.geojson and land.kml: RFC 7946 and the OGC schema, read back by other programs, the ties as long as their rules say."""

from __future__ import annotations

import importlib.util
import io
import json
from dataclasses import replace
from pathlib import Path

import geopandas
import pyogrio
import pytest
import shapely
from lxml import etree
from writers.land_plans import BASE, MAKERS, distance_m, plans, rule
from writers.plan_by_hand import _from_offset, make_plan

from siting.writers.land.features import land_features, polygons_of
from siting.writers.land.geojson import land_geojson
from siting.writers.land.kml import land_kml

KML = "{http://www.opengis.net/kml/2.2}"
NAMES = list(MAKERS)


@pytest.fixture(scope="module")
def made():
    return plans()


@pytest.fixture(scope="module")
def schema():
    """The OGC schema of KML 2.2, as pykml carries it (tests/outside/test_kml_ogc.py names its source)."""
    package = importlib.util.find_spec("pykml")
    if package is None:
        pytest.fail("pykml is not installed: it carries the OGC schema (pip install '.[test]')", pytrace=False)
    path = Path(package.submodule_search_locations[0]) / "schemas" / "ogckml22.xsd"
    return etree.XMLSchema(etree.parse(path, etree.XMLParser(no_network=True)))


def tree(data: bytes):
    return etree.fromstring(data, etree.XMLParser(no_network=True, resolve_entities=False))


def polygons(geometry):
    return [geometry["coordinates"]] if geometry["type"] == "Polygon" else geometry["coordinates"] if geometry["type"] == "MultiPolygon" else []


@pytest.mark.parametrize("name", NAMES)
def test_the_geojson_keeps_rfc_7946(made, name):
    plan = made[name]
    found = json.loads(land_geojson(plan).decode("utf-8"), parse_constant=pytest.fail)
    assert found["type"] == "FeatureCollection" and "crs" not in found
    ids = [f["id"] for f in found["features"]]
    assert len(ids) == len(set(ids))
    for feature in found["features"]:
        assert set(feature) == {"type", "id", "geometry", "properties"} and feature["type"] == "Feature"
        assert feature["properties"]["run_id"] == plan.provenance.run_id
        assert "source" in feature["properties"] or feature["properties"]["kind"] == "move"
        for rings in polygons(feature["geometry"]):
            for number, ring in enumerate(rings):
                assert len(ring) >= 4 and ring[0] == ring[-1]
                assert shapely.is_ccw(shapely.linearrings(ring)) == (number == 0)
        if feature["geometry"]["type"] == "LineString":
            assert len(feature["geometry"]["coordinates"]) == 2
    kinds = [f["properties"]["kind"] for f in found["features"]]
    assert kinds.count("zone") == len(plan.reach)
    assert kinds.count("rule") == sum(r.value_m is not None for r in plan.land.rules)
    assert kinds.count("power_line") == len(plan.power_lines)
    assert kinds.count("move") == (plan.move is not None)


@pytest.mark.parametrize("name", ["failing", "waived", "many"])
def test_a_rules_line_runs_from_the_base_as_far_as_it_found(made, name):
    plan = made[name]
    lines = [f for f in json.loads(land_geojson(plan))["features"] if f["properties"]["kind"] == "rule"]
    for feature, found in zip(lines, plan.land.rules, strict=True):
        start, end = feature["geometry"]["coordinates"]
        assert tuple(start) == BASE and end == [found.lon, found.lat]
        assert distance_m(start, end) == pytest.approx(found.value_m, rel=2e-3)
        assert feature["properties"]["margin_m"] == pytest.approx(found.value_m - found.limit_m)
        assert feature["properties"]["rule"] == found.id and feature["properties"]["source"] == found.source


def test_a_rule_of_an_anchor_runs_from_the_anchor():
    plan = make_plan()
    anchor = next(s for s in plan.stakes if s.id == "A1")
    east, north = 30.0, 40.0
    base_e, base_n = _offset_of(anchor)
    lon, lat = _from_offset(base_e + east, base_n + north)
    found = rule("anchors", 50.0, 3.0, 36.8699, lon=lon, lat=lat, measured="permanent anchor A1, to the nearest line")
    plan = replace(plan, land=replace(plan.land, rules=(found,)))
    (feature,) = land_features(plan)
    assert distance_m(feature.line[0], (anchor.lon, anchor.lat)) < 0.05
    assert feature.line[1] == (lon, lat)


def _offset_of(stake):
    import math

    turn = math.radians(stake.azimuth_deg)
    return stake.radius_m * math.sin(turn), stake.radius_m * math.cos(turn)


def test_a_zone_of_two_pieces_with_a_hole_keeps_them(made):
    keep = next(z for z in made["failing"].reach if z.id == "keep_out")
    assert [len(rings) for rings in polygons_of(keep.rings)] == [2, 1]
    frame = geopandas.read_file(io.BytesIO(land_geojson(made["failing"])))
    assert frame.crs.to_epsg() == 4326 and frame.geometry.is_valid.all()
    area = frame[frame["id"] == "zone:keep_out"].to_crs(32632).area.iloc[0]
    assert area == pytest.approx(190.0 * 190.0 - 15.0 * 10.0 + 30.0 * 40.0, rel=3e-3)


@pytest.mark.parametrize("name", NAMES)
def test_the_kml_is_valid_against_the_ogc_schema(made, schema, name):
    document = tree(land_kml(made[name]))
    assert schema.validate(document), schema.error_log
    styles = {s.get("id") for s in document.iter(f"{KML}Style")}
    assert {e.text for e in document.iter(f"{KML}styleUrl")} <= {f"#{s}" for s in styles}
    assert {e.text for e in document.iter(f"{KML}altitudeMode")} <= {"clampToGround"}
    assert len(list(document.iter(f"{KML}Placemark"))) == len(land_features(made[name]))
    assert made[name].provenance.run_id in document.findtext(f"{KML}Document/{KML}description")


def test_the_schema_refuses_a_broken_file(made, schema):
    document = tree(land_kml(made["failing"]))
    placemark = document.find(f".//{KML}Placemark")
    placemark.append(placemark.find(f"{KML}name"))
    assert not schema.validate(document)


def test_gdal_reads_the_same_folders_and_lines_from_the_kml(made, tmp_path):
    path = tmp_path / "land.kml"
    path.write_bytes(land_kml(made["failing"]))
    assert [layer for layer, _ in pyogrio.list_layers(path)] == ["Zones", "Rules", "Overhead lines", "Move"]
    _, _, wkb, _ = pyogrio.raw.read(path, layer="Rules")
    lines = [f.line for f in land_features(made["failing"]) if f.kind == "rule"]
    for shape, line in zip(shapely.from_wkb(wkb), lines, strict=True):
        assert shapely.force_2d(shape).hausdorff_distance(shapely.linestrings(line)) < 1e-8


@pytest.mark.parametrize("name", ["failing", "many"])
def test_the_same_plan_gives_the_same_bytes(made, name):
    assert land_geojson(made[name]) == land_geojson(made[name]) and land_kml(made[name]) == land_kml(made[name])
