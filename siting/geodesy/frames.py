"""The plan's projected CRS: its zone, scale, convergence, and the ground frame around the base."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from pyproj import CRS, Proj

from siting.errors import FrameError
from siting.geodesy.geodesic import mean_radius_m, place
from siting.geodesy.links import Link, hidden_shift_words, link_at, parse_crs

# How far the scale of a conformal projection may differ between north and east. Web Mercator differs by 7e-3;
# a datum on another ellipsoid by some 1e-6; degrees carried over unchanged onto an old ellipsoid by some 5e-5.
CONFORMAL_TOLERANCE, CONFORMAL_TOLERANCE_BALLPARK = 2e-5, 2e-4


def utm_zone(lat_deg: float, lon_deg: float) -> int:
    """UTM zone number of a point, with the Norway and Svalbard exceptions; no unit.

    Source: NGA/DMA TM 8358.1 (zone 32V widened; zones 32X, 34X and 36X unused).
    """
    lon = (lon_deg + 180.0) % 360.0 - 180.0
    if 56.0 <= lat_deg < 64.0 and 3.0 <= lon < 12.0:
        return 32
    if 72.0 <= lat_deg <= 84.0 and 0.0 <= lon < 42.0:
        return 31 if lon < 9.0 else 33 if lon < 21.0 else 35 if lon < 33.0 else 37
    return int((lon + 180.0) // 6.0) + 1


def utm_code(lat_deg: float, lon_deg: float) -> str:
    """EPSG code of the WGS 84 UTM zone of a point.

    Raises:
        FrameError: the point lies outside 80 S to 84 N, where UTM ends.
    """
    if not -80.0 <= lat_deg < 84.0:
        raise FrameError.of(
            "utm_range",
            f"base {lat_deg:.6f}, {lon_deg:.6f}",
            "UTM covers latitudes from 80 S to 84 N only",
            "name a projected system for it under [crs] projected",
        )
    return f"EPSG:{326 if lat_deg >= 0 else 327}{utm_zone(lat_deg, lon_deg):02d}"


@dataclass(frozen=True, slots=True)
class Frame:
    """A projected CRS as it is at the base. Easting and northing in the CRS's own unit (`unit_m` metres)."""

    link: Link
    epsg: int | None
    name: str
    unit: str
    unit_m: float
    easting: float
    northing: float
    convergence_deg: float
    point_scale: float
    elevation_factor: float

    @property
    def combined_factor(self) -> float:
        """Grid length / ground length at the base, no unit."""
        return self.point_scale * self.elevation_factor

    def grid(self, lon: np.ndarray, lat: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Eastings and northings of WGS 84 points, in the CRS's unit."""
        return self.link.forward(lon, lat)

    def ground_xy(self, lon: np.ndarray, lat: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Ground metres from the base along grid east and grid north: the grid with its scale taken out."""
        easting, northing = self.grid(lon, lat)
        metres = self.unit_m / self.combined_factor
        return (easting - self.easting) * metres, (northing - self.northing) * metres

    def lonlat(self, x_m: np.ndarray, y_m: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """WGS 84 longitude and latitude (degrees) of a point in the ground frame."""
        grid = self.combined_factor / self.unit_m
        return self.link.inverse(self.easting + x_m * grid, self.northing + y_m * grid)

    def true_bearing_deg(self, x_m: float, y_m: float) -> float:
        """True azimuth from the base of a point in the ground frame, degrees."""
        return float((np.degrees(np.arctan2(x_m, y_m)) + self.convergence_deg) % 360.0)


def frame_at(lat_deg: float, lon_deg: float, height_m: float, projected: str | None, where: str) -> Frame:
    """The frame of a plan: the base's UTM zone, or the projected CRS that the user names.

    Raises:
        FrameError: not a projected CRS, not conformal, unknown, or out of reach at the base.
    """
    crs = parse_crs(projected or utm_code(lat_deg, lon_deg), where)
    if not crs.is_projected:
        raise FrameError.of(
            "crs_not_projected", where, f"'{projected}' is not a projected system", 'name one, like "EPSG:32632"'
        )
    if any(axis.direction == "west" for axis in crs.axis_info):
        raise FrameError.of(
            "crs_axes", where, f"{crs.name} counts its axes toward the west, which rovers and maps read as east",
            "name the same zone with axes east and north, or a UTM zone",
        )  # fmt: skip
    link = link_at(crs, lat_deg, lon_deg, where)
    x, y = link.forward(np.array([lon_deg]), np.array([lat_deg]))
    convergence_deg, scale = _convergence_and_scale(link, float(x[0]), float(y[0]), where)
    axis = link.crs.axis_info[0]
    radius_m = mean_radius_m(lat_deg)
    return Frame(
        link=link,
        epsg=link.crs.to_epsg(min_confidence=100),
        name=link.crs.name,
        unit=axis.unit_name,
        unit_m=axis.unit_conversion_factor,
        easting=float(x[0]),
        northing=float(y[0]),
        convergence_deg=convergence_deg,
        point_scale=scale,
        elevation_factor=radius_m / (radius_m + height_m),
    )


def require_known_shift(frame: Frame, where: str) -> None:
    """Refuses coordinates that would be given out on another datum without a real transformation to it.

    Raises:
        FrameError: the way from WGS 84 is a ballpark or a null shift between different datums.
    """
    hidden = hidden_shift_words(frame.link)
    if hidden:
        raise FrameError.of(
            "crs_null_shift", where, f"{frame.name}: {hidden}",
            "name a system on WGS 84, or accept the difference with [crs] accept_null_shift = true",
        )  # fmt: skip


def _convergence_and_scale(link: Link, x: float, y: float, where: str) -> tuple[float, float]:
    """Convergence (degrees) and point scale from PROJ's own factors, on the CRS's own datum."""
    projection = Proj(link.crs)
    lon, lat = projection(x, y, inverse=True)
    northward, eastward = _scale_by_steps(link, x, y)
    tolerance = CONFORMAL_TOLERANCE_BALLPARK if link.is_ballpark else CONFORMAL_TOLERANCE
    if abs(northward / eastward - 1.0) > tolerance:
        raise FrameError.of(
            "crs_not_conformal",
            where,
            f"{link.crs.name} stretches lengths by {northward:.6f} north-south but by "
            f"{eastward:.6f} east-west, so it has no point scale to stake by",
            "name a conformal system such as a UTM or state plane zone",
        )
    factors = projection.get_factors(lon, lat)
    return float(factors.meridian_convergence), float(factors.meridional_scale)


def _scale_by_steps(link: Link, x: float, y: float) -> tuple[float, float]:
    """Grid metres per ellipsoid metre northward and eastward, measured over 100 m: catches what a formula hides."""
    lon, lat = (float(v) for v in link.inverse(x, y))
    azimuths = np.array([0.0, 180.0, 90.0, 270.0])
    px, py = link.forward(*place(lat, lon, azimuths, np.full(4, 50.0), 0.0))
    unit_m = link.crs.axis_info[0].unit_conversion_factor
    return (
        float(np.hypot(px[0] - px[1], py[0] - py[1])) * unit_m / 100.0,
        float(np.hypot(px[2] - px[3], py[2] - py[3])) * unit_m / 100.0,
    )


def wkt_crs(wkt: str) -> CRS:
    """A CRS from its WKT, no unit."""
    return CRS.from_wkt(wkt)
