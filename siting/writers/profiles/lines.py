"""The plan lines of the guys as they are drawn: anchors that stand in one direction from the base share a picture."""

from __future__ import annotations

from dataclasses import dataclass

from siting.records.plan import Plan, Stake
from siting.records.profiles import GuyProfile, Hang
from siting.units import turn_deg
from siting.writers.anchor_names import level_name

SAME_LINE_DEG = 0.01

Point = tuple[float, float]  # metres: distance from the base, height above its ground


@dataclass(frozen=True, slots=True)
class PlanLine:
    """One direction from the base: its anchors, the nearest first, the ground, and every guy on it."""

    azimuth_deg: float
    anchors: tuple[tuple[Stake, GuyProfile], ...]

    @property
    def names(self) -> tuple[str, ...]:
        """The anchors' short names, the nearest first."""
        return tuple(stake.point for stake, _ in self.anchors)

    @property
    def hangs(self) -> tuple[tuple[str, Hang], ...]:
        """(short name of the anchor, guy) of every guy on the line."""
        return tuple((stake.point, hang) for stake, profile in self.anchors for hang in profile.hangs)

    @property
    def ground(self) -> tuple[tuple[Point, ...], ...]:
        """The known ground in pieces without a gap, metres; the farthest anchor's profile reaches farthest."""
        profile = self.anchors[-1][1]
        pieces: list[list[Point]] = [[]]
        for s, height in zip(profile.s_m, profile.ground_m, strict=True):
            if height is None:
                pieces.append([])
            else:
                pieces[-1].append((s, height))
        return tuple(tuple(piece) for piece in pieces if len(piece) > 1)

    @property
    def has_gap(self) -> bool:
        """True where the DEM has no height somewhere on the line."""
        return any(height is None for height in self.anchors[-1][1].ground_m)

    @property
    def end_m(self) -> float:
        """How far from the base the line is looked at, metres."""
        return self.anchors[-1][1].s_m[-1]

    @property
    def least(self) -> tuple[str, Hang] | None:
        """The guy that comes nearest to the ground, with its anchor's name; None where no ground is known."""
        known = [(name, hang) for name, hang in self.hangs if hang.clear_m is not None]
        return min(known, key=lambda found: found[1].clear_m) if known else None


def plan_lines(plan: Plan) -> tuple[PlanLine, ...]:
    """Every direction that holds a guy, in the mast file's order; none where the plan has no profiles."""
    stakes = {s.id: s for s in plan.stakes}
    groups: list[list[tuple[Stake, GuyProfile]]] = []
    for profile in plan.profiles.guys if plan.profiles else ():
        stake = stakes[profile.anchor]
        same = (g for g in groups if abs(turn_deg(g[0][0].azimuth_deg, stake.azimuth_deg)) <= SAME_LINE_DEG)
        group = next(same, None)
        if group is None:
            groups.append([(stake, profile)])
        else:
            group.append((stake, profile))
    return tuple(PlanLine(g[0][0].azimuth_deg, tuple(sorted(g, key=lambda pair: pair[0].radius_m))) for g in groups)


def line_bounds_m(plan: Plan, lines: tuple[PlanLine, ...]) -> tuple[float, float, float]:
    """What the pictures of all lines must show: farthest distance, lowest and highest height; metres."""
    heights = [h for line in lines for piece in line.ground for _, h in piece]
    heights += [z for line in lines for _, hang in line.hangs for z in hang.z_m]
    return max(line.end_m for line in lines), min(heights), max([plan.mast.hinge_height_m + plan.mast.height_m, *heights])


def height_of(hang: Hang, x_m: float) -> float:
    """Height of a guy at a distance from the base, between its points; metres above the ground at the base."""
    points = sorted(zip(hang.x_m, hang.z_m, strict=True))
    for a, b in zip(points, points[1:], strict=False):
        if a[0] <= x_m <= b[0]:
            return a[1] + (b[1] - a[1]) * (x_m - a[0]) / ((b[0] - a[0]) or 1.0)
    return points[-1][1]


def guy_name(name: str, hang: Hang) -> str:
    """A guy in words: its anchor and where it leaves the mast."""
    return f"{name} from {level_name(hang.attach_m)}"


def straight_words(plan: Plan) -> tuple[str, ...]:
    """Each reason for which guys are drawn straight, with the guys; empty where all hang."""
    found: dict[str, list[str]] = {}
    for line in plan_lines(plan):
        for name, hang in line.hangs:
            if hang.straight_because:
                found.setdefault(hang.straight_because, []).append(guy_name(name, hang))
    return tuple(
        f"Drawn straight, a real guy hangs lower: {', '.join(names)}: {reason}." for reason, names in found.items()
    )
