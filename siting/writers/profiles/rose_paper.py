"""The laydown rose on paper: what every direction allows, what rules it out, the chosen one, the next best, uphill, and tables."""

from __future__ import annotations

import math

from siting.figures import shown
from siting.records.plan import Plan
from siting.units import turn_deg
from siting.writers.paper.canvas import CAPITAL_EM, HAIR_MM, POINTS_PER_MM, THIN_MM, Point
from siting.writers.paper.flow import GAP_MM, Flow
from siting.writers.paper.sketch_labels import Box, Label
from siting.writers.paper.sketch_marks import ARROWS_MM, draw_norths
from siting.writers.profiles.around import place_around
from siting.writers.profiles.polar import Rose, draw_pattern
from siting.writers.profiles.rose_legend import LETTER_SIZE, PASS_INK, draw_rose_legend
from siting.writers.profiles.rose_tables import best_table, ruled_table
from siting.writers.profiles.sectors import NOT_JUDGED, Run, Sector, kinds, runs, sectors
from siting.writers.profiles.words import ALLOWED, SECTORS_TOLD, allowed_words

ROSE_MM = 128.0
INNER_MM, BARS_MM, OUTER_MM = 6.0, 43.0, 50.0  # from the middle: where the longest bar ends, where bars begin, the ring ends
NUMBER_SIZE, WORD_SIZE = 7.5, 8.0
LETTER_ROOM_MM = 4.2  # a run this wide on the paper holds its letter
HALVES = (0.25, 0.5, 0.75)


def fill_rose(flow: Flow) -> None:
    """The rose on a page of its own, with its legend beside it and the tables below."""
    plan = flow.plan
    found = sectors(plan.laydown)
    flow.turn()
    flow.title("The laydown rose: every direction in which the mast could lie")
    for text in (f"{SECTORS_TOLD} {allowed_words(found)}", ALLOWED):
        text, size = flow.sheet.fitted(text, flow.width_mm, 8.0, 6.5)
        flow.sheet.text((flow.left, flow.y + 2.2), text, size)
        flow.y += 3.6
    top = flow.y
    box = (flow.left, top, flow.left + ROSE_MM, top + ROSE_MM)
    flow.sheet.box(box[:2], (ROSE_MM, ROSE_MM), THIN_MM)
    rose = Rose(flow.sheet, ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2))
    _draw_ring(rose, found)
    _draw_bars(rose, found, plan)
    _draw_directions(rose, plan)
    _draw_names(rose, plan, (box, found))
    draw_norths(flow.sheet, (box[2] - ARROWS_MM[0] - 1.0, box[1] + 1.0), plan.crs)
    draw_rose_legend(flow, (box[2] + 4.0, top), found)
    flow.y = box[3] + GAP_MM
    flow.table("The chosen laydown and the best in other directions", best_table(plan, flow.width_mm))
    table = ruled_table(plan, found, flow.width_mm)
    if table.rows:
        flow.table("Directions ruled out or not judged, clockwise", table)


def _draw_ring(rose: Rose, found: tuple[Sector, ...]) -> None:
    """The outer ring: a pattern for each kind of check that rules out, white where allowed, dots round the rest."""
    patterns = {kind.kind: kind.pattern for kind in kinds(found)}
    for run in runs(found):
        span = (run.from_deg, run.from_deg + run.width_deg)
        if run.verdict == "fail":
            draw_pattern(rose, patterns[run.kind], span, (BARS_MM, OUTER_MM))
        elif run.verdict == NOT_JUDGED:
            rose.draw_arc(span, OUTER_MM, 0.2, (0.5, 0.7))
            rose.draw_arc(span, BARS_MM, 0.2, (0.5, 0.7))
        else:
            rose.draw_sector(span, (BARS_MM, OUTER_MM), 0.5, None)
    for azimuth in range(0, 360, 10):
        long = 2.0 if azimuth % 30 == 0 else 1.2
        rose.sheet.line(rose.at(azimuth, OUTER_MM), rose.at(azimuth, OUTER_MM + long), 0.2)


