"""The ground under the site map: shaded relief light enough to copy, and contours, both turned from the backdrop to the grid."""

from __future__ import annotations

import math
from collections import defaultdict
from typing import Any

import numpy as np

from siting.records.ground import Backdrop
from siting.writers.sitemap.map_sheet import Box
from siting.writers.sitemap.window import Window

PX_A_MM = 2.5
LIGHTEST, DARKEST = 255, 222  # what the relief is pressed between: a copier drops it or keeps it, the lines stay
STEPS = 14  # grey levels
NODES = 9  # exact places a side between which the picture is drawn: within a tenth of a pixel


def shaded(backdrop: Backdrop, window: Window, box: Box) -> np.ndarray:
    """The relief in the window, (rows, cols) uint8; white where no ground is known."""
    cols, rows = (max(2, round((b - a) * PX_A_MM)) for a, b in ((box[0], box[2]), (box[1], box[3])))
    u, v = _spread(window, box, backdrop)
    x, y = np.linspace(0, NODES - 1, cols), np.linspace(0, NODES - 1, rows)
    col, row = _between(u, x, y), _between(v, x, y)
    known = (col >= 0) & (row >= 0) & (col < backdrop.shade.shape[1]) & (row < backdrop.shade.shape[0])
    grey = np.zeros((rows, cols))
    grey[known] = backdrop.shade[row[known].astype(int), col[known].astype(int)]
    known &= grey > 0
    low, high = (np.percentile(grey[known], p) for p in (2, 98)) if known.any() else (0.0, 1.0)
    part = np.clip((grey - low) / max(high - low, 30.0), 0.0, 1.0)
    light = DARKEST + (LIGHTEST - DARKEST) * np.round(part * STEPS) / STEPS
    return np.where(known, light, 255.0).astype(np.uint8)


def _spread(window: Window, box: Box, backdrop: Backdrop) -> tuple[np.ndarray, np.ndarray]:
    """Columns and rows of the backdrop at nodes over the box."""
    rows, cols = backdrop.shade.shape
    top, low = _mercator(backdrop.north), _mercator(backdrop.south)
    u, v = np.empty((NODES, NODES)), np.empty((NODES, NODES))
    for j, y in enumerate(np.linspace(box[1], box[3], NODES)):
        for i, x in enumerate(np.linspace(box[0], box[2], NODES)):
            lon, lat = window.frame.lonlat(window.ground((float(x), float(y))))
            lon = backdrop.west + (lon - backdrop.west + 180.0) % 360.0 - 180.0
            u[j, i] = (lon - backdrop.west) / (backdrop.east - backdrop.west) * cols
            v[j, i] = (top - _mercator(lat)) / (top - low) * rows
    return u, v


def _mercator(lat_deg: float) -> float:
    return math.log(math.tan(math.pi / 4.0 + math.radians(lat_deg) / 2.0))


def _between(nodes: np.ndarray, x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """Bilinear between nodes, for every row of y and column of x."""
    i, j = np.minimum(x.astype(int), NODES - 2), np.minimum(y.astype(int), NODES - 2)
    fx, fy = x - i, (y - j)[:, None]
    upper = nodes[np.ix_(j, i)] * (1 - fx) + nodes[np.ix_(j, i + 1)] * fx
    lower = nodes[np.ix_(j + 1, i)] * (1 - fx) + nodes[np.ix_(j + 1, i + 1)] * fx
    return upper * (1 - fy) + lower * fy


def contours(backdrop: Backdrop, window: Window, box: Box) -> list[tuple[float, Any]]:
    """(height in metres, shapely line on the paper, mm) of every contour inside the box, the lowest first."""
    import shapely

    inner = shapely.box(*box)
    lines: dict[float, list] = defaultdict(list)
    for height_m, lonlat in backdrop.contours:
        lines[height_m].append(window.line(lonlat))
    found = [(h, shapely.intersection(shapely.MultiLineString(parts), inner)) for h, parts in sorted(lines.items())]
    return [(h, line) for h, line in found if not line.is_empty]


def edge(backdrop: Backdrop, window: Window, box: Box) -> Any:
    """The outline of the heights that are known, where it runs inside the box; a shapely line, mm."""
    import shapely

    west, south, east, north = backdrop.west, backdrop.south, backdrop.east, backdrop.north
    ring = [(west, south), (east, south), (east, north), (west, north), (west, south)]
    dense = shapely.get_coordinates(shapely.segmentize(shapely.LineString(ring), (east - west) / 8.0))
    return shapely.intersection(shapely.LineString(window.line(dense.tolist())), shapely.box(*box))
