"""What a layer says of its lines beside their kind: voltage, height of the conductors, owner."""

from __future__ import annotations

import math
from typing import Any

import shapely

from siting.errors import Fault

# The highest voltage of any line in use is 1200 kV; a larger number is most likely in volts.
VOLTAGE_MAX_KV = 1500.0
# Taller than the pylons of nearly every line; a larger number is most likely in feet or above sea level.
CONDUCTOR_MAX_M = 200.0
# A Shapefile cuts its fields' names to ten letters.
NAMES = {"voltage_kv": ("voltage_kv",), "conductor_m": ("conductor_m", "conductor_"), "owner": ("owner",)}


class LineFields:
    """The columns of a layer that hold voltage, conductor's height and owner, in capitals or not."""

    def __init__(self, columns: list[str]) -> None:
        self._column = {key: next((c for c in columns if str(c).lower() in names), None) for key, names in NAMES.items()}

    def read(self, frame: Any, row: int, where: str, faults: list[Fault]) -> tuple[float | None, float | None, str]:
        """Voltage (kV), conductor above the ground (metres) and owner of a row; what cannot be read goes to `faults`."""

        def value(key: str) -> Any:
            column = self._column[key]
            return None if column is None else frame[column].iloc[row]

        voltage_kv = _number(
            value("voltage_kv"), f"{where}, voltage_kv", VOLTAGE_MAX_KV, faults,
            "give kilovolts as a plain number, like 25, or leave it empty where it is not known",
        )  # fmt: skip
        conductor_m = _number(
            value("conductor_m"), f"{where}, conductor_m", CONDUCTOR_MAX_M, faults,
            "give the lowest conductor's height above the ground in metres, or leave it empty where it is not known",
        )  # fmt: skip
        return voltage_kv, conductor_m, plain_text(value("owner"))


def plain_text(value: Any) -> str:
    """A name on one line, empty where there is none; no unit."""
    text = "" if _is_empty(value) else " ".join(str(value).split())
    return "" if text.lower() in ("none", "nan", "null") else text


def heights_in_metres(geometry: Any, crs_wkt: str, where: str, notes: list[str]) -> Any:
    """A line that is drawn with heights, its Z in metres; None where it has none that can be used."""
    if geometry.geom_type not in ("LineString", "MultiLineString") or not geometry.has_z:
        return None
    z = shapely.get_coordinates(geometry, include_z=True)[:, 2]
    if not any(math.isfinite(v) and v != 0.0 for v in z):
        return None  # many programs write a Z of 0 for want of one
    metres = _height_unit_m(crs_wkt)
    if metres is None:
        notes.append(f"{where}: its layer does not say in which unit its heights are: they are left out.")
        return None
    return shapely.transform(geometry, lambda xyz: xyz * (1.0, 1.0, metres), include_z=True)


def _height_unit_m(crs_wkt: str) -> float | None:
    """Metres in the unit of a system's heights; None where nothing says it and its plane is not in metres."""
    from pyproj import CRS

    crs = CRS.from_wkt(crs_wkt)
    for axis in crs.axis_info[2:]:
        return axis.unit_conversion_factor if axis.direction == "up" else None
    return 1.0 if crs.is_geographic or crs.axis_info[0].unit_conversion_factor == 1.0 else None


def _number(value: Any, where: str, most: float, faults: list[Fault], do: str) -> float | None:
    """A number above 0 and up to `most`; None where the field is empty or a fault was found."""
    if _is_empty(value):
        return None
    try:
        number = float(value)
    except (TypeError, ValueError):
        faults.append(Fault("layer_value", where, f"is '{value}', which is no number", do))
        return None
    if isinstance(value, bool) or not 0.0 < number <= most:
        faults.append(Fault("layer_value", where, f"is {value}, but must lie above 0 and be at most {most:g}", do))
        return None
    return number


def _is_empty(value: Any) -> bool:
    """True for None, not-a-number, a missing value of the table's library, and blanks."""
    if value is None or (isinstance(value, str) and not value.strip()):
        return True
    return bool(value != value) if isinstance(value, float) else type(value).__name__ in ("NAType", "NaTType")
