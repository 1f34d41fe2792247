"""Magnetic declination, from the World Magnetic Model that pygeomag carries."""

from __future__ import annotations

import datetime
import math
from dataclasses import dataclass

# Below this horizontal field the model's authors call a compass unreliable (WMM2025 report: blackout zones).
BLACKOUT_NT, CAUTION_NT = 2000.0, 6000.0


@dataclass(frozen=True, slots=True)
class Declination:
    """Declination at the base; `deg` is None where the model does not cover the date."""

    deg: float | None
    error_deg: float | None
    model: str
    warnings: tuple[str, ...] = ()


def decimal_year(date: datetime.date) -> float:
    """A date as a decimal year, no unit."""
    start = datetime.date(date.year, 1, 1)
    return date.year + (date - start).days / ((datetime.date(date.year + 1, 1, 1) - start).days)


def declination(lat_deg: float, lon_deg: float, height_m: float, date: datetime.date) -> Declination:
    """Magnetic declination (degrees, east positive) and the model's standard error there.

    The DEM's height is used for the height above the ellipsoid: 100 m change it by less than 0.001 degrees.

    Source:
        NOAA NCEI and BGS, World Magnetic Model 2025 (valid 2025.0 to 2030.0); error model
        sqrt(0.26^2 + (5417/H)^2) degrees from its technical report.
    """
    from pygeomag import GeoMag

    model = GeoMag()
    year = decimal_year(date)
    first, last = model.life_span
    if not first <= year < last:
        text = f"{model.model} covers {first:.1f} to {last:.1f}, not {date.isoformat()}"
        return Declination(
            None, None, text, (f"No magnetic azimuths: {text}. Use grid or true azimuths, or bring siting up to date.",)
        )
    field = model.calculate(glat=lat_deg, glon=lon_deg, alt=height_m / 1000.0, time=year)
    text = f"{model.model} at {date.isoformat()}"
    error = math.hypot(0.26, 5417.0 / field.h) if field.h > 0 else 180.0
    if field.h >= CAUTION_NT:
        return Declination(field.d, error, text)
    grade = "useless" if field.h < BLACKOUT_NT else "poor"
    return Declination(field.d, error, text, (f"A compass is {grade} here: horizontal field {field.h:.0f} nT.",))
