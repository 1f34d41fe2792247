"""stakes.xml: LandXML 1.2 CgPoints, for office programs and controllers."""

from __future__ import annotations

from siting.errors import WriteError
from siting.figures import kept
from siting.records.plan import Plan, Stake
from siting.records.survey import ControlPoint
from siting.writers.frame_words import crs_words, frame_rows, height_words, unit_key, unit_words
from siting.writers.xml_text import printable

NAMESPACE = "http://www.landxml.org/schema/LandXML-1.2"
# LandXML's own words. Radians are its default, so both angle units are set; no angle is written all the same.
ANGLES = {"angularUnit": "decimal degrees", "directionUnit": "decimal degrees", "latLongAngularUnit": "decimal degrees"}
METRIC = {
    "linearUnit": "meter", "areaUnit": "squareMeter", "volumeUnit": "cubicMeter", "temperatureUnit": "celsius",
    "pressureUnit": "HPA", "elevationUnit": "meter",
}  # fmt: skip
# `linearUnit` says which foot; for heights beside it the schema has the word "feet" only.
IMPERIAL = {
    "areaUnit": "squareFoot", "volumeUnit": "cubicFeet", "temperatureUnit": "fahrenheit", "pressureUnit": "inHG",
    "elevationUnit": "feet",
}  # fmt: skip
UNITS = {
    "m": ("Metric", METRIC),
    "ft": ("Imperial", {"linearUnit": "foot", **IMPERIAL}),
    "us-ft": ("Imperial", {"linearUnit": "USSurveyFoot", **IMPERIAL}),
}


def landxml(plan: Plan) -> bytes:
    """stakes.xml as UTF-8 XML: northing, easting, elevation, all three in the unit of the plan's projected CRS.

    Raises:
        WriteError: the CRS counts in a unit that LandXML has no word for.
    Source: LandXML-1.2 schema, dated 2008-07-29 (landxml.org).
    """
    from lxml import etree

    def add(parent, tag: str, text: str | None = None, **attributes: str):
        clean = {name: printable(value) for name, value in attributes.items()}
        element = etree.SubElement(parent, f"{{{NAMESPACE}}}{tag}", **clean)
        element.text = text
        return element

    crs, origin = plan.crs, plan.provenance
    system, words = _units(plan)
    unit = unit_words(crs.unit_m, crs.unit)
    root = etree.Element(
        f"{{{NAMESPACE}}}LandXML", nsmap={None: NAMESPACE}, version="1.2", language="English", readOnly="false",
        date=origin.plan_date, time="00:00:00",
    )  # fmt: skip
    add(add(root, "Units"), system, **words, **ANGLES)
    frame = {"name": crs.name, "horizontalDatum": crs.datum, "verticalDatum": plan.terrain.vertical_datum}
    if crs.epsg:
        frame["epsgCode"] = str(crs.epsg)
    about = f"{crs_words(plan)}, {unit}; epoch {crs.epoch}; heights {height_words(plan, unit)}"
    add(root, "CoordinateSystem", desc=about, projectedCoordinateSystemName=crs.name, **frame)
    project = add(root, "Project", name=plan.name, desc=f"{plan.verdict}. {plan.headline} Run {origin.run_id}.")
    feature = add(project, "Feature", name="siting", code="frame")
    for title, text in frame_rows(plan, unit):
        add(feature, "Property", label=title, value=text)
    add(root, "Application", name="siting", version=origin.version, desc=f"run {origin.run_id}")
    stakes = add(root, "CgPoints", name="stakes", desc=f"points to set out; run {origin.run_id}", state="proposed")
    for stake in plan.stakes:
        add(stakes, "CgPoint", _place(stake, plan), **_words(stake, stake.description, plan), state="proposed", role="to stake out")
    if plan.control:
        control = add(root, "CgPoints", name="control", desc=f"the user's own points; run {origin.run_id}", state="existing")
        for point in plan.control:
            text = f"{point.role} point given by the user"
            role = {"state": "existing", "role": "control point"} if point.role == "control" else {"state": "existing"}
            add(control, "CgPoint", _place(point, plan), **_words(point, text, plan), **role)
    return etree.tostring(root, xml_declaration=True, encoding="UTF-8", pretty_print=True)


def _units(plan: Plan) -> tuple[str, dict[str, str]]:
    """LandXML's element for the unit system, and its words."""
    key = unit_key(plan.crs.unit_m)
    if key not in UNITS:
        raise WriteError.of(
            "landxml_unit",
            "stakes.xml",
            f"LandXML knows metres, international feet and US survey feet, but {plan.crs.name} counts in "
            f"{unit_words(plan.crs.unit_m, plan.crs.unit)}",
            "leave landxml out of --formats, or name another projected system under [crs]",
        )
    return UNITS[key]


def _place(point: Stake | ControlPoint, plan: Plan) -> str:
    """Northing, easting and, unless it is to be left out, the elevation in the file's unit."""
    text = f"{kept(point.northing, 'coordinate')} {kept(point.easting, 'coordinate')}"
    if point.height_m is None or plan.terrain.blank_elevation:
        return text
    return f"{text} {kept(point.height_m / plan.crs.unit_m, 'coordinate')}"


def _words(point: Stake | ControlPoint, text: str, plan: Plan) -> dict[str, str]:
    return {"name": point.point, "code": point.code, "desc": f"{point.id}: {text}", "oID": point.id}
