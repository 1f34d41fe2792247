"""The order of work on the plumb sheet: a band a step, let out and take in told apart by word, box and arrows."""

from __future__ import annotations

from collections.abc import Sequence

from siting.figures import shown
from siting.records.plumb import Correction, CorrectionStep
from siting.writers.anchor_names import anchor_name, level_name
from siting.writers.lift.form_view import draw_arrow
from siting.writers.lift.slopes import FIGURE
from siting.writers.lift.transfer import heading
from siting.writers.paper.blocks import box_words, draw_lines, draw_tick, middle_base, step_of
from siting.writers.paper.canvas import BOLD_LINE_MM, THIN_MM, Point, Sheet
from siting.writers.paper.flow import GAP_MM
from siting.writers.plumb.flow import PlumbFlow
from siting.writers.plumb.words import LET_OUT, NO_CORRECTION, NOTHING_TO_DO, TAKE_IN, change_word, cm, guys_at, why_none

ORDER_TITLE = "Order of work"
AFTER_LAST = "After the last step: read lean and tensions again, and work it out again from those."
# Places in a band, mm from its left edge.
TICK_MM, NUMBER_RIGHT_MM, ACTION_LEFT_MM, ACTION_MM, AMOUNT_RIGHT_MM, GUY_LEFT_MM = 9.0, 24.0, 27.5, 55.0, 117.0, 121.0
TOP_MM, LINE_MM, FLAG_PAD_MM, BAND_PAD_MM = 13.0, 6.6, 1.2, 1.6
BIG, AMOUNT_SIZE, WORD_SIZE, SMALL, FLAG_SIZE = 20.0, 23.0, 18.0, 10.0, 14.0
ARROWS_MM, SHOUT_MM, ROOM_MM, RULE_SIZE = 13.0, 14.0, 70.0, 10.5
RULES = (
    (LET_OUT, "the guy gets longer: arrows away from each other, on white."),
    (TAKE_IN, "the guy gets shorter: arrows towards each other, on black."),
)
ONE_BY_ONE = "One guy at a time, from step 1 on, none left out. Tick a step when it is done, and read on only then."

Token = tuple[str, float, bool]  # text, size in points, bold


def fill_steps(flow: PlumbFlow) -> None:
    """How to read a step, then every step, from a new page on where there are pictures; that there is none where there is none."""
    correction = flow.plumb.correction
    if flow.plumb.report is not None:
        flow.turn()
    else:
        flow.need(ROOM_MM)
    heading(flow, ORDER_TITLE)
    if correction is None or not correction.steps:
        words = NO_CORRECTION if correction is None else NOTHING_TO_DO
        box_words(flow.sheet, (flow.left, flow.y, flow.width_mm, SHOUT_MM), words, BIG, dark=correction is None)
        flow.y += SHOUT_MM + GAP_MM
        if correction is None:
            lines = flow.sheet.wrapped(why_none(flow.plumb), flow.width_mm, FIGURE)
            flow.y = draw_lines(flow.sheet, (flow.left, flow.y), lines, FIGURE) + GAP_MM
        return
    _rules(flow)
    for step in correction.steps:
        _step(flow, correction, step)
    _after_last(flow)


def _rules(flow: PlumbFlow) -> None:
    """The two actions side by side with what they mean."""
    lines = flow.sheet.wrapped(ONE_BY_ONE, flow.width_mm, RULE_SIZE)
    flow.y = draw_lines(flow.sheet, (flow.left, flow.y), lines, RULE_SIZE, bold=True) + 1.6
    for number, (word, text) in enumerate(RULES):
        x = flow.left + number * flow.width_mm / 2
        _action(flow.sheet, (x, flow.y), word, 10.4)
        room_mm = flow.width_mm / 2 - ACTION_MM - 4.0
        draw_lines(flow.sheet, (x + ACTION_MM + 2.0, flow.y), flow.sheet.wrapped(text, room_mm, 8.5), 8.5)
    flow.y += 10.4 + GAP_MM + 1.0


def _action(sheet: Sheet, corner: Point, word: str, height_mm: float) -> None:
    """The word in its box with its arrows: LET OUT black on white, apart; TAKE IN white on black, together."""
    x, y = corner
    is_out = word == LET_OUT
    ink = 0.0 if is_out else 1.0
    sheet.box(corner, (ACTION_MM, height_mm), 0.8, 1.0 - ink)
    middle, left, right = y + height_mm / 2, x + 3.0, x + 3.0 + ARROWS_MM
    if is_out:
        sheet.line(((left + right) / 2, middle - 2.6), ((left + right) / 2, middle + 2.6), 0.6)
        draw_arrow(sheet, ((left + right) / 2, middle), (left, middle), 0.8, 3.6)
        draw_arrow(sheet, ((left + right) / 2, middle), (right, middle), 0.8, 3.6)
    else:
        for end, way in ((left, 1.0), (right, -1.0)):  # white boxes as shafts: a line of the canvas is black
            tip = (left + right) / 2 - way * 0.5
            sheet.box((min(end, tip - way * 3.4), middle - 0.45), (abs(tip - way * 3.4 - end), 0.9), fill=1.0)
            back = tip - way * 3.6
            sheet.polygon([(tip, middle), (back, middle - 2.0), (back, middle + 2.0)], 0.0, 1.0)
    sheet.text((right + 3.0, middle_base(y, height_mm, WORD_SIZE)), word, WORD_SIZE, bold=True, ink=ink)


