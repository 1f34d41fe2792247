"""Whose land each of many points lies on, and how far from its line: of several areas over a point the one with the nearest line."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from siting.screening.compiled import kernel, part
from siting.screening.segments import LISTS, SQUARES, Segments, box_of, circle_of, count_rays, look, may_be_nearest, met_by_rays

NOBODY = -1


class Lands(NamedTuple):
    """Several areas, numbered: their lines and their outlines as segments, one area after the other, and where each ends.

    A line is what is measured to, an outline what decides inside or outside: they differ where an area's parts overlap.
    """

    lines: Segments
    line_ends: np.ndarray  # (n + 1,), from 0
    outlines: Segments
    outline_ends: np.ndarray
    boxes: np.ndarray  # (n, 4): left, right, lower and upper side of each outline


def lands_of(lines: Sequence[Segments], outlines: Sequence[Segments]) -> Lands:
    """Areas as the kernel takes them; metres."""
    boxes = np.array([_box(v) for v in outlines], dtype=float).reshape(-1, 4)
    return Lands(_joined(lines), _ends(lines), _joined(outlines), _ends(outlines), boxes)


def _box(s: Segments) -> tuple[float, ...]:
    """Left, right, lower and upper side of segments."""
    x, y = np.concatenate([s.x0, s.x1]), np.concatenate([s.y0, s.y1])
    return x.min(initial=np.inf), x.max(initial=-np.inf), y.min(initial=np.inf), y.max(initial=-np.inf)


def _joined(several: Sequence[Segments]) -> Segments:
    """The segments of all, in their order."""
    return Segments(*(np.concatenate([np.empty(0), *(s[i] for s in several)]) for i in range(4)))


def _ends(several: Sequence[Segments]) -> np.ndarray:
    """Where each one's segments end among all."""
    return np.cumsum([0, *(s.x0.size for s in several)])


