"""Writes what the crew and the locate service get, all of it or nothing: dig sheet, notice's area, material list."""

from __future__ import annotations

from pathlib import Path

from siting.records.dig import DigPlan
from siting.records.holding import HoldingPlan
from siting.records.plan import Plan
from siting.writers.dig.locate_geojson import locate_geojson
from siting.writers.dig.locate_kml import locate_kml
from siting.writers.dig.materials_csv import materials_csv
from siting.writers.dig.pdf import dig_pdf
from siting.writers.folder import put_in_place, unwritable


def write_dig(plan: Plan, holding: HoldingPlan, dig: DigPlan, out: Path, shown: str) -> tuple[str, ...]:
    """Writes the set into the folder and returns its files' names, in order; no unit.

    An earlier set there is replaced as a whole; files of anyone else in the folder are kept.

    Raises:
        WriteError: the folder cannot be written; nothing there has changed.
    """
    contents = {
        "dig.pdf": dig_pdf(plan, holding, dig),
        "locate.geojson": locate_geojson(plan, dig),
        "locate.kml": locate_kml(plan, dig),
        "materials.csv": materials_csv(dig),
    }
    try:
        put_in_place(contents, out, set())
    except OSError as fault:
        raise unwritable(shown, fault) from None
    return tuple(contents)
