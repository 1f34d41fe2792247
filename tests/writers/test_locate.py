"""locate.geojson and locate.kml: RFC 7946 and the OGC schema, read back by other programs, never a word of clearance."""

from __future__ import annotations

import importlib.util
import io
import json
from pathlib import Path

import geopandas
import pyogrio
import pytest
import shapely
from lxml import etree
from writers.dig_plans import plans

from siting.writers.dig.locate_geojson import locate_geojson
from siting.writers.dig.locate_kml import locate_kml
from siting.writers.dig.words import NO_CLEARANCE

KML = "{http://www.opengis.net/kml/2.2}"
NAMES = ["screws", "pits", "mixed", "refused", "long names", "forty"]
ABOUT_A_MILLIMETRE_DEG = 1e-8


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


@pytest.mark.parametrize("name", NAMES)
def test_the_geojson_keeps_rfc_7946(made, name):
    plan, _, dig = made[name]
    data = locate_geojson(plan, dig)
    assert not data.startswith(b"\xef\xbb\xbf")
    found = json.loads(data.decode("utf-8"), parse_constant=pytest.fail)
    assert found["type"] == "FeatureCollection" and "crs" not in found and "geometry" not in found
    ids = [f["id"] for f in found["features"]]
    assert len(ids) == len(set(ids)) == len(dig.locate.rings) + len(dig.holes)
    for feature in found["features"]:
        assert set(feature) == {"type", "id", "geometry", "properties"} and feature["type"] == "Feature"
        kind, coordinates = feature["geometry"]["type"], feature["geometry"]["coordinates"]
        assert kind in ("Point", "Polygon")
        for ring in coordinates if kind == "Polygon" else ():
            assert len(ring) >= 4 and ring[0] == ring[-1]
            assert shapely.is_ccw(shapely.linearrings(ring))
        for lon, lat in [p for ring in coordinates for p in ring] if kind == "Polygon" else [coordinates]:
            assert abs(lon - plan.base.lon) < 0.01 and abs(lat - plan.base.lat) < 0.01
        assert feature["properties"]["run_id"] == plan.provenance.run_id
        assert feature["properties"]["no_clearance"] == NO_CLEARANCE


@pytest.mark.parametrize("name", NAMES)
def test_geopandas_reads_the_areas_with_every_hole_inside_one(made, name):
    plan, _, dig = made[name]
    frame = geopandas.read_file(io.BytesIO(locate_geojson(plan, dig)))
    assert frame.crs.to_epsg() == 4326
    areas, holes = (frame[frame.geometry.geom_type == kind] for kind in ("Polygon", "Point"))
    assert len(areas) == len(dig.locate.rings) and len(holes) == len(dig.holes)
    assert areas.is_valid.all()
    assert holes.within(areas.union_all()).all()
    assert list(holes["depth_m"]) == [h.depth_m for h in dig.holes]
    assert list(holes["kind"]) == [h.work for h in dig.holes]
    metres = areas.to_crs(plan.crs.epsg)
    assert metres.area.sum() == pytest.approx(dig.locate.area_m2, rel=1e-4)


@pytest.mark.parametrize("name", NAMES)
def test_the_kml_is_valid_against_the_ogc_schema(made, schema, name):
    plan, _, dig = made[name]
    document = tree(locate_kml(plan, dig))
    assert schema.validate(document), schema.error_log
    rings = document.findall(f".//{KML}LinearRing/{KML}coordinates")
    assert len(rings) == len(dig.locate.rings)
    for element in rings:
        ring = [tuple(float(v) for v in pair.split(",")) for pair in element.text.split()]
        assert len(ring) >= 4 and ring[0] == ring[-1] and shapely.is_ccw(shapely.linearrings(ring))
    styles = {s.get("id") for s in document.iter(f"{KML}Style")}
    assert {e.text for e in document.iter(f"{KML}styleUrl")} <= {f"#{s}" for s in styles}
    assert {e.text for e in document.iter(f"{KML}altitudeMode")} == {"clampToGround"}
    assert plan.provenance.run_id in document.findtext(f"{KML}Document/{KML}description")
    for placemark in document.iter(f"{KML}Placemark"):
        assert NO_CLEARANCE in placemark.findtext(f"{KML}description")


def test_the_schema_refuses_a_broken_file(made, schema):
    plan, _, dig = made["pits"]
    document = tree(locate_kml(plan, dig))
    placemark = document.find(f".//{KML}Placemark")
    placemark.append(placemark.find(f"{KML}name"))
    assert not schema.validate(document)


@pytest.mark.parametrize("name", ["pits", "forty"])
def test_gdal_reads_the_same_places_from_the_kml(made, tmp_path, name):
    plan, _, dig = made[name]
    path = tmp_path / "locate.kml"
    path.write_bytes(locate_kml(plan, dig))
    assert [layer for layer, _ in pyogrio.list_layers(path)] == ["Areas", "Holes"]
    _, _, wkb, _ = pyogrio.raw.read(path, layer="Areas")
    for shape, ring in zip(shapely.from_wkb(wkb), dig.locate.rings, strict=True):
        assert shapely.force_2d(shape).hausdorff_distance(shapely.polygons(ring)) < ABOUT_A_MILLIMETRE_DEG
    _, _, wkb, _ = pyogrio.raw.read(path, layer="Holes")
    points = shapely.from_wkb(wkb)
    assert [(p.x, p.y) for p in points] == [pytest.approx((h.lon, h.lat), abs=ABOUT_A_MILLIMETRE_DEG) for h in dig.holes]


def test_the_depth_of_a_hole_stands_in_the_kml(made):
    plan, _, dig = made["mixed"]
    document = tree(locate_kml(plan, dig))
    depths = {}
    for placemark in document.iter(f"{KML}Placemark"):
        data = {d.get("name"): d.findtext(f"{KML}value") for d in placemark.iter(f"{KML}Data")}
        if "depth_m" in data:
            depths[placemark.findtext(f"{KML}name")] = (float(data["depth_m"]), data["kind"])
    assert depths == {h.id: (h.depth_m, h.work) for h in dig.holes}


def test_the_same_plan_gives_the_same_bytes_and_odd_letters_stay(made):
    plan, _, dig = made["pits"]
    for write in (locate_geojson, locate_kml):
        assert write(plan, dig) == write(plan, dig)
        assert "Grüße ≤ Kestrel Ridge M1" in write(plan, dig).decode("utf-8")
