"""What the staked places do to the layout: guys, the side guys' travel, the winch line, setback and fall zone."""

from __future__ import annotations

import math

import numpy as np

from siting.checks.columns import AT_LEAST, AT_MOST, Column
from siting.kernels.swing import guy_extremes, least_winch_arm
from siting.lift.geometry import ARM_JUDGED_TO_DEG
from siting.records.as_staked import Cause, CheckStaked, Effects, GuyStaked
from siting.records.findings import Check
from siting.records.plan import Plan
from siting.records.site import Limit
from siting.survey.matching import Pair
from siting.survey.staked_ground import StakedGround, staked_ground
from siting.survey.staked_land import LandAround, land_around
from siting.units import wrap_bearing_deg

# Misses beyond so many times the fall radius are no staking error: what they would do to a guy says nothing.
FAR_FALL_RADII = 3.0
SLOPES = (
    "Slopes at the anchors, along the laydown and of the rest line: they need the DEM. Where a stake stays where it is, "
    "make the plan again with the staked base, so that they are looked at for the place where things stand."
)
OBSTACLES = "What the guys cross and the anchors stand in (layout_clear) stands as planned."


def effects_of(plan: Plan, pairs: tuple[Pair, ...], cause: Cause, median_miss_m: float) -> Effects:
    """What the staked places do, or why it was not worked out."""
    why_not = ""
    if cause.is_file_fault:
        why_not = (
            "Not worked out: the file's numbers are not where the stakes are. Correct the file and check again; until then "
            "nothing is known of guys, lift and fall zone as staked."
        )
    elif median_miss_m > FAR_FALL_RADII * plan.land.fall_radius_m:
        why_not = f"Not worked out: half of the points lie over {median_miss_m:.0f} m off, which is no staking error."
    if why_not:
        return Effects(why_not, None, None, None, (), (), (), (), ())
    ground = staked_ground(plan, pairs)
    checks = tuple(sorted((*_lift_checks(plan, ground), *_land_checks(plan, ground)), key=lambda c: (-c.utilisation, c.id)))
    both = {ground.base_id, ground.head_id} <= ground.measured
    azimuth = wrap_bearing_deg(ground.laydown_grid_deg(plan) + plan.crs.convergence_deg)
    notes = list(ground.notes)
    if ground.base_id not in ground.measured:
        notes.append("The base was NOT measured: it is taken where it was planned, so setback and fall zone are the plan's.")
    if plan.unchecked:
        notes.append(f"Not checked in the plan, and not here: {', '.join(plan.unchecked)}.")
    return Effects(
        why_not="",
        base_moved_m=abs(ground.base_moved) if ground.base_id in ground.measured else None,
        laydown_azimuth_deg=azimuth if both else None,
        height_offset_m=ground.height_offset_m,
        guys=_guys(plan, ground),
        checks=checks,
        changed=tuple(c.id for c in checks if c.verdict != c.planned_verdict),
        not_recomputed=(SLOPES, OBSTACLES) if any(c.kind == "layout_clear" for c in plan.checks) else (SLOPES,),
        notes=tuple(notes),
    )


def _guys(plan: Plan, ground: StakedGround) -> tuple[GuyStaked, ...]:
    """Every guy whose anchor or base was measured, from the attachment on the plumb mast to the anchor as staked."""
    guys = []
    for guy in plan.guys:
        if not {guy.anchor, ground.base_id} & ground.measured:
            continue
        rise_m = plan.mast.hinge_height_m + guy.attach_m - ground.above_m[guy.anchor]
        chord_m = math.hypot(abs(ground.places[guy.anchor]), rise_m)
        guys.append(GuyStaked(guy.anchor, guy.attach_m, guy.use, chord_m, guy.chord_m, chord_m - guy.chord_m))
    return tuple(guys)


def _lift_checks(plan: Plan, ground: StakedGround) -> list[CheckStaked]:
    """Travel of each side guy and the winch line's least arm, with the hinge axis square to the laydown as staked."""
    known = {c.id: c for c in plan.checks}
    along, hinge_m = ground.laydown_grid_deg(plan), plan.mast.hinge_height_m
    rest_rad = np.radians([plan.laydown.rest_angle_deg])
    moved = ground.measured & {ground.base_id, ground.head_id}
    found = []
    for guy in plan.lift.side_guys:
        check = known.get(f"side_guy_travel:{guy.anchor}@{guy.attach_m:g}")
        if check is not None and (moved or guy.anchor in ground.measured):
            place = ground.seen_along(guy.anchor, along, hinge_m)
            shortest, _, longest, _ = guy_extremes(np.array([guy.attach_m]), place, rest_rad)
            found.append(_judged(check, float(longest[0] - shortest[0]), False))
    winch, check = next((s.id for s in plan.stakes if s.role == "winch"), None), known.get("winch_arm")
    if winch is not None and check is not None and (moved or winch in ground.measured):
        place = ground.seen_along(winch, along, hinge_m)
        arm_m, _ = least_winch_arm(plan.mast.gin_pole_length_m, place, rest_rad, math.radians(ARM_JUDGED_TO_DEG))
        found.append(_judged(check, float(arm_m[0]) / plan.mast.gin_pole_length_m, False))
    return found


def _land_checks(plan: Plan, ground: StakedGround) -> list[CheckStaked]:
    """Setback, fall zone, anchors and guys on own land, from where the base and the anchors stand."""
    around, found = land_around(plan), []
    for check in plan.checks:
        value = _land_value(check, around, ground)
        if value is not None:
            found.append(_judged(check, *value))
    return found


def _land_value(check: Check, around: LandAround, ground: StakedGround) -> tuple[float, bool] | None:
    """The value of a check of the land as staked, and whether it is a bound; None where nothing of it was measured."""
    base, about = ground.base_moved, check.id.partition(":")[2]
    base_moved_m = abs(base)
    if check.kind == "fall_zone_obstacle" and ground.base_id in ground.measured:
        return around.obstacle_m(check, base, base_moved_m)
    if around.own is None:
        return None
    if check.kind in ("setback", "fall_zone") and ground.base_id in ground.measured:
        return around.boundary_m(base, check.value, base_moved_m)
    if about in ground.measured and check.kind == "anchor_on_own_land":
        place = base + ground.places[about]
        return around.boundary_m(place, check.value, abs(place - ground.planned[about]))
    if check.kind == "guy_on_own_land" and {about, ground.base_id} & ground.measured:
        return around.outside_m((base, base + ground.places[about])), False
    return None


def _judged(check: Check, value: float, is_bound: bool) -> CheckStaked:
    """The check with another value, judged by the plan's own rule and limit."""
    column = Column(
        check.id, check.kind, check.label, check.unit, AT_LEAST if check.limit_is_least else AT_MOST,
        Limit(check.limit, check.source), np.array([value]), uncertainty=check.uncertainty, by_azimuth=False,
    )  # fmt: skip
    again = column.check(0)
    return CheckStaked(
        id=check.id,
        label=check.label,
        value=again.value,
        planned_value=check.value,
        limit=check.limit,
        unit=check.unit,
        limit_is_least=check.limit_is_least,
        utilisation=again.utilisation,
        verdict=again.verdict,
        planned_verdict=check.verdict,
        is_bound=is_bound,
        source=check.source,
    )
