"""Reads a base point from what a person types: degrees, DMS, UTM, MGRS, or easting and northing with a CRS."""

from __future__ import annotations

import re

from pyproj import CRS, Transformer
from pyproj.exceptions import CRSError, ProjError

from siting.errors import InputError
from siting.records.site import BasePoint

FORMS = (
    "write latitude then longitude: 46.51230, 7.45670 or 46°30'44.3\"N 7°27'24.1\"E, "
    "or UTM: 32T 381604 5152306, or MGRS: 32TLS8160452306"
)
_NUMBER = r"[+-]?\d+(?:\.\d+)?"
_DECIMAL = re.compile(rf"\s*({_NUMBER})\s*°?\s*[,; ]\s*({_NUMBER})\s*°?\s*$")
_PART = r"""\s*([+-]?)(\d{1,3})\s*[°d:\s]\s*(\d{1,2})(?:\s*['′m:\s]\s*(\d{1,2}(?:\.\d+)?)\s*(?:"|″|''|s)?|(\.\d+)?\s*['′m]?)\s*"""
_DMS = re.compile(rf"{_PART}([NSns])?\s*[,; ]\s*{_PART}([EWOewo])?\s*$")
_LETTERED = re.compile(r"\s*(\d+(?:\.\d+)?)\s*°?\s*([NS])\s*[,; ]\s*(\d+(?:\.\d+)?)\s*°?\s*([EW])\s*$", re.I)
_UTM = re.compile(r"\s*(\d{1,2})\s*([A-Za-z])\s+(\d{5,7}(?:\.\d+)?)\s*m?E?\s*[,; ]\s*(\d{1,8}(?:\.\d+)?)\s*m?N?\s*$")
_MGRS = re.compile(r"\s*\d{1,2}\s*[C-HJ-NP-Xc-hj-np-x]\s*[A-HJ-NP-Za-hj-np-z]\s*[A-HJ-NP-Va-hj-np-v]\s*(\d{4,5})\s*(\d{4,5})\s*$")


def base_from_degrees(lat: float, lon: float, where: str) -> BasePoint:
    """A base from WGS 84 degrees.

    Raises:
        InputError: out of range.
    """
    if not -90.0 <= lat <= 90.0:
        swapped = "; latitude and longitude look swapped" if abs(lon) <= 90.0 and abs(lat) <= 180.0 else ""
        raise InputError.of(
            "base_range", where, f"latitude {lat:g} lies outside -90 to 90{swapped}", "give latitude first, in degrees"
        )
    if not -180.0 <= lon <= 180.0:
        raise InputError.of("base_range", where, f"longitude {lon:g} lies outside -180 to 180", "give it in degrees")
    return BasePoint(float(lat), float(lon), f"{lat:.7f}, {lon:.7f}")


def base_from_grid(easting: float, northing: float, crs: str, where: str) -> BasePoint:
    """A base from easting and northing in a projected CRS.

    Raises:
        InputError: unknown CRS, or a point outside the area that the CRS is made for.
    """
    try:
        known = CRS.from_user_input(crs)
    except CRSError:
        raise InputError.of(
            "crs_unknown", where, f"'{crs}' is not a coordinate system that PROJ knows", 'write it like "EPSG:32632"'
        ) from None
    if not known.is_projected:
        raise InputError.of(
            "crs_not_projected", where, f"'{crs}' has no eastings and northings", "name a projected system, or give lat and lon"
        )
    try:
        lon, lat = Transformer.from_crs(known, "OGC:CRS84", always_xy=True).transform(easting, northing, errcheck=True)
    except ProjError:
        lon = lat = float("inf")
    area = known.area_of_use
    given = f"{easting:.3f} E, {northing:.3f} N ({known.name})"
    if abs(lat) > 90.0 or abs(lon) > 180.0 or (area and not _inside(area, lat, lon)):
        swap = " (easting and northing may be swapped)" if easting > northing else ""
        raise InputError.of(
            "base_range", where, f"{given} lies far outside the area that the system is made for{swap}",
            "check easting, northing and crs",
        )  # fmt: skip
    return BasePoint(float(lat), float(lon), given)


