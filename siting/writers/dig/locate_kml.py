"""locate.kml: the area of the locate notice and every place where the ground is opened, OGC KML 2.2."""

from __future__ import annotations

from siting.figures import kept, shown
from siting.records.dig import DigPlan, Hole
from siting.records.plan import Plan
from siting.writers.dig.words import NO_CLEARANCE, hole_ref
from siting.writers.points.kml import NAMESPACE
from siting.writers.xml_text import printable

# Line and fill colour (alpha, blue, green, red) and line width in pixels of the areas.
AREA_STYLE = ("ff101010", "400050ff", "2.5")


def locate_kml(plan: Plan, dig: DigPlan) -> bytes:
    """locate.kml as UTF-8 XML; coordinates are longitude, latitude in degrees, laid on the ground; depths in metres.

    Source: OGC 07-147r2, KML 2.2.
    """
    from lxml import etree

    def add(parent, tag: str, text: str | None = None, **attributes: str):
        element = etree.SubElement(parent, f"{{{NAMESPACE}}}{tag}", **attributes)
        element.text = None if text is None else printable(text)
        return element

    root = etree.Element(f"{{{NAMESPACE}}}kml", nsmap={None: NAMESPACE})
    document = add(root, "Document")
    add(document, "name", f"{plan.name}, locate notice")
    add(document, "description", f"{NO_CLEARANCE} {' '.join(dig.locate.words_on_it)} Run {plan.provenance.run_id}.")
    style = add(document, "Style", id="locate_area")
    line = add(style, "LineStyle")
    add(line, "color", AREA_STYLE[0])
    add(line, "width", AREA_STYLE[2])
    add(add(style, "PolyStyle"), "color", AREA_STYLE[1])
    folder = add(document, "Folder")
    add(folder, "name", "Areas")
    for number, ring in enumerate(dig.locate.rings, 1):
        placemark = add(folder, "Placemark")
        add(placemark, "name", f"Area {number} of {len(dig.locate.rings)}")
        add(placemark, "description", f"{NO_CLEARANCE} Run {plan.provenance.run_id}.")
        add(placemark, "styleUrl", "#locate_area")
        _data(add, placemark, {"buffer_m": kept(dig.locate.buffer_m, "length"), "deepest_m": kept(dig.locate.deepest_m, "length"),
                               "run_id": plan.provenance.run_id})  # fmt: skip
        polygon = add(placemark, "Polygon")
        add(polygon, "tessellate", "1")
        add(polygon, "altitudeMode", "clampToGround")
        corners = " ".join(f"{kept(lon, 'latlon')},{kept(lat, 'latlon')}" for lon, lat in ring)
        add(add(add(polygon, "outerBoundaryIs"), "LinearRing"), "coordinates", corners)
    folder = add(document, "Folder")
    add(folder, "name", "Holes")
    for hole in dig.holes:
        placemark = add(folder, "Placemark")
        add(placemark, "name", hole_ref(plan, hole))
        add(placemark, "description", f"{hole.work}, {shown(hole.depth_m, 'length')} deep. {NO_CLEARANCE}")
        _data(add, placemark, _hole_data(plan, hole))
        point = add(placemark, "Point")
        add(point, "altitudeMode", "clampToGround")
        add(point, "coordinates", f"{kept(hole.lon, 'latlon')},{kept(hole.lat, 'latlon')}")
    return etree.tostring(root, xml_declaration=True, encoding="UTF-8", pretty_print=True)


def _data(add, placemark, values: dict[str, str]) -> None:
    extended = add(placemark, "ExtendedData")
    for name, value in values.items():
        add(add(extended, "Data", name=name), "value", value)


def _hole_data(plan: Plan, hole: Hole) -> dict[str, str]:
    return {
        "kind": hole.work,
        "anchor": hole.anchor,
        "depth_m": kept(hole.depth_m, "length"),
        "easting": kept(hole.easting, "coordinate"),
        "northing": kept(hole.northing, "coordinate"),
        "crs": plan.crs.name,
        "run_id": plan.provenance.run_id,
    }
