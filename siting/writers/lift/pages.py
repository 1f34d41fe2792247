"""The first page of the lift sheet: what the crew leader holds in the hand, in figures of 14 points and more."""

from __future__ import annotations

from collections.abc import Sequence

from siting.figures import shown
from siting.records.plan import Plan, Stake
from siting.writers.lift.force_words import angle, pulls
from siting.writers.lift.slopes import FIGURE, draw_slopes, slope_mm
from siting.writers.lift.words import (
    DEFER,
    FIRST_CAUTIONS,
    NO_SOURCE,
    NOT_CHECKED,
    SLOPES_FROM,
    STOP_IF,
    hold_points,
    lift_headline,
    lift_stakes,
    lift_unchecked,
    lift_verdict,
    loud_words,
    overhead,
    wind_words,
    zones,
)
from siting.writers.map.words import VERDICT_WORDS
from siting.writers.paper.blocks import LINE_EM, beside, box_words
from siting.writers.paper.canvas import BOLD_LINE_MM, CAPITAL_EM, HAIR_MM, POINTS_PER_MM, THIN_MM, Point, Sheet
from siting.writers.paper.table import PAD_MM, fit_lines

BIG, BIGGEST, WORDS, SMALL = 17.0, 24.0, 9.5, 8.0
HEAD_MM, TAG_MM, WIND_MM, OVER_MM, LAYDOWN_MM = 12.4, 8.0, 12.5, 11.8, 14.6
HOLD_HEAD_MM, LEAST_HOLD_MM, MOST_HOLD_MM = 5.0, 6.3, 10.5
LOUD_MM = 4.8  # more height for the verdict where something fails
HOLD_PART, GAP_MM, SIDE_GAP_MM = 0.565, 1.6, 3.0
SLOPE_TITLE_MM, MOST_SLOPE_ROWS = 4.4, 6
PLACE_MM, CAUTION_SIZE = 22.5, 7.5
ZONE_MM, PULL_MM, BLOCK_TITLE_MM = 5.8, 5.8, 4.6

Part = tuple[str, float, bool]  # text, size in points, bold


def draw_parts(sheet: Sheet, at: Point, parts: Sequence[Part], gap_mm: float = 1.6) -> float:
    """Texts of different sizes on one base line; returns the x behind them, mm."""
    x = at[0]
    for text, size, bold in parts:
        sheet.text((x, at[1]), text, size, bold=bold)
        x += sheet.text_mm(text, size, bold=bold) + gap_mm
    return x


def draw_lift_title(sheet: Sheet, plan: Plan, kind: str, pages: int) -> float:
    """The heading of the first page: site, mast, run; returns the y below it, mm."""
    made, left, right, y = plan.provenance, sheet.left, sheet.right, sheet.top
    sheet.line((left, y), (right, y), 0.9)
    sheet.text((left, y + 4.2), kind.upper(), 8.0, bold=True)
    sheet.text((right, y + 4.2), f"page {sheet.page} of {pages}", 8.0, align="right")
    run, side = f"Run {made.run_id}", f"Plan for {made.plan_date} · siting {made.version}"
    sheet.text((right, y + 8.6), run, 11.0, bold=True, align="right")
    sheet.text((right, y + 11.6), side, 7.0, align="right")
    room_mm = right - left - max(sheet.text_mm(run, 11.0, bold=True), sheet.text_mm(side, 7.0)) - 5.0
    height = shown(plan.mast.height_m, "length")
    mast, mast_size = sheet.fitted(f"{plan.mast.name}, {height} from the hinge", room_mm * 0.5, WORDS, 6.5)
    name_mm = room_mm - sheet.text_mm(mast, mast_size) - 3.0
    name, size = sheet.fitted(plan.name, name_mm, 19.0, 9.0, bold=True)
    sheet.text((left, y + 10.6), name, size, bold=True)
    sheet.text((left + sheet.text_mm(name, size, bold=True) + 3.0, y + 10.6), mast, mast_size)
    return y + HEAD_MM + 0.8


