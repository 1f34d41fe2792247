"""The second page of the lift sheet: what each line lets out or takes in at each stop, and what to watch."""

from __future__ import annotations

from collections.abc import Sequence

from siting.records.lift_guys import LiftGuy, LiftStop
from siting.writers.lift.force_words import angle, pull_at, watch
from siting.writers.lift.slopes import FIGURE
from siting.writers.lift.words import line_name, lines_by_anchor, mend_texts, no_lines
from siting.writers.paper.canvas import CAPITAL_EM, HAIR_MM, POINTS_PER_MM, THIN_MM, Sheet
from siting.writers.paper.flow import GAP_MM, TITLE_MM, Flow
from siting.writers.paper.table import PAD_MM, RULE_INK, Column, Table

NAME_MM, REST_MM, MOST_STOP_MM = 27.0, 17.5, 16.5
HEAD_MM, ROW_MM, TIGHT_ROW_MM = 8.4, 10.2, 6.2
WATCH_SIZES = (10.0, 9.5, 9.0, 8.5)  # points
BETWEEN_MM = 0.8
TITLE = "Let out or take in, cm since the stop before; in small, cm in all since the rest line"


def fill_orders(flow: Flow) -> None:
    """The instruction table on a page of its own, then tightest and slackest, mends, and what to watch."""
    flow.turn()
    found = flow.plan.lift_guys
    if found is None:
        big_lines(flow, "Lines of the lift", (no_lines(flow.plan),))
    else:
        lines = lines_by_anchor(flow.plan)
        _orders(flow, found.stops_deg, lines)
        _peaks(flow, lines)
        flow.table("Where a line of one length would be tightest and slackest", _tight_table(flow, lines))
        big_lines(flow, "A side anchor over the limit, and what mends it", mend_texts(flow.plan))
    big_lines(flow, "Watch in this lift", watch(flow.plan))


def _orders(flow: Flow, stops_deg: tuple[float, ...], lines: Sequence[LiftGuy]) -> None:
    """The table, a row a line; a head on each page."""
    done = 0
    while done < len(lines):
        flow.need(TITLE_MM + HEAD_MM + 3 * ROW_MM)
        flow.title(TITLE if done == 0 else f"{TITLE}, continued")
        stop_mm = _draw_head(flow, stops_deg)
        while done < len(lines) and flow.y + 2 * ROW_MM <= flow.end:
            _draw_line(flow, lines[done], stop_mm)
            done += 1
        if flow.plan.statics is not None:
            _draw_pulls(flow, stops_deg, stop_mm)
        flow.y += GAP_MM


def _stop_mm(flow: Flow, count: int) -> float:
    return min(MOST_STOP_MM, (flow.width_mm - NAME_MM - REST_MM) / max(count - 1, 1))


def _draw_head(flow: Flow, stops_deg: tuple[float, ...]) -> float:
    """The stops over their columns; returns the width of a column, mm."""
    sheet, stop_mm = flow.sheet, _stop_mm(flow, len(stops_deg))
    width_mm = NAME_MM + REST_MM + stop_mm * (len(stops_deg) - 1)
    sheet.box((flow.left, flow.y), (width_mm, HEAD_MM), fill=0.93)
    sheet.text((flow.left + PAD_MM, flow.y + 3.2), "Line", 7.0, bold=True)
    sheet.text((flow.left + PAD_MM, flow.y + 6.6), "mast at", 8.0)
    x = flow.left + NAME_MM + REST_MM
    sheet.text((x - PAD_MM, flow.y + 2.6), "m, at the rest line", 6.0, align="right")
    sheet.text((x - PAD_MM, flow.y + 7.4), angle(stops_deg[0]), FIGURE, bold=True, align="right")
    for stop_deg in stops_deg[1:]:
        x += stop_mm
        sheet.text((x - PAD_MM, flow.y + 7.4), angle(stop_deg), FIGURE, bold=True, align="right")
    sheet.line((flow.left, flow.y + HEAD_MM), (flow.left + width_mm, flow.y + HEAD_MM), THIN_MM)
    flow.y += HEAD_MM
    return stop_mm


def _draw_line(flow: Flow, line: LiftGuy, stop_mm: float) -> None:
    """One line: its name, its length at the rest line, and what to do on the way to each stop."""
    sheet, y = flow.sheet, flow.y
    base = y + 6.2
    name, where = line_name(flow.plan, line)
    name, size = sheet.fitted(name, NAME_MM - 2 * PAD_MM, 12.0, 7.0, bold=True)
    sheet.text((flow.left + PAD_MM, y + 5.0), name, size, bold=True)
    where, size = sheet.fitted(where, NAME_MM - 2 * PAD_MM, 8.0, 6.0)
    sheet.text((flow.left + PAD_MM, y + 8.7), where, size)
    x = flow.left + NAME_MM + REST_MM
    text, size = sheet.fitted(f"{line.stops[0].length_m:.2f}", REST_MM - PAD_MM, FIGURE, 11.0)
    sheet.text((x - PAD_MM, base), text, size, align="right")
    for stop in line.stops[1:]:
        x += stop_mm
        _draw_stop(sheet, x - PAD_MM, y, stop)
        sheet.line((x - stop_mm, y), (x - stop_mm, y + ROW_MM), HAIR_MM, ink=RULE_INK)
    sheet.line((flow.left, y + ROW_MM), (x, y + ROW_MM), HAIR_MM, ink=RULE_INK)
    flow.y += ROW_MM


