"""What every printed sheet carries: title block, verdict, signatures, and the foot with run id and page."""

from __future__ import annotations

from siting.figures import shown
from siting.records.plan import Plan
from siting.writers.frame_words import crs_words, height_words, unit_words
from siting.writers.map.panel import NOT_A_SURVEY
from siting.writers.map.words import VERDICT_WORDS, Rows
from siting.writers.paper.canvas import BOLD_LINE_MM, CAPITAL_EM, HAIR_MM, POINTS_PER_MM, THIN_MM, Sheet
from siting.writers.paper.plan_names import speaker_of
from siting.writers.paper.sketch_marks import signed_deg
from siting.writers.paper.table import fit_lines

CELL_MM, HEAD_MM, SHORT_TITLE_MM = 7.8, 13.1, 9.8
SECOND_LINE_MM = 4.4  # a name on two lines makes the title block higher
COLUMNS = 3
SIGN_MM = 9.0
FOOT_MM = 6.5
TAG_MM = 27.0
LABEL_SIZE, VALUE_SIZE, LEAST_SIZE = 6.0, 8.5, 7.0
LINES_OF_WARNINGS = 5
ACCENTED_SIZE = 5.6  # of two lines in a cell where capitals bear accents, points
SIGNATURES = (
    ("Set out by", "Instrument and method", "GNSS base or network"),
    ("Date and time", "Signature", "Checked by, date"),
)


def new_sheet(plan: Plan, kind: str) -> Sheet:
    """An empty sheet on the plan's paper, named after the site and the kind of sheet."""
    made = plan.provenance
    subject = f"Run {made.run_id}, plan for {made.plan_date}"
    return Sheet(plan.paper, f"{kind}: {plan.name}", subject, f"siting {made.version}", f"run {made.run_id}", speaker_of(plan))


def facts(plan: Plan) -> Rows:
    """What must be known before a number of the sheet is used: titles and texts, units in the texts."""
    crs, lay = plan.crs, plan.laydown
    declination = "none: " + crs.declination_model
    if crs.declination_deg is not None:
        error = f" ± {shown(crs.declination_error_deg, 'bearing')}" if crs.declination_error_deg is not None else ""
        declination = f"{signed_deg(crs.declination_deg)}{error}, east +; {crs.declination_model}"
    parts = f"{shown(crs.point_scale, 'factor')} × {shown(crs.elevation_factor, 'factor')}"
    magnetic = "" if lay.azimuth_magnetic_deg is None else f" · {shown(lay.azimuth_magnetic_deg, 'bearing')} magnetic"
    epoch = crs.epoch if any(c.isdigit() for c in crs.epoch) else f"epoch {crs.epoch}"
    return [
        ("Mast", f"{plan.mast.name}, height {shown(plan.mast.height_m, 'length')}"),
        ("Laydown azimuth", f"{shown(lay.azimuth_deg, 'bearing')} true · {shown(lay.azimuth_grid_deg, 'bearing')} grid{magnetic}"),
        ("Base, WGS 84", f"{plan.base.dms}{' · MGRS ' + plan.base.mgrs if plan.base.mgrs else ''}"),
        ("Coordinates", crs_words(plan)),
        ("Datum and epoch", f"{crs.datum}; {epoch}"),
        ("Unit of northing and easting", unit_words(crs.unit_m, crs.unit)),
        ("Combined factor at the base: grid = ground × factor", f"{shown(crs.combined_factor, 'factor')} ({parts})"),
        ("Convergence at the base: grid = true − convergence", signed_deg(crs.convergence_deg, 4)),
        ("Declination: magnetic = true − declination", declination),
        ("Heights", height_words(plan)),
        ("From WGS 84", crs.transformation),
        ("Grid or ground", "published grid, not scaled to ground; no localisation applied"),
    ]