def draw_first_page(sheet: Sheet, plan: Plan, y: float, end: float) -> tuple[Stake, ...]:
    """The one-page sheet between these heights, mm; returns the stakes whose slopes found no room."""
    y = _verdict(sheet, plan, y)
    y = _wind(sheet, plan, y)
    y = _overhead(sheet, plan, y)
    y = _laydown(sheet, plan, y)
    stakes = lift_stakes(plan)
    rows = min(MOST_SLOPE_ROWS, -(-len(stakes) // 2))
    cautions = _caution_lines(sheet, plan)
    caution_mm = len(cautions) * CAUTION_SIZE * LINE_EM / POINTS_PER_MM + 5.2
    below_mm = SLOPE_TITLE_MM + slope_mm(rows) + GAP_MM + PLACE_MM + GAP_MM + caution_mm
    middle = end - below_mm - GAP_MM
    _holds(sheet, plan, y, middle)
    _side(sheet, plan, y, middle)
    y = middle + GAP_MM
    sheet.text((sheet.left, y + 3.0), f"Slope of the ground ({SLOPES_FROM})", 9.0, bold=True)
    y = draw_slopes(sheet, stakes[: 2 * rows], y + SLOPE_TITLE_MM, rows) + GAP_MM
    y = draw_place(sheet, plan, y) + GAP_MM
    _cautions(sheet, cautions, y)
    return stakes[2 * rows :]


def _verdict(sheet: Sheet, plan: Plan, y: float) -> float:
    """The lift's verdict, what was not checked, the plan's warnings."""
    width_mm, tag_mm = sheet.right - sheet.left, 38.0
    verdict, loud = lift_verdict(plan), loud_words(plan)
    high_mm = TAG_MM + (LOUD_MM if loud else 0.0)
    box_words(sheet, (sheet.left, y, tag_mm, high_mm), VERDICT_WORDS[verdict].upper(), BIG, dark=verdict != "pass")
    missing = [u.id.replace("_", " ") for u in lift_unchecked(plan)]
    words = [lift_headline(plan), loud]
    words += [f"{NOT_CHECKED}, never a pass: {', '.join(missing)}."] if missing else []
    text = " ".join((*(w for w in words if w), *plan.warnings))
    beside(sheet, (sheet.left + tag_mm + 2.0, y, width_mm - tag_mm - 2.0, high_mm), text, WORDS, 6.5)
    return y + high_mm + GAP_MM


def _wind(sheet: Sheet, plan: Plan, y: float) -> float:
    value, words = wind_words(plan)
    width_mm = sheet.right - sheet.left
    if plan.wind_stop is None:
        box_words(sheet, (sheet.left, y, width_mm, WIND_MM), value, BIGGEST, dark=True)
        text, size = sheet.fitted(words, width_mm, 9.0, 7.0)
        sheet.text((sheet.left, y + WIND_MM + 3.4), text, size)
        return y + WIND_MM + 4.4 + GAP_MM
    sheet.box((sheet.left, y), (width_mm, WIND_MM), BOLD_LINE_MM, 1.0)
    x = draw_parts(sheet, (sheet.left + 3.0, y + 8.8), (("WIND STOP", BIG, True), (value, BIGGEST, True)), 4.0)
    text, size = sheet.fitted(words, sheet.right - x - 2.0, FIGURE, 7.0)
    if size >= 9.0:
        sheet.text((x, y + 8.8), text, size)
    else:
        beside(sheet, (x, y + 1.0, sheet.right - x - 2.0, WIND_MM - 2.0), words, FIGURE, 7.0)
    return y + WIND_MM + GAP_MM


def _overhead(sheet: Sheet, plan: Plan, y: float) -> float:
    """A line overhead inside the reach blocks; none known is not checked; both are shouted."""
    found = overhead(plan)
    x, width_mm = sheet.left, sheet.right - sheet.left
    if found.capitals:
        tag_mm = 68.0 if found.is_blocking else 47.0
        box_words(sheet, (x, y, tag_mm, OVER_MM), found.capitals, BIG, dark=True)
        x, width_mm = x + tag_mm + 2.0, width_mm - tag_mm - 2.0
    beside(sheet, (x, y, width_mm, OVER_MM), found.text, FIGURE, 7.0)
    return y + OVER_MM + GAP_MM


def _laydown(sheet: Sheet, plan: Plan, y: float) -> float:
    """Three azimuths side by side, and how the mast lies."""
    lay, sides = plan.laydown, sheet.right - sheet.left
    sheet.line((sheet.left, y), (sheet.right, y), THIN_MM)
    names = ((lay.azimuth_deg, "true"), (lay.azimuth_grid_deg, "grid"), (lay.azimuth_magnetic_deg, "magnetic"))
    parts: list[Part] = [("Lay down to", WORDS, True)]
    for value, name in names:
        parts += [("not known" if value is None else shown(value, "bearing"), BIG, True), (name, WORDS, False)]
    draw_parts(sheet, (sheet.left, y + 6.6), parts, 1.9)
    text = (
        f"Lies at {angle(lay.rest_angle_deg)}. Cribbing up to {shown(lay.max_gap_m, 'length')} at "
        f"{shown(lay.max_gap_at_m, 'length')}. Ground {shown(lay.slope_percent, 'percent')} along, "
        f"{shown(lay.cross_fall_percent, 'percent')} across."
    )
    text, size = sheet.fitted(text, sides, FIGURE, 9.0)
    sheet.text((sheet.left, y + 12.6), text, size)
    sheet.line((sheet.left, y + LAYDOWN_MM - 0.6), (sheet.right, y + LAYDOWN_MM - 0.6), THIN_MM)
    return y + LAYDOWN_MM + 0.4


def _holds(sheet: Sheet, plan: Plan, y: float, end: float) -> None:
    """The hold points, each with a box for a name and one for the time."""
    points = hold_points(plan)
    width_mm = (sheet.right - sheet.left) * HOLD_PART
    row_mm = min(MOST_HOLD_MM, max(LEAST_HOLD_MM, (end - y - HOLD_HEAD_MM) / len(points)))
    name_mm, time_mm = 27.0, 14.0
    sheet.text((sheet.left, y + 3.4), "Hold points", 9.0, bold=True)
    sheet.text((sheet.left + sheet.text_mm("Hold points", 9.0, bold=True) + 2.0, y + 3.4), NO_SOURCE, 7.0)
    edge = sheet.left + width_mm
    for text, x in (("Name", edge - time_mm - name_mm / 2), ("Time", edge - time_mm / 2)):
        sheet.text((x, y + 3.4), text, 7.5, bold=True, align="middle")
    y += HOLD_HEAD_MM
    for number, text in enumerate(points, 1):
        base = y + row_mm / 2 + CAPITAL_EM * FIGURE / POINTS_PER_MM / 2
        sheet.text((sheet.left + 7.2, base), str(number), FIGURE, bold=True, align="right")
        size = FIGURE if any(c.isdigit() for c in text) else 10.5
        text, size = sheet.fitted(text, width_mm - name_mm - time_mm - 10.0, size, 8.0, bold=size == FIGURE)
        sheet.text((sheet.left + 9.0, base), text, size, bold=size == FIGURE)
        sheet.box((edge - time_mm - name_mm, y), (name_mm, row_mm), THIN_MM)
        sheet.box((edge - time_mm, y), (time_mm, row_mm), THIN_MM)
        sheet.line((sheet.left, y + row_mm), (edge - time_mm - name_mm, y + row_mm), HAIR_MM)
        y += row_mm


def _side(sheet: Sheet, plan: Plan, y: float, end: float) -> None:
    """Beside the hold points: keep-out, pull, and what stops the lift."""
    left = sheet.left + (sheet.right - sheet.left) * HOLD_PART + SIDE_GAP_MM
    width_mm = sheet.right - left
    _title(sheet, (left, y), width_mm, "Keep out while the mast moves (base outward)")
    y += BLOCK_TITLE_MM
    for zone in zones(plan):
        y = _figure_row(sheet, (left, y), width_mm, (zone.name, zone.figure, zone.where), ZONE_MM)
    y += 1.2
    found = pulls(plan)
    _title(sheet, (left, y), width_mm, "Winch pull" if found else "Winch pull: NOT WORKED OUT")
    y += BLOCK_TITLE_MM
    for row in found:
        y = _figure_row(sheet, (left, y), width_mm, row, PULL_MM)
    y += 1.2
    _title(sheet, (left, y), width_mm, f"Stop if ({NO_SOURCE})")
    y += BLOCK_TITLE_MM
    size = 11.5
    while size > 6.5 and sum(len(sheet.wrapped(t, width_mm - 3.0, size)) for t in STOP_IF) * size * 1.12 / POINTS_PER_MM > end - y:
        size -= 0.25
    step_mm = size * 1.12 / POINTS_PER_MM
    for text in STOP_IF:
        sheet.text((left, y + step_mm * 0.8), "–", size)
        for line in sheet.wrapped(text, width_mm - 3.0, size):
            sheet.text((left + 2.8, y + step_mm * 0.8), line, size)
            y += step_mm


def _title(sheet: Sheet, corner: Point, width_mm: float, text: str) -> None:
    """The heading of a block, smaller where its language is longer."""
    text, size = sheet.fitted(text, width_mm, 9.0, 7.0, bold=True)
    sheet.text((corner[0], corner[1] + 3.4), text, size, bold=True)


def _figure_row(sheet: Sheet, at: Point, width_mm: float, row: tuple[str, str, str], row_mm: float) -> float:
    """A name, a figure of 14 points, and where it holds on one or two small lines; returns the y below."""
    base = at[1] + row_mm / 2 + CAPITAL_EM * FIGURE / POINTS_PER_MM / 2
    name, size = sheet.fitted(row[0], 22.0, WORDS, 5.5)
    sheet.text((at[0], base), name, size)
    figure_mm = sheet.text_mm(row[1], FIGURE, bold=True)
    x = at[0] + 22.5 + max(22.0, figure_mm)
    sheet.text((x, base), row[1], FIGURE, bold=True, align="right")
    lines, size = fit_lines(sheet, row[2], width_mm - (x - at[0]) - 1.5, 7.0)
    most = FIGURE if any(c.isdigit() for c in row[2]) else 8.5
    one, one_size = sheet.fitted(row[2], width_mm - (x - at[0]) - 1.5, most, 7.5)
    if not one.endswith("…"):
        lines, size = [one], one_size
    step_mm = size * 1.02 / POINTS_PER_MM
    middle = at[1] + row_mm / 2 + CAPITAL_EM * size / POINTS_PER_MM / 2 - step_mm * (len(lines) - 1) / 2
    for number, line in enumerate(lines):
        sheet.text((x + 1.5, middle + number * step_mm), line, size)
    return at[1] + row_mm


def draw_place(sheet: Sheet, plan: Plan, y: float) -> float:
    """For the rescue service: the base in three forms, and room for what the plan does not hold."""
    base, width_mm = plan.base, sheet.right - sheet.left
    sheet.box((sheet.left, y), (width_mm, PLACE_MM), BOLD_LINE_MM)
    half = sheet.left + width_mm * 0.6
    sheet.text((sheet.left + PAD_MM, y + 3.8), "EMERGENCY: the base, WGS 84", 9.0, bold=True)
    grid = f"E {shown(base.easting, 'coordinate', unit=False)}  N {shown(base.northing, 'coordinate', unit=False)}"
    forms = (f"{shown(base.lat, 'latlon')}  {shown(base.lon, 'latlon')}", base.dms, f"MGRS {base.mgrs}" if base.mgrs else grid)
    for number, text in enumerate(forms):
        text, size = sheet.fitted(text, half - sheet.left - 3.0, 15.0, FIGURE, bold=True)
        sheet.text((sheet.left + PAD_MM, y + 9.4 + 5.8 * number), text, size, bold=True)
    sheet.line((half, y), (half, y + PLACE_MM), HAIR_MM)
    names = ("Emergency number", "Gate and meeting point", "Lift led by, radio channel, date")
    for number, text in enumerate(names):
        top = y + number * PLACE_MM / 3
        sheet.text((half + PAD_MM, top + 2.8), text, 6.5, ink=0.25)
        if number:
            sheet.line((half, top), (sheet.right, top), HAIR_MM)
    return y + PLACE_MM


def _caution_lines(sheet: Sheet, plan: Plan) -> list[str]:
    return sheet.wrapped(" ".join(c for k, c in enumerate(plan.cautions) if k in FIRST_CAUTIONS), sheet.right - sheet.left, CAUTION_SIZE)


def _cautions(sheet: Sheet, lines: Sequence[str], y: float) -> None:
    sheet.text((sheet.left, y + 3.6), DEFER, 11.0, bold=True)
    step_mm = CAUTION_SIZE * LINE_EM / POINTS_PER_MM
    for number, line in enumerate(lines):
        sheet.text((sheet.left, y + 7.6 + number * step_mm), line, CAUTION_SIZE)
