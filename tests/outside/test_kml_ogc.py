"""stakes.kml against the OGC schema and the rules that the schema cannot hold, and read back by GDAL.

Sources: OGC 07-147r2, KML 2.2, with its schema ogckml22.xsd as the package pykml 0.2.0 (BSD licence) carries it,
loaded with the network off; the OGC abstract tests for what a schema does not say. Second reader: GDAL's KML driver
through pyogrio. Degrees of WGS 84; lengths in metres.
"""

import importlib.util
from pathlib import Path

import numpy as np
import pyogrio
import pytest
import shapely
from lxml import etree
from pyproj import Transformer

ONE_MM = 1e-3
KML = "{http://www.opengis.net/kml/2.2}"


@pytest.fixture(scope="module")
def schema():
    """The OGC schema of KML 2.2."""
    package = importlib.util.find_spec("pykml")
    if package is None:
        pytest.fail("pykml is not installed: it carries the OGC schema (pip install '.[test]')", pytrace=False)
    path = Path(package.submodule_search_locations[0]) / "schemas" / "ogckml22.xsd"
    return etree.XMLSchema(etree.parse(path, etree.XMLParser(no_network=True)))


@pytest.fixture
def document(packet):
    """stakes.kml as a tree."""
    return etree.parse(packet.folder / "stakes.kml", etree.XMLParser(no_network=True, resolve_entities=False))


def test_the_file_is_valid_against_the_ogc_schema(schema, document):
    assert schema.validate(document), schema.error_log


def _move_name_behind_the_point(placemark):
    placemark.append(placemark.find(f"{KML}name"))


def _unknown_element(placemark):
    etree.SubElement(placemark, f"{KML}Depth").text = "1"


def _unknown_mode(placemark):
    placemark.find(f"{KML}Point/{KML}altitudeMode").text = "on the ground"


def _element_without_namespace(placemark):
    etree.SubElement(placemark, "snippet").text = "no namespace"


@pytest.mark.parametrize("breaker", [_move_name_behind_the_point, _unknown_element, _unknown_mode, _element_without_namespace])
def test_the_schema_refuses_a_broken_file(schema, document, breaker):
    breaker(document.find(f".//{KML}Placemark[{KML}Point]"))
    assert not schema.validate(document)


def pairs(element):
    """(lon, lat) of a coordinates element."""
    return [tuple(float(v) for v in text.split(",")) for text in element.text.split()]


def test_what_the_schema_cannot_say(document):
    # Rings closed with four points or more; outer counter-clockwise, inner clockwise; lon,lat in range; every
    # styleUrl leads to a style of the file; ids unique; nothing that a viewer would have to fetch.
    rings = document.findall(f".//{KML}LinearRing/{KML}coordinates")
    assert len(rings) >= 3
    for element in rings:
        ring = pairs(element)
        assert len(ring) >= 4
        assert ring[0] == ring[-1]
        is_outer = element.getparent().getparent().tag == f"{KML}outerBoundaryIs"
        assert shapely.is_ccw(shapely.linearrings(ring)) == is_outer
    for element in document.iter(f"{KML}coordinates"):
        for pair in pairs(element):
            assert len(pair) == 2
            assert -180.0 <= pair[0] <= 180.0
            assert -90.0 <= pair[1] <= 90.0
    styles = [style.get("id") for style in document.iter(f"{KML}Style")]
    assert len(set(styles)) == len(styles) >= 1
    used = {element.text for element in document.iter(f"{KML}styleUrl")}
    assert used
    assert used <= {f"#{name}" for name in styles}
    assert not list(document.iter(f"{KML}href", f"{KML}NetworkLink"))


def test_every_placemark_lies_on_the_ground(document):
    # A height in a KML would be above the EGM96 sea level; the DEM's datum need not be that. Without a mode a
    # placemark lies on the ground too (07-147r2, altitudeMode).
    modes = [element.text for element in document.iter(f"{KML}altitudeMode")]
    assert len(modes) >= 15
    assert set(modes) == {"clampToGround"}


def test_gdal_reads_the_plans_stakes_to_a_millimetre(packet):
    plan = packet.json("plan.json")
    path = packet.folder / "stakes.kml"
    assert [name for name, _ in pyogrio.list_layers(path)] == ["Stakes", "Lines", "Zones"]
    meta, _, wkb, columns = pyogrio.raw.read(path, layer="Stakes")
    assert meta["crs"] == "EPSG:4326"
    names = dict(zip(meta["fields"], columns, strict=True))["Name"]
    points = dict(zip(names, shapely.from_wkb(wkb), strict=True))
    given = {*(s["id"] for s in plan["stakes"]), *(c["id"] for c in plan.get("control", []))}
    assert set(points) == given
    assert len(plan["stakes"]) >= 12
    to_grid = Transformer.from_crs("EPSG:4326", f"EPSG:{plan['crs']['epsg']}", always_xy=True)
    for stake in plan["stakes"]:
        point = points[stake["id"]]
        found = to_grid.transform(point.x, point.y)
        assert found == pytest.approx((stake["easting"], stake["northing"]), abs=ONE_MM)


def test_gdal_reads_lines_from_the_base_and_zones_around_it(packet):
    plan = packet.json("plan.json")
    base = plan["base"]["lon"], plan["base"]["lat"]
    stakes = {(s["lon"], s["lat"]) for s in plan["stakes"]}
    _, _, wkb, _ = pyogrio.raw.read(packet.folder / "stakes.kml", layer="Lines")
    lines = shapely.from_wkb(wkb)
    assert len(lines) == sum(s["kind"] in ("laydown", "guy", "side_guy", "winch_line") for s in plan["shapes"])
    for line in lines:
        start, end = (tuple(float(v) for v in place[:2]) for place in (line.coords[0], line.coords[-1]))
        assert start == base
        assert end in stakes
    _, _, wkb, _ = pyogrio.raw.read(packet.folder / "stakes.kml", layer="Zones")
    zones = shapely.from_wkb(wkb)
    assert len(zones) == 3
    assert shapely.is_valid(zones).all()
    assert shapely.contains(zones, shapely.points(base)).all()


def test_the_stakes_data_are_the_plans_own(packet, document):
    plan = packet.json("plan.json")
    found = {}
    for placemark in document.findall(f".//{KML}Placemark[{KML}Point]"):
        data = {d.get("name"): d.findtext(f"{KML}value") for d in placemark.iter(f"{KML}Data")}
        found[placemark.findtext(f"{KML}name")] = data
    for stake in plan["stakes"]:
        data = found[stake["id"]]
        numbers = [float(data[key]) for key in ("easting", "northing", "height_m", "ground_distance_m")]
        assert numbers == [stake[key] for key in ("easting", "northing", "height_m", "radius_m")]
        assert np.isclose(float(data["azimuth_true"].rstrip("°")), stake["azimuth_deg"], rtol=0, atol=0.005)
        assert np.isclose(float(data["azimuth_grid"].rstrip("°")), stake["azimuth_grid_deg"], rtol=0, atol=0.005)
        assert (data["point"], data["verdict"]) == (stake["point"], stake["verdict"])
        assert data["run_id"] == plan["provenance"]["run_id"]
