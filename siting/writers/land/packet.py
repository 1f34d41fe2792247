"""Writes the land sheet and its outlines for a GIS, all of them or none."""

from __future__ import annotations

from pathlib import Path

from siting.records.plan import Plan
from siting.writers.folder import put_in_place, unwritable
from siting.writers.land.geojson import land_geojson
from siting.writers.land.kml import land_kml
from siting.writers.land.pdf import land_pdf


def write_land(plan: Plan, out: Path, shown: str) -> tuple[str, ...]:
    """Writes the set into the folder and returns its files' names, in order; no unit.

    An earlier set there is replaced as a whole; files of anyone else in the folder are kept.

    Raises:
        WriteError: the folder cannot be written; nothing there has changed.
    """
    contents = {"land.pdf": land_pdf(plan), "land.geojson": land_geojson(plan), "land.kml": land_kml(plan)}
    try:
        put_in_place(contents, out, set())
    except OSError as fault:
        raise unwritable(shown, fault) from None
    return tuple(contents)
