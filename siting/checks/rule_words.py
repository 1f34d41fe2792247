"""A rule's distance, and its words: how the distance comes about, from what to what, by which source."""

from __future__ import annotations

import datetime

from siting.figures import shown
from siting.records.mast import Mast
from siting.records.rules import (
    ALL_ANCHORS,
    BASE_CENTRE,
    BASE_NEAREST,
    FALL_CIRCLE,
    GUY_ANCHORS,
    GUYS,
    LAYER,
    MAST_HEIGHT,
    NEAREST_PART,
    PROPERTY_LINE,
    RuleSet,
    SetbackRule,
)

CHECK_CODE = "check your local code"
BASE_PART = "the base"  # how the base is called among the parts of a mast
HEIGHT_WORDS = {False: "total height", True: "mast height from the hinge"}


def limit_m(rule: SetbackRule, mast: Mast) -> float:
    """The distance that a rule asks for, metres."""
    return max(_by_height_m(rule, mast), rule.least_m)


def _by_height_m(rule: SetbackRule, mast: Mast) -> float:
    height_m = mast.height_m if rule.height == MAST_HEIGHT else mast.total_height_m
    return (rule.factor or 0.0) * height_m + rule.plus_m


def how_words(rule: SetbackRule, mast: Mast) -> str:
    """How the distance asked for comes about, no unit of its own: 1.1 × 82.50 m total height."""
    parts = []
    if rule.factor:
        height_m = mast.height_m if rule.height == MAST_HEIGHT else mast.total_height_m
        parts.append(f"{rule.factor:g} × {shown(height_m, 'length')} {HEIGHT_WORDS[rule.height == MAST_HEIGHT]}")
    if rule.plus_m:
        parts.append(_length(rule.plus_m, rule.plus_ft))
    grown = " + ".join(parts)
    if not rule.least_m:
        return grown or "the fall circle itself"
    least = _length(rule.least_m, rule.least_ft)
    return f"the larger of {grown} = {shown(_by_height_m(rule, mast), 'length')}, and {least}" if grown else least


def _length(metres: float, feet: float | None) -> str:
    """A length as the file gives it, feet with their metres."""
    return shown(metres, "length") if feet is None else f"{feet:g} ft ({shown(metres, 'length')})"


def height_words(rule_set: RuleSet) -> str:
    """The greatest total height as the file gives it; no unit of its own."""
    return f"at most {_length(rule_set.height_most_m, rule_set.height_most_ft)}"


def target_words(rule: SetbackRule) -> str:
    """What a rule measures to, no unit."""
    if rule.target == PROPERTY_LINE:
        return "property line"
    if rule.target == LAYER and not rule.kinds:
        return rule.layer.replace("_", " ")
    words = " or ".join(kind.replace("_", " ") for kind in rule.kinds) or rule.target.replace("_", " ")
    return f"{words} off the own land" if rule.off_own_land else words


def measured_words(rule: SetbackRule, mast: Mast, part: str) -> str:
    """From what to what, in plain words; no unit of its own.

    Args:
        part: the anchor or the guy that is nearest, empty before one is known.
    """
    which = "any" if rule.anchors == ALL_ANCHORS else "a permanent"
    start = {
        BASE_CENTRE: "centre of the base",
        BASE_NEAREST: f"outermost part of the base, {shown(rule.base_radius_m, 'length')} from its centre",
        FALL_CIRCLE: f"edge of the fall circle, {shown(mast.total_height_m, 'length')} from the base",
        GUY_ANCHORS: part or f"{which} anchor",
        GUYS: part or f"guys to {which} anchor",
        NEAREST_PART: part or f"nearest of base, guys and {which} anchor",
    }[rule.measured]
    if rule.measured == NEAREST_PART and part == BASE_PART:
        start = f"outermost part of the base, {shown(rule.base_radius_m, 'length')} from its centre" if rule.base_radius_m else "centre of the base"
    return f"{start}, to the nearest {target_words(rule)}"


def source_words(source: str, clause: str, date_read: datetime.date | None) -> str:
    """Ordinance, clause and date read, and to check it; no unit."""
    named = ", ".join(v for v in (source, clause) if v)
    read = f"; read {date_read.isoformat()}" if date_read else "; no date read given"
    return f"{named}{read}; {CHECK_CODE}"
