"""Whether any allowed place lies nearer: a search over all moves of the base that leaves none out.

Squares of moves are halved. A margin changes by no more than the base moves, so a square whose middle is short by more
than half its diagonal holds no allowed place, and need not be halved further.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

SQUARES_MOST = 400_000


def allowed_place_within(margins_m: Callable[[np.ndarray], np.ndarray], radius_m: float, smallest_m: float = 0.0005):
    """A move (east, north) shorter than `radius_m` with margins of 0 and more, or None: every square is looked at or ruled out.

    Args:
        margins_m: worst margins (metres) of moves (n, 2).
        smallest_m: half side of the squares at which the search ends.
    """
    half = 2.0 ** math.ceil(math.log2(max(radius_m, 1.0)))
    middles = np.array([[0.0, 0.0]])
    looked_at = 0
    while len(middles) and half > smallest_m:
        middles = middles[np.hypot(*np.maximum(np.abs(middles) - half, 0.0).T) < radius_m]
        worst = margins_m(middles)
        looked_at += len(middles)
        assert looked_at < SQUARES_MOST, "the search does not come to an end"
        found = (worst >= 0) & (np.hypot(*middles.T) < radius_m)
        if found.any():
            return middles[found][0]
        middles = middles[worst + half * math.sqrt(2.0) >= 0]
        half /= 2.0
        corners = half * np.array([[-1, -1], [-1, 1], [1, -1], [1, 1]])
        middles = (middles[:, None, :] + corners[None, :, :]).reshape(-1, 2)
    return None