def holders_of(lands: Lands, x_m: np.ndarray, y_m: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The number of the area that holds each point (int32), -1 on nobody's, and the distance (metres) to its line, infinite there.

    Of several areas over a point it is the one whose line is nearest; of equal ones the first.

    Args:
        x_m, y_m: (rows, cols) neighbours beside each other, or (n,).
    """
    x, y = np.atleast_2d(x_m), np.atleast_2d(y_m)
    number, away = _holders(lands, x, y, SQUARES if x.shape[0] > 1 else LISTS)
    return number.reshape(np.shape(x_m)), away.reshape(np.shape(x_m))


@kernel
def _holders(lands, x, y, squares):
    """holders_of points in rows and columns."""
    rows, cols = x.shape
    (high, wide), (small_high, small_wide) = squares
    number, away = np.full((rows, cols), NOBODY, dtype=np.int32), np.full((rows, cols), np.inf)
    boxes, small_boxes = _boxes_of(x, y, high, wide), _boxes_of(x, y, small_high, small_wide)
    everywhere = box_of(x, y)
    lines, outlines = np.arange(lands.lines.x0.size), np.arange(lands.outlines.x0.size)
    some_lines, some_outlines = lines.copy(), outlines.copy()
    scratch = (
        np.empty(lines.size), lines.copy(), lines.copy(), outlines.copy(), outlines.copy(),
        np.empty((small_high, small_wide)), np.empty((small_high, small_wide), dtype=np.bool_),
    )  # fmt: skip
    for a in range(lands.boxes.shape[0]):
        if _is_apart(everywhere, lands.boxes[a]):
            continue
        mine = lines[lands.line_ends[a] : lands.line_ends[a + 1]], outlines[lands.outline_ends[a] : lands.outline_ends[a + 1]]
        count = may_be_nearest(lands.lines, mine[0], circle_of(everywhere), np.inf, scratch[0], some_lines)
        met_count, is_odd = met_by_rays(lands.outlines, mine[1], everywhere, some_outlines)
        chosen = some_lines[:count], some_outlines[:met_count]
        for i in range(boxes.shape[0]):
            for j in range(boxes.shape[1]):
                box = boxes[i, j, 0], boxes[i, j, 1], boxes[i, j, 2], boxes[i, j, 3]
                if _is_apart(box, lands.boxes[a]):
                    continue
                here = slice(i * high, min(i * high + high, rows)), slice(j * wide, min(j * wide + wide, cols))
                step = slice(i * high // small_high, (i * high + high) // small_high), slice(j * wide // small_wide, (j * wide + wide) // small_wide)
                _hold(lands, a, (chosen, is_odd), box, small_boxes[step], (x[here], y[here], number[here], away[here]), scratch)
    return number, away


@part
def _boxes_of(x, y, high, wide):
    """(rows, cols, 4): the boxes of the small squares of some points."""
    rows, cols = (x.shape[0] + high - 1) // high, (x.shape[1] + wide - 1) // wide
    boxes = np.empty((rows, cols, 4))
    for i in range(rows):
        for j in range(cols):
            here = slice(i * high, min(i * high + high, x.shape[0])), slice(j * wide, min(j * wide + wide, x.shape[1]))
            boxes[i, j, 0], boxes[i, j, 1], boxes[i, j, 2], boxes[i, j, 3] = box_of(x[here], y[here])
    return boxes


@part
def _is_apart(box, other):
    """Whether two boxes have no point in common."""
    return box[0] > other[1] or box[1] < other[0] or box[2] > other[3] or box[3] < other[2]


@part
def _hold(lands, a, segments, box, boxes, square, scratch):
    """Takes an area into what is known of a square of points.

    Args:
        segments: the area's lines that may be nearest and outlines that rays may meet, and whether an odd number of the others is met.
        box, boxes: of the square, and of its small squares.
    """
    chosen, is_odd = segments
    x, y, number, away = square
    away_m, near, nearer, met, met_closer, found, inside = scratch
    small_high, small_wide = found.shape
    met_count, turns = met_by_rays(lands.outlines, chosen[1], box, met)
    is_odd ^= turns
    count = may_be_nearest(lands.lines, chosen[0], circle_of(box), np.inf, away_m, near)
    for i in range(boxes.shape[0]):
        for j in range(boxes.shape[1]):
            small = boxes[i, j, 0], boxes[i, j, 1], boxes[i, j, 2], boxes[i, j, 3]
            if _is_apart(small, lands.boxes[a]):
                continue
            here = (
                slice(i * small_high, min(i * small_high + small_high, x.shape[0])),
                slice(j * small_wide, min(j * small_wide + small_wide, x.shape[1])),
            )
            xs, ys = x[here], y[here]
            kept, turns = met_by_rays(lands.outlines, met[:met_count], small, met_closer)
            if kept == 0 and is_odd == turns:
                continue  # all of it lies outside
            is_in, least = inside[: xs.shape[0], : xs.shape[1]], found[: xs.shape[0], : xs.shape[1]]
            count_rays(lands.outlines, met_closer[:kept], is_odd ^ turns, xs, ys, is_in)
            least[:] = np.inf
            kept = may_be_nearest(lands.lines, near[:count], circle_of(small), np.inf, away_m, nearer)
            look(lands.lines, nearer[:kept], xs, ys, np.inf, least)
            _take(a, is_in, least, number[here], away[here])


@part
def _take(a, is_in, least, number, away):
    """Gives an area the points that lie in it nearer to its line than to that of the area before."""
    for i in range(least.shape[0]):
        for j in range(least.shape[1]):
            if is_in[i, j] and least[i, j] < away[i, j]:
                number[i, j], away[i, j] = a, least[i, j]


@kernel
def windows_of(number, count):
    """(count, 4): first row, last row + 1, first column and last column + 1 of the points of each number; all 0 where none has it.

    Args:
        number: (rows, cols), below 0 where a point has none.
    """
    rows, cols = number.shape
    found = np.zeros((count, 4), dtype=np.int64)
    for i in range(rows):
        for j in range(cols):
            n = number[i, j]
            if n < 0:
                continue
            if found[n, 1] == 0:
                found[n, 0], found[n, 2] = i, j
            found[n, 1], found[n, 3] = i + 1, max(found[n, 3], j + 1)
            found[n, 2] = min(found[n, 2], j)
    return found
