"""as_staked.kml: the points as measured and the stakes that were not, with a line for each miss."""

from __future__ import annotations

from siting.figures import kept, shown
from siting.records.as_staked import AsStaked
from siting.verdict import PASS
from siting.writers.points.kml import NAMESPACE
from siting.writers.xml_text import printable


def as_staked_kml(report: AsStaked) -> bytes:
    """as_staked.kml as UTF-8 XML; longitude, latitude in degrees; a point whose place has no meaning is left out.

    Source: OGC 07-147r2, KML 2.2.
    """
    from lxml import etree

    def add(parent, tag: str, text: str | None = None):
        element = etree.SubElement(parent, f"{{{NAMESPACE}}}{tag}")
        element.text = None if text is None else printable(text)
        return element

    def place(parent, name: str, description: str, kind: str, *points: tuple[float, float]) -> None:
        placemark = add(parent, "Placemark")
        add(placemark, "name", name)
        add(placemark, "description", description)
        texts = (f"{kept(lon, 'latlon')},{kept(lat, 'latlon')}" for lon, lat in points)
        add(add(placemark, kind), "coordinates", " ".join(texts))

    root = etree.Element(f"{{{NAMESPACE}}}kml", nsmap={None: NAMESPACE})
    document = add(root, "Document")
    add(document, "name", f"{report.source.plan} as staked")
    add(document, "description", f"{report.verdict.upper()}. {report.headline} Run {report.source.run_id}.")
    for point in report.points:
        if point.lon is None:
            continue
        miss = f"{point.verdict}: {shown(point.miss_m, 'length')} off toward {shown(point.miss_azimuth_deg, 'bearing')} true. {point.note}"
        place(document, point.id, miss, "Point", (point.lon, point.lat))
        if point.verdict != PASS:
            line = ((point.planned_lon, point.planned_lat), (point.lon, point.lat))
            place(document, f"{point.id}, miss", miss, "LineString", *line)
    for gap in report.missing:
        place(document, gap.id, "not measured; shown where it was planned", "Point", (gap.lon, gap.lat))
    return etree.tostring(root, xml_declaration=True, encoding="UTF-8", pretty_print=True)
