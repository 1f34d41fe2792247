"""The lift in the map's panel: wind stop, hold points, pulls, and what each line lets out or takes in, stop by stop."""

from __future__ import annotations

from html import escape

from siting.records.lift_guys import LiftGuy, LiftStop
from siting.records.plan import Plan
from siting.writers.lift.force_words import angle, no_forces, pull_at, pulls, watch
from siting.writers.lift.words import (
    DO_NOT_RAISE,
    NO_SOURCE,
    STOP_IF,
    check_words,
    hold_points,
    lift_headline,
    line_name,
    lines_by_anchor,
    loud_checks,
    mend_texts,
    no_lines,
    overhead,
    wind_words,
)
from siting.writers.map.markup import bullets, facts, loud, paragraph, section, titled, wide_table, word

WITHOUT_STOP = "WIND STOP NOT SET"


def _wind(plan: Plan) -> str:
    """The wind at which the lift stops, in the largest letters of the panel."""
    figure, beside = wind_words(plan)
    if plan.wind_stop is None:
        return loud("fail", figure) + paragraph(beside)
    return f'<p class="wind"><span>Wind stop</span> <strong>{escape(figure)}</strong> <span>{escape(beside)}</span></p>'


def _overhead(plan: Plan) -> str:
    """What is known of lines overhead, shouted where it blocks or is not checked."""
    found = overhead(plan)
    verdict = "fail" if found.is_blocking else "marginal" if found.capitals == "MARGINAL" else "unchecked"
    return (loud(verdict, f"{found.capitals}: overhead lines") if found.capitals else "") + paragraph(found.text)


def _doing(stop: LiftStop, is_first: bool) -> str:
    """What the line's crew does on the way to this stop: a word and centimetres."""
    if is_first:
        return "<b>FAST</b>"
    if stop.change_cm == 0.0:
        return "leave"
    star = "*" if stop.peak_cm > 0.0 else ""
    return f"<b>{'OUT' if stop.change_cm > 0.0 else 'IN'}{star}</b> {abs(stop.change_cm):.0f}"


def _line_cells(plan: Plan, line: LiftGuy, number: int) -> tuple[str, ...]:
    point, _ = line_name(plan, line)
    where = line.role if line.attach_m is None else f"{line.role}, {line.attach_m:g} m up"
    stop = line.stops[number]
    since = f"{stop.since_rest_cm:+.0f}".replace("-", "−").replace("+0", "0")
    return f"{escape(point)} <span>{escape(where)}</span>", _doing(stop, number == 0), since, f"{stop.length_m:.2f}"


def _stop(plan: Plan, lines: tuple[LiftGuy, ...], number: int) -> str:
    """One stop: every line's order, and the winch pull there."""
    at, pull = angle(lines[0].stops[number].angle_deg), ""
    if plan.statics is not None:
        figure = pull_at(plan, lines[0].stops[number].angle_deg)
        pull = f": winch pull {figure}" + (" kN" if figure[0].isdigit() else "")
    heads = ("Line", "Do, cm", "In all, cm", "Length, m")
    rows = [_line_cells(plan, line, number) for line in lines]
    peaks = [
        f"* {' '.join(line_name(plan, line))}: {line.stops[number].instruction}."
        for line in lines if line.stops[number].peak_cm > 0.0
    ]  # fmt: skip
    return (
        f'<div class="stop" data-stop="{number}"><h4>Mast at {at}{escape(pull)}</h4>'
        f"{wide_table(f'Lines with the mast at {at}', heads, rows, 'orders')}{bullets(peaks)}</div>"
    )


def _orders(plan: Plan) -> str:
    """The lift table, one stop at a time on the screen, all of them on paper."""
    lines = lines_by_anchor(plan)
    if plan.lift_guys is None or not lines:
        return paragraph(no_lines(plan))
    count = len(lines[0].stops)
    choices = [(str(number), angle(lines[0].stops[number].angle_deg)) for number in range(count)]
    radios = "".join(
        f'<label><input type="radio" name="stop" value="{value}"{" checked" if value == "0" else ""}><span>{text}</span></label>'
        for value, text in (*choices, ("all", "All"))
    )
    return (
        f'<fieldset class="stops"><legend>Mast at</legend>{radios}</fieldset>'
        + "".join(_stop(plan, lines, number) for number in range(count))
        + paragraph("OUT: let out. IN: take in, since the stop before. In all: since the rest line. FAST: make fast at this length.", "small")
        + bullets(plan.lift_guys.notes)
    )


def _pulls(plan: Plan) -> str:
    found = pulls(plan)
    return facts([(name, f"{figure}, {place}") for name, figure, place in found]) if found else paragraph(no_forces(plan))


def lift_part(plan: Plan) -> str:
    """The section on the lift; HTML, units in its words."""
    blocked = overhead(plan).is_blocking
    told = word("fail", DO_NOT_RAISE) if blocked else word("fail", WITHOUT_STOP) if plan.wind_stop is None else ""
    watched = watch(plan) if plan.statics is not None else ()
    content = "".join(
        [
            _wind(plan),
            _overhead(plan),
            paragraph(lift_headline(plan)),
            bullets(f"{check_words(check)}." for check in loud_checks(plan)),
            titled("Let out or take in, stop by stop", _orders(plan)),
            titled("Winch pull", _pulls(plan)),
            titled("Hold points, in order", bullets(hold_points(plan), "ol") + paragraph(f"Hold points: {NO_SOURCE}.", "small")),
            titled("Stop if", bullets(STOP_IF)),
            titled("A side anchor over the limit", bullets(mend_texts(plan))),
            titled("Watch in this lift", bullets(watched)),
        ]
    )
    return section("Lift", content, "lift", told=told)
