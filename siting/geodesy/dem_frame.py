"""The DEM's own grid around the base: pixels of a point, and what a pixel is on the ground."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from siting.geodesy.frames import wkt_crs
from siting.geodesy.geodesic import place, principal_radii_m
from siting.geodesy.links import Link, link_at
from siting.records.ground import DemHeader, Rays

# The three distances, as parts of the reach, at which a ray is traced exactly; a cubic runs through them.
# Within 500 m of the base the cubic stays within a micrometre of the exact ray (tests/geodesy/test_rays.py).
NODES = np.array([1.0, 2.0, 3.0]) / 3.0


@dataclass(frozen=True, slots=True)
class DemFrame:
    """Links WGS 84 to the DEM's pixels near the base. Pixels are counted from the raster's outer corner."""

    link: Link
    affine: tuple[float, float, float, float, float, float]
    lat: float
    lon: float
    base_x: float  # the base's x on the raster: longitudes of other points are taken within half a turn of it

    def colrow(self, lon: np.ndarray, lat: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Column and row (fractional pixels) of WGS 84 points."""
        x, y = self.link.forward(lon, lat)
        if self.link.crs.is_geographic:
            x = x - 360.0 * np.round((x - self.base_x) / 360.0)
        a, b, c, d, e, f = self.affine
        det = a * e - b * d
        return (e * (x - c) - b * (y - f)) / det, (a * (y - f) - d * (x - c)) / det

    def lonlat(self, col: np.ndarray, row: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """WGS 84 longitude and latitude (degrees) of fractional pixels."""
        a, b, c, d, e, f = self.affine
        x, y = a * col + b * row + c, d * col + e * row + f
        return self.link.inverse(x, y)

    def jacobians(self, col: np.ndarray, row: np.ndarray) -> np.ndarray:
        """Ground metres east and north per pixel: (..., 2, 2), [[dE/dcol, dE/drow], [dN/dcol, dN/drow]].

        By central differences over one pixel through longitude and latitude, and the ellipsoid's radii there.
        """
        half = 0.5
        out = np.empty((*np.shape(col), 2, 2))
        meridian_m, prime_m = principal_radii_m(self.lonlat(col, row)[1])
        cos_lat = np.cos(np.radians(self.lonlat(col, row)[1]))
        for axis, (dc, dr) in enumerate(((half, 0.0), (0.0, half))):
            lon1, lat1 = self.lonlat(col + dc, row + dr)
            lon0, lat0 = self.lonlat(col - dc, row - dr)
            out[..., 0, axis] = np.radians(lon1 - lon0) * prime_m * cos_lat
            out[..., 1, axis] = np.radians(lat1 - lat0) * meridian_m
        return out


def dem_frame_at(header: DemHeader, lat_deg: float, lon_deg: float) -> DemFrame:
    """The DEM's frame at the base.

    Raises:
        FrameError: the DEM's CRS cannot be reached from WGS 84.
    """
    link = link_at(wkt_crs(header.crs_wkt), lat_deg, lon_deg, header.shown_path)
    base_x = float(link.forward(np.array(lon_deg), np.array(lat_deg))[0])
    plain = DemFrame(link, header.affine, lat_deg, lon_deg, base_x)
    if link.crs.is_geographic:
        for turn in (0.0, 360.0, -360.0):
            turned = DemFrame(link, header.affine, lat_deg, lon_deg, base_x + turn)
            col, row = turned.colrow(np.array(lon_deg), np.array(lat_deg))
            if 0 <= col <= header.cols and 0 <= row <= header.rows:
                return turned
    return plain


@dataclass(frozen=True, slots=True)
class GroundScale:
    """The Jacobians around the base as a smooth function of the pixel, exact at 3 x 3 nodes."""

    col0: float
    row0: float
    span_px: float
    nodes: np.ndarray  # (3, 3, 2, 2): row node, column node, Jacobian

    def at(self, col: np.ndarray, row: np.ndarray) -> np.ndarray:
        """Jacobians (..., 2, 2) at fractional pixels, ground metres per pixel."""
        u = (np.asarray(col, float) - self.col0) / self.span_px
        v = (np.asarray(row, float) - self.row0) / self.span_px
        along = np.stack([0.5 * u * (u - 1), 1 - u * u, 0.5 * u * (u + 1)], axis=-1)
        across = np.stack([0.5 * v * (v - 1), 1 - v * v, 0.5 * v * (v + 1)], axis=-1)
        by_col = (across @ self.nodes.reshape(3, 12)).reshape(*across.shape[:-1], 3, 4)
        return (along[..., None, :] @ by_col).reshape(*across.shape[:-1], 2, 2)


def ground_scale(frame: DemFrame, reach_m: float) -> GroundScale:
    """The Jacobians over the reach of the layout; a quadratic through 3 x 3 exact nodes.

    Over 200 m the quadratic is within 1e-9 of the exact Jacobian on the projections in use.
    """
    col0, row0 = (float(v) for v in frame.colrow(np.array(frame.lon), np.array(frame.lat)))
    at_base = frame.jacobians(np.array(col0), np.array(row0))
    span_px = max(reach_m / float(np.min(np.hypot(at_base[0], at_base[1]))), 2.0)
    steps = np.array([-1.0, 0.0, 1.0]) * span_px
    cols, rows = np.meshgrid(col0 + steps, row0 + steps)
    return GroundScale(col0, row0, span_px, frame.jacobians(cols, rows))


def cell_size_m(scale: GroundScale) -> tuple[float, float]:
    """Ground length of a cell at the base along a row and along a column, metres."""
    jacobian = scale.at(np.array(scale.col0), np.array(scale.row0))
    along_row, along_col = np.hypot(jacobian[0], jacobian[1])
    return float(along_row), float(along_col)


def trace_rays(frame: DemFrame, azimuths_true_deg: np.ndarray, reach_m: float, height_m: float) -> Rays:
    """Ground lines from the base in the DEM's pixels, each azimuth once (CONTRACT: placed like stakes).

    Args:
        azimuths_true_deg: any shape; duplicates and turns are folded.
        reach_m: the farthest distance that will be asked for.
        height_m: the base's height.
    """
    unique = np.unique(np.mod(np.round(np.asarray(azimuths_true_deg, float).ravel(), 9), 360.0))
    s = reach_m * NODES
    lon, lat = place(frame.lat, frame.lon, unique[:, None], s[None, :], height_m)
    col0, row0 = (float(v) for v in frame.colrow(np.array(frame.lon), np.array(frame.lat)))
    col, row = frame.colrow(lon, lat)
    powers = s[:, None] ** np.arange(1, 4)[None, :]
    inverse = np.linalg.inv(powers)
    return Rays(unique, (col - col0) @ inverse.T, (row - row0) @ inverse.T, (col0, row0))
