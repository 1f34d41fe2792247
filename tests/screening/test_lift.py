"""The lift of one cell as the kernels decide it, against the plan's own forces and checks on the same heights."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from rigged_masts import BACK, GUYS, LOADS, SIDES, WINCH

from siting.checks.lift import LINE_CLEARANCE, MAST_BENDING, POLE_CLEARANCE, WINCH_USE, judge_lift
from siting.errors import OutOfMethod
from siting.holding.lift_loads import base_loads
from siting.inputs.mast_file import find_shipped, read_mast, shipped_masts
from siting.layout.guys import guy_chords
from siting.lift.line_clearance import WinchGround
from siting.lift.statics import StaticsCase, lift_statics
from siting.lift.strands import find_strands
from siting.records.mast import Mast
from siting.records.rigging import BY_WINCH, EQUALISED, LightPole, Rigging, WinchGear
from siting.records.site import Limit, Limits
from siting.screening.compiled import kernel
from siting.screening.lanes import pointer
from siting.screening.lift import lift_of
from siting.screening.lift_room import bare_lift_rules, bare_room, room_for
from siting.screening.lift_rules import lift_rules_of
from siting.verdict import FAIL

CHECKS = (WINCH_USE, MAST_BENDING, POLE_CLEARANCE, LINE_CLEARANCE)
NEAR = 1e-9  # relative: so near to its limit that a rounding decides
GROUNDS = 75


@kernel
def lifts_of(z, rest, ground, lift, bits, push_kn, uplift_kn):
    """`lift_of` on many grounds: z (n, A), rest (n,), ground (n, count)."""
    bare, room = bare_lift_rules(lift), room_for(lift)
    bare_memory = bare_room(room)
    for i in range(rest.size):
        bits[i], push_kn[i], uplift_kn[i] = lift_of(pointer(z[i]), rest[i], pointer(ground[i]), ground.shape[1], bare, bare_memory)
    return room[0].size  # the arrays behind the bare memory are held to here


def shipped(name: str, **rigging) -> Mast:
    path, shown = find_shipped(name, "test")
    mast = read_mast(path, shown, True)
    return replace(mast, rigging=replace(mast.rigging, **rigging))


def made(guys=GUYS, anchors=(WINCH, BACK, *SIDES), pole_m: float = 10.0, **rigging) -> Mast:
    """A small mast with loads and a winch."""
    whole = {"loads": LOADS, "gin_pole_mass_kg": 300.0, "friction_ratio": 0.1, "winch": WinchGear(limit_kn=25.0)} | rigging
    return Mast("made", 60.0, 60.9, "tubular", 11.0, 2.5, 0.3, pole_m, anchors, guys, rigging=Rigging(**whole))


LIGHT = (LightPole(4.0, 20.0, BY_WINCH), LightPole(7.0, 90.0, BY_WINCH))
DRUM = WinchGear(limit_kn=22.0, line_diameter_mm=12.0, drum_diameter_mm=220.0, drum_width_m=0.25, wound_m=15.0)
HEAVY = tuple(replace(level, diameter_mm=18.0) for level in GUYS)
OFF = (replace(WINCH, bearing_deg=184.0), BACK, *SIDES)
MASTS = {
    **{name: shipped(name) for name in shipped_masts()},
    "lattice-80, tight": shipped("lattice-80", moment_limit_knm=2.6, winch=WinchGear(limit_kn=46.0)),
    "lattice-100, tight": shipped("lattice-100", moment_limit_knm=3.6, stiffness_knm2=900.0, winch=WinchGear(limit_kn=75.0)),
    "few lines": made(lift_attach_m=(18.0, 36.0, 55.0), moment_limit_knm=9.0, stiffness_knm2=2500.0),
    "lines that let go": made(lift_attach_m=(2.0, 30.0, 33.0, 58.0), moment_limit_knm=14.0, loads=(replace(LOADS[0], mass_kg=400.0),)),
    "lines that let go, heavy guys": made(HEAVY, lift_attach_m=(1.0, 3.0, 40.0, 42.0), moment_limit_knm=60.0, stiffness_knm2=3000.0),
    "equally tight": made(lift_attach_m=(20.0, 40.0, 56.0), lift_lines=EQUALISED, moment_limit_knm=9.4, stiffness_knm2=4000.0),
    "one line": made(lift_attach_m=(42.0,), moment_limit_knm=15.0),
    "gin poles": made(gin_poles=LIGHT, lift_attach_m=(30.0, 58.0), winch=DRUM, moment_limit_knm=20.0),
    "gin poles without a mass": made(gin_poles=LIGHT, gin_pole_mass_kg=None, lift_attach_m=(30.0,)),
    "heavy pole": made(gin_pole_mass_kg=9000.0, pole_m=16.0, lift_attach_m=(30.0, 58.0), moment_limit_knm=12.0),
    "no back guys": made((), (WINCH,), gin_pole_mass_kg=2500.0, lift_attach_m=(30.0, 58.0)),
    "no lift lines": made(HEAVY, lift_attach_m=()),
    "line at the hinge": made(lift_attach_m=(0.0, 30.0), moment_limit_knm=12.0),
    "weightless pole": made(gin_pole_mass_kg=None, friction_ratio=None, lift_attach_m=(30.0, 58.0)),
    "winch off the line": made(anchors=OFF, lift_attach_m=(30.0, 58.0)),
    "winch far off": made(anchors=(replace(WINCH, bearing_deg=190.0), BACK, *SIDES), lift_attach_m=(30.0, 58.0)),
    "thin drum": made(winch=replace(DRUM, drum_width_m=0.005)),
    "section masses that do not fit": made(section_mass_kg=(1.0, 2.0)),
    "no limits": made(winch=WinchGear(), lift_attach_m=(30.0, 58.0)),
    "winch between metres": made(anchors=(replace(WINCH, radius_m=63.4), BACK, *SIDES), pole_m=9.7, lift_attach_m=(30.0, 58.0)),
}


def grounds(mast: Mast, lift, seed: int):
    """Heights of the anchors and of the winch line's ground over the hinge, and rest lines: slopes, bumps, hollows, holes."""
    dice = np.random.default_rng(seed)
    count = GROUNDS
    z, rest, ground = np.empty((count, len(mast.anchors))), np.empty(count), np.empty((count, lift.ground_s_m.size))
    for n in range(count):
        slope = dice.uniform(-0.32, 0.32) if n % 3 else dice.uniform(-0.08, 0.12)
        across, rough = dice.normal(0.0, 0.05), dice.choice([0.1, 1.0, 3.0])
        for i, a in enumerate(mast.anchors):
            x, y = (a.radius_m * f(math.radians(a.bearing_deg)) for f in (math.cos, math.sin))
            z[n, i] = slope * x + across * y + dice.normal(0.0, rough) - mast.hinge_height_m
        rest[n] = slope + dice.normal(0.0, 0.02)
        if n % 25 == 0:
            rest[n] = dice.uniform(-1.2, 1.2)
        s = lift.ground_s_m
        bend = dice.normal(0.0, 0.0006)
        ground[n] = -slope * s + bend * s * s - mast.hinge_height_m
        for _ in range(dice.integers(0, 3)):
            at, wide, high = dice.uniform(0.0, 70.0), dice.uniform(1.0, 8.0), dice.normal(0.0, 0.6)
            ground[n] += high * np.exp(-(((s - at) / wide) ** 2))
        if s.size:
            ground[n, 0] = -mast.hinge_height_m
            if mast.winch:
                z[n, lift.winch] = ground[n, -1]
            if n % 17 == 3:
                ground[n, dice.integers(1, s.size)] = np.nan
    return z, rest, ground