def _draw_bars(rose: Rose, found: tuple[Sector, ...], plan: Plan) -> None:
    """A bar inward from the ring for each allowed direction, as long as what is left; circles at quarters."""
    for part in HALVES:
        rose.sheet.circle(rose.centre, BARS_MM - part * (BARS_MM - INNER_MM), HAIR_MM)
    rose.sheet.circle(rose.centre, INNER_MM, THIN_MM)
    for run in runs(found):
        if run.verdict in ("pass", "marginal"):
            edge = [rose.at(run.from_deg, BARS_MM)]
            for sector in run.sectors:
                edge += rose.arc(sector.from_deg, sector.to_deg, BARS_MM - max(sector.margin, 0.01) * (BARS_MM - INNER_MM))
            outer = rose.arc(run.from_deg, run.from_deg + run.width_deg, BARS_MM)[::-1]
            rose.sheet.polygon([*edge, *outer], THIN_MM if run.verdict == "pass" else 0.3, PASS_INK if run.verdict == "pass" else 1.0)
    turn = _free_direction(plan)
    for part in HALVES:
        x, y = rose.at(turn, BARS_MM - part * (BARS_MM - INNER_MM))
        text = f"{100 * part:.0f} % left"
        half = rose.sheet.text_mm(text, 7.0) / 2
        rose.sheet.box((x - half - 0.3, y - 1.5), (2 * half + 0.6, 3.0), fill=1.0)
        rose.sheet.text((x, y + CAPITAL_EM * 7.0 / POINTS_PER_MM / 2), text, 7.0, align="middle")


def _free_direction(plan: Plan) -> float:
    """A multiple of 10 degrees clear of every line of the rose, and as far from the bars as can be."""
    lay = plan.laydown
    lines = [lay.azimuth_deg, *(r.azimuth_deg for r in lay.runners_up)]
    bars = [c.azimuth_deg for c in lay.candidates if c.verdict != "fail"]
    return max(range(0, 360, 10), key=lambda a: (min(_away(a, lines), 25.0), _away(a, bars)))


def _away(azimuth_deg: float, others: list[float]) -> float:
    return min((abs(turn_deg(azimuth_deg, other)) for other in others), default=180.0)


def _arrow(rose: Rose, azimuth_deg: float, foot_mm: float, tip_mm: float, size_mm: float) -> list[Point]:
    """The corners of an arrow's head that points outward."""
    tip, back = rose.at(azimuth_deg, tip_mm), rose.at(azimuth_deg, foot_mm)
    side = rose.at(azimuth_deg + 90.0, size_mm / 2)
    dx, dy = side[0] - rose.centre[0], side[1] - rose.centre[1]
    return [tip, (back[0] + dx, back[1] + dy), (back[0] - dx, back[1] - dy)]


def _draw_directions(rose: Rose, plan: Plan) -> None:
    """The chosen laydown as a mast with its head outward, the next best with their numbers, uphill as an open arrow."""
    lay, sheet = plan.laydown, rose.sheet
    for number, runner in enumerate(lay.runners_up, 1):
        sheet.line(rose.at(runner.azimuth_deg, INNER_MM), rose.at(runner.azimuth_deg, BARS_MM), 0.25, (1.6, 0.9))
        x, y = rose.at(runner.azimuth_deg, BARS_MM - 4.5)
        sheet.circle((x, y), 2.1, 0.3, 1.0)
        sheet.text((x, y + CAPITAL_EM * WORD_SIZE / POINTS_PER_MM / 2), str(number), WORD_SIZE, bold=True, align="middle")
    sheet.line(rose.centre, rose.at(lay.azimuth_deg, BARS_MM - 2.0), 1.7, ink=1.0)
    sheet.line(rose.centre, rose.at(lay.azimuth_deg, BARS_MM - 2.0), 1.0)
    sheet.polygon(_arrow(rose, lay.azimuth_deg, OUTER_MM - 6.5, OUTER_MM, 4.2), 0.4, 0.0)
    sheet.circle(rose.centre, 1.6, 0.4, 1.0)
    if plan.base.uphill_deg is not None:
        sheet.polygon(_arrow(rose, plan.base.uphill_deg, OUTER_MM + 2.4, OUTER_MM + 6.4, 3.4), 0.35, 1.0)


