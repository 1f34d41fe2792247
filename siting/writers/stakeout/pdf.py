"""The stake-out sheet of packet.pdf: one page to carry, with large numbers, a sketch, check ties and room to write."""

from __future__ import annotations

from dataclasses import dataclass

from siting.figures import shown
from siting.records.plan import Plan
from siting.records.survey import Tie
from siting.writers.paper.flow import GAP_MM, TITLE_MM, Flow
from siting.writers.paper.frame import (
    SHORT_TITLE_MM,
    draw_signatures,
    draw_title,
    draw_verdict,
    has_warnings_left,
    signatures_mm,
)
from siting.writers.paper.sketch import Sketch, draw_sketch, lay_out
from siting.writers.paper.table import Table, draw_table
from siting.writers.stakeout.rows import (
    control_table,
    main_stakes,
    offset_stakes,
    offset_table,
    stake_table,
    tie_table,
    ties_by_worth,
)

KIND = "Stake-out sheet"
OFFSETS = "Offset stakes: set them before the hole is dug (right and left as seen from the base)"
LEAST_ROW_MM, GOOD_ROW_MM, MOST_ROW_MM = 4.1, 5.3, 7.2
# Height of the panel with the sketch and the ties.
LEAST_PANEL_MM, FAIR_PANEL_MM, GOOD_PANEL_MM, MOST_PANEL_MM, LATER_PANEL_MM = 74.0, 78.0, 96.0, 124.0, 140.0
SIDE_MM = 79.0  # width of the column beside the sketch
CONTROL_ROWS_BESIDE = 8
TIES_FIRST = ("base", "diagonal", "neighbour")


@dataclass(frozen=True, slots=True)
class _First:
    """How the first page is shared out, mm: a row of the stake table, the panel (0: on a later page)."""

    row_mm: float
    panel_mm: float
    has_offsets: bool


@dataclass(frozen=True, slots=True)
class _Side:
    """What stands beside the sketch: control points, the table of ties, and the ties that are in it."""

    control: Table
    table: Table | None
    ties: tuple[Tie, ...]


def stakeout_pdf(plan: Plan) -> bytes:
    """The stake-out sheet alone on the plan's paper, fonts embedded, the same bytes for the same plan.

    Stakes, ties and control points are the Plan's; only the drawing is laid out here. What does not fit on the first
    page follows on further pages of the same sheet.
    """
    pages = _fill(plan, 1).sheet.page
    return _fill(plan, pages).finish()


def _fill(plan: Plan, pages: int) -> Flow:
    """The sheet with everything on it, telling on each page how many there are."""
    flow = Flow(plan, KIND, pages)
    fill_stakeout(flow)
    return flow


def fill_stakeout(flow: Flow) -> None:
    """The whole sheet from the top of a page on."""
    plan = flow.plan
    flow.y = draw_verdict(flow.sheet, plan, draw_title(flow.sheet, plan, KIND, flow.pages) + 1.6) + 0.6
    bottom = flow.end - signatures_mm() - GAP_MM
    first = _share_out(flow, bottom - flow.y)
    sketch = lay_out(flow.sheet, plan, _sketch_box(flow, bottom - first.panel_mm, first.panel_mm)) if first.panel_mm else None
    if sketch is None:  # no room beside the table: a page of its own
        room_mm = (bottom - flow.y - _head_mm(flow)) / len(main_stakes(plan))
        first = _First(min(MOST_ROW_MM, max(LEAST_ROW_MM, room_mm)), 0.0, False)
    later = None if first.panel_mm else lay_out(flow.sheet, plan, _sketch_box(flow, _later_top(flow), LATER_PANEL_MM))
    numbered = bool((sketch or later) and (sketch or later).has_numbers)
    side = None
    rest = _stakes(flow, stake_table(flow.sheet, plan, flow.width_mm, first.row_mm, numbered=numbered), bottom)
    if first.has_offsets:
        flow.y += GAP_MM
        flow.table(OFFSETS, offset_table(flow.sheet, plan, flow.width_mm))
    if sketch is not None:
        side = _panel(flow, sketch, bottom - first.panel_mm)
    draw_signatures(flow.sheet, flow.end - signatures_mm())
    if rest.rows:
        flow.turn()
        rest = _stakes(flow, rest, flow.end)
        flow.y += GAP_MM
    if later is not None:
        flow.turn()
        side = _panel(flow, later, flow.y)
        flow.y += LATER_PANEL_MM + GAP_MM
    _what_is_left(flow, side, has_offsets=first.has_offsets, numbered=numbered)


def _head_mm(flow: Flow) -> float:
    return stake_table(flow.sheet, flow.plan, flow.width_mm, LEAST_ROW_MM, numbered=False).head_mm


