"""The last pages of the packet: every check with its limit and source, what was not checked, warnings, cautions, what it was made from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from siting.figures import CHECK_QUANTITIES, shown
from siting.records.findings import Check
from siting.records.plan import Plan
from siting.writers.lift.pages import draw_lift_title
from siting.writers.lift.words import DEFER
from siting.writers.map.words import VERDICT_WORDS
from siting.writers.paper.blocks import beside, box_words
from siting.writers.paper.flow import GAP_MM, Flow
from siting.writers.paper.table import Column, Table

CHECKS, UNCHECKED = "All checks", "Not checked, warnings, cautions"
CHECK_COLUMNS = (
    Column("Verdict", "", 0.125, "left", is_bold=True), Column("Check", "", 0.335, "left", is_words=True), Column("Found", "", 0.09, is_bold=True),
    Column("Limit", "", 0.13), Column("Where", "", 0.265, "left", is_words=True), Column("Source", "below", 0.055),
)  # fmt: skip
ROW_MM, SIZE = 6.6, 8.5
TAG_MM, TAG_HIGH_MM, TAG_SIZE, TEXT_SIZE = 46.0, 12.5, 15.0, 10.5
BURIED = "buried lines"
ALWAYS = "Whoever holds this packet looks at what it leaves open before anything is dug or raised."


def all_checks(plan: Plan) -> tuple[Check, ...]:
    """Every check of the plan, then those of the anchors that stand in the dig sheet alone."""
    ids = {check.id for check in plan.checks}
    more = plan.holding.checks if plan.holding is not None else ()
    return (*plan.checks, *(check for check in more if check.id not in ids))


def unchecked_names(plan: Plan) -> tuple[str, ...]:
    """What nobody has checked, as words; buried lines are never checked."""
    return (BURIED, *dict.fromkeys(name.replace("_", " ") for name in plan.unchecked))


def fill_checks(flow: Flow) -> None:
    """The table of all checks, and the sources of the limits by their numbers."""
    flow.y = draw_lift_title(flow.sheet, flow.plan, CHECKS, flow.pages) + GAP_MM
    checks = all_checks(flow.plan)
    sources = tuple(dict.fromkeys(check.source for check in checks))
    columns = tuple(replace(column, width_mm=column.width_mm * flow.width_mm) for column in CHECK_COLUMNS)
    flow.table("Every check, the tightest first", Table(columns, tuple(_row(check, sources) for check in checks), ROW_MM, SIZE))
    flow.lines("Sources of the limits", tuple(f"{number}: {source}" for number, source in enumerate(sources, 1)))


def _row(check: Check, sources: Sequence[str]) -> tuple[str, ...]:
    kind = {"kN": "force"}.get(check.unit) or CHECK_QUANTITIES.get(check.unit, "none")
    limit = f"{'least' if check.limit_is_least else 'limit'} {shown(check.limit, kind)}"
    verdict = VERDICT_WORDS[check.verdict].upper()
    return verdict, check.label, shown(check.value, kind), limit, check.place, str(sources.index(check.source) + 1)


def fill_unchecked(flow: Flow) -> None:
    """What was not checked, as loud as a failure, then all that must be read."""
    plan, sheet = flow.plan, flow.sheet
    flow.y = draw_lift_title(sheet, plan, UNCHECKED, flow.pages) + GAP_MM
    box_words(sheet, (flow.left, flow.y, TAG_MM, TAG_HIGH_MM), VERDICT_WORDS["unchecked"], TAG_SIZE, dark=True)
    beside(sheet, (flow.left + TAG_MM + 2.5, flow.y, flow.width_mm - TAG_MM - 2.5, TAG_HIGH_MM), ALWAYS, TEXT_SIZE)
    flow.y += TAG_HIGH_MM + GAP_MM
    buried = f"{BURIED}: nobody has looked for them: call the local one-call or dig-safe service before any ground is opened."
    missing = tuple(f"{item.id.replace('_', ' ')}: {item.missing}: {item.do}." for item in plan.unchecked_detail)
    flow.lines("Not checked, never a pass", (buried, *missing))
    flow.lines("Warnings", plan.warnings)
    flow.lines("Cautions", (DEFER, *plan.cautions))
    flow.lines("Assumed, repaired or left out", plan.notes)
    flow.lines("How the numbers are defined", plan.provenance.method)
    flow.lines("Made from", tuple(f"{file.path}: SHA-256 {file.sha256}, {file.covers}" for file in plan.provenance.inputs))
    flow.remarks()
