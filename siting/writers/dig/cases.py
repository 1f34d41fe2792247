"""The different cases of anchors to draw: those alike in rod, ground and hole share one drawing. Metres from the stake."""

from __future__ import annotations

import math
from dataclasses import dataclass

from siting.records.dig import DigPlan, Hole
from siting.records.holding import AnchorChoice, HoldingPlan
from siting.records.plan import Plan, Stake
from siting.writers.anchor_names import anchor_name
from siting.writers.dig.words import hole_of
from siting.writers.paper.canvas import Point

SAME_M = 0.005  # ground points nearer than this are one


@dataclass(frozen=True, slots=True)
class Ground:
    """The ground along a guy's line: points the records hold, (outward, above the stake), metres; straight between them."""

    points: tuple[Point, ...]

    def rise(self, out_m: float) -> float:
        """Ground above the stake's at this distance outward, metres; carried on in the last slope beyond the points."""
        points = self.points
        if len(points) == 1:
            return points[0][1]
        k = next((k for k in range(1, len(points) - 1) if out_m <= points[k][0]), len(points) - 1)
        (x0, z0), (x1, z1) = points[k - 1], points[k]
        return z0 + (z1 - z0) * (out_m - x0) / (x1 - x0)

    def line(self, first_m: float, last_m: float) -> tuple[Point, ...]:
        """The ground between two distances as a line with its corners."""
        inner = [p for p in self.points if first_m < p[0] < last_m]
        return ((first_m, self.rise(first_m)), *inner, (last_m, self.rise(last_m)))


@dataclass(frozen=True, slots=True)
class Case:
    """One drawing: the anchors that it is for, what holds them, their hole, the ground."""

    names: tuple[str, ...]
    choice: AnchorChoice
    hole: Hole | None
    ground: Ground

    @property
    def dip_rad(self) -> float:
        """How steep the rod runs down, radians."""
        return math.radians(self.choice.load.angle_deg)

    def along(self, rod_m: float) -> Point:
        """A point of the rod this far from the stake: outward and above the stake, metres."""
        return rod_m * math.cos(self.dip_rad), -rod_m * math.sin(self.dip_rad)

    @property
    def middle(self) -> Point:
        """The anchor's middle: outward and above the stake, metres."""
        return self.along(self.choice.chosen.rod_m)


def cases_of(plan: Plan, holding: HoldingPlan, dig: DigPlan, kind: str) -> tuple[Case, ...]:
    """The different cases of a kind that was taken, in the plan's order."""
    stakes = {s.id: s for s in plan.stakes}
    found: dict[tuple, tuple[list[str], AnchorChoice, Hole | None, Ground]] = {}
    for choice in holding.anchors:
        held = choice.chosen
        if held is None or held.kind != kind or held.rod_m is None or held.depth_m is None:
            continue
        hole = hole_of(dig, choice.anchor)
        ground = _ground(choice, hole, stakes.get(choice.anchor))
        alike = found.setdefault(_key(choice, hole, ground), ([], choice, hole, ground))
        alike[0].append(anchor_name(plan, choice.anchor))
    return tuple(Case(tuple(names), *rest) for names, *rest in found.values())


def _ground(choice: AnchorChoice, hole: Hole | None, stake: Stake | None) -> Ground:
    """The ground along the rod's line; without a profile, at the stake, over the anchor's middle and over the hole."""
    if choice.ground is not None and len(choice.ground.s_m) > 1:
        return Ground(tuple(zip(choice.ground.s_m, choice.ground.rise_m, strict=True)))
    held, turn = choice.chosen, math.radians(choice.load.angle_deg)
    points = [(0.0, 0.0), (held.rod_m * math.cos(turn), held.depth_m - held.rod_m * math.sin(turn))]
    if hole is not None and stake is not None and all(abs(hole.out_m - x) > SAME_M for x, _ in points):
        points.append((hole.out_m, hole.ground_m - stake.height_m))
    return Ground(tuple(sorted(points)))


def _key(choice: AnchorChoice, hole: Hole | None, ground: Ground) -> tuple:
    """What makes two drawings the same: sizes to the centimetre, the load to 10 N, the angle to a tenth of a degree."""
    held, soil = choice.chosen, choice.soil
    sizes = () if hole is None else (hole.depth_m, hole.floor_length_m, hole.floor_width_m, hole.wall_h_per_v, hole.top_length_m, hole.top_width_m)
    lengths = (held.rod_m, held.depth_m, held.cover_m, choice.load.load_kn, held.torque_knm, held.allowable_kn, *sizes)
    rounded = tuple(None if v is None else round(v, 2) for v in (*lengths, *(v for p in ground.points for v in p)))
    words = (held.size, choice.load.basis, soil.frost_depth_m, soil.water_depth_m, soil.description)
    return (words, round(choice.load.angle_deg, 1), rounded)
