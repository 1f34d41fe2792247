"""The empty readings.csv: a row for each level's lean and each guy's tension, to fill in where the mast stands."""

from __future__ import annotations

import csv
import io
import re
import unicodedata

from siting.records.plumb import PlumbForm
from siting.records.readings_form import COLUMNS, GUY, LEAN, PLAN_RUN


def readings_form(form: PlumbForm, run_id: str) -> bytes:
    """readings.csv as ASCII, commas, CRLF: levels from the top down, their guys, what else to write down, the plan's run."""
    stands = {f"{d.name.lower()}_stands_deg": f"{d.stand_deg:g}" for d in form.directions}
    rows = [{"reading": LEAN, "level_m": _height(level.attach_m), **stands} for level in form.levels]
    rows += [
        {"reading": GUY, "level_m": _height(level.attach_m), "anchor": guy.anchor} for level in form.levels for guy in level.guys
    ]
    rows += [{"reading": _ascii(blank)} for blank in form.blanks]
    rows.append({"reading": PLAN_RUN, "note": run_id})
    out = io.StringIO()
    writer = csv.DictWriter(out, COLUMNS, restval="", lineterminator="\r\n")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue().encode("ascii")


def _height(attach_m: float) -> str:
    """A height as the form has it, no more decimals than it needs."""
    return f"{attach_m:.3f}".rstrip("0").rstrip(".")


def _ascii(blank: str) -> str:
    """A blank of the sheet as a row's name: without its unit and its comma."""
    name, _, rest = blank.partition(", ")
    text = blank.replace(",", "") if re.fullmatch(r"[a-z ]+", rest) else name
    return unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode()
