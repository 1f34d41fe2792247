"""The title block of the site map: who, where, what, in which frame, at which scale; revisions; seal and signature left empty."""

from __future__ import annotations

from dataclasses import dataclass, replace

from siting.figures import shown
from siting.records.permit import PermitFacts
from siting.records.plan import Plan
from siting.units import dms_text
from siting.writers.frame_words import crs_words, unit_words
from siting.writers.paper.canvas import THIN_MM, Point
from siting.writers.paper.language import Said
from siting.writers.sitemap.lengths import both
from siting.writers.sitemap.map_sheet import HEADING, LINE_MM, NAME, TEXT, MapSheet
from siting.writers.sitemap.ruled import Column, Ruled, ruled
from siting.writers.sitemap.scale import Scale

NOT_GIVEN = "not given"
SEAL_MM, BESIDE_MM, SHORT_MM = 34.0, 80.0, 9.5
NAME_LINE_MM, HEAD_PAD_MM = 6.0, 6.2


def who_rows(facts: PermitFacts) -> list[tuple[str, str]]:
    """What the applicant says; what is not given says so."""
    rows = [
        ("Applicant", facts.applicant), ("Site address", facts.address), ("Tax map no.", facts.parcel), ("Land owner", facts.owner),
        ("Zoning", facts.zoning), ("Purpose", facts.purpose), ("Access", facts.access),
    ]  # fmt: skip
    kept = [row for row in rows if row[1] or row[0] not in ("Purpose", "Access")]
    return [(title, text or NOT_GIVEN) for title, text in kept]


def mast_rows(plan: Plan, facts: PermitFacts) -> list[tuple[str, str]]:
    """The mast and its heights; above sea level only where that is known."""
    mast = plan.mast
    rows = [
        ("Mast", f"{mast.name}, {mast.structure}, guyed; proposed"),
        ("Total height", f"{both(mast.total_height_m, facts.units)} above ground, to the tip"),
        ("Base height", f"{both(plan.base.height_m, facts.units)}, DEM; datum: {plan.terrain.vertical_datum}"),
    ]
    if plan.air is not None and plan.air.tip_amsl_m is not None:
        rows.append(("Tip above sea", both(plan.air.tip_amsl_m, facts.units)))
    return rows


def frame_rows(plan: Plan) -> list[tuple[str, str]]:
    """The base in degrees, in D-M-S and on the grid; datum and CRS."""
    base, crs = plan.base, plan.crs
    east, north = shown(base.easting, "coordinate", unit=False), shown(base.northing, "coordinate", unit=False)
    return [
        ("Base, WGS 84", f"{shown(base.lat, 'latlon')}, {shown(base.lon, 'latlon')}"),
        ("", f"{dms_text(base.lat, 'N', 'S')} {dms_text(base.lon, 'E', 'W')}"),
        ("Base, grid", f"{east} E, {north} N; {unit_words(crs.unit_m, crs.unit)}"),
        ("Grid", crs_words(plan)),
        ("Datum", f"{crs.datum}; epoch {crs.epoch.removeprefix('epoch ')}"),
    ]


def drawing_rows(plan: Plan, facts: PermitFacts, scale: Scale, sheet: tuple[int, int]) -> list[tuple[str, str]]:
    """Number, sheet, scale, day, names."""
    by = f"drawn {facts.drawn_by or NOT_GIVEN}; checked {facts.checked_by or NOT_GIVEN}"
    return [
        ("Drawing no.", f"{facts.drawing or NOT_GIVEN}, sheet {sheet[0]} of {sheet[1]}"),
        ("Scale", f"{scale.written} ({scale.in_words}) on {facts.paper or plan.paper}"),
        ("Date", f"{plan.provenance.plan_date}; run {plan.provenance.run_id}"),
        ("By", by),
    ]


@dataclass(frozen=True, slots=True)
class TitleBlock:
    """The title block's rows and revisions at one width, and whether a long text was cut or a revision left out."""

    rows: Ruled
    revisions: Ruled
    head_mm: float
    is_cut: bool

    @property
    def height_mm(self) -> float:
        """The whole height, mm."""
        return self.head_mm + self.rows.height_mm + self.revisions.height_mm


def title_block(
    sheet: MapSheet, plan: Plan, facts: PermitFacts, scale: Scale, pages: int, width_mm: float, room_mm: float
) -> TitleBlock:
    """The title block, long texts and old revisions cut until it fits this height: a later sheet then has them whole."""
    rows = [*who_rows(facts), *mast_rows(plan, facts), *frame_rows(plan), *drawing_rows(plan, facts, scale, (1, pages))]
    whole = ruled(sheet, "", (Column("", 24.0, "left", True), Column("")), rows, width_mm)
    head = head_mm(sheet, plan, width_mm)
    for most_lines, most_revisions in ((9, 99), (4, 4), (3, 3), (2, 2), (1, 1)):
        table, revisions = _cut(whole, most_lines), _cut(revision_table(sheet, facts, width_mm, most_revisions), most_lines)
        is_cut = table.rows != whole.rows or revisions != revision_table(sheet, facts, width_mm)
        block = TitleBlock(table, revisions, head, is_cut)
        if block.height_mm <= room_mm:
            break
    return block


