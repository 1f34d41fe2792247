"""The first page of the dig sheet: what the crew holds in the hand before the ground is opened."""

from __future__ import annotations

from siting.figures import shown
from siting.records.dig import DigPlan
from siting.records.holding import HoldingPlan
from siting.records.plan import Plan
from siting.records.soil import Soil
from siting.writers.anchor_names import anchor_names
from siting.writers.dig.crew_table import (
    FIGURE,
    LEAST_ROW_MM,
    MOST_ROW_MM,
    RECORD_TITLE,
    TITLE,
    CrewRow,
    crew_mm,
    crew_rows,
    draw_crew_table,
    record_table,
)
from siting.writers.dig.words import (
    CALL,
    CALL_MORE,
    NO_DESIGN,
    PRESUMED,
    PRESUMPTIVE,
    STOP_IF,
    deep_words,
    holding_headline,
    holding_verdict,
    is_screening,
    soils,
    strength_words,
    water_words,
)
from siting.writers.lift.words import DEFER, NO_SOURCE
from siting.writers.map.words import VERDICT_WORDS
from siting.writers.paper.blocks import beside, box_words, draw_blank, draw_lines, step_of
from siting.writers.paper.canvas import HAIR_MM, POINTS_PER_MM, THIN_MM, Sheet
from siting.writers.paper.table import PAD_MM, draw_table, fit_lines

BIG, BIGGEST, WORDS = 17.0, 22.0, 9.5
TAG_MM, CALL_MM, DEEP_MM, GAP_MM, TITLE_MM = 9.6, 12.5, 12.0, 1.6, 4.6
SOIL_MM, MOST_SOILS, TAG_WIDE_MM = 9.4, 5, 40.0
BLANK_MM = 11.0
FIGURE_WORD = 12.0
BLANKS = ("Locate ticket, valid to", "Competent person for the pits", "Proof loads pulled by, date")
STOP_SIZE, DEFER_SIZE = 10.0, 11.0


