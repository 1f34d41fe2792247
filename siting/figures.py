"""How each printed quantity is given: its unit, its decimals, and the text of a number.

A record's field states its quantity once. Rounding to these decimals happens once, when the plan is
closed; every writer then prints what the plan holds, so no two files can disagree in a digit.
"""

from __future__ import annotations

import math
from dataclasses import MISSING, field, fields, is_dataclass, replace
from functools import cache
from typing import Any

# quantity: (unit as printed, decimals kept in the plan, decimals shown to a reader)
QUANTITIES = {
    "latlon": ("degrees", 9, 7),
    "bearing": ("degrees", 6, 2),
    "angle": ("degrees", 6, 2),
    "coordinate": ("m", 3, 3),
    "length": ("m", 3, 2),
    "travel": ("m", 4, 2),
    "area": ("m2", 1, 0),
    "percent": ("%", 4, 1),
    "ratio": ("no unit", 4, 2),
    "factor": ("no unit", 9, 8),
    "unit_factor": ("no unit", 12, 12),
    "force": ("kN", 3, 2),
    "moment": ("kNm", 3, 1),
    "stiffness": ("kNm2", 1, 0),
    "speed": ("m/s", 2, 1),
    "pressure": ("kPa", 4, 3),
    "stress": ("kPa", 1, 0),
    "unit_weight": ("kN/m3", 2, 1),
    "volume": ("m3", 2, 1),
    "line_load": ("kN/m", 4, 3),
    "celsius": ("°C", 1, 0),
    "kilogram_force": ("kgf", 1, 0),
    "pound_force": ("lbf", 1, 0),
    "seconds": ("s", 3, 2),
    "centimetres": ("cm", 1, 0),
    "line_mass": ("g/m", 2, 1),
    "feet": ("ft", 2, 1),
    "section": ("mm2", 3, 2),
    "modulus": ("GPa", 1, 0),
    "expansion": ("ppm/K", 2, 1),
    "mass": ("kg", 1, 0),
    "diameter": ("mm", 2, 1),
    "count": ("no unit", 0, 0),
    "none": ("no unit", 4, 2),
}
CHECK_QUANTITIES = {"m": "travel", "%": "percent", "ratio": "ratio", "count": "count", "kN": "force"}


def quantity(kind: str, meaning: str, default: Any = MISSING) -> Any:
    """A record's field that holds a number (or a list of numbers) of this kind, no unit of its own."""
    metadata = {"quantity": kind, "meaning": meaning}
    return field(metadata=metadata) if default is MISSING else field(metadata=metadata, default=default)


def words(meaning: str, default: Any = MISSING, *, in_json: bool = True) -> Any:
    """A record's field that holds text, records or a list of them; no unit."""
    metadata = {"meaning": meaning, "in_json": in_json}
    return field(metadata=metadata) if default is MISSING else field(metadata=metadata, default=default)


def _round(value: Any, digits: int) -> Any:
    if type(value) is not float:
        if isinstance(value, tuple):
            if all([type(item) is float for item in value]) and all(map(math.isfinite, value)):  # most of a plan's numbers
                return tuple([round(item, digits) + 0.0 for item in value])
            return tuple([_round(item, digits) for item in value])
        if value is None or isinstance(value, bool | str):
            return value
    number = float(value)
    if not math.isfinite(number):
        raise ValueError(f"not a finite number: {number}")
    return round(number, digits) + 0.0  # + 0.0 turns -0.0 into 0.0


@cache
def _digits_of(kind: type) -> tuple[tuple[str, int | None], ...]:
    """Each field of a record with the decimals that are kept, None where it is no quantity; looked up once a class."""
    kinds = ((item.name, item.metadata.get("quantity")) for item in fields(kind))
    return tuple((name, QUANTITIES[kind][1] if kind else None) for name, kind in kinds)


def rounded(record: Any) -> Any:
    """The same record with each number rounded to the decimals its quantity keeps.

    Raises:
        ValueError: a number is not finite.
    """
    kind = type(record)
    if isinstance(record, tuple):
        return tuple([rounded(item) for item in record])
    if not is_dataclass(kind):
        return record
    changes = {}
    for name, digits in _digits_of(kind):
        value = getattr(record, name)
        try:
            new = rounded(value) if digits is None else _round(value, digits)
        except ValueError as fault:
            raise ValueError(f"{kind.__name__}.{name}: {fault}") from None
        if new is not value:
            changes[name] = new
    return replace(record, **changes) if changes else record


def shown(value: float | None, kind: str, *, unit: bool = True) -> str:
    """A number as a reader sees it, with its unit; a dash where there is none."""
    if value is None:
        return "–"
    name, _, digits = QUANTITIES[kind]
    sign = {"degrees": "°", "no unit": "", "m2": " m²", "m3": " m³", "kN/m3": " kN/m³", "%": " %"}.get(name, f" {name}")
    return f"{value:.{digits}f}{sign if unit else ''}"


def kept(value: float, kind: str) -> str:
    """A number with every decimal that the plan keeps, for files that machines read; no unit."""
    return f"{value:.{QUANTITIES[kind][1]}f}"
