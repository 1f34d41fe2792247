"""Tells programs where the map lies on earth: the geospatial viewport of ISO 32000-2, 12.10."""

from __future__ import annotations

from typing import Any

from siting.records.plan import Plan
from siting.writers.paper.canvas import POINTS_PER_MM
from siting.writers.sitemap.grid_frame import GridFrame, Point
from siting.writers.sitemap.map_sheet import Box

WGS_84 = 4326


def viewport(plan: Plan, frame: GridFrame, box: Box, corners_m: tuple[Point, Point, Point, Point], page_height_mm: float) -> Any:
    """The page's entry /VP. Corners: lower left, upper left, upper right, lower right of the box, in ground metres.

    The coordinate system is the plan's; the corners' latitudes and longitudes are on that system's own datum, as the standard
    asks. A system without an EPSG code is given as WGS 84 degrees.
    """
    from reportlab.pdfbase.pdfdoc import PDFArray, PDFDictionary, PDFName, PDFString

    kind, code, wkt = _system(plan)
    points = [v for corner in corners_m for v in _latlon(plan, frame, corner)]
    left, top, right, bottom = box
    bounds = [left, page_height_mm - bottom, right, page_height_mm - top]
    square = [0, 0, 0, 1, 1, 1, 1, 0]
    measure = PDFDictionary(
        {
            "Type": PDFName("Measure"),
            "Subtype": PDFName("GEO"),
            "Bounds": PDFArray(square),
            "GPTS": PDFArray([_number(v, 11) for v in points]),
            "LPTS": PDFArray(square),
            "GCS": PDFDictionary({"Type": PDFName(kind), "EPSG": code, "WKT": PDFString(wkt)}),
        }
    )
    view = {"Type": PDFName("Viewport"), "Name": PDFString("Site map"), "Measure": measure}
    view["BBox"] = PDFArray([_number(v * POINTS_PER_MM, 6) for v in bounds])
    return PDFArray([PDFDictionary(view)])


def _number(value: float, digits: int) -> Any:
    """A number with all these decimals: reportlab's own way keeps six."""
    from reportlab.pdfbase.pdfdoc import PDFObject

    class Number(PDFObject):
        def format(self, document: Any) -> bytes:
            return f"{value:.{digits}f}".encode("ascii")

    return Number()


def _system(plan: Plan) -> tuple[str, int, str]:
    """Kind, EPSG code and WKT of the viewport's coordinate system."""
    from pyproj import CRS

    code = plan.crs.epsg or WGS_84
    return "PROJCS" if plan.crs.epsg else "GEOGCS", code, CRS.from_epsg(code).to_wkt("WKT1_GDAL")


def _latlon(plan: Plan, frame: GridFrame, corner_m: Point) -> Point:
    """Latitude and longitude of a corner on the system's own datum, degrees."""
    if plan.crs.epsg is None:
        lon, lat = frame.lonlat(corner_m)
        return lat, lon
    from pyproj import CRS, Proj

    lon, lat = Proj(CRS.from_epsg(plan.crs.epsg))(*frame.grid(corner_m), inverse=True)
    return lat, lon