def _draw_names(rose: Rose, plan: Plan, where: tuple[Box, tuple[Sector, ...]]) -> None:
    """Compass, letters of the runs, the laydown's and the hill's names: each where it finds room."""
    (box, found), sheet = where, rose.sheet
    marks: list[Box] = [(box[2] - ARROWS_MM[0] - 1.5, box[1], box[2], box[1] + ARROWS_MM[1] + 1.5)]
    if plan.base.uphill_deg is not None:
        corners = _arrow(rose, plan.base.uphill_deg, OUTER_MM + 2.4, OUTER_MM + 6.4, 3.4)
        xs, ys = zip(*corners, strict=True)
        marks.append((min(xs), min(ys), max(xs), max(ys)))
    marks += [_around(rose, azimuth, OUTER_MM / 2 + BARS_MM / 2, 3.4) for azimuth in range(0, 360, 3)]
    labels, letters = _letters(rose, found)
    for text, at in letters:
        sheet.circle(at, 1.95, 0.0, 1.0)
        sheet.text((at[0], at[1] + CAPITAL_EM * LETTER_SIZE / POINTS_PER_MM / 2), text, LETTER_SIZE, bold=True, align="middle")
    labels += _names(rose, plan)
    inner = (box[0] + 0.8, box[1] + 0.8, box[2] - 0.8, box[3] - 0.8)
    placed = place_around(labels, marks, inner)
    for name in placed:
        if name.leader:
            sheet.line(*name.leader, HAIR_MM)
        left, top, right, low = name.box
        step = (low - top) / len(name.label.lines)
        size = step * POINTS_PER_MM / 0.98
        for number, text in enumerate(name.label.lines):
            base = top + step * (number + 0.5) + CAPITAL_EM * size / POINTS_PER_MM / 2
            sheet.text(((left + right) / 2, base), text, size, bold=_is_bold(name.label.lines), align="middle")


def _is_bold(lines: tuple[str, ...]) -> bool:
    return len(lines) > 1 or len(lines[0]) == 1


def _names(rose: Rose, plan: Plan) -> list[Label]:
    """The laydown's name, the hill's, and the compass."""
    lay = plan.laydown
    found = [_label(rose, ("laydown", shown(lay.azimuth_deg, "bearing")), lay.azimuth_deg, (WORD_SIZE + 0.5, 1.0))]
    if plan.base.uphill_deg is not None:
        found.append(_label(rose, ("uphill",), plan.base.uphill_deg, (WORD_SIZE, 6.4)))
    for azimuth in range(0, 360, 30):
        name = {0: "N", 90: "E", 180: "S", 270: "W"}.get(azimuth, f"{azimuth}°")
        found.append(_label(rose, (name,), float(azimuth), (NUMBER_SIZE + (2.0 if azimuth % 90 == 0 else 0.0), 2.0)))
    return found


def _around(rose: Rose, azimuth_deg: float, radius_mm: float, reach_mm: float) -> Box:
    x, y = rose.at(azimuth_deg, radius_mm)
    return x - reach_mm, y - reach_mm, x + reach_mm, y + reach_mm


def _label(rose: Rose, lines: tuple[str, ...], azimuth_deg: float, how: tuple[float, float]) -> Label:
    """A name outside the ring: its type size, and how far outside it would begin, mm."""
    size, reach_mm = how
    wide = max(rose.sheet.text_mm(text, size, bold=_is_bold(lines)) for text in lines) + 0.4
    outward = math.radians(azimuth_deg - 90.0)
    return Label(rose.at(azimuth_deg, OUTER_MM), reach_mm, wide, len(lines) * 0.98 * size / POINTS_PER_MM, outward, lines)


def _letters(rose: Rose, found: tuple[Sector, ...]) -> tuple[list[Label], list[tuple[str, Point]]]:
    """Letters to place outside the ring, of runs too narrow to hold theirs, and those that stand inside it."""
    letter = {kind.kind: kind.letter for kind in kinds(found)}
    outside, inside = [], []
    for run in runs(found):
        text = run_letter(run, letter)
        if not text:
            continue
        if math.radians(run.width_deg) * BARS_MM < LETTER_ROOM_MM:
            outside.append(_label(rose, (text,), run.middle_deg, (LETTER_SIZE, 0.8)))
            continue
        count = max(1, round(run.width_deg / 60.0))
        for k in range(count):
            azimuth = run.from_deg + run.width_deg * (k + 0.5) / count
            inside.append((text, rose.at(azimuth, (BARS_MM + OUTER_MM) / 2)))
    return outside, inside


def run_letter(run: Run, letters: dict[str, str]) -> str:
    """The letter of a run: of the check that rules it out, ? where it was not judged; none where it is allowed."""
    return letters[run.kind] if run.verdict == "fail" else "?" if run.verdict == NOT_JUDGED else ""
