"""plumb.json: the mast as it was read and its correction, with the record's own keys."""

from __future__ import annotations

import json

from siting.records.plumb_sheet import PlumbSheet
from siting.writers.plan_json import as_plain


def plumb_json(sheet: PlumbSheet) -> bytes:
    """plumb.json as UTF-8 text."""
    return (json.dumps(as_plain(sheet), ensure_ascii=False, allow_nan=False, indent=1) + "\n").encode()
