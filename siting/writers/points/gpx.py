"""stakes.gpx: GPX 1.1, the stakes as waypoints, lines and zones as tracks, for a hand-held or a phone."""

from __future__ import annotations

from siting.figures import kept
from siting.records.plan import Plan, Shape, Stake
from siting.records.survey import ControlPoint
from siting.writers.frame_words import crs_words, frame_text, unit_words
from siting.writers.points.geojson import SHAPE_KINDS
from siting.writers.xml_text import printable

NAMESPACE = "http://www.topografix.com/GPX/1/1"
SCHEMA = f"{NAMESPACE} http://www.topografix.com/GPX/1/1/gpx.xsd"
SCHEMA_INSTANCE = "http://www.w3.org/2001/XMLSchema-instance"


def gpx(plan: Plan) -> bytes:
    """stakes.gpx as UTF-8 XML; latitude and longitude in WGS 84 degrees, `ele` the DEM's height in metres.

    Source: GPX 1.1 schema, topografix.com/GPX/1/1 (order of elements).
    """
    from lxml import etree

    def add(parent, tag: str, text: str | None = None, **attributes: str):
        element = etree.SubElement(parent, f"{{{NAMESPACE}}}{tag}", **attributes)
        element.text = None if text is None else printable(text)
        return element

    names = {None: NAMESPACE, "xsi": SCHEMA_INSTANCE}
    root = etree.Element(f"{{{NAMESPACE}}}gpx", nsmap=names, version="1.1", creator=f"siting {plan.provenance.version}")
    root.set(f"{{{SCHEMA_INSTANCE}}}schemaLocation", SCHEMA)
    metadata = add(root, "metadata")
    add(metadata, "name", plan.name)
    add(metadata, "desc", f"Latitude and longitude: WGS 84. {frame_text(plan)}")
    add(metadata, "time", f"{plan.provenance.plan_date}T00:00:00Z")
    add(metadata, "keywords", f"run {plan.provenance.run_id}")
    for point in (*plan.stakes, *plan.control):
        waypoint = add(root, "wpt", **_place(point.lat, point.lon))
        if point.height_m is not None and not plan.terrain.blank_elevation:
            add(waypoint, "ele", kept(point.height_m, "coordinate"))
        add(waypoint, "name", point.point)
        add(waypoint, "cmt", _comment(point))
        add(waypoint, "desc", _description(point, plan))
        add(waypoint, "type", point.role)
    for shape in plan.shapes:
        if shape.kind in SHAPE_KINDS:
            _add_track(add, root, shape, plan)
    return etree.tostring(root, xml_declaration=True, encoding="UTF-8", pretty_print=True)


def _comment(point: Stake | ControlPoint) -> str:
    if isinstance(point, Stake):
        return f"{point.id}: {point.description}"
    return f"{point.id}: {point.role} point given by the user"


def _description(point: Stake | ControlPoint, plan: Plan) -> str:
    """Everything that a waypoint has no element for."""
    heights = "the DEM's height" if isinstance(point, Stake) else "height as the user gives it"
    unit = unit_words(plan.crs.unit_m, plan.crs.unit)
    return (
        f"{_comment(point)}. Code {point.code}. E {kept(point.easting, 'coordinate')} N {kept(point.northing, 'coordinate')} "
        f"{unit}, {crs_words(plan)}. ele is {heights}, not above the ellipsoid, not for grade; "
        f"vertical datum: {plan.terrain.vertical_datum}. Run {plan.provenance.run_id}."
    )


def _add_track(add, root, shape: Shape, plan: Plan) -> None:
    """A line, or each ring of an area, as a track without heights."""
    track = add(root, "trk")
    add(track, "name", shape.label)
    add(track, "desc", f"{shape.label}. Run {plan.provenance.run_id}.")
    add(track, "type", shape.kind)
    for ring in shape.rings:
        segment = add(track, "trkseg")
        for lon, lat in ring:
            add(segment, "trkpt", **_place(lat, lon))


def _place(lat: float, lon: float) -> dict[str, str]:
    """Latitude and longitude; GPX ends at 180 degrees, where a shape across the antimeridian runs on."""
    return {"lat": kept(lat, "latlon"), "lon": kept((lon + 180.0) % 360.0 - 180.0, "latlon")}