def draw_title(sheet: Sheet, plan: Plan, kind: str, pages: int) -> float:
    """The title block of a first page; returns the y below it, mm."""
    made, left, right, y = plan.provenance, sheet.left, sheet.right, sheet.top
    sheet.line((left, y), (right, y), 0.9)
    side = f"Plan for {made.plan_date}"
    sheet.text((left, y + 4.2), kind.upper(), 8.0, bold=True)
    sheet.text((right, y + 4.2), f"page {sheet.page} of {pages}", 8.0, align="right")
    run_mm = max(sheet.text_mm(f"Run {made.run_id}", 11.0, bold=True), sheet.text_mm(side, 8.0))
    sheet.text((right, y + 8.6), f"Run {made.run_id}", 11.0, bold=True, align="right")
    sheet.text((right, y + 11.6), f"{side} · siting {made.version}", 7.0, align="right")
    room_mm = right - left - max(run_mm, sheet.text_mm(f"{side} · siting {made.version}", 7.0)) - 6.0
    if sheet.text_mm(plan.name, 12.0, bold=True) <= room_mm:
        name, size = sheet.fitted(plan.name, room_mm, 19.0, 12.0, bold=True)
        sheet.text((left, y + 11.2), name, size, bold=True)
        return _draw_facts(sheet, facts(plan), y + HEAD_MM)
    lines, size = fit_lines(sheet, plan.name, room_mm, 12.0, bold=True)
    for number, line in enumerate(lines):
        sheet.text((left, y + 10.0 + number * size * 1.08 / POINTS_PER_MM), line, size, bold=True)
    return _draw_facts(sheet, facts(plan), y + HEAD_MM + SECOND_LINE_MM * (len(lines) - 1))


