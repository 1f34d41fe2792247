"""The table [permit] of a site file: its keys, and the record that it makes."""

from __future__ import annotations

import datetime
import difflib
import re
from typing import Annotated, Literal

from pydantic import Field

from siting.errors import Fault, InputError
from siting.inputs.toml_file import Table
from siting.records.permit import ITEM_IDS, GivenItem, PermitFacts, Revision
from siting.units import METRES_PER_FOOT, METRES_PER_INCH

Words = Annotated[str, Field(max_length=200)]
RATIO = re.compile(r"1\s*:\s*(\d+(?:\.\d+)?)")
INCH_TO_FEET = re.compile(r"1\s*(?:in|\"|″)\.?\s*=\s*(\d+(?:\.\d+)?)\s*(?:ft|'|′)\.?")
LEAST_SCALE, MOST_SCALE = 50.0, 100_000.0


class RevisionTable(Table):
    """[[permit.revisions]]."""

    mark: Annotated[str, Field(min_length=1, max_length=4)]
    date: datetime.date
    text: Annotated[str, Field(min_length=1, max_length=200)]
    by: Annotated[str, Field(max_length=40)] = ""


class GivenItemTable(Table):
    """[[permit.given]]: an item of the checklist that is handed in beside the map."""

    item: Annotated[str, Field(min_length=1)]
    reference: Annotated[str, Field(min_length=1, max_length=200)]


class PermitTable(Table):
    """[permit]: the site map for the permit office."""

    applicant: Words = ""
    address: Words = ""
    parcel: Words = ""
    owner: Words = ""
    zoning: Words = ""
    adjoining: list[Annotated[str, Field(min_length=1, max_length=200)]] = []
    access: Words = ""
    purpose: Words = ""
    drawing: Annotated[str, Field(max_length=60)] = ""
    drawn_by: Annotated[str, Field(max_length=60)] = ""
    checked_by: Annotated[str, Field(max_length=60)] = ""
    revisions: list[RevisionTable] = []
    scale: str | int | None = None
    units: Literal["m", "ft"] = "m"
    paper: Literal["A4", "Letter", "A3", "Tabloid"] | None = None
    given: list[GivenItemTable] = []


def permit_facts(table: PermitTable, where: str) -> PermitFacts:
    """What the table says; the scale as one to so many.

    Raises:
        InputError: a scale that cannot be read, or an item that no checklist knows.
    """
    faults = []
    scale = scale_of(table.scale)
    if table.scale is not None and scale is None:
        do = f'write "1:1000" or "1in=100ft", between 1:{LEAST_SCALE:.0f} and 1:{MOST_SCALE:.0f}'
        faults.append(Fault("permit_scale", f"{where}, [permit] scale", f"'{table.scale}' is no scale", do))
    for number, row in enumerate(table.given, 1):
        if row.item not in ITEM_IDS:
            near = difflib.get_close_matches(row.item, ITEM_IDS, 1, 0.4)
            do = f"did you mean {near[0]}?" if near else f"items: {', '.join(ITEM_IDS)}"
            faults.append(
                Fault(
                    "permit_item", f"{where}, [[permit.given]] no. {number} item", f"'{row.item}' is no item of the checklist", do
                )
            )
    if faults:
        raise InputError(tuple(faults))
    texts = {key: getattr(table, key) for key in (
        "applicant", "address", "parcel", "owner", "zoning", "access", "purpose", "drawing", "drawn_by", "checked_by", "units",
    )}  # fmt: skip
    return PermitFacts(
        **texts,
        adjoining=tuple(table.adjoining),
        revisions=tuple(Revision(r.mark, r.date.isoformat(), r.text, r.by) for r in table.revisions),
        scale=scale,
        paper=table.paper or "",
        given=tuple(GivenItem(g.item, g.reference) for g in table.given),
    )


def scale_of(text: str | int | None) -> float | None:
    """One to so many, from 1:1000, 1in=100ft or a number; None where it is none of them. No unit."""
    if text is None or isinstance(text, bool):
        return None
    value = None
    if isinstance(text, int):
        value = float(text)
    elif found := RATIO.fullmatch(text.strip()):
        value = float(found[1])
    elif found := INCH_TO_FEET.fullmatch(text.strip()):
        value = round(float(found[1]) * METRES_PER_FOOT / METRES_PER_INCH, 6)
    return value if value is not None and LEAST_SCALE <= value <= MOST_SCALE else None
