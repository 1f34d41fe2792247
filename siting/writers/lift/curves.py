"""The curves of the lift sheet: pull, travel, gain of the slope, bending, each with the words that belong to it."""

from __future__ import annotations

from siting.figures import shown
from siting.records.lift_guys import LiftGuy
from siting.records.plan import Plan
from siting.records.statics import MastBending, Statics
from siting.writers.lift.force_words import angle, main_stage, no_forces
from siting.writers.lift.words import line_name, lines_by_anchor
from siting.writers.paper.canvas import POINTS_PER_MM, Sheet
from siting.writers.paper.flow import COLUMN_GAP_MM, GAP_MM, Flow
from siting.writers.paper.line_chart import Chart, Curve, draw_chart, nice_step

MAST_ANGLE = "mast above the horizontal, degrees"
TITLE_SIZE, WORDS_SIZE, LEAST_WORDS = 10.0, 8.5, 6.5
TITLE_MM, WORDS_MM = 5.0, 28.0
NO_GUYS = "The plan has no such lines: nothing is drawn."

Panel = tuple[str, Chart | None, tuple[str, ...]]  # heading, chart, sentences below it


def fill_curves(flow: Flow) -> None:
    """Four panels to a page."""
    panels = [_pull(flow.plan), _sides(flow.plan), _backs(flow.plan), _gain(flow.plan), *_bending(flow.plan)]
    for first in range(0, len(panels), 4):
        flow.turn()
        top, height_mm = flow.y, (flow.end - flow.y - GAP_MM) / 2
        for number, panel in enumerate(panels[first : first + 4]):
            x = flow.left + number % 2 * (flow.half_mm + COLUMN_GAP_MM)
            y = top + number // 2 * (height_mm + GAP_MM)
            _draw(flow.sheet, (x, y, x + flow.half_mm, y + height_mm), panel)
        flow.y = flow.end


def _draw(sheet: Sheet, box: tuple[float, float, float, float], panel: Panel) -> None:
    title, chart, texts = panel
    left, top, right, low = box
    title, size = sheet.fitted(title, right - left, TITLE_SIZE, 7.0, bold=True)
    sheet.text((left, top + 3.8), title, size, bold=True)
    y = top + TITLE_MM
    if chart is not None:
        y = low - WORDS_MM
        draw_chart(sheet, (left, top + TITLE_MM, right, y), chart)
        y += 1.4
    size = WORDS_SIZE
    while size > LEAST_WORDS and sum(len(sheet.wrapped(t, right - left, size)) for t in texts) * size * 1.16 / POINTS_PER_MM > low - y:
        size -= 0.25
    step_mm = size * 1.16 / POINTS_PER_MM
    for text in texts:
        for line in sheet.wrapped(text, right - left, size):
            sheet.text((left, y + step_mm * 0.8), line, size)
            y += step_mm


def _pull(plan: Plan) -> Panel:
    """Pull over the angle with what happens on the way, each under a letter; never is said in words."""
    title, stage, found = "Winch pull", main_stage(plan), plan.statics
    if stage is None or found is None:
        return title, None, (no_forces(plan),)
    marks, texts = [], []
    for letter, at_deg, happens, never in _events(found):
        if at_deg is None:
            texts.append(never)
        else:
            marks.append((letter, at_deg))
            texts.append(f"{letter}: from {angle(at_deg)} {happens}.")
    curves = tuple(Curve(s.raises, s.angles_deg, s.winch_pull_kn) for s in found.stages)
    is_broken = any(v is None for c in curves for v in c.y)
    texts += ["A gap: the line cannot lift there."] if is_broken else []
    return title, Chart(MAST_ANGLE if len(curves) == 1 else "what goes up, degrees", "kN, at the winch", curves, tuple(marks)), tuple(texts)


def _events(found: Statics) -> tuple[tuple[str, float | None, str, str], ...]:
    """Letter, angle, what begins there, and what to say where it never does."""
    stage, line, clear = found.stages[-1], found.winch_line, found.clearance
    bears = None
    if clear is not None:
        bears = next((a for a, m in zip(clear.angles_deg, clear.line_clear_m, strict=True) if m < 0.0), None)
    unknown = "Whether the line bears on the ground: NOT CHECKED." if clear is None else "The winch line stays off the ground."
    return (
        ("a", stage.takeover_deg, "on the weight pulls to the winch's side: the back guys hold", "The weight does not pass over the hinge before plumb."),
        ("b", stage.pole_pulled_from_deg, "on the gin pole is pulled off its foot", "The gin pole is not pulled off its foot, as far as worked out."),
        ("c", bears, "on the winch line bears on the ground: the pull turns other than drawn", unknown),
        ("d", line.weak_from_deg, f"on the line's arm is under {line.limit_ratio:g} of the gin pole", "The line's arm stays over its limit."),
        ("e", line.fails_at_deg, "on the line passes under the hinge: it lifts no more", "The line lifts to plumb."),
    )  # fmt: skip


