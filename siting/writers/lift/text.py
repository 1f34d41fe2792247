"""The lift day as a crew leader reads it in a terminal: verdict and wind stop first, then holds, lines, pulls, cautions."""

from __future__ import annotations

import textwrap

from siting.figures import shown
from siting.records.lift_guys import LiftGuy, LiftStop
from siting.records.plan import Plan
from siting.records.statics import LiftStage
from siting.units import compass_point
from siting.writers.lift.force_words import angle, force, lift_notes, no_forces, pulls, watch
from siting.writers.lift.transfer_words import (
    ACTION_WORDS,
    NO_ORDER_LOUD,
    TRANSFER_TITLE,
    no_transfer,
    step_anchor,
    step_gap,
    step_held,
    step_level,
)
from siting.writers.lift.words import (
    DEFER,
    NO_SOURCE,
    NOT_SET,
    STOP_IF,
    check_words,
    hold_points,
    lift_headline,
    lift_unchecked,
    lift_verdict,
    line_name,
    lines_by_anchor,
    loud_checks,
    mend_texts,
    no_lines,
    overhead,
    wind_words,
    zones,
)

WIDTH = 100
STOP, CELL = 8, 15  # width of the column of angles and of a line's column, characters
LINES_BESIDE = (WIDTH - 2 - STOP) // CELL


def lift_text(plan: Plan, file: str) -> str:
    """The whole text, lines of at most 100 characters."""
    parts = [
        f"{plan.name}   {plan.mast.name}   run {plan.provenance.run_id}",
        _verdict(plan),
        _laydown(plan),
        _zones(plan),
        _holds(plan),
        *_lines(plan),
        _mends(plan),
        _pulls(plan),
        _transfer(plan),
        _remarks(plan),
        _cautions(plan),
        f"FILE  {file}",
    ]
    return "\n\n".join(part for part in parts if part) + "\n"


def _wrapped(text: str, indent: str = "") -> str:
    return textwrap.fill(text, WIDTH, initial_indent=indent, subsequent_indent=indent + "  ")


def _verdict(plan: Plan) -> str:
    """Verdict, wind stop, overhead lines; then what fails and what was not checked, as loud as each other."""
    lines = [_wrapped(f"{lift_verdict(plan).upper()}. {lift_headline(plan)}")]
    value, words = wind_words(plan)
    lines.append(_wrapped(f"{NOT_SET}. {words}" if plan.wind_stop is None else f"WIND STOP {value}, {words}"))
    above = overhead(plan)
    lines.append(_wrapped(f"{above.capitals + '. ' if above.capitals else ''}{above.text}"))
    lines += [_wrapped(check_words(check)) for check in loud_checks(plan)]
    lines += [_wrapped(f"NOT CHECKED  {u.id}: {u.missing}. To have it checked: {u.do}.") for u in lift_unchecked(plan)]
    return "\n".join(lines)


def _laydown(plan: Plan) -> str:
    lay = plan.laydown
    magnetic = "magnetic not known" if lay.azimuth_magnetic_deg is None else f"{shown(lay.azimuth_magnetic_deg, 'bearing')} magnetic"
    return "\n".join(
        [
            "LAYDOWN",
            f"  azimuth {shown(lay.azimuth_deg, 'bearing')} true ({compass_point(lay.azimuth_deg)}), "
            f"{shown(lay.azimuth_grid_deg, 'bearing')} grid, {magnetic}",
            f"  mast lies at {angle(lay.rest_angle_deg)}; cribbing up to {shown(lay.max_gap_m, 'length')} at "
            f"{shown(lay.max_gap_at_m, 'length')}",
            f"  base {plan.base.dms}{'  ' + plan.base.mgrs if plan.base.mgrs else ''}",
        ]
    )


def _zones(plan: Plan) -> str:
    rows = [_wrapped(f"{z.name:<14}{z.figure:>9}  {z.where}", "  ") for z in zones(plan)]
    return "\n".join(["KEEP OUT while the mast moves, on the ground", *rows])


def _holds(plan: Plan) -> str:
    rows = [f"  {number:>2}  {text}" for number, text in enumerate(hold_points(plan), 1)]
    stops = _wrapped(f"Stop if {'; '.join(STOP_IF)}.", "  ")
    return "\n".join([f"HOLD POINTS ({NO_SOURCE}): nobody goes on before each has a name beside it", *rows, stops])


def _lines(plan: Plan) -> list[str]:
    """The instruction table, a few lines beside each other, and where each line is tightest and slackest."""
    found = plan.lift_guys
    if found is None:
        return [_wrapped(f"LINES  {no_lines(plan)}")]
    parts = ["LINES, centimetres since the stop before: let out or take in, done by the time the mast is there"]
    lines = lines_by_anchor(plan)
    for first in range(0, len(lines), LINES_BESIDE):
        parts.append(_block(plan, lines[first : first + LINES_BESIDE]))
    titles = f"  {'line':<40}{'travel m':>9}{'tightest m':>12}{'at':>7}{'slackest m':>12}{'at':>7}"
    rows = [
        f"  {_cut(' '.join(line_name(plan, x)), 39):<40}{x.travel_m:>9.2f}{x.tightest_m:>12.2f}{angle(x.tightest_at_deg):>7}"
        f"{x.slackest_m:>12.2f}{angle(x.slackest_at_deg):>7}"
        for x in lines
    ]
    parts.append("\n".join([titles, *rows]))
    peaks = [
        _wrapped(f"* {' '.join(line_name(plan, x))}, to {angle(s.angle_deg)}: {s.instruction}.", "  ")
        for x in lines for s in x.stops if s.peak_cm > 0.0
    ]  # fmt: skip
    return [*parts, "\n".join(peaks)]


