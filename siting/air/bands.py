"""Bands of paint from the tip down: how many, how wide."""

from __future__ import annotations

import math

from siting.air.marking_laws import FIVE_FOOT, ICAO_BANDS, SEVEN, TOP_THIRD
from siting.records.air import Band
from siting.units import METRES_PER_FOOT

ORANGE, WHITE = "aviation orange", "white"
# TM 5-823-4, read: seven bands up to 700 ft, two more for each further 200 ft; none on what is no higher than 10.5 ft.
LEAST_FT, SEVEN_TO_FT, STEP_FT = 10.5, 700.0, 200.0
# ICAO Annex 14 Vol. I 6.2.4, read: about a seventh of the longest dimension or 30 m, the less; for more than 1.5 m.
ICAO_MOST_M, ICAO_LEAST_M = 30.0, 1.5
FIVE_FT = 5.0
TOP_BANDS = 3


def band_count(height_ft: float) -> int:
    """How many equal bands a structure of this height in feet has; 0 where the table asks for none.

    Source: US Army TM 5-823-4, table of band widths (the same rule as the FAA's circular).
    """
    if height_ft <= LEAST_FT:
        return 0
    return 7 + 2 * math.ceil(max(0.0, height_ft - SEVEN_TO_FT - 1e-9) / STEP_FT)


def icao_band_count(height_m: float) -> int:
    """How many equal bands, an odd number, none wider than a seventh of the height nor than 30 m; 0 for 1.5 m and less.

    Source: ICAO Annex 14 Vol. I 6.2.4; that both end bands take the darker colour, so the odd number, is from memory.
    """
    if height_m <= ICAO_LEAST_M:
        return 0
    count = max(7, math.ceil(height_m / ICAO_MOST_M - 1e-9))
    return count + 1 - count % 2


def bands(layout: str, height_m: float) -> tuple[Band, ...]:
    """The bands of a layout, from the tip down, orange first: metres and feet. Together as long as what they cover."""
    if layout == SEVEN:
        return _equal(height_m, band_count(height_m / METRES_PER_FOOT))
    if layout == ICAO_BANDS:
        return _equal(height_m, icao_band_count(height_m))
    if layout == TOP_THIRD:
        return _equal(height_m / 3.0, TOP_BANDS)
    if layout == FIVE_FOOT:
        width_m = FIVE_FT * METRES_PER_FOOT
        count = math.ceil(height_m / width_m - 1e-9)
        return _from_edges([min(n * width_m, height_m) for n in range(count + 1)])
    return ()


def bands_text(layout: str, found: tuple[Band, ...]) -> str:
    """The bands in words, no unit of its own."""
    if not found:
        return ""
    first = found[0]
    width = f"{first.to_m - first.from_m:.2f} m ({first.to_ft - first.from_ft:.1f} ft)"
    ends = "orange at the top and at the bottom of them" if len(found) % 2 else "orange at the top"
    if layout == TOP_THIRD:
        return f"the top third in {len(found)} equal bands of {width}, {ends}"
    if layout == FIVE_FOOT:
        return f"the full height in bands of {width}, orange and white in turn, orange at the top; the lowest is what is left"
    return f"the full height in {len(found)} equal bands of {width}, orange and white in turn, {ends}"


def _equal(length_m: float, count: int) -> tuple[Band, ...]:
    return _from_edges([length_m * n / count for n in range(count + 1)]) if count else ()


def _from_edges(edges_m: list[float]) -> tuple[Band, ...]:
    pairs = zip(edges_m, edges_m[1:], strict=False)
    return tuple(
        Band(a, b, a / METRES_PER_FOOT, b / METRES_PER_FOOT, WHITE if n % 2 else ORANGE) for n, (a, b) in enumerate(pairs)
    )
