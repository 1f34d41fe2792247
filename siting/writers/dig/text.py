"""The digging as a crew leader reads it in a terminal: verdict and the call first, then ground, anchors, holes, what to watch."""

from __future__ import annotations

import textwrap

from siting.figures import shown
from siting.records.dig import DigPlan, Hole
from siting.records.holding import HoldingPlan
from siting.records.plan import Plan
from siting.writers.anchor_names import anchor_name, anchor_names
from siting.writers.dig.crew_table import crew_rows
from siting.writers.dig.words import (
    CALL,
    CALL_MORE,
    NO_DESIGN,
    NOTHING_HOLDS,
    PRESUMED,
    PRESUMPTIVE,
    deep_words,
    grouped,
    holding_check_words,
    holding_headline,
    holding_verdict,
    hole_ref,
    is_screening,
    loud_holding,
    soils,
    strength_words,
    wall_words,
    water_words,
)
from siting.writers.lift.words import DEFER

WIDTH, NAME = 100, 8


def dig_text(plan: Plan, holding: HoldingPlan, dig: DigPlan, files: tuple[str, ...], out: str) -> str:
    """The whole text, lines of at most 100 characters.

    Args:
        files: names of what was written; out: the folder as shown.
    """
    parts = [
        _wrapped(f"{plan.name}   {plan.mast.name}   run {plan.provenance.run_id}"),
        _loud(plan, holding, dig),
        _ground(plan, holding),
        _anchors(plan, holding, dig),
        _holes(plan, dig),
        _watch(plan, holding, dig),
        "\n".join([_wrapped(f"BASE PLATE  {holding.base.text}")]),
        "\n".join([DEFER, *(_wrapped(text) for text in dig.cautions)]),
        f"{_wrapped(f'FILES in {out}')}\n{_wrapped('  '.join(files), '  ')}",
    ]
    return "\n\n".join(part for part in parts if part) + "\n"


def _wrapped(text: str, indent: str = "") -> str:
    return textwrap.fill(text, WIDTH, initial_indent=indent, break_on_hyphens=False, subsequent_indent=indent + "  ")


def _loud(plan: Plan, holding: HoldingPlan, dig: DigPlan) -> str:
    """Verdict, the call, deep pits, loads that are no design, what fails."""
    lines = [_wrapped(f"{holding_verdict(holding).upper()}. {holding_headline(plan, holding)}"), CALL, _wrapped(CALL_MORE, "  ")]
    deep = deep_words(plan, dig)
    lines += [_wrapped(f"DEEP PITS: NOBODY GOES IN BEFORE THE WALLS ARE MADE SAFE: {deep}")] if deep else []
    lines += [NO_DESIGN] if is_screening(holding) else []
    lines += [_wrapped(holding_check_words(check)) for check in loud_holding(holding)]
    return "\n".join(lines)


def _ground(plan: Plan, holding: HoldingPlan) -> str:
    lines = ["GROUND as taken"]
    for soil, names in soils(holding):
        loud = f"{PRESUMPTIVE}: " if soil.is_presumptive else f"{soil.basis}: "
        told = f"{loud}{soil.description}, {strength_words(soil)}, {water_words(soil)}, walls type {soil.excavation_type}; at {anchor_names(plan, names)}"
        lines.append(_wrapped(told, "  "))
    if any(soil.is_presumptive for soil, _ in soils(holding)):
        lines.append(_wrapped(f"{PRESUMPTIVE}: {PRESUMED}", "  "))
    return "\n".join(lines)


def _anchors(plan: Plan, holding: HoldingPlan, dig: DigPlan) -> str:
    """Load, angle, rod, where to stop, proof load of each anchor, then its kind and size on a line of its own."""
    lines = ["ANCHORS", f"  {'anchor':<{NAME}}{'load kN':>9}{'angle':>8}{'rod m':>8}{'stop at':>12}{'proof kN':>10}  load from; kind and size"]
    for choice, row in zip(holding.anchors, crew_rows(plan, holding, dig), strict=True):
        name, load, basis, angle, size, rod, stop, proof = row.cells
        own = _own_line(choice.anchor, name)
        if row.refusal:
            lines.append(f"{own}  {_short(name):<{NAME}}{load:>9}{angle:>8}  {NOTHING_HOLDS}")
            lines.append(_wrapped(row.refusal, " " * 10))
            continue
        told = f"{basis}; {size}" + (f"; {row.stop_name}" if row.stop_name else "")
        head = f"{own}  {_short(name):<{NAME}}{load:>9}{angle:>8}{rod:>8}{stop:>12}{proof:>10}"
        lines.append(f"{head}  {told}" if len(head) + len(told) + 2 <= WIDTH else f"{head}\n{_wrapped(told, ' ' * 10)}")
    return "\n".join(lines)


def _own_line(anchor: str, name: str) -> str:
    """A long id on a line before the row of its short name."""
    return "" if anchor == name else f"{_wrapped(f'{name} is {anchor}:', '  ')}\n"


def _short(name: str) -> str:
    return name if len(name) < NAME else name[: NAME - 2] + "…"


def _holes(plan: Plan, dig: DigPlan) -> str:
    titles = f"  {'hole':<17}{'easting':>11}{'northing':>12}{'deep m':>8}{'floor m':>13}{'opening m':>15}{'walls':>9}{'dug m3':>8}"
    return "\n".join(["HOLES (along the guy x square to it)", titles, *(_hole(plan, hole) for hole in dig.holes)])


def _hole(plan: Plan, hole: Hole) -> str:
    name = hole_ref(plan, hole)
    name = name if len(name) < 17 else name[:15] + "…"
    is_pit = hole.work == "pit"
    floor = f"{hole.floor_width_m:.2f} x {hole.floor_length_m:.2f}" if is_pit else "-"
    top = f"{hole.top_width_m:.2f} x {hole.top_length_m:.2f}" if is_pit else "-"
    dug = shown(hole.dug_m3, "volume", unit=False) if is_pit else "-"
    walls = wall_words(hole).replace("–", "-")
    loud = " DEEP" if hole.is_deep else ""
    return (
        f"  {name:<17}{hole.easting:>11.2f}{hole.northing:>12.2f}{hole.depth_m:>8.2f}{floor:>13}{top:>15}{walls:>9}{dug:>8}{loud}"
    )


def _watch(plan: Plan, holding: HoldingPlan, dig: DigPlan) -> str:
    """Warnings of anchors and holes, the walls' support."""
    pairs = tuple((anchor_name(plan, c.anchor), text) for c in holding.anchors for text in c.warnings)
    pairs += tuple((hole_ref(plan, h), text) for h in dig.holes for text in (h.support, *h.warnings))
    return "\n".join(["WATCH", *(_wrapped(text, "  ") for text in grouped(pairs))]) if pairs else ""
