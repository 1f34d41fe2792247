"""The locate notice of the dig sheet: the area drawn and in coordinates, what the notice asks for, what it does not say."""

from __future__ import annotations

from siting.figures import shown
from siting.records.dig import DigPlan
from siting.writers.dig.locate_sketch import draw_locate_sketch
from siting.writers.dig.words import CALL, NO_CLEARANCE
from siting.writers.paper.blocks import box_words, draw_lines, step_of
from siting.writers.paper.canvas import HAIR_MM, THIN_MM
from siting.writers.paper.flow import GAP_MM, Flow
from siting.writers.paper.table import PAD_MM, Column, Table

CALL_MM, SKETCH_PART, FIELD_MM, SENTENCE_SIZE = 11.0, 0.42, 8.4, 9.5
LONG_SIZE = 7.5
MOST_CORNERS = 120  # more are left to the files
ROW_MM, SIZE = 4.4, 8.0


def fill_locate(flow: Flow, dig: DigPlan) -> None:
    """The notice on a page of its own, the corners' coordinates behind it."""
    flow.turn()
    sheet = flow.sheet
    box_words(sheet, (flow.left, flow.y, flow.width_mm, CALL_MM), CALL, 20.0, dark=True)
    flow.y += CALL_MM + GAP_MM
    high_mm = (flow.end - flow.y) * SKETCH_PART
    draw_locate_sketch(sheet, flow.plan, dig, (flow.left, flow.y, sheet.right, flow.y + high_mm))
    flow.y += high_mm + GAP_MM
    _sentences(flow, dig)
    _fields(flow, dig)
    _corners(flow, dig)


def _sentences(flow: Flow, dig: DigPlan) -> None:
    """What the notice does not say, in a box."""
    texts = (NO_CLEARANCE, *dig.locate.words_on_it)
    lines = [line for text in texts for line in flow.sheet.wrapped(text, flow.width_mm - 2 * PAD_MM, SENTENCE_SIZE)]
    high_mm = len(lines) * step_of(SENTENCE_SIZE) + 2.6
    flow.need(high_mm)
    flow.sheet.box((flow.left, flow.y), (flow.width_mm, high_mm), THIN_MM)
    draw_lines(flow.sheet, (flow.left + PAD_MM, flow.y + 1.3), lines, SENTENCE_SIZE)
    flow.y += high_mm + GAP_MM


def _fields(flow: Flow, dig: DigPlan) -> None:
    """What a notice asks for: what the plan knows, and room for what the applicant must fill in; two beside each other where short."""
    half_mm = flow.width_mm / 2
    flow.need(4.6 + FIELD_MM)
    flow.title("What the notice asks for (empty: to be filled in)")
    for row in _rows(flow, dig.locate.fields):
        if flow.y + FIELD_MM > flow.end:
            flow.turn()
            flow.title("What the notice asks for, continued")
        for column, found in enumerate(row):
            _field(flow, flow.left + column * half_mm, flow.width_mm / len(row), found)
        flow.y += FIELD_MM
    flow.y += GAP_MM


def _rows(flow: Flow, fields: tuple[tuple[str, str], ...]) -> list[list[tuple[str, str]]]:
    """The fields two beside each other where both are short, a long one on a row of its own, in their order."""
    rows: list[list[tuple[str, str]]] = []
    has_room = False
    for found in fields:
        is_short = flow.sheet.text_mm(found[1], LONG_SIZE, bold=True) <= flow.width_mm / 2 - 2 * PAD_MM
        if is_short and has_room:
            rows[-1].append(found)
            has_room = False
        else:
            rows.append([found])
            has_room = is_short
    return rows


def _field(flow: Flow, x: float, wide_mm: float, found: tuple[str, str]) -> None:
    name, value = found
    flow.sheet.box((x, flow.y), (wide_mm, FIELD_MM), HAIR_MM)
    name, size = flow.sheet.fitted(name, wide_mm - 2 * PAD_MM, 6.5, 5.5)
    flow.sheet.text((x + PAD_MM, flow.y + 2.7), name, size, ink=0.15)
    value, size = flow.sheet.fitted(value, wide_mm - 2 * PAD_MM, 10.5, 6.5, bold=True)
    flow.sheet.text((x + PAD_MM, flow.y + FIELD_MM - 1.6), value, size, bold=True)


def _edges(flow: Flow, dig: DigPlan) -> None:
    """The northern, southern, western and eastern edge of each outline, where the corners are too many to print."""
    rows = []
    for number, ring in enumerate(dig.locate.rings, 1):
        lons, lats = zip(*ring, strict=True)
        edges = (max(lats), min(lats), min(lons), max(lons))
        rows.append((str(number), *(shown(v, "latlon", unit=False) for v in edges), str(len(ring) - 1)))
    names = ("North edge", "South edge", "West edge", "East edge")
    part = flow.width_mm / 6
    columns = (Column("Outline", "", part, "left", is_bold=True), *(Column(n, "degrees, WGS 84", part) for n in names), Column("Corners", "", part))
    flow.table("Outlines: their edges. Every corner stands in locate.geojson and locate.kml", Table(columns, tuple(rows), 5.2, SIZE))


def _corners(flow: Flow, dig: DigPlan) -> None:
    """The outlines' corners in degrees; where they are too many, the outlines' edges."""
    rings = dig.locate.rings
    count = sum(len(ring) - 1 for ring in rings)
    if count > MOST_CORNERS:
        _edges(flow, dig)
        return
    rows = []
    for number, ring in enumerate(rings, 1):
        if len(rings) > 1:
            rows.append((f"Outline {number} of {len(rings)}",))
        rows += [(str(k), shown(lat, "latlon", unit=False), shown(lon, "latlon", unit=False)) for k, (lon, lat) in enumerate(ring[:-1], 1)]
    wide = flow.half_mm
    columns = (
        Column("Corner", "", wide * 0.2, "left", is_bold=True), Column("Latitude", "degrees, WGS 84", wide * 0.4),
        Column("Longitude", "degrees, WGS 84", wide * 0.4),
    )  # fmt: skip
    flow.table_in_columns("Corners of the outlines", Table(columns, tuple(rows), ROW_MM, SIZE))
