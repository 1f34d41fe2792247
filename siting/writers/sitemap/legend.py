"""The legend of the site map: every line, hatch and mark that stands on it, proposed told from existing."""

from __future__ import annotations

from dataclasses import dataclass

from siting.records.permit import PermitFacts, PermitGround
from siting.records.plan import Plan
from siting.writers.paper.canvas import Point
from siting.writers.paper.language import Speaker
from siting.writers.paper.sketch_marks import STROKE_WORDS, STROKES, draw_mark
from siting.writers.sitemap.drawing import MapDrawing
from siting.writers.sitemap.lengths import length
from siting.writers.sitemap.line_types import EXISTING, LAND_KINDS, LINE_TYPES, PROPOSED, RULES, drawn_as
from siting.writers.sitemap.map_sheet import HEADING, TEXT, MapSheet
from siting.writers.sitemap.outlines import known_outlines
from siting.writers.sitemap.strokes import draw_arrows, draw_hatch, draw_line

ROW_MM, TITLE_MM, SIGN_MM = 4.1, 5.2, 10.5
MARKS = {
    "base": "base of the mast", "permanent": "guy anchor", "temporary": "anchor for the lift", "winch": "anchor of the winch",
    "head": "head, mast lying",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Entry:
    """A row: what is drawn (mark, stroke, line or heading), its key, its words."""

    sort: str
    key: str
    words: str


def entries(plan: Plan, facts: PermitFacts, done: MapDrawing) -> list[Entry]:
    """Every row in order, with the headings between."""
    rows = [Entry("heading", "", PROPOSED)]
    rows += [Entry("mark", key, words) for key, words in MARKS.items() if key in done.roles]
    rows += [Entry("stroke", key, STROKE_WORDS[key]) for key in STROKES if key in done.strokes]
    for group in (RULES, EXISTING):
        kinds = [key for key, line in LINE_TYPES.items() if line.group == group and key in done.kinds]
        rows += [Entry("heading", "", group)] if kinds else []
        for key in kinds:
            words = LINE_TYPES[key].words
            if key == "contour" and plan.backdrop is not None:
                step = length(plan.backdrop.contour_interval_m, facts.units)
                words = f"contour, every {step.replace('.00 m', ' m')}"
            rows.append(Entry("line", key, words))
    return rows


def columns_of(sheet: MapSheet, rows: list[Entry], width_mm: float) -> int:
    """How many columns find room beside each other."""
    widest = max(sheet.text_mm(r.words, TEXT) for r in rows) + SIGN_MM + 2.0
    return max(1, int(width_mm // widest))


def legend_mm(sheet: MapSheet, rows: list[Entry], width_mm: float) -> float:
    """Height of the legend, mm."""
    return TITLE_MM + ROW_MM * rows_high(rows, columns_of(sheet, rows, width_mm)) + 1.0


def expected_mm(sheet: MapSheet, plan: Plan, facts: PermitFacts, ground: PermitGround | None, width_mm: float) -> float:
    """Height of the legend if everything that is known were on the map, mm: it is needed before the map is drawn.

    Measured in English, so that a map has the same scale in every language.
    """
    sheet = sheet.aside(Speaker())
    kinds = {o.kind if o.kind in LAND_KINDS else drawn_as(o.kind) for o in known_outlines(plan, ground)[0]}
    zones = {key for key, line in LINE_TYPES.items() if line.group == RULES}
    done = MapDrawing(kinds | zones | ({"contour", "edge"} if plan.backdrop else set()), set(MARKS), set(STROKES))
    return legend_mm(sheet, entries(plan, facts, done), width_mm)


def rows_high(rows: list[Entry], count: int) -> int:
    """The least number of rows at which the legend fits so many columns, no heading at the foot of one."""
    high = -(-len(rows) // count)
    while len(_without_low_headings(rows, high)) > high * count:
        high += 1
    return high


def _without_low_headings(rows: list[Entry], high: int) -> list[Entry]:
    """The rows with a gap before a heading that would stand alone at the foot of a column."""
    done: list[Entry] = []
    for row in rows:
        if row.sort == "heading" and len(done) % high == high - 1 and high > 1:
            done.append(Entry("gap", "", ""))
        done.append(row)
    return done


def draw_legend(sheet: MapSheet, rows: list[Entry], at: Point, width_mm: float) -> None:
    """Draws the legend in columns."""
    import shapely

    count = columns_of(sheet, rows, width_mm)
    high = rows_high(rows, count)
    rows = _without_low_headings(rows, high)
    sheet.text((at[0], at[1] + TITLE_MM - 1.5), "Legend", HEADING, bold=True)
    sheet.line((at[0], at[1] + TITLE_MM), (at[0] + width_mm, at[1] + TITLE_MM), 0.4)
    for number, row in enumerate(rows):
        x = at[0] + number // high * width_mm / count
        y = at[1] + TITLE_MM + 0.6 + (number % high + 0.5) * ROW_MM
        if row.sort == "gap":
            continue
        if row.sort == "heading":
            sheet.text((x, y + 1.0), row.words, TEXT, bold=True)
            continue
        left, right = x + 0.5, x + SIGN_MM - 1.5
        if row.sort == "mark":
            draw_mark(sheet, row.key, ((left + right) / 2, y - (1.3 if row.key == "head" else 0.0)))
        elif row.sort == "stroke":
            sheet.line((left, y), (right, y), *STROKES[row.key], ink=0.0 if row.key in ("laydown", "permanent") else 0.3)
        elif row.key == "dimension":
            draw_arrows(sheet, (left, y), (right, y), LINE_TYPES[row.key].stroke_mm)
        else:
            kind = LINE_TYPES[row.key]
            if kind.hatch == "edge":
                draw_hatch(sheet, shapely.box(left, y, right, y + 1.9), "slant")
                y -= 0.2
            elif row.key in ("building", "wetland", "flood_zone"):
                area = shapely.box(left + 1.0, y - 1.4, right - 1.0, y + 1.4)
                draw_hatch(sheet, area, kind.hatch)
                draw_line(sheet, area.boundary, kind)
                sheet.text((x + SIGN_MM, y + 1.0), row.words, TEXT)
                continue
            draw_line(sheet, shapely.LineString([(left, y), (right, y)]), kind)
        sheet.text((x + SIGN_MM, y + 1.0), row.words, TEXT)
