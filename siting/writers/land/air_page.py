"""Air navigation on the land sheet: the result, every criterion with its source, nearest runways, fields of the notice."""

from __future__ import annotations

from siting.figures import shown
from siting.records.air import NOT_BY_THESE, AirCriterion, AirScreening, RunwayNear
from siting.units import METRES_PER_FOOT
from siting.writers.land.entries import Entry, Heads, fill_entries, fill_loud
from siting.writers.land.words import NO_AIR, NO_SCREENING, NOT_CHECKED, RESULT_WORDS, both, feet
from siting.writers.paper.blocks import box_words, draw_lines, step_of
from siting.writers.paper.canvas import HAIR_MM, THIN_MM
from siting.writers.paper.flow import GAP_MM, Flow
from siting.writers.paper.table import PAD_MM

RESULT_MM, RESULT_SIZE, WORDS_SIZE = 17.0, 30.0, 11.0
TAG_MM, LEAST_MM = 42.0, 18.0
CRITERIA = Heads("Criterion", (("Value", 22.0), ("Limit", 22.0), ("Margin", 22.0)), "Result", TAG_MM)
RUNWAYS = Heads(
    "Runway or heliport", (("Distance", 22.0), ("From it, true", 19.0), ("Elevation", 17.0), ("Surface", 17.0), ("Margin", 17.0)), "Result", 34.0,
)  # fmt: skip
FIELD_MM, FIELD_SIZE, LABEL_SIZE = 46.0, 9.5, 7.5


def fill_air(flow: Flow) -> None:
    """The screening from a new page on; in two lines where there is none."""
    air = flow.plan.air
    if air is None:
        flow.need(LEAST_MM)
        flow.title("Air navigation")
        fill_loud(flow, NOT_CHECKED, (NO_AIR,))
        return
    flow.turn()
    _result(flow, air)
    if air.unchecked:
        fill_loud(flow, NOT_CHECKED, [f"{u.missing[:1].upper()}{u.missing[1:]}. Do: {u.do}." for u in air.unchecked], 8.0)
    fill_entries(flow, "Criteria", CRITERIA, [_criterion(k, c) for k, c in enumerate(air.criteria, 1)])
    title = f"Nearest runways and heliports, of {air.airfields}" if air.airfields else "Nearest runways and heliports"
    fill_entries(flow, title, RUNWAYS, [_runway(k, r) for k, r in enumerate(air.nearest, 1)])
    if not air.nearest:
        flow.lines("Nearest runways and heliports", (f"None known{f' in {air.airfields}' if air.airfields else ': no list of airfields was given'}.",))
    _form(flow, air)
    flow.lines("What was assumed, and the rules", (*air.notes, *air.sources))


def _result(flow: Flow, air: AirScreening) -> None:
    """The result in large letters, what it is not, and the heights."""
    sheet = flow.sheet
    flow.title("Air navigation: a screening")
    box_words(sheet, (flow.left, flow.y, flow.width_mm, RESULT_MM), RESULT_WORDS[air.result], RESULT_SIZE, dark=air.result != NOT_BY_THESE)
    flow.y += RESULT_MM + 1.4
    for text in (air.headline, NO_SCREENING):
        flow.y = draw_lines(sheet, (flow.left, flow.y), sheet.wrapped(text, flow.width_mm, WORDS_SIZE, bold=True), WORDS_SIZE, bold=True)
    flow.y += 1.0
    told = (
        f"Above the ground (AGL): {both(air.total_height_m, air.total_height_ft)}.",
        f"Tip above mean sea level (AMSL): {both(air.tip_amsl_m, air.tip_amsl_ft)}; {air.elevation_text}.",
    )
    for text in told:
        flow.y = draw_lines(sheet, (flow.left, flow.y), sheet.wrapped(text, flow.width_mm, WORDS_SIZE), WORDS_SIZE)
    flow.y += GAP_MM


