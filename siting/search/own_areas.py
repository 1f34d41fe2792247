"""Many bases on their own land: whose land each lies on, and how far each is from what a rule measures to."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from siting.search.land_ground import OwnArea, TargetedRule, TileGround


def base_away_m(rule: TargetedRule, x_m: np.ndarray, y_m: np.ndarray) -> np.ndarray:
    """Distance of bases, on their own land, to what a rule measures to; negative inside an area to keep out of."""
    if not rule.is_own:
        return rule.shape.away_m(x_m, y_m, rule.cap_m)
    from siting.screening.segments import nearest_m

    return nearest_m(rule.shape.pieces, x_m, y_m)


@dataclass(frozen=True, slots=True)
class Held:
    """Whose land each base lies on: the number of the own area, -1 on nobody's; and the distance to that area's line, metres.

    `boundary_m` is infinite where no own area holds the base, or no parcels were given.
    """

    areas: tuple[OwnArea, ...]
    number: np.ndarray
    boundary_m: np.ndarray

    @property
    def is_held(self) -> np.ndarray:
        """Which bases lie on own land; no unit."""
        return self.number >= 0

    @property
    def window(self) -> tuple[slice, ...] | None:
        """The part of the arrays around all bases on own land, None where there are none."""
        return _windows(np.minimum(self.number, 0), 1)[0]

    @property
    def windows(self) -> list[tuple[slice, ...] | None]:
        """The part of the arrays around the bases of each area, None where it holds none."""
        return _windows(self.number, len(self.areas))


def _windows(number: np.ndarray, count: int) -> list[tuple[slice, ...] | None]:
    """The part of an array around each number, None where it is not in it."""
    from siting.screening.holders import windows_of

    sides = windows_of(np.atleast_2d(number), count).tolist()
    return [(slice(a, b), slice(c, d))[-number.ndim :] if a < b else None for a, b, c, d in sides]


def held_by(ground: TileGround, x_m: np.ndarray, y_m: np.ndarray) -> Held:
    """The own area that holds each base; of several parcels over one base the one whose line is nearest."""
    from siting.screening.holders import holders_of, lands_of

    areas = ground.own_areas
    if any(area.shape is None for area in areas):
        return Held(areas, np.zeros(x_m.shape, dtype=np.int32), np.full(x_m.shape, np.inf))
    lands = lands_of([area.shape.pieces for area in areas], [area.shape.outline for area in areas])
    return Held(areas, *holders_of(lands, x_m, y_m))
