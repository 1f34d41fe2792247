"""What holds the mast, and the digging for it: the ground at each anchor, its load, the kind taken, the holes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from siting.checks.holding import judge_holding, told_in_plan
from siting.dig.ground import DigPlace, ground_of
from siting.dig.holes import DigSettings
from siting.dig.stage import DigCase, dig_plan
from siting.errors import OutOfMethod
from siting.geodesy.frames import Frame
from siting.holding.choose import choose_anchor, hold_base, weaker_base
from siting.holding.lift_loads import base_loads, lift_pulls
from siting.holding.loads import anchor_loads, without_load
from siting.holding.method import METHOD
from siting.holding.pulls import LiftPulls, guys_at_anchors
from siting.planning.anchor_ground import grounds_at
from siting.planning.ground import Ground
from siting.planning.lift import LiftPlan
from siting.records.dig import DigPlan
from siting.records.findings import Check, Unchecked
from siting.records.holding import AnchorChoice, AnchorLoad, BaseHold, GroundAt, HoldingPlan
from siting.records.plan import Laydown, Stake
from siting.records.site import Site
from siting.records.soil import Soil
from siting.soil.find import soils_to_try

BASE = "BASE"


@dataclass(frozen=True, slots=True)
class Held:
    """What the plan says of the ground's hold."""

    holding: HoldingPlan | None
    dig: DigPlan | None
    checks: tuple[Check, ...]
    unchecked: tuple[Unchecked, ...]
    warnings: tuple[str, ...]


def plan_holding(
    site: Site, ground: Ground, frame: Frame, laydown: Laydown, stakes: tuple[Stake, ...], lift: LiftPlan
) -> Held:
    """Anchors, base and digging on the chosen laydown.

    Raises:
        InputError: words of the ground that are not known, or values that cannot be.
    """
    try:
        holding, unknown = _holding(site, ground, laydown, stakes, lift)
        place = DigPlace(site.base.lat, site.base.lon, ground.base_height_m, frame, _dig_ground(site, ground))
        settings = DigSettings(buffer_m=site.soil.locate_buffer_m, anchors=site.soil.wants)
        dig = dig_plan(DigCase(place, site.mast, stakes, holding.anchors, holding.base, lift.cut_list, lift.lift_guys, settings))
    except OutOfMethod as fault:
        told = tuple(f"Anchors in the ground: {item.line()}" for item in fault.faults)
        missing = Unchecked("anchor_holding", "what the anchors hold was not worked out (a warning says why)", "mend what the warning names")
        return Held(None, None, (), (missing,), told)
    judged = judge_holding(holding, unknown, knows_soil=site.soil.knows_soil)
    return Held(HoldingPlan(holding.anchors, holding.base, judged.checks, holding.method), dig, told_in_plan(judged.checks), judged.unchecked, ())


def _dig_ground(site: Site, ground: Ground):
    return ground_of(ground.surface, site.base.lat, site.base.lon, ground.base_height_m)


def _holding(
    site: Site, ground: Ground, laydown: Laydown, stakes: tuple[Stake, ...], lift: LiftPlan
) -> tuple[HoldingPlan, tuple[str, ...]]:
    """The anchors and the base, and what has no load, in words."""
    mast, inputs = site.mast, site.soil
    at = {s.id: s for s in stakes if s.id in {a.id for a in mast.anchors}}
    hinge_m = ground.base_height_m + mast.hinge_height_m
    loads = anchor_loads(
        mast,
        guys_at_anchors(lift.cut_list) if lift.cut_list else (),
        {name: s.azimuth_deg for name, s in at.items()},
        {name: hinge_m - s.height_m for name, s in at.items()},
        inputs.wind,
        lift_pulls(lift.statics, mast) if lift.statics else LiftPulls(),
    )
    heights = _dig_ground(site, ground)
    where = {load.anchor: (at[load.anchor].radius_m, at[load.anchor].azimuth_deg) for load in loads}
    around = grounds_at(heights, {**where, BASE: (0.0, laydown.azimuth_deg)}, {**{n: at[n].slope_percent for n in where}, BASE: ground.base_slope_percent})
    own = dict(inputs.anchors)
    soils = soils_to_try(inputs.site)
    anchors = tuple(
        _weaker(load, soils_to_try(own[load.anchor]) if load.anchor in own else soils, around[load.anchor], site) for load in loads
    )
    push_kn, uplift_kn = base_loads(lift.statics) if lift.statics else (None, None)
    base = _weaker_base(soils, around[BASE], laydown.azimuth_deg, (push_kn, uplift_kn), site)
    return HoldingPlan(anchors, base, (), METHOD), without_load(mast, loads)


def _weaker(load: AnchorLoad, soils: tuple[Soil, ...], ground: GroundAt, site: Site) -> AnchorChoice:
    """The choice in the ground that asks for more: none before any, a longer rod before a shorter."""
    choices = [choose_anchor(load, soil, ground, site.soil.wants) for soil in soils]
    return max(choices, key=lambda c: np.inf if c.chosen is None else c.chosen.rod_m or 0.0)


def _weaker_base(
    soils: tuple[Soil, ...], ground: GroundAt, azimuth_deg: float, loads_kn: tuple[float | None, float | None], site: Site
) -> BaseHold:
    """The base in the ground in which its pins hold less."""
    return weaker_base(hold_base(soil, ground, azimuth_deg, *loads_kn, site.soil.wants) for soil in soils)
