"""The classes of a search as a picture that a web map can lay over the ground: PNG in Web Mercator, clear outside the area."""

from __future__ import annotations

import io
import math
from dataclasses import dataclass

import numpy as np

from siting.records.search import SearchGrid
from siting.writers.search.classes import CLASSES, OUTSIDE, WITHIN_LAND
from siting.writers.search.overview import MOST_POINTS, Overview

FEWEST_POINTS = 400
EDGE_POINTS = 21
SPHERE_M = 6378137.0  # radius of Web Mercator's sphere


@dataclass(frozen=True, slots=True)
class ClassPicture:
    """The PNG, and south-west and north-east (latitude first, degrees) of it all and of what the land leaves."""

    png: bytes
    bounds: list[list[float]]
    near: list[list[float]]


def class_picture(grid: SearchGrid, overview: Overview) -> ClassPicture:
    """The picture of the whole search, no unit."""
    import rasterio
    from affine import Affine
    from rasterio.warp import Resampling, reproject

    classes = overview.classes()
    rows, cols = classes.shape
    place = Affine(*grid.affine) * Affine.scale(overview.step)
    lon_0, mercator = _mercator(grid, place, rows, cols)
    west, south, east, north = _mercator_bounds(grid, mercator, place, rows, cols)
    points = min(MOST_POINTS, max(FEWEST_POINTS, 2 * max(rows, cols)))
    size_m = max(east - west, north - south) / points
    shape = (max(1, round((north - south) / size_m)), max(1, round((east - west) / size_m)))
    step_x, step_y = (east - west) / shape[1], (north - south) / shape[0]
    drawn = np.zeros(shape, dtype=np.uint8)
    with rasterio.Env():
        reproject(
            classes, drawn, src_transform=place, src_crs=grid.crs_wkt, src_nodata=OUTSIDE,
            dst_transform=Affine(step_x, 0.0, west, 0.0, -step_y, north), dst_crs=mercator, dst_nodata=OUTSIDE, resampling=Resampling.nearest,
        )  # fmt: skip
    bounds = _degrees(lon_0, (west, south, east, north))
    is_left = np.isin(np.arange(256), WITHIN_LAND)[drawn]
    rows_left, cols_left = np.flatnonzero(is_left.any(axis=1)), np.flatnonzero(is_left.any(axis=0))
    if not rows_left.size:
        return ClassPicture(_png(drawn), bounds, bounds)
    left, right = west + cols_left.min() * step_x, west + (cols_left.max() + 1) * step_x
    top, bottom = north - rows_left.min() * step_y, north - (rows_left.max() + 1) * step_y
    return ClassPicture(_png(drawn), bounds, _degrees(lon_0, (left, bottom, right, top)))


def _mercator(grid: SearchGrid, place, rows: int, cols: int) -> tuple[float, str]:
    """Web Mercator with its middle meridian (degrees) through the grid's middle, so that no grid is torn at 180 degrees."""
    from rasterio.warp import transform

    x, y = place * (cols / 2, rows / 2)
    lon_0 = round(transform(grid.crs_wkt, "EPSG:4326", [x], [y])[0][0], 6)
    return lon_0, f"+proj=webmerc +lon_0={lon_0} +datum=WGS84 +units=m +no_defs"


def _mercator_bounds(grid: SearchGrid, mercator: str, place, rows: int, cols: int) -> tuple[float, float, float, float]:
    """West, south, east, north of the grid in Web Mercator, metres of its own."""
    from rasterio.warp import transform

    along, down = np.linspace(0.0, cols, EDGE_POINTS), np.linspace(0.0, rows, EDGE_POINTS)
    edges = [(c, r) for c in along for r in (0.0, rows)] + [(c, r) for r in down for c in (0.0, cols)]
    xs, ys = zip(*(place * edge for edge in edges))
    x, y = transform(grid.crs_wkt, mercator, xs, ys)
    return min(x), min(y), max(x), max(y)


def _degrees(lon_0: float, bounds: tuple[float, float, float, float]) -> list[list[float]]:
    """South-west and north-east, latitude first; longitudes may go beyond 180 degrees.

    Source: the inverse of Web Mercator, Snyder, USGS Professional Paper 1395 (1987), eq. 7-4 and 7-5 on a sphere.
    """
    west, south, east, north = (v / SPHERE_M for v in bounds)
    corners = ((west, south), (east, north))
    return [[round(math.degrees(math.atan(math.sinh(y))), 8), round(lon_0 + math.degrees(x), 8)] for x, y in corners]


def _png(classes: np.ndarray) -> bytes:
    """An indexed PNG in the classes' colours, no unit."""
    from PIL import Image

    image = Image.frombytes("P", classes.shape[::-1], classes.tobytes())
    palette = [255, 255, 255] * (1 + max(c.value for c in CLASSES))
    for one in CLASSES:
        palette[3 * one.value : 3 * one.value + 3] = one.colour
    image.putpalette(palette)
    out = io.BytesIO()
    image.save(out, "PNG", optimize=True, transparency=OUTSIDE)
    return out.getvalue()
