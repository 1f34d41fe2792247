"""The rules of the land and the overhead lines in the map's panel: found, asked for, margin, and where the rule comes from."""

from __future__ import annotations

from html import escape

from siting.figures import shown
from siting.records.plan import Plan
from siting.records.power import PowerLineFinding
from siting.records.rules import RuleFinding
from siting.verdict import worst
from siting.writers.map.checks_part import item
from siting.writers.map.markup import bullets, paragraph, section, titled, word


def _rule(rule: RuleFinding) -> str:
    """One rule: what was found, what is asked for, the margin between them, and the source."""
    found = "NOT MEASURED" if rule.value_m is None else shown(rule.value_m, "length")
    margin = "" if rule.margin_m is None else f", margin {rule.margin_m:+.2f} m".replace("-", "−")
    place = f"{rule.measured}; nearest: {rule.to}" if rule.to else rule.measured
    toward = f", {shown(rule.bearing_deg, 'bearing')} true" if rule.bearing_deg is not None else ""
    asked = f"{found}, asked for {shown(rule.limit_m, 'length')}{margin}"
    return item(
        rule.verdict,
        rule.title,
        f'<p class="figure">{escape(asked)}</p>'
        + paragraph(f"Asked for: {rule.how}. {place}{toward}.")
        + bullets(f"Waived: {text}" for text in rule.waived)
        + paragraph(rule.note)
        + paragraph(f"{rule.rule_set} · {rule.source}", "small"),
    )


def land_part(plan: Plan) -> str:
    """The section on the rules of the land, with the move that mends them; nothing without either. HTML, units in its words."""
    land, move = plan.land, plan.move
    moved = titled("Move of the base", paragraph(move.text)) if move is not None else ""
    rules = "".join(_rule(rule) for rule in land.rules)
    dates = bullets(f"{dates.rule_set}: {dates.text}" for dates in land.permit_dates)
    if not (moved or rules or dates):
        return ""
    told = word(worst(rule.verdict for rule in land.rules)) if land.rules else ""
    missing = sum(rule.verdict == "unchecked" for rule in land.rules)
    told += f'<span class="told">{missing} not checked</span>' if missing else ""
    is_open = any(rule.verdict != "pass" for rule in land.rules) or bool(moved)
    return section("Rules of the land", moved + rules + titled("How long a permit lasts", dates), "land", told=told, is_open=is_open)


def _line(line: PowerLineFinding) -> str:
    """One overhead line: how near the mast comes to it, and which distance its voltage asks for."""
    near = f"{shown(line.least_m, 'length')}, asked for {shown(line.needed_m, 'length')}"
    return item(
        line.verdict,
        line.name or "Overhead line",
        f'<p class="figure">{near}</p>{paragraph(line.text)}{bullets(line.information)}{paragraph(f"Source: {line.source}", "small")}',
    )


def lines_part(plan: Plan) -> str:
    """The section on overhead lines that are drawn; nothing where none is. HTML, units in its words."""
    told = word(worst(line.verdict for line in plan.power_lines)) if plan.power_lines else ""
    is_open = any(line.verdict != "pass" for line in plan.power_lines)
    return section("Overhead lines", "".join(_line(line) for line in plan.power_lines), "lines", told=told, is_open=is_open)
