"""Anchors and digging in the map's panel: the load at each anchor, the kind taken, where the crew stops, the proof load."""

from __future__ import annotations

from html import escape

from siting.figures import shown
from siting.records.dig import DigPlan
from siting.records.holding import AnchorChoice
from siting.records.plan import Plan
from siting.writers.anchor_names import anchor_name
from siting.writers.dig.words import (
    CALL,
    CALL_MORE,
    DO_NOT_RIG,
    KIND_WORDS,
    NO_DESIGN,
    NOTHING_HOLDS,
    deep_words,
    grouped,
    holding_headline,
    holding_verdict,
    is_screening,
    stop_at,
    unheld,
)
from siting.writers.map.markup import bullets, loud, paragraph, section, titled, wide_table, word


def _cells(plan: Plan, choice: AnchorChoice, dig: DigPlan) -> tuple[str, ...]:
    """An anchor's row: load and what it rests on, kind and size, torque or depth, proof load."""
    held, stop, load = choice.chosen, stop_at(choice, dig), choice.load
    kind = f"{KIND_WORDS.get(held.kind, held.kind)}<span>{escape(held.size)}</span>" if held else f"<b>{NOTHING_HOLDS}</b>"
    return (
        escape(anchor_name(plan, choice.anchor)),
        f"{shown(load.load_kn, 'force', unit=False)}<span>{escape(load.basis)}</span>",
        kind,
        (f"<b>{stop.figure} {stop.unit}</b><span>{escape(stop.name)}</span>" if stop.figure else "–")
        + f"<span>proof {shown(choice.proof_kn, 'force')}</span>",
    )


def anchors_part(plan: Plan) -> str:
    """The section on anchors and digging; nothing where the plan does not work out the hold. HTML, units in its words."""
    holding, dig = plan.holding, plan.dig
    if holding is None or dig is None:
        return ""
    none, deep = unheld(holding), deep_words(plan, dig)
    rows = [_cells(plan, choice, dig) for choice in holding.anchors]
    heads = ("Anchor", "Load, kN", "Kind and size", "Stop at, proof")
    warned = grouped(tuple((anchor_name(plan, c.anchor), text) for c in holding.anchors for text in c.warnings))
    content = "".join(
        [
            loud("unchecked", CALL) + paragraph(CALL_MORE),
            loud("fail", f"{NOTHING_HOLDS}: {', '.join(anchor_name(plan, c.anchor) for c in none)}. {DO_NOT_RIG}") if none else "",
            loud("marginal", NO_DESIGN) if is_screening(holding) else "",
            loud("marginal", f"DEEP PITS: {deep}") if deep else "",
            paragraph(holding_headline(plan, holding)),
            wide_table("Anchors", heads, rows, "anchors"),
            titled("Base plate", paragraph(holding.base.text)),
            titled("What the crew must know", bullets(warned)),
        ]
    )
    return section("Anchors and digging", content, "dig", told=word(holding_verdict(holding)))
