"""Which laydown azimuths the land leaves to a base: anchors and guys on the own land, clear of obstacles, within the rules."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from siting.checks.columns import least_used
from siting.checks.rule_distances import ANCHOR, BASE, GUY, Part, outermost
from siting.checks.rule_findings import at_the_limit
from siting.records.mast import Mast
from siting.search.land_ground import OwnArea, TargetedRule, TileGround
from siting.search.own_areas import base_away_m, held_by
from siting.verdict import UTILISATION_MAX

# Anchors nearer to each other than this are one place, as they are on many azimuths (layout.targets).
SAME_POINT_DECIMALS = 6
# So many bases are worked on at once: every anchor of every azimuth is asked of each.
AT_ONCE = 1024
OFF_M = -1.0  # stands for any distance on the wrong side: all of them fail and are used up alike


def azimuths_on_land(ground: TileGround, x_m: np.ndarray, y_m: np.ndarray, anchor_xy_m: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """(n, K) bool and float64: the azimuths on which anchors and guys break no check of the land, and the largest utilisation
    of those checks; no unit.

    Args:
        ground: the land around these bases; x_m, y_m: (n,) bases in its ground metres.
        anchor_xy_m: (K, A, 2) the mast's anchors from their base.
    """
    x, y = (np.ascontiguousarray(v, dtype=float) for v in (x_m, y_m))
    places = _Places(ground.job.site.mast, np.asarray(anchor_xy_m, float))
    shape = (x.size, anchor_xy_m.shape[0])
    allowed, used = np.zeros(shape, dtype=bool), np.full(shape, UTILISATION_MAX)
    held = held_by(ground, x, y)
    for number in np.unique(held.number[held.is_held]).tolist():
        cells = np.flatnonzero(held.number == number)
        for begin in range(0, cells.size, AT_ONCE):
            some = cells[begin : begin + AT_ONCE]
            may, most = _judged(ground, held.areas[number], places, x[some], y[some])
            allowed[some], used[some] = may.T, most.T
    return allowed, used


@dataclass(frozen=True)
class _Places:
    """Where the anchors stand from their base on every azimuth (K, A, 2)."""

    mast: Mast
    anchor_xy_m: np.ndarray

    def of(self, anchors: tuple[int, ...]) -> tuple[np.ndarray, np.ndarray]:
        """The different places (U, 2) of some anchors, and which of them is each anchor's on each azimuth (K, anchors)."""
        flat = self.anchor_xy_m[:, list(anchors)].reshape(-1, 2)
        rounded = np.round(flat, SAME_POINT_DECIMALS)
        _, first, back = np.unique(rounded[:, 0] + 1j * rounded[:, 1], return_index=True, return_inverse=True)
        return np.ascontiguousarray(flat[first]), back.reshape(-1, len(anchors))

    @property
    def guys(self) -> tuple[int, ...]:
        """The anchors, the winch's too, whose lines hold all the others'."""
        return tuple(i for i, _ in outermost(list(enumerate(self.mast.anchors))))


def _judged(ground: TileGround, area: OwnArea, places: _Places, x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """(K, n) allowed and utilisation of bases that an own area holds."""
    from siting.screening.guy_lines import guys_meet

    allowed = np.ones((places.anchor_xy_m.shape[0], x.size), dtype=bool)
    ends, which = places.of(places.guys)
    crossing = guys_meet(ground.standing.pieces, x, y, ends)
    if ground.standing.outline is not None:
        crossing |= ground.standing.is_inside(x, y)
    if area.shape is not None:  # a base on its own land leaves it only across its line
        crossing |= guys_meet(area.shape.pieces, x, y, ends)
    for guy in which.T:
        allowed &= ~crossing[guy]
    if ground.lying.outline is not None:  # of things drawn as lines or points an anchor stands on none
        ends, which = places.of(tuple(range(len(places.mast.anchors))))
        standing = np.zeros((ends.shape[0], x.size), dtype=bool)
        near = ground.lying.away_m(x, y, np.inf) <= places.mast.reach_m
        standing[:, near] = ground.lying.is_inside(x[near] + ends[:, :1], y[near] + ends[:, 1:])
        for anchor in which.T:
            allowed &= ~standing[anchor]
    used = np.where(allowed, 0.0, UTILISATION_MAX)
    for rule in (*ground.shared_rules, *area.rules):
        if rule.by_azimuth:
            found_m = at_the_limit(_found_m(rule, places, x, y), rule.limit_m)
            allowed &= found_m >= rule.limit_m
            np.maximum(used, least_used(found_m, rule.limit_m), out=used)
    return allowed, used


def _found_m(rule: TargetedRule, places: _Places, x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """(K, n) what a rule finds: the least distance of its parts, negative on the wrong side."""
    found = np.full((places.anchor_xy_m.shape[0], x.size), np.inf)
    for part in (p for p in rule.parts if p.kind == BASE):
        np.minimum(found, np.minimum(base_away_m(rule, x, y), rule.cap_m) - part.less_m, out=found)
    for kind in (ANCHOR, GUY):
        parts = tuple(p for p in rule.parts if p.kind == kind)
        if parts:
            _take_parts(rule, parts, places, (x, y), found)
    return found


def _take_parts(
    rule: TargetedRule, parts: tuple[Part, ...], places: _Places, bases: tuple[np.ndarray, np.ndarray], found: np.ndarray
) -> None:
    """Brings `found` (K, n) down to the distances of these anchors, or of the guys to them."""
    from siting.screening.guy_lines import guys_meet, parts_nearest_m

    x, y = bases
    are_guys = parts[0].kind == GUY
    ends, which = places.of(tuple(p.index for p in parts))
    away = parts_nearest_m(rule.shape.pieces, x, y, ends, rule.cap_m, are_guys)
    if rule.shape.outline is not None:
        if not are_guys:
            inside = rule.shape.is_inside(x + ends[:, :1], y + ends[:, 1:])
            away[inside != rule.is_own] = OFF_M
        else:
            across = guys_meet(rule.shape.outline, x, y, ends)
            away[across if rule.is_own else across | rule.shape.is_inside(x, y)] = OFF_M
    for part, place in zip(parts, which.T, strict=True):
        np.minimum(found, np.minimum(away[place], rule.cap_m - part.radius_m) - part.less_m, out=found)
