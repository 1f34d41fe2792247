"""The signs of a drawing on paper: marks of the stakes, strokes of the lines, north arrows, scale bar, legend."""

from __future__ import annotations

import math
from collections.abc import Sequence

from siting.figures import shown
from siting.records.plan import PlanCrs
from siting.writers.paper.canvas import Point, Sheet

# Half the size of each mark, mm. The shapes are those of the map.
REACH_MM = {
    "base": 2.0, "permanent": 1.15, "temporary": 1.45, "winch": 1.5, "head": 1.7, "offset": 0.6, "control": 1.5, "feature": 1.1,
}  # fmt: skip
# The legend: the marks of the stakes stand beside their rows in the table.
MARK_WORDS = {"offset": "offset stake", "control": "control point", "feature": "feature"}
# Stroke (mm) and dashes of each kind of line.
STROKES = {
    "laydown": (0.7, ()),
    "permanent": (0.2, ()),
    "temporary": (0.2, (1.6, 0.9)),
    "winch": (0.3, (3.0, 0.8, 0.5, 0.8)),
}
STROKE_WORDS = {"laydown": "laydown", "permanent": "guy", "temporary": "guy for the lift", "winch": "winch line"}
ARROWS_MM = (19.0, 21.5)
LEGEND_ROW_MM, LEGEND_STEP_MM = 3.5, 22.5
# Arrows nearer than this are drawn apart: their angles are written, not drawn to scale.
LEAST_TURN_DEG, SAME_NORTH_DEG = 16.0, 0.005


def draw_mark(sheet: Sheet, role: str, at: Point, azimuth_deg: float = 0.0) -> None:
    """The mark of a stake, control point or feature with its centre here; a head points along the azimuth."""
    x, y, r = *at, REACH_MM[role]
    if role == "base":
        sheet.circle(at, 1.25, 0.3, 1.0)
        sheet.line((x - r, y), (x + r, y), 0.22)
        sheet.line((x, y - r), (x, y + r), 0.22)
        sheet.circle(at, 0.5, 0.0, 0.0)
    elif role == "permanent":
        sheet.box((x - r, y - r), (2 * r, 2 * r), 0.2, 0.0)
        sheet.circle(at, 0.3, 0.0, 1.0)
    elif role == "temporary":
        sheet.polygon([(x, y - r), (x + r, y), (x, y + r), (x - r, y)], 0.35, 1.0)
        sheet.circle(at, 0.3, 0.0, 0.0)
    elif role == "winch":
        sheet.polygon([(x, y - r), (x + r, y + 0.75 * r), (x - r, y + 0.75 * r)], 0.2, 0.0)
        sheet.circle(at, 0.3, 0.0, 1.0)
    elif role == "head":
        sheet.polygon(_turned([(0.0, 0.0), (-0.95, 2.6), (0.0, 1.9), (0.95, 2.6)], at, azimuth_deg), 0.2, 0.0)
    elif role == "control":
        sheet.polygon([(x, y - r), (x + r, y + 0.75 * r), (x - r, y + 0.75 * r)], 0.25, 1.0)
        sheet.circle(at, 0.3, 0.0, 0.0)
    elif role == "feature":
        sheet.circle(at, r, 0.25, 1.0)
        sheet.circle(at, 0.3, 0.0, 0.0)
    else:
        sheet.line((x - r, y - r), (x + r, y + r), 0.22)
        sheet.line((x - r, y + r), (x + r, y - r), 0.22)


def _turned(points: Sequence[Point], at: Point, azimuth_deg: float) -> list[Point]:
    """Points about the origin, drawn for north up, turned clockwise and put here."""
    c, s = math.cos(math.radians(azimuth_deg)), math.sin(math.radians(azimuth_deg))
    return [(at[0] + c * x - s * y, at[1] + s * x + c * y) for x, y in points]


def draw_norths(sheet: Sheet, corner: Point, crs: PlanCrs) -> None:
    """True, grid and, where it is known, magnetic north from one foot, inside a box of ARROWS_MM."""
    foot = (corner[0] + ARROWS_MM[0] / 2, corner[1] + ARROWS_MM[1] - 4.4)
    turns = _spread(crs)
    for name, turn_deg in turns.items():
        long_mm = 13.4 if name == "T" else 10.2
        tip = _turned([(0.0, -long_mm)], foot, turn_deg)[0]
        sheet.line(foot, tip, 0.35 if name == "T" else 0.2)
        arrow = _turned([(0.0, -long_mm), (-0.85, -long_mm + 2.6), (0.0, -long_mm + 1.9), (0.85, -long_mm + 2.6)], foot, turn_deg)
        if name == "M":  # half an arrow head, as on maps
            arrow = arrow[:1] + arrow[2:]
        sheet.polygon(arrow, 0.2, 0.0 if name == "T" else 1.0 if name == "G" else 0.0)
        at = _turned([(0.0, -long_mm - 1.9)], foot, turn_deg)[0]
        sheet.text((at[0], at[1] + 0.9), name, 7.5, bold=name == "T", align="middle")
    words = [f"G {signed_deg(crs.convergence_deg)}"]
    if crs.declination_deg is not None:
        words.append(f"M {signed_deg(crs.declination_deg)}")
    sheet.text((foot[0], corner[1] + ARROWS_MM[1] - 1.8), " · ".join(words), 6.0, align="middle")


