"""The page for the readings of the standing mast: boxes for a thick pen, limits and bounds beside them, where to stand."""

from __future__ import annotations

from siting.figures import shown
from siting.records.plan import Plan
from siting.records.plumb import NO_PLUMB_FORM, FormGuy, FormLevel
from siting.writers.anchor_names import anchor_name, level_name
from siting.writers.lift.force_words import MAKE_AGAIN
from siting.writers.lift.form_view import draw_form_view
from siting.writers.lift.slopes import FIGURE
from siting.writers.lift.transfer import SHOUT_MM, heading
from siting.writers.paper.blocks import box_words, draw_blank, draw_lines, middle_base
from siting.writers.paper.canvas import BOLD_LINE_MM, HAIR_MM, THIN_MM, Point
from siting.writers.paper.flow import GAP_MM, Flow
from siting.writers.paper.table import PAD_MM, RULE_INK

FORM_TITLE = "Readings of the standing mast"
TYPE_THEM = "Type them into readings.csv and run:  siting lift PLAN.json --readings readings.csv"
NO_FORM_LOUD = "NO FORM FOR THE READINGS"
VIEW_MM = (74.0, 58.0)
BLANK_MM, BLANK_COLUMNS = 11.5, 3
# Widths of the columns, mm; the guys share the rest.
LEVEL_MM, OFFSET_MM, LIMIT_MM = 17.5, 22.0, 19.5
GUYS_BESIDE, HEAD_MM, LEAST_ROW_MM, MOST_ROW_MM, CAPTION_MM, FOOT_MM = 3, 8.0, 16.4, 21.0, 6.0, 11.0
NAME_MM, HOW_SIZE = 11.5, 10.0


def fill_form(flow: Flow) -> None:
    """A page of its own: where to stand and how to read, then a row a level from the top down; where there is none, why."""
    flow.turn()
    heading(flow, FORM_TITLE)
    form = flow.plan.plumb_form
    if form is None:
        box_words(flow.sheet, (flow.left, flow.y, flow.width_mm, SHOUT_MM), NO_FORM_LOUD, 19.0, dark=True)
        flow.y += SHOUT_MM + GAP_MM
        for text in _why(flow.plan):
            flow.y = draw_lines(flow.sheet, (flow.left, flow.y), flow.sheet.wrapped(text, flow.width_mm, 12.0), 12.0) + 1.5
        return
    _how(flow)
    _blanks(flow, form.blanks)
    lines = [(level, first) for level in form.levels for first in range(0, max(len(level.guys), 1), GUYS_BESIDE)]
    row_mm = min(MOST_ROW_MM, max(LEAST_ROW_MM, (flow.end - FOOT_MM - HEAD_MM - flow.y) / max(len(lines), 1)))
    for number, (level, first) in enumerate(lines):
        if number == 0 or flow.y + row_mm > flow.end:
            if number:
                flow.turn()
            _head(flow)
        _draw_level(flow, level, first, row_mm)
    flow.y += GAP_MM
    flow.need(7.0)
    text, size = flow.sheet.fitted(TYPE_THEM, flow.width_mm, 13.0, 9.0, bold=True)
    flow.sheet.text((flow.left, flow.y + 4.4), text, size, bold=True)
    flow.y += 7.0


def _why(plan: Plan) -> tuple[str, ...]:
    """Why the plan holds no form, no unit."""
    said = tuple(w for w in plan.warnings if w.startswith(NO_PLUMB_FORM))
    if said:
        return said
    if not any(guy.use == "permanent" for guy in plan.guys):
        return ("The mast file has no permanent guys: there is nothing to read.",)
    return (MAKE_AGAIN,)


def _how(flow: Flow) -> None:
    """The view from above, and beside it how to stand and read."""
    sheet, form = flow.sheet, flow.plan.plumb_form
    left, top = flow.left + VIEW_MM[0] + 4.0, flow.y
    room_mm, size = sheet.right - left - 3.4, HOW_SIZE
    texts = (*(d.text for d in form.directions), *form.how)
    blocks = lambda s: [sheet.wrapped(text, room_mm, s) for text in texts]  # noqa: E731
    tall = lambda s: sum(len(b) for b in blocks(s)) * s * 1.18 / 2.8346 + 0.7 * len(texts)  # noqa: E731
    while size > 6.5 and tall(size) > VIEW_MM[1]:
        size -= 0.25
    draw_form_view(sheet, (flow.left, top, flow.left + VIEW_MM[0], top + VIEW_MM[1]), flow.plan)
    y = top
    for block in blocks(size):
        draw_lines(sheet, (left, y), ("–",), size)
        y = draw_lines(sheet, (left + 3.4, y), block, size) + 0.7
    flow.y = max(y, top + VIEW_MM[1]) + GAP_MM


