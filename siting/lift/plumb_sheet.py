"""What to do about the mast as the crew read it: plumb, straightness and the correction, from a plan and its readings."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from siting.errors import InputError, OutOfMethod
from siting.figures import rounded, shown
from siting.lift.plumb import lean_m, plumb_report, read_tensions_n
from siting.lift.plumb_correction import correct_plumb
from siting.lift.standing import StandingMast
from siting.lift.standing_record import PLAN_AGAIN, standing_of
from siting.records.guys import TensionTable
from siting.records.plan import InputFile, Plan
from siting.records.plumb import NO_PLUMB_FORM, SAME_LEVEL_M, Correction, PlumbOptions, PlumbReport
from siting.records.plumb_sheet import PlumbSheet, Readings
from siting.verdict import FAIL, MARGINAL, PASS, UNCHECKED, worst
from siting.version import VERSION

# Of the levels that use their limit nearly as much as the worst, the headline names the highest: it shows most.
NAMED_RATIO = 0.95
CORRECTED_CAUTION = (
    "A correction by calculation: one guy at a time, in this order, with somebody at each instrument. Where the mast or a tension "
    "goes another way than the sheet says, stop and read again."
)


def require_standing(plan: Plan, where: str) -> None:
    """Refuses a plan that holds no mast to plumb.

    Args:
        where: the plan's file as shown.
    Raises:
        InputError: the mast cannot be plumbed by calculation (the plan's warning says why), or the plan is older than that.
    """
    if plan.standing is not None and plan.plumb_form is not None and plan.cut_list is not None:
        return
    why = next((w for w in plan.warnings if w.startswith(NO_PLUMB_FORM)), "")
    if why:
        what = why.rstrip(".")
        raise InputError.of("plumb_plan", where, what, "correct the mast file and make the plan again with siting plan")
    raise InputError.of("plumb_plan", where, "holds nothing of the mast in its permanent guys: an older plan", PLAN_AGAIN)


def plumb_sheet(
    plan: Plan, readings: Readings, inputs: tuple[InputFile, ...], run_id: str, options: PlumbOptions | None = None
) -> PlumbSheet:
    """The sheet of a plan and its readings, rounded; angles from the laydown, lengths in centimetres.

    Guys that were not read are taken near the set tension of the day's temperature, interpolated in the plan's table (mast as
    warm as its guys). Outside the table, or without a temperature, the set tension of the reference temperature stands: nothing
    is taken further than the table goes, and the sheet says so.

    Args:
        inputs: plan and readings; run_id: of this sheet.
    Raises:
        InputError: the plan holds no mast to plumb, or a reading is none of its levels and guys.
    """
    options = options or PlumbOptions()
    require_standing(plan, inputs[0].path if inputs else "plan")
    mast = standing_of(plan.standing, plan.cut_list.strands, plan.mast.name, plan.mast.height_m)
    mast, said = _on_the_day(mast, plan.tensions, readings.temperature_c)
    said = (*_other_plan(plan, readings), *said)
    read_n = read_tensions_n(mast, readings.tensions, readings.shown)
    lean = lean_m(mast.model.heights_m, readings.leans, readings.shown) if readings.leans else None
    report = None if lean is None else plumb_report(mast.model.heights_m, lean, options)
    correction, no_correction = None, ""
    try:
        correction = correct_plumb(mast, lean, read_n, options)
        correction = replace(correction, warnings=(*said, *correction.warnings))
    except OutOfMethod as fault:
        no_correction = " ".join((*(item.line() for item in fault.faults), *said))
    verdict = UNCHECKED if report is None else worst(c.verdict for c in report.checks)
    unread = np.flatnonzero(np.isnan(read_n))
    return rounded(
        PlumbSheet(
            name=plan.name,
            verdict=verdict,
            headline=headline(verdict, report, correction),
            azimuth_deg=plan.laydown.azimuth_deg,
            temperature_c=readings.temperature_c,
            report=report,
            correction=correction,
            no_correction=no_correction,
            tensions_read=int(read_n.size - unread.size),
            tensions_unread=tuple(mast.names((i,)) for i in unread),
            said=readings.said,
            cautions=(*((CORRECTED_CAUTION,) if correction and correction.steps else ()), *plan.cautions),
            plan_run_id=plan.provenance.run_id,
            run_id=run_id,
            version=VERSION,
            inputs=inputs,
        )
    )


def headline(verdict: str, report: PlumbReport | None, correction: Correction | None) -> str:
    """How the mast stands and what to do, in one plain sentence, no unit of its own."""
    if report is None:
        return f"No lean was read, so plumb and straightness are unchecked: {_do(correction, 'would even the tensions out')}."
    used = [row.lean_cm / row.limit_cm for row in report.levels]
    level = [row for row, part in zip(report.levels, used, strict=True) if part >= NAMED_RATIO * max(used)][-1]
    stands = (
        f"The mast leans {level.lean_cm:.1f} cm at {level.attach_m:g} m towards bearing {level.bearing_deg:.0f}°, "
        f"limit {level.limit_cm:.1f}"
    )
    bent = next((c for c in report.checks if c.kind == "straightness" and c.verdict != PASS), None)
    if bent is not None:
        word = "is out of straight" if bent.verdict == FAIL else "is hardly straight enough"
        stands += f", and {word} at the {bent.place} ({bent.value:.2f} %, limit {bent.limit:g})"
    if verdict == FAIL:
        return f"{stands}: {_do(correction, 'bring it back')}."
    near = ", by less than the readings may be off" if verdict == MARGINAL else ""
    loose = _outside(correction)
    if loose:
        return f"{stands}: within the limits{near}, but {loose}: {_do(correction, 'put that right')}."
    return f"{stands}: within the limits{near}; {_do(correction, 'would bring it nearer to plumb, if you want to')}."


def _do(correction: Correction | None, purpose: str) -> str:
    """The steps and what they are for."""
    if correction is None:
        return "no correction could be worked out"
    count = len(correction.steps)
    if not count:
        return "nothing is to be taken in or let out"
    return f"{count} step{'s' if count > 1 else ''}, {correction.total_cm:.1f} cm in all, {purpose}"


def _other_plan(plan: Plan, readings: Readings) -> tuple[str, ...]:
    """That the form was written for another run of the plan, in words; nothing where it was not."""
    if readings.plan_run_id in ("", plan.provenance.run_id):
        return ()
    return (
        f"In {readings.shown} the form is of another run of the plan ({readings.plan_run_id}): see that it is this mast, on "
        "this ground, laid down towards the same azimuth.",
    )


def _outside(correction: Correction | None) -> str:
    """Guys whose tension as read is outside its bounds, in words; empty where none is."""
    if correction is None:
        return ""
    out = [g for g in correction.guys if g.read_kn is not None and not g.least_kn <= g.read_kn <= g.greatest_kn]
    if not out:
        return ""
    rest = f" and {len(out) - 1} more" if len(out) > 1 else ""
    return f"{out[0].anchor} at {out[0].attach_m:g} m{rest} was read outside its bounds"


def _on_the_day(
    mast: StandingMast, table: TensionTable | None, temperature_c: float | None
) -> tuple[StandingMast, tuple[str, ...]]:
    """The mast with the set tensions of the day's temperature; and what could not be had of them."""
    if temperature_c is None:
        return mast, ()
    order = np.argsort(table.temperatures_c) if table is not None else np.array([], dtype=int)
    at_c = np.array(table.temperatures_c)[order] if order.size else np.array([])
    if not order.size or not at_c[0] <= temperature_c <= at_c[-1]:
        reach = f"{shown(at_c[0], 'celsius')} to {shown(at_c[-1], 'celsius')}" if order.size else "no temperature"
        return mast, (
            f"It was {temperature_c:g} °C, and the plan's tensions are for {reach}: guys that were not read are taken near the set "
            "tension of the reference temperature.",
        )
    set_n, missing = mast.set_tension_n.copy(), []
    for i, anchor in enumerate(mast.anchors):
        row = next((g for g in table.guys if g.anchor == anchor and abs(g.attach_m - mast.attach_m[i]) <= SAME_LEVEL_M), None)
        if row is None:
            missing.append(i)
        else:
            set_n[i] = 1000.0 * np.interp(temperature_c, at_c, np.array(row.tension_kn)[order])
    words = f"The plan's tensions do not name {mast.names(missing)}: the set tension of the reference temperature is taken."
    return replace(mast, set_tension_n=set_n), (words,) if missing else ()
