"""The shortest move of the base that mends the land, planned anew on the terrain; or the tallest mast that fits."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import shapely

from siting.figures import rounded
from siting.geodesy.frames import Frame, frame_at
from siting.layout.moves import Constraint, shortest_move
from siting.planning.land import LandOnGround, read_land
from siting.records.findings import Check
from siting.records.plan import Plan
from siting.records.rules import Move
from siting.records.site import Site
from siting.search.land_rules import LandRule, all_constraints, anchor_offsets_m, rules_of_base, rules_of_layout, tallest_m
from siting.search.move_words import move_text, tallest_text, why_not_text
from siting.search.rule_file_rules import greatest_height_m, rules_of_files
from siting.search.spots import Spot, azimuth_in, failing_of_land, movable, plan_spot
from siting.verdict import UNCHECKED

# Farther than this is another site, not a move of the base: common practice, no source.
MOVE_REACH_M = 1000.0
ROUNDS = 4
# A move shorter by less than this is not worth planning again.
SHORTER_M = 0.01
# Where no layout of the rounds fits, laydowns are tried at this step.
AZIMUTHS_DEG = tuple(float(a) for a in range(0, 360, 10))


@dataclass(frozen=True, slots=True)
class Case:
    """A plan that fails on the land, and the land around its base in the base's ground frame (metres)."""

    site: Site
    plan: Plan
    frame: Frame
    land: LandOnGround
    reach_m: float  # how far the base may move, and how much farther than for a plan the land was read

    def rules(self, azimuth_deg: float) -> tuple[tuple[LandRule, ...], tuple[LandRule, ...]]:
        """The rules that the base decides, and those that the layout decides too, laid towards a true azimuth."""
        offsets_m = anchor_offsets_m(self.site.mast, self.frame, azimuth_deg)
        filed = rules_of_files(self.site.rules.sets, self.land.rules, self.site.mast, offsets_m)
        base = (*rules_of_base(self.site, self.land), *(rule for rule, by_azimuth in filed if not by_azimuth))
        layout = (*rules_of_layout(self.site, self.land, offsets_m), *(rule for rule, by_azimuth in filed if by_azimuth))
        return base, layout

    def constraints(self, azimuth_deg: float) -> tuple[Constraint, ...]:
        """Every constraint for a layout laid towards a true azimuth."""
        base, layout = self.rules(azimuth_deg)
        return all_constraints((*base, *layout))

    def spot(self, move: tuple[float, float], held_deg: float | None = None) -> Spot:
        """The plan with the base moved by metres grid east and north."""
        return plan_spot(self.site, self.frame, self.plan.base.height_m, move, held_deg)


def with_move(site: Site, plan: Plan, say: Callable[[str], None] = lambda step: None) -> Plan:
    """The plan with the move that mends the land; the same plan where nothing of the land fails.

    Args:
        say: is told what is being done.
    Raises:
        InputError, FrameError: a layer that the plan was made from cannot be read any more.
    """
    failing = failing_of_land(plan)
    if not failing:
        return plan
    say("looking for the shortest move of the base")
    case = _case(site, plan)
    spot = _find_spot(case) if movable(failing) else None
    return replace(plan, move=rounded(_record(case, spot, failing)))


def _case(site: Site, plan: Plan) -> Case:
    """The land read as far as the base may move."""
    frame = frame_at(site.base.lat, site.base.lon, plan.base.height_m, site.projected_crs, f"{site.where}, [crs] projected")
    reach_m = MOVE_REACH_M
    if site.land.parcels is not None:
        corners = shapely.get_coordinates(read_land(site, frame).own.area)
        reach_m = min(reach_m, float(np.hypot(*corners.T).max()) + 1.0)
    return Case(site, plan, frame, read_land(_seeing_farther(site, reach_m), frame), reach_m)


