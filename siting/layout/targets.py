"""What a setback is measured to: outlines and lines as pieces, and signed distances of points and guys to them.

Everything is in the ground frame, metres from the base. A distance is negative where a part lies on the wrong side: outside
the own land, or inside an area that is measured to.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from siting.layout.footprint import OwnLand, boundary_distances_m

# Points nearer to each other than this are one point, as anchors on whole degrees are on many azimuths.
SAME_POINT_DECIMALS = 6
POINT, LINE, AREA, SEVERAL = (0,), (1, 2), (3,), (4, 5, 6, 7)
# A guy that runs along a line is not across it: what lies nearer to it than this is rounding.
ON_THE_LINE_M = 1e-6


@dataclass(frozen=True, slots=True)
class Target:
    """Things to keep away from. `pieces` are points and straight pieces of lines, `owners` says whose each is."""

    pieces: np.ndarray
    owners: np.ndarray
    tree: shapely.STRtree
    area: Any  # own land, which parts must not leave; else the areas that parts must stay out of, None where there are none
    is_own: bool

    @property
    def is_empty(self) -> bool:
        """True where nothing is left to measure to."""
        return self.pieces.size == 0


def land_target(own: OwnLand, line: Any) -> Target:
    """The own land with the line of its outline that counts.

    Args:
        line: its outline, or what waivers leave of it; may be empty.
    """
    pieces = pieces_of(line)
    shapely.prepare(own.area)
    return Target(pieces, np.full(pieces.size, -1), shapely.STRtree(pieces), own.area, True)


def things_target(geometries: Sequence[Any]) -> Target:
    """Roads, lines, houses: each geometry's outline and, of areas, the inside."""
    made = [pieces_of(geometry) for geometry in geometries]
    pieces = np.concatenate(made) if made else np.empty(0, dtype=object)
    owners = np.repeat(np.arange(len(made)), [m.size for m in made]) if made else np.empty(0, dtype=int)
    areas = [part for geometry in geometries for part in _parts(geometry) if shapely.get_type_id(part) in AREA]
    area = shapely.union_all(areas) if areas else None
    if area is not None:
        shapely.prepare(area)
    return Target(pieces, owners, shapely.STRtree(pieces), area, False)


def pieces_of(geometry: Any) -> np.ndarray:
    """A geometry's points, and the straight pieces of its lines and outlines, (N,) shapely geometries; no unit."""
    made: list[np.ndarray] = []
    for part in _parts(geometry):
        kind = shapely.get_type_id(part)
        if kind in POINT:
            made.append(np.array([part], dtype=object))
            continue
        for line in shapely.get_parts(part.boundary) if kind in AREA else (part,):
            xy = shapely.get_coordinates(line)
            made.append(shapely.linestrings(np.stack([xy[:-1], xy[1:]], axis=1)))
    return np.concatenate(made) if made else np.empty(0, dtype=object)


def _parts(geometry: Any) -> list[Any]:
    """The single points, lines and areas of a geometry, however deep collections lie in it; empty ones left out."""
    if geometry.is_empty:
        return []
    if shapely.get_type_id(geometry) not in SEVERAL:
        return [geometry]
    return [single for part in shapely.get_parts(geometry) for single in _parts(part)]


@dataclass(frozen=True, slots=True)
class Spots:
    """Points (metres from the base) of any leading shape, each different one once: on many azimuths anchors stand alike."""

    xy_m: np.ndarray  # (N, 2), each once
    back: np.ndarray  # where each of the given points stands among them
    shape: tuple[int, ...]
    points: np.ndarray
    guys: np.ndarray  # plan lines from the base

    @classmethod
    def of(cls, points_xy_m: np.ndarray) -> Spots:
        """The spots of points (..., 2), metres."""
        flat = points_xy_m.reshape(-1, 2)
        rounded = np.round(flat, SAME_POINT_DECIMALS)
        _, first, back = np.unique(rounded[:, 0] + 1j * rounded[:, 1], return_index=True, return_inverse=True)
        once = flat[first]
        lines = shapely.linestrings(np.stack([np.zeros_like(once), once], axis=1))
        return cls(once, back.reshape(-1), points_xy_m.shape[:-1], shapely.points(once), lines)

    def spread(self, values: np.ndarray) -> np.ndarray:
        """Values of the points that are different, in the shape of the given points; their unit."""
        return values[self.back].reshape(self.shape)


def point_distances_m(target: Target, spots: Spots) -> np.ndarray:
    """Signed distance (metres) of points to a target, of their shape; infinite where nothing is left to measure to.

    Outside the own land it is the distance to the whole outline, negative, waived or not.
    """
    away = _nearest_m(target, spots.points)
    if target.area is not None:
        inside = shapely.intersects_xy(target.area, spots.xy_m[:, 0], spots.xy_m[:, 1])
        if target.is_own:
            if not inside.all():
                away[~inside] = boundary_distances_m(target.area, spots.xy_m[~inside])
        else:
            away[inside] = 0.0 - away[inside]
    return spots.spread(away)


def guy_distances_m(target: Target, spots: Spots) -> np.ndarray:
    """Signed distance (metres) of the plan lines from the base to each point, of their shape.

    Negative where a line runs outside the own land or inside an area: less the length of it that does.
    """
    lines = spots.guys
    away = _nearest_m(target, lines)
    if target.area is None:
        return spots.spread(away)
    wrong = ~shapely.covers(target.area, lines) if target.is_own else shapely.intersects(target.area, lines)
    if wrong.any():
        take = shapely.difference if target.is_own else shapely.intersection
        lengths = shapely.length(take(lines[wrong], target.area.buffer(ON_THE_LINE_M if target.is_own else -ON_THE_LINE_M, join_style="mitre")))
        away[wrong] = np.where(lengths > ON_THE_LINE_M, -lengths, away[wrong])
    return spots.spread(away)


def _nearest_m(target: Target, geometries: np.ndarray) -> np.ndarray:
    """Distance (metres) of each geometry to the nearest piece; infinite without pieces."""
    if target.is_empty:
        return np.full(geometries.size, math.inf)
    _, distance = target.tree.query_nearest(geometries, return_distance=True, all_matches=False)
    return distance


def nearest_pair_m(target: Target, part: Any) -> tuple[tuple[float, float], tuple[float, float], int]:
    """The nearest point on a part of the mast, the one on the target (both x, y in metres), and whose it is.

    Outside the own land it is the nearest point of the whole outline.

    Args:
        part: a point, or a guy's plan line.
    """
    if target.is_own and (target.is_empty or (shapely.get_type_id(part) in POINT and not target.area.intersects(part))):
        tie = shapely.get_coordinates(shapely.shortest_line(part, target.area.boundary))
        return _xy(tie[0]), _xy(tie[1]), -1
    nearest = int(target.tree.query_nearest(part, all_matches=False)[0])
    tie = shapely.get_coordinates(shapely.shortest_line(part, target.pieces[nearest]))
    return _xy(tie[0]), _xy(tie[1]), int(target.owners[nearest])


def _xy(point: np.ndarray) -> tuple[float, float]:
    return float(point[0]), float(point[1])