def _draw_facts(sheet: Sheet, rows: Rows, y: float) -> float:
    """The cells of the title block, three beside each other; returns the y below them."""
    width_mm = (sheet.right - sheet.left) / COLUMNS
    sheet.line((sheet.left, y), (sheet.right, y), THIN_MM)
    for number, (label, value) in enumerate(rows):
        column, row = number % COLUMNS, number // COLUMNS
        x, top = sheet.left + column * width_mm, y + row * CELL_MM
        label, size = sheet.fitted(label, width_mm - 2.4, LABEL_SIZE, 5.5)
        sheet.text((x + 1.2, top + 2.6), label, size, ink=0.25)
        if sheet.text_mm(value, LEAST_SIZE) <= width_mm - 2.4:
            value, size = sheet.fitted(value, width_mm - 2.4, VALUE_SIZE, LEAST_SIZE)
            sheet.text((x + 1.2, top + 6.2), value, size)
        else:
            lines, size = fit_lines(sheet, value, width_mm - 2.4, 6.5)
            size = size if sheet.speaker.language == "en" or len(lines) == 1 else min(size, ACCENTED_SIZE)
            for index, line in enumerate(lines):
                sheet.text((x + 1.2, top + (4.95 + 2.15 * index if len(lines) > 1 else 6.2)), line, size)
        if column == COLUMNS - 1 or number == len(rows) - 1:
            sheet.line((sheet.left, top + CELL_MM), (sheet.right, top + CELL_MM), HAIR_MM)
    end = y + -(-len(rows) // COLUMNS) * CELL_MM
    for column in range(1, COLUMNS):
        sheet.line((sheet.left + column * width_mm, y), (sheet.left + column * width_mm, end), HAIR_MM)
    sheet.line((sheet.left, end), (sheet.right, end), THIN_MM)
    return end


def draw_short_title(sheet: Sheet, plan: Plan, kind: str, pages: int) -> float:
    """The heading of a following page; returns the y below it, mm."""
    left, right, y = sheet.left, sheet.right, sheet.top
    sheet.line((left, y), (right, y), 0.9)
    page = f"page {sheet.page} of {pages}"
    sheet.text((left, y + 4.2), f"{kind}, continued".upper(), 8.0, bold=True)
    sheet.text((right, y + 4.2), page, 8.0, align="right")
    run = f"Run {plan.provenance.run_id} · {unit_words(plan.crs.unit_m, plan.crs.unit)} · {crs_words(plan)}"
    run, size = sheet.fitted(run, (right - left) * 0.62, 7.5, 6.0)
    sheet.text((right, y + 8.0), run, size, align="right")
    name, name_size = sheet.fitted(plan.name, right - left - sheet.text_mm(run, size) - 5.0, 11.0, 7.0, bold=True)
    sheet.text((left, y + 8.2), name, name_size, bold=True)
    sheet.line((left, y + SHORT_TITLE_MM), (right, y + SHORT_TITLE_MM), THIN_MM)
    return y + SHORT_TITLE_MM


def draw_verdict(sheet: Sheet, plan: Plan, y: float) -> float:
    """The verdict and what was not checked, as loud as each other, then the warnings; returns the y below, mm."""
    words = VERDICT_WORDS[plan.verdict].upper()
    y = _draw_tag(sheet, y, words, plan.headline, is_dark=plan.verdict != "pass")
    if plan.unchecked:
        names = ", ".join(name.replace("_", " ") for name in plan.unchecked)
        y = _draw_tag(sheet, y, VERDICT_WORDS["unchecked"], f"{names}: never a pass", is_dark=True)
    room_mm = sheet.right - sheet.left - TAG_MM - 2.0
    sheet.text((sheet.left + 1.2, y + 2.8), "Read first", 7.5, bold=True)
    lines = warning_lines(sheet, plan, room_mm)
    for number, line in enumerate(lines):
        sheet.text((sheet.left + TAG_MM + 2.0, y + 2.8 + 3.1 * number), line, 7.5)
    return y + 3.1 * len(lines) + 1.2


def warning_lines(sheet: Sheet, plan: Plan, width_mm: float) -> list[str]:
    """The lines that a first page has room for: what the sheet is not, then the warnings, the rest only counted."""
    lines = sheet.wrapped(f"{NOT_A_SURVEY} DEM heights are not for grade.", width_mm, 7.5)
    rest = list(plan.warnings)
    while rest:
        more = sheet.wrapped(rest[0], width_mm, 7.5)
        if len(lines) + len(more) > LINES_OF_WARNINGS:
            break
        lines += more
        rest.pop(0)
    if rest:
        lines.append(f"{len(rest)} more {'warnings' if len(rest) > 1 else 'warning'} on the last page.")
    return lines


def has_warnings_left(sheet: Sheet, plan: Plan) -> bool:
    """Whether the first page could not hold every warning."""
    return bool(plan.warnings) and "on the last page" in warning_lines(sheet, plan, sheet.right - sheet.left - TAG_MM - 2.0)[-1]


def _draw_tag(sheet: Sheet, y: float, words: str, text: str, *, is_dark: bool) -> float:
    """A boxed word and the sentence beside it; returns the y below."""
    height_mm = 5.8
    sheet.box((sheet.left, y), (TAG_MM, height_mm), BOLD_LINE_MM, 0.0 if is_dark else 1.0)
    word, size = sheet.fitted(words, TAG_MM - 3.0, 10.5, 7.0, bold=True)
    base = y + height_mm / 2 + CAPITAL_EM * size / POINTS_PER_MM / 2
    sheet.text((sheet.left + TAG_MM / 2, base), word, size, bold=True, align="middle", ink=1.0 if is_dark else 0.0)
    room_mm = sheet.right - sheet.left - TAG_MM - 2.0
    one, size = sheet.fitted(text, room_mm, 10.0, 7.0, bold=True)
    lines = [one]
    if sheet.text_mm(text, size, bold=True) > room_mm:
        lines, size = fit_lines(sheet, text, room_mm, 7.0, bold=True)
    step_mm = size * 1.1 / POINTS_PER_MM
    base = y + height_mm / 2 + CAPITAL_EM * size / POINTS_PER_MM / 2 - step_mm * (len(lines) - 1) / 2
    for number, line in enumerate(lines):
        sheet.text((sheet.left + TAG_MM + 2.0, base + number * step_mm), line, size, bold=True)
    return y + height_mm + 1.1


def draw_signatures(sheet: Sheet, y: float) -> float:
    """Boxes to sign in; returns the y below them, mm."""
    width_mm = (sheet.right - sheet.left) / COLUMNS
    for row, labels in enumerate(SIGNATURES):
        for column, label in enumerate(labels):
            corner = (sheet.left + column * width_mm, y + row * SIGN_MM)
            sheet.box(corner, (width_mm, SIGN_MM), THIN_MM)
            sheet.text((corner[0] + 1.2, corner[1] + 2.7), label, LABEL_SIZE, ink=0.25)
    return y + SIGN_MM * len(SIGNATURES)


def signatures_mm() -> float:
    """Height of the boxes to sign in, mm."""
    return SIGN_MM * len(SIGNATURES)


def draw_foot(sheet: Sheet, plan: Plan, pages: int) -> None:
    """The foot of every page: run, what the sheet is not, page."""
    y, made = sheet.bottom, plan.provenance
    sheet.line((sheet.left, y - 3.8), (sheet.right, y - 3.8), THIN_MM)
    run = f"Run {made.run_id} · siting {made.version}"
    page = f"page {sheet.page} of {pages}"
    sheet.text((sheet.left, y - 0.8), run, 7.0)
    sheet.text((sheet.right, y - 0.8), page, 7.0, align="right")
    middle = (sheet.left + sheet.text_mm(run, 7.0) + sheet.right - sheet.text_mm(page, 7.0)) / 2
    sheet.text((middle, y - 0.8), f"{NOT_A_SURVEY} DEM heights are not for grade.", 7.0, align="middle")