def _carried(flow: PlumbFlow, correction: Correction, step: CorrectionStep) -> list[Token]:
    """What the level's guys carry after the step, and how far the level then leans, in pieces that are not parted."""
    guys = guys_at(correction, step.attach_m)
    tokens: list[Token] = [(f"Then at {level_name(step.attach_m)}:", SMALL, False)]
    for index, guy in guys:
        text = f"{anchor_name(flow.plan, guy.anchor)} {shown(step.tension_kn[index], 'force', unit=False)}"
        tokens.append((text, FIGURE, guy.anchor == step.anchor))
    bounds = {(guy.least_kn, guy.greatest_kn) for _, guy in guys}
    tokens.append(("kN", FIGURE, False))
    if len(bounds) == 1:
        low, high = (shown(v, "force", unit=False) for v in next(iter(bounds)))
        tokens.append((f"(bounds {low}–{high})", SMALL, False))
    if flow.plumb.report is not None and step.attach_m in correction.levels_m:
        tokens.append(("lean", SMALL, False))
        tokens.append((cm(step.lean_cm[correction.levels_m.index(step.attach_m)]), FIGURE, False))
    return tokens


def _in_lines(sheet: Sheet, tokens: Sequence[Token], width_mm: float) -> list[list[tuple[float, Token]]]:
    """The pieces on lines of this width, each with its distance from the left, mm."""
    lines: list[list[tuple[float, Token]]] = [[]]
    x = 0.0
    for token in tokens:
        wide = sheet.text_mm(token[0], token[1], bold=token[2])
        if lines[-1] and x + wide > width_mm:
            lines.append([])
            x = 0.0
        lines[-1].append((x, token))
        x += wide + 3.2
    return lines


def _step(flow: PlumbFlow, correction: Correction, step: CorrectionStep) -> None:
    """A band: the box to tick, number, action, length and guy in large letters; what is carried then; the flag."""
    sheet, left = flow.sheet, flow.left + ACTION_LEFT_MM
    lines = _in_lines(sheet, _carried(flow, correction, step), sheet.right - left - 2.0)
    flag = f"OUTSIDE BOUNDS AFTER THIS STEP: {', '.join(step.outside)}" if step.outside else ""
    flags = sheet.wrapped(flag, sheet.right - left - 5.0, FLAG_SIZE, bold=True) if flag else []
    flag_mm = len(flags) * step_of(FLAG_SIZE) + 2 * FLAG_PAD_MM if flags else 0.0
    height_mm = TOP_MM + len(lines) * LINE_MM + flag_mm + BAND_PAD_MM
    flow.need(height_mm)
    y = flow.y
    draw_tick(sheet, (flow.left + 1.0, y + 2.0), TICK_MM)
    number, size = sheet.fitted(str(step.number), NUMBER_RIGHT_MM - TICK_MM - 2.0, BIG, FIGURE, bold=True)
    base = middle_base(y + 1.2, 10.6, BIG)
    sheet.text((flow.left + NUMBER_RIGHT_MM, base), number, size, bold=True, align="right")
    _action(sheet, (left, y + 1.2), change_word(step.change_cm), 10.6)
    sheet.text((flow.left + AMOUNT_RIGHT_MM, base), cm(abs(step.change_cm)), AMOUNT_SIZE, bold=True, align="right")
    guy = f"{anchor_name(flow.plan, step.anchor)} at {level_name(step.attach_m)}"
    guy, size = sheet.fitted(guy, sheet.right - flow.left - GUY_LEFT_MM - 1.0, BIG, FIGURE, bold=True)
    sheet.text((flow.left + GUY_LEFT_MM, base), guy, size, bold=True)
    y += TOP_MM
    for line in lines:
        for x, (text, size, bold) in line:
            sheet.text((left + x, y + 4.6), text, size, bold=bold)
        y += LINE_MM
    if flags:
        sheet.box((left, y), (sheet.right - left, flag_mm - 0.4), BOLD_LINE_MM, 0.0)
        for number_, text in enumerate(flags):
            sheet.text((left + 2.0, y + FLAG_PAD_MM + step_of(FLAG_SIZE) * (number_ + 0.76)), text, FLAG_SIZE, bold=True, ink=1.0)
    flow.y += height_mm
    sheet.line((flow.left, flow.y), (sheet.right, flow.y), THIN_MM)


def _after_last(flow: PlumbFlow) -> None:
    """What closes the work."""
    lines = flow.sheet.wrapped(AFTER_LAST, flow.width_mm - 6.0, FIGURE, bold=True)
    height_mm = len(lines) * step_of(FIGURE) + 4.0
    flow.y += 2.0
    flow.need(height_mm)
    flow.sheet.box((flow.left, flow.y), (flow.width_mm, height_mm), 0.8)
    draw_lines(flow.sheet, (flow.left + 3.0, flow.y + 2.0), lines, FIGURE, bold=True)
    flow.y += height_mm + GAP_MM