def _since_rest(plan: Plan, lines: tuple[LiftGuy, ...], divisor: float) -> tuple[Curve, ...]:
    """Each line's length since the rest line at the stops, centimetres over the divisor."""
    return tuple(
        Curve(
            line_name(plan, line)[0] + (f" {line.attach_m:g} m" if line.attach_m is not None else ""),
            tuple(s.angle_deg for s in line.stops),
            tuple(s.since_rest_cm / divisor for s in line.stops),
        )
        for line in lines
    )


def _sides(plan: Plan) -> Panel:
    lines = tuple(line for line in lines_by_anchor(plan) if line.role == "side")
    title = "Side guys: let out since the rest line"
    if not lines:
        return title, None, (NO_GUYS,)
    limits = {c.limit for c in plan.checks if c.kind == "side_guy_travel"}
    most = max(lines, key=lambda line: line.travel_m)
    texts = (
        f"Largest travel {shown(most.travel_m, 'travel')}: {line_name(plan, most)[0]} from {most.attach_m:g} m, tightest at "
        f"{angle(most.tightest_at_deg)}, slackest at {angle(most.slackest_at_deg)}.",
        *(f"Limit of the travel: {shown(limit, 'travel')}." for limit in sorted(limits)),
        "A curve that rises: let out. A curve that falls: take in.",
    )
    return title, Chart(MAST_ANGLE, "cm", _since_rest(plan, lines, 1.0)), texts


def _backs(plan: Plan) -> Panel:
    lines = tuple(line for line in lines_by_anchor(plan) if line.role != "side")
    title = "Back guys and winch line: let out since the rest line"
    if not lines:
        return title, None, (NO_GUYS,)
    texts = ("Below 0: taken in. Back guys are kept in hand, neither tight nor trailing, until the weight passes over the hinge.",)
    return title, Chart(MAST_ANGLE, "m", _since_rest(plan, lines, 100.0)), texts


def _gain(plan: Plan) -> Panel:
    title, found = "Pull uphill, level and downhill on even ground", plan.statics
    if found is None:
        return title, None, (no_forces(plan),)
    curves = tuple(Curve(c.laid, c.angles_deg, c.winch_pull_kn) for c in found.gain.cases)
    return title, Chart(MAST_ANGLE, "kN", curves), (f"{found.gain.text[:1].upper()}{found.gain.text[1:]}.",)


def _bending(plan: Plan) -> list[Panel]:
    """Moment with its limit, and deflection, along the mast at the worst angle; words where they are not worked out."""
    if plan.statics is None:
        return []
    found = plan.statics.bending
    if found is None:
        said = [r for r in plan.statics.remarks if r.startswith("bending")] or ["this plan does not hold it"]
        return [("Bending of the mast", None, tuple(f"NOT WORKED OUT: {r}".replace("..", ".") for r in said))]
    along = f"along the mast from the hinge, m; mast at {angle(found.angle_deg)}"
    step, ends = nice_step(max(found.at_m)), (found.at_m[0], found.at_m[-1])
    curves = [Curve("moment", found.at_m, found.moment_knm)]
    texts = [f"{found.text[:1].upper()}{found.text[1:]}."]
    if found.limit_knm is None:
        texts.append("NO LIMIT IS DRAWN: the mast file gives none (moment_limit_knm).")
    else:
        curves += [Curve(f"{name} limit", ends, (v, v)) for name, v in (("upper", found.limit_knm), ("lower", -found.limit_knm))]
    moment = Chart(along, "kNm, positive sags", tuple(curves), x_step=step)
    return [("Bending moment at the worst angle", moment, tuple(texts)), _deflection(found, along, step)]


def _deflection(found: MastBending, along: str, step: float) -> Panel:
    title = "Deflection at that angle"
    if found.deflection_m is None:
        return title, None, ("NOT WORKED OUT: the mast file gives no stiffness, or the push is out of the method.",)
    words = f"Largest {1000.0 * abs(found.largest_deflection_m):.1f} mm at {shown(found.largest_deflection_at_m, 'length')} from the hinge."
    chart = Chart(along, "m, sag negative", (Curve("mast", found.at_m, found.deflection_m),), x_step=step)
    return title, chart, (words,)
