"""What is known of the ground: the DEM's header, its grid, and where rays of the layout run on it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np


def locked(array: np.ndarray) -> np.ndarray:
    """A copy that cannot be written to: a frozen record does not protect its arrays. Unit unchanged."""
    copy = np.array(array)
    copy.setflags(write=False)
    return copy


@dataclass(frozen=True, slots=True)
class DemHeader:
    """A DEM before any height is read. `affine` is (a, b, c, d, e, f): x = a*col + b*row + c, y = d*col + e*row + f."""

    shown_path: str
    rows: int
    cols: int
    affine: tuple[float, float, float, float, float, float]
    crs_wkt: str
    crs_name: str
    unit: str  # m, ft or us-ft
    unit_source: str  # where the unit comes from
    unit_is_stated: bool
    vertical_datum: str  # "" where neither the file nor the user names it
    band: int


@dataclass(frozen=True, slots=True)
class Grid:
    """A window of heights in metres. Cell (0, 0) of `heights_m` is cell (row0, col0) of the DEM; NaN: no data."""

    heights_m: np.ndarray
    row0: int
    col0: int


@dataclass(frozen=True, slots=True)
class Rays:
    """Straight ground lines from the base, as cubics in the distance: pixel = origin + c1*s + c2*s^2 + c3*s^3.

    `azimuths_deg` (K,) ascending true azimuths; `cols`, `rows` (K, 3) coefficients; the origin is the base's pixel.
    Pixels are counted from the DEM's outer corner: a cell's centre lies at whole + 0.5.
    """

    azimuths_deg: np.ndarray
    cols: np.ndarray
    rows: np.ndarray
    origin_colrow: tuple[float, float]

    def at(self, index: np.ndarray, distance_m: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Column and row (pixels) at a distance along the rays of these indices; arrays broadcast."""
        cols, rows = self.from_origin(index, distance_m)
        return cols + self.origin_colrow[0], rows + self.origin_colrow[1]

    def from_origin(self, index: np.ndarray, distance_m: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Columns and rows (pixels) from the base at a distance along the rays of these indices; arrays broadcast."""
        return _cubic(self.cols[index], distance_m), _cubic(self.rows[index], distance_m)

    def index_of(self, azimuths_deg: np.ndarray) -> np.ndarray:
        """The index of the ray nearest to each azimuth; every azimuth asked for must be in the table. No unit."""
        turned = np.mod(np.round(azimuths_deg, 9), 360.0)
        index = np.searchsorted(self.azimuths_deg, turned - 1e-7)
        return np.where(index >= self.azimuths_deg.size, 0, index)


def _cubic(c: np.ndarray, s: np.ndarray) -> np.ndarray:
    """c1*s + c2*s^2 + c3*s^3, in place: this runs over every sample of every azimuth."""
    total = c[..., 2] * s
    total += c[..., 1]
    total *= s
    total += c[..., 0]
    total *= s
    return total


@dataclass(frozen=True, slots=True)
class Backdrop:
    """Shaded ground under the map, on a Web Mercator grid, and its contours in longitude and latitude."""

    shade: np.ndarray  # (rows, cols) uint8; 0 where there is no data
    west: float
    south: float
    east: float
    north: float
    contours: tuple[tuple[float, tuple[tuple[float, float], ...]], ...]  # (height_m, ((lon, lat), ...))
    contour_interval_m: float
