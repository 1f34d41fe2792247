"""The end of the dig sheet: the ground and the loads with their sources, the method, the rules, the cautions."""

from __future__ import annotations

from siting.figures import shown
from siting.records.dig import DigPlan
from siting.records.holding import HoldingPlan
from siting.writers.anchor_names import anchor_name, anchor_names
from siting.writers.dig.words import KIND_WORDS, grouped, soils, strength_words, water_words
from siting.writers.lift.words import DEFER
from siting.writers.paper.flow import Flow


def fill_method(flow: Flow, holding: HoldingPlan, dig: DigPlan) -> None:
    """What the figures rest on, from a new page on."""
    plan = flow.plan
    flow.turn()
    flow.lines("Loads", grouped(tuple((anchor_name(plan, c.anchor), f"{c.load.text} Source: {c.load.source}.") for c in holding.anchors)))
    flow.lines("Ground", _ground(flow, holding))
    pairs = tuple((anchor_name(plan, c.anchor), f"{held.size}. {held.source}") for c in holding.anchors for held in (c.chosen,) if held)
    others = tuple((KIND_WORDS.get(h.kind, h.kind), h.source) for c in holding.anchors for h in c.options if h != c.chosen and h.source)
    flow.lines("What the anchors hold: method, factor, source", (*grouped(pairs), *grouped(others), f"Base: {holding.base.pins.source}"))
    flow.lines("Method, and what it leaves out", holding.method)
    flow.lines("Rules of digging", dig.rules)
    flow.lines("Read first", (*plan.warnings, plan.mast.note))
    flow.lines("Cautions", (DEFER, *dig.cautions, *plan.cautions))
    flow.remarks()


def _ground(flow: Flow, holding: HoldingPlan) -> tuple[str, ...]:
    """Each soil in full: values, where they come from, what does not fit together."""
    texts = []
    for soil, names in soils(holding):
        loud = "PRESUMPTIVE" if soil.is_presumptive else "measured"
        texts.append(
            f"{anchor_names(flow.plan, names)}: {soil.description}, {loud} ({soil.basis}); {strength_words(soil)}; "
            f"{shown(soil.unit_weight_kn_m3, 'unit_weight')}, under water {shown(soil.buoyant_kn_m3, 'unit_weight')}; {water_words(soil)}; "
            f"walls of type {soil.excavation_type}: {soil.excavation_source}. Sources: {'; '.join(soil.sources) or 'none'}."
        )
        texts += [f"{anchor_names(flow.plan, names)}: {text}" for text in soil.warnings]
    return tuple(texts)
