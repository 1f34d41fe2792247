"""Where a rule measures from: base, fall circle, anchors, guys; and their distances to what it measures to."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
import shapely

from siting.checks.rule_targets import Aim
from siting.checks.rule_words import BASE_PART
from siting.geodesy.frames import Frame
from siting.layout.footprint import anchor_points_xy_m
from siting.layout.targets import Spots, guy_distances_m, point_distances_m
from siting.records.mast import PERMANENT, WINCH, Anchor, Mast
from siting.records.rules import (
    ALL_ANCHORS,
    BASE_CENTRE,
    BASE_NEAREST,
    FALL_CIRCLE,
    GUY_ANCHORS,
    GUYS,
    NEAREST_PART,
    SetbackRule,
)

BASE, ANCHOR, GUY = "base", "anchor", "guy"
SAME_BEARING_DEG = 1e-9


@dataclass(frozen=True, slots=True)
class Part:
    """A part of the mast that a rule measures from."""

    kind: str  # base, anchor or guy
    index: int  # of its anchor in the mast, -1 for the base
    words: str  # the base, permanent anchor A1, guys to A1
    less_m: float = 0.0  # taken off the distance: the base's or the fall circle's radius
    radius_m: float = 0.0  # of its farthest point from the base


@dataclass(frozen=True, slots=True)
class Distances:
    """Signed distances (K or 1, P) of the parts of one rule, metres, already less what is taken off."""

    parts: tuple[Part, ...]
    by_part: np.ndarray
    capped: np.ndarray  # where nothing is nearer than the layer was read
    caps_m: np.ndarray  # (P,) what is known at least where nothing was found

    @property
    def values(self) -> np.ndarray:
        """The least over the parts, (K,) or (1,), metres."""
        return self.by_part.min(axis=1)

    def values_at(self, k: int) -> float:
        """The least over the parts on one azimuth, metres."""
        return float(self.by_part[self._row(k)].min())

    def nearest_part(self, k: int) -> Part:
        """The part that is nearest on one azimuth."""
        return self.parts[int(self.by_part[self._row(k)].argmin())]

    def is_capped(self, k: int) -> bool:
        """True where nothing was found within the reach of the layer."""
        row = self._row(k)
        return bool(self.capped[row, int(self.by_part[row].argmin())])

    def is_beyond_reading(self, limit_m: float) -> bool:
        """True where nothing was found, but the layer was not read as far as the rule asks."""
        return bool((self.capped & (self.caps_m < limit_m)).any())

    def _row(self, k: int) -> int:
        return k if self.by_part.shape[0] > 1 else 0


@dataclass(frozen=True, slots=True)
class Layout:
    """The mast on the ground for K azimuths: anchors' points (K, A, 2) in metres from the base."""

    mast: Mast
    frame: Frame
    points_xy_m: np.ndarray
    spots: dict[tuple[int, ...], Spots] = field(default_factory=dict)  # of the anchors with these indices, kept once made

    @classmethod
    def of(cls, mast: Mast, frame: Frame, anchor_azimuths_deg: np.ndarray) -> Layout:
        """The layout of a mast on these azimuths (K, A)."""
        radii_m = np.array([a.radius_m for a in mast.anchors])
        return cls(mast, frame, anchor_points_xy_m(frame, anchor_azimuths_deg, radii_m))

    @staticmethod
    def radius_m(rule: SetbackRule, mast: Mast) -> float:
        """How far from the base's centre the parts of a rule reach, with what is taken off its distance, metres."""
        return max((part.radius_m + part.less_m for part in parts_of(rule, mast)), default=0.0)

    def geometry(self, part: Part, k: int) -> Any:
        """A part on one azimuth as a point or a line, metres from the base."""
        if part.kind == BASE:
            return shapely.Point(0.0, 0.0)
        end = self.points_xy_m[k, part.index]
        return shapely.Point(end) if part.kind == ANCHOR else shapely.LineString([(0.0, 0.0), end])

    def distances(self, rule: SetbackRule, aim: Aim, measured: dict[tuple, np.ndarray]) -> Distances:
        """The distances of a rule's parts to what it measures to.

        Args:
            measured: what was measured before; filled, so that rules with one aim measure once.
        """
        parts = parts_of(rule, self.mast)
        if not parts:
            return Distances((), np.empty((1, 0)), np.empty((1, 0), dtype=bool), np.empty(0))
        found = [self._measure(kind, parts, aim, measured) for kind in dict.fromkeys(p.kind for p in parts)]
        rows = max(v.shape[0] for v in found)
        by_part = np.concatenate([np.broadcast_to(v, (rows, v.shape[1])) for v in found], axis=1)
        caps = np.array([np.inf if aim.reach_m is None else aim.reach_m - p.radius_m for p in parts])
        capped = by_part > caps
        less = np.array([p.less_m for p in parts])
        return Distances(parts, np.minimum(by_part, caps) - less, capped, caps - less)

    def _measure(self, kind: str, parts: tuple[Part, ...], aim: Aim, measured: dict[tuple, np.ndarray]) -> np.ndarray:
        """Distances (K or 1, number of parts of this kind), metres."""
        indices = tuple(p.index for p in parts if p.kind == kind)
        key = (id(aim), kind, indices)
        if key not in measured:
            if indices not in self.spots:
                self.spots[indices] = Spots.of(np.zeros((1, 1, 2)) if kind == BASE else self.points_xy_m[:, list(indices)])
            measure = guy_distances_m if kind == GUY else point_distances_m
            measured[key] = measure(aim.target, self.spots[indices])
        return measured[key]


def parts_of(rule: SetbackRule, mast: Mast) -> tuple[Part, ...]:
    """The parts of the mast that a rule measures from, the base before anchors before guys; none where it has no such."""
    less_m = {BASE_NEAREST: rule.base_radius_m, NEAREST_PART: rule.base_radius_m, FALL_CIRCLE: mast.total_height_m}
    base = Part(BASE, -1, BASE_PART, less_m.get(rule.measured, 0.0))
    if rule.measured in (BASE_CENTRE, BASE_NEAREST, FALL_CIRCLE):
        return (base,)
    counted = [(i, a) for i, a in enumerate(mast.anchors) if rule.anchors == ALL_ANCHORS or a.use == PERMANENT]
    anchors = tuple(Part(ANCHOR, i, f"{_use(a)} {a.id}", radius_m=a.radius_m) for i, a in counted)
    guys = tuple(Part(GUY, i, f"guys to {a.id}", radius_m=a.radius_m) for i, a in outermost([(i, a) for i, a in counted if a.use != WINCH]))  # the winch's has no guys
    return {GUY_ANCHORS: anchors, GUYS: guys, NEAREST_PART: (base, *anchors, *guys)}[rule.measured]


def _use(anchor: Anchor) -> str:
    return "winch anchor" if anchor.use == WINCH else f"{anchor.use} anchor"


def outermost(anchors: list[tuple[int, Anchor]]) -> list[tuple[int, Anchor]]:
    """Of the anchors in one direction the farthest: the plan line to it holds the others'; no unit."""
    return [
        (i, a)
        for i, a in anchors
        if not any(
            abs((b.bearing_deg - a.bearing_deg + 180.0) % 360.0 - 180.0) <= SAME_BEARING_DEG and (b.radius_m, -j) > (a.radius_m, -i)
            for j, b in anchors
        )
    ]
