"""The plan as a surveyor reads it in a terminal: verdict first, then laydown, stakes, checks, files."""

from __future__ import annotations

import textwrap

from siting.figures import CHECK_QUANTITIES, shown
from siting.records.findings import Check
from siting.records.plan import Plan, Stake
from siting.units import compass_point
from siting.verdict import FAIL, MARGINAL

WIDTH = 100
MARKS = {"pass": "pass", "marginal": "MARGINAL", "fail": "FAIL", "unchecked": "unchecked"}
CHECKS_SHOWN = 8
ID_WIDTH = 8


def terminal_text(plan: Plan, files: tuple[str, ...], out: str) -> str:
    """The whole text, lines of at most 100 characters."""
    parts = [
        _wrapped(f"{plan.name}   {plan.mast.name}   run {plan.provenance.run_id}"),
        _wrapped(f"{plan.verdict.upper()}. {plan.headline}"),
        _laydown(plan),
        _stakes(plan),
        _checks(plan),
        _remarks(plan),
        f"{_wrapped(f'FILES in {out}')}\n{_wrapped('  '.join(files), '  ')}",
        _wrapped(f"{plan.cautions[0]} {plan.cautions[1]}"),
    ]
    return "\n\n".join(part for part in parts if part) + "\n"


def _wrapped(text: str, indent: str = "") -> str:
    # Blanks between file names are kept in pairs; a name longer than a line is broken.
    return textwrap.fill(text, WIDTH, initial_indent=indent, break_on_hyphens=False, subsequent_indent=indent + ("  " if indent else ""))


def _laydown(plan: Plan) -> str:
    lay = plan.laydown
    magnetic = shown(lay.azimuth_magnetic_deg, "bearing")
    lines = [
        f"LAYDOWN ({lay.chosen_by})",
        _wrapped(lay.summary, "  "),
        f"  azimuth {shown(lay.azimuth_deg, 'bearing')} true ({compass_point(lay.azimuth_deg)}),"
        f" {shown(lay.azimuth_grid_deg, 'bearing')} grid, {magnetic} magnetic",
        f"  ground {shown(lay.slope_percent, 'percent')} along it, {shown(lay.cross_fall_percent, 'percent')} across; "
        f"rest line {shown(lay.rest_slope_percent, 'percent')}; cribbing up to {shown(lay.max_gap_m, 'length')} "
        f"at {shown(lay.max_gap_at_m, 'length')}",
    ]
    lines += [_wrapped(reason, "  ") for reason in lay.reasons]
    for other in lay.runners_up:
        text = f"next: {shown(other.azimuth_deg, 'bearing')} ({other.verdict}, {100 * other.worst_utilisation:.0f} %): {other.why}"
        lines.append(_wrapped(text, "  "))
    return "\n".join(lines)


def _stakes(plan: Plan) -> str:
    base, crs = plan.base, plan.crs
    code = f"EPSG:{crs.epsg}" if crs.epsg else crs.name
    head = f"STAKES in {crs.name} ({code}), {crs.unit}; heights from the DEM in m ({plan.terrain.vertical_datum})"
    frame = (
        f"  convergence {shown(crs.convergence_deg, 'bearing')}, declination {shown(crs.declination_deg, 'bearing')}, "
        f"combined factor {shown(crs.combined_factor, 'factor')}; base {base.dms}"
    )
    titles = f"  {'id':<9}{'role':<10}{'northing':>13}{'easting':>13}{'height':>10}{'azimuth':>9}{'ground m':>10}{'above':>8}{'slope':>8}  verdict"
    shown_stakes = [s for s in plan.stakes if s.role != "offset"]
    rows = [_stake_row(number, s) for number, s in enumerate(shown_stakes, 1)]
    offsets = sum(s.role == "offset" for s in plan.stakes)
    more = [f"  and {offsets} offset stakes outside the digs"] if offsets else []
    more += [f"  {len(plan.control)} points of your own as check points"] if plan.control else []
    return "\n".join([head, frame, titles, *rows, *(f"{line}, in every file" for line in more)])


def _stake_row(number: int, stake: Stake) -> str:
    """A row of the table; a name that does not fit stands on a line of its own before it, with the row's number."""
    name = next((n for n in (stake.id, stake.point) if len(n) <= ID_WIDTH), f"no.{number}")
    long_id = "" if name == stake.id else f"{_wrapped(f'{name} is {stake.id}:', '  ')}\n"
    return (
        f"{long_id}  {name:<9}{stake.role:<10}{stake.northing:>13.3f}{stake.easting:>13.3f}{stake.height_m:>10.2f}"
        f"{shown(stake.azimuth_deg, 'bearing'):>9}{stake.radius_m:>10.2f}{stake.above_base_m:>+8.2f}"
        f"{shown(stake.slope_percent, 'percent'):>8}  {MARKS[stake.verdict]}"
    )


def _checks(plan: Plan) -> str:
    loud = [c for c in plan.checks if c.verdict in (FAIL, MARGINAL)]
    quiet = [c for c in plan.checks if c.verdict not in (FAIL, MARGINAL)]
    listed = [*loud, *quiet[: max(CHECKS_SHOWN - len(loud), 3)]]
    lines = [f"CHECKS, the tightest first ({len(plan.checks)} in all)"]
    lines += [_check_line(c) for c in listed]
    if len(listed) < len(plan.checks):
        lines.append(f"  and {len(plan.checks) - len(listed)} more that pass with more room; all of them in plan.json and map.html")
    for item in plan.unchecked_detail:
        lines.append(_wrapped(f"NOT CHECKED  {item.id}: {item.missing}. To have it checked: {item.do}.", "  "))
    lines += [_wrapped(f"MOVE  {plan.move.text}", "  ")] if plan.move else []
    return "\n".join(lines)


def _check_line(check: Check) -> str:
    kind = CHECK_QUANTITIES.get(check.unit, "none")
    side = "least" if check.limit_is_least else "limit"
    value = shown(check.value, kind)
    limit = shown(check.limit, kind)
    label = textwrap.shorten(check.label, 52, placeholder="…")
    return f"  {MARKS[check.verdict]:<9}{100 * check.utilisation:>5.0f} %  {label:<53}{value:>9}  {side} {limit}"


def _remarks(plan: Plan) -> str:
    lines = [_wrapped(f"WARNING  {text}") for text in plan.warnings]
    lines += [_wrapped(f"note  {text}") for text in plan.notes]
    return "\n".join(lines)
