"""Tables of the plumb sheet: every guy's tension before and after against its bounds, every level's lean before and after."""

from __future__ import annotations

from siting.figures import shown
from siting.records.plumb import Correction, GuyCorrection
from siting.writers.anchor_names import anchor_name
from siting.writers.lift.force_words import angle
from siting.writers.paper.flow import TITLE_MM
from siting.writers.plumb.flow import PlumbFlow
from siting.writers.plumb.words import LEAVE, change_word, cm, guy_name, limit_cm
from siting.writers.record_table import record_table

UNREAD, INSIDE, OUTSIDE = "not read", "inside", "OUTSIDE"
WHOLE_MM = 60.0  # so much of the table of leans stays together on a page


def fill_tables(flow: PlumbFlow) -> None:
    """Leans, then tensions; what was not read is said in its cell, what is not there in a sentence."""
    flow.y += 1.0
    _leans(flow)
    if flow.plumb.correction is None:
        unread = flow.plumb.tensions_unread
        flow.lines("Guys whose tension was not read", (", ".join(unread) + ".",) if unread else ())
    else:
        _guys(flow, flow.plumb.correction)


def _leans(flow: PlumbFlow) -> None:
    report, correction = flow.plumb.report, flow.plumb.correction
    if report is None:
        flow.lines("Lean", ("NOT READ: plumb and straightness are not checked.",))
        return
    after = dict(zip(correction.levels_m, correction.after_cm, strict=True)) if correction else {}
    heads = (
        ("Level", "m"), ("Lean before", "cm"), ("towards", "from the laydown"), ("along", "cm, to the head +"), ("across", "cm, right +"),
        ("Limit", "cm"), ("Margin", "cm"), ("Out of line", "cm"), ("Lean after", "cm, calculated"),
    )  # fmt: skip
    rows = [
        (f"{v.attach_m:g}", cm(v.lean_cm, unit=False), angle(v.bearing_deg), cm(v.along_cm, sign=True, unit=False),
         cm(v.across_cm, sign=True, unit=False), limit_cm(v.limit_cm, unit=False), limit_cm(v.margin_cm, unit=False).replace("-", "−"),
         "–" if v.out_of_line_cm is None else cm(v.out_of_line_cm, unit=False),
         cm(after[v.attach_m], unit=False) if v.attach_m in after else "–")
        for v in reversed(report.levels)
    ]  # fmt: skip
    table = record_table(flow.sheet, heads, rows, flow.width_mm)
    flow.need(min(TITLE_MM + table.height_mm, WHOLE_MM))
    flow.table("Lean of every level, before and after", table)


def _guys(flow: PlumbFlow, correction: Correction) -> None:
    heads = (
        ("Level", "m"), ("Guy", "", "words"), ("In all", "", "words"), ("", "cm"), ("Read", "kN"), ("Before", "kN"), ("", "", "words"),
        ("After", "kN"), ("", "", "words"), ("Least", "kN"), ("Greatest", "kN"),
    )  # fmt: skip
    last = correction.steps[-1].outside if correction.steps else None
    rows = [_guy_row(flow, guy, last) for guy in sorted(correction.guys, key=lambda g: -g.attach_m)]
    title = f"Tension at the anchor, before and after; {cm(correction.total_cm)} moved in all, in and out added"
    table = record_table(flow.sheet, heads, rows, flow.width_mm)
    flow.table(title, table)


def _guy_row(flow: PlumbFlow, guy: GuyCorrection, last: tuple[str, ...] | None) -> tuple[str, ...]:
    """One guy; `last`: the guys that the last step leaves outside, None where there is no step."""
    word = change_word(guy.change_cm)
    before = INSIDE if guy.least_kn <= guy.before_kn <= guy.greatest_kn else OUTSIDE
    after = before if last is None else OUTSIDE if guy_name(guy.anchor, guy.attach_m) in last else INSIDE
    number = lambda v: shown(v, "force", unit=False)  # noqa: E731
    return (
        f"{guy.attach_m:g}", anchor_name(flow.plan, guy.anchor), word, "" if word == LEAVE else cm(abs(guy.change_cm), unit=False),
        UNREAD if guy.read_kn is None else number(guy.read_kn), number(guy.before_kn), before, number(guy.after_kn), after,
        number(guy.least_kn), number(guy.greatest_kn),
    )  # fmt: skip
