"""Lengths and heights of the site map in the unit that the office wants, the other beside them where both are asked for."""

from __future__ import annotations

from siting.records.permit import FEET
from siting.units import METRES_PER_FOOT


def length(value_m: float | None, units: str) -> str:
    """A length to 0.01 m or 0.01 ft with its unit; a dash where there is none."""
    if value_m is None:
        return "–"
    return f"{value_m / METRES_PER_FOOT:.2f} ft" if units == FEET else f"{value_m:.2f} m"


def signed_length(value_m: float, units: str) -> str:
    """The same with its sign, + or −."""
    text = length(abs(value_m), units)
    return text if not any(c in "123456789" for c in text) else f"{'−' if value_m < 0 else '+'}{text}"


def both(value_m: float, units: str) -> str:
    """The same in both units, the wanted one first."""
    metres, feet = length(value_m, "m"), length(value_m, FEET)
    return f"{feet} ({metres})" if units == FEET else f"{metres} ({feet})"


def height(value_m: float, units: str, decimals: int = 2) -> str:
    """A height without its unit."""
    return f"{value_m / (METRES_PER_FOOT if units == FEET else 1.0):.{decimals}f}"
