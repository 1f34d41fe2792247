"""The first page of the land sheet: may the mast stand there, the move that mends it, what nobody checked, every rule."""

from __future__ import annotations

from siting.records.rules import Move
from siting.verdict import FAIL
from siting.writers.land.entries import Entry, Heads, entries_mm, fill_entries, fill_loud
from siting.writers.land.rules_map import draw_rules_map
from siting.writers.land.words import (
    DEFER_LAND,
    DO_NOT_RAISE,
    NO_RULES,
    NOT_CHECKED,
    blocking_texts,
    check_line,
    land_headline,
    land_unchecked,
    land_verdict,
    other_checks,
    rule_figures,
    rule_lines,
    verdict_words,
    waived_lines,
)
from siting.writers.paper.blocks import beside, box_words, draw_lines, step_of
from siting.writers.paper.canvas import BOLD_LINE_MM
from siting.writers.paper.flow import Flow

TAG_MM, HIGH_MM, RAISE_MM, GAP_MM = 42.0, 12.0, 10.0, 1.8
BIG, MOVE_SIZE, LEAST_MOVE = 19.0, 14.0, 10.0
FIRST_FAILING = 3
FIRST_UNCHECKED = 3  # on the first page; all of them stand behind the rules
MAP_PART, LEAST_MAP_MM, PERMIT_MM = 0.6, 78.0, 12.0
HEADS = Heads("Rule", (("Found", 21.0), ("Asked for", 21.0), ("Margin", 21.0), ("Bearing, true", 21.0)))


def fill_rules(flow: Flow, y: float) -> None:
    """The first page from this height on, and the pages that its rules need."""
    plan = flow.plan
    flow.y = y
    verdict = land_verdict(plan)
    box_words(flow.sheet, (flow.left, flow.y, TAG_MM, HIGH_MM), verdict_words(verdict), BIG, dark=verdict != "pass")
    beside(flow.sheet, (flow.left + TAG_MM + 3.0, flow.y, flow.width_mm - TAG_MM - 3.0, HIGH_MM), land_headline(plan), 12.5, 7.0)
    flow.y += HIGH_MM + GAP_MM
    if plan.move is not None:
        _move(flow, plan.move)
    _also_failing(flow)
    missing = [f"{u.missing[:1].upper()}{u.missing[1:]}. Do: {u.do}." for u in land_unchecked(plan)]
    if not plan.land.rules:
        missing.insert(0, NO_RULES)
    more = len(missing) - FIRST_UNCHECKED
    first = [*missing[:FIRST_UNCHECKED], f"And {more} more: see behind the rules."] if more > 0 else missing
    if first:
        fill_loud(flow, NOT_CHECKED, first, 8.5)
    entries = [Entry(str(k), rule.title, rule_figures(rule), verdict_words(rule.verdict), rule_lines(rule)) for k, rule in enumerate(plan.land.rules, 1)]
    text, size = flow.sheet.fitted(DEFER_LAND, flow.width_mm, 10.0, 8.0, bold=True)
    flow.sheet.text((flow.left, flow.y + 3.2), text, size, bold=True)
    flow.y += 5.2
    _map(flow, entries)
    fill_entries(flow, "Rules of the land: the number is that of the picture", HEADS, entries)
    waived = waived_lines(plan)
    if waived:
        fill_loud(flow, "WAIVED", waived, 8.5, dark=False)
    flow.lines("Other checks of the land that fail or are marginal", tuple(check_line(c) for c in other_checks(plan)))
    if more > 0:
        flow.lines(f"{NOT_CHECKED} of the land, all of it", tuple(missing))
    flow.lines("Permit dates, were the plan's day the day of the permit", tuple(f"{d.rule_set}: {d.text}" for d in plan.land.permit_dates))


def _also_failing(flow: Flow) -> None:
    """Overhead lines that forbid raising, and what fails beside the rules, as loud as the verdict."""
    blocking = blocking_texts(flow.plan)
    if blocking:
        box_words(flow.sheet, (flow.left, flow.y, flow.width_mm, RAISE_MM), DO_NOT_RAISE, BIG, dark=True)
        flow.y += RAISE_MM + 1.0
        fill_loud(flow, "OVERHEAD", _first(blocking, "Overhead lines"))
    failing = tuple(check_line(c) for c in other_checks(flow.plan) if c.verdict == FAIL)
    if failing:
        fill_loud(flow, "ALSO FAILS" if flow.plan.land.rules else "FAILS", _first(failing, "Other checks of the land"), 9.0)


def _first(texts: tuple[str, ...], where: str) -> tuple[str, ...]:
    """As many as the first page takes, and how many more there are."""
    more = len(texts) - FIRST_FAILING
    return (*texts[:FIRST_FAILING], f"And {more} more: see {where}.") if more > 0 else texts


def _move(flow: Flow, move: Move) -> None:
    """The move in large letters, as many lines as it takes, in a bold frame."""
    sheet, room_mm = flow.sheet, flow.width_mm - 5.0
    size = MOVE_SIZE
    while size > LEAST_MOVE and len(sheet.wrapped(move.text, room_mm, size, bold=True)) > 3:
        size -= 0.5
    lines = sheet.wrapped(move.text, room_mm, size, bold=True)
    high_mm = len(lines) * step_of(size) + 2.6
    sheet.box((flow.left, flow.y), (flow.width_mm, high_mm), BOLD_LINE_MM)
    draw_lines(sheet, (flow.left + 2.5, flow.y + 1.3), lines, size, bold=True)
    flow.y += high_mm + GAP_MM


def _map(flow: Flow, entries: list[Entry]) -> None:
    """The picture, as high as leaves room for the rules, or for the first of many."""
    room_mm = flow.end - flow.y
    below_mm = entries_mm(flow, HEADS, entries) + PERMIT_MM * len(flow.plan.land.permit_dates) + 2 * GAP_MM + 8.0
    high_mm = min(room_mm * MAP_PART, max(room_mm - below_mm, LEAST_MAP_MM))
    if high_mm > room_mm - 30.0:
        high_mm = 0.0
    if high_mm < LEAST_MAP_MM:
        flow.turn()
        high_mm = (flow.end - flow.y) * 0.4
    draw_rules_map(flow.sheet, flow.plan, (flow.left, flow.y, flow.sheet.right, flow.y + high_mm))
    flow.y += high_mm + 2 * GAP_MM
