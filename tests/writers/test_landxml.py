"""stakes.xml read back with lxml and with the standard library; held against the schema's words."""

from __future__ import annotations

import xml.etree.ElementTree as plain
from dataclasses import replace

import pytest
from lxml import etree
from writers.plan_by_hand import make_plan
from writers.rover_plans import HOSTILE, INTERNATIONAL_FOOT, US_FOOT, blank, demo, hostile, without_code

from siting.errors import WriteError
from siting.writers.points.landxml import NAMESPACE, landxml

N = f"{{{NAMESPACE}}}"
# What LandXML-1.2.xsd (dated 2008-07-29) allows on the elements that are written: attributes, inner elements.
UNITS = {
    "linearUnit", "areaUnit", "volumeUnit", "temperatureUnit", "pressureUnit", "angularUnit", "directionUnit",
    "latLongAngularUnit", "elevationUnit",
}  # fmt: skip
SCHEMA = {
    "LandXML": ({"version", "date", "time", "language", "readOnly"}, {"Units", "CoordinateSystem", "Project", "Application", "CgPoints"}),
    "Units": (set(), {"Metric", "Imperial"}),
    "Metric": (UNITS, set()),
    "Imperial": (UNITS, set()),
    "CoordinateSystem": ({"desc", "name", "epsgCode", "horizontalDatum", "verticalDatum", "projectedCoordinateSystemName"}, set()),
    "Project": ({"name", "desc"}, {"Feature"}),
    "Feature": ({"name", "code"}, {"Property"}),
    "Property": ({"label", "value"}, set()),
    "Application": ({"name", "version", "desc"}, set()),
    "CgPoints": ({"name", "desc", "state"}, {"CgPoint"}),
    "CgPoint": ({"name", "desc", "code", "state", "role", "oID"}, set()),
}
WORDS = {
    "state": {"abandoned", "destroyed", "existing", "proposed"},
    "role": {"measured", "to stake out", "staked out", "calculated", "assistance point", "user entered point", "control point"},
    "angularUnit": {"decimal degrees"},
    "directionUnit": {"decimal degrees"},
    "latLongAngularUnit": {"decimal degrees"},
    "linearUnit": {"meter", "foot", "USSurveyFoot"},
    "areaUnit": {"squareMeter", "squareFoot"},
    "volumeUnit": {"cubicMeter", "cubicFeet"},
    "temperatureUnit": {"celsius", "fahrenheit"},
    "pressureUnit": {"HPA", "inHG"},
    "elevationUnit": {"meter", "feet"},
}
UNIT_OF = {None: ("Metric", "meter", 1.0), US_FOOT: ("Imperial", "USSurveyFoot", 1200 / 3937), INTERNATIONAL_FOOT: ("Imperial", "foot", 0.3048)}


def points(data: bytes) -> list:
    return list(plain.fromstring(data).iter(N + "CgPoint"))


@pytest.mark.parametrize("projected", [None, US_FOOT, INTERNATIONAL_FOOT])
def test_points_come_back_north_first_in_the_files_unit(projected):
    plan = demo(projected)
    root = plain.fromstring(landxml(plan))
    system, linear, unit_m = UNIT_OF[projected]
    (units,) = root.find(N + "Units")
    assert (units.tag, units.get("linearUnit")) == (N + system, linear)
    found = points(landxml(plan))
    assert len(found) == len(plan.stakes)
    for element, stake in zip(found, plan.stakes, strict=True):
        northing, easting, elevation = map(float, element.text.split())
        assert (northing, easting) == pytest.approx((stake.northing, stake.easting), abs=5e-4)
        assert elevation * unit_m == pytest.approx(stake.height_m, abs=5e-4)
        assert (element.get("name"), element.get("code"), element.get("oID")) == (stake.point, stake.code, stake.id)
        assert (element.get("state"), element.get("role")) == ("proposed", "to stake out")


@pytest.mark.parametrize(
    "make", [make_plan, demo, lambda: demo(given=True), lambda: demo(US_FOOT), hostile, blank, without_code]
)
def test_every_element_attribute_and_word_is_the_schemas(make):
    plan = make()
    root = etree.fromstring(landxml(plan))
    assert root.get("version") == "1.2"
    assert root.get("date") == plan.provenance.plan_date
    names = [p.get("name") for p in root.iter(N + "CgPoint")]
    assert len(set(names)) == len(names)
    for element in root.iter():
        attributes, inner = SCHEMA[element.tag.removeprefix(N)]
        assert set(element.attrib) <= attributes
        assert {child.tag.removeprefix(N) for child in element} <= inner
        for name, words in WORDS.items():
            assert element.get(name) is None or element.get(name) in words
    (units,) = root.find(N + "Units")
    assert set(units.attrib) == UNITS


def test_the_frame_stands_in_the_file():
    plan = demo(US_FOOT)
    root = etree.fromstring(landxml(plan))
    frame = root.find(N + "CoordinateSystem")
    assert (frame.get("epsgCode"), frame.get("name")) == ("4432", "NAD83 / BLM 12N (ftUS)")
    assert (frame.get("horizontalDatum"), frame.get("verticalDatum")) == (plan.crs.datum, plan.terrain.vertical_datum)
    told = {p.get("label"): p.get("value") for p in root.iter(N + "Property")}
    assert told["Unit of the coordinate system"] == "US survey feet (1200/3937 m)"
    assert "in US survey feet (1200/3937 m)" in told["Heights"]
    assert told["Run"] == plan.provenance.run_id
    assert told["Epoch of the coordinates"] == plan.crs.epoch
    assert root.find(N + "Application").get("version") == plan.provenance.version
    assert "epsgCode" not in etree.fromstring(landxml(without_code())).find(N + "CoordinateSystem").attrib


def test_control_points_stand_apart_as_existing():
    plan = demo(given=True)
    root = etree.fromstring(landxml(plan))
    control = {p.get("oID"): p for p in root.findall(f"{N}CgPoints[@name='control']/{N}CgPoint")}
    assert list(control) == [c.id for c in plan.control]
    assert {p.get("state") for p in control.values()} == {"existing"}
    assert [p.get("role") for p in control.values()] == ["control point", None]
    assert [len(p.text.split()) for p in control.values()] == [3, 2]  # the second was given without a height


def test_elevations_are_left_out_where_the_user_wants_none():
    assert {len(p.text.split()) for p in points(landxml(blank()))} == {2}
    assert {len(p.text.split()) for p in points(landxml(make_plan()))} == {3}


def test_a_unit_that_landxml_has_no_word_for_is_refused():
    plan = make_plan()
    odd = replace(plan, crs=replace(plan.crs, unit="Clarke's foot", unit_m=0.3047972654))
    with pytest.raises(WriteError) as fault:
        landxml(odd)
    assert str(fault.value) == (
        "stakes.xml: LandXML knows metres, international feet and US survey feet, but WGS 84 / UTM zone 32N counts in "
        "Clarke's foot (0.3047972654 m). Leave landxml out of --formats, or name another projected system under [crs]."
    )


def test_hostile_names_survive():
    plan = replace(hostile(), name=HOSTILE + "\x0b\ufffe")
    root = etree.fromstring(landxml(plan))
    assert root.find(N + "Project").get("name") == HOSTILE
    assert root.find(N + "CoordinateSystem").get("verticalDatum") == HOSTILE
    assert root.findall(f".//{N}CgPoint")[1].get("oID") == HOSTILE


def test_bytes_repeat():
    assert landxml(demo()) == landxml(demo())
