"""Coordinates of another zone than the plan's: neighbouring UTM zones, the other hemisphere, other systems of the region."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np
from pyproj import CRS, Proj, Transformer
from pyproj.aoi import AreaOfInterest
from pyproj.database import query_crs_info
from pyproj.exceptions import CRSError, ProjError

from siting.geodesy.frames import utm_zone
from siting.records.plan import Plan

# Added to northings south of the equator, so that none is negative (NGA/DMA TM 8358.1).
FALSE_NORTHING_M = 10_000_000.0
# How far around the base other systems are looked for, degrees: a neighbouring zone of any usual width.
REGION_LON_DEG, REGION_LAT_DEG = 4.0, 2.0
# Datums lie up to a kilometre apart, sites are smaller than one.
LOOK_M = 2000.0


@dataclass(frozen=True, slots=True)
class Zone:
    """A system that the file may be in; `into_plan` takes its eastings and northings to the plan's."""

    name: str
    into_plan: Callable[[np.ndarray, np.ndarray], tuple[np.ndarray, np.ndarray]]


def neighbouring_zones(plan: Plan) -> list[Zone]:
    """UTM zones beside the plan's (for a plan in no UTM zone: of the base), in both hemispheres.

    The file is brought into the plan's CRS on the plan's own datum where that has UTM zones, else on WGS 84.
    """
    target = _plan_crs(plan)
    if target is None:
        return []
    own = target.utm_zone  # like 12N; None where the plan's CRS is no UTM zone
    number = int(own[:-1]) if own else utm_zone(plan.base.lat, plan.base.lon)
    half = own[-1] if own else ("N" if plan.base.lat >= 0 else "S")
    other = "S" if half == "N" else "N"
    turns = {half: 0.0, other: FALSE_NORTHING_M if half == "N" else -FALSE_NORTHING_M}
    found = []
    for zone in (number, (number - 2) % 60 + 1, number % 60 + 1):
        crs = _utm(target, own, zone, half)
        move = _move(crs, target)
        if move is None:
            continue
        for letter, added_m in turns.items():
            if (zone, letter) != (number, half) or own is None:
                found.append(Zone(f"UTM zone {zone}{letter}", _less_northing(move, added_m)))
    return found


def other_systems(plan: Plan, easting: float, northing: float) -> Iterable[Zone]:
    """Projected systems of the EPSG register used around the base whose coordinates of the base are about these.

    Easting and northing as they stand in the file. The datum is left out of this first look, hence the wide reach.
    """
    target = _plan_crs(plan)
    if target is None:
        return
    lon, lat = plan.base.lon, plan.base.lat
    box = AreaOfInterest(
        max(lon - REGION_LON_DEG, -180.0), max(lat - REGION_LAT_DEG, -90.0),
        min(lon + REGION_LON_DEG, 180.0), min(lat + REGION_LAT_DEG, 90.0),
    )  # fmt: skip
    for info in query_crs_info("EPSG", "PROJECTED_CRS", area_of_interest=box):
        if info.code == str(plan.crs.epsg):
            continue
        try:
            crs = CRS.from_epsg(int(info.code))
            x, y = Proj(crs)(lon, lat)
        except CRSError:
            continue
        unit_m = crs.axis_info[0].unit_conversion_factor
        near = abs(x - easting) * unit_m < LOOK_M and abs(y - northing) * unit_m < LOOK_M
        move = _move(crs, target) if near else None
        if move is not None:
            yield Zone(f"{info.name} (EPSG:{info.code})", move)


def _plan_crs(plan: Plan) -> CRS | None:
    """The plan's CRS; None where it has no EPSG code and its name is not known."""
    try:
        return CRS.from_epsg(plan.crs.epsg) if plan.crs.epsg else CRS.from_user_input(plan.crs.name)
    except CRSError:
        return None


def _utm(target: CRS, own: str | None, zone: int, half: str) -> CRS:
    """A UTM zone on the plan's datum, else on WGS 84."""
    if own and f"zone {own}" in target.name:
        try:
            return CRS.from_user_input(target.name.replace(f"zone {own}", f"zone {zone}{half}"))
        except CRSError:
            pass
    return CRS.from_epsg((32600 if half == "N" else 32700) + zone)


def _move(crs: CRS, target: CRS) -> Callable[[np.ndarray, np.ndarray], tuple[np.ndarray, np.ndarray]] | None:
    """Eastings and northings of one system into another; what has no place there becomes infinite."""
    try:
        transformer = Transformer.from_crs(crs, target, always_xy=True)
    except ProjError:
        return None
    return lambda x, y: transformer.transform(x, y)


def _less_northing(move: Callable, added_m: float) -> Callable:
    return lambda x, y: move(x, y - added_m)
