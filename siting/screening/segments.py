"""Straight segments on the ground: parcel lines, outlines, roads. Nearest distance of many points, and which lie inside.

Squares of points are taken together: only segments that may be the nearest of one of them are looked at point by point, so
the answer is that of looking at all, whatever points are asked together. Metres; float64 throughout.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numpy as np
import shapely

from siting.screening.compiled import kernel, part

# Points are taken together in squares of squares: (rows, columns) of a large and of a small one; in lists by their order.
SQUARES, LISTS = ((64, 64), (8, 8)), ((1, 1024), (1, 32))
# A segment is left out only where it is farther off than it may be by this: far more than rounding takes.
SPARE_RATIO, SPARE_M = 1e-9, 1e-6
MANY = 256  # segments, from which on those far from all the points are sorted out first
SEVERAL, AREA, POINT = (4, 5, 6, 7), 3, 0  # shapely's type ids


class Segments(NamedTuple):
    """Ends of straight segments, (n,) metres each; a point is a segment without length."""

    x0: np.ndarray
    y0: np.ndarray
    x1: np.ndarray
    y1: np.ndarray


def segments_of(geometries: Any) -> Segments:
    """The points, the pieces of lines, and the outlines with their holes, of one or many geometries; metres."""
    parts = np.atleast_1d(np.asarray(geometries, dtype=object))
    while np.isin(shapely.get_type_id(parts), SEVERAL).any():
        parts = shapely.get_parts(parts)
    parts = parts[~shapely.is_empty(parts)]
    kinds = shapely.get_type_id(parts)
    lines = np.concatenate([parts[(kinds != AREA) & (kinds != POINT)], shapely.get_rings(parts[kinds == AREA])])
    xy, line = shapely.get_coordinates(lines, return_index=True)
    same = line[1:] == line[:-1]
    points = shapely.get_coordinates(parts[kinds == POINT])
    start, end = np.concatenate([xy[:-1][same], points]), np.concatenate([xy[1:][same], points])
    return Segments(*(np.ascontiguousarray(v) for v in (*start.T, *end.T)))


def nearest_m(segments: Segments, x_m: np.ndarray, y_m: np.ndarray, reach_m: float = math.inf) -> np.ndarray:
    """Distance (metres) of points to the nearest segment, in their shape; infinite where none is nearer than the reach.

    Args:
        x_m, y_m: (rows, cols) neighbours beside each other, or (n,).
    """
    x, y = np.atleast_2d(x_m), np.atleast_2d(y_m)
    return _nearest(segments, x, y, float(reach_m), SQUARES if x.shape[0] > 1 else LISTS).reshape(np.shape(x_m))


def is_inside(segments: Segments, x_m: np.ndarray, y_m: np.ndarray) -> np.ndarray:
    """Which points lie inside the areas whose outlines the segments are (even-odd), in their shape; no unit.

    A point within rounding (some 1e-12 m) of an outline may count to either side.

    Args:
        x_m, y_m: (rows, cols) neighbours beside each other, or (n,).
    """
    x, y = np.atleast_2d(x_m), np.atleast_2d(y_m)
    return _inside(segments, x, y, SQUARES if x.shape[0] > 1 else LISTS).reshape(np.shape(x_m))


@part
def square_m2(x0, y0, x1, y1, x, y):
    """Square of the distance of a point to a segment, m2."""
    along_x, along_y = x1 - x0, y1 - y0
    length2 = along_x * along_x + along_y * along_y
    away_x, away_y = x - x0, y - y0
    t = (away_x * along_x + away_y * along_y) * (1.0 / length2 if length2 > 0.0 else 0.0)
    t = min(max(t, 0.0), 1.0)
    away_x -= t * along_x
    away_y -= t * along_y
    return away_x * away_x + away_y * away_y


@part
def box_of(x, y):
    """Left, right, lower and upper side of the box around points; left is above right where there are none."""
    left, right, low, high = np.inf, -np.inf, np.inf, -np.inf
    for i in range(x.shape[0]):
        for j in range(x.shape[1]):
            left, right = min(left, x[i, j]), max(right, x[i, j])
            low, high = min(low, y[i, j]), max(high, y[i, j])
    return left, right, low, high


@part
def circle_of(box):
    """Middle and half diagonal of a box: x, y, radius (metres); the radius is negative where it holds no points."""
    left, right, low, high = box
    if not left <= right:
        return 0.0, 0.0, -1.0
    return (left + right) / 2.0, (low + high) / 2.0, math.hypot(right - left, high - low) / 2.0


@part
def may_be_nearest(segments, chosen, circle, reach_m, away_m, kept):
    """Fills `kept` with the chosen segments that may be nearest to a point of the circle within its reach; how many.

    A point's nearest segment is no farther from the middle than the middle's own nearest and twice the radius.
    """
    x, y, radius = circle
    least = np.inf
    for k in range(chosen.size):
        s = chosen[k]
        away_m[k] = math.sqrt(square_m2(segments.x0[s], segments.y0[s], segments.x1[s], segments.y1[s], x, y))
        least = min(least, away_m[k])
    most = min(least + 2.0 * radius, reach_m + radius)
    most += most * SPARE_RATIO + SPARE_M
    count = 0
    for k in range(chosen.size):
        if away_m[k] <= most:
            kept[count] = chosen[k]
            count += 1
    return count


@kernel
def _nearest(segments, x, y, reach_m, squares):
    """nearest_m of points in rows and columns."""
    rows, cols = x.shape
    size = segments.x0.size
    found = np.full((rows, cols), np.inf)
    away_m = np.empty(size)
    some, near, nearer = np.arange(size), np.arange(size), np.arange(size)
    if size > MANY:  # a long line, of which most lies elsewhere
        some = nearer[: may_be_nearest(segments, near, circle_of(box_of(x, y)), reach_m, away_m, nearer)].copy()
    (high, wide), (small_high, small_wide) = squares
    for i in range(0, rows if some.size > 0 else 0, high):
        for j in range(0, cols, wide):
            i_end, j_end = min(i + high, rows), min(j + wide, cols)
            circle = circle_of(box_of(x[i:i_end, j:j_end], y[i:i_end, j:j_end]))
            count = may_be_nearest(segments, some, circle, reach_m, away_m, near)
            if count == 0:
                continue
            for a in range(i, i_end, small_high):
                for b in range(j, j_end, small_wide):
                    here = slice(a, min(a + small_high, i_end)), slice(b, min(b + small_wide, j_end))
                    circle = circle_of(box_of(x[here], y[here]))
                    kept = may_be_nearest(segments, near[:count], circle, reach_m, away_m, nearer)
                    look(segments, nearer[:kept], x[here], y[here], reach_m, found[here])
    return found


@part
def look(segments, chosen, x, y, reach_m, found):
    """The distances of a small square of points to the chosen segments."""
    for k in range(chosen.size):
        s = chosen[k]
        x0, y0, x1, y1 = segments.x0[s], segments.y0[s], segments.x1[s], segments.y1[s]
        for i in range(x.shape[0]):
            for j in range(x.shape[1]):
                square = square_m2(x0, y0, x1, y1, x[i, j], y[i, j])
                found[i, j] = square if square < found[i, j] else found[i, j]
    for i in range(x.shape[0]):
        for j in range(x.shape[1]):
            away = math.sqrt(found[i, j])
            found[i, j] = away if away < reach_m else np.inf


@kernel
def _inside(segments, x, y, squares):
    """is_inside of points in rows and columns: how often a ray to the east meets the outlines, odd or even."""
    rows, cols = x.shape
    size = segments.x0.size
    found = np.zeros((rows, cols), dtype=np.bool_)
    some, near, nearer, is_odd_everywhere = np.arange(size), np.arange(size), np.arange(size), False
    if size > MANY:
        count, is_odd_everywhere = met_by_rays(segments, near, box_of(x, y), nearer)
        some = nearer[:count].copy()
    (high, wide), (small_high, small_wide) = squares
    for i in range(0, rows, high):
        for j in range(0, cols, wide):
            i_end, j_end = min(i + high, rows), min(j + wide, cols)
            count, is_odd = met_by_rays(segments, some, box_of(x[i:i_end, j:j_end], y[i:i_end, j:j_end]), near)
            is_odd ^= is_odd_everywhere
            for a in range(i, i_end, small_high):
                for b in range(j, j_end, small_wide):
                    here = slice(a, min(a + small_high, i_end)), slice(b, min(b + small_wide, j_end))
                    kept, turns = met_by_rays(segments, near[:count], box_of(x[here], y[here]), nearer)
                    count_rays(segments, nearer[:kept], is_odd ^ turns, x[here], y[here], found[here])
    return found


@part
def met_by_rays(segments, chosen, box, kept):
    """Fills `kept` with the chosen segments that rays to the east from some points of a box may meet; how many, and whether
    an odd number of the others is met by every ray."""
    left, right, low, high = box
    count, is_odd = 0, False
    for k in range(chosen.size):
        s = chosen[k]
        lower, upper = min(segments.y0[s], segments.y1[s]), max(segments.y0[s], segments.y1[s])
        if upper <= low or lower > high or max(segments.x0[s], segments.x1[s]) <= left:
            continue
        if right < min(segments.x0[s], segments.x1[s]) and lower <= low and upper > high:
            is_odd = not is_odd
            continue
        kept[count] = s
        count += 1
    return count, is_odd


@part
def count_rays(segments, chosen, is_odd, x, y, found):
    """Whether rays from a small square of points meet an odd number of segments. A segment has its lower end, not its upper."""
    for i in range(x.shape[0]):
        for j in range(x.shape[1]):
            found[i, j] = is_odd
    for k in range(chosen.size):
        s = chosen[k]
        x0, y0, x1, y1 = segments.x0[s], segments.y0[s], segments.x1[s], segments.y1[s]
        if y0 > y1:
            x0, y0, x1, y1 = x1, y1, x0, y0
        left, right = min(x0, x1), max(x0, x1)
        for i in range(x.shape[0]):
            for j in range(x.shape[1]):
                is_beside = y0 <= y[i, j] and y1 > y[i, j]
                is_east = (x1 - x0) * (y[i, j] - y0) > (x[i, j] - x0) * (y1 - y0)
                met = is_beside and x[i, j] < right and (x[i, j] < left or is_east)
                found[i, j] ^= met