def planned(mast: Mast, limits: Limits, s_m, z, rest, ground):
    """The plan's findings on one ground: kinds that fail, kinds and values near their limit, push and uplift."""
    heights = {a.id: float(z[i]) for i, a in enumerate(mast.anchors)}
    strands = find_strands(((g.strand, g.diameter_mm) for g in mast.guys), mast.shown)
    masses = tuple(s and s.mass_kg_per_m for s, level in zip(strands, mast.guys, strict=True) for _ in level.anchors)
    profile = WinchGround(s_m, ground) if s_m.size and np.isfinite(ground).all() else None
    case = StaticsCase(
        mast, mast.rigging, heights, 0.0, math.atan(rest), 0.0, 0.1, tuple(guy_chords(mast, -mast.hinge_height_m, heights)), masses, profile
    )
    try:
        statics = lift_statics(case)
    except OutOfMethod:
        return set(), set(), None, None
    checks = judge_lift(mast, statics, limits, None).checks
    near = {c.kind for c in checks if abs(c.value - c.limit) <= NEAR * max(1.0, abs(c.limit))}
    return {c.kind for c in checks if c.verdict == FAIL}, near, *base_loads(statics)


@pytest.mark.parametrize("name", MASTS)
def test_the_kernels_decide_as_the_plan_does(name, counted):
    mast, limits = MASTS[name], Limits(pole_clear_min_m=Limit(-0.1, ""), line_clear_min_m=Limit(-0.5, ""))
    lift = lift_rules_of(mast, limits)
    z, rest, ground = grounds(mast, lift, len(name))
    bits, push, uplift = np.zeros(rest.size, dtype=np.int64), np.empty(rest.size), np.empty(rest.size)
    lifts_of(z, rest, ground, lift, bits, push, uplift)
    for n in range(rest.size):
        fails, near, push_kn, uplift_kn = planned(mast, limits, lift.ground_s_m, z[n], rest[n], ground[n])
        for i, kind in enumerate(CHECKS):
            found = bool(bits[n] >> i & 1)
            assert found == (kind in fails) or kind in near, (name, n, kind, math.degrees(math.atan(rest[n])))
            counted[kind, found] = counted.get((kind, found), 0) + 1
        for mine, theirs in ((push[n], push_kn), (uplift[n], uplift_kn)):
            assert math.isnan(mine) if theirs is None else mine == pytest.approx(theirs, rel=1e-9, abs=1e-9), (name, n)
        counted["uplift"] = counted.get("uplift", 0) + (uplift[n] > 0.0)
        counted["push"] = counted.get("push", 0) + (push[n] > 0.0)


@pytest.fixture(scope="module")
def counted():
    """How often each check passes and fails, and how often the base is pushed and pulled, over all masts."""
    return {}


def test_every_answer_was_met(counted):
    assert all(counted[kind, found] > 30 for kind in CHECKS for found in (False, True)), counted
    assert counted["uplift"] > 30 and counted["push"] > 600, counted
