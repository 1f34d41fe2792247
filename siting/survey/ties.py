"""Check distances: base to stakes, round the anchors, across them, and to physical features."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Protocol

from siting.geodesy.frames import Frame
from siting.geodesy.geodesic import azimuth_and_ground_m
from siting.records.plan import Stake
from siting.records.survey import ControlPoint, Tie

FEATURES_PER_ANCHOR = 2


class Located(Protocol):
    """A point with coordinates: a stake, a control point or a feature."""

    id: str
    lat: float
    lon: float
    easting: float
    northing: float
    height_m: float | None


def make_ties(
    stakes: tuple[Stake, ...], features: tuple[ControlPoint, ...], frame: Frame, base_height_m: float
) -> tuple[Tie, ...]:
    """Every tie of the plan: to the stakes from the base, between neighbouring stakes, across, and to features.

    The anchors are walked round by azimuth; a diagonal joins an anchor with the one nearest to opposite.
    """
    base = next(s for s in stakes if s.role == "base")
    others = [s for s in stakes if s.role not in ("base", "offset")]
    anchors = [s for s in others if s.role != "head"]
    ties = [_tie("base", base, s, frame, base_height_m) for s in others]
    ties += [_tie("neighbour", a, b, frame, base_height_m) for a, b in _round(anchors)]
    ties += [_tie("diagonal", a, b, frame, base_height_m) for a, b in _across(anchors)]
    for stake in [base, *anchors]:
        near = sorted(features, key=lambda f, s=stake: math.hypot(f.easting - s.easting, f.northing - s.northing))
        ties += [_tie("feature", stake, f, frame, base_height_m) for f in near[:FEATURES_PER_ANCHOR]]
    return tuple(ties)


def _round(anchors: list[Stake]) -> Iterable[tuple[Stake, Stake]]:
    """Neighbours by azimuth; of several on one line the nearer comes first."""
    ring = sorted(anchors, key=lambda s: (round(s.azimuth_deg, 6), s.radius_m))
    if len(ring) < 2:
        return []
    pairs = list(zip(ring, [*ring[1:], ring[0]], strict=True))
    return pairs if len(ring) > 2 else pairs[:1]


def _across(anchors: list[Stake]) -> Iterable[tuple[Stake, Stake]]:
    """Each anchor with the one that lies nearest to opposite it, every pair once."""
    seen, pairs = set(), []
    for a in anchors:
        others = [b for b in anchors if b.id != a.id]
        if not others:
            break
        b = min(others, key=lambda s, a=a: (abs(abs((s.azimuth_deg - a.azimuth_deg) % 360.0 - 180.0)), -s.radius_m))
        key = frozenset((a.id, b.id))
        if key not in seen and abs(abs((b.azimuth_deg - a.azimuth_deg) % 360.0 - 180.0)) <= 90.0:
            seen.add(key)
            pairs.append((a, b))
    return pairs


def _tie(kind: str, start: Located, end: Located, frame: Frame, base_height_m: float) -> Tie:
    azimuth, ground_m = azimuth_and_ground_m(start.lat, start.lon, end.lat, end.lon, base_height_m)
    east, north = end.easting - start.easting, end.northing - start.northing
    heights = (start.height_m, end.height_m)
    return Tie(
        kind=kind,
        start=start.id,
        end=end.id,
        ground_m=ground_m,
        grid_m=math.hypot(east, north) * frame.unit_m,
        slope_distance_m=None if None in heights else math.hypot(ground_m, heights[1] - heights[0]),
        azimuth_deg=azimuth,
        azimuth_grid_deg=math.degrees(math.atan2(east, north)) % 360.0,
    )
