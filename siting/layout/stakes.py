"""The points to set out on the ground: coordinates, azimuths, names."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from siting.geodesy.frames import Frame
from siting.geodesy.geodesic import place
from siting.layout.offsets import Offset
from siting.records.findings import Check
from siting.records.mast import Mast
from siting.records.plan import Stake
from siting.records.site import PointOptions
from siting.terrain.surface import Surface
from siting.verdict import worst

# Feature codes of our own; the user's office may put its own in their place.
CODES = {
    "base": "MBASE", "permanent": "MANCH", "temporary": "MTEMP", "winch": "MWNCH", "head": "MHEAD", "offset": "MOFFS",
    "control": "MCTRL", "feature": "MFEAT",
}  # fmt: skip
WORDS = {
    "base": "base plate centre",
    "permanent": "permanent anchor",
    "temporary": "temporary anchor for the lift",
    "winch": "winch anchor",
    "head": "where the mast head lies before the lift",
}
# Checks that speak of the base or of the lying mast rather than of one anchor.
BASE_KINDS = ("setback", "fall_zone", "fall_zone_obstacle", "power_line", "base_push", "base_uplift", "rule")
HEAD_KINDS = ("laydown_slope", "rest_slope", "gap")


@dataclass(frozen=True, slots=True)
class Spot:
    """A stake before it is placed: true azimuth (degrees) and ground radius (metres) from the base."""

    id: str
    role: str
    azimuth_deg: float
    radius_m: float
    words: str


@dataclass(frozen=True, slots=True)
class Setting:
    """What every stake of a plan shares."""

    surface: Surface
    frame: Frame
    base_height_m: float
    declination_deg: float | None
    vertical_datum: str
    undulations_m: Callable[[np.ndarray, np.ndarray], np.ndarray] | None
    options: PointOptions


def spots_of(mast: Mast, laydown_deg: float, rest_rad: float, offsets: tuple[Offset, ...]) -> tuple[Spot, ...]:
    """Base, head, the anchors in the mast file's order, then the offset stakes.

    Source: CONTRACT, geometry: the head lies at radius H * cos(angle of the rest line).
    """
    spots = [
        Spot("BASE", "base", 0.0, 0.0, WORDS["base"]),
        Spot("HEAD", "head", laydown_deg, mast.height_m * math.cos(rest_rad), WORDS["head"]),
    ]
    spots += [Spot(a.id, a.use, (laydown_deg + a.bearing_deg) % 360.0, a.radius_m, WORDS[a.use]) for a in mast.anchors]
    spots += [Spot(o.id, "offset", (laydown_deg + o.bearing_deg) % 360.0, o.radius_m, o.words) for o in offsets]
    return tuple(spots)


def place_stakes(spots: tuple[Spot, ...], setting: Setting, checks: tuple[Check, ...]) -> tuple[Stake, ...]:
    """Every stake with its coordinates; an offset stake on ground without a height is left out.

    Source: CONTRACT, geometry: a stake is the geodesic direct solution from the base.
    """
    surface, frame, base_m = setting.surface, setting.frame, setting.base_height_m
    azimuths = np.array([s.azimuth_deg for s in spots])
    radii = np.array([s.radius_m for s in spots])
    lon, lat = place(surface.frame.lat, surface.frame.lon, azimuths, radii, base_m)
    lon[0], lat[0] = surface.frame.lon, surface.frame.lat
    easting, northing = frame.grid(lon, lat)
    col, row = surface.frame.colrow(lon, lat)
    heights, (slopes, _) = surface.heights_m(col, row), surface.slopes(col, row)
    geoid = setting.undulations_m(lon, lat) if setting.undulations_m else None
    kept = [i for i in range(len(spots)) if math.isfinite(heights[i])]
    names = point_names(tuple(spots[i].id for i in kept), setting.options)
    codes = CODES | dict(setting.options.codes)
    datum = re.sub(r"[,;\"']", " ", setting.vertical_datum).encode("ascii", "ignore").decode()
    stakes = []
    for i, name in zip(kept, names, strict=True):
        spot, is_base = spots[i], spots[i].role == "base"
        stakes.append(
            Stake(
                id=spot.id,
                point=name,
                role=spot.role,
                code=codes[spot.role],
                description=f"{_named(spot, name)}; DEM height not for grade; {datum or 'vertical datum not stated'}",
                lat=float(lat[i]),
                lon=float(lon[i]),
                easting=float(easting[i]),
                northing=float(northing[i]),
                height_m=float(heights[i]),
                ellipsoid_height_m=None if geoid is None else float(heights[i] + geoid[i]),
                azimuth_deg=spot.azimuth_deg,
                azimuth_grid_deg=0.0 if is_base else (spot.azimuth_deg - frame.convergence_deg) % 360.0,
                azimuth_magnetic_deg=_magnetic(spot, setting.declination_deg),
                radius_m=spot.radius_m,
                grid_distance_m=spot.radius_m * frame.combined_factor,
                above_base_m=float(heights[i]) - base_m,
                slope_percent=float(slopes[i]) if math.isfinite(slopes[i]) else None,
                verdict=worst(c.verdict for c in checks if _speaks_of(c, spot)),
            )
        )
    return tuple(stakes)


def point_names(ids: tuple[str, ...], options: PointOptions) -> tuple[str, ...]:
    """The ids within the name limit, ASCII, unique, no blanks; or numbers from the user's first one on."""
    if options.first_number is not None:
        return tuple(str(options.first_number + i) for i in range(len(ids)))
    limit = options.name_length
    names: list[str] = []
    taken: set[str] = set()
    for name in ids:
        plain = re.sub(r"[^A-Za-z0-9_\-]", "", name.encode("ascii", "ignore").decode()) or "P"
        short, number = plain[:limit], 1
        while short.upper() in taken:
            number += 1
            tail = str(number)
            short = plain[: limit - len(tail)] + tail
        taken.add(short.upper())
        names.append(short)
    return tuple(names)


def _named(spot: Spot, name: str) -> str:
    """The stake in words, with its id where the point's name does not tell it."""
    return spot.words if name == spot.id else f"{spot.id} {spot.words}"


def _magnetic(spot: Spot, declination_deg: float | None) -> float | None:
    if declination_deg is None:
        return None
    return 0.0 if spot.role == "base" else (spot.azimuth_deg - declination_deg) % 360.0


def _speaks_of(check: Check, spot: Spot) -> bool:
    if spot.role == "base":
        return check.kind in BASE_KINDS
    if spot.role == "head":
        return check.kind in HEAD_KINDS
    if check.kind in BASE_KINDS:  # a line or a rule may have an anchor's name
        return False
    about = check.id.partition(":")[2].partition("@")[0]
    return about == spot.id or (spot.role == "winch" and check.kind == "winch_arm")