def _share_out(flow: Flow, room_mm: float) -> _First:
    """Shares the first page out between the stake table, the offset stakes and the panel.

    The rows take what the panel does not want; below its least height the panel moves to a later page.
    """
    plan, count = flow.plan, len(main_stakes(flow.plan))
    room_mm -= _head_mm(flow) + GAP_MM
    offsets_mm = 0.0
    if offset_stakes(plan):
        offsets_mm = TITLE_MM + offset_table(flow.sheet, plan, flow.width_mm).height_mm + GAP_MM
    has_offsets = offsets_mm > 0 and room_mm - offsets_mm - count * GOOD_ROW_MM >= FAIR_PANEL_MM
    if has_offsets:
        room_mm -= offsets_mm
    side = _beside(flow, MOST_PANEL_MM, numbered=False)
    row_mm = (room_mm - max(GOOD_PANEL_MM, _side_mm(side))) / count
    if row_mm < GOOD_ROW_MM:
        good_mm = FAIR_PANEL_MM if has_offsets else GOOD_PANEL_MM
        row_mm = max(row_mm, min(GOOD_ROW_MM, (room_mm - good_mm) / count), LEAST_ROW_MM)
    row_mm = min(row_mm, MOST_ROW_MM)
    lower_mm = (room_mm - max(FAIR_PANEL_MM, _side_mm(side))) / count
    if (has_offsets or offsets_mm == 0.0) and len(side.ties) == len(plan.ties) and LEAST_ROW_MM <= lower_mm < row_mm:
        row_mm = lower_mm  # a little lower, and everything stands on one page
    panel_mm = room_mm - count * row_mm
    return _First(row_mm, panel_mm if panel_mm >= LEAST_PANEL_MM else 0.0, has_offsets)


def _later_top(flow: Flow) -> float:
    """Where the panel begins on a page of its own, mm; the sketch is laid out before that page is begun."""
    return flow.sheet.top + SHORT_TITLE_MM + GAP_MM


def _sketch_box(flow: Flow, top: float, height_mm: float) -> tuple[float, float, float, float]:
    return flow.left, top, flow.left + flow.width_mm - SIDE_MM - GAP_MM, top + height_mm


def _stakes(flow: Flow, table: Table, bottom: float) -> Table:
    """Draws the rows that fit above here; returns the rest of the table."""
    fits = int((bottom - flow.y - table.head_mm + 1e-6) // table.row_mm)
    flow.y = draw_table(flow.sheet, (flow.left, flow.y), table.part(0, fits))
    return table.part(fits, len(table.rows))


def _beside(flow: Flow, height_mm: float, *, numbered: bool) -> _Side:
    """What finds room beside the sketch: control points first, then whole groups of ties in their order.

    Where no group does, as many as fit of those across, since the lines from the base stand in the stake table too.
    """
    control = control_table(flow.sheet, flow.plan, SIDE_MM).part(0, CONTROL_ROWS_BESIDE)
    room_mm = height_mm - control.height_mm - GAP_MM
    groups = {k: ties for k, ties in ties_by_worth(flow.plan).items() if k in TIES_FIRST}

    def table_of(ties: tuple[Tie, ...]) -> Table:
        return tie_table(flow.plan, ties, SIDE_MM, numbered=numbered)

    shown: tuple[Tie, ...] = ()
    for ties in groups.values():
        if table_of((*shown, *ties)).height_mm <= room_mm:
            shown = (*shown, *ties)
    if not shown:
        shown = groups.get("diagonal", ())
        while shown and table_of(shown).height_mm > room_mm:
            shown = shown[:-1]
    return _Side(control, table_of(shown) if shown else None, shown)


def _side_mm(side: _Side) -> float:
    return side.control.height_mm + (GAP_MM + side.table.height_mm if side.table else 0.0)


def _panel(flow: Flow, sketch: Sketch, top: float) -> _Side:
    """The sketch, and beside it control points and ties; returns what found room there."""
    draw_sketch(flow.sheet, flow.plan, sketch)
    side = _beside(flow, sketch.box[3] - sketch.box[1], numbered=sketch.has_numbers)
    left = flow.sheet.right - SIDE_MM
    y = draw_table(flow.sheet, (left, top), side.control) + GAP_MM
    if side.table is not None:
        draw_table(flow.sheet, (left, y), side.table)
    return side


def _what_is_left(flow: Flow, side: _Side | None, *, has_offsets: bool, numbered: bool) -> None:
    """On further pages: offset stakes, control points, ties, the localisation and warnings that found no room before."""
    plan, sheet = flow.plan, flow.sheet
    offsets = offset_table(sheet, plan, flow.width_mm) if offset_stakes(plan) and not has_offsets else None
    control = control_table(sheet, plan, SIDE_MM)
    control = control.part(len(side.control.rows) if side else 0, len(control.rows))
    ties = tuple(t for t in plan.ties if side is None or t not in side.ties)
    notes = _localisation(plan)
    if not (offsets or control.rows or ties or notes or has_warnings_left(sheet, plan)):
        return
    if sheet.page == flow.first_page:
        flow.turn()
    if offsets is not None:
        flow.table(OFFSETS, offsets)
    if control.rows:
        flow.table("Control points and features", control)
    if ties:
        flow.table_in_columns("Check ties", tie_table(plan, ties, flow.half_mm, numbered=numbered))
    flow.lines("Localisation of the control pairs, for comparison only", notes)
    if has_warnings_left(sheet, plan):
        flow.lines("Read first", plan.warnings)
    flow.remarks()


def _localisation(plan: Plan) -> tuple[str, ...]:
    """The fit of the user's control pairs in words; nothing without pairs."""
    fit = plan.localisation
    if fit is None:
        return ()
    shift = f"shift {shown(fit.shift_east_m, 'coordinate')} east, {shown(fit.shift_north_m, 'coordinate')} north"
    turn = f"turn {fit.turn_deg:+.5f}°, scale {fit.scale_ppm:+.1f} ppm, root mean square miss {shown(fit.rms_m, 'coordinate')}"
    suspect = f" Suspect: {fit.suspect}." if fit.suspect else ""
    return (f"{fit.pairs} pairs: {shift}, {turn}.{suspect} {fit.verdict}",)
