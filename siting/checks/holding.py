"""Checks of the ground's hold on the chosen laydown: each anchor's pull against what it may take, and the base.

Like the lift's own they are no part of the sweep's ranking (docs/decisions/0016).
"""

from __future__ import annotations

from dataclasses import dataclass

from siting.records.findings import Check, Unchecked
from siting.records.holding import AnchorChoice, BaseHold, Holding, HoldingPlan
from siting.records.soil import Soil
from siting.verdict import FAIL, MARGINAL, PASS, UTILISATION_MAX

ANCHOR_HOLDING, BASE_PUSH, BASE_UPLIFT = "anchor_holding", "base_push", "base_uplift"
# A strength out of a table, though from the table's weak end, may be off by this part: common practice, no source.
PRESUMPTIVE_RATIO = 0.3
SOIL_UNKNOWN = "the ground is not known: anchors are sized in the weakest ground of the tables, which says nothing of this site"
SOIL_DO = "give [soil] in the site file, best with a blow count, a probe or a report"


@dataclass(frozen=True, slots=True)
class HoldingFindings:
    """What the checks of the ground's hold found, and what could not be checked."""

    checks: tuple[Check, ...]
    unchecked: tuple[Unchecked, ...]


def told_in_plan(checks: tuple[Check, ...]) -> tuple[Check, ...]:
    """What the plan's own list names: every failure, the base, and of the anchors that do not fail the tightest.

    Anchors are sized to just hold, so that all of them stand near 1: a dozen of them would hide everything else.
    """
    anchors = [c for c in checks if c.kind == ANCHOR_HOLDING and c.verdict != FAIL]
    return tuple(c for c in checks if c.verdict == FAIL or c.kind != ANCHOR_HOLDING or c in anchors[:1])


def judge_holding(holding: HoldingPlan, without_load: tuple[str, ...], *, knows_soil: bool) -> HoldingFindings:
    """One check for each anchor and up to two for the base; ratio of pull to what is allowed.

    Where nothing is said of the ground nothing is checked. A pass on a strength out of a table is marginal where it passes by
    less than PRESUMPTIVE_RATIO of the pull.

    Args:
        without_load: a sentence for each anchor whose pull is not known.
    """
    if not knows_soil:
        return HoldingFindings(
            (), tuple(Unchecked(kind, SOIL_UNKNOWN, SOIL_DO) for kind in (ANCHOR_HOLDING, BASE_PUSH, BASE_UPLIFT))
        )
    unchecked = [
        Unchecked(f"{ANCHOR_HOLDING}:{text.partition(':')[0]}", text.partition(": ")[2].partition("; ")[0], text.partition("; ")[2])
        for text in without_load
    ]
    checks = [_anchor(choice) for choice in holding.anchors]
    checks += _base(holding.base, unchecked)
    return HoldingFindings(tuple(sorted(checks, key=lambda c: (-c.utilisation, c.id))), tuple(unchecked))


def _anchor(choice: AnchorChoice) -> Check:
    """An anchor's pull / what the kind taken may take; none that holds is a failure."""
    best = choice.chosen or max(
        (o for o in choice.options if o.allowable_kn), key=lambda o: o.allowable_kn, default=None
    )
    text = f"{best.size} ({choice.load.basis})" if best else f"no method holds ({choice.load.basis})"
    label = f"pull at anchor {choice.anchor} / what it may take there"
    return _check(f"{ANCHOR_HOLDING}:{choice.anchor}", ANCHOR_HOLDING, label, choice.load.load_kn, best, choice.soil, text)


def _base(base: BaseHold, unchecked: list[Unchecked]) -> list[Check]:
    """The base's level push against pins or a buried plate, its uplift against the pins."""
    found = []
    do = "give [winch] and the gin pole's data in the mast file"
    if base.push_kn is None:
        unchecked.append(Unchecked(BASE_PUSH, "the lift's forces on the base are not worked out", do))
    else:
        ways = ((base.push_kn, base.pins), (base.tie_kn, base.buried))
        load, held = next((way for way in ways if _use(*way) <= 1.0), None) or min(ways, key=lambda way: _use(*way))
        found.append(_check(BASE_PUSH, BASE_PUSH, "level push on the base in the lift / what holds it", load, held, base.soil, held.size))
    if base.uplift_kn is None:
        unchecked.append(Unchecked(BASE_UPLIFT, "the lift's forces on the base are not worked out", do))
    elif base.uplift_kn > 0.0:
        held = base.pins_uplift
        found.append(_check(BASE_UPLIFT, BASE_UPLIFT, "upward pull on the base in the lift / what the pins hold", base.uplift_kn, held, base.soil, held.size))
    return found


def _use(load_kn: float | None, held: Holding | None) -> float:
    if load_kn is None or held is None or not held.allowable_kn:
        return UTILISATION_MAX
    return min(load_kn / held.allowable_kn, UTILISATION_MAX)


def _check(name: str, kind: str, label: str, load_kn: float, held: Holding | None, soil: Soil, place: str) -> Check:
    used = _use(load_kn, held)
    error = PRESUMPTIVE_RATIO * used if soil.is_presumptive else 0.0
    verdict = FAIL if used > 1.0 else MARGINAL if used + error > 1.0 else PASS
    source = f"{held.source}; factor {held.safety_factor:g}" if held else "no method holds in this ground"
    return Check(name, kind, label, used, 1.0, "ratio", False, used, error, verdict, source, place)
