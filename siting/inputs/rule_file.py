"""Reads a rule file: one that is shipped with the package, or the user's own from the local code."""

from __future__ import annotations

import difflib
from importlib.resources import files
from pathlib import Path

from siting.errors import Fault, InputError
from siting.inputs.rule_tables import RuleSetTable, RuleTable
from siting.inputs.toml_file import read_table
from siting.records.rules import (
    BASE_NEAREST,
    FALL_CIRCLE,
    GUY_ANCHORS,
    GUYS,
    HEIGHT_ID,
    LAYER,
    NEAREST_PART,
    OBSTACLE,
    PERMANENT_ANCHORS,
    PROPERTY_LINE,
    ROAD,
    RuleSet,
    SetbackRule,
)
from siting.units import METRES_PER_FOOT


def shipped_rules() -> tuple[str, ...]:
    """Names of the rule sets in the package, in order; no unit."""
    folder = files("siting") / "rules"
    return tuple(sorted(entry.name.removesuffix(".toml") for entry in folder.iterdir() if entry.name.endswith(".toml")))


def shipped_rules_text(name: str) -> str:
    """The file of a shipped rule set, to start one's own from; no unit."""
    return (files("siting") / "rules" / f"{name}.toml").read_text(encoding="utf-8")


def find_rules(use: str, folder: Path, where: str) -> tuple[Path, str, bool]:
    """Path, shown name and whether it is shipped, of the rule set that the user names.

    Raises:
        InputError: neither a shipped rule set nor a file.
    """
    if use in shipped_rules():
        return Path(str(files("siting") / "rules" / f"{use}.toml")), use, True
    if (folder / use).is_file():
        return folder / use, Path(use).name if Path(use).is_absolute() else use, False
    near = difflib.get_close_matches(use, shipped_rules(), 1, 0.5)
    hint = f"did you mean {near[0]}? " if near else ""
    raise InputError.of(
        "rules_unknown", where, f"'{use}' is neither a shipped rule set nor a file",
        f"{hint}shipped: {', '.join(shipped_rules())}; or give the path of a rule file relative to the site file",
    )  # fmt: skip


def read_rules(path: Path, shown: str, is_shipped: bool) -> RuleSet:
    """The rule set of a file; feet in metres, and kept as the file gives them.

    Raises:
        InputError: every fault of the file, in file order.
    """
    table = read_table(path, shown, RuleSetTable, "[land] rules")
    faults = [*_set_faults(table, shown)]
    seen: set[str] = set()
    for number, rule in enumerate(table.rules, 1):
        where = f"{shown}, [[rules]] no. {number} ({rule.id})"
        faults += _rule_faults(rule, table, where)
        if rule.id.lower() in seen or rule.id.lower() == HEIGHT_ID:
            kept = f"is kept for {HEIGHT_ID}_most_m" if rule.id.lower() == HEIGHT_ID else "stands twice"
            faults.append(Fault("rule_twice", where, f"the id '{rule.id}' {kept}", "give each rule its own id"))
        seen.add(rule.id.lower())
    if faults:
        raise InputError(tuple(faults))
    return RuleSet(
        name=table.name,
        shown=shown,
        is_shipped=is_shipped,
        rules=tuple(_rule(rule, table) for rule in table.rules),
        expires_months=table.expires_months,
        extension_months=table.extension_months,
        extension_asked_days=table.extension_asked_days,
        removal_days=table.removal_days,
        source=table.source or "",
        date_read=table.date_read,
        note=table.note,
        for_what=table.for_what or "",
        height_most_m=_metres(table.height_most_m, table.height_most_ft) or None,
        height_most_ft=table.height_most_ft,
        also=tuple(table.also),
    )


def _metres(metres: float | None, feet: float | None) -> float:
    """A length given in metres or in feet, metres; 0 where neither is given."""
    return feet * METRES_PER_FOOT if feet is not None else metres or 0.0


