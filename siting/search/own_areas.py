"""Many bases on their own land: whose land each lies on, and how far each is from what a rule measures to."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from siting.search.land_ground import OwnArea, TargetedRule, TileGround


def base_away_m(rule: TargetedRule, x_m: np.ndarray, y_m: np.ndarray) -> np.ndarray:
    """Distance of bases, on their own land, to what a rule measures to; negative inside an area to keep out of."""
    if not rule.is_own:
        return rule.shape.away_m(x_m, y_m, rule.cap_m)
    from siting.screening.segments import nearest_m

    return nearest_m(rule.shape.pieces, x_m, y_m)


def window_of(mask: np.ndarray) -> tuple[slice, ...]:
    """The part of an array that holds all true cells."""
    return tuple(slice(int(v.min()), int(v.max()) + 1) for v in np.nonzero(mask))


def held_by(ground: TileGround, x_m: np.ndarray, y_m: np.ndarray) -> Iterator[tuple[OwnArea, np.ndarray]]:
    """Each own area with the cells that lie in it; of several parcels over one cell the one whose line is nearest."""
    from siting.screening.segments import is_inside, nearest_m

    areas = list(ground.own_areas())
    holder, nearest = np.full(x_m.shape, -1), np.full(x_m.shape, math.inf)
    for number, area in enumerate(areas):
        if area.shape is None:
            yield area, np.ones(x_m.shape, dtype=bool)
            return
        west, south, east, north = area.own.area.bounds
        around = (x_m >= west) & (x_m <= east) & (y_m >= south) & (y_m <= north)
        if not around.any():
            continue
        window = window_of(around)
        inside = is_inside(area.shape.outline, x_m[window], y_m[window])
        if len(areas) > 1:
            away_m = nearest_m(area.shape.pieces, x_m[window], y_m[window])
            inside &= away_m < nearest[window]
            nearest[window][inside] = away_m[inside]
        holder[window][inside] = number
    for number, area in enumerate(areas):
        if (holder == number).any():
            yield area, holder == number
