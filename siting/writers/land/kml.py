"""land.kml: zones, nearest points of rules and overhead lines, the move, OGC KML 2.2, a folder for each."""

from __future__ import annotations

from siting.figures import kept
from siting.records.dig import Ring
from siting.records.plan import Plan
from siting.writers.land.features import KINDS, LINE_TIE, MOVE, RULE_TIE, ZONE, LandFeature, land_features
from siting.writers.land.words import DEFER_LAND, land_headline
from siting.writers.points.kml import NAMESPACE
from siting.writers.xml_text import printable

# Line and fill colour (alpha, blue, green, red) and line width in pixels.
STYLES = {
    "fall_circle": ("ff2b4ac8", "202b4ac8", "3.0"),
    ZONE: ("ff777777", "10777777", "1.5"),
    RULE_TIE: ("ff101010", "00ffffff", "2.0"),
    LINE_TIE: ("ff00a5d0", "00ffffff", "2.5"),
    MOVE: ("ff3c14dc", "00ffffff", "5.0"),
}


def land_kml(plan: Plan) -> bytes:
    """land.kml as UTF-8 XML; coordinates are longitude, latitude in degrees, laid on the ground; lengths in metres.

    Source: OGC 07-147r2, KML 2.2.
    """
    from lxml import etree

    def add(parent, tag: str, text: str | None = None, **attributes: str):
        element = etree.SubElement(parent, f"{{{NAMESPACE}}}{tag}", **attributes)
        element.text = None if text is None else printable(text)
        return element

    root = etree.Element(f"{{{NAMESPACE}}}kml", nsmap={None: NAMESPACE})
    document = add(root, "Document")
    add(document, "name", f"{plan.name}, land")
    add(document, "description", f"{land_headline(plan)} {DEFER_LAND} Run {plan.provenance.run_id}.")
    for name, (line, fill, width) in STYLES.items():
        style = add(document, "Style", id=name)
        stroke = add(style, "LineStyle")
        add(stroke, "color", line)
        add(stroke, "width", width)
        add(add(style, "PolyStyle"), "color", fill)
    found = land_features(plan)
    for kind, title in KINDS.items():
        some = [f for f in found if f.kind == kind]
        if some:
            folder = add(document, "Folder")
            add(folder, "name", title)
            for feature in some:
                _placemark(add, folder, plan, feature)
    return etree.tostring(root, xml_declaration=True, encoding="UTF-8", pretty_print=True)


def _placemark(add, folder, plan: Plan, found: LandFeature) -> None:
    placemark = add(folder, "Placemark")
    add(placemark, "name", found.name)
    add(placemark, "description", str(found.properties.get("what") or found.properties.get("text") or found.properties.get("source", "")))
    add(placemark, "styleUrl", "#fall_circle" if found.id == "zone:fall_circle" else f"#{found.kind}")
    extended = add(placemark, "ExtendedData")
    for name, value in {**found.properties, "run_id": plan.provenance.run_id}.items():
        add(add(extended, "Data", name=name), "value", "" if value is None else str(value))
    if found.line:
        line = add(placemark, "LineString")
        add(line, "tessellate", "1")
        add(line, "altitudeMode", "clampToGround")
        add(line, "coordinates", _corners(found.line))
        return
    parent = add(placemark, "MultiGeometry") if len(found.polygons) > 1 else placemark
    for rings in found.polygons:
        polygon = add(parent, "Polygon")
        add(polygon, "tessellate", "1")
        add(polygon, "altitudeMode", "clampToGround")
        for number, ring in enumerate(rings):
            side = add(polygon, "innerBoundaryIs" if number else "outerBoundaryIs")
            add(add(side, "LinearRing"), "coordinates", _corners(ring))


def _corners(ring: Ring) -> str:
    return " ".join(f"{kept(lon, 'latlon')},{kept(lat, 'latlon')}" for lon, lat in ring)
