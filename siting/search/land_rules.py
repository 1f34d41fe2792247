"""Every rule of the land as constraints on the base: what may stand where, and how its distance grows with the height."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from siting.checks.land import ANCHOR_ON_LAND, FALL_ZONE, FALL_ZONE_OBSTACLE, GROUND_KINDS, GUY_ON_LAND, LAYOUT_CLEAR, SETBACK
from siting.geodesy.frames import Frame
from siting.layout.anchors import anchor_azimuths_deg
from siting.layout.footprint import anchor_points_xy_m
from siting.layout.moves import Constraint, worst_margin_m
from siting.planning.land import LandOnGround
from siting.records.mast import Mast
from siting.records.site import Site

# Kept beyond every distance asked for: latitude and longitude are printed to 7 decimals (up to 8 mm), and at the new
# base distances are measured in its own frame (millimetres; at most a centimetre 1 km away and 500 m higher).
CLEAR_M = 0.02
BASE = (0.0, 0.0)


@dataclass(frozen=True, slots=True)
class LandRule:
    """A rule about one or several things, and how the distance that it asks for grows with the total height.

    It asks for the larger of factor × height + plus_m and floor_m; with circle = 1 it measures from the fall circle.
    """

    id: str  # of its check
    words: str
    constraints: tuple[Constraint, ...]
    factor: float = 0.0
    plus_m: float = 0.0
    floor_m: float = 0.0
    circle: float = 0.0

    def asked_m(self, height_m: float) -> float:
        """The distance from the base asked for at a total height, metres."""
        return max(self.factor * height_m + self.plus_m, self.floor_m) + self.circle * height_m

    @property
    def is_by_height(self) -> bool:
        """Whether a lower mast would be asked for less."""
        return self.factor + self.circle > 0

    @property
    def room_m(self) -> float:
        """What is found beyond what is asked for where the base stands now, metres; below 0 the rule is broken."""
        return worst_margin_m(self.constraints, 0.0, 0.0) + CLEAR_M


def tallest_m(rules: tuple[LandRule, ...], height_m: float, most_m: float | None = None) -> float | None:
    """The greatest total height, whole centimetres in metres, for which the rules that depend on it hold where the base stands.

    None where no height does, or none of the rules depends on the height. Anchors and guys are left as they are.

    Args:
        height_m: the total height that the rules were made for.
        most_m: the greatest height that a rule set allows.
    Source: each rule's own distance, solved for the height.
    """
    tops = [] if most_m is None else [most_m]
    for rule in rules:
        if not rule.is_by_height:
            continue
        found_m = rule.asked_m(height_m) + rule.room_m
        tops.append((found_m - rule.plus_m) / (rule.factor + rule.circle))
        if rule.circle:
            tops.append((found_m - rule.floor_m) / rule.circle)
        elif rule.floor_m > found_m:
            return None
    top_m = math.floor(100.0 * min(tops) + 1e-6) / 100.0 if tops else 0.0
    return top_m if top_m > 0 else None


def constraints_of(site: Site, land: LandOnGround, frame: Frame, azimuth_deg: float) -> tuple[Constraint, ...]:
    """All constraints of the site's own checks for a layout laid towards this true azimuth, metres from the base."""
    made = (*rules_of_base(site, land), *rules_of_layout(site, land, anchor_offsets_m(site.mast, frame, azimuth_deg)))
    return all_constraints(made)


def all_constraints(rules: tuple[LandRule, ...]) -> tuple[Constraint, ...]:
    """The constraints of these rules in their order, metres."""
    return tuple(c for rule in rules for c in rule.constraints)


def anchor_offsets_m(mast: Mast, frame: Frame, azimuth_deg: float) -> np.ndarray:
    """Where the anchors stand from the base (A, 2), metres grid east and north, laid towards a true azimuth."""
    azimuths = anchor_azimuths_deg(mast, np.array([azimuth_deg]))
    return anchor_points_xy_m(frame, azimuths, np.array([a.radius_m for a in mast.anchors]))[0]


def rules_of_base(site: Site, land: LandOnGround) -> tuple[LandRule, ...]:
    """Setback, fall circle and obstacles: the rules that only the base decides; metres."""
    rules = []
    if land.own is not None:
        factor = site.land.setback_factor.value
        for name, words, times in ((SETBACK, "the setback", factor), (FALL_ZONE, "the fall circle to the property line", 1.0)):
            inside = point_inside(name, BASE, times * site.mast.total_height_m, land.own.area)
            rules.append(LandRule(name, words, (inside,), factor=times))
    kinds = dict.fromkeys(o.kind for o in land.obstacles if o.kind not in GROUND_KINDS)
    for kind in kinds:
        name = f"{FALL_ZONE_OBSTACLE}:{kind}"
        things = together([o.geometry for o in land.obstacles if o.kind == kind])
        away = keep_away(name, BASE, BASE, site.mast.total_height_m, things)
        rules.append(LandRule(name, f"the fall circle to the nearest {kind.replace('_', ' ')}", (away,), factor=1.0))
    return tuple(rules)


def rules_of_layout(site: Site, land: LandOnGround, offsets_m: np.ndarray) -> tuple[LandRule, ...]:
    """Anchors and guys on the own land and clear of obstacles; metres.

    Args:
        offsets_m: (A, 2) the mast's anchors from the base, grid east and north.
    """
    standing = together([o.geometry for o in land.obstacles if o.kind not in GROUND_KINDS])
    lying = together([o.geometry for o in land.obstacles if o.kind in GROUND_KINDS])
    rules = []
    for anchor, xy in zip(site.mast.anchors, offsets_m, strict=True):
        end = (float(xy[0]), float(xy[1]))
        if land.own is not None:
            name = f"{ANCHOR_ON_LAND}:{anchor.id}"
            rules.append(LandRule(name, f"anchor {anchor.id} on the own land", (point_inside(name, end, 0.0, land.own.area),)))
            name = f"{GUY_ON_LAND}:{anchor.id}"
            guy = Constraint(name, BASE, end, CLEAR_M, inside=land.own.area)
            rules.append(LandRule(name, f"the guys to {anchor.id} on the own land", (guy,)))
        name = f"{LAYOUT_CLEAR}:{anchor.id}"
        clear = [keep_away(name, BASE, end, 0.0, standing)] if not standing.is_empty else []
        clear += [keep_away(name, end, end, 0.0, lying)] if not lying.is_empty else []
        if clear:
            rules.append(LandRule(name, f"{anchor.id} and its guys clear of obstacles", tuple(clear)))
    return tuple(rules)


def point_inside(name: str, xy_m: tuple[float, float], asked_m: float, area: Any) -> Constraint:
    """A point of the layout in an area, at least so far from its outline (metres), and a little more."""
    return Constraint(name, xy_m, xy_m, asked_m + CLEAR_M, inside=area)


def keep_away(name: str, start_xy_m: tuple[float, float], end_xy_m: tuple[float, float], asked_m: float, things: Any) -> Constraint:
    """A point or a guy of the layout at least so far from things (metres), and a little more."""
    return Constraint(name, start_xy_m, end_xy_m, asked_m + CLEAR_M, away=things)


def together(geometries: list[Any]) -> Any:
    """Several geometries as one collection; no unit."""
    return shapely.geometrycollections(geometries)
