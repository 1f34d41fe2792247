"""Reads the points that a surveyor measured: a table as in stakes.csv, however a rover or an office writes it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from siting.errors import Fault, InputError
from siting.inputs.csv_table import SEPARATORS, csv_fields, csv_heading, csv_lines, csv_number, csv_text, shortened
from siting.records.as_staked import MeasuredPoint, MeasuredPoints

ORDER = ("point", "northing", "easting", "elevation", "code", "lat", "lon", "description")
NEEDED = ("point", "northing", "easting")
# Other headings for the same columns. Not x and y: some offices count x northward, others eastward.
ALSO = {
    "name": "point", "id": "point", "number": "point", "pointid": "point", "pointname": "point", "pt": "point", "north": "northing", "n": "northing", "east": "easting",
    "e": "easting", "elev": "elevation", "height": "elevation", "z": "elevation", "h": "elevation", "latitude": "lat",
    "longitude": "lon", "desc": "description",
}  # fmt: skip
HOW = "columns: point, northing, easting, elevation, code, lat, lon, description; point, northing and easting are needed"
POINT_MAX = 10_000
# Wide enough for the Dead Sea and for Everest in feet: what lies outside is another column.
ELEVATION_LEAST, ELEVATION_MOST = -2000.0, 30_000.0


@dataclass(frozen=True, slots=True)
class _Table:
    """The rows of a file: (line number, fields), and which column holds what."""

    separator: str
    has_header: bool
    columns: tuple[str, ...]
    rows: list[tuple[int, list[str]]]


def read_staked(path: Path, shown: str) -> MeasuredPoints:
    """The measured points in file order; coordinates in the file's own unit, elevations as they stand.

    The order of the columns is the header's, without one that of stakes.csv. Comma, semicolon or tab; a decimal
    comma where the separator is no comma. Lines that are blank or begin with # are passed over.

    Raises:
        InputError: the file is missing, no text, holds no points, or a line cannot be read; one fault for each,
            in file order.
    """
    lines = csv_lines(csv_text(path, shown, "the as-staked file's name", "export the points as CSV"))
    if not lines:
        raise InputError.of("staked_empty", shown, "holds no points", f"give one point a line; {HOW}")
    table = _table(lines, shown)
    if not table.rows:
        raise InputError.of("staked_empty", shown, "holds a header but no points", "give one point a line")
    if len(table.rows) > POINT_MAX:
        raise InputError.of(
            "staked_columns", shown, f"holds {len(table.rows)} points", f"give the stakes only, at most {POINT_MAX} points"
        )
    faults: list[Fault] = []
    points: list[MeasuredPoint] = []
    seen: dict[str, int] = {}
    for number, fields in table.rows:
        point = _point(number, fields, table, shown, faults)
        if point is None:
            continue
        first = seen.setdefault(point.name.casefold(), number)
        if first != number:
            faults.append(
                Fault(
                    "staked_duplicate", f"{shown}, line {number}, point", f"'{point.name}' stands on line {first} already",
                    "keep one of the two, or give the other a name of its own",
                )
            )  # fmt: skip
        points.append(point)
    if faults:
        raise InputError(tuple(faults))
    header = "columns by the header row" if table.has_header else "no header row: columns in the order of stakes.csv"
    return MeasuredPoints(shown, tuple(points), f"{SEPARATORS[table.separator]} between the columns, {header}")


def _table(lines: list[tuple[int, str]], shown: str) -> _Table:
    """Finds separator and columns by the first line.

    Raises:
        InputError: it is neither a header with the needed columns nor a point.
    """
    number, first = lines[0]
    split = {sep: csv_fields(first, sep) for sep in SEPARATORS}
    rows_with = lambda sep, rest: [(n, csv_fields(line, sep)) for n, line in rest]  # noqa: E731
    for sep, fields in split.items():
        names = [_heading(f) for f in fields]
        if set(NEEDED) <= set(names):
            double = [n for n in ORDER if names.count(n) > 1]
            if double:
                raise InputError.of(
                    "staked_columns", f"{shown}, line {number}", f"has more than one column for {double[0]}", "keep one of them"
                )
            return _Table(sep, True, tuple(names), rows_with(sep, lines[1:]))
    for sep, fields in split.items():
        if len(fields) >= 3 and all(csv_number(f, sep) is not None for f in fields[1:3]):
            return _Table(sep, False, ORDER, rows_with(sep, lines))
    sep = max(SEPARATORS, key=lambda s: len(split[s]))
    found = split[sep]
    if any(csv_number(f, sep) is not None for f in found[1:3]):  # a point, but a spoilt one: its own fault is clearer
        return _Table(sep, False, ORDER, rows_with(sep, lines))
    names = [_heading(f) for f in found]
    lacking = [n for n in NEEDED if n not in names]
    raise InputError.of(
        "staked_columns", f"{shown}, line {number}", f"has no column {' nor '.join(lacking)} (it reads '{shortened(first)}')", HOW
    )


def _heading(text: str) -> str:
    """A column's name as stakes.csv has it, as far as it is known."""
    name = csv_heading(text)
    return ALSO.get(name, name)


def _point(number: int, fields: list[str], table: _Table, shown: str, faults: list[Fault]) -> MeasuredPoint | None:
    """The point of one line, None where it cannot be read; what is wrong goes into `faults`."""
    where = f"{shown}, line {number}"
    if any(fields[len(table.columns) :]):
        more = "; a decimal comma needs a semicolon or a tab between the columns" if table.separator == "," else ""
        expected = "the header has" if table.has_header else "stakes.csv has"
        faults.append(
            Fault(
                "staked_columns", where, f"has {len(fields)} fields, {expected} {len(table.columns)} columns",
                f"separate the columns as in the first line{more}",
            )
        )  # fmt: skip
        return None
    values = dict(zip(table.columns, fields, strict=False))
    known = len(faults)
    for name in NEEDED:
        if not values.get(name):
            faults.append(Fault("staked_blank", f"{where}, {name}", "is blank", f"fill in the {name} or take the line out"))
    numbers = {}
    for name in ("northing", "easting", "elevation"):
        text = values.get(name, "")
        numbers[name] = csv_number(text, table.separator) if text else None
        if text and numbers[name] is None:
            do = "write it in full, like 5208885.700" if name != "elevation" else "write it like 1426.40, or leave it blank"
            faults.append(Fault("staked_number", f"{where}, {name}", f"'{shortened(text)}' is not a number", do))
    height = numbers["elevation"]
    if height is not None and not ELEVATION_LEAST <= height <= ELEVATION_MOST:
        do = "check the order of the columns; a decimal comma needs a semicolon or a tab between them"
        faults.append(Fault("staked_number", f"{where}, elevation", f"{values['elevation']} is no height on earth", do))
    if not table.has_header:
        faults += _misplaced(values, where, table.separator)
    if len(faults) > known:
        return None
    return MeasuredPoint(values["point"], numbers["northing"], numbers["easting"], numbers["elevation"], number)


def _misplaced(values: dict[str, str], where: str, separator: str) -> list[Fault]:
    """Without a header, a number that is no latitude or longitude shows that the columns stand in another order."""
    faults = []
    for name, largest in (("lat", 90.0), ("lon", 180.0)):
        value = csv_number(values.get(name, ""), separator)
        if value is not None and abs(value) > largest:
            faults.append(
                Fault(
                    "staked_columns", f"{where}, {name}", f"{values[name]} is no {name} in degrees",
                    "without a header row the columns must stand as in stakes.csv; add its header row",
                )
            )  # fmt: skip
            break
    return faults
