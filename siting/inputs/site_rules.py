"""The rules of a site: the sets that its file names, with the waivers at their rules, and the layers they measure to."""

from __future__ import annotations

import difflib
from collections import Counter
from dataclasses import replace
from pathlib import Path

from siting.errors import Fault, InputError
from siting.inputs.rule_file import find_rules, read_rules
from siting.inputs.rule_tables import RuleLayerTable, RulesTable, WaiverTable
from siting.records.rules import RuleInputs, RuleLayer, RuleSet, SetbackRule, Waiver

EVERY_RULE = "*"


def read_rule_inputs(table: RulesTable, folder: Path, where: str) -> RuleInputs:
    """The rule sets and layers of a site file, every waiver with the rules that it is for.

    Args:
        folder: of the site file; where: the site file as shown.
    Raises:
        InputError: every fault of the names, the rule files, the waivers and the layers.
    """
    faults: list[Fault] = []
    sets: list[RuleSet] = []
    found: list[tuple[str, Path]] = []
    for use in table.rules:
        try:
            path, shown, is_shipped = find_rules(use, folder, f"{where}, [land] rules")
            sets.append(read_rules(path, shown, is_shipped))
            found.append((f"{shown} (shipped rules)" if is_shipped else shown, path))
        except InputError as fault:
            faults.extend(fault.faults)
    for key, count in Counter(v.key.lower() for v in sets).items():
        if count > 1:
            faults.append(Fault("rule_twice", f"{where}, [land] rules", f"the rule set '{key}' stands twice", "name it once"))
    faults += _layer_faults(table.layers, folder, where)
    if not faults:  # a waiver can only be judged when every rule is there
        sets, faults = _with_waivers(sets, table.waivers, where)
    if faults:
        raise InputError(tuple(faults))
    layers = tuple(RuleLayer(v.name, folder / v.path, _shown(v.path)) for v in table.layers)
    return RuleInputs(tuple(sets), layers, tuple(found))


def _shown(path: str) -> str:
    """A path as the packet names it: as written, but never a machine's own folders."""
    return Path(path).name if Path(path).is_absolute() else path


def _layer_faults(layers: list[RuleLayerTable], folder: Path, where: str) -> list[Fault]:
    """Layers that are not there, or whose name stands twice."""
    faults, seen = [], set()
    for number, row in enumerate(layers, 1):
        place = f"{where}, [[land.layers]] no. {number}"
        if row.name in seen:
            faults.append(Fault("rule_layer", place, f"the name '{row.name}' stands twice", "give each layer its own name"))
        seen.add(row.name)
        if not (folder / row.path).exists():
            faults.append(Fault("layer_missing", _shown(row.path), "no such file", f"check {place} path: it is relative to the site file"))
    return faults


def _with_waivers(sets: list[RuleSet], waivers: list[WaiverTable], where: str) -> tuple[list[RuleSet], list[Fault]]:
    """The sets with each waiver at its rules; a waiver for a rule that knows none is a fault."""
    faults = []
    for number, row in enumerate(waivers, 1):
        place = f"{where}, [[land.waivers]] no. {number} rule"
        fault = _waiver_fault(sets, row.rule, place)
        if fault:
            faults.append(fault)
            continue
        waiver = Waiver(row.line.strip(), row.by, row.recorded)
        sets = [
            replace(
                v, rules=tuple(replace(r, waivers=(*r.waivers, waiver)) if r.waivable and _names(row.rule, v, r) else r for r in v.rules)
            )
            for v in sets
        ]  # fmt: skip
    return sets, faults


def _names(text: str, rule_set: RuleSet, rule: SetbackRule) -> bool:
    """Whether a waiver's `rule` means this one: its id, set:id, or * for every rule that can be waived."""
    return text in (EVERY_RULE, rule.id, f"{rule_set.key}:{rule.id}")


def _waiver_fault(sets: list[RuleSet], text: str, place: str) -> Fault | None:
    """What is wrong with a waiver's `rule`, None where it means one rule that can be waived, or * at least one."""
    meant = [(v, r) for v in sets for r in v.rules if _names(text, v, r)]
    if text == EVERY_RULE:
        if any(r.waivable for _, r in meant):
            return None
        return Fault("waiver_refused", place, "none of the rules can be waived", "leave the waiver out: the distance counts in full")
    if not meant:
        known = [r.id for v in sets for r in v.rules]
        near = difflib.get_close_matches(text.rpartition(":")[2], known, 1, 0.4)
        do = f"did you mean {near[0]}?" if near else f"rules here: {', '.join(known)}" if known else "name rules under [land] rules"
        return Fault("waiver_rule", place, f"'{text}' is no rule of this site", do)
    if len(meant) > 1:
        do = f"write {' or '.join(f'{v.key}:{r.id}' for v, r in meant)}"
        return Fault("waiver_rule", place, f"'{text}' is a rule of {len(meant)} rule sets", do)
    (rule_set, rule) = meant[0]
    if rule.waivable:
        return None
    source = ", ".join(v for v in (rule.source, rule.clause) if v)
    return Fault(
        "waiver_refused", place,
        f"the rule '{text}' cannot be waived: nothing in '{rule_set.name}' ({source}) says that somebody may consent to less",
        "leave the waiver out; or, where the code does allow it, write waivable = true into the rule, with its clause",
    )  # fmt: skip
