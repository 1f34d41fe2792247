"""The pages of drawings: for each kind of anchor a section for every different case, pits with their plan, all to scale."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from siting.figures import shown
from siting.records.dig import DigPlan
from siting.records.holding import PLATE, ROCK_BAR, SCREW, HoldingPlan
from siting.writers.dig.cases import Case, cases_of
from siting.writers.dig.pit import draw_pit, pit_scale
from siting.writers.dig.pit_shape import pit_of
from siting.writers.dig.section import SECTION_MARGINS, draw_section, section_bounds
from siting.writers.dig.words import KIND_TITLES, holds_words, stop_at, water_words
from siting.writers.paper.blocks import draw_lines, step_of
from siting.writers.paper.canvas import HAIR_MM, THIN_MM, Sheet
from siting.writers.paper.flow import Flow
from siting.writers.paper.scale_drawing import best_scale, start_drawing
from siting.writers.paper.sketch_labels import Box

GAP_MM, HEAD_MM, CAPTION_SIZE, PAD_MM = 3.0, 6.2, 7.2, 1.4
CAPTION_LINES = 5
FEW_CASES = 8  # up to here two rows of drawings stand on a page, larger
NAME_SIZE, SIZE_SIZE = 11.0, 8.0
BAR_MM = 8.0
STAKE_LOST = "The stake stands inside the opening: set offset stakes before digging."
TOLD = (
    "Section along the guy, outward to the right. Full ground line: heights the plan holds; dashed: carried on in the same slope. "
)
SIGNS_TOLD = "Signs of anchors are never drawn smaller than can be seen."
SPOIL_TOLD = "Spoil: off the guy's line, at the lower end; a wide heap is drawn cut off."


@dataclass(frozen=True, slots=True)
class Cells:
    """How the drawings of a kind are laid out: rows on a page, and what draws one (sheet, case, box, scale)."""

    rows: int
    draw: Callable[[Sheet, Case, Box, int], None]
    scale: Callable[[Case, tuple[float, float]], int]


def _section_scale(case: Case, room_mm: tuple[float, float]) -> int:
    return best_scale(section_bounds(case), room_mm, SECTION_MARGINS)


def _section(sheet: Sheet, case: Case, box: Box, scale: int) -> None:
    bounds = section_bounds(case)
    drawing = start_drawing(sheet, box, bounds, scale, SECTION_MARGINS)
    draw_section(drawing, case, bounds)
    drawing.finish()


CELLS = {SCREW: Cells(3, _section, _section_scale), PLATE: Cells(2, draw_pit, pit_scale), ROCK_BAR: Cells(3, _section, _section_scale)}


def fill_dig_pictures(flow: Flow, holding: HoldingPlan, dig: DigPlan) -> None:
    """The drawings of every kind that was taken, each kind from a new page on."""
    for kind, cells in CELLS.items():
        cases = cases_of(flow.plan, holding, dig, kind)
        if kind == PLATE:  # a plate whose pit could not be laid out has no shape to draw: the notice says so
            cases = tuple(case for case in cases if case.hole is not None)
        if cases:
            _fill_kind(flow, dig, (kind, cases), cells)


def _fill_kind(flow: Flow, dig: DigPlan, found: tuple[str, tuple[Case, ...]], cells: Cells) -> None:
    kind, cases = found
    columns, rows = (2, cells.rows if len(cases) > FEW_CASES else 2) if len(cases) > 2 else (1, 2)
    per_page = columns * rows
    wide_mm = (flow.width_mm - GAP_MM * (columns - 1)) / columns
    for first in range(0, len(cases), per_page):
        flow.turn()
        flow.title(f"{KIND_TITLES[kind]}{', continued' if first else ''}")
        told, size = flow.sheet.fitted(f"{TOLD}{SPOIL_TOLD if kind == PLATE else SIGNS_TOLD}", flow.width_mm, 7.5, 6.0)
        flow.sheet.text((flow.left, flow.y + 1.2), told, size)
        top = flow.y + 3.2
        high_mm = (flow.end - top - GAP_MM * (rows - 1)) / rows
        room_mm = (wide_mm, high_mm - HEAD_MM - _caption_mm() - BAR_MM)
        shared = max(cells.scale(c, room_mm) for c in cases) if kind != PLATE else 0
        for number, case in enumerate(cases[first : first + per_page]):
            left = flow.left + number % columns * (wide_mm + GAP_MM)
            y = top + number // columns * (high_mm + GAP_MM)
            _cell(flow.sheet, (case, dig), (left, y, left + wide_mm, y + high_mm), (cells, shared or cells.scale(case, room_mm)))
        flow.y = flow.end


def _caption_mm() -> float:
    return CAPTION_LINES * step_of(CAPTION_SIZE) + 1.6


def _cell(sheet: Sheet, found: tuple[Case, DigPlan], box: Box, how: tuple[Cells, int]) -> None:
    """One case: its anchors and size above, the drawing with its scale bar, the figures below."""
    (case, dig), (cells, scale) = found, how
    sheet.box(box[:2], (box[2] - box[0], box[3] - box[1]), THIN_MM)
    room = box[2] - box[0] - 2 * PAD_MM
    names = ", ".join(case.names)
    told = f"1:{scale}"
    told_mm = sheet.text_mm(told, 9.0, bold=True)
    sheet.text((box[2] - PAD_MM, box[1] + 4.4), told, 9.0, bold=True, align="right")
    names, size = sheet.fitted(names, (room - told_mm - 3.0) * 0.5, NAME_SIZE, 7.0, bold=True)
    sheet.text((box[0] + PAD_MM, box[1] + 4.4), names, size, bold=True)
    left = box[0] + PAD_MM + sheet.text_mm(names, size, bold=True) + 2.0
    words, size = sheet.fitted(case.choice.chosen.size, box[2] - PAD_MM - told_mm - 2.0 - left, SIZE_SIZE, 6.0)
    sheet.text((left, box[1] + 4.4), words, size)
    sheet.line((box[0], box[1] + HEAD_MM), (box[2], box[1] + HEAD_MM), HAIR_MM)
    low = box[3] - _caption_mm()
    cells.draw(sheet, case, (box[0], box[1] + HEAD_MM, box[2], low - BAR_MM), scale)
    bar_mm = 1000.0 * _bar_m(scale) / scale
    _bar(sheet, (box[0] + PAD_MM, low - BAR_MM + 2.4), scale, bar_mm)
    sheet.line((box[0], low), (box[2], low), HAIR_MM)
    _caption(sheet, (case, dig), (box[0] + PAD_MM, low + 0.8), room)


def _bar_m(scale: int) -> float:
    """A round length of about 20 mm on the paper, metres."""
    return next((m for m in (0.2, 0.5, 1.0, 2.0, 5.0) if 1000.0 * m / scale >= 14.0), 10.0)


def _bar(sheet: Sheet, at: tuple[float, float], scale: int, bar_mm: float) -> None:
    """A scale bar of two parts."""
    x, y = at
    sheet.box((x, y), (bar_mm / 2, 1.3), fill=0.0)
    sheet.box((x, y), (bar_mm, 1.3), HAIR_MM)
    for part, align in ((0.0, "left"), (1.0, "middle")):
        text = f"{_bar_m(scale) * part:g}" + (" m" if part else "")
        sheet.text((x + bar_mm * part, y + 4.0), text, 7.0, align=align)


def _caption(sheet: Sheet, found: tuple[Case, DigPlan], at: tuple[float, float], room_mm: float) -> None:
    """The figures in words: load, what it holds, where to stop, water and frost; what must be known of the place."""
    case, dig = found
    choice, held = case.choice, case.choice.chosen
    stop = stop_at(choice, dig)
    figures = [f"rod {shown(held.rod_m, 'length')} at {choice.load.angle_deg:.1f}°", f"depth {shown(held.depth_m, 'length')}"]
    figures += [f"cover {shown(held.cover_m, 'length')}"] if held.cover_m is not None else []
    figures += [f"stop at {stop.figure} {stop.unit} {stop.name}"] if stop.figure else []
    texts = (
        f"{'; '.join(figures)}; {water_words(choice.soil)}.",
        f"Load {shown(choice.load.load_kn, 'force')} ({choice.load.basis}); {holds_words(held)}.",
        *((STAKE_LOST,) if case.hole is not None and case.hole.work == "pit" and pit_of(case).takes_the_stake else ()),
        *choice.warnings, *(case.hole.warnings if case.hole else ()),
    )  # fmt: skip
    most = int((_caption_mm() - 1.0) // step_of(CAPTION_SIZE))
    lines: list[str] = []
    for text in texts:  # what finds no room stands among the tables in full
        block = sheet.wrapped(text, room_mm, CAPTION_SIZE)
        if len(lines) + len(block) <= most:
            lines += block
    draw_lines(sheet, at, lines, CAPTION_SIZE)


