"""Masts, runways and airports for the tests of the air screening, placed by geographiclib: no code of siting."""

from __future__ import annotations

from geographiclib.geodesic import Geodesic

from siting.air.case import AirCase, GroundHeight
from siting.records.airfields import HELIPORT, RUNWAY, Airfields, Strip
from siting.records.plan import GuyChord, Stake

EARTH = Geodesic.WGS84
LAT, LON, GROUND_M = 46.0, -104.0, 900.0
FT = 0.3048


def off(azimuth_deg, distance_m, lat=LAT, lon=LON):
    """(lon, lat) of a point off another one."""
    found = EARTH.Direct(lat, lon, azimuth_deg, distance_m)
    return found["lon2"], found["lat2"]


def runway_beside(distance_m, length_m=1000.0, heights_m=(GROUND_M, GROUND_M), *, azimuth_deg=90.0, airport="KAAA", **more):
    """A runway whose middle lies this far from the mast, square to the way there."""
    lon, lat = off(azimuth_deg, distance_m)
    across = EARTH.Inverse(lat, lon, LAT, LON)["azi1"] + 90.0
    ends = tuple(off(across + turn, length_m / 2.0, lat, lon) for turn in (0.0, 180.0))
    return Strip(airport, "", "01/19", RUNWAY, ends, heights_m, more.pop("listed_m", length_m), **more)


def runway_end_on(distance_m, length_m=1000.0, heights_m=(GROUND_M, GROUND_M), *, azimuth_deg=90.0, airport="KAAA", **more):
    """A runway that points at the mast, its nearest end this far away."""
    ends = off(azimuth_deg, distance_m), off(azimuth_deg, distance_m + length_m)
    return Strip(airport, "", "09/27", RUNWAY, ends, heights_m, more.pop("listed_m", length_m), **more)


def heliport(distance_m, height_m=GROUND_M, *, azimuth_deg=180.0, airport="HAAA", **more):
    return Strip(airport, "", "", HELIPORT, (off(azimuth_deg, distance_m),), (height_m,), None, **more)


def airfields(*strips, **more):
    """Runways and heliports in one file; a far runway shows that the file covers the site."""
    far = runway_beside(60_000.0, airport="KFAR")
    return Airfields(**({"shown": "runways.csv", "strips": (*strips, far), "reach_m": 100_000.0, "has_runways": True, "has_heliports": True} | more))


def mast(height_m, ground_m=GROUND_M, error_m=0.0, **more):
    return AirCase(LAT, LON, height_m, GroundHeight(ground_m, error_m, "test"), **more)


def guy(anchor, attach_m, chord_m, use="permanent"):
    return GuyChord(anchor, attach_m, use, 4.0, chord_m, 50.0)


def stake(name, azimuth_deg, radius_m):
    lon, lat = off(azimuth_deg, radius_m)
    return Stake(
        name, name, "permanent", "X", "", lat, lon, 0.0, 0.0, GROUND_M, None, azimuth_deg, azimuth_deg, None, radius_m, radius_m, 0.0, 0.0, "pass"
    )  # fmt: skip


def criteria(screening):
    return {c.id: c for c in screening.criteria}