def _seeing_farther(site: Site, by_m: float) -> Site:
    """The site with a mast and rules that ask for so much more that its layers are read that much farther.

    Parcels and obstacles are read at least 1.5 total heights around, and as far as any rule asks.
    """
    mast = replace(site.mast, total_height_m=site.mast.total_height_m + by_m / 1.5)
    sets = tuple(
        replace(v, rules=tuple(replace(r, plus_m=r.plus_m + by_m, least_m=r.least_m + by_m) for r in v.rules)) for v in site.rules.sets
    )
    return replace(site, mast=mast, rules=replace(site.rules, sets=sets))


def _find_spot(case: Case) -> Spot | None:
    """The nearest place found whose plan breaks no rule of the land; else the last one tried, None without any.

    First by the rules that the base alone decides: no place that holds is nearer. Then with the layout that was planned
    at the last place, since another laydown may be recommended there.
    """
    laydown = case.plan.laydown.azimuth_deg
    nearest = shortest_move(all_constraints(case.rules(laydown)[0]), case.reach_m)
    if nearest is None:
        return None
    best = last = None
    if nearest != (0.0, 0.0):
        last = case.spot(nearest)
        if last.holds or last.plan is None:
            return replace(last, is_nearest=True)
        laydown = azimuth_in(case.frame, last.plan)
    for _ in range(ROUNDS - (last is not None)):
        move = shortest_move(case.constraints(laydown), case.reach_m)
        if move is None or (best is not None and math.hypot(*move) > best.distance_m - SHORTER_M):
            break
        last = case.spot(move)
        if last.plan is None:
            break
        best = last if last.holds else best
        laydown = azimuth_in(case.frame, last.plan)
    return best or _over_azimuths(case, math.hypot(*nearest)) or last


def _over_azimuths(case: Case, least_m: float) -> Spot | None:
    """The nearest place over laydowns all around; held to its laydown where the one recommended there breaks a rule.

    Args:
        least_m: no place that holds is nearer than this.
    """
    wanted = case.site.azimuth_deg
    reach_m, found = case.reach_m, None
    for azimuth in AZIMUTHS_DEG if wanted is None else (wanted,):
        move = shortest_move(case.constraints(azimuth), reach_m)
        if move is not None and (found is None or math.hypot(*move) < reach_m):
            found, reach_m = (move, azimuth), math.hypot(*move)
            if reach_m <= least_m + SHORTER_M:
                break
    if found is None:
        return None
    move, azimuth = found
    free = case.spot(move)
    return free if free.holds or free.plan is None or wanted is not None else case.spot(move, azimuth)


def _record(case: Case, spot: Spot | None, failing: tuple[Check, ...]) -> Move:
    """What the plan says of the move."""
    base, layout = case.rules(case.plan.laydown.azimuth_deg)
    height_m = case.site.mast.total_height_m
    by_height = {rule.id for rule in (*base, *layout) if rule.is_by_height} | {c.id for c in failing if not movable((c,))}
    tallest, shrink = None, ""
    if any(c.id in by_height for c in failing):
        tallest = tallest_m((*base, *layout), height_m, greatest_height_m(case.site.rules.sets))
        shrink = tallest_text(tallest, height_m, [c for c in failing if c.id not in by_height])
    if spot is None or (spot.plan is not None and not spot.holds):
        text = why_not_text(case.land.own, all_constraints(base), failing, case.reach_m)
        return Move(None, None, None, None, None, None, None, UNCHECKED, tallest, f"{text} {shrink}".strip())
    easting, northing = (float(v[0]) for v in case.frame.grid(np.array([spot.lon]), np.array([spot.lat])))
    return Move(
        spot.distance_m, spot.bearing_deg, spot.lat, spot.lon, easting, northing,
        spot.plan.laydown.azimuth_deg if spot.plan else None,
        spot.plan.verdict if spot.plan else UNCHECKED,
        tallest,
        f"{move_text(spot)} {shrink}".strip(),
    )  # fmt: skip