def whole_table(sheet: MapSheet, facts: PermitFacts, width_mm: float) -> Ruled:
    """What the title block had to cut, whole."""
    rows = [*who_rows(facts), *((f"Revision {r.mark}", f"{r.date}: {r.text} {r.by}") for r in facts.revisions)]
    return ruled(sheet, "Title block, its long texts whole", (Column("", 24.0, "left", True), Column("")), rows, width_mm)


def _cut(table: Ruled, most_lines: int) -> Ruled:
    """The table with no more lines in a cell than this; a cut one ends with …"""

    def cut(lines: tuple[str, ...]) -> tuple[str, ...]:
        return lines if len(lines) <= most_lines else (*lines[: most_lines - 1], Said(f"{lines[most_lines - 1][:-3].rstrip()} …"))

    return replace(table, rows=tuple(tuple(cut(cell) for cell in row) for row in table.rows))


def revision_table(sheet: MapSheet, facts: PermitFacts, width_mm: float, most: int = 99) -> Ruled:
    """The last revisions; a row that says so where there are none."""
    rows = [(r.mark, r.date, r.text, r.by) for r in facts.revisions[-most:]] or [("–", "", "no revision", "")]
    return ruled(
        sheet, "", (Column("Rev.", 9.0, "left", True), Column("Date", 19.0), Column("Change"), Column("By", 14.0)), rows, width_mm
    )


def head_mm(sheet: MapSheet, plan: Plan, width_mm: float) -> float:
    """Height of the heading with the site's name, mm."""
    return HEAD_PAD_MM + NAME_LINE_MM * len(_name(sheet, plan, width_mm)[0])


def draw_head(sheet: MapSheet, plan: Plan, at: Point, width_mm: float) -> None:
    """SITE MAP and the site's name, as large as it fits."""
    sheet.line(at, (at[0] + width_mm, at[1]), 0.9)
    sheet.text((at[0] + 0.9, at[1] + 4.6), "SITE MAP FOR PERMIT", HEADING, bold=True)
    lines, size = _name(sheet, plan, width_mm)
    for number, line in enumerate(lines):
        sheet.text((at[0] + 0.9, at[1] + 4.6 + NAME_LINE_MM * (number + 1)), line, size, bold=True)


def _name(sheet: MapSheet, plan: Plan, width_mm: float) -> tuple[list[str], float]:
    size = NAME
    while size > HEADING and len(sheet.wrapped(plan.name, width_mm - 2.0, size, bold=True)) > 1:
        size -= 0.5
    return list(sheet.wrapped(plan.name, width_mm - 2.0, size, bold=True)), size


def draw_seal(sheet: MapSheet, at: Point, width_mm: float) -> None:
    """An empty place for a seal, one for a signature with its day."""
    is_tall, height_mm = width_mm < BESIDE_MM, seal_mm(width_mm)
    wide, high = (width_mm, height_mm / 2) if is_tall else (width_mm / 2, height_mm)
    sheet.box(at, (wide, high), THIN_MM)
    sheet.text((at[0] + 1.0, at[1] + 3.4), "Seal", TEXT)
    x, y = (at[0], at[1] + high) if is_tall else (at[0] + wide, at[1])
    sheet.box((x, y), (wide, high), THIN_MM)
    sheet.text((x + 1.0, y + 3.4), "Signature, name, licence", TEXT)
    sheet.line((x + 2.0, y + high - 7.5), (x + wide - 2.0, y + high - 7.5), THIN_MM)
    sheet.text((x + 1.0, y + high - 2.0), "Date", TEXT)


def seal_mm(width_mm: float) -> float:
    """Height of the places for seal and signature, mm: one over the other where they are narrow."""
    return 1.7 * SEAL_MM if width_mm < BESIDE_MM else SEAL_MM


def status_mm(lines: int) -> float:
    """Height of the box that tells whether items are missing, mm."""
    return 3.4 + lines * (LINE_MM + 1.1)


def draw_status(sheet: MapSheet, at: Point, width_mm: float, lines: list[str], *, is_dark: bool) -> None:
    """The box that says how many items are missing: white on black where any is."""
    high = status_mm(len(lines))
    sheet.box(at, (width_mm, high), 0.5, 0.0 if is_dark else 1.0)
    for number, line in enumerate(lines):
        y = at[1] + 5.6 + number * (LINE_MM + 1.1)
        sheet.text((at[0] + width_mm / 2, y), line, 11.0, bold=True, align="middle", ink=1.0 if is_dark else 0.0)


def draw_short_title(sheet: MapSheet, plan: Plan, facts: PermitFacts) -> None:
    """The heading of a further sheet: site, drawing number, day."""
    left, right, y = sheet.left + 2.0, sheet.right - 2.0, sheet.top + 6.4
    told = f"{facts.drawing or 'Drawing no. ' + NOT_GIVEN} · {plan.provenance.plan_date}"
    sheet.text((right, y), told, HEADING, align="right")
    room_mm = right - left - sheet.text_mm(told, HEADING) - 6.0
    name, size = sheet.fitted(f"Site map: {plan.name}", room_mm, 12.0, TEXT, bold=True)
    sheet.text((left, y), name, size, bold=True)
    sheet.line((left, y + 2.0), (right, y + 2.0), THIN_MM)
