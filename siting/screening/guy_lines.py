"""The guys' plan lines and the anchors of many bases against segments on the ground: which meet, and how near they come."""

from __future__ import annotations

import math

import numpy as np

from siting.screening.compiled import kernel, part
from siting.screening.segments import box_of, circle_of, may_be_nearest, square_m2

# Bases beside each other that are looked at together.
TOGETHER = 32


@part
def lines_meet(one, other):
    """Whether two straight segments (x0, y0, x1, y1) have a point in common; touching counts. No unit."""
    ax, ay, bx, by = one
    x0, y0, x1, y1 = other
    if max(ax, bx) < min(x0, x1) or max(x0, x1) < min(ax, bx) or max(ay, by) < min(y0, y1) or max(y0, y1) < min(ay, by):
        return False
    start, end = _turn(ax, ay, bx, by, x0, y0), _turn(ax, ay, bx, by, x1, y1)
    if (start > 0.0 and end > 0.0) or (start < 0.0 and end < 0.0):
        return False
    start, end = _turn(x0, y0, x1, y1, ax, ay), _turn(x0, y0, x1, y1, bx, by)
    return not ((start > 0.0 and end > 0.0) or (start < 0.0 and end < 0.0))


@part
def _turn(ax, ay, bx, by, x, y):
    """Above 0 where a point lies left of the way from a to b."""
    return (bx - ax) * (y - ay) - (by - ay) * (x - ax)


@part
def _longest_m(ends_xy_m):
    """The farthest end from the base."""
    longest = 0.0
    for u in range(ends_xy_m.shape[0]):
        longest = max(longest, math.hypot(ends_xy_m[u, 0], ends_xy_m[u, 1]))
    return longest


@part
def _beside(segments, chosen, circle, reach_m, kept):
    """Fills `kept` with the chosen segments within reach of the circle's points; how many."""
    x, y, radius = circle
    most = (reach_m + radius) * (1.0 + 1e-9) + 1e-6
    count = 0
    for k in range(chosen.size):
        s = chosen[k]
        if square_m2(segments.x0[s], segments.y0[s], segments.x1[s], segments.y1[s], x, y) <= most * most:
            kept[count] = s
            count += 1
    return count


@kernel
def guys_meet(segments, x_m, y_m, ends_xy_m):
    """(U, n) bool: whether the straight line from a base to each of its anchors meets any of the segments; touching counts.

    Args:
        x_m, y_m: (n,) bases, best neighbours beside each other; ends_xy_m: (U, 2) anchors from their base.
    """
    met = np.zeros((ends_xy_m.shape[0], x_m.size), dtype=np.bool_)
    reach_m, size = _longest_m(ends_xy_m), segments.x0.size
    everything, near, nearer = np.arange(size), np.empty(size, dtype=np.int64), np.empty(size, dtype=np.int64)
    for begin in range(0, x_m.size, TOGETHER):
        end = min(begin + TOGETHER, x_m.size)
        circle = circle_of(box_of(x_m[begin:end].reshape(1, -1), y_m[begin:end].reshape(1, -1)))
        count = _beside(segments, everything, circle, reach_m, near)
        for i in range(begin, end):
            x, y = x_m[i], y_m[i]
            kept = _beside(segments, near[:count], (x, y, 0.0), reach_m, nearer)
            for u in range(ends_xy_m.shape[0]):
                ex, ey = x + ends_xy_m[u, 0], y + ends_xy_m[u, 1]
                for k in range(kept):
                    s = nearer[k]
                    if lines_meet((x, y, ex, ey), (segments.x0[s], segments.y0[s], segments.x1[s], segments.y1[s])):
                        met[u, i] = True
                        break
    return met


@kernel
def parts_nearest_m(segments, x_m, y_m, ends_xy_m, reach_m, are_guys):
    """(U, n) distance (metres) of each anchor, or of each guy's plan line, to the nearest segment; infinite beyond the reach.

    Args:
        x_m, y_m: (n,) bases; ends_xy_m: (U, 2) anchors from their base; are_guys: the lines to them, else the points.
    """
    found = np.full((ends_xy_m.shape[0], x_m.size), np.inf)
    longest_m, size = _longest_m(ends_xy_m), segments.x0.size
    everything, near, nearer = np.arange(size), np.empty(size, dtype=np.int64), np.empty(size, dtype=np.int64)
    away_m = np.empty(size)
    for begin in range(0, x_m.size, TOGETHER):
        end = min(begin + TOGETHER, x_m.size)
        x, y, radius = circle_of(box_of(x_m[begin:end].reshape(1, -1), y_m[begin:end].reshape(1, -1)))
        count = may_be_nearest(segments, everything, (x, y, radius + longest_m), reach_m, away_m, near)
        for i in range(begin, end):
            kept = may_be_nearest(segments, near[:count], (x_m[i], y_m[i], longest_m), reach_m, away_m, nearer)
            for u in range(ends_xy_m.shape[0]):
                away = _part_m(segments, nearer[:kept], x_m[i], y_m[i], ends_xy_m[u, 0], ends_xy_m[u, 1], are_guys)
                found[u, i] = away if away < reach_m else np.inf
    return found


@part
def _part_m(segments, chosen, x, y, along_x, along_y, is_guy):
    """Distance of one anchor, or of one guy's plan line, to the nearest of the chosen segments."""
    ex, ey = x + along_x, y + along_y
    least = np.inf
    for k in range(chosen.size):
        s = chosen[k]
        x0, y0, x1, y1 = segments.x0[s], segments.y0[s], segments.x1[s], segments.y1[s]
        least = min(least, square_m2(x0, y0, x1, y1, ex, ey))
        if is_guy:
            if lines_meet((x, y, ex, ey), (x0, y0, x1, y1)):
                return 0.0
            least = min(least, square_m2(x0, y0, x1, y1, x, y))
            least = min(least, square_m2(x, y, ex, ey, x0, y0), square_m2(x, y, ex, ey, x1, y1))
    return math.sqrt(least)