def _inside(area, lat: float, lon: float) -> bool:
    """Inside the CRS's area of use with a margin of five degrees: a neighbouring zone is still used in practice."""
    margin = 5.0
    west, east = area.west - margin, area.east + margin
    if area.west > area.east:
        east += 360.0
    return area.south - margin <= lat <= area.north + margin and any(
        west <= lon + turn <= east for turn in (-360.0, 0.0, 360.0)
    )


def base_from_text(text: str, where: str) -> BasePoint:
    """A base from free text.

    Raises:
        InputError: none of the known forms, or a value out of range.
    """
    # "N 46.5 E 7.4": the letters may stand before the angles.
    led = re.match(r"\s*([NSns])\s*(.+?)[,;\s]+([EWew])\s*(.+)$", text)
    plain = f"{led[2]}{led[1]} {led[4]}{led[3]}" if led else text
    point = _try_degrees(plain, where) or _try_utm(plain, where) or _try_mgrs(plain, where)
    if point is None:
        raise InputError.of("base_text", where, f"'{text}' is not a point that siting can read", FORMS)
    return BasePoint(point.lat, point.lon, " ".join(text.split()))


def _try_degrees(text: str, where: str) -> BasePoint | None:
    found = _DECIMAL.match(text)
    if found:
        return base_from_degrees(float(found[1]), float(found[2]), where)
    found = _LETTERED.match(text)
    if found:
        lat = float(found[1]) * (-1 if found[2].upper() == "S" else 1)
        lon = float(found[3]) * (-1 if found[4].upper() == "W" else 1)
        return base_from_degrees(lat, lon, where)
    found = _DMS.match(text)
    if found:
        lat = _dms(found.group(1, 2, 3, 4, 5), found[6], "S", text, where)
        lon = _dms(found.group(7, 8, 9, 10, 11), found[12], "W", text, where)
        return base_from_degrees(lat, lon, where)
    return None


def _dms(parts: tuple, letter: str | None, negative: str, text: str, where: str) -> float:
    """Degrees from sign, degrees, minutes, seconds or decimal minutes, and a hemisphere letter."""
    sign, degrees, minutes, seconds, tenths = parts
    whole_minutes = float(minutes) + float(tenths or 0)
    if whole_minutes >= 60 or float(seconds or 0) >= 60:
        raise InputError.of("base_text", where, f"'{text}' has 60 or more minutes or seconds", FORMS)
    if sign and letter:
        raise InputError.of("base_text", where, f"'{text}' has a sign and a letter for one angle", "keep one of them")
    value = float(degrees) + whole_minutes / 60 + float(seconds or 0) / 3600
    return -value if sign == "-" or (letter or "").upper() == negative else value


def _try_utm(text: str, where: str) -> BasePoint | None:
    found = _UTM.match(text)
    if not found:
        return None
    zone, letter = int(found[1]), found[2].upper()
    if not 1 <= zone <= 60 or letter not in "CDEFGHJKLMNPQRSTUVWX":
        raise InputError.of("base_text", where, f"'{found[1]}{letter}' is not a UTM zone and band", FORMS)
    easting, northing = float(found[3]), float(found[4])
    code = f"EPSG:{326 if letter >= 'N' else 327}{zone:02d}"
    point = base_from_grid(easting, northing, code, where)
    south = -80 + 8 * "CDEFGHJKLMNPQRSTUVWX".index(letter)
    north = 84 if letter == "X" else south + 8
    if not south - 0.1 <= point.lat <= north + 0.1:
        raise InputError.of(
            "base_text", where,
            f"'{text}': a northing of {northing:.0f} m lies at latitude {point.lat:.2f}, outside band {letter} "
            f"({south} to {north})",
            "give the band letter (C to X), not N or S for the hemisphere; or use easting, northing and crs",
        )  # fmt: skip
    return point


def _try_mgrs(text: str, where: str) -> BasePoint | None:
    found = _MGRS.match(text)
    if not found or len(found[1]) != len(found[2]):
        return None
    import mgrs

    try:
        # The string names a square; the library gives its middle, which is the fair point.
        zone, north, easting, northing = mgrs.MGRS().MGRSToUTM(re.sub(r"\s+", "", text).upper())
    except (mgrs.core.MGRSError, ValueError):
        raise InputError.of("base_text", where, f"'{text}' is not an MGRS reference", FORMS) from None
    code = f"EPSG:{326 if north == 'N' else 327}{zone:02d}"
    return base_from_grid(easting, northing, code, where)
