"""Shaded ground and contours under the map, on a Web Mercator grid so that the map need not bend it."""

from __future__ import annotations

import math

import numpy as np

from siting.records.ground import Backdrop, locked
from siting.terrain.surface import Surface

SIDE_PX = 400
# Light from the north-west at 45 degrees, the map maker's habit; common practice, no source.
LIGHT_AZIMUTH_DEG, LIGHT_HEIGHT_DEG = 315.0, 45.0
CONTOUR_STEPS_M = (0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)
CONTOURS_WANTED = 14


def backdrop(surface: Surface, radius_m: float) -> Backdrop | None:
    """The ground within a square of half side `radius_m` around the base; None where there is none to show."""
    lat0, lon0 = surface.frame.lat, surface.frame.lon
    half_lat = math.degrees(radius_m / 6_371_000.0)
    half_lon = half_lat / math.cos(math.radians(lat0))
    south, north = lat0 - half_lat, lat0 + half_lat
    west, east = lon0 - half_lon, lon0 + half_lon
    lons = np.linspace(west, east, 2 * SIDE_PX + 1)[1::2]
    mercator = np.linspace(_mercator(north), _mercator(south), 2 * SIDE_PX + 1)[1::2]
    lats = np.degrees(2.0 * np.arctan(np.exp(mercator)) - np.pi / 2.0)
    col, row = _pixels(surface, lons, lats)
    heights = surface.heights_m(col, row)
    if not np.isfinite(heights).any():
        return None
    step_m = 2.0 * radius_m / SIDE_PX
    shade = _shade(heights, step_m)
    interval_m = _interval_m(heights)
    contours = _contours(lons, lats, heights, interval_m)
    return Backdrop(locked(shade), west, south, east, north, contours, interval_m)


def _mercator(lat_deg: float) -> float:
    return math.log(math.tan(math.pi / 4.0 + math.radians(lat_deg) / 2.0))


def _pixels(surface: Surface, lons: np.ndarray, lats: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """DEM pixels of a grid of points: a cubic surface through 5 x 5 exact nodes, well under a hundredth of a cell."""
    nodes = np.linspace(-1.0, 1.0, 5)
    u, v = _unit(lons), _unit(lats)
    lon_nodes = np.interp(nodes, [-1, 1], [lons[0], lons[-1]])
    lat_nodes = np.interp(nodes, [-1, 1], [lats[0], lats[-1]])
    lon, lat = np.meshgrid(lon_nodes, lat_nodes)
    col, row = surface.frame.colrow(lon, lat)
    inverse = np.linalg.inv(np.vander(nodes, 5))
    across, down = np.vander(u, 5) @ inverse, np.vander(v, 5) @ inverse
    return down @ col @ across.T, down @ row @ across.T


def _unit(values: np.ndarray) -> np.ndarray:
    return 2.0 * (values - values[0]) / (values[-1] - values[0]) - 1.0


def _shade(heights_m: np.ndarray, step_m: float) -> np.ndarray:
    """Lambert shading, uint8 from 1 to 255; 0 where there is no ground."""
    down, right = np.gradient(heights_m, step_m)
    light = math.radians(LIGHT_AZIMUTH_DEG)
    up = math.sin(math.radians(LIGHT_HEIGHT_DEG))
    flat = math.cos(math.radians(LIGHT_HEIGHT_DEG))
    # The surface's normal is (-dz/de, -dz/dn, 1); rows run south, so dz/dn = -down.
    toward = (-right * math.sin(light) + down * math.cos(light)) * flat + up
    lit = toward / np.sqrt(1.0 + right**2 + down**2)
    known = np.isfinite(lit)
    shade = np.zeros(heights_m.shape, np.uint8)
    shade[known] = np.clip(1 + 254 * np.maximum(lit[known], 0.0), 1, 255).astype(np.uint8)
    return shade


def _interval_m(heights_m: np.ndarray) -> float:
    relief_m = float(np.nanmax(heights_m) - np.nanmin(heights_m))
    return next((s for s in CONTOUR_STEPS_M if relief_m / s <= CONTOURS_WANTED), CONTOUR_STEPS_M[-1])


def _contours(
    lons: np.ndarray, lats: np.ndarray, heights_m: np.ndarray, interval_m: float
) -> tuple[tuple[float, tuple[tuple[float, float], ...]], ...]:
    """Contour lines (height, ((lon, lat), ...)) at every whole interval inside the data."""
    import contourpy
    import shapely

    masked = np.ma.masked_invalid(heights_m)
    first = math.ceil(float(masked.min()) / interval_m)
    last = math.floor(float(masked.max()) / interval_m)
    tracer = contourpy.contour_generator(lons, lats, masked, line_type=contourpy.LineType.Separate)
    tolerance_deg = abs(lats[1] - lats[0]) * 0.4
    lines = []
    for level in range(first, last + 1):
        for line in tracer.lines(level * interval_m):
            simple = shapely.get_coordinates(shapely.simplify(shapely.linestrings(line), tolerance_deg))
            if len(simple) > 2:
                lines.append((level * interval_m, tuple((round(x, 7), round(y, 7)) for x, y in simple.tolist())))
    return tuple(lines)
