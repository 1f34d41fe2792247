"""The ground as the contract reads it: heights, cells and Horn slopes of a DEM, one point at a time.

Written from the contract's words alone; shares nothing with the package. Speed does not matter here.
"""

import math

import numpy as np
import pyproj
import rasterio

# WGS 84, defining constants (NGA.STND.0036).
SEMI_MAJOR_M = 6378137.0
FLATTENING = 1.0 / 298.257223563
ECC2 = FLATTENING * (2.0 - FLATTENING)

METRES_IN = {
    "m": 1.0, "metre": 1.0, "meter": 1.0, "metres": 1.0, "meters": 1.0,
    "ft": 0.3048, "foot": 0.3048, "feet": 0.3048, "international foot": 0.3048,
    "us-ft": 1200.0 / 3937.0, "us_ft": 1200.0 / 3937.0, "ftus": 1200.0 / 3937.0,
    "us survey foot": 1200.0 / 3937.0, "us survey feet": 1200.0 / 3937.0, "foot_us": 1200.0 / 3937.0,
}  # fmt: skip

DIFF_STEP_M = 10.0  # central difference of the projection; its error is (10 m / earth radius) squared


class NoHeight(LookupError):
    """A point that has no height or no slope; the message names it in degrees."""


def meridian_radius_m(lat_deg):
    """Radius of curvature along the meridian, M, metres."""
    return SEMI_MAJOR_M * (1.0 - ECC2) / (1.0 - ECC2 * math.sin(math.radians(lat_deg)) ** 2) ** 1.5


def prime_vertical_radius_m(lat_deg):
    """Radius of curvature square to the meridian, N, metres."""
    return SEMI_MAJOR_M / math.sqrt(1.0 - ECC2 * math.sin(math.radians(lat_deg)) ** 2)


def radius_in_azimuth_m(lat_deg, azimuth_deg):
    """Radius of curvature in an azimuth, metres: Euler's 1/R = cos^2/M + sin^2/N."""
    c, s = math.cos(math.radians(azimuth_deg)), math.sin(math.radians(azimuth_deg))
    return 1.0 / (c * c / meridian_radius_m(lat_deg) + s * s / prime_vertical_radius_m(lat_deg))


def metres_per_unit(dem, vertical_unit):
    """Metres in one unit of the band: the caller's word, else the band's unit, else the CRS's up axis, else 1."""
    # OPEN: the contract does not order "what the file says"; the band's own unit is the nearest to the
    # heights, so it is asked first. A file that says nothing is in metres, also where its map is in feet.
    if vertical_unit:
        return METRES_IN[vertical_unit.strip().lower()]
    if dem.units[0]:
        return METRES_IN[dem.units[0].strip().lower()]
    for axis in pyproj.CRS.from_wkt(dem.crs.to_wkt()).axis_info:
        if axis.direction.lower() == "up":
            return axis.unit_conversion_factor
    return 1.0


