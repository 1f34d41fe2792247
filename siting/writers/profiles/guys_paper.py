"""The guys on paper: for each direction the ground, the mast, every guy as it hangs, and where it comes nearest to the ground."""

from __future__ import annotations

import math

from siting.figures import shown
from siting.records.plan import Plan
from siting.records.profiles import Hang
from siting.writers.anchor_names import level_name
from siting.writers.paper.canvas import CAPITAL_EM, HAIR_MM, POINTS_PER_MM, THIN_MM, Point, Sheet
from siting.writers.paper.flow import TITLE_MM, Flow
from siting.writers.paper.sketch import SCALES
from siting.writers.paper.sketch_labels import Box
from siting.writers.paper.sketch_marks import REACH_MM, draw_mark
from siting.writers.paper.table import Column, Table
from siting.writers.profiles.lines import PlanLine, guy_name, height_of, line_bounds_m, plan_lines, straight_words
from siting.writers.profiles.section import Section, block_m
from siting.writers.profiles.words import HANGING, NO_GUYS, clear_words, signed_m

GAP_MM, HEAD_MM, FOOT_MM = 2.6, 5.6, 5.4
LEFT_MM, RIGHT_MM, ABOVE_MM, BELOW_MM = 12.5, 4.5, 2.6, 7.0  # around what is drawn
MAST_MM, NAME_SIZE, HEAD_SIZE, FIGURE_SIZE = 0.9, 7.5, 10.0, 8.0
STROKES = {"permanent": (0.22, ()), "temporary": (0.22, (1.6, 0.9)), "straight": (0.3, (0.5, 0.8))}
STROKE_WORDS = {"permanent": "guy", "temporary": "guy for the lift only", "straight": "drawn straight: its curve is not known, it hangs lower"}
LEGEND_MM, LEAST_TABLE_MM = 9.0, 60.0
LEAST_NAMES_MM, MOST_SHIFT_MM = 2.9, 9.0  # between two names of attachments; how far an anchor's name stands aside


def fill_guys(flow: Flow) -> None:
    """Several directions to a page at one scale, then each guy's least height over the ground."""
    lines = plan_lines(flow.plan)
    if not lines:
        flow.lines("The guys and the ground under them", (NO_GUYS,))
        return
    columns, rows = (2, 3) if len(lines) > 4 else (2, 2) if len(lines) > 2 else (1, len(lines))
    for first in range(0, len(lines), columns * rows):
        flow.turn()
        _page(flow, lines, (first, columns, rows))
    table = clear_table(flow.plan, flow.half_mm)
    flow.need(min(LEAST_TABLE_MM, TITLE_MM + table.height_mm))
    flow.table_in_columns("Least height of every guy over the ground", table)
    flow.lines("What the guys rest on", (*HANGING, *straight_words(flow.plan)))