def signed_deg(value_deg: float, decimals: int = 2) -> str:
    """An angle with its sign, degrees."""
    return f"{value_deg:+.{decimals}f}°".replace("-", "−")


def _spread(crs: PlanCrs) -> dict[str, float]:
    """The drawn turn of each arrow from true north, degrees: the right side and order, at least LEAST_TURN_DEG apart."""
    turns = {"T": 0.0, "G": crs.convergence_deg}
    if crs.declination_deg is not None:
        turns["M"] = crs.declination_deg
    drawn = {"T": 0.0}
    for side in (1.0, -1.0):
        last = 0.0
        for name in sorted((n for n in turns if n != "T" and (turns[n] >= 0) == (side > 0)), key=lambda n: abs(turns[n])):
            if abs(turns[name]) < SAME_NORTH_DEG and name == "G":
                drawn[name] = side * LEAST_TURN_DEG
            else:
                drawn[name] = side * min(max(abs(turns[name]), last + LEAST_TURN_DEG), 60.0)
            last = abs(drawn[name])
    return drawn


def bar_length_m(scale: int, room_mm: float) -> float:
    """The ground length of the scale bar: 100 m, or another round length where that is too long or too short."""
    fits = [m for m in (100.0, 50.0, 20.0, 10.0, 5.0, 200.0, 500.0, 1000.0) if 15.0 <= 1000.0 * m / scale <= room_mm]
    return fits[0] if fits else room_mm * scale / 1000.0


def draw_scale_bar(sheet: Sheet, at: Point, scale: int, room_mm: float) -> None:
    """A bar of four parts with its left upper corner here; filled shapes only, so that its ends lie exactly."""
    bar_m = bar_length_m(scale, room_mm)
    x, y = at
    part_mm = 1000.0 * bar_m / scale / 4
    for number in range(4):
        if number % 2 == 0:
            sheet.box((x + number * part_mm, y), (part_mm, 1.5), fill=0.0)
    for edge in (y, y + 1.35):
        sheet.box((x, edge), (4 * part_mm, 0.15), fill=0.0)
    sheet.box((x + 4 * part_mm - 0.15, y), (0.15, 1.5), fill=0.0)
    for number in (0, 2, 4):
        text = f"{bar_m * number / 4:g}" + (" m" if number == 4 else "")
        place = {0: "left", 2: "middle", 4: "right"}[number]
        sheet.text((x + number * part_mm, y + 4.2), text, 7.0, align=place)


def legend_items(roles: Sequence[str], strokes: Sequence[str]) -> list[tuple[str, str, str]]:
    """What the legend explains, in order: (mark or stroke, its key, its words)."""
    items = [("stroke", key, STROKE_WORDS[key]) for key in STROKES if key in strokes]
    return items + [("mark", key, MARK_WORDS[key]) for key in MARK_WORDS if key in roles]


def draw_legend(sheet: Sheet, at: Point, width_mm: float, items: Sequence[tuple[str, str, str]]) -> float:
    """Draws the legend in rows; returns its height, mm."""
    step = legend_step_mm(width_mm)
    for number, (kind, key, words) in enumerate(items):
        x = at[0] + number % step[0] * step[1]
        y = at[1] + number // step[0] * LEGEND_ROW_MM + LEGEND_ROW_MM / 2
        if kind == "mark":
            draw_mark(sheet, key, (x + 3.2, y + (-1.3 if key == "head" else 0.0)))
        else:
            stroke_mm, dash = STROKES[key]
            sheet.line((x, y), (x + 6.4, y), stroke_mm, dash)
        words, size = sheet.fitted(words, step[1] - 8.4, 6.5, 4.5)
        sheet.text((x + 7.4, y + 0.8), words, size)
    return LEGEND_ROW_MM * -(-len(items) // step[0])


def legend_step_mm(width_mm: float) -> tuple[int, float]:
    """How many entries stand beside each other, and how far apart, mm."""
    count = max(1, int(width_mm // LEGEND_STEP_MM))
    return count, width_mm / count


def legend_mm(width_mm: float, count: int) -> float:
    """Height of a legend of this many entries, mm."""
    return LEGEND_ROW_MM * -(-count // legend_step_mm(width_mm)[0])


def laydown_words(azimuth_deg: float, grid_deg: float) -> tuple[str, str]:
    """The laydown's name on the drawing, in two lines."""
    return f"laydown {shown(azimuth_deg, 'bearing')} true", f"{shown(grid_deg, 'bearing')} grid"
