"""The own land's outline without the lines that neighbours have waived."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import shapely

from siting.layout.targets import pieces_of

# Lines of two neighbours that lie nearer than this are the same line, drawn twice: common practice, no source.
SAME_LINE_M = 0.5
# A piece that runs away from the neighbour's corner by less than this angle is another's line, not the shared one.
SQUARE_ENOUGH = math.cos(math.radians(45.0))
NO_DISTANCE_M = 1e-6


def line_that_counts(area: Any, waived: list[Any]) -> tuple[Any, list[bool]]:
    """The outline of the own land less what it shares with waived neighbours, and which of them share any of it.

    A piece is shared where it lies within half a metre of the neighbour's outline, beside it and not across the own land:
    the next neighbour's line is not cut at the corner, nor the other side of a narrow strip.

    Args:
        area: the own land; waived: the neighbours' areas, ground metres both.
    """
    line, shares = area.boundary, []
    shapely.prepare(area)
    for neighbour in waived:
        near = neighbour.boundary.buffer(SAME_LINE_M)
        pieces = _split(pieces_of(_lines(shapely.intersection(line, near))), neighbour.boundary)
        shared = _shared(pieces, neighbour, area)
        shares.append(bool(shared.any()))
        if shared.any():
            line = shapely.multilinestrings(np.concatenate([pieces_of(_lines(shapely.difference(line, near))), pieces[~shared]]))
    return line, shares


def _lines(geometry: Any) -> Any:
    """Only the lines of a geometry: where two outlines touch in a point nothing is shared."""
    return shapely.multilinestrings([p for p in shapely.get_parts(geometry) if p.geom_type in ("LineString", "LinearRing")])


def _split(pieces: np.ndarray, outline: Any) -> np.ndarray:
    """The straight pieces cut where the neighbour's outline crosses them or has a corner beside them."""
    corners = shapely.points(shapely.get_coordinates(outline))
    made = []
    for piece in pieces:
        beside = corners[shapely.dwithin(corners, piece, SAME_LINE_M)]
        crossing = shapely.points(shapely.get_coordinates(shapely.intersection(piece, outline)))
        length = shapely.length(piece)
        at = np.unique([0.0, length, *shapely.line_locate_point(piece, beside), *shapely.line_locate_point(piece, crossing)])
        at = at[np.concatenate([[True], np.diff(at) > NO_DISTANCE_M])]
        at[-1] = length
        xy = shapely.get_coordinates(shapely.line_interpolate_point(piece, at))
        xy[[0, -1]] = shapely.get_coordinates(piece)[[0, -1]]
        made.append(shapely.linestrings(np.stack([xy[:-1], xy[1:]], axis=1)))
    return np.concatenate(made) if made else pieces


def _shared(pieces: np.ndarray, neighbour: Any, area: Any) -> np.ndarray:
    """Which straight pieces of the outline are the neighbour's line too, (N,)."""
    if not pieces.size:
        return np.zeros(0, dtype=bool)
    ends = shapely.get_coordinates(pieces).reshape(-1, 2, 2)
    middle = ends.mean(axis=1)
    tie = shapely.get_coordinates(shapely.shortest_line(shapely.points(middle), neighbour.boundary)).reshape(-1, 2, 2)
    across = tie[:, 1] - tie[:, 0]
    away = np.hypot(across[:, 0], across[:, 1])
    along = ends[:, 1] - ends[:, 0]
    length = np.hypot(along[:, 0], along[:, 1])
    touching = away < NO_DISTANCE_M
    with np.errstate(invalid="ignore", divide="ignore"):
        runs_away = np.abs((along * across).sum(axis=1)) > SQUARE_ENOUGH * away * length
    halfway = shapely.points(middle + across / 2.0)
    through_own = shapely.contains_properly(area, halfway) & ~shapely.intersects(neighbour, halfway)
    return touching | ~(runs_away | through_own)