def _block(plan: Plan, lines: tuple[LiftGuy, ...]) -> str:
    heads = ["  mast at " + "".join(f"{_cut(line_name(plan, x)[0], CELL - 1):>{CELL}}" for x in lines)]
    at = ["tip, winch" if x.attach_m is None else f"{x.attach_m:g} m, {x.role}" for x in lines]
    heads.append(" " * (STOP + 2) + "".join(f"{text:>{CELL}}" for text in at))
    rows = [
        f"  {angle(stop_deg):<{STOP}}" + "".join(f"{_cell(x.stops[number], number):>{CELL}}" for x in lines)
        for number, stop_deg in enumerate(plan.lift_guys.stops_deg)
    ]
    return "\n".join([*heads, *rows])


def _cell(stop: LiftStop, number: int) -> str:
    if number == 0:
        return f"rest {stop.length_m:.2f} m"
    star = "*" if stop.peak_cm > 0.0 else ""
    if stop.change_cm == 0.0:
        return f"leave{star}"
    return f"{'out' if stop.change_cm > 0 else 'in'} {abs(stop.change_cm):.0f}{star}"


def _cut(text: str, width: int) -> str:
    return text if len(text) <= width else text[: width - 1] + "…"


def _mends(plan: Plan) -> str:
    texts = mend_texts(plan)
    return "\n".join(["MENDS", *(_wrapped(text, "  ") for text in texts)]) if texts else ""


def _pulls(plan: Plan) -> str:
    if plan.statics is None:
        return "PULL\n" + _wrapped(no_forces(plan), "  ")
    found = plan.statics
    loads = found.loads
    lifted = f"mast {shown(loads.mast_kg, 'mass')}, loads {shown(loads.loads_kg, 'mass')}, guys {shown(loads.guys_kg, 'mass')}"
    lines = [f"PULL: {lifted}; friction {found.friction_ratio:g} of the line's force"]
    lines += [f"  {name:<16}{figure:>10}  {where}" for name, figure, where in pulls(plan)]
    for stage in found.stages:
        lines += _stage(stage)
    lines.append(_wrapped(f"Uphill against downhill: {found.gain.text}.", "  "))
    lines += [_wrapped(text, "  ") for text in watch(plan)]
    return "\n".join(lines)


def _stage(stage: LiftStage) -> list[str]:
    titles = f"    {'angle':>7}{'pull kN':>10}{'arm m':>9}{'pole push kN':>14}{'hinge along':>13}{'hinge up':>10}{'back guy':>10}"
    rows = [
        f"    {angle(stage.angles_deg[k]):>7}{_number(stage.winch_pull_kn[k]):>10}{stage.arm_m[k]:>9.2f}"
        f"{_number(stage.gin_pole_compression_kn[k]):>14}{_number(stage.hinge_along_kn[k]):>13}"
        f"{_number(stage.hinge_vertical_kn[k]):>10}{_number(stage.back_guy_kn[k]):>10}"
        for k in range(len(stage.angles_deg))
    ]
    return [f"  The {stage.raises} goes up by the {stage.by}", titles, *rows]


def _number(value: float | None) -> str:
    return force(value).removesuffix(" kN")


def _transfer(plan: Plan) -> str:
    """The order in which the guys go over to the permanent anchors, or why there is none; lift.pdf says how each step is done."""
    title = TRANSFER_TITLE.upper()
    if plan.transfer is None:
        return "\n".join([f"{title}: {NO_ORDER_LOUD}", *(_wrapped(text, "  ") for text in no_transfer(plan))])
    rows = [
        textwrap.fill(
            f" {step_level(step):>10}  {ACTION_WORDS[step.action]:<9}  {step_anchor(plan, step)}; then held by {step_held(plan, step)}"
            + (f", widest gap {step_gap(step)}" if step.held_by else ""),
            WIDTH, initial_indent=f"  {step.number:>3}", subsequent_indent=" " * 30, break_on_hyphens=False,
        )
        for step in plan.transfer.steps
    ]  # fmt: skip
    return "\n".join([f"{title} (how: lift.pdf)", *rows, *(_wrapped(text, "  ") for text in plan.transfer.notes)])


def _remarks(plan: Plan) -> str:
    lines = [_wrapped(f"WARNING  {text}") for text in plan.warnings]
    lines += [_wrapped(f"note  {text}") for text in lift_notes(plan)]
    return "\n".join(lines)


def _cautions(plan: Plan) -> str:
    return "\n".join([DEFER, *(_wrapped(text) for text in plan.cautions)])
