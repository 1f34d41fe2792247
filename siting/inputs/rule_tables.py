"""The keys of a rule file, and those of a site file's [land] that speak of rules: their kinds and their bounds."""

from __future__ import annotations

import datetime
import difflib
from typing import Annotated, Any, Literal

from pydantic import Field, field_validator

from siting.inputs.toml_file import Table
from siting.records.rules import (
    ALL_ANCHORS,
    BASE_CENTRE,
    MAST_HEIGHT,
    MEASURED,
    PERMANENT_ANCHORS,
    TARGETS,
    TOTAL_HEIGHT,
)

Text = Annotated[str, Field(min_length=1, max_length=300)]
Long = Annotated[str, Field(max_length=2000)]
# Ids stand in the ids of checks, parted by colons.
Id = Annotated[str, Field(pattern=r"^[A-Za-z0-9_\-]{1,40}$")]
Months = Annotated[int, Field(ge=1, le=1200)]
Days = Annotated[int, Field(ge=0, le=36500)]
Metres = Annotated[float, Field(ge=0, le=20_000)]
Feet = Annotated[float, Field(ge=0, le=65_000)]


def _one_of(value: Any, known: tuple[str, ...], what: str) -> Any:
    """The value where it is known; else a refusal that names the nearest known one."""
    if not isinstance(value, str) or value in known:
        return value
    near = difflib.get_close_matches(value.lower().replace(" ", "_"), known, 1, 0.5)
    hint = f"did you mean {near[0]}? " if near else ""
    raise ValueError(f"is '{value}', which is no {what} that siting knows; {hint}known: {', '.join(known)}")


class RuleTable(Table):
    """[[rules]] of a rule file."""

    id: Id
    title: Text
    target: str
    measured: str = BASE_CENTRE
    factor: Annotated[float, Field(gt=0, le=20)] | None = None
    height: Literal[TOTAL_HEIGHT, MAST_HEIGHT] = TOTAL_HEIGHT
    plus_m: Metres | None = None
    plus_ft: Feet | None = None
    least_m: Metres | None = None
    least_ft: Feet | None = None
    kinds: list[Text] = []
    layer: Text | None = None
    is_planned: bool = False
    off_own_land: bool = False
    base_radius_m: Annotated[float, Field(gt=0, le=20)] | None = None
    anchors: Literal[PERMANENT_ANCHORS, ALL_ANCHORS] | None = None
    waivable: bool = False
    source: Text | None = None
    clause: Text | None = None
    date_read: datetime.date | None = None
    note: Long = ""

    @field_validator("target", mode="before")
    @classmethod
    def _target(cls, value: Any) -> Any:
        return _one_of(value, TARGETS, "target")

    @field_validator("measured", mode="before")
    @classmethod
    def _measured(cls, value: Any) -> Any:
        return _one_of(value, MEASURED, "way of measuring")


class RuleSetTable(Table):
    """A rule file."""

    name: Text
    for_what: Text | None = None
    expires_months: Months | None = None
    extension_months: Months | None = None
    extension_asked_days: Days | None = None
    removal_days: Days | None = None
    height_most_m: Annotated[float, Field(gt=0, le=1000)] | None = None
    height_most_ft: Annotated[float, Field(gt=0, le=3300)] | None = None
    also: list[Text] = []
    source: Text | None = None
    date_read: datetime.date | None = None
    note: Long = ""
    rules: list[RuleTable] = []


class WaiverTable(Table):
    """[[land.waivers]]: a line that somebody has waived, in writing."""

    rule: Text
    line: Text
    by: Text
    recorded: Text


class RuleLayerTable(Table):
    """[[land.layers]]: a vector file that rules with target "layer" measure to."""

    name: Text
    path: Text


class RulesTable(Table):
    """The keys of [land] that speak of rules."""

    rules: list[str] = []
    waivers: list[WaiverTable] = []
    layers: list[RuleLayerTable] = []

    @field_validator("rules", mode="before")
    @classmethod
    def _names(cls, value: Any) -> Any:
        if isinstance(value, str) or (isinstance(value, list) and not all(isinstance(v, str) and v for v in value)):
            raise ValueError(f"is {value!r}, but it must be a list of names or files, as in [\"met-mast-1.1\", \"own.toml\"]")
        return value
