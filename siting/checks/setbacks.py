"""Setback rules on the ground: for every rule the distance, over all azimuths where anchors or guys decide."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from siting.checks.columns import AT_LEAST, AT_MOST, Column
from siting.checks.rule_distances import BASE, Layout
from siting.checks.rule_findings import RULE, JudgedRule, at_the_limit, finding_of, height_finding, place_words
from siting.checks.rule_targets import Aim, RuleLand, aim_key, aim_of, waivers_without_use
from siting.checks.rule_words import height_words, how_words, limit_m, source_words, target_words
from siting.geodesy.frames import Frame
from siting.records.findings import Unchecked
from siting.records.mast import Mast
from siting.records.rules import HEIGHT_ID, LAYER, PROPERTY_LINE, RuleFinding, RuleSet, SetbackRule
from siting.records.site import Limit

# Layers are read this much farther than the farthest rule asks: common practice, no source.
READ_SPARE_M = 10.0


@dataclass(frozen=True, slots=True)
class JudgedRules:
    """What every rule found; the findings are those of one azimuth of the sweep."""

    rules: tuple[JudgedRule, ...]
    heights: tuple[tuple[RuleSet, Column], ...]  # sets that limit the total height
    unchecked: tuple[Unchecked, ...]
    warnings: tuple[str, ...]
    land: RuleLand
    layout: Layout

    @property
    def columns_by_azimuth(self) -> list[Column]:
        """Checks that depend on where the anchors stand."""
        return [r.column for r in self.rules if r.column is not None and r.column.by_azimuth]

    @property
    def columns_of_base(self) -> list[Column]:
        """Checks that only the base, or the mast's height, decides."""
        based = [r.column for r in self.rules if r.column is not None and not r.column.by_azimuth]
        return [*based, *(column for _, column in self.heights)]

    def findings(self, k: int) -> tuple[RuleFinding, ...]:
        """What each rule found on one azimuth: its index among the azimuths judged. Distances in metres."""
        heights = tuple(height_finding(v, column) for v, column in self.heights)
        return (*(finding_of(r, k, self.land, self.layout) for r in self.rules), *heights)


def judge_rules(
    rule_sets: tuple[RuleSet, ...], land: RuleLand, mast: Mast, frame: Frame, anchor_azimuths_deg: np.ndarray
) -> JudgedRules:
    """Every rule on this land, for every azimuth; no unit of its own.

    Args:
        anchor_azimuths_deg: (K, A) true azimuth of each anchor of the mast, for each laydown azimuth.
    """
    layout = Layout.of(mast, frame, anchor_azimuths_deg)
    known: dict[tuple, Aim] = {}
    measured: dict[tuple, np.ndarray] = {}
    judged = []
    for rule_set in rule_sets:
        for rule in rule_set.rules:
            same = aim_key(rule)
            if same not in known:
                known[same] = aim_of(rule, land)
            judged.append(_judge(rule_set, rule, known[same], land, layout, measured))
    unused = waivers_without_use(tuple(r.rule for r in judged), tuple(r.aim for r in judged))
    return JudgedRules(
        rules=tuple(judged),
        heights=tuple((v, _height_column(v, mast)) for v in rule_sets if v.height_most_m is not None),
        unchecked=tuple(item for r in judged for item in _unchecked(r)),
        warnings=tuple(
            f"The waiver of '{w.line}' by {w.by} left nothing out: no neighbour of that id shares a line with the own land, "
            "and nothing of that name counts. Check [[land.waivers]] line."
            for w in unused
        ),
        land=land,
        layout=layout,
    )


def _judge(
    rule_set: RuleSet, rule: SetbackRule, aim: Aim, land: RuleLand, layout: Layout, measured: dict[tuple, np.ndarray]
) -> JudgedRule:
    """One rule: its distances over the azimuths, and the check that they make."""
    limit = limit_m(rule, layout.mast)
    if aim.target is None:
        return JudgedRule(rule_set, rule, limit, aim, None, None)
    distances = layout.distances(rule, aim, measured)
    if not distances.parts:
        none = Aim(missing="the mast file has no anchors of the kind that this rule measures from", do="check the anchors' use in the mast file")
        return JudgedRule(rule_set, rule, limit, none, None, None)
    if distances.is_beyond_reading(limit):
        short = Aim(missing=f"the layer was read to {aim.reach_m:.0f} m of the base, less than this rule asks for", do="have it read farther")
        return JudgedRule(rule_set, rule, limit, short, None, None)
    if not np.isfinite(distances.values).all():
        return JudgedRule(rule_set, rule, limit, aim, distances, None)
    values = at_the_limit(distances.values, limit)
    name = f"{RULE}:{rule_set.key}:{rule.id}"
    source = f"{how_words(rule, layout.mast)}; {source_words(rule.source, rule.clause, rule.date_read)}"
    judged = JudgedRule(rule_set, rule, limit, aim, distances, None)
    column = Column(
        name, RULE, rule.title, "m", AT_LEAST, Limit(limit, source), values,
        uncertainty=land.boundary_error_m if rule.target == PROPERTY_LINE else 0.0,
        by_azimuth=any(p.kind != BASE for p in distances.parts),
        place=lambda k: place_words(judged, k, land, layout),
    )  # fmt: skip
    return JudgedRule(rule_set, rule, limit, aim, distances, column)


def _unchecked(judged: JudgedRule) -> list[Unchecked]:
    """What a rule leaves unchecked: all of it, or some kinds that the layer does not hold."""
    aim = judged.aim
    about = f"{judged.rule.title} ({judged.rule_set.name})"
    if aim.missing:
        return [Unchecked(judged.id, f"{about}: {aim.missing}", aim.do)]
    do = f"have the site looked at, and draw the nearest {target_words(judged.rule)} into the layer"
    return [Unchecked(f"{judged.id}:{kind}", f"{about}: {words}", do) for kind, words in aim.silent]


def _height_column(rule_set: RuleSet, mast: Mast) -> Column:
    """The total height against the greatest that a rule set allows."""
    limit = rule_set.height_most_m
    value = float(at_the_limit(mast.total_height_m, limit))
    source = f"{height_words(rule_set)}; {source_words(rule_set.source, '', rule_set.date_read)}"
    return Column(
        f"{RULE}:{rule_set.key}:{HEIGHT_ID}", RULE, "total height, ground to the tip", "m", AT_MOST, Limit(limit, source),
        np.array([value]), by_azimuth=False,
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class RuleReach:
    """How far around the base layers must be read for the rules, metres; 0 where no rule asks."""

    parcels_m: float
    obstacles_m: float
    layers_m: dict[str, float]  # by the layer's name


def reach_of_rules(rule_sets: tuple[RuleSet, ...], mast: Mast) -> RuleReach:
    """How far around the base the layers must be read, so that every rule knows its nearest thing; metres."""
    parcels = obstacles = 0.0
    layers: dict[str, float] = {}
    for rule in (r for v in rule_sets for r in v.rules):
        wanted = limit_m(rule, mast) + Layout.radius_m(rule, mast) + READ_SPARE_M
        if rule.target == PROPERTY_LINE:
            parcels = max(parcels, wanted)
        elif rule.target == LAYER:
            layers[rule.layer] = max(layers.get(rule.layer, 0.0), wanted)
        else:
            obstacles = max(obstacles, wanted)
    return RuleReach(parcels, obstacles, layers)