def _criterion(number: int, found: AirCriterion) -> Entry:
    figures = tuple(shown(v, "feet") if v is not None else "–" for v in (found.value_ft, found.limit_ft, found.margin_ft))
    lines = (f"{found.text[:1].upper()}{found.text[1:]}. Measured: {found.measured}.", f"Source: {found.source}.")
    return Entry(str(number), f"{found.id}: {found.title}", tuple(f.replace("-", "−") for f in figures), RESULT_WORDS[found.verdict], lines)


def _runway(number: int, near: RunwayNear) -> Entry:
    title = f"{near.airport}{f', runway {near.runway}' if near.runway else f', {near.kind}'}{f' ({near.name})' if near.name else ''}"
    figures = (shown(near.distance_m, "length"), shown(near.from_deg, "bearing"), *(shown(v, "length") for v in (near.elevation_m, near.surface_m, near.margin_m)))
    surface = f"Surface 1 in {near.slope_to_one}: {feet(near.surface_m)} at the mast, margin {feet(near.margin_m)}. " if near.slope_to_one else ""
    within = f"; the real one may lie {shown(near.within_m, 'length')} from there" if near.within_m else ""
    told = (
        f"{feet(near.distance_m)} away, {shown(near.bearing_deg, 'bearing')} true from the mast{within}. Length {both(near.length_m, None if near.length_m is None else near.length_m / METRES_PER_FOOT)}. "
        f"{surface}{near.note[:1].upper()}{near.note[1:]}{'.' if near.note else ''}"
    )
    return Entry(str(number), title, tuple(f.replace("-", "−") for f in figures), RESULT_WORDS[near.verdict], (told,))


def _form(flow: Flow, air: AirScreening) -> None:
    """The notice's fields as far as the plan knows them, each as many lines as it takes."""
    form = air.form
    rows = (
        ("Latitude", form.latitude), ("Longitude", form.longitude), ("Datum", form.datum),
        ("Site elevation (AMSL)", _feet(form.site_elevation_ft)), ("Total height (AGL)", _feet(form.height_agl_ft)),
        ("Overall height (AMSL)", _feet(form.overall_amsl_ft)), ("Elevation from", form.elevation_text),
        ("Nearest airport", form.nearest_airport), ("Lead time", form.lead_time), ("File by", form.file_by or "45 days before: the plan has no day"),
        ("Supplemental notice", form.supplemental), ("Accuracy", form.accuracy), ("The applicant adds", "; ".join(form.supplied)),
    )  # fmt: skip
    first = "Fields of the notice, FAA Form 7460-1"
    flow.need(20.0)
    flow.title(first)
    flow.sheet.line((flow.left, flow.y), (flow.sheet.right, flow.y), THIN_MM)
    for label, value in rows:
        room_mm = flow.width_mm - FIELD_MM - PAD_MM
        is_short = flow.sheet.text_mm(value, FIELD_SIZE, bold=True) <= room_mm
        lines = flow.sheet.wrapped(value, room_mm, FIELD_SIZE, bold=is_short)
        high_mm = len(lines) * step_of(FIELD_SIZE) + 1.2
        if flow.y + high_mm > flow.end:
            flow.turn()
            flow.title(f"{first}, continued")
        label, size = flow.sheet.fitted(label, FIELD_MM - 2 * PAD_MM, LABEL_SIZE, 5.5)
        flow.sheet.text((flow.left + PAD_MM, flow.y + 3.7), label, size)
        draw_lines(flow.sheet, (flow.left + FIELD_MM, flow.y + 0.6), lines, FIELD_SIZE, bold=is_short)
        flow.y += high_mm
        flow.sheet.line((flow.left, flow.y), (flow.sheet.right, flow.y), HAIR_MM)
    flow.y += GAP_MM


def _feet(value_ft: float | None) -> str:
    """A height of the form in feet, its metres beside it."""
    return "NOT KNOWN" if value_ft is None else f"{shown(value_ft, 'feet')} ({shown(value_ft * METRES_PER_FOOT, 'length')})"