def _blanks(flow: Flow, blanks: tuple[str, ...]) -> None:
    """Boxes for date, temperature, wind, names."""
    width_mm = flow.width_mm / BLANK_COLUMNS
    for number, label in enumerate(blanks):
        corner = (flow.left + number % BLANK_COLUMNS * width_mm, flow.y + number // BLANK_COLUMNS * BLANK_MM)
        draw_blank(flow.sheet, corner, (width_mm, BLANK_MM), label[:1].upper() + label[1:])
    flow.y += -(-len(blanks) // BLANK_COLUMNS) * BLANK_MM + GAP_MM


def _guy_mm(flow: Flow) -> float:
    return (flow.width_mm - LEVEL_MM - 2 * OFFSET_MM - LIMIT_MM) / GUYS_BESIDE


def _head(flow: Flow) -> None:
    sheet, y = flow.sheet, flow.y
    sheet.box((flow.left, y), (flow.width_mm, HEAD_MM), fill=0.9)
    x = flow.left
    titles = [("Level", "above hinge", LEVEL_MM)]
    titles += [(f"Offset {d.name}, cm", "right +, left −", OFFSET_MM) for d in flow.plan.plumb_form.directions]
    titles.append(("Limit, cm", "both together", LIMIT_MM))
    titles.append(("Tension at the anchor, kN", "write what you read; below the box: SET value, then least–greatest", 0.0))
    for title, below, width_mm in titles:
        room_mm = (width_mm or sheet.right - x) - 2 * PAD_MM
        title, size = sheet.fitted(title, room_mm, 8.0, 6.0, bold=True)
        sheet.text((x + PAD_MM, y + 3.4), title, size, bold=True)
        below, size = sheet.fitted(below, room_mm, 7.0, 5.5)
        sheet.text((x + PAD_MM, y + 6.8), below, size)
        x += width_mm
    sheet.line((flow.left, y), (sheet.right, y), BOLD_LINE_MM)
    sheet.line((flow.left, y + HEAD_MM), (sheet.right, y + HEAD_MM), THIN_MM)
    flow.y += HEAD_MM


def _draw_level(flow: Flow, level: FormLevel, first: int, row_mm: float) -> None:
    """A level, or the next guys of a level that has more than a row holds."""
    sheet, y, x = flow.sheet, flow.y, flow.left
    box_mm = row_mm - CAPTION_MM
    base = middle_base(y + 0.8, box_mm, 16.0)
    name, size = sheet.fitted(level_name(level.attach_m), LEVEL_MM - 2 * PAD_MM, 16.0, 9.0, bold=True)
    sheet.text((x + PAD_MM, base), name, size, bold=True)
    x += LEVEL_MM
    if first:
        sheet.text((flow.left + PAD_MM, y + row_mm - 1.6), "more guys", 8.0)
    else:
        for _ in range(2):
            sheet.box((x + 0.8, y + 1.0), (OFFSET_MM - 1.6, row_mm - 2.0), THIN_MM)
            x += OFFSET_MM
        limit, size = sheet.fitted(shown(level.limit_cm, "none", unit=False), LIMIT_MM - 2 * PAD_MM, 16.0, FIGURE, bold=True)
        sheet.text((x + PAD_MM, base), limit, size, bold=True)
    x = flow.left + LEVEL_MM + 2 * OFFSET_MM + LIMIT_MM
    for guy in level.guys[first : first + GUYS_BESIDE]:
        _draw_guy(flow, (x, y), guy, box_mm)
        sheet.line((x, y), (x, y + row_mm), HAIR_MM, ink=RULE_INK)
        x += _guy_mm(flow)
    flow.y += row_mm
    sheet.line((flow.left, flow.y), (sheet.right, flow.y), HAIR_MM, ink=RULE_INK)


def _draw_guy(flow: Flow, at: Point, guy: FormGuy, box_mm: float) -> None:
    """A guy's name, the box for its tension, the set value and the bounds below it."""
    sheet, (x, y), wide = flow.sheet, at, _guy_mm(flow)
    name, size = sheet.fitted(anchor_name(flow.plan, guy.anchor), NAME_MM - PAD_MM, FIGURE, 6.5, bold=True)
    sheet.text((x + PAD_MM, middle_base(y + 0.8, box_mm, size)), name, size, bold=True)
    sheet.box((x + NAME_MM, y + 1.0), (wide - NAME_MM - 0.8, box_mm - 0.4), THIN_MM)
    low, set_kn, high = (shown(v, "force", unit=False) for v in (guy.least_kn, guy.set_kn, guy.greatest_kn))
    base, right = y + box_mm + CAPTION_MM - 1.4, x + wide - 0.8
    bounds, size = sheet.fitted(f"{low}–{high}", wide * 0.68, FIGURE, 8.0)
    sheet.text((right, base), bounds, size, align="right")
    room_mm = wide - PAD_MM - 0.8 - sheet.text_mm(bounds, size) - 1.4
    text, size = sheet.fitted(set_kn, room_mm, FIGURE, 8.0, bold=True)
    sheet.text((x + PAD_MM, base), text, size, bold=True)
