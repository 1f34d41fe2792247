"""The as-staked report as a surveyor reads it: verdict first, the likely cause, every point, what it does to the layout."""

from __future__ import annotations

import textwrap
from itertools import groupby

from siting.figures import CHECK_QUANTITIES, shown
from siting.records.as_staked import NONE, ONE_POINT, AsStaked, CheckStaked, GuyStaked, StakedPoint
from siting.verdict import FAIL, MARGINAL
from siting.writers.terminal import MARKS, WIDTH

# Chords that change by less are not worth a line: a turnbuckle takes up more. Common practice, no source.
CHORD_CHANGE_M = 0.05
CHECKS_SHOWN = 6


def as_staked_text(report: AsStaked) -> str:
    """The whole text, lines of at most 100 characters where names and numbers allow it."""
    source = report.source
    parts = [
        f"{source.plan}   as staked   run {source.run_id}   plan run {source.plan_run_id} ({source.plan_verdict})",
        _wrapped(f"{report.verdict.upper()}. {report.headline}"),
        _cause(report),
        _points(report),
        _effects(report),
    ]
    return "\n\n".join(part for part in parts if part) + "\n"


def _wrapped(text: str, indent: str = "") -> str:
    return textwrap.fill(text, WIDTH, initial_indent=indent, subsequent_indent=indent + ("  " if indent else ""))


def _cause(report: AsStaked) -> str:
    cause = report.cause
    lines = [f"LIKELY CAUSE  {report.likely_cause.replace('_', ' ')}", _wrapped(cause.sentence, "  ")]
    if cause.do != "Nothing.":
        lines.append(_wrapped(cause.do, "  "))
    if report.likely_cause not in (NONE, ONE_POINT):
        tried = ", ".join(f"{a.cause.replace('_', ' ')} {_metres(a.left_m)}" for a in cause.alternatives)
        lines.append(_wrapped(f"Left by each cause (the worst quarter of the points aside): {tried}.", "  "))
    return "\n".join(lines)


def _metres(value: float) -> str:
    return f"{value / 1000:,.0f} km" if value >= 10_000 else f"{value:.2f} m"


def _points(report: AsStaked) -> str:
    source, tolerance = report.source, report.tolerance
    width = max(7, *(len(p.id) for p in report.points))
    lines = [
        f"POINTS in {source.crs}; measured minus planned along the grid, in metres",
        f"  pass to {shown(tolerance.pass_m, 'coordinate')}, marginal to {shown(tolerance.limit_m, 'coordinate')}"
        f" ({tolerance.source}); heights are not judged",
        f"  {'id':<{width}} {'north':>12} {'east':>12} {'height':>9} {'miss':>12} {'toward':>9}  verdict",
    ]
    for point in report.points:
        lines.append(_point_line(point, width))
        if point.note:
            lines.append(_wrapped(f"{point.id} {point.note}", "    "))
    absent = [m.id for m in report.missing if m.role not in ("offset", "control", "feature")]
    aside = [m.id for m in report.missing if m.role in ("offset", "control", "feature")]
    if absent:
        lines.append(_wrapped(f"NOT MEASURED, so not checked: {', '.join(absent)}", "  "))
    if aside:
        lines.append(f"  offset stakes and own points that were not measured: {len(aside)}")
    for extra in report.extra[:CHECKS_SHOWN]:
        away = "" if extra.distance_m is None else f" (nearest: {extra.nearest}, {_metres(extra.distance_m)})"
        lines.append(_wrapped(f"no stake of the plan: {extra.point}{away}: {extra.why}", "  "))
    if len(report.extra) > CHECKS_SHOWN:
        lines.append(f"  and {len(report.extra) - CHECKS_SHOWN} more points that are no stake; all of them in as_staked.json")
    return "\n".join(lines)


def _point_line(point: StakedPoint, width: int) -> str:
    height = "–" if point.d_height_m is None else f"{point.d_height_m:+.3f}"
    toward = shown(point.miss_azimuth_grid_deg, "bearing")
    by_place = "" if point.matched_by == "name" else f"  ({point.point}, by place)"
    return (
        f"  {point.id:<{width}} {point.d_north_m:>+12.3f} {point.d_east_m:>+12.3f} {height:>9} {point.miss_m:>12.3f} {toward:>9}"
        f"  {MARKS[point.verdict]}{by_place}"
    )


def _effects(report: AsStaked) -> str:
    effects = report.effects
    if effects.why_not:
        return f"WHAT IT DOES\n{_wrapped(effects.why_not, '  ')}"
    lines = ["WHAT IT DOES"]
    if effects.base_moved_m is not None:
        turned = "" if effects.laydown_azimuth_deg is None else (
            f"; laydown as staked {shown(effects.laydown_azimuth_deg, 'bearing')} true"
        )  # fmt: skip
        lines.append(f"  base {shown(effects.base_moved_m, 'coordinate')} from its place{turned}")
    lines += _guys(effects.guys)
    lines += _checks(effects.checks, effects.changed)
    lines += [_wrapped(f"NOT worked out again: {text}", "  ") for text in effects.not_recomputed]
    lines += [_wrapped(f"note  {text}", "  ") for text in effects.notes]
    return "\n".join(lines)


def _guys(guys: tuple[GuyStaked, ...]) -> list[str]:
    """One line for each anchor whose guys change."""
    lines = []
    for anchor, group in groupby(sorted(guys, key=lambda g: g.anchor), key=lambda g: g.anchor):
        changed = [g for g in group if abs(g.change_m) >= CHORD_CHANGE_M]
        if changed:
            each = ", ".join(f"{g.attach_m:g} m {g.chord_m:.2f} m ({g.change_m:+.2f})" for g in changed)
            lines.append(_wrapped(f"guys to {anchor}, chord as staked (change) from {each}", "  "))
    if guys and not lines:
        lines.append(f"  no guy's chord changes by {CHORD_CHANGE_M:g} m or more")
    return lines


def _checks(checks: tuple[CheckStaked, ...], changed: tuple[str, ...]) -> list[str]:
    """Those that fail, are marginal or changed; else the tightest."""
    loud = [c for c in checks if c.verdict in (FAIL, MARGINAL) or c.id in changed]
    listed = loud or list(checks[:3])
    lines = [_check_line(c) for c in listed]
    if len(checks) > len(listed):
        lines.append(f"  and {len(checks) - len(listed)} more checks, worked out again, that pass as in the plan")
    return lines


def _check_line(check: CheckStaked) -> str:
    kind = CHECK_QUANTITIES.get(check.unit, "none")
    side = "≥" if check.limit_is_least else "≤"
    value = f"{'≥ ' if check.is_bound and check.limit_is_least else ''}{shown(check.value, kind)}"
    was = "" if check.verdict == check.planned_verdict else f" {MARKS[check.planned_verdict]}"
    label = textwrap.shorten(check.label, 47, placeholder="…")
    return f"  {MARKS[check.verdict]:<9}{label:<47}{value:>9} (plan {shown(check.planned_value, kind)}{was}, {side} {shown(check.limit, kind)})"
