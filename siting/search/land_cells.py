"""What the land says of every cell of a tile as a base: the plan's own checks of the base, for many bases at once.

The door to the land of a search: reading it (search_land) and the azimuths that it leaves (land_azimuths) are found here too.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from siting.checks.land import GROUND_KINDS
from siting.checks.rule_findings import AT_THE_LIMIT_M, at_the_limit
from siting.geodesy.frames import Frame
from siting.planning.ground import setback_m
from siting.records.search import FATES, SearchJob
from siting.records.site import Site
from siting.search.land_azimuths import allowed_azimuths as allowed_azimuths
from siting.search.land_ground import OwnArea, TileGround
from siting.search.own_areas import base_away_m, held_by, window_of
from siting.search.search_land import SearchLand
from siting.search.search_land import read_search_land as read_search_land
from siting.verdict import UTILISATION_MAX

UNDECIDED = 255
OUTSIDE, OFF_LAND, SETBACK, OBSTACLE, RULE = (
    FATES.index(v) for v in ("outside the area", "off the own land", "setback or fall circle", "obstacle in the fall circle", "rule of the land")
)


@dataclass(frozen=True, slots=True)
class TileLand:
    """What the land says of cells, arrays of their shape.

    `used`: largest utilisation of the checks of the base, at most 10, 0 where nothing is checked. `fate` uint8: index into
    records.search.FATES of the first that removes the cell, 255 where nothing does. `near`: anchors or guys could break
    something there, so the azimuths must be asked; elsewhere every azimuth is allowed.
    """

    used: np.ndarray
    fate: np.ndarray
    near: np.ndarray


def land_of_tile(land: SearchLand, frame: Frame, job: SearchJob, x_m: np.ndarray, y_m: np.ndarray) -> TileLand:
    """The checks of the base on every cell; no unit.

    A search does not know how the mast will lie: of overhead lines the falling mast alone is judged. Where all anchors stand
    within the total height that is the plan's whole check, elsewhere the plan may find less distance.

    Args:
        frame: of a base in the middle of the cells; x_m, y_m: the cells' centres in its ground metres, (rows, cols) or (n,).
    """
    ground = TileGround(land, frame, job, x_m, y_m)
    cells = _Cells.at(job.site, np.asarray(x_m, float), np.asarray(y_m, float))
    if land.area is not None:
        from siting.screening.segments import is_inside

        cells.remove(~is_inside(ground.area, cells.x_m, cells.y_m), OUTSIDE)
    cells.judge_heights()
    cells.judge_obstacles(ground)
    is_held = np.zeros(cells.x_m.shape, dtype=bool)
    for part, inside in held_by(ground, cells.x_m, cells.y_m):
        cells.judge_own(part, inside)
        is_held |= inside
    if land.parcels is not None:
        cells.judge_others_land(~is_held)
    return TileLand(cells.used, cells.fate, cells.near)


@dataclass(frozen=True, slots=True)
class _Cells:
    """Cells while the checks are held against them; the arrays are filled in place."""

    site: Site
    x_m: np.ndarray
    y_m: np.ndarray
    used: np.ndarray
    fate: np.ndarray
    near: np.ndarray

    @classmethod
    def at(cls, site: Site, x_m: np.ndarray, y_m: np.ndarray) -> _Cells:
        """Cells that nothing was held against."""
        return cls(site, x_m, y_m, np.zeros(x_m.shape), np.full(x_m.shape, UNDECIDED, dtype=np.uint8), np.zeros(x_m.shape, dtype=bool))

    def judge_heights(self) -> None:
        """The greatest total heights of the rule sets: one answer for all cells."""
        height_m = self.site.mast.total_height_m
        for most_m in (v.height_most_m for v in self.site.rules.sets if v.height_most_m is not None):
            value_m = float(at_the_limit(height_m, most_m))
            np.maximum(self.used, min(value_m / most_m, UTILISATION_MAX) if most_m > 0 else UTILISATION_MAX, out=self.used)
            self.remove(np.full(self.fate.shape, value_m > most_m), RULE)

    def judge_obstacles(self, ground: TileGround) -> None:
        """The fall circle against the nearest obstacle of each kind, and against overhead lines with their distance."""
        mast = self.site.mast
        total_m = mast.total_height_m
        for kind, shape in ground.kinds.items():
            is_ground = kind in GROUND_KINDS
            away_m = shape.away_m(self.x_m, self.y_m, mast.reach_m if is_ground else ground.land.obstacles.reach_m)
            np.logical_or(self.near, away_m <= mast.reach_m, out=self.near)
            if not is_ground:
                self._hold(np.maximum(away_m, 0.0), total_m, OBSTACLE)
        for asked_m, can_pass, shape in ground.lines:
            room_m = np.maximum(shape.away_m(self.x_m, self.y_m, ground.land.obstacles.reach_m), 0.0) - total_m
            # Above the table keeping the distance is no pass: it stays unchecked.
            self._hold(room_m if can_pass else np.where(room_m < asked_m, room_m, np.inf), asked_m, OBSTACLE)

    def judge_own(self, area: OwnArea, is_held: np.ndarray) -> None:
        """Setback, fall circle and the rules of the rule files on the cells that an own area holds."""
        if not is_held.any():
            return
        window = window_of(is_held)
        here = is_held[window]
        part = _Cells.at(self.site, self.x_m[window], self.y_m[window])
        part._judge_area(area)
        np.maximum(self.used[window], part.used, out=self.used[window], where=here)
        np.minimum(self.fate[window], part.fate, out=self.fate[window], where=here)
        np.logical_or(self.near[window], part.near, out=self.near[window], where=here)

    def judge_others_land(self, is_off: np.ndarray) -> None:
        """Bases that do not stand on the own land: setback and fall circle fail there, and so does every azimuth."""
        np.copyto(self.used, UTILISATION_MAX, where=is_off)
        np.copyto(self.near, True, where=is_off)
        self.remove(is_off, OFF_LAND)

    def _judge_area(self, area: OwnArea) -> None:
        """The checks of one own area as if all cells lay in it."""
        from siting.screening.segments import nearest_m

        mast = self.site.mast
        if area.shape is not None:
            boundary_m = nearest_m(area.shape.pieces, self.x_m, self.y_m)
            self._hold(boundary_m, max(setback_m(self.site), mast.total_height_m), SETBACK)
            np.logical_or(self.near, boundary_m <= mast.reach_m, out=self.near)
        away: dict[tuple, np.ndarray] = {}
        for rule in area.rules:
            if rule.key not in away:
                away[rule.key] = base_away_m(rule, self.x_m, self.y_m)
            if rule.by_azimuth:
                np.logical_or(self.near, away[rule.key] <= rule.reach_m + AT_THE_LIMIT_M, out=self.near)
            else:
                found_m = np.minimum(away[rule.key], rule.cap_m) - rule.parts[0].less_m
                self._hold(at_the_limit(found_m, rule.limit_m), rule.limit_m, RULE)

    def _hold(self, values_m: np.ndarray, limit_m: float, fate: int) -> None:
        """A least value held against the cells: utilisation, and the fate of those that fail."""
        from siting.screening.least_values import hold_least

        values, used, fates = (np.atleast_2d(v) for v in (values_m, self.used, self.fate))  # views, which are filled
        hold_least(values, float(limit_m), np.uint8(fate), used, fates)

    def remove(self, fails: np.ndarray, fate: int) -> None:
        """The cells that fail get this fate where nothing earlier removed them."""
        np.minimum(self.fate, fate, out=self.fate, where=fails)
