"""The points to set out on the ground: coordinates, azimuths, names."""

from __future__ import annotations

import math
import re

import numpy as np

from siting.geodesy.frames import Frame
from siting.geodesy.geodesic import place
from siting.records.findings import Check
from siting.records.mast import Mast
from siting.records.plan import Stake
from siting.terrain.surface import Surface
from siting.verdict import worst

NAME_LENGTH = 8
# Feature codes of our own; a surveyor's office may have others.
CODES = {"base": "MBASE", "permanent": "MANCH", "temporary": "MTEMP", "winch": "MWNCH", "head": "MHEAD"}
WORDS = {
    "base": "base plate centre",
    "permanent": "permanent anchor",
    "temporary": "temporary anchor for the lift",
    "winch": "winch anchor",
    "head": "where the mast head lies before the lift",
}
# Checks that speak of the base or of the lying mast rather than of one anchor.
BASE_KINDS = ("setback", "fall_zone", "fall_zone_obstacle")
HEAD_KINDS = ("laydown_slope", "rest_slope", "gap")


def point_names(ids: tuple[str, ...]) -> tuple[str, ...]:
    """The ids in at most eight ASCII characters, unique, no blanks: what every rover takes."""
    names: list[str] = []
    for name in ids:
        plain = re.sub(r"[^A-Za-z0-9_\-]", "", name.encode("ascii", "ignore").decode()) or "P"
        short, number = plain[:NAME_LENGTH], 1
        while short.upper() in (n.upper() for n in names):
            number += 1
            tail = str(number)
            short = plain[: NAME_LENGTH - len(tail)] + tail
        names.append(short)
    return tuple(names)


def place_stakes(
    mast: Mast,
    surface: Surface,
    frame: Frame,
    base_height_m: float,
    laydown_deg: float,
    rest_rad: float,
    declination_deg: float | None,
    checks: tuple[Check, ...],
    vertical_datum: str,
) -> tuple[Stake, ...]:
    """Every stake of the plan: base, head, then the anchors in the mast file's order.

    Source: CONTRACT, geometry: a stake is the geodesic direct solution from the base.
    """
    rows = [("BASE", "base", 0.0, 0.0), ("HEAD", "head", laydown_deg, mast.height_m * math.cos(rest_rad))]
    rows += [(a.id, a.use, (laydown_deg + a.bearing_deg) % 360.0, a.radius_m) for a in mast.anchors]
    azimuths = np.array([r[2] for r in rows])
    radii = np.array([r[3] for r in rows])
    lon, lat = place(surface.frame.lat, surface.frame.lon, azimuths, radii, base_height_m)
    lon[0], lat[0] = surface.frame.lon, surface.frame.lat
    easting, northing = frame.grid(lon, lat)
    col, row = surface.frame.colrow(lon, lat)
    heights, (slopes, _) = surface.heights_m(col, row), surface.slopes(col, row)
    names = point_names(tuple(r[0] for r in rows))
    datum = re.sub(r"[,;\"']", " ", vertical_datum).encode("ascii", "ignore").decode()
    stakes = []
    for i, (name, role, azimuth, radius) in enumerate(rows):
        stakes.append(
            Stake(
                id=name,
                point=names[i],
                role=role,
                code=CODES[role],
                description=f"{WORDS[role]}; DEM height not for grade; {datum or 'vertical datum not stated'}",
                lat=float(lat[i]),
                lon=float(lon[i]),
                easting=float(easting[i]),
                northing=float(northing[i]),
                height_m=float(heights[i]),
                azimuth_deg=azimuth,
                azimuth_grid_deg=0.0 if role == "base" else (azimuth - frame.convergence_deg) % 360.0,
                azimuth_magnetic_deg=_magnetic(azimuth, declination_deg, role),
                radius_m=radius,
                grid_distance_m=radius * frame.combined_factor,
                above_base_m=float(heights[i]) - base_height_m,
                slope_percent=float(slopes[i]) if math.isfinite(slopes[i]) else None,
                verdict=worst(c.verdict for c in checks if _speaks_of(c, name, role)),
            )
        )
    return tuple(stakes)


def _magnetic(azimuth_deg: float, declination_deg: float | None, role: str) -> float | None:
    if declination_deg is None:
        return None
    return 0.0 if role == "base" else (azimuth_deg - declination_deg) % 360.0


def _speaks_of(check: Check, name: str, role: str) -> bool:
    if role == "base":
        return check.kind in BASE_KINDS
    if role == "head":
        return check.kind in HEAD_KINDS
    return check.id.partition(":")[2].partition("@")[0] == name or (role == "winch" and check.kind == "winch_arm")
