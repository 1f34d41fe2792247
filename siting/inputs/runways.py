"""Reads runways and heliports near the site: the user's table or map layer, or the table of an installed package."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from siting.errors import Fault, InputError
from siting.inputs.csv_table import SEPARATORS, csv_heading, csv_lines, csv_number, csv_text, shortened
from siting.inputs.open_runways import read_open
from siting.inputs.runway_layers import layer_strips
from siting.inputs.strips import REACH_M, Window, runway_strip
from siting.records.airfields import HELIPORT, RUNWAY, Airfields, AirSource, Strip
from siting.units import METRES_PER_FOOT

TABLES = (".csv", ".txt", ".tsv")
# The layout of the open runway tables, with their own headings and shorter ones.
COLUMNS = {
    "lelat": "le_lat", "lelatitudedeg": "le_lat", "lelon": "le_lon", "lelongitudedeg": "le_lon", "helat": "he_lat",
    "helatitudedeg": "he_lat", "helon": "he_lon", "helongitudedeg": "he_lon", "leelevationft": "le_elevation_ft",
    "heelevationft": "he_elevation_ft", "lengthft": "length_ft", "airport": "airport", "airportident": "airport",
    "leident": "le_ident", "heident": "he_ident", "closed": "closed", "publicuse": "public_use", "lat": "lat", "latitudedeg": "lat",
    "lon": "lon", "longitudedeg": "lon", "elevationft": "elevation_ft", "ident": "ident", "name": "name",
}  # fmt: skip
RUNWAY_NEEDS = ("le_lat", "le_lon", "he_lat", "he_lon")
HELIPORT_NEEDS = ("lat", "lon")
RUNWAY_HOW = "columns: airport, le_ident, he_ident, le_lat, le_lon, he_lat, he_lon, le_elevation_ft, he_elevation_ft, length_ft"
HELIPORT_HOW = "columns: ident, name, lat, lon, elevation_ft"
LARGEST = {"lat": 90.0, "le_lat": 90.0, "he_lat": 90.0, "lon": 180.0, "le_lon": 180.0, "he_lon": 180.0}
ELEVATION_FT = (-2000.0, 30_000.0)
LENGTH_FT = 30_000.0
TRUE, FALSE = ("1", "true", "yes", "y"), ("0", "false", "no", "n")


@dataclass(frozen=True, slots=True)
class _Row:
    """One row: its place in the file, its fields by column, its separator."""

    where: str
    text: dict[str, str]
    separator: str


def read_airfields(source: AirSource, lat: float, lon: float) -> Airfields | None:
    """Runways and heliports around the site; None where the user names no source. Heights in metres.

    Raises:
        InputError: a file is missing, cannot be read, lacks a column, or a row near the site cannot be read.
    """
    window = Window(lat, lon)
    parts = []
    if source.is_open:
        parts.append(read_open(window))
    if source.runways is not None:
        parts.append(_read(source.runways, source.runways_shown, window, RUNWAY))
    if source.heliports is not None:
        parts.append(_read(source.heliports, source.heliports_shown, window, HELIPORT))
    if not parts:
        return None
    return Airfields(
        shown=" and ".join(dict.fromkeys(part.shown for part in parts)),
        strips=tuple(strip for part in parts for strip in part.strips),
        reach_m=REACH_M,
        has_runways=any(part.has_runways for part in parts),
        has_heliports=any(part.has_heliports for part in parts),
        unplaced=sum(part.unplaced for part in parts),
        notes=tuple(note for part in parts for note in part.notes),
        files=tuple(file for part in parts for file in part.files),
    )


def _read(path: Path, shown: str, window: Window, kind: str) -> Airfields:
    """One file of runways or of heliports."""
    if path.suffix.lower() in TABLES:
        strips, unplaced = _read_table(path, shown, window, kind)
    else:
        strips, unplaced = layer_strips(path, shown, window, kind), 0
    strips = [runway_strip(strip) for strip in strips]
    notes = []
    if unplaced:
        notes.append(f"{shown}: {unplaced} rows have no coordinates and are not placed; they may lie near the site")
    odd = sum(1 for strip in strips if strip.within_m)
    if odd:
        notes.append(f"{shown}: {odd} of {len(strips)} near the site disagree with their own listed length")
    return Airfields(
        shown, tuple(strips), REACH_M, kind == RUNWAY, kind == HELIPORT, unplaced, tuple(notes), ((shown, path),)
    )


def _read_table(path: Path, shown: str, window: Window, kind: str) -> tuple[list[Strip], int]:
    """(strips near the site, rows without coordinates). Every fault of the file is said at once."""
    faults: list[Fault] = []
    strips: list[Strip] = []
    unplaced = 0
    needs = RUNWAY_NEEDS if kind == RUNWAY else HELIPORT_NEEDS
    for row in _rows(path, shown, needs, RUNWAY_HOW if kind == RUNWAY else HELIPORT_HOW):
        if row.text.get("closed", "").casefold() in TRUE:
            continue
        blank = [name for name in needs if not row.text.get(name)]
        if len(blank) == len(needs):
            unplaced += 1
            continue
        known = len(faults)
        numbers = {name: _number(row, name, faults) for name in needs}
        if blank:
            faults.append(Fault("runway_blank", f"{row.where}, {blank[0]}", "is blank", f"fill it in, or leave all of {', '.join(needs)} blank"))
        if len(faults) > known:
            continue
        points = list(zip([numbers[n] for n in needs if "lon" in n], [numbers[n] for n in needs if "lat" in n], strict=True))
        if not any(window.holds(point[1], point[0]) for point in points):
            continue
        strip = (_runway if kind == RUNWAY else _heliport)(row, points, faults)
        if len(faults) == known:
            strips.append(strip)
    if faults:
        raise InputError(tuple(faults))
    return strips, unplaced


def _rows(path: Path, shown: str, needs: tuple[str, ...], how: str) -> Iterator[_Row]:
    """The rows below the header, blank ones passed over.

    Raises:
        InputError: the file is empty, lacks a column or has one twice.
    """
    lines = csv_lines(csv_text(path, shown, "[air]: the name of the file", "export it as CSV"))
    if not lines:
        raise InputError.of("runway_columns", shown, "holds nothing", f"give a header row; {how}")
    head = lines[0][1]
    separator = max(SEPARATORS, key=head.count)
    names = [COLUMNS.get(csv_heading(field), "") for field in next(csv.reader([head], delimiter=separator))]
    lacking = [name for name in needs if name not in names]
    if lacking:
        where = f"{shown}, line {lines[0][0]}"
        raise InputError.of("runway_columns", where, f"has no column {', '.join(lacking)} (it reads '{shortened(head)}')", how)
    twice = sorted({name for name in names if name and names.count(name) > 1})
    if twice:
        raise InputError.of("runway_columns", f"{shown}, line {lines[0][0]}", f"has the column {twice[0]} twice", "leave one of them")
    reader = csv.reader(io.StringIO("\n".join(line for _, line in lines[1:])), delimiter=separator)
    for (number, _), fields in zip(lines[1:], reader, strict=False):
        text = {name: field.strip(" \t\u00a0") for name, field in zip(names, fields, strict=False) if name}
        yield _Row(f"{shown}, line {number}", text, separator)


def _number(row: _Row, name: str, faults: list[Fault]) -> float | None:
    """The number of a column, None where it is blank or wrong; what is wrong goes into `faults`."""
    text = row.text.get(name, "")
    if not text:
        return None
    value = csv_number(text, row.separator)
    where = f"{row.where}, {name}"
    if value is None:
        faults.append(Fault("runway_number", where, f"'{shortened(text)}' is not a number", "write it like 46.5123, or leave it blank"))
        return None
    low, high = (-LARGEST[name], LARGEST[name]) if name in LARGEST else ELEVATION_FT if "elevation" in name else (0.0, LENGTH_FT)
    if not low <= value <= high:
        do = "give latitude and longitude in degrees" if name in LARGEST else "give it in feet"
        faults.append(Fault("runway_number", where, f"{text} lies outside {low:g} to {high:g}", do))
        return None
    return value


def _metres(row: _Row, name: str, faults: list[Fault]) -> float | None:
    feet = _number(row, name, faults)
    return None if feet is None else feet * METRES_PER_FOOT


def _runway(row: _Row, points: list[tuple[float, float]], faults: list[Fault]) -> Strip:
    """A runway of a row; one whose first end is named H1, H2 … is a helipad."""
    first, last = row.text.get("le_ident", ""), row.text.get("he_ident", "")
    airport = row.text.get("airport") or row.where
    length_m = _metres(row, "length_ft", faults) or None
    elevations = (_metres(row, "le_elevation_ft", faults), _metres(row, "he_elevation_ft", faults))
    runway = "/".join(part for part in (first, last) if part)
    kind = HELIPORT if is_helipad(first) else RUNWAY
    return Strip(
        airport, row.text.get("name", ""), runway, kind, tuple(points), elevations, length_m, is_public=_flag(row, faults)
    )


def _heliport(row: _Row, points: list[tuple[float, float]], faults: list[Fault]) -> Strip:
    name = row.text.get("ident") or row.text.get("airport") or row.text.get("name") or row.where
    elevation = _metres(row, "elevation_ft", faults)
    return Strip(
        name, row.text.get("name", ""), "", HELIPORT, tuple(points), (elevation,), None, airport_m=elevation, is_public=_flag(row, faults)
    )


def _flag(row: _Row, faults: list[Fault]) -> bool | None:
    """Whether it is open to the public; None where the file does not say."""
    text = row.text.get("public_use", "").casefold()
    if text and text not in TRUE + FALSE:
        faults.append(Fault("runway_number", f"{row.where}, public_use", f"is '{shortened(text)}'", "write yes, no, or leave it blank"))
    return None if text not in TRUE + FALSE else text in TRUE


def is_helipad(ident: str) -> bool:
    """True for the name of a helipad: H1, H2 …"""
    return ident[:1].upper() == "H" and (len(ident) == 1 or ident[1:].isdigit())
