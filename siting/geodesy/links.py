"""How WGS 84 is turned into another coordinate system at a place: one named operation for a whole plan."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from pyproj import CRS, Proj, Transformer
from pyproj.aoi import AreaOfInterest
from pyproj.exceptions import CRSError, ProjError

from siting.errors import FrameError

WGS84_LONLAT = CRS("OGC:CRS84")


@dataclass(frozen=True, slots=True)
class Link:
    """WGS 84 longitude and latitude to a CRS's own x and y (east-like first) and back, near one place."""

    transformer: Transformer
    crs: CRS
    lon_at_deg: float
    operation: str  # as PROJ names it
    accuracy_m: float | None  # None: PROJ states none
    is_ballpark: bool
    is_null_shift: bool  # another datum, but the operation moves nothing: metres may hide in it
    datum: str

    @property
    def text(self) -> str:
        """The operation and its stated accuracy, no unit."""
        stated = "accuracy not stated" if self.accuracy_m is None else f"stated accuracy {self.accuracy_m:g} m"
        return f"{self.operation} ({stated})"

    def forward(self, lon: np.ndarray, lat: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """x and y in the CRS's own units."""
        x, y = self.transformer.transform(lon, lat)
        return np.asarray(x), np.asarray(y)

    def inverse(self, x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Longitude (within half a turn of the place) and latitude, WGS 84 degrees."""
        lon, lat = self.transformer.transform(x, y, direction="INVERSE")
        lon = np.asarray(lon)
        return lon + 360.0 * np.round((self.lon_at_deg - lon) / 360.0), np.asarray(lat)


def horizontal(crs: CRS) -> CRS:
    """The horizontal part of a CRS, no unit."""
    if crs.is_compound:
        return horizontal(crs.sub_crs_list[0])
    if crs.is_bound and crs.source_crs is not None:
        return crs  # keep the datum shift that the file brings along
    return crs.to_2d() if len(crs.axis_info) == 3 else crs


def own_lonlat(crs: CRS, x: float, y: float, where: str) -> tuple[float, float]:
    """Longitude and latitude (degrees) of a place on the CRS's own datum: near enough to look its link up by.

    Raises:
        FrameError: the place lies outside what the CRS can express.
    """
    crs = horizontal(crs)
    lon, lat = (x, y) if crs.is_geographic else Proj(crs)(x, y, inverse=True)
    if not (np.isfinite(lon) and np.isfinite(lat)):
        raise FrameError.of(
            "crs_unreachable", where, f"the place {x:.1f}, {y:.1f} has no longitude and latitude in {crs.name}",
            "check the file's coordinate system",
        )  # fmt: skip
    return (float(lon) + 180.0) % 360.0 - 180.0, float(lat)


def link_at(crs: CRS, lat_deg: float, lon_deg: float, where: str) -> Link:
    """The link from WGS 84 to a CRS that PROJ holds best at this place.

    Raises:
        FrameError: PROJ knows no way, or the place lies outside what the CRS can express.
    """
    crs = horizontal(crs)
    box = AreaOfInterest(
        max(lon_deg - 0.1, -180.0), max(lat_deg - 0.1, -90.0), min(lon_deg + 0.1, 180.0), min(lat_deg + 0.1, 90.0)
    )
    try:
        transformer = Transformer.from_crs(WGS84_LONLAT, crs, always_xy=True, area_of_interest=box)
        x, y = transformer.transform(lon_deg, lat_deg, errcheck=True)
    except (CRSError, ProjError) as fault:
        raise FrameError.of(
            "crs_unreachable",
            where,
            f"the point {lat_deg:.6f}, {lon_deg:.6f} cannot be brought into {crs.name} ({fault})",
            "check the point and the coordinate system",
        ) from None
    if not (np.isfinite(x) and np.isfinite(y)):
        raise FrameError.of(
            "crs_unreachable",
            where,
            f"the point {lat_deg:.6f}, {lon_deg:.6f} has no coordinates in {crs.name}",
            "check the point and the coordinate system",
        )
    used = _last_used(transformer, lon_deg, lat_deg, x, y)
    accuracy = used.accuracy if used.accuracy is not None and used.accuracy >= 0 else None
    is_ballpark = "ballpark" in used.description.lower()
    datum = crs.geodetic_crs.datum.name if crs.geodetic_crs and crs.geodetic_crs.datum else "unknown"
    # Names of one datum vary between files, so PROJ's own word is taken: 0 m where the two are the same.
    is_null = accuracy != 0 and _moves_nothing(crs, lon_deg, lat_deg, x, y)
    return Link(used, crs, lon_deg, _plain(used.description), accuracy, is_ballpark, is_null, datum)


def _moves_nothing(crs: CRS, lon: float, lat: float, x: float, y: float) -> bool:
    """True where the point's longitude and latitude on the CRS's own datum are the WGS 84 ones, digit for digit."""
    own_lon, own_lat = (x, y) if crs.is_geographic else Proj(crs)(x, y, inverse=True)
    return abs((own_lon - lon + 180.0) % 360.0 - 180.0) < 1e-9 and abs(own_lat - lat) < 1e-9


def _plain(description: str) -> str:
    """The operation without its steps that change no place: axis order, and WGS 84 to itself."""
    steps = [s for s in description.split(" + ") if s not in ("axis order change (2D)", "OGC:CRS84 to WGS 84")]
    return " + ".join(steps) or "no change"


def _last_used(transformer: Transformer, lon: float, lat: float, x: float, y: float) -> Transformer:
    """The single operation behind a choice of several, if it gives the same point."""
    try:
        used = transformer.get_last_used_operation()
        same = used.transform(lon, lat)
    except ProjError:
        return transformer
    return used if abs(same[0] - x) < 1e-9 and abs(same[1] - y) < 1e-9 else transformer


def hidden_shift_words(link: Link) -> str:
    """What is hidden where two datums are taken as one, in plain words; empty where nothing is."""
    if link.is_ballpark:
        return (
            f"no known transformation between WGS 84 and its datum ({link.datum}); a ballpark one was used, which may be "
            "off by metres to hundreds of metres"
        )
    if link.is_null_shift:
        size = "an unknown distance" if link.accuracy_m is None else f"about {link.accuracy_m:g} m"
        return f"WGS 84 and its datum ({link.datum}) differ, but are taken as one here: it may be off by {size}"
    return ""


def parse_crs(text: object, where: str) -> CRS:
    """A CRS from its code, name or WKT.

    Raises:
        FrameError: PROJ does not know it.
    """
    try:
        return CRS.from_user_input(text)
    except CRSError:
        raise FrameError.of(
            "crs_unknown", where, f"'{text}' is not a coordinate system that PROJ knows", 'write it like "EPSG:32632"'
        ) from None
