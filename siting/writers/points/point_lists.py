"""points_NAME.csv or .txt: the point lists in the user's own layouts, each with a side-car that says how to read it."""

from __future__ import annotations

from siting.errors import WriteError
from siting.figures import kept
from siting.records.plan import Plan
from siting.records.survey import PointList
from siting.writers.frame_words import frame_rows, unit_words

SEPARATORS = {"comma": ",", "tab": "\t", "semicolon": ";", "space": " "}
COMMA_LIKE = ("comma", "semicolon")
COLUMN_WORDS = {
    "point": "name or number of the point",
    "northing": "northing",
    "easting": "easting",
    "elevation": "height",
    "code": "feature code",
    "description": "plain words",
    "lat": "WGS 84 latitude, degrees",
    "lon": "WGS 84 longitude, degrees",
    "none": "left empty",
}
LENGTHS = ("northing", "easting", "elevation")


def point_lists(plan: Plan) -> dict[str, bytes]:
    """File name to bytes: for each point list the list itself (ASCII, CRLF) and its side-car (UTF-8 text).

    Raises:
        WriteError: an empty field in a list that is parted by blanks would move every later column.
    """
    files: dict[str, bytes] = {}
    for points in plan.point_lists:
        name = f"points_{points.name}.{'csv' if points.separator in COMMA_LIKE else 'txt'}"
        files[name] = _list(points, name)
        files[f"points_{points.name}_readme.txt"] = _side_car(points, name, plan)
    return files


def _list(points: PointList, name: str) -> bytes:
    mark = SEPARATORS[points.separator]
    if points.separator == "space" and any("" in row for row in points.rows):
        raise WriteError.of(
            "point_list_blank",
            name,
            "a field is empty, and between blanks an empty field moves every later column",
            "choose another separator for this list, or leave the column out",
        )
    rows = [points.columns, *points.rows] if points.has_header else points.rows
    return "".join(mark.join(_bare(cell, mark) for cell in row) + "\r\n" for row in rows).encode("ascii")


def _bare(cell: str, mark: str) -> str:
    """A field that the plainest reader takes whole: ASCII, without the separator, a quote or a line end."""
    plain = cell.encode("ascii", "ignore").decode()
    return "".join(("_" if mark == " " else " ") if c == mark or c in "\"'\r\n\t" else c for c in plain)


def _side_car(points: PointList, name: str, plan: Plan) -> bytes:
    """How to read the list, in plain text."""
    own = unit_words(plan.crs.unit_m, plan.crs.unit)
    lengths = f"{points.unit}; 1 of them = {kept(points.unit_m, 'unit_factor')} m"
    if points.unit != own:
        lengths += f". NOTE: the coordinate system itself counts in {own}; set the unit of this file in the rover"
    lines = [f"How to read {name}", "", "Columns, in order:"]
    for number, column in enumerate(points.columns, 1):
        text = COLUMN_WORDS.get(column, column)
        lines.append(f"  {number}. {column}: {f'{text}, {points.unit}' if column in LENGTHS else text}")
    lines += [
        "",
        f"Separator: {points.separator}",
        f"First row: {'names of the columns' if points.has_header else 'the first point; there is no header'}",
        f"Decimals of coordinates and heights: {points.decimals}, with a point",
        f"Points: {len(points.rows)}",
        f"Unit of this file: {lengths}",
        "",
    ]
    lines += [f"{title}: {text}" for title, text in frame_rows(plan, points.unit)]
    return ("\r\n".join(" ".join(line.split()) if line[:1] != " " else line for line in lines) + "\r\n").encode()
