"""The rules of rule files as constraints on the base: the same parts and the same targets as the checks measure."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np

from siting.checks.rule_distances import ANCHOR, BASE, Part, parts_of
from siting.checks.rule_findings import RULE
from siting.checks.rule_targets import Aim, RuleLand, aim_of
from siting.checks.rule_words import limit_m
from siting.layout.moves import Constraint
from siting.layout.targets import Target
from siting.records.mast import Mast
from siting.records.rules import FALL_CIRCLE, MAST_HEIGHT, RuleSet, SetbackRule
from siting.search.land_rules import BASE as ORIGIN
from siting.search.land_rules import CLEAR_M, LandRule, keep_away, together


def rules_of_files(rule_sets: Iterable[RuleSet], land: RuleLand, mast: Mast, offsets_m: np.ndarray) -> tuple[tuple[LandRule, bool], ...]:
    """Every rule that can be measured, and whether the azimuth decides it too (anchors or guys); metres.

    Args:
        offsets_m: (A, 2) the mast's anchors from the base, grid east and north.
    """
    made = []
    for rule_set in rule_sets:
        for rule in rule_set.rules:
            aim = aim_of(rule, land)
            parts = parts_of(rule, mast)
            if aim.target is None or not parts:
                continue
            name = f"{RULE}:{rule_set.key}:{rule.id}"
            by_azimuth = any(p.kind != BASE for p in parts)
            made += [(made_of, by_azimuth) for made_of in _of_rule(name, rule, mast, aim, [(p, _ends(p, offsets_m)) for p in parts])]
    return tuple(made)


def greatest_height_m(rule_sets: Iterable[RuleSet]) -> float | None:
    """The least of the greatest total heights that the sets allow, metres; None where none limits it."""
    return min((v.height_most_m for v in rule_sets if v.height_most_m is not None), default=None)


def _of_rule(name: str, rule: SetbackRule, mast: Mast, aim: Aim, placed: list[tuple[Part, tuple]]) -> list[LandRule]:
    """One rule: away from things, or inside the own land; where a line is waived, away from what is left and not across any."""
    limit, own = limit_m(rule, mast), aim.target.is_own
    if own and not aim.waived:
        inside = tuple(Constraint(name, *ends, limit + p.less_m + CLEAR_M, inside=aim.target.area) for p, ends in placed)
        return [_by_height(name, rule, mast, inside)]
    things, made = _things(aim.target), []
    if not things.is_empty:
        away = tuple(keep_away(name, *ends, limit + p.less_m, things) for p, ends in placed)
        made.append(_by_height(name, rule, mast, away))
    if own:
        made.append(LandRule(name, rule.title, tuple(Constraint(name, *ends, CLEAR_M, inside=aim.target.area) for _, ends in placed)))
    return made


def _things(target: Target) -> Any:
    """What a rule keeps away from: the line that counts, or the things with their inside."""
    inside = [target.area] if target.area is not None and not target.is_own else []
    return together([*target.pieces, *inside])


def _ends(part: Part, offsets_m: np.ndarray) -> tuple[tuple[float, float], tuple[float, float]]:
    """Start and end of a part from the base: the base itself, an anchor, or the plan line to it."""
    end = ORIGIN if part.kind == BASE else (float(offsets_m[part.index, 0]), float(offsets_m[part.index, 1]))
    return (end if part.kind == ANCHOR else ORIGIN), end


def _by_height(name: str, rule: SetbackRule, mast: Mast, constraints: tuple[Constraint, ...]) -> LandRule:
    """The rule with how its distance grows with the total height; a mast's height grows with it."""
    factor = rule.factor or 0.0
    tip_m = mast.total_height_m - mast.height_m if rule.height == MAST_HEIGHT else 0.0
    circle = 1.0 if rule.measured == FALL_CIRCLE else 0.0
    return LandRule(name, rule.title, constraints, factor, rule.plus_m - factor * tip_m, rule.least_m, circle)
