"""plumb.json: the mast as it was read and its correction, with the record's own keys."""

from __future__ import annotations

from siting.records.plumb_sheet import PlumbSheet
from siting.writers.record_json import record_json


def plumb_json(sheet: PlumbSheet) -> bytes:
    """plumb.json as UTF-8 text."""
    return record_json(sheet)
