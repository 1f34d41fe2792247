"""A runway as a row of a file gives it, made into a strip: what disagrees in it is said and counted as doubt."""

from __future__ import annotations

import math
from dataclasses import dataclass

from pyproj import Geod

from siting.records.airfields import RUNWAY, Strip

_ELLIPSOID = Geod(ellps="WGS84")
# Runways are looked for this far north, south, east and west of the site: the nearest airport stands on the FAA's form.
REACH_M = 100_000.0
METRES_PER_DEGREE = 111_000.0
# A runway whose ends lie another length apart than its listed one is in doubt by the difference; said from here on.
DISAGREES = 0.02
# Wider than the data sheets' roundings; a drawn length this far off its listed one shows nothing but an error.
WRONG_M = 5_000.0


@dataclass(frozen=True, slots=True)
class Window:
    """The part of a file that is read: a box around the site in degrees."""

    lat: float
    lon: float

    @property
    def half_lat_deg(self) -> float:
        """Half its height, degrees."""
        return REACH_M / METRES_PER_DEGREE

    @property
    def half_lon_deg(self) -> float:
        """Half its width, degrees; all round near a pole."""
        return min(180.0, self.half_lat_deg / max(math.cos(math.radians(min(89.9, abs(self.lat) + self.half_lat_deg))), 1e-3))

    def holds(self, lat: float, lon: float) -> bool:
        """True for a point inside, also across 180 degrees."""
        return abs(lat - self.lat) <= self.half_lat_deg and abs((lon - self.lon + 180.0) % 360.0 - 180.0) <= self.half_lon_deg


def runway_strip(strip: Strip) -> Strip:
    """A runway between two ends with its length checked: the longer of drawn and listed counts, the difference is its doubt.

    A length that is not listed stays unknown.
    """
    if strip.kind != RUNWAY or strip.length_m is None or len(strip.ends) < 2:
        return strip
    drawn_m = drawn_length_m(strip)
    off_m = abs(drawn_m - strip.length_m)
    note = strip.note
    if off_m > DISAGREES * strip.length_m:
        said = f"its ends lie {drawn_m:,.0f} m apart, its listed length is {strip.length_m:,.0f} m: it may lie up to {off_m:,.0f} m elsewhere"
        note = f"{note}; {said}" if note else said
    return Strip(
        strip.airport, strip.name, strip.runway, strip.kind, strip.ends, strip.elevations_m, max(drawn_m, strip.length_m),
        off_m if off_m > DISAGREES * strip.length_m else 0.0, strip.airport_m, strip.reference, strip.is_public, note,
    )  # fmt: skip


def drawn_length_m(strip: Strip) -> float:
    """Metres between the two ends."""
    return float(_ELLIPSOID.inv(*strip.ends[0], *strip.ends[-1])[2])


def apart_m(one: tuple[float, float], other: tuple[float, float]) -> float:
    """Metres between two (lon, lat) points."""
    return float(_ELLIPSOID.inv(*one, *other)[2])
