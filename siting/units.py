"""Units and bearings: the only place where a conversion factor is typed in."""

from __future__ import annotations

# Exact by definition: Federal Register 1959-07-01 (international foot) and 1893 Mendenhall order
# (US survey foot, 1200/3937 m).
METRES_PER_FOOT = 0.3048
METRES_PER_US_SURVEY_FOOT = 1200.0 / 3937.0
METRES_PER_INCH = METRES_PER_FOOT / 12.0
# International nautical mile, exact: First International Extraordinary Hydrographic Conference, 1929.
METRES_PER_NAUTICAL_MILE = 1852.0
# Standard acceleration of gravity, CGPM 1901, exact.
GRAVITY_M_S2 = 9.80665
# Avoirdupois pound, exact: international yard and pound agreement, Federal Register 1959-07-01.
KILOGRAMS_PER_POUND = 0.45359237
# The weight of a kilogram and of a pound under standard gravity, exact by the two lines above.
NEWTONS_PER_KILOGRAM_FORCE = GRAVITY_M_S2
NEWTONS_PER_POUND_FORCE = KILOGRAMS_PER_POUND * GRAVITY_M_S2

VERTICAL_UNITS_M = {"m": 1.0, "ft": METRES_PER_FOOT, "us-ft": METRES_PER_US_SURVEY_FOOT}
UNIT_NAMES = {"m": "metres", "ft": "international feet (0.3048 m)", "us-ft": "US survey feet (1200/3937 m)"}


def wrap_bearing_deg(bearing_deg: float) -> float:
    """The same bearing in [0, 360), degrees."""
    wrapped = bearing_deg % 360.0
    return 0.0 if wrapped >= 360.0 else wrapped


def turn_deg(from_deg: float, to_deg: float) -> float:
    """The shortest turn from one bearing to another in [-180, 180), degrees, clockwise positive."""
    return (to_deg - from_deg + 180.0) % 360.0 - 180.0


def compass_point(bearing_deg: float) -> str:
    """The nearest of the sixteen compass points, no unit."""
    names = ["N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"]
    return names[int((bearing_deg % 360.0) / 22.5 + 0.5) % 16]


def dms_text(value_deg: float, positive: str, negative: str) -> str:
    """An angle as degrees, minutes and seconds to 0.001", with its hemisphere letter."""
    thousandths = round(abs(value_deg) * 3_600_000)
    degrees, rest = divmod(thousandths, 3_600_000)
    minutes, rest = divmod(rest, 60_000)
    letter = positive if value_deg >= 0 else negative
    return f"{degrees}°{minutes:02d}'{rest / 1000:06.3f}\"{letter}"
