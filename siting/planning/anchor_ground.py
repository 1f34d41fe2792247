"""The ground around each anchor as the methods of its hold ask for it: a profile along the guy, rings around the stake."""

from __future__ import annotations

import numpy as np

from siting.dig.ground import DigGround
from siting.holding.ground_places import ACROSS_M, LINE_M, POINTS_ON_RING, RINGS_M, STEP_M
from siting.records.holding import GroundAt


def grounds_at(
    ground: DigGround, places: dict[str, tuple[float, float]], slopes_percent: dict[str, float | None]
) -> dict[str, GroundAt]:
    """The ground at each place, cut off where the DEM's ends; heights in metres above the place's own.

    Args:
        places: (radius in metres, true azimuth in degrees) from the base; outward is along the azimuth.
        slopes_percent: of the DEM's cell there; None counts as the slope of the samples.
    """
    turn = np.arange(POINTS_ON_RING) * 2.0 * np.pi / POINTS_ON_RING
    ring_u = np.concatenate([[0.0], np.outer(RINGS_M, np.cos(turn)).ravel()])
    ring_v = np.concatenate([[0.0], np.outer(RINGS_M, np.sin(turn)).ravel()])
    u = np.concatenate([LINE_M, [0.0, 0.0], ring_u])
    v = np.concatenate([np.zeros(LINE_M.size), [-ACROSS_M, ACROSS_M], ring_v])
    radius, azimuth = (np.array([p[k] for p in places.values()])[:, None] for k in (0, 1))
    out = np.radians(azimuth)
    x = (radius + u) * np.sin(out) + v * np.cos(out)
    y = (radius + u) * np.cos(out) - v * np.sin(out)
    heights = ground.heights_m(x, y)
    own = LINE_M.size + 2
    return {
        name: _ground_at(LINE_M, rises[: LINE_M.size], rises[LINE_M.size : own], rises[own + 1 :], slopes_percent[name])
        for name, rises in zip(places, heights - heights[:, own : own + 1], strict=True)
    }


def _ground_at(s_m: np.ndarray, rise: np.ndarray, sides: np.ndarray, rings: np.ndarray, slope_percent: float | None) -> GroundAt:
    """One place's record out of its samples."""
    known = np.isfinite(rise)
    middle = int(np.flatnonzero(s_m == 0.0)[0])
    gaps = np.flatnonzero(~known)
    first = int(gaps[gaps < middle].max()) + 1 if (gaps < middle).any() else 0
    last = int(gaps[gaps > middle].min()) if (gaps > middle).any() else s_m.size
    lowest = np.minimum.accumulate(np.minimum(rings.reshape(RINGS_M.size, -1).min(axis=1), 0.0))
    count = int(np.argmax(~np.isfinite(lowest))) if not np.isfinite(lowest).all() else lowest.size
    across = 100.0 * (sides[1] - sides[0]) / (2.0 * ACROSS_M)
    along = 100.0 * np.gradient(rise[first:last], STEP_M)[middle - first] if last - first > 1 else 0.0
    across = float(across) if np.isfinite(across) else 0.0
    return GroundAt(
        s_m=tuple(s_m[first:last].tolist()),
        rise_m=tuple(rise[first:last].tolist()),
        across_percent=across,
        slope_percent=float(np.hypot(along, across)) if slope_percent is None else slope_percent,
        lowest_rise_m=tuple(lowest[:count].tolist()),
        radii_m=tuple(RINGS_M[:count].tolist()),
    )