def draw_dig_page(sheet: Sheet, plan: Plan, found: tuple[HoldingPlan, DigPlan], span_mm: tuple[float, float]) -> tuple[tuple[CrewRow, ...], bool]:
    """The first page between these heights, mm; returns the rows that found no room, and whether the record's form did."""
    holding, dig = found
    y, end = span_mm
    y = _verdict(sheet, plan, holding, y)
    y = _call(sheet, y)
    y = _deep(sheet, plan, dig, y)
    y = _soils(sheet, plan, holding, y)
    rows, foot_mm = crew_rows(plan, holding, dig), _foot_mm(sheet)
    if is_screening(holding):
        box_words(sheet, (sheet.left, y, sheet.right - sheet.left, 8.4), NO_DESIGN, BIG, dark=False)
        y += 8.4 + GAP_MM
    text, size = sheet.fitted(TITLE, sheet.right - sheet.left, 9.0, 7.0, bold=True)
    sheet.text((sheet.left, y + 3.2), text, size, bold=True)
    y += TITLE_MM
    room_mm = end - foot_mm - y - GAP_MM - crew_mm(0)
    row_mm = min(MOST_ROW_MM, max(LEAST_ROW_MM, room_mm / max(len(rows), 1)))
    fits = min(len(rows), max(0, int((room_mm + 1e-6) // row_mm)))
    y = draw_crew_table(sheet, y, rows[:fits], row_mm) + 2 * GAP_MM
    record = record_table(sheet.right - sheet.left, rows)
    has_record = fits == len(rows) and y + TITLE_MM + record.height_mm <= end - foot_mm and bool(record.rows)
    if has_record:
        sheet.text((sheet.left, y + 3.2), RECORD_TITLE, 9.0, bold=True)
        draw_table(sheet, (sheet.left, y + TITLE_MM), record)
    _foot(sheet, len(rows) - fits, end - foot_mm)
    return rows[fits:], has_record


def _verdict(sheet: Sheet, plan: Plan, holding: HoldingPlan, y: float) -> float:
    verdict = holding_verdict(holding)
    box_words(sheet, (sheet.left, y, 38.0, TAG_MM), VERDICT_WORDS[verdict].upper(), BIG, dark=verdict != "pass")
    room = (sheet.left + 40.0, y, sheet.right - sheet.left - 40.0, TAG_MM)
    beside(sheet, room, holding_headline(plan, holding), 10.5, 6.5)
    return y + TAG_MM + GAP_MM


def _call(sheet: Sheet, y: float) -> float:
    """In large letters: nobody has looked for buried lines."""
    width_mm = sheet.right - sheet.left
    box_words(sheet, (sheet.left, y, width_mm, CALL_MM), CALL, BIGGEST, dark=True)
    text, size = sheet.fitted(CALL_MORE, width_mm, WORDS, 7.0)
    sheet.text((sheet.left, y + CALL_MM + 3.8), text, size)
    return y + CALL_MM + 5.0 + GAP_MM


def _deep(sheet: Sheet, plan: Plan, dig: DigPlan, y: float) -> float:
    """The deep pits in large letters; nothing where there is none."""
    text = deep_words(plan, dig)
    if not text:
        return y
    left, width_mm = sheet.left + TAG_WIDE_MM + 2.0, sheet.right - sheet.left - TAG_WIDE_MM - 2.0
    text = f"Nobody goes in before the walls are made safe: {text}."
    size = BIG if len(sheet.wrapped(text, width_mm, BIG)) <= 2 else FIGURE
    lines = sheet.wrapped(text, width_mm, size)
    high_mm = max(DEEP_MM, len(lines) * step_of(size) + 0.8)
    box_words(sheet, (sheet.left, y, TAG_WIDE_MM, high_mm), "DEEP PITS", BIG, dark=True)
    draw_lines(sheet, (left, y + (high_mm - len(lines) * step_of(size)) / 2), lines, size)
    return y + high_mm + GAP_MM


def _soils(sheet: Sheet, plan: Plan, holding: HoldingPlan, y: float) -> float:
    """Each soil as it was taken; a strength that nobody measured is shouted."""
    found = soils(holding)
    sheet.text((sheet.left, y + 3.2), "Ground as taken", 9.0, bold=True)
    y += TITLE_MM
    sheet.line((sheet.left, y), (sheet.right, y), THIN_MM)
    for soil, names in found[:MOST_SOILS]:
        y = _soil(sheet, soil, anchor_names(plan, names), y)
    if any(soil.is_presumptive for soil, _ in found):
        text, size = sheet.fitted(f"{PRESUMPTIVE}: {PRESUMED}", sheet.right - sheet.left, 10.0, 7.0, bold=True)
        sheet.text((sheet.left, y + 4.2), text, size, bold=True)
        y += 5.2
    if len(found) > MOST_SOILS:
        sheet.text((sheet.left, y + 3.4), f"And {len(found) - MOST_SOILS} more soils: see Ground.", WORDS, bold=True)
        y += 4.4
    return y + GAP_MM


def _soil(sheet: Sheet, soil: Soil, names: str, y: float) -> float:
    width_mm, left = sheet.right - sheet.left, sheet.left
    if soil.is_presumptive:
        box_words(sheet, (left, y + 0.7, TAG_WIDE_MM, SOIL_MM - 1.4), PRESUMPTIVE, 15.0, dark=True)
    else:
        text, size = sheet.fitted(soil.basis, TAG_WIDE_MM - 2.0, FIGURE_WORD, 8.0, bold=True)
        sheet.text((left + TAG_WIDE_MM / 2, y + SOIL_MM / 2 + 1.6), text, size, bold=True, align="middle")
    left += TAG_WIDE_MM + 2.0
    room = width_mm - TAG_WIDE_MM - 2.0
    names_mm = min(room * 0.4, sheet.text_mm(f"at {names}", 10.5, bold=True))
    lines, size = _one_or_two(sheet, f"at {names}", names_mm + 0.2)
    step_mm = size * 1.05 / POINTS_PER_MM
    for number, line in enumerate(lines):
        at = y + (4.2 if len(lines) == 1 else 3.2 + number * step_mm)
        sheet.text((sheet.right, at), line, size, bold=True, align="right")
    text, size = sheet.fitted(soil.description, room - names_mm - 3.0, 11.0, 7.0, bold=True)
    sheet.text((left, y + 4.2), text, size, bold=True)
    facts = [strength_words(soil), f"{shown(soil.unit_weight_kn_m3, 'unit_weight')}", water_words(soil), f"walls: type {soil.excavation_type}"]
    told = "; ".join(facts) + "."
    room = room if len(lines) == 1 else room - names_mm - 3.0
    text, size = sheet.fitted(told, room, 9.5, 6.5)
    sheet.text((left, y + 8.0), text, size)
    sheet.line((sheet.left, y + SOIL_MM), (sheet.right, y + SOIL_MM), HAIR_MM)
    return y + SOIL_MM



def _one_or_two(sheet: Sheet, text: str, width_mm: float) -> tuple[list[str], float]:
    one, size = sheet.fitted(text, width_mm, 10.5, 8.0, bold=True)
    return ([one], size) if not one.endswith("…") else fit_lines(sheet, text, width_mm, 7.5, bold=True)


def _stop_lines(sheet: Sheet) -> list[str]:
    text = f"STOP, and call the engineer, if {'; '.join(STOP_IF)}. ({NO_SOURCE[:1].upper()}{NO_SOURCE[1:]})"
    return sheet.wrapped(text, sheet.right - sheet.left - 2 * PAD_MM, STOP_SIZE)


def _foot_mm(sheet: Sheet) -> float:
    """Height of what stands below the table, mm."""
    return 4.8 + len(_stop_lines(sheet)) * step_of(STOP_SIZE) + 2.6 + GAP_MM + BLANK_MM + 5.6


def _foot(sheet: Sheet, left_over: int, y: float) -> None:
    """How many anchors stand on the next page, what stops the work, boxes to write in, who comes before this sheet."""
    if left_over:
        sheet.text((sheet.left, y + 3.4), f"{left_over} MORE ANCHORS ON THE NEXT PAGE", WORDS + 1.5, bold=True)
    y += 4.8
    lines = _stop_lines(sheet)
    high_mm = len(lines) * step_of(STOP_SIZE) + 2.4
    sheet.box((sheet.left, y), (sheet.right - sheet.left, high_mm), THIN_MM)
    draw_lines(sheet, (sheet.left + PAD_MM, y + 1.2), lines, STOP_SIZE)
    y += high_mm + GAP_MM
    wide_mm = (sheet.right - sheet.left) / len(BLANKS)
    for number, name in enumerate(BLANKS):
        draw_blank(sheet, (sheet.left + number * wide_mm, y), (wide_mm, BLANK_MM), name)
    sheet.text((sheet.left, y + BLANK_MM + 4.6), DEFER, DEFER_SIZE, bold=True)
