"""The legend of the rose on paper: each sign and each pattern with its letter, its words and how many directions it stands for."""

from __future__ import annotations

import math

from siting.figures import shown
from siting.writers.paper.canvas import THIN_MM, Point
from siting.writers.paper.flow import Flow
from siting.writers.profiles.polar import Rose, draw_pattern
from siting.writers.profiles.sectors import NOT_JUDGED, Kind, Sector, kinds
from siting.writers.profiles.words import uphill_words

PASS_INK = 0.72
LETTER_SIZE, LEGEND_SIZE, STEP_MM = 8.5, 8.0, 5.2
SWATCH_MM, SWATCH_HIGH_MM, TURN_MM = 9.0, 3.8, 50.0  # a swatch is a piece of a ring of this radius


def draw_rose_legend(flow: Flow, at: Point, found: tuple[Sector, ...]) -> None:
    """What each sign means, and how many directions it stands for."""
    sheet, plan, (x, y) = flow.sheet, flow.plan, at
    count = {v: sum(s.verdict == v for s in found) for v in ("pass", "marginal", NOT_JUDGED)}
    rows: list[tuple[str, str]] = [("laydown", f"laydown {shown(plan.laydown.azimuth_deg, 'bearing')} true, {plan.laydown.chosen_by}")]
    rows += [("runner", "next best, by number (table)")] if plan.laydown.runners_up else []
    rows += [("uphill", uphill_words(plan))]
    rows += [("pass", f"allowed, bar: what is left ({count['pass']})")]
    rows += [("marginal", f"marginal, bar: what is left ({count['marginal']})")] if count["marginal"] else []
    rows += [(NOT_JUDGED, f"?  not judged: no ground ({count[NOT_JUDGED]})")] if count[NOT_JUDGED] else []
    for sign, text in rows:
        _draw_sign(flow, (x, y), sign)
        y = _words(flow, (x + 11.0, y), text)
    if any(kind.count for kind in kinds(found)):
        sheet.text((x, y + 4.4), "Ruled out worst by", LEGEND_SIZE + 1.0, bold=True)
        y += 6.4
    for kind in kinds(found):
        _draw_swatch(flow, (x, y), kind)
        y = _words(flow, (x + 15.0, y), f"{kind.words} ({kind.count})")


def _words(flow: Flow, at: Point, text: str) -> float:
    """Words of the legend from this corner; returns where the next entry begins, mm."""
    lines = flow.sheet.wrapped(text, flow.left + flow.width_mm - at[0], LEGEND_SIZE)
    for number, line in enumerate(lines):
        flow.sheet.text((at[0], at[1] + 3.4 + 3.3 * number), line, LEGEND_SIZE)
    return at[1] + max(STEP_MM, 3.3 * len(lines) + 1.9)


def _draw_sign(flow: Flow, at: Point, sign: str) -> None:
    sheet, x, y = flow.sheet, at[0], at[1] + 2.4
    if sign == "laydown":
        sheet.line((x, y), (x + 6.5, y), 1.0)
        sheet.polygon([(x + 9.0, y), (x + 5.5, y - 1.5), (x + 5.5, y + 1.5)], 0.2, 0.0)
    elif sign == "runner":
        sheet.line((x, y), (x + 9.0, y), 0.25, (1.6, 0.9))
        sheet.circle((x + 4.5, y), 1.7, 0.3, 1.0)
        sheet.text((x + 4.5, y + 0.85), "1", 7.0, bold=True, align="middle")
    elif sign == "uphill":
        sheet.polygon([(x + 4.5, y - 2.0), (x + 6.2, y + 1.8), (x + 2.8, y + 1.8)], 0.35, 1.0)
    elif sign == "pass":
        sheet.box((x, y - 1.4), (9.0, 2.8), THIN_MM, PASS_INK)
    elif sign == "marginal":
        sheet.box((x, y - 1.4), (9.0, 2.8), 0.3, 1.0)
    else:
        for side in (-1.4, 1.4):
            sheet.line((x, y + side), (x + 9.0, y + side), 0.2, (0.5, 0.7))


def _draw_swatch(flow: Flow, at: Point, kind: Kind) -> None:
    """A piece of the ring with the kind's pattern and its letter."""
    sheet = flow.sheet
    rose = Rose(sheet, (at[0] + SWATCH_MM / 2, at[1] + 0.6 + TURN_MM))
    half = math.degrees(SWATCH_MM / 2 / TURN_MM)
    draw_pattern(rose, kind.pattern, (-half, half), (TURN_MM - SWATCH_HIGH_MM, TURN_MM))
    sheet.text((at[0] + 10.6, at[1] + 3.5), kind.letter, LETTER_SIZE, bold=True)