class Ground:
    """A whole DEM in memory; heights in metres, NaN where the file has no data."""

    def __init__(self, dem_path, vertical_unit=None):
        with rasterio.open(dem_path) as dem:
            if dem.count != 1 or dem.crs is None:
                raise ValueError("a DEM holds one band of heights and a CRS")
            band = dem.read(1, masked=True).astype("float64").filled(np.nan)
            # OPEN: the contract is silent on a band's scale and offset; a file that carries them means them.
            band = band * dem.scales[0] + dem.offsets[0]
            band[~np.isfinite(band)] = np.nan
            self.heights_m = band * metres_per_unit(dem, vertical_unit)
            self.rows, self.cols = band.shape
            self.affine, self.to_cell = dem.transform, ~dem.transform
            crs = pyproj.CRS.from_wkt(dem.crs.to_wkt())
        self.turn_cols = abs(360.0 / self.affine.a) if crs.is_geographic and self.affine.a else 0.0
        self.from_lonlat = pyproj.Transformer.from_crs("EPSG:4326", crs, always_xy=True)
        self.to_lonlat = pyproj.Transformer.from_crs(crs, "EPSG:4326", always_xy=True)

    def colrows(self, lons, lats):
        """List of (column, row) as fractions, 0 at the outer edge of the first cell."""
        xs, ys = self.from_lonlat.transform(np.asarray(lons, float), np.asarray(lats, float))
        out = []
        for x, y in zip(xs, ys, strict=True):
            col, row = self.to_cell * (float(x), float(y))
            if self.turn_cols and not 0.0 <= col < self.cols:  # a DEM in degrees may lie across 180 or count to 360
                for other in (col - self.turn_cols, col + self.turn_cols):
                    if 0.0 <= other < self.cols:
                        col = other
            out.append((col, row))
        return out

    def cell(self, row, col):
        """Height of one cell, metres; NaN outside the DEM."""
        return float(self.heights_m[row, col]) if 0 <= row < self.rows and 0 <= col < self.cols else math.nan

    def height_m(self, col, row):
        """Bilinear height between the cell centres about a point; NaN where one of them has none."""
        if not (math.isfinite(col) and math.isfinite(row)):
            return math.nan
        x, y = col - 0.5, row - 0.5  # counted from cell centre to cell centre
        left, top = math.floor(round(x, 6)), math.floor(round(y, 6))
        right_part, low_part = x - left, y - top
        # OPEN: a point exactly on a centre (or on the line of two) has only that centre (or those two) as
        # neighbours: a cell that would count with weight nought is not one.
        in_x = [(left, 1.0)] if round(right_part, 6) == 0.0 else [(left, 1.0 - right_part), (left + 1, right_part)]
        in_y = [(top, 1.0)] if round(low_part, 6) == 0.0 else [(top, 1.0 - low_part), (top + 1, low_part)]
        return sum(wy * wx * self.cell(r, c) for r, wy in in_y for c, wx in in_x)

    def cell_per_metre(self, col_index, row_index):
        """((dcol/dE, dcol/dN), (drow/dE, drow/dN)) at a cell's centre, in cells a ground metre, true north up."""
        # OPEN: "the ellipsoid's radii", read to the letter: M and N without the height. With R + h instead a
        # slope would be smaller by h/R (a part in 10 000 at 640 m).
        x, y = self.affine * (col_index + 0.5, row_index + 0.5)
        lon, lat = self.to_lonlat.transform(x, y)
        dlat = math.degrees(DIFF_STEP_M / meridian_radius_m(lat))
        dlon = math.degrees(DIFF_STEP_M / (prime_vertical_radius_m(lat) * math.cos(math.radians(lat))))
        east, west, north, south = self.colrows([lon + dlon, lon - dlon, lon, lon], [lat, lat, lat + dlat, lat - dlat])
        return tuple(
            ((east[k] - west[k]) / (2 * DIFF_STEP_M), (north[k] - south[k]) / (2 * DIFF_STEP_M)) for k in (0, 1)
        )

    def gradient(self, col, row):
        """(dz/dE, dz/dN) of the cell that holds a point, by Horn's operator; NaN where the nine are not all there."""
        if not (math.isfinite(col) and math.isfinite(row)):
            return math.nan, math.nan
        j, i = math.floor(round(col, 6)), math.floor(round(row, 6))
        z = [[self.cell(i + di, j + dj) for dj in (-1, 0, 1)] for di in (-1, 0, 1)]
        if any(math.isnan(v) for line in z for v in line):
            return math.nan, math.nan
        per_col = (z[0][2] + 2 * z[1][2] + z[2][2] - z[0][0] - 2 * z[1][0] - z[2][0]) / 8.0
        per_row = (z[2][0] + 2 * z[2][1] + z[2][2] - z[0][0] - 2 * z[0][1] - z[0][2]) / 8.0
        (col_e, col_n), (row_e, row_n) = self.cell_per_metre(j, i)
        return per_col * col_e + per_row * row_e, per_col * col_n + per_row * row_n

    def slope_percent(self, col, row):
        """Slope of the ground at a point, percent, never negative."""
        return 100.0 * math.hypot(*self.gradient(col, row))

    def uphill_deg(self, col, row):
        """Azimuth of the steepest rise at a point, degrees from true north in [0, 360)."""
        east, north = self.gradient(col, row)
        return math.degrees(math.atan2(east, north)) % 360.0

    def half_cell_m(self, col, row):
        """Half the ground length of the shorter side of the cell that holds a point, metres."""
        # OPEN: "half a cell" of a cell that is not square: the shorter side, so that the step is no longer
        # than half a cell whichever way one walks. Measured at the base's cell.
        (col_e, col_n), (row_e, row_n) = self.cell_per_metre(math.floor(round(col, 6)), math.floor(round(row, 6)))
        det = col_e * row_n - col_n * row_e
        along_col = math.hypot(row_n / det, row_e / det)  # ground metres of one column: first column of the inverse
        along_row = math.hypot(col_n / det, col_e / det)
        return min(along_col, along_row) / 2.0
