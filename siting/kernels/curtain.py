"""Distance from straight pieces to vertical curtains that hang from the sky down to a straight lower edge.

Arrays of points (..., 3) that broadcast; all lengths share one unit.
"""

from __future__ import annotations

import numpy as np

# A lower edge down here is no edge: the curtain reaches every height that a mast does.
ANY_HEIGHT_M = -1.0e6


def curtain_distance(a: np.ndarray, b: np.ndarray, p: np.ndarray, q: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Distance of the piece a-b to the curtain above p-q, in the lengths' unit, and where along p-q (0 to 1).

    The nearest point is on the lower edge, or straight beside a point of the piece that is no lower than the edge: then the
    distance is the one in plan. In plan the least of two straight pieces is at an end of one of them or where they cross,
    so five pairs of places are looked at, and as many in space for the edge. Both sets are convex: a least in plan that lies
    under the edge throughout means that the edge itself is nearest.

    Source: derived; held against a general minimiser in tests/checks/test_power_lines.py.
    """
    a, b, p, q = np.broadcast_arrays(a, b, p, q)
    piece, edge, apart = (tuple(np.moveaxis(v, -1, 0)) for v in (b - a, q - p, a - p))
    best, at = _least_of(_pairs(piece, edge, apart), piece, edge, apart)
    for v, u in _pairs(piece[:2], edge[:2], apart[:2]):
        square = _square(piece[:2], edge[:2], apart[:2], v, u)
        is_nearer = (apart[2] + v * piece[2] - u * edge[2] >= 0.0) & (square < best)
        best, at = np.where(is_nearer, square, best), np.where(is_nearer, u, at)
    return np.sqrt(best), at


def _pairs(piece: tuple, edge: tuple, apart: tuple) -> list[tuple[np.ndarray, np.ndarray]]:
    """Places (v along the piece, u along the edge, 0 to 1) one of which is the least of two straight pieces."""
    dd, ee, de = _dot(piece, piece), _dot(edge, edge), _dot(piece, edge)
    dr, er = _dot(piece, apart), _dot(edge, apart)
    d1, e1 = np.where(dd > 0.0, dd, 1.0), np.where(ee > 0.0, ee, 1.0)
    zero, one = np.zeros_like(dd), np.ones_like(dd)
    spread = dd * ee - de * de
    is_across = spread > 1e-12 * dd * ee
    spread = np.where(is_across, spread, 1.0)
    v, u = (de * er - dr * ee) / spread, (dd * er - de * dr) / spread
    is_inside = is_across & (v >= 0.0) & (v <= 1.0) & (u >= 0.0) & (u <= 1.0)
    return [
        (zero, np.clip(er / e1, 0.0, 1.0)),
        (one, np.clip((er + de) / e1, 0.0, 1.0)),
        (np.clip(-dr / d1, 0.0, 1.0), zero),
        (np.clip((de - dr) / d1, 0.0, 1.0), one),
        (np.where(is_inside, v, 0.0), np.where(is_inside, u, 0.0)),
    ]


def _least_of(pairs: list, piece: tuple, edge: tuple, apart: tuple) -> tuple[np.ndarray, np.ndarray]:
    """The smallest squared distance of these pairs of places, and where along the edge."""
    best, at = _square(piece, edge, apart, *pairs[0]), pairs[0][1]
    for v, u in pairs[1:]:
        square = _square(piece, edge, apart, v, u)
        is_nearer = square < best
        best, at = np.where(is_nearer, square, best), np.where(is_nearer, u, at)
    return best, at


def _square(piece: tuple, edge: tuple, apart: tuple, v: np.ndarray, u: np.ndarray) -> np.ndarray:
    """Squared distance between a place on the piece and one on the edge."""
    total = 0.0
    for d, e, r in zip(piece, edge, apart, strict=True):
        gap = r + v * d - u * e
        total = total + gap * gap
    return total


def _dot(one: tuple, other: tuple) -> np.ndarray:
    total = one[0] * other[0]
    for a, b in zip(one[1:], other[1:], strict=True):
        total = total + a * b
    return total
