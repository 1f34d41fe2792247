"""The land as a planner reads it in a terminal: verdict and move first, then what is not checked, rules, zones, lines, air."""

from __future__ import annotations

import textwrap

from siting.figures import shown
from siting.records.air import NO
from siting.records.plan import Plan
from siting.writers.land.words import (
    DEFER_LAND,
    DO_NOT_RAISE,
    NO_AIR,
    NO_REACH,
    NO_RULES,
    NO_SCREENING,
    NOT_CHECKED,
    RESULT_WORDS,
    RULE_STANDS,
    asked_markings,
    blocking_texts,
    both,
    check_line,
    fall_words,
    land_headline,
    land_unchecked,
    land_verdict,
    lifting_words,
    line_name,
    no_lines_words,
    other_checks,
    rule_figures,
    rule_lines,
    signed,
    verdict_words,
    waived_lines,
)

WIDTH = 100


def land_text(plan: Plan, files: tuple[str, ...], out: str) -> str:
    """The whole text, lines of at most 100 characters.

    Args:
        files: names of what was written; out: the folder as shown.
    """
    parts = [
        _wrapped(f"{plan.name}   {plan.mast.name}   run {plan.provenance.run_id}"),
        _loud(plan), _rules(plan), _zones(plan), _lines(plan), _air(plan),
        "\n".join(_wrapped(f"PERMIT  {d.rule_set}: {d.text}") for d in plan.land.permit_dates),
        "\n".join([DEFER_LAND, *(_wrapped(text) for text in plan.cautions)]),
        f"{_wrapped(f'FILES in {out}')}\n{_wrapped('  '.join(files), '  ')}",
    ]  # fmt: skip
    return "\n\n".join(part for part in parts if part) + "\n"


def _wrapped(text: str, indent: str = "") -> str:
    return textwrap.fill(" ".join(text.split()), WIDTH, initial_indent=indent, break_on_hyphens=False, subsequent_indent=indent + "  ")


def _loud(plan: Plan) -> str:
    """Verdict, the move, the line that forbids raising, what is not checked, what is waived."""
    lines = [_wrapped(f"{verdict_words(land_verdict(plan))}. {land_headline(plan)}")]
    if plan.move is not None:
        lines.append(_wrapped(f"MOVE: {plan.move.text}"))
    lines += [_wrapped(f"{DO_NOT_RAISE}: {text}") for text in blocking_texts(plan)]
    lines += [_wrapped(check_line(check)) for check in other_checks(plan)]
    lines += [_wrapped(f"{NOT_CHECKED}: {u.missing}. Do: {u.do}.") for u in land_unchecked(plan)]
    lines += [_wrapped(f"WAIVED: {text}.") for text in waived_lines(plan)]
    return "\n".join(lines)


def _rules(plan: Plan) -> str:
    if not plan.land.rules:
        return _wrapped(f"RULES  {NOT_CHECKED}: {NO_RULES}")
    lines = ["RULES", f"  {'':<4}{'found':>14}{'asked for':>12}{'margin':>12}{'bearing':>10}  verdict"]
    for number, rule in enumerate(plan.land.rules, 1):
        found, asked, margin, bearing = rule_figures(rule)
        lines.append(f"  {number:<4}{found:>14}{asked:>12}{margin:>12}{bearing:>10}  {verdict_words(rule.verdict)}")
        lines += [_wrapped(text, " " * 6) for text in (rule.title, *rule_lines(rule)) if text]
    return "\n".join(lines)


def _zones(plan: Plan) -> str:
    """Every zone's area, and how much of it is not the applicant's."""
    if not plan.reach:
        return _wrapped(f"ZONES  {NO_REACH}")
    lines = ["ZONES", _wrapped(fall_words(plan), "  "), _wrapped(RULE_STANDS, "  "), f"  {'area m2':>10}{'own':>10}{'others':>10}{'no parcel':>11}  zone"]
    for zone in plan.reach:
        own, others = (sum(p.area_m2 for p in zone.by_parcel if p.is_own == is_own) for is_own in (True, False))
        known = zone.no_parcel_m2 is not None
        cells = [shown(v, "area", unit=False) if known else "?" for v in (own, others, zone.no_parcel_m2)]
        figures = f"  {shown(zone.area_m2, 'area', unit=False):>10}{cells[0]:>10}{cells[1]:>10}{cells[2]:>11}  "
        first, *rest = textwrap.wrap(f"{zone.title}{': THE RULE' if zone.is_rule else ''}", WIDTH - len(figures), break_on_hyphens=False)
        lines += [f"{figures}{first}", *(f"{'':{len(figures)}}{line}" for line in rest)]
        if zone.is_rule:
            lines += [_wrapped(f"{p.id}, {p.owner or 'owner not named'}: {shown(p.area_m2, 'area')}", " " * 45) for p in zone.by_parcel if not p.is_own]
    things = list(dict.fromkeys((t.distance_m, t.kind, t.name) for zone in plan.reach for t in zone.obstacles))
    lines += [_wrapped(f"Reached: {kind.replace('_', ' ')} {name}, {shown(m, 'length')} from the base", "  ") for m, kind, name in sorted(things)]
    return "\n".join(lines)


def _lines(plan: Plan) -> str:
    if not plan.power_lines:
        return _wrapped(f"OVERHEAD  {NOT_CHECKED}: {no_lines_words(plan)}")
    lines = ["OVERHEAD LINES", f"  {'lying':>10}{'going up':>11}{'standing':>11}{'falling':>11}{'asked for':>11}  verdict"]
    for line in plan.power_lines:
        figures = [shown(v, "length") for v in (line.lying_m, line.lifting_m, line.standing_m)]
        lines.append(f"  {figures[0]:>10}{figures[1]:>11}{figures[2]:>11}{signed(line.falling_m):>11}{shown(line.needed_m, 'length'):>11}  {verdict_words(line.verdict)}")
        texts = (line_name(line), f"Going up nearest: {lifting_words(line)}.", line.text, *line.information, f"Source: {line.source}.")
        lines += [_wrapped(text, " " * 6) for text in texts]
    return "\n".join(lines)


def _air(plan: Plan) -> str:
    air = plan.air
    if air is None:
        return _wrapped(f"AIR  {NOT_CHECKED}: {NO_AIR}")
    lines = [_wrapped(f"AIR  {RESULT_WORDS[air.result]}: {air.headline} {NO_SCREENING}")]
    lines.append(_wrapped(f"Above ground {both(air.total_height_m, air.total_height_ft)}; tip above mean sea level {both(air.tip_amsl_m, air.tip_amsl_ft)}.", "  "))
    lines += [_wrapped(f"{c.id}: {RESULT_WORDS[c.verdict]}: {c.text}. Source: {c.source}.", "  ") for c in air.criteria]
    lines += [_wrapped(f"{NOT_CHECKED}: {u.missing}. Do: {u.do}.", "  ") for u in air.unchecked]
    form = air.form
    lines.append(_wrapped(f"Notice: {form.latitude} {form.longitude}; {form.datum}; {form.lead_time}. Nearest: {form.nearest_airport}.", "  "))
    lines += [_wrapped(f"Marking, {'APPLIES' if m.applies == 'yes' else 'CANNOT TELL'}: {m.law} ({m.place}): {m.why}. {m.bands_text}", "  ") for m in asked_markings(air.markings)]
    count = sum(m.applies == NO for m in air.markings)
    if count:
        lines.append(f"  {count} other {'law does' if count == 1 else 'laws do'} not apply: see the sheet.")
    return "\n".join(lines)
