"""The frame of the drawing: two lines with the grid's figures between them, ticks and crosses at round eastings and northings."""

from __future__ import annotations

import math

from siting.writers.paper.canvas import CAPITAL_EM, HAIR_MM, POINTS_PER_MM, THIN_MM
from siting.writers.sitemap.map_sheet import TEXT, MapSheet
from siting.writers.sitemap.window import BAND_MM, Window

STEPS = (1, 2, 5, 10, 20, 25, 50, 100, 200, 250, 500, 1000, 2000, 5000, 10_000, 20_000, 50_000)
LEAST_APART_MM = 34.0
TICK_MM, CROSS_MM = 1.6, 1.3
CROSS_INK = 0.5


def step_of(window: Window) -> float:
    """How far the grid's figures stand apart, in the CRS's unit."""
    unit_mm = 1000.0 / window.ratio / window.frame.grid_m
    return next((float(s) for s in STEPS if s * unit_mm >= LEAST_APART_MM), float(STEPS[-1]))


def draw_band(sheet: MapSheet, window: Window) -> None:
    """Draws the frame around the window's box, with figures of the grid in the CRS's unit."""
    left, top, right, bottom = window.box
    b = BAND_MM
    sheet.box((left, top), (right - left, bottom - top), 0.35)
    sheet.box((left - b, top - b), (right - left + 2 * b, bottom - top + 2 * b), THIN_MM)
    easts, norths = _round_values(window)
    middle = CAPITAL_EM * TEXT / POINTS_PER_MM / 2
    for value, x in easts:
        for y, way in ((top, -1.0), (bottom, 1.0)):
            sheet.line((x, y), (x, y + way * TICK_MM), THIN_MM)
            text = f"{value:.0f} E"
            if left <= x < right - sheet.text_mm(text, TEXT) - 1.2:
                sheet.text((x + 0.9, y + way * b / 2 + middle), text, TEXT, align="left")
    for value, y in norths:
        for x, way in ((left, -1.0), (right, 1.0)):
            sheet.line((x, y), (x + way * TICK_MM, y), THIN_MM)
            text = f"{value:.0f} N"
            half = sheet.text_mm(text, TEXT) / 2
            if top + 2 * half < y < bottom:
                sheet.turned_text((x + way * b / 2, y - half - 0.9), text, TEXT)


def draw_crosses(sheet: MapSheet, window: Window) -> None:
    """Small crosses where round eastings and northings meet."""
    easts, norths = _round_values(window)
    for _, x in easts:
        for _, y in norths:
            sheet.line((x - CROSS_MM, y), (x + CROSS_MM, y), HAIR_MM, ink=CROSS_INK)
            sheet.line((x, y - CROSS_MM), (x, y + CROSS_MM), HAIR_MM, ink=CROSS_INK)


def _round_values(window: Window) -> tuple[list[tuple[float, float]], list[tuple[float, float]]]:
    """(value, place on the paper) of the round eastings and northings inside the box."""
    step = step_of(window)
    (west, south), (east, north) = (window.frame.grid(window.corners_m[k]) for k in (0, 2))
    easts = [k * step for k in range(math.ceil(west / step), math.floor(east / step) + 1)]
    norths = [k * step for k in range(math.ceil(south / step), math.floor(north / step) + 1)]
    return (
        [(e, window.paper(window.frame.from_grid(e, window.frame.northing))[0]) for e in easts],
        [(n, window.paper(window.frame.from_grid(window.frame.easting, n))[1]) for n in norths],
    )
