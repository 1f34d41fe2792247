"""Plumbing the mast as a crew reads it in a terminal: verdict first, every level, the steps, tensions before and after."""

from __future__ import annotations

import textwrap

from siting.figures import CHECK_QUANTITIES, shown
from siting.records.findings import Check
from siting.records.plumb import Correction, CorrectionStep, PlumbReport
from siting.records.plumb_sheet import PlumbSheet
from siting.writers.terminal import MARKS, WIDTH


def plumb_text(sheet: PlumbSheet, files: tuple[str, ...], folder: str) -> str:
    """The whole text, lines of at most 100 characters where names and numbers allow it."""
    parts = [
        f"{sheet.name}   plumb   run {sheet.run_id}   plan run {sheet.plan_run_id}",
        _wrapped(f"{sheet.verdict.upper()}. {sheet.headline}"),
        _report(sheet),
        _steps(sheet),
        _tensions(sheet.correction),
        _remarks(sheet),
        "\n".join(_wrapped(text) for text in sheet.cautions),
        f"FILES in {folder}\n  {'  '.join(files)}",
    ]
    return "\n\n".join(part for part in parts if part) + "\n"


def _wrapped(text: str, indent: str = "") -> str:
    return textwrap.fill(text, WIDTH, initial_indent=indent, subsequent_indent=indent + "  ")


def _report(sheet: PlumbSheet) -> str:
    """Every level from the top down, as they are sighted, and the checks."""
    if sheet.report is None:
        return "LEAN  NOT READ: plumb and straightness are UNCHECKED. Tensions alone do not tell a lean."
    report: PlumbReport = sheet.report
    lines = [
        f"LEAN as read, in cm; bearings clockwise from the laydown, {shown(sheet.azimuth_deg, 'bearing')} true",
        f"  {'level':>9} {'lean':>7} {'towards':>9} {'limit':>7} {'margin':>7} {'along':>7} {'across':>7} {'off line':>9}",
    ]
    for level in reversed(report.levels):
        off = "–" if level.out_of_line_cm is None else f"{level.out_of_line_cm:.1f}"
        lines.append(
            f"  {shown(level.attach_m, 'length'):>9} {level.lean_cm:>7.1f} {level.bearing_deg:>8.0f}° {level.limit_cm:>7.1f}"
            f" {level.margin_cm:>7.1f} {level.along_cm:>+7.1f} {level.across_cm:>+7.1f} {off:>9}"
        )
    lines += [_check(check) for check in report.checks]
    lines += [_wrapped(f"{c.label}: limit by {c.source}.", "  ") for c in report.checks]
    return "\n".join(lines)


def _check(check: Check) -> str:
    kind = CHECK_QUANTITIES.get(check.unit, "none")
    decimals = f"{check.value:.3f} %" if kind == "percent" else shown(check.value, kind)
    return _wrapped(f"{MARKS[check.verdict]:<9}{check.label}: {decimals}, at most {check.limit:g} %; {check.place}", "  ")


def _steps(sheet: PlumbSheet) -> str:
    """What to do, one guy after the other."""
    correction = sheet.correction
    if correction is None:
        return _wrapped(f"NO CORRECTION  {sheet.no_correction}")
    if not correction.steps:
        return "STEPS  none: nothing is to be taken in or let out."
    lines = [
        f"STEPS, in this order: {len(correction.steps)}, {correction.total_cm:.1f} cm in all; after each, read what the level carries"
    ]
    for step in correction.steps:
        do = "let out" if step.change_cm > 0.0 else "take in"
        lines.append(
            _wrapped(
                f"{step.number:>3}. {step.anchor} at {step.attach_m:g} m: {do} {abs(step.change_cm):.1f} cm; then {_carried(correction, step)}",
                "  ",
            )
        )
        if step.outside:
            lines.append(_wrapped(f"OUTSIDE ITS BOUNDS after this step: {', '.join(step.outside)}. Hold the mast.", "       "))
    levels = zip(correction.levels_m, correction.before_cm, correction.after_cm, strict=True)
    leans = ", ".join(f"{height:g} m {before:.1f} to {after:.1f}" for height, before, after in levels)
    lines.append(_wrapped(f"lean before and after, by calculation, cm: {leans}", "  "))
    return "\n".join(lines)


def _carried(correction: Correction, step: CorrectionStep) -> str:
    """What the level's guys carry after a step, and where its level stands."""
    guys = zip(correction.guys, step.tension_kn, strict=True)
    carried = ", ".join(f"{guy.anchor} {shown(tension, 'force')}" for guy, tension in guys if guy.attach_m == step.attach_m)
    lean_cm = dict(zip(correction.levels_m, step.lean_cm, strict=True)).get(step.attach_m)
    return carried if lean_cm is None else f"{carried}; lean there {lean_cm:.1f} cm"


def _tensions(correction: Correction | None) -> str:
    """Every guy's tension before and after, with what it may carry."""
    if correction is None:
        return ""
    lines = [
        "TENSIONS at the anchor, kN",
        f"  {'guy':<16} {'read':>7} {'before':>7} {'after':>7} {'least':>7} {'most':>7} {'moved, cm':>10}",
    ]
    for guy in correction.guys:
        read = "–" if guy.read_kn is None else f"{guy.read_kn:.2f}"
        out = "" if guy.least_kn <= guy.before_kn <= guy.greatest_kn else "  outside before"
        lines.append(
            f"  {f'{guy.anchor} at {guy.attach_m:g} m':<16} {read:>7} {guy.before_kn:>7.2f} {guy.after_kn:>7.2f}"
            f" {guy.least_kn:>7.2f} {guy.greatest_kn:>7.2f} {guy.change_cm:>+10.1f}{out}"
        )
    return "\n".join(lines)


def _remarks(sheet: PlumbSheet) -> str:
    """Warnings, what was written down, what the figures rest on."""
    lines = []
    if sheet.correction is not None:
        lines += [f"WARNING  {text}" for text in sheet.correction.warnings]
    if sheet.tensions_unread:
        count = sheet.tensions_read + len(sheet.tensions_unread)
        lines.append(f"tensions read: {sheet.tensions_read} of {count}")
    if sheet.temperature_c is not None:
        lines.append(f"read at {sheet.temperature_c:.1f} °C")
    lines += [f"written down  {text}" for text in sheet.said]
    if sheet.report is not None:
        lines += [f"note  {text}" for text in sheet.report.notes]
    if sheet.correction is not None:
        lines += [f"note  {text}" for text in (sheet.correction.assumes, *sheet.correction.notes)]
    return "\n".join(_wrapped(line) for line in lines)