def _rule(table: RuleTable, whole: RuleSetTable) -> SetbackRule:
    """The record of a rule; the set's source and its date where the rule has no source of its own."""
    return SetbackRule(
        id=table.id,
        title=table.title,
        target=table.target,
        measured=table.measured,
        factor=table.factor,
        height=table.height,
        plus_m=_metres(table.plus_m, table.plus_ft),
        least_m=_metres(table.least_m, table.least_ft),
        kinds=tuple(dict.fromkeys("_".join(k.strip().lower().replace("-", " ").split()) for k in table.kinds)),
        layer=table.layer or "",
        is_planned=table.is_planned,
        base_radius_m=table.base_radius_m or 0.0,
        waivable=table.waivable,
        source=table.source or whole.source or "",
        clause=table.clause or "",
        date_read=table.date_read or (None if table.source else whole.date_read),
        note=table.note,
        anchors=table.anchors or PERMANENT_ANCHORS,
        off_own_land=table.off_own_land,
        plus_ft=table.plus_ft,
        least_ft=table.least_ft,
    )


def _rule_faults(rule: RuleTable, whole: RuleSetTable, where: str) -> list[Fault]:
    """A rule that asks for no distance, gives one twice, has keys that do not fit, or no source."""
    faults = []

    def refuse(code: str, what: str, do: str) -> None:
        faults.append(Fault(code, where, what, do))

    for key in ("plus", "least"):
        if getattr(rule, f"{key}_m") is not None and getattr(rule, f"{key}_ft") is not None:
            refuse("rule_distance", f"gives {key}_m and {key}_ft", "give one of them")
    asks = rule.factor is not None or _metres(rule.plus_m, rule.plus_ft) > 0 or _metres(rule.least_m, rule.least_ft) > 0
    if not asks and rule.measured != FALL_CIRCLE:
        refuse("rule_distance", "asks for no distance", "add factor, plus_m or least_m (or plus_ft, least_ft)")
    land = rule.target == PROPERTY_LINE
    parts = rule.measured in (GUY_ANCHORS, GUYS, NEAREST_PART)
    fits = (
        (rule.kinds and land, "kinds", "target property_line measures to the own land's outline, not to obstacles"),
        (rule.off_own_land and land, "off_own_land", "target property_line measures to the own land's outline"),
        (rule.layer and rule.target != LAYER, "layer", f'only target "{LAYER}" measures to a layer'),
        (rule.is_planned and rule.target != ROAD, "is_planned", f'only target "{ROAD}" knows planned ones'),
        (rule.anchors and not parts, "anchors", f"only {GUY_ANCHORS}, {GUYS} and {NEAREST_PART} measure from them"),
        (rule.base_radius_m and rule.measured not in (BASE_NEAREST, NEAREST_PART), "base_radius_m",
         f"only {BASE_NEAREST} and {NEAREST_PART} measure from the base's edge"),
    )  # fmt: skip
    for wrong, key, why in fits:
        if wrong:
            refuse("rule_key", f"{key} does not fit: {why}", f"leave {key} out, or change target or measured")
    needs = (
        (rule.target == LAYER and not rule.layer, "layer", "the name under which [[land.layers]] of the site file gives it"),
        (rule.target == OBSTACLE and not rule.kinds, "kinds", 'as in kinds = ["fuel_tank"]'),
        (rule.measured == BASE_NEAREST and not rule.base_radius_m, "base_radius_m", "from the base's centre to its outermost part"),
    )
    for missing, key, what in needs:
        if missing:
            refuse("rule_key", f"needs {key}", f"add {key}: {what}")
    if not (rule.source or whole.source):
        refuse("rule_source", "has no source", 'add source = "ordinance" and clause here, or source at the top of the file')
    return faults


def _set_faults(table: RuleSetTable, shown: str) -> list[Fault]:
    """Times that hang in the air, a height given twice, and either without a source."""
    faults = []
    if table.extension_months and not table.expires_months:
        faults.append(
            Fault("rule_dates", f"{shown}, extension_months", "extends a permit that does not run out", "add expires_months")
        )
    if table.extension_asked_days is not None and not table.extension_months:
        faults.append(
            Fault("rule_dates", f"{shown}, extension_asked_days", "speaks of an extension of no length", "add extension_months")
        )
    if table.height_most_m is not None and table.height_most_ft is not None:
        faults.append(Fault("rule_distance", shown, "gives height_most_m and height_most_ft", "give one of them"))
    given = [k for k in ("expires_months", "removal_days", "height_most_m", "height_most_ft") if getattr(table, k) is not None]
    if given and not table.source:
        faults.append(Fault("rule_source", f"{shown}, {given[0]}", "has no source", 'add source = "ordinance, clause" at the top'))
    return faults