def _page(flow: Flow, lines: tuple[PlanLine, ...], how: tuple[int, int, int]) -> None:
    """One page of pictures with its legend."""
    first, columns, rows = how
    shown_lines = lines[first : first + columns * rows]
    rows = min(rows, -(-len(shown_lines) // columns)) if first else rows
    wide_mm = (flow.width_mm - GAP_MM * (columns - 1)) / columns
    top = flow.y + TITLE_MM + LEGEND_MM
    most_mm = (flow.end - top - GAP_MM * (how[2] - 1)) / how[2]
    end_m, low_m, high_m = line_bounds_m(flow.plan, lines)
    scale = guy_scale((end_m, low_m, high_m), (wide_mm, most_mm))
    high_mm = min(most_mm, HEAD_MM + ABOVE_MM + 1000.0 * (high_m - low_m) / scale + BELOW_MM + FOOT_MM)
    flow.title(f"The guys and the ground under them: 1:{scale}, heights and lengths alike{', continued' if first else ''}")
    _legend(flow, lines, scale)
    for number, line in enumerate(shown_lines):
        left = flow.left + number % columns * (wide_mm + GAP_MM)
        y = top + number // columns * (high_mm + GAP_MM)
        _cell(flow.sheet, flow.plan, line, ((left, y, left + wide_mm, y + high_mm), scale, (end_m, low_m, high_m)))
    flow.y = top + -(-len(shown_lines) // columns) * (high_mm + GAP_MM)


def guy_scale(bounds_m: tuple[float, float, float], cell_mm: Point) -> int:
    """The largest round scale at which every line fits a cell of this size; bounds as line_bounds_m gives them."""
    end_m, low_m, high_m = bounds_m
    room = (cell_mm[0] - LEFT_MM - RIGHT_MM, cell_mm[1] - HEAD_MM - ABOVE_MM - BELOW_MM - FOOT_MM)
    return next((s for s in SCALES if 1000.0 * end_m / s <= room[0] and 1000.0 * (high_m - low_m) / s <= room[1]), SCALES[-1])


def _legend(flow: Flow, lines: tuple[PlanLine, ...], scale: int) -> None:
    """Strokes in words, and an angle of two scale bars, along and up."""
    sheet, x, y = flow.sheet, flow.left, flow.y
    drawn = {stroke_of(hang) for line in lines for _, hang in line.hangs}
    for kind in (k for k in STROKES if k in drawn):
        sheet.line((x, y + 2.0), (x + 8.0, y + 2.0), *STROKES[kind])
        sheet.text((x + 9.2, y + 2.9), STROKE_WORDS[kind], NAME_SIZE)
        x += 9.2 + sheet.text_mm(STROKE_WORDS[kind], NAME_SIZE) + 5.0
    told = "Base on the left. At an anchor: its ground above the ground at the base. Arrow: where the lowest guy comes nearest to the ground."
    told, size = sheet.fitted(told, flow.width_mm - 34.0, NAME_SIZE, 6.0)
    sheet.text((flow.left, y + 6.6), told, size)
    step_m = block_m(1000.0 / scale, 5.0)
    part = 1000.0 * step_m / scale
    foot = (sheet.right - 3 * part - 7.0, y + LEGEND_MM - 2.4)
    for k in range(3):
        sheet.box((foot[0] + k * part, foot[1]), (part, 1.1), HAIR_MM, float(k % 2))
    for k in range(1 if part > 4.0 else 2):
        sheet.box((foot[0] - 1.1, foot[1] - (k + 1) * part), (1.1, part), HAIR_MM, float(k % 2))
    sheet.text((foot[0] + 3 * part + 0.8, foot[1] + 1.4), f"{3 * step_m:g} m", 7.0)
    sheet.text((foot[0] + 0.8, foot[1] - (1 if part > 4.0 else 2) * part + 1.6), f"{(1 if part > 4.0 else 2) * step_m:g} m", 7.0)


def stroke_of(hang: Hang) -> str:
    """The kind of stroke of a guy: its use, or straight where its curve is not known."""
    return "straight" if hang.straight_because else hang.use


def _cell(sheet: Sheet, plan: Plan, line: PlanLine, how: tuple[Box, int, tuple[float, float, float]]) -> None:
    """One direction: heading, drawing, and what comes nearest to the ground below it."""
    box, scale, (end_m, low_m, high_m) = how
    sheet.box(box[:2], (box[2] - box[0], box[3] - box[1]), THIN_MM)
    azimuth = f"{shown(line.azimuth_deg, 'bearing')} true"
    room = box[2] - box[0] - 2.8
    names, size = sheet.fitted(", ".join(line.names), room - sheet.text_mm(azimuth, FIGURE_SIZE) - 3.0, HEAD_SIZE, 6.5, bold=True)
    sheet.text((box[0] + 1.4, box[1] + 4.1), names, size, bold=True)
    sheet.text((box[2] - 1.4, box[1] + 4.1), azimuth, FIGURE_SIZE, align="right")
    sheet.line((box[0], box[1] + HEAD_MM), (box[2], box[1] + HEAD_MM), HAIR_MM)
    spare_mm = box[2] - box[0] - LEFT_MM - RIGHT_MM - 1000.0 * end_m / scale
    section = Section(sheet, (box[0] + LEFT_MM + max(spare_mm, 0.0) / 2, box[1] + HEAD_MM + ABOVE_MM + 1000.0 * high_m / scale), scale)
    for piece in line.ground:
        section.earth(piece)
    _mast_and_guys(section, plan, line)
    _anchors(section, line)
    low = box[3] - FOOT_MM
    sheet.line((box[0], low), (box[2], low), HAIR_MM)
    text, size = sheet.fitted(least_words(line), room, FIGURE_SIZE, 6.0, bold=True)
    sheet.text((box[0] + 1.4, low + 3.7), text, size, bold=True)


def least_words(line: PlanLine) -> str:
    """What stands below a picture: the guy that comes nearest to the ground, how near and where; a gap in the ground."""
    found = line.least
    gap = "; the DEM has gaps here" if line.has_gap else ""
    if found is None:
        return "The DEM has no ground under these guys."
    return f"Least: {guy_name(*found)}: {clear_words(found[1])}{gap}"


def _mast_and_guys(section: Section, plan: Plan, line: PlanLine) -> None:
    """The plumb mast with its attachments' heights, and the guys."""
    sheet, hinge_m = section.sheet, plan.mast.hinge_height_m
    for _, hang in line.hangs:
        kind = stroke_of(hang)
        points = list(zip(hang.x_m, hang.z_m, strict=True))
        section.path([points[0], points[-1]] if kind == "straight" else points, *STROKES[kind])
    sheet.line(section.at((0.0, 0.0)), section.at((0.0, hinge_m + plan.mast.height_m)), MAST_MM)
    last = math.inf
    for attach_m in sorted({hang.attach_m for _, hang in line.hangs}):
        x, y = section.at((0.0, hinge_m + attach_m))
        sheet.circle((x, y), 0.6, THIN_MM, 1.0)
        if last - y >= LEAST_NAMES_MM:
            sheet.text((x - 1.6, y + CAPITAL_EM * NAME_SIZE / POINTS_PER_MM / 2), level_name(attach_m), NAME_SIZE, align="right")
            last = y
    found = line.least
    if found is not None:
        _arrow(section, found[1])


def _arrow(section: Section, hang: Hang) -> None:
    """An arrow from above on the place where the lowest guy comes nearest to the ground."""
    x, y = section.at((hang.clear_at_m, height_of(hang, hang.clear_at_m)))
    sheet = section.sheet
    sheet.line((x, y - 4.6), (x, y - 0.3), 0.25)
    sheet.polygon([(x, y - 0.1), (x - 0.65, y - 1.7), (x + 0.65, y - 1.7)], 0.1, 0.0)


def _anchors(section: Section, line: PlanLine) -> None:
    """The anchors' marks, their heights below them; what would meet the one before moves aside, or a row down."""
    sheet, right = section.sheet, -math.inf
    for stake, _ in line.anchors:
        at = section.at((stake.radius_m, stake.above_base_m))
        draw_mark(sheet, stake.role, at)
        text = f"{stake.point if len(line.anchors) > 1 else ''} {signed_m(stake.above_base_m)}".strip()
        text, size = sheet.fitted(text, 26.0, NAME_SIZE, 6.0)
        half = sheet.text_mm(text, size) / 2
        shift = max(0.0, right + 1.2 - (at[0] - half))
        low = at[1] + REACH_MM.get(stake.role, 1.5) + (3.3 if shift <= MOST_SHIFT_MM else 5.7)
        x = at[0] + (shift if shift <= MOST_SHIFT_MM else 0.0)
        sheet.box((x - half - 0.3, low - 2.1), (2 * half + 0.6, 2.5), fill=1.0)
        sheet.text((x, low), text, size, align="middle")
        right = max(right, x + half)


def clear_table(plan: Plan, width_mm: float) -> Table:
    """Every guy's least height over the ground, under the name of its anchor."""
    columns = (
        Column("Guy from", "m above hinge", 0.26 * width_mm),
        Column("Least height", "m over ground", 0.28 * width_mm, is_bold=True),
        Column("There", "m from base", 0.23 * width_mm),
        Column("Drawn", "", 0.23 * width_mm, align="left", is_words=True),
    )
    rows: list[tuple[str, ...]] = []
    for line in plan_lines(plan):
        for stake, profile in line.anchors:
            rows.append((f"{stake.point}, {shown(stake.radius_m, 'length')} at {shown(line.azimuth_deg, 'bearing')} true",))
            rows += [_clear_row(hang) for hang in profile.hangs]
    return Table(columns, tuple(rows), 5.0, 9.0)


def _clear_row(hang: Hang) -> tuple[str, ...]:
    drawn = "straight" if hang.straight_because else "hanging" if hang.use == "permanent" else "hanging, lift only"
    clear = shown(hang.clear_m, "travel", unit=False).replace("-", "−")
    return f"{hang.attach_m:g}", clear, shown(hang.clear_at_m, "length", unit=False), drawn
