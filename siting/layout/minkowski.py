"""Sums of shapes with a disc or a segment, exact but for the chords of an arc (ground frame, metres).

The library's own buffer leaves out shallow bays of an outline, up to a hundredth of the distance: it was seen 0.6 m off
at 96 m. What stands here is put together from one rectangle for each edge and one wedge for each corner instead.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import shapely
from shapely import affinity

# An arc is drawn by chords from the inside: nowhere farther than this from the true one.
ARC_ERROR_M = 0.0004
# A wedge laps over the rectangles beside it by this angle, and over the corner itself: pieces that only share a side may
# leave a crack of the last digit between them, and a crack is a place where the base may not stand.
LAP_RAD = 0.02
# Edges this short have no direction, and a parallelogram this thin no area (metres, square metres).
NO_LENGTH_M, NO_AREA_M2 = 1e-9, 1e-9


def moved(shape: Any, xy_m: tuple[float, float]) -> Any:
    """The shape shifted by metres east and north."""
    return affinity.translate(shape, *xy_m) if xy_m != (0.0, 0.0) else shape


def areas_of(shape: Any) -> Any:
    """Only the areas of a shape: what a cut leaves as bare lines or points is no area."""
    if shape.geom_type in ("Polygon", "MultiPolygon"):
        return shape
    return shapely.union_all([part for part in parts_of(shape) if part.geom_type == "Polygon"])


def parts_of(shape: Any) -> list[Any]:
    """Points, lines and polygons of a shape, collections within collections taken apart."""
    if shape.is_empty:
        return []
    if not shape.geom_type.startswith(("Multi", "Geometry")):
        return [shape]
    return [inner for part in shapely.get_parts(shape) for inner in parts_of(part)]


def paths_of(shape: Any) -> list[np.ndarray]:
    """Every point, line and ring of a shape as an array (n, 2) of metres; rings are closed."""
    paths = []
    for part in parts_of(shape):
        lines = [part.exterior, *part.interiors] if part.geom_type == "Polygon" else [part]
        paths += [_without_repeats(shapely.get_coordinates(line)) for line in lines]
    return paths


def _without_repeats(path: np.ndarray) -> np.ndarray:
    if len(path) < 2:
        return path
    steps = np.hypot(*np.diff(path, axis=0).T)
    return path[np.concatenate([[True], steps > NO_LENGTH_M])]


def band(shape: Any, radius_m: float) -> Any:
    """Everything within `radius_m` of the shape's points, lines and outlines (not the inside of its areas).

    Accuracy: never too wide, and too narrow by at most ARC_ERROR_M, on the arcs.
    """
    pieces = []
    for path in paths_of(shape):
        is_closed = len(path) > 2 and bool((path[0] == path[-1]).all())
        if not is_closed:
            pieces += [_disc(end, radius_m) for end in (path[0], path[-1])]
        if len(path) > 1:
            along = np.diff(path, axis=0)
            along /= np.hypot(*along.T)[:, None]
            square = radius_m * np.stack([-along[:, 1], along[:, 0]], axis=1)  # to the left
            here, there = path[:-1], path[1:]
            pieces += list(shapely.polygons(np.stack([here + square, here - square, there - square, there + square], axis=1)))
            before = np.roll(along, 1, axis=0) if is_closed else along[:-1]
            corners, after = (here, along) if is_closed else (path[1:-1], along[1:])
            pieces += [w for corner, a, b in zip(corners, before, after, strict=True) for w in _wedges(corner, a, b, radius_m)]
    return shapely.union_all(pieces)


def _disc(middle: np.ndarray, radius_m: float) -> Any:
    return shapely.Polygon(_arc(middle, 0.0, 2.0 * math.pi, radius_m)[:-1])


def _wedges(corner: np.ndarray, before: np.ndarray, after: np.ndarray, radius_m: float) -> list[Any]:
    """Sectors of the corner's disc from one edge's square to the next one's, on the outer side and on the inner."""
    turn = math.atan2(before[0] * after[1] - before[1] * after[0], before @ after)
    lap = math.copysign(LAP_RAD, turn)
    wedges = []
    for square in (math.atan2(before[0], -before[1]), math.atan2(-before[0], before[1])):
        middle = square + turn / 2.0
        back = corner - 0.5 * radius_m * np.array([math.cos(middle), math.sin(middle)])  # within the disc, behind the corner
        wedges.append(shapely.Polygon([back, *_arc(corner, square - lap, turn + 2.0 * lap, radius_m)]))
    return wedges


