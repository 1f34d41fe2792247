"""What the land says of every cell of a tile as a base: the plan's own checks of the base, for many bases at once.

The door to the land of a search: reading it (search_land) and the azimuths that it leaves (land_azimuths) are found here too.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from siting.checks.land import GROUND_KINDS
from siting.checks.rule_findings import AT_THE_LIMIT_M, at_the_limit
from siting.planning.ground import setback_m
from siting.records.search import FATES
from siting.records.site import Site
from siting.search.land_azimuths import azimuths_on_land as azimuths_on_land
from siting.search.land_ground import TargetedRule
from siting.search.land_ground import TileGround as TileGround
from siting.search.own_areas import Held, base_away_m, held_by
from siting.search.search_land import read_search_land as read_search_land
from siting.verdict import UTILISATION_MAX

UNDECIDED = 255
ANYBODY = -1
# Far more than the roundings of a distance of some kilometres, far less than what decides.
ROUNDING_M = 1e-6
OUTSIDE, OFF_LAND, SETBACK, OBSTACLE, RULE = (
    FATES.index(v) for v in ("outside the area", "off the own land", "setback or fall circle", "obstacle in the fall circle", "rule of the land")
)


@dataclass(frozen=True, slots=True)
class TileLand:
    """What the land says of cells, arrays of their shape.

    `used`: largest utilisation of the checks of the base, at most 10, 0 where nothing is checked. `fate` uint8: index into
    records.search.FATES of the first that removes the cell, 255 where nothing does. `near`: anchors or guys could break
    something there, so the azimuths must be asked; elsewhere every azimuth is allowed, and uses at most `by_azimuth` of the
    rules that are measured from anchors or guys.
    """

    used: np.ndarray
    fate: np.ndarray
    near: np.ndarray
    by_azimuth: np.ndarray


def land_of_tile(ground: TileGround, x_m: np.ndarray, y_m: np.ndarray) -> TileLand:
    """The checks of the base on every cell; no unit.

    A search does not know how the mast will lie: of overhead lines the falling mast alone is judged. Where all anchors stand
    within the total height that is the plan's whole check, elsewhere the plan may find less distance.

    Args:
        ground: the land around these cells; x_m, y_m: their centres in its ground metres, (rows, cols) or (n,).
    """
    cells = _Cells.at(ground.job.site, np.asarray(x_m, float), np.asarray(y_m, float))
    if ground.land.area is not None:
        from siting.screening.segments import is_inside

        cells.remove(~is_inside(ground.area, cells.x_m, cells.y_m), OUTSIDE)
    cells.judge_heights()
    cells.judge_obstacles(ground)
    held = held_by(ground, cells.x_m, cells.y_m)
    cells.judge_own(ground, held)
    if ground.land.parcels is not None:
        cells.judge_others_land(~held.is_held)
    return TileLand(cells.used, cells.fate, cells.near, cells.by_azimuth)


@dataclass(frozen=True, slots=True)
class _Cells:
    """Cells while the checks are held against them; the arrays are filled in place."""

    site: Site
    x_m: np.ndarray
    y_m: np.ndarray
    used: np.ndarray
    fate: np.ndarray
    near: np.ndarray
    by_azimuth: np.ndarray

    @classmethod
    def at(cls, site: Site, x_m: np.ndarray, y_m: np.ndarray) -> _Cells:
        """Cells that nothing was held against."""
        fate, near = np.full(x_m.shape, UNDECIDED, dtype=np.uint8), np.zeros(x_m.shape, dtype=bool)
        return cls(site, x_m, y_m, np.zeros(x_m.shape), fate, near, np.zeros(x_m.shape))

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

    def judge_own(self, ground: TileGround, held: Held) -> None:
        """Setback, fall circle and the rules of the rule files on the cells that own land holds."""
        mast = self.site.mast
        if ground.land.parcels is not None:
            self._hold(held.boundary_m, max(setback_m(self.site), mast.total_height_m), SETBACK)
            np.logical_or(self.near, held.boundary_m <= mast.reach_m, out=self.near)
        if not held.is_held.any():
            return
        if ground.shared_rules:
            self._judge_rules(ground.shared_rules, held, ANYBODY, held.window)
        for number, window in enumerate(held.windows) if any(area.rules for area in held.areas) else ():
            if window is not None:
                self._judge_rules(held.areas[number].rules, held, number, window)

    def judge_others_land(self, is_off: np.ndarray) -> None:
        """Bases that do not stand on the own land: setback and fall circle fail there, and so does every azimuth."""
        np.copyto(self.used, UTILISATION_MAX, where=is_off)
        np.copyto(self.near, True, where=is_off)
        self.remove(is_off, OFF_LAND)

    def _judge_rules(self, rules: tuple[TargetedRule, ...], held: Held, holder: int, window: tuple[slice, ...]) -> None:
        """Rules on the cells of one holder, or of all: held against the base, or how far anchors and guys may use them up.

        Args:
            window: the part of the cells around those that it holds.
        """
        from siting.screening.least_values import hold_rule, may_use

        x_m, y_m = self.x_m[window], self.y_m[window]
        shape = None if holder == ANYBODY else held.areas[holder].shape
        holders, used, fate, near, most = (np.atleast_2d(v[window]) for v in (held.number, self.used, self.fate, self.near, self.by_azimuth))
        away: dict[tuple, np.ndarray] = {}
        for rule in rules:
            if rule.key not in away:
                is_known = shape is not None and rule.shape.pieces is shape.pieces
                away[rule.key] = np.atleast_2d(held.boundary_m[window] if is_known else base_away_m(rule, x_m, y_m))
            if rule.by_azimuth:
                terms = rule.cap_m, rule.reach_m - rule.limit_m + ROUNDING_M, rule.limit_m, AT_THE_LIMIT_M
                may_use(away[rule.key], holders, holder, terms, rule.reach_m + AT_THE_LIMIT_M, near, most)
            else:
                terms = rule.cap_m, rule.parts[0].less_m, rule.limit_m, AT_THE_LIMIT_M
                hold_rule(away[rule.key], holders, holder, terms, np.uint8(RULE), used, fate)

    def _hold(self, values_m: np.ndarray, limit_m: float, fate: int) -> None:
        """A least value held against the cells: utilisation, and the fate of those that fail."""
        from siting.screening.least_values import hold_least

        values, used, fates = (np.atleast_2d(v) for v in (values_m, self.used, self.fate))  # views, which are filled
        hold_least(values, float(limit_m), np.uint8(fate), used, fates)

    def remove(self, fails: np.ndarray, fate: int) -> None:
        """The cells that fail get this fate where nothing earlier removed them."""
        np.minimum(self.fate, fate, out=self.fate, where=fails)
