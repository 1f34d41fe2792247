"""The guy planes of the mast: anchors that stand in one direction, with the ground from the base to them."""

from __future__ import annotations

from dataclasses import dataclass

from siting.figures import shown
from siting.records.permit import PermitFacts
from siting.records.plan import Plan, Stake
from siting.writers.sitemap.lengths import length, signed_length
from siting.writers.sitemap.map_sheet import MapSheet
from siting.writers.sitemap.ruled import Column, Ruled, fitting, ruled

SAME_PLANE_DEG = 3.0
Ground = tuple[tuple[float, float | None], ...]  # distance from the base, height against the base; metres


@dataclass(frozen=True, slots=True)
class GuyPlane:
    """A direction from the base (true azimuth, degrees), its permanent anchors that hold a guy, the ground along it."""

    azimuth_deg: float
    anchors: tuple[Stake, ...]
    ground: Ground

    @property
    def reach_m(self) -> float:
        """The radius of its outermost anchor, metres."""
        return max((s.radius_m for s in self.anchors), default=0.0)

    def height_at(self, s_m: float) -> float | None:
        """The ground's height at this distance, metres against the base; None where it is not known."""
        for (s0, h0), (s1, h1) in zip(self.ground, self.ground[1:], strict=False):
            if s0 <= s_m <= s1 and s1 > s0:
                return None if h0 is None or h1 is None else h0 + (h1 - h0) * (s_m - s0) / (s1 - s0)
        return None


def guy_planes(plan: Plan) -> tuple[GuyPlane, GuyPlane | None, tuple[GuyPlane, ...]]:
    """The plane of the outermost anchor, the one that lies most nearly opposite, and the others.

    Without permanent guys the first is the laydown, and there is no second.
    """
    planes = _planes(plan)
    if not planes:
        return _laydown(plan), None, ()
    right = max(planes, key=lambda p: (p.reach_m, -p.azimuth_deg))
    rest = [p for p in planes if p is not right]
    if not rest:
        return right, None, ()
    left = max(rest, key=lambda p: (round(apart_deg(p.azimuth_deg, right.azimuth_deg), 3), p.reach_m, -p.azimuth_deg))
    return right, left, tuple(p for p in rest if p is not left)


def apart_deg(a_deg: float, b_deg: float) -> float:
    """The angle between two azimuths, 0 to 180 degrees."""
    return abs((a_deg - b_deg + 180.0) % 360.0 - 180.0)


def heights_of(plan: Plan) -> tuple[float, ...]:
    """The levels of the permanent guys, metres above the hinge, the highest first."""
    return tuple(sorted({g.attach_m for g in plan.guys if g.use == "permanent"}, reverse=True))


def _held(plan: Plan) -> list[Stake]:
    """The permanent anchors that hold a guy, the outermost first."""
    held = {g.anchor for g in plan.guys if g.use == "permanent"}
    return sorted((s for s in plan.stakes if s.role == "permanent" and s.id in held), key=lambda s: (-s.radius_m, s.azimuth_deg))


def _planes(plan: Plan) -> list[GuyPlane]:
    """Every plane, its direction that of its outermost anchor."""
    groups: list[list[Stake]] = []
    for stake in _held(plan):
        group = next((g for g in groups if apart_deg(g[0].azimuth_deg, stake.azimuth_deg) <= SAME_PLANE_DEG), None)
        if group is None:
            groups.append([stake])
        else:
            group.append(stake)
    return [GuyPlane(g[0].azimuth_deg, tuple(g), _ground(plan, g[0])) for g in groups]


def _ground(plan: Plan, stake: Stake) -> Ground:
    """The ground out to an anchor as the plan's profile has it; without one nothing is drawn for the ground."""
    for profile in plan.profiles.guys if plan.profiles is not None else ():
        if profile.anchor == stake.id:
            return tuple(zip(profile.s_m, profile.ground_m, strict=True))
    return ()


def _laydown(plan: Plan) -> GuyPlane:
    profile = plan.laydown.profile
    ground = tuple((s, h - plan.base.height_m) for s, h in zip(profile.s_m, profile.ground_m, strict=True))
    return GuyPlane(plan.laydown.azimuth_deg, (), ground)


def anchor_table(sheet: MapSheet, plan: Plan, facts: PermitFacts, width_mm: float) -> Ruled | None:
    """Every permanent anchor that holds a guy: azimuth, radius, ground against the base, levels; None without one."""
    rows = []
    for stake in sorted(_held(plan), key=lambda s: (s.azimuth_deg, -s.radius_m)):
        levels = [length(g.attach_m, facts.units) for g in plan.guys if g.use == "permanent" and g.anchor == stake.id]
        rows.append((
            stake.point, shown(stake.azimuth_deg, "bearing"), length(stake.radius_m, facts.units),
            signed_length(stake.above_base_m, facts.units), ", ".join(levels),
        ))  # fmt: skip
    if not rows:
        return None
    heads = (
        Column("Anchor", 0.0, "left", True), Column("True az.", 0.0, "right"), Column("Radius", 0.0, "right"), Column("Ground", 0.0, "right"),
    )  # fmt: skip
    columns = [fitting(sheet, c, [row[k] for row in rows]) for k, c in enumerate(heads)]
    title = "Guy anchors: ground against the base, guys above the hinge"
    return ruled(sheet, title, (*columns, Column("Guys at")), rows, width_mm)