def _arc(middle: np.ndarray, start_rad: float, turn_rad: float, radius_m: float) -> np.ndarray:
    step = min(math.sqrt(8.0 * ARC_ERROR_M / radius_m), 0.5)
    angles = start_rad + np.linspace(0.0, turn_rad, max(math.ceil(abs(turn_rad) / step), 1) + 1)
    return middle + radius_m * np.stack([np.cos(angles), np.sin(angles)], axis=1)


def grown(shape: Any, radius_m: float) -> Any:
    """Everything within `radius_m` of a shape: its sum with a disc. Too small by at most ARC_ERROR_M."""
    if shape.is_empty or radius_m <= 0:
        return shape
    return shapely.union_all([*(p for p in parts_of(shape) if p.geom_type == "Polygon"), band(shape, radius_m)])


def shrunk(area: Any, radius_m: float) -> Any:
    """The places in an area at least `radius_m` from its outline. Too large by at most ARC_ERROR_M."""
    if area.is_empty or radius_m <= 0:
        return area
    return areas_of(shapely.difference(area, band(area, radius_m)))


def swept(shape: Any, start_xy_m: tuple[float, float], end_xy_m: tuple[float, float]) -> Any:
    """Everything that the shape passes over while it slides straight from one offset to the other: exact."""
    if start_xy_m == end_xy_m:
        return moved(shape, start_xy_m)
    areas, tracks = _tracks(shape, start_xy_m, end_xy_m)
    return shapely.union_all([moved(shape, start_xy_m), moved(shape, end_xy_m), *areas, *tracks])


def held(area: Any, start_xy_m: tuple[float, float], end_xy_m: tuple[float, float]) -> Any:
    """The places where a segment, from one offset to the other, lies wholly in the area: exact.

    Between two parallelograms that share a side a crack of the last digit may stay, or a speck: shrink the result to be rid of it.
    """
    back_a, back_b = ((-xy[0], -xy[1]) for xy in (start_xy_m, end_xy_m))
    if start_xy_m == end_xy_m:
        return moved(area, back_a)
    both = shapely.intersection(moved(area, back_a), moved(area, back_b))
    crossed, _ = _tracks(area, back_a, back_b)
    return areas_of(shapely.difference(both, shapely.union_all(crossed)))


def _tracks(shape: Any, start_xy_m: tuple[float, float], end_xy_m: tuple[float, float]) -> tuple[list[Any], list[Any]]:
    """What each edge of the shape sweeps: parallelograms; lines for a lone point and for an edge along the way."""
    a, b = np.array(start_xy_m), np.array(end_xy_m)
    way = b - a
    areas: list[Any] = []
    tracks: list[Any] = []
    for path in paths_of(shape):
        edges = np.diff(path, axis=0)
        thin = np.abs(edges[:, 0] * way[1] - edges[:, 1] * way[0]) <= NO_AREA_M2
        first, second = path[:-1][~thin], path[1:][~thin]
        areas += list(shapely.polygons(np.stack([first + a, second + a, second + b, first + b], axis=1)))
        ends = np.concatenate([path[:-1][thin], path[1:][thin]]) if len(path) > 1 else path
        tracks += list(shapely.linestrings(np.stack([ends + a, ends + b], axis=1)))
    return areas, tracks
