"""Point lists in the column order, unit and separator that a rover wants: one description, one code path."""

from __future__ import annotations

from siting.geodesy.frames import Frame
from siting.records.plan import Stake
from siting.records.site import ListLayout
from siting.records.survey import ControlPoint, PointList
from siting.units import UNIT_NAMES, VERTICAL_UNITS_M


def point_list(
    layout: ListLayout, stakes: tuple[Stake, ...], control: tuple[ControlPoint, ...], frame: Frame, *, blank_elevation: bool
) -> PointList:
    """The list of a layout, every coordinate and height in the layout's unit."""
    unit_m = VERTICAL_UNITS_M[layout.unit]
    points = (*stakes, *control)
    rows = tuple(
        tuple(_cell(column, p, layout, frame.unit_m, unit_m, blank_elevation) for column in layout.columns) for p in points
    )
    return PointList(
        name=layout.name,
        columns=layout.columns,
        separator=layout.separator,
        has_header=layout.has_header,
        unit=UNIT_NAMES[layout.unit],
        unit_m=unit_m,
        decimals=layout.decimals,
        rows=rows,
    )


def _cell(
    column: str, point: Stake | ControlPoint, layout: ListLayout, crs_unit_m: float, unit_m: float, blank_elevation: bool
) -> str:
    """One column of one point, as text that no separator can break."""
    if column in ("easting", "northing"):
        # Rounded to the millimetre first, as every file prints it, then converted.
        return f"{round(getattr(point, column), 3) * crs_unit_m / unit_m:.{layout.decimals}f}"
    if column == "elevation":
        if blank_elevation or point.height_m is None:
            return ""
        return f"{round(point.height_m, 3) / unit_m:.{layout.decimals}f}"
    if column in ("lat", "lon"):
        return f"{getattr(point, column):.9f}"
    if column == "none":
        return ""
    text = getattr(point, column, None) or f"{point.role} point {point.id}"
    plain = str(text).encode("ascii", "ignore").decode()
    return "".join("_" if c == " " and layout.separator == "space" else " " if c in ",;\t\r\n\"'" else c for c in plain)
