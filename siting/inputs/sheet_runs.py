"""Which run the sheets beside a packet belong to: lift.pdf, plumb.pdf, plumb.json, dig/dig.pdf, land.pdf."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from pathlib import Path

# Sheet: what makes it again.
SHEETS = {
    "lift.pdf": "run siting lift again",
    "plumb.pdf": "run siting lift with --readings again",
    "plumb.json": "run siting lift with --readings again",
    "dig/dig.pdf": "run siting dig again",
    "land.pdf": "run siting land again",
}
# The PDF's own entries, in plain brackets (writers/paper/canvas.py).
_ENTRY = re.compile(rb"/(?:Keywords|Subject) \(([^()\\]*)\)")
_RUN = re.compile(r"\brun ([0-9a-f]{6,})\b", re.I)


@dataclass(frozen=True, slots=True)
class OtherSheet:
    """A sheet of another plan."""

    file: str
    run_id: str  # the plan run that it names; empty where it names none
    do: str

    def sentence(self) -> str:
        """Whose it is and what to do, in one plain line without its end, no unit."""
        of = f"is of another plan (run {self.run_id})" if self.run_id else "does not say which plan it is of"
        return f"{self.file} {of}: {self.do}"


def other_sheets(folder: Path, run_id: str) -> tuple[OtherSheet, ...]:
    """The sheets in a folder that belong to another run of the plan, in their order; those that are not there are passed over."""
    found = []
    for file, do in SHEETS.items():
        try:
            data = (folder / file).read_bytes()
        except OSError:
            continue
        runs = _json_runs(data) if file.endswith(".json") else _pdf_runs(data)
        if run_id not in runs:
            found.append(OtherSheet(file, runs[-1] if runs else "", do))
    return tuple(found)


def _pdf_runs(data: bytes) -> list[str]:
    """Every run that a PDF's entries name; of a sheet with a run of its own, the plan's comes last."""
    texts = [entry.decode("latin-1") for entry in _ENTRY.findall(data)]
    return [run for text in texts for run in _RUN.findall(text)]


def _json_runs(data: bytes) -> list[str]:
    """The plan's run that plumb.json names."""
    try:
        return [str(json.loads(data)["plan_run_id"])]
    except (ValueError, KeyError, TypeError):
        return []