def _draw_stop(sheet: Sheet, right: float, y: float, stop: LiftStop) -> None:
    """Out or in as a word over the figure, the total since the rest line below it."""
    word = "leave" if stop.change_cm == 0.0 else "OUT" if stop.change_cm > 0.0 else "IN"
    star = "*" if stop.peak_cm > 0.0 else ""
    sheet.text((right, y + 2.5), word + star, 6.5, bold=word == "IN", align="right")
    sheet.text((right, y + 7.0), f"{abs(stop.change_cm):.0f}", FIGURE, bold=True, align="right")
    total = f"{stop.since_rest_cm:+.0f}".replace("-", "−").replace("+0", "0")
    sheet.text((right, y + 9.6), total, 7.0, align="right")


def _draw_pulls(flow: Flow, stops_deg: tuple[float, ...], stop_mm: float) -> None:
    """The winch pull at each stop, below the lines."""
    sheet, y = flow.sheet, flow.y
    base = y + TIGHT_ROW_MM / 2 + 0.2 + CAPITAL_EM * FIGURE / POINTS_PER_MM / 2
    sheet.text((flow.left + PAD_MM, base), "Winch pull, kN", 9.0, bold=True)
    x = flow.left + NAME_MM + REST_MM
    for number, stop_deg in enumerate(stops_deg):
        x += stop_mm if number else 0.0
        text, size = sheet.fitted(pull_at(flow.plan, stop_deg), (stop_mm if number else REST_MM) - 2 * PAD_MM, FIGURE, 8.0, bold=True)
        sheet.text((x - PAD_MM, base), text, size, bold=True, align="right")
    sheet.line((flow.left, y + TIGHT_ROW_MM + 0.4), (x, y + TIGHT_ROW_MM + 0.4), THIN_MM)
    flow.y += TIGHT_ROW_MM + 0.4


def _peaks(flow: Flow, lines: Sequence[LiftGuy]) -> None:
    """The stops on whose way a line must give more before it is taken in again."""
    texts = [
        f"* {' '.join(line_name(flow.plan, line))}, on the way to {angle(stop.angle_deg)}: {stop.instruction}."
        for line in lines for stop in line.stops if stop.peak_cm > 0.0
    ]  # fmt: skip
    big_lines(flow, "On the way to a stop", tuple(texts))


def _tight_table(flow: Flow, lines: Sequence[LiftGuy]) -> Table:
    rows = [
        (
            *line_name(flow.plan, line), f"{line.travel_m:.2f}", f"{line.tightest_m:.2f}", angle(line.tightest_at_deg),
            f"{line.slackest_m:.2f}", angle(line.slackest_at_deg),
        )
        for line in lines
    ]  # fmt: skip
    rest_mm = flow.width_mm - 30.0 - 34.0
    columns = (
        Column("Anchor", "", 30.0, "left", is_bold=True),
        Column("Line", "", 34.0, "left", is_words=True),
        Column("Travel", "m, longest − shortest", rest_mm * 0.22, is_bold=True),
        Column("Tightest", "m long", rest_mm * 0.22),
        Column("mast at", "degrees", rest_mm * 0.17),
        Column("Slackest", "m long", rest_mm * 0.22),
        Column("mast at", "degrees", rest_mm * 0.17),
    )
    return Table(columns, tuple(rows), TIGHT_ROW_MM, FIGURE)


def big_lines(flow: Flow, title: str, texts: Sequence[str]) -> None:
    """Sentences under a heading in the size that is read on the ground; nothing where there are none.

    Where a little smaller brings all of them onto this page, they are that much smaller.
    """
    if not texts:
        return
    size = next((s for s in WATCH_SIZES if flow.y + _lines_mm(flow, texts, s) <= flow.end), WATCH_SIZES[0])
    sheet, step_mm = flow.sheet, size * 1.2 / POINTS_PER_MM
    blocks = [sheet.wrapped(text, flow.width_mm - 4.0, size) for text in texts]
    flow.need(TITLE_MM + step_mm * len(blocks[0]))
    flow.title(title)
    for block in blocks:
        flow.need(step_mm * len(block) + BETWEEN_MM)
        sheet.text((flow.left, flow.y + step_mm * 0.8), "–", size)
        for line in block:
            sheet.text((flow.left + 3.2, flow.y + step_mm * 0.8), line, size)
            flow.y += step_mm
        flow.y += BETWEEN_MM
    flow.y += GAP_MM - BETWEEN_MM


def _lines_mm(flow: Flow, texts: Sequence[str], size: float) -> float:
    """Height of the sentences with their heading at a size in points, mm."""
    count = sum(len(flow.sheet.wrapped(text, flow.width_mm - 4.0, size)) for text in texts)
    return TITLE_MM + count * size * 1.2 / POINTS_PER_MM + len(texts) * BETWEEN_MM
