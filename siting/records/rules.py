"""Setback rules as data, and what each of them found at the base."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from pathlib import Path

from siting.figures import quantity, words

# What a rule measures to.
PROPERTY_LINE, ROAD, DWELLING, OVERHEAD_LINE = "property_line", "road", "dwelling", "overhead_line"
BURIED_LINE, WATER, PROTECTED_AREA, EASEMENT, LAYER = "buried_line", "water", "protected_area", "easement", "layer"
OBSTACLE = "obstacle"  # any kind of the obstacle layer, named under `kinds`: fuel tanks, a district
TARGETS = (PROPERTY_LINE, ROAD, DWELLING, OVERHEAD_LINE, BURIED_LINE, WATER, PROTECTED_AREA, EASEMENT, LAYER, OBSTACLE)
# What a rule measures from.
BASE_CENTRE, BASE_NEAREST, FALL_CIRCLE = "base_centre", "base_nearest", "fall_circle"
GUY_ANCHORS, GUYS, NEAREST_PART = "guy_anchors", "guys", "nearest_part"
MEASURED = (BASE_CENTRE, BASE_NEAREST, FALL_CIRCLE, GUY_ANCHORS, GUYS, NEAREST_PART)
TOTAL_HEIGHT, MAST_HEIGHT = "total", "mast"
PERMANENT_ANCHORS, ALL_ANCHORS = "permanent", "all"
HEIGHT_ID = "height"  # of the finding on a set's greatest height, among its rules' ids


@dataclass(frozen=True, slots=True)
class Waiver:
    """A line that somebody has waived: consent in writing, or a recorded easement."""

    line: str  # the neighbour's parcel id, or the name of the thing measured to
    by: str  # who waived it
    recorded: str  # where: book and page, instrument number, letter and date


@dataclass(frozen=True, slots=True)
class SetbackRule:
    """One rule. The distance asked for is the larger of factor × height + plus_m and least_m."""

    id: str
    title: str
    target: str  # one of TARGETS
    measured: str  # one of MEASURED
    factor: float | None = None  # × height
    height: str = TOTAL_HEIGHT  # which height the factor counts
    plus_m: float = 0.0
    least_m: float = 0.0
    kinds: tuple[str, ...] = ()  # of the obstacle layer that count; empty: the target's own kinds
    layer: str = ""  # target layer: a vector file of the user's
    is_planned: bool = False  # planned rights of way count too: kind `planned_road`
    base_radius_m: float = 0.0  # base_nearest: from the base's centre to its outermost part
    waivable: bool = False
    waivers: tuple[Waiver, ...] = ()
    source: str = ""  # ordinance
    clause: str = ""
    date_read: datetime.date | None = None
    note: str = ""
    anchors: str = PERMANENT_ANCHORS  # which anchors and guys count: permanent, or all (temporary and winch too)
    off_own_land: bool = False  # only what does not lie wholly on the own land counts: a neighbour's house
    plus_ft: float | None = None  # as the file gives it; plus_m is the same in metres
    least_ft: float | None = None


@dataclass(frozen=True, slots=True)
class RuleSet:
    """A rule file: rules of one authority, and how long its permit lasts."""

    name: str
    shown: str  # the file as the user wrote it, or the shipped set's name
    is_shipped: bool
    rules: tuple[SetbackRule, ...]
    expires_months: float | None = None  # after the permit
    extension_months: float | None = None
    extension_asked_days: float | None = None  # before expiry
    removal_days: float | None = None  # after expiry or last use
    source: str = ""
    date_read: datetime.date | None = None
    note: str = ""
    for_what: str = ""  # met mast, wind turbine, communication tower
    height_most_m: float | None = None  # greatest total height that the rules allow
    height_most_ft: float | None = None  # as the file gives it
    also: tuple[str, ...] = ()  # what else the rules ask for, in words: not measured, to be looked at by hand

    @property
    def key(self) -> str:
        """The set's name in the ids of its checks: its file without folder and ending, or the shipped set's name."""
        return self.shown.replace("\\", "/").rsplit("/", 1)[-1].removesuffix(".toml")


@dataclass(frozen=True, slots=True)
class RuleLayer:
    """A vector file of the user's that rules may measure to, by the name under which rules know it."""

    name: str
    path: Path
    shown: str


@dataclass(frozen=True, slots=True)
class RuleInputs:
    """The rules of a site as its file names them, the waivers already with their rules."""

    sets: tuple[RuleSet, ...] = ()
    layers: tuple[RuleLayer, ...] = ()
    files: tuple[tuple[str, Path], ...] = ()  # every rule file read, as shown and as found


@dataclass(frozen=True, slots=True)
class RuleFinding:
    """What one rule found. Distances are on the ground."""

    id: str = words("the rule's id")
    rule_set: str = words("name of the rule set")
    title: str = words("the rule in plain words")
    value_m: float | None = quantity("length", "distance found; negative inside; null where it could not be measured")
    limit_m: float = quantity("length", "distance asked for")
    margin_m: float | None = quantity("length", "found less asked for")
    how: str = words("how the distance asked for comes about: 1.1 × 82.50 m total height")
    measured: str = words("from what to what, in plain words")
    to: str = words("name of the nearest thing: parcel, road, line")
    bearing_deg: float | None = quantity("bearing", "true azimuth from the base, or from the anchor, to the nearest point")
    lat: float | None = quantity("latlon", "WGS 84, of the nearest point")
    lon: float | None = quantity("latlon", "WGS 84, of the nearest point")
    easting: float | None = quantity("coordinate", "in the plan's CRS")
    northing: float | None = quantity("coordinate", "in the plan's CRS")
    verdict: str = words("pass, marginal, fail or unchecked")
    waived: tuple[str, ...] = words("lines left out because they are waived: which, by whom, where recorded")
    source: str = words("ordinance, clause, date read; check your local code")
    note: str = words("what else the rule says")


@dataclass(frozen=True, slots=True)
class PermitDates:
    """What a rule set says of time, from the plan's day as the day of the permit."""

    rule_set: str = words("name of the rule set")
    expires: str = words("day on which the permit would run out; empty where the rules do not say")
    ask_by: str = words("last day to ask for an extension; empty where none")
    remove_by: str = words("day by which the mast must be gone; empty where the rules do not say")
    text: str = words("in plain words, with the source")


@dataclass(frozen=True, slots=True)
class Move:
    """The shortest move of the base after which every rule of the land holds, then planned anew on the terrain."""

    distance_m: float | None = quantity("length", "how far; null where no place on the land holds")
    bearing_deg: float | None = quantity("bearing", "true azimuth of the move")
    lat: float | None = quantity("latlon", "WGS 84, of the new base")
    lon: float | None = quantity("latlon", "WGS 84, of the new base")
    easting: float | None = quantity("coordinate", "in the plan's CRS")
    northing: float | None = quantity("coordinate", "in the plan's CRS")
    azimuth_deg: float | None = quantity("bearing", "laydown recommended there; null where it could not be planned")
    verdict: str = words("the new plan's verdict: pass, marginal or fail; unchecked where it could not be planned")
    tallest_m: float | None = quantity("length", "greatest total height for which the rules hold where the base stands; null without one")
    text: str = words("in plain words")
