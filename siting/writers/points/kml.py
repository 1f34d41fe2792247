"""stakes.kml: OGC KML 2.2, one folder for the stakes, one for the lines, one for the zones."""

from __future__ import annotations

from siting.figures import kept, shown
from siting.records.plan import Plan, Shape, Stake
from siting.writers.xml_text import printable

NAMESPACE = "http://www.opengis.net/kml/2.2"
# Line and fill colours as KML writes them (alpha, blue, green, red) and line widths in pixels.
STYLES = {
    "fall_zone": ("ff2b4ac8", "202b4ac8", 2.5),
    "setback": ("ff8a5a00", None, 2.0),
    "anchor_circle": ("ff777777", None, 1.0),
    "laydown": ("ff101010", None, 4.0),
    "guy": ("ffa06000", None, 2.0),
    "side_guy": ("ff5f8fd0", None, 1.5),
    "winch_line": ("ff00a5d0", None, 2.0),
}
ZONES = ("fall_zone", "setback", "anchor_circle")


def kml(plan: Plan) -> bytes:
    """stakes.kml as UTF-8 XML; coordinates are longitude, latitude in degrees, laid on the ground.

    Source: OGC 07-147r2, KML 2.2.
    """
    from lxml import etree

    def add(parent, tag: str, text: str | None = None, **attributes: str):
        element = etree.SubElement(parent, f"{{{NAMESPACE}}}{tag}", **attributes)
        element.text = None if text is None else printable(text)
        return element

    def data(placemark, values: dict[str, str]) -> None:
        extended = add(placemark, "ExtendedData")
        for name, value in values.items():
            add(add(extended, "Data", name=name), "value", value)

    root = etree.Element(f"{{{NAMESPACE}}}kml", nsmap={None: NAMESPACE})
    document = add(root, "Document")
    add(document, "name", plan.name)
    add(
        document, "description", f"{plan.headline} {plan.laydown.summary} "
        f"Projected coordinates: {plan.crs.name}, datum {plan.crs.datum}, epoch {plan.crs.epoch}; heights: the DEM's, vertical "
        f"datum {plan.terrain.vertical_datum}. Run {plan.provenance.run_id}. {' '.join((*plan.warnings, plan.cautions[0]))}",
    )
    for kind, (line, fill, width) in STYLES.items():
        style = add(document, "Style", id=kind)
        stroke = add(style, "LineStyle")
        add(stroke, "color", line)
        add(stroke, "width", str(width))
        area = add(style, "PolyStyle")
        add(area, "color", fill or "00ffffff")
        add(area, "fill", "1" if fill else "0")
    folder = add(document, "Folder")
    add(folder, "name", "Stakes")
    for stake in plan.stakes:
        placemark = add(folder, "Placemark")
        add(placemark, "name", stake.id)
        add(placemark, "description", stake.description)
        data(placemark, _stake_data(stake, plan))
        point = add(placemark, "Point")
        add(point, "altitudeMode", "clampToGround")
        add(point, "coordinates", f"{kept(stake.lon, 'latlon')},{kept(stake.lat, 'latlon')}")
    for point in plan.control:
        placemark = add(folder, "Placemark")
        add(placemark, "name", point.id)
        add(placemark, "description", f"{point.role} point as given by the user")
        data(placemark, {"role": point.role, "point": point.point, "code": point.code, "run_id": plan.provenance.run_id})
        add(add(placemark, "Point"), "coordinates", f"{kept(point.lon, 'latlon')},{kept(point.lat, 'latlon')}")
    for title, wanted in (("Lines", tuple(k for k in STYLES if k not in ZONES)), ("Zones", ZONES)):
        folder = add(document, "Folder")
        add(folder, "name", title)
        for shape in plan.shapes:
            if shape.kind in wanted:
                _add_shape(add, folder, shape)
    return etree.tostring(root, xml_declaration=True, encoding="UTF-8", pretty_print=True)


def _add_shape(add, folder, shape: Shape) -> None:
    placemark = add(folder, "Placemark")
    add(placemark, "name", shape.label)
    add(placemark, "styleUrl", f"#{shape.kind}")
    texts = [" ".join(f"{kept(lon, 'latlon')},{kept(lat, 'latlon')}" for lon, lat in ring) for ring in shape.rings]
    if shape.geometry == "Polygon":
        polygon = add(placemark, "Polygon")
        add(polygon, "tessellate", "1")
        add(polygon, "altitudeMode", "clampToGround")
        for number, text in enumerate(texts):
            side = add(polygon, "innerBoundaryIs" if number else "outerBoundaryIs")
            add(add(side, "LinearRing"), "coordinates", text)
    else:
        line = add(placemark, "LineString")
        add(line, "tessellate", "1")
        add(line, "altitudeMode", "clampToGround")
        add(line, "coordinates", texts[0])


def _stake_data(stake: Stake, plan: Plan) -> dict[str, str]:
    return {
        "role": stake.role,
        "point": stake.point,
        "code": stake.code,
        "easting": kept(stake.easting, "coordinate"),
        "northing": kept(stake.northing, "coordinate"),
        "crs": plan.crs.name,
        "height_m": kept(stake.height_m, "coordinate"),
        "azimuth_true": shown(stake.azimuth_deg, "bearing"),
        "azimuth_grid": shown(stake.azimuth_grid_deg, "bearing"),
        "azimuth_magnetic": shown(stake.azimuth_magnetic_deg, "bearing"),
        "ground_distance_m": kept(stake.radius_m, "coordinate"),
        "slope": shown(stake.slope_percent, "percent"),
        "verdict": stake.verdict,
        "run_id": plan.provenance.run_id,
    }

