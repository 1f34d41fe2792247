"""Under the drawing: the scale in words, bars in metres and feet, and true, grid and magnetic north."""

from __future__ import annotations

import math

from siting.figures import shown
from siting.records.plan import Plan, PlanCrs
from siting.units import METRES_PER_FOOT
from siting.writers.paper.canvas import THIN_MM, Point
from siting.writers.paper.sketch_marks import signed_deg
from siting.writers.sitemap.map_sheet import HEADING, LINE_MM, TEXT, MapSheet
from siting.writers.sitemap.scale import Scale

FOOT_MM = 25.0
NORTHS_MM, ARROW_MM = 24.0, 15.5
LEAST_WORDS_MM = 64.0  # room for what the arrows mean, in any language: the bars are as long in each
METRE_BARS = (1000.0, 500.0, 200.0, 100.0, 50.0, 20.0, 10.0, 5.0)
FOOT_BARS = (5000.0, 2000.0, 1000.0, 500.0, 400.0, 200.0, 100.0, 50.0, 20.0)
BAR_HIGH_MM, BAR_EDGE_MM, LONGEST_BAR_MM = 1.7, 0.15, 104.0
# Arrows nearer than this are drawn apart; their angles are written.
LEAST_TURN_DEG = 14.0


def draw_foot(sheet: MapSheet, plan: Plan, scale: Scale, at: Point, width_mm: float) -> None:
    """Scale, bars and norths in a strip of FOOT_MM below the drawing."""
    x, y = at
    sheet.box(at, (width_mm, FOOT_MM), THIN_MM)
    words = _north_words(plan.crs)
    norths_mm = NORTHS_MM + max(LEAST_WORDS_MM, *(sheet.text_mm(w, TEXT) for w in words)) + 3.0
    room_mm = min(LONGEST_BAR_MM, width_mm - norths_mm - 16.0)
    sheet.text((x + 2.0, y + 5.0), f"Scale {scale.written}", 12.0, bold=True)
    after = x + 2.0 + sheet.text_mm(f"Scale {scale.written}", 12.0, bold=True) + 2.5
    left_mm = x + width_mm - norths_mm - after
    told = f"= {scale.in_words}; " + ("check the bars" if scale.fits else "shows a part: see the overview")
    if scale.fits and sheet.text_mm(told, TEXT) > left_mm:
        told = f"= {scale.in_words}"
    told, size = sheet.fitted(told, left_mm, HEADING, TEXT)
    sheet.text((after, y + 5.0), told, size)
    metres = next((m for m in METRE_BARS if scale.mm(m) <= room_mm), METRE_BARS[-1])
    feet = next((f for f in FOOT_BARS if scale.mm(f * METRES_PER_FOOT) <= room_mm), FOOT_BARS[-1])
    draw_bar(sheet, (x + 3.0, y + 8.0), scale.mm(metres), metres, "m")
    draw_bar(sheet, (x + 3.0, y + 17.0), scale.mm(feet * METRES_PER_FOOT), feet, "ft")
    _draw_norths(sheet, plan.crs, (x + width_mm - norths_mm, y))
    for number, line in enumerate(words):
        sheet.text((x + width_mm - norths_mm + NORTHS_MM, y + 6.0 + number * (LINE_MM + 0.4)), line, TEXT)


def draw_bar(sheet: MapSheet, at: Point, long_mm: float, value: float, unit: str) -> None:
    """A bar of four parts; filled shapes only, so that its ends lie exactly."""
    x, y = at
    part = long_mm / 4
    for number in (0, 2):
        sheet.box((x + number * part, y), (part, BAR_HIGH_MM), fill=0.0)
    for edge in (y, y + BAR_HIGH_MM - BAR_EDGE_MM):
        sheet.box((x, edge), (long_mm, BAR_EDGE_MM), fill=0.0)
    sheet.box((x + long_mm - BAR_EDGE_MM, y), (BAR_EDGE_MM, BAR_HIGH_MM), fill=0.0)
    for number in (0, 2, 4):
        text = f"{value * number / 4:g}" + (f" {unit}" if number == 4 else "")
        sheet.text((x + number * part, y + BAR_HIGH_MM + 3.2), text, TEXT, align={0: "left", 2: "middle", 4: "left"}[number])


def _north_words(crs: PlanCrs) -> list[str]:
    """What each arrow means, with value and day."""
    side = "east" if crs.convergence_deg >= 0 else "west"
    words = [
        "T true north; G grid north, up the sheet",
        f"G lies {shown(abs(crs.convergence_deg), 'bearing')} {side} of T at the base",
    ]
    if crs.declination_deg is None:
        words.append("M magnetic north: no model for the day")
    else:
        error = "" if crs.declination_error_deg is None else f" ± {shown(crs.declination_error_deg, 'bearing')}"
        words.append(f"M {signed_deg(crs.declination_deg)}{error} from T, east +")
        words.append(f"by {crs.declination_model}")
    words.append("arrows spread where too near to draw")
    return words


def turns(crs: PlanCrs) -> dict[str, float]:
    """The drawn turn of each arrow from grid north, degrees, the right order, at least LEAST_TURN_DEG apart."""
    true = {"G": 0.0, "T": -crs.convergence_deg}
    if crs.declination_deg is not None:
        true["M"] = crs.declination_deg - crs.convergence_deg
    order = sorted(true, key=lambda name: (true[name], name))
    at = order.index("G")
    drawn = {"G": 0.0}
    for side in (1, -1):
        last = 0.0
        names = order[at + 1 :] if side > 0 else order[:at][::-1]
        for name in names:
            last = max(abs(true[name]), last + LEAST_TURN_DEG)
            drawn[name] = side * min(last, 75.0)
    return drawn


def _draw_norths(sheet: MapSheet, crs: PlanCrs, corner: Point) -> None:
    foot = (corner[0] + NORTHS_MM / 2 - 1.0, corner[1] + FOOT_MM - 3.0)
    for name, turn in turns(crs).items():
        c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
        long_mm = ARROW_MM if name == "T" else ARROW_MM - 3.0

        def place(across: float, up: float, c: float = c, s: float = s) -> Point:
            return foot[0] + c * across + s * up, foot[1] + s * across - c * up

        sheet.line(foot, place(0.0, long_mm), 0.4 if name == "T" else 0.2)
        head = [place(0.0, long_mm), place(-1.0, long_mm - 3.2), place(0.0, long_mm - 2.4), place(1.0, long_mm - 3.2)]
        if name == "M":  # half an arrow head, as on maps
            head = [head[0], head[2], head[3]]
        sheet.polygon(head, 0.2, 1.0 if name == "G" else 0.0)
        at = place(0.0, long_mm + 2.0)
        sheet.text((at[0], at[1] + 1.0), name, TEXT, bold=name == "T", align="middle")
