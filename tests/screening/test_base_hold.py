"""The base's hold in compiled form against the plan's own methods and checks, on broken ground and in every kind of soil."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import pytest

from siting.checks.holding import BASE_PUSH, BASE_UPLIFT, judge_holding
from siting.holding.choose import TIE_DEG, hold_base, weaker_base
from siting.holding.ground_places import LINE_M, POINTS_ON_RING, RINGS_M, STEP_M
from siting.planning.anchor_ground import grounds_at
from siting.records.holding import PINS, AnchorWants, BaseHold, GroundAt, HoldingPlan
from siting.records.site import GroundInputs
from siting.records.soil import SoilInput
from siting.screening.base_hold import PULL_FAILS, PUSH_FAILS, bare_base, base_fails, needs_plate
from siting.screening.base_rules import BaseRules, base_rules_of
from siting.screening.compiled import kernel
from siting.screening.lanes import pointer
from siting.soil.find import soils_to_try
from siting.verdict import FAIL

SOURCE = {"strength_source": "made up"}


def soil(wants: AnchorWants | None = None, **said) -> GroundInputs:
    return GroundInputs(SoilInput("site.toml", **said), (), wants or AnchorWants())


CLAYS = [soil(plain_words="clay", undrained_kpa=float(kpa), **SOURCE) for kpa in (12, 25, 40, 60, 90, 140, 250)]
SANDS = [soil(plain_words="sand", friction_deg=deg, water_depth_m=water, **SOURCE) for deg in (27.0, 32.0, 37.5, 44.0) for water in (None, 0.7, 5.0)]
OTHERS = [
    soil(plain_words="stiff clay", frost_depth_m=0.9), soil(uscs="SM", blow_count=14.0, water_depth_m=1.2, frost_depth_m=0.5),
    soil(uscs="CL", blow_count=7.0), soil(uscs="SW", blow_count=45.0, water_depth_m=3.0), soil(plain_words="firm clay", frost_depth_m=1.7),
    soil(plain_words="clay", undrained_kpa=80.0, **SOURCE, wants=AnchorWants(safety_factor=1.5, plate_deepest_m=1.3)),
    soil(plain_words="sand", friction_deg=35.0, **SOURCE, wants=AnchorWants(plates_m=((2.0, 1.0), (0.4, 0.8), (6.0, 0.2)), pins=1, pin_length_m=0.6)),
    GroundInputs(SoilInput("site.toml", plain_words="clay", undrained_kpa=70.0, **SOURCE), (), AnchorWants(pin_length_m=0.03, pin_diameter_m=0.03)),
]  # fmt: skip
HOLDING_NOTHING = [soil(plain_words="peat"), soil(rock="granite"), soil(plain_words="very soft clay", undrained_kpa=0.0, **SOURCE)]
# One anchor's ground is told, the base's is not: the plan tries two.
NOT_KNOWN = GroundInputs(anchors=(("A1", SoilInput("site.toml", plain_words="stiff clay")),))
SOILS = [*CLAYS, *SANDS, *OTHERS, *HOLDING_NOTHING, NOT_KNOWN]
GROUNDS_FOR_EACH = 8


@dataclass
class MadeUp:
    """Ground as a formula of metres east and north; keeps what it was asked last."""

    height: object
    seen: np.ndarray | None = None

    def heights_m(self, x, y):
        self.seen = self.height(x, y)
        return self.seen


def broken_ground(dice: np.random.Generator):
    """A plane, mostly with some of: hills and hollows, a ditch or dam, a bank, steps, roughness, an edge of the DEM, a hole in it."""
    slope, way = 0.01 * dice.choice([0.0, 3.0, 8.0, 15.0, 27.0, 45.0]), dice.uniform(0, 2 * np.pi)
    bumps = [(*dice.normal(0, 7, 2), dice.uniform(-2, 2), dice.uniform(0.7, 6)) for _ in range(dice.integers(0, 4))]
    ditches = [(dice.uniform(0, 2 * np.pi), dice.normal(0, 6), dice.uniform(-1.5, 1.0), dice.uniform(0.4, 2)) for _ in range(dice.integers(0, 2))]
    banks = [(dice.uniform(0, 2 * np.pi), dice.uniform(-12, 12), dice.uniform(0.3, 4), dice.uniform(0.4, 3)) for _ in range(dice.integers(0, 2))]
    stair_m, rough_m = dice.choice([0.0, 0.0, 1.0, 10.0]), dice.choice([0.0, 0.0, 0.01, 0.08, 0.25])
    edge = (dice.uniform(0, 2 * np.pi), dice.uniform(0.7, 20)) if dice.random() < 0.15 else (0.0, np.inf)
    hole_m, wide_m, round_rad = dice.uniform(4, 20), dice.uniform(0.5, 3) * (dice.random() < 0.1), dice.uniform(0, 2 * np.pi)
    waves = dice.uniform(-9, 9, (8, 3))

    def height(x, y):
        east, north = (x, y) if not stair_m else (np.floor(x / stair_m) * stair_m, np.floor(y / stair_m) * stair_m)
        z = 700.0 + slope * (east * np.sin(way) + north * np.cos(way))
        for bx, by, high, wide in bumps:
            z = z + high * np.exp(-((east - bx) ** 2 + (north - by) ** 2) / (2 * wide**2))
        for turn, off, high, wide in ditches:
            z = z + high * np.exp(-(((east * np.sin(turn) + north * np.cos(turn) - off) / wide) ** 2))
        for turn, off, high, wide in banks:
            z = z - high * np.clip((east * np.sin(turn) + north * np.cos(turn) - off) / wide, 0.0, 1.0)
        for u, v, shift in waves if rough_m else ():
            z = z + rough_m / 2.0 * np.sin(u * x + v * y + shift)
        is_hole = np.hypot(x - hole_m * np.sin(round_rad), y - hole_m * np.cos(round_rad)) < wide_m
        return np.where((x * np.sin(edge[0]) + y * np.cos(edge[0]) > edge[1]) | is_hole, np.nan, z)

    return height


def looked_at(height, azimuth_deg: float) -> tuple[GroundAt, np.ndarray, np.ndarray]:
    """The plan's record of a base's ground, and the same heights as the kernel takes them."""
    made_up = MadeUp(height)
    ground = grounds_at(made_up, {"BASE": (0.0, azimuth_deg)}, {"BASE": None})["BASE"]
    own = LINE_M.size + 2
    rises = made_up.seen[0] - made_up.seen[0, own]
    return ground, rises[:own].copy(), rises[own + 1 :].reshape(RINGS_M.size, POINTS_ON_RING).min(axis=1)


def plans_base(inputs: GroundInputs, ground: GroundAt, push_kn: float | None, uplift_kn: float | None) -> BaseHold:
    return weaker_base(hold_base(s, ground, 40.0, push_kn, uplift_kn, inputs.wants) for s in soils_to_try(inputs.site))


def plans_answer(inputs: GroundInputs, base: BaseHold) -> int:
    judged = judge_holding(HoldingPlan((), base, (), ()), (), knows_soil=inputs.knows_soil)
    failing = {check.kind for check in judged.checks if check.verdict == FAIL}
    return PUSH_FAILS * (BASE_PUSH in failing) + PULL_FAILS * (BASE_UPLIFT in failing)


@kernel
def answers(line, rings, loads, rules, fails, asks):
    """For each (push, uplift): what fails, and whether the ground is asked for."""
    base, scratch = bare_base(rules), np.empty(rules.scratch_size)
    for i in range(loads.shape[0]):
        fails[i] = base_fails(pointer(line), pointer(rings), loads[i, 0], loads[i, 1], base, pointer(scratch))
        asks[i] = needs_plate(loads[i, 0], base)
    return line.size + rings.size + scratch.size


def answers_of(line: np.ndarray, rings: np.ndarray, loads: list, rules: BaseRules) -> tuple[list, list]:
    told = np.array([[np.nan if v is None else v for v in pair] for pair in loads], dtype=float)
    fails, asks = (np.zeros(len(loads), dtype=np.int64) for _ in range(2))
    answers(line, rings, told, rules, fails, asks)
    return fails.tolist(), asks.tolist()


def loads_around(inputs: GroundInputs, ground: GroundAt, dice: np.random.Generator) -> list[tuple]:
    """Pushes of every size; those that pins, the strongest plate and another one just hold, and their neighbours."""
    strongest = plans_base(inputs, ground, 1e4, 1.0)
    pushes = [float(v) for v in np.exp(dice.uniform(np.log(3.0), np.log(150.0), 3))]
    for held in (strongest.pins, strongest.buried, plans_base(inputs, ground, pushes[0], 1.0).buried):
        if held.allowable_kn:
            limit = held.allowable_kn * (1.0 if held.kind == PINS else math.cos(math.radians(TIE_DEG)))
            pushes += [limit, float(np.nextafter(limit, 0.0)), float(np.nextafter(limit, 1e9))]
    drawn = strongest.pins_uplift.allowable_kn or 1.0
    return [(push, float(dice.choice([0.0, 0.5 * drawn, drawn, np.nextafter(drawn, 1e9), 3.0 * drawn]))) for push in pushes]


@dataclass
class Case:
    """One base in one ground: the plan's record and answer, the kernel's answer, the kernel's rules."""

    base: BaseHold
    wanted: int
    found: int
    asks: bool
    rules: BaseRules
    is_even: bool


def cases_in(inputs: GroundInputs, dice: np.random.Generator) -> list[Case]:
    rules, cases = base_rules_of(inputs), []
    for _ in range(GROUNDS_FOR_EACH):
        ground, line, rings = looked_at(broken_ground(dice), dice.uniform(0, 360))
        loads = loads_around(inputs, ground, dice)
        is_even = np.abs(np.diff(line[: LINE_M.size])).max() / STEP_M < rules.ground.even_ratio
        for pair, found, asks in zip(loads, *answers_of(line, rings, loads, rules), strict=True):
            base = plans_base(inputs, ground, *pair)
            cases.append(Case(base, plans_answer(inputs, base), found, bool(asks), rules, bool(is_even)))
    return cases


@pytest.fixture(scope="module")
def cases() -> list[Case]:
    dice = np.random.default_rng(17)
    return [case for inputs in SOILS for case in cases_in(inputs, dice)]


def test_every_answer_is_the_plan_s(cases):
    assert len(cases) > 2000
    assert [(c.base, c.wanted, c.found) for c in cases if c.wanted != c.found] == []


def test_the_made_up_cases_are_of_every_kind(cases):
    """Both answers, both ways of the kernel, plates that hold and do not, and every reason for which the plan refuses one."""
    asked = [c for c in cases if c.asks]
    for even in (True, False):
        held = [not c.wanted & PUSH_FAILS for c in asked if c.is_even == even]
        assert len(held) > 400 and 0.25 < np.mean(held) < 0.85
    assert 0.2 < np.mean([c.wanted & PULL_FAILS > 0 for c in cases]) < 0.8
    at_the_limit = [c for c in asked if c.base.buried.allowable_kn and abs(c.base.tie_kn / c.base.buried.allowable_kn - 1.0) < 1e-15]
    assert len(at_the_limit) > 500 and len({c.wanted & PUSH_FAILS for c in at_the_limit}) == 2
    refused = " ".join(c.base.buried.refused for c in cases)
    for reason in ("stands no steeper than its friction angle", "a bank (ground falling", "is not known", "the pit would be", "organic", "in rock", "it needs"):
        assert reason in refused


def test_no_plate_of_the_plan_holds_more_than_the_bound(cases):
    worked_out = [c for c in cases if c.base.buried.allowable_kn is not None]
    assert len(worked_out) > 1200
    assert [c.base for c in worked_out if c.base.buried.allowable_kn > c.rules.most_kn] == []
    near = [c for c in worked_out if c.base.buried.allowable_kn > 0.9 * c.rules.most_kn]
    assert len(near) > 20  # on level ground the bound is near


def test_one_size_that_meets_ground_too_steep_for_the_method_ends_the_plan_s_search_and_the_kernel_s():
    """A wall before the plate: low plates lie farther out than high ones and reach it first, so that the order decides."""
    inputs = soil(plain_words="sand", friction_deg=32.0, water_depth_m=5.0, **SOURCE)
    rules = base_rules_of(inputs)
    loads = [(push, 0.0) for push in (3.0, 8.0, 16.0, 24.0)]
    seen = set()
    for foot_m in np.arange(5.5, 7.5, 0.5):
        for wall_m in (1.0, 2.5, 4.0, 6.0):
            ground, line, rings = looked_at(lambda x, y, foot_m=foot_m, wall_m=wall_m: wall_m * np.clip(2.0 * (x - foot_m), 0.0, 1.0), 90.0)
            bases = [plans_base(inputs, ground, *pair) for pair in loads]
            assert answers_of(line, rings, loads, rules)[0] == [plans_answer(inputs, base) for base in bases]
            only_large = plans_base(replace(inputs, wants=AnchorWants(plates_m=AnchorWants().plates_m[-1:])), ground, *loads[0]).buried
            seen.add((bool(bases[0].buried.refused), bool(only_large.refused)))
    assert (True, False) in seen and (False, False) in seen


def test_where_the_pins_decide_or_nothing_can_hold_the_ground_is_not_looked_at():
    nothing = np.full(LINE_M.size + 2, np.nan), np.full(RINGS_M.size, np.nan)
    for inputs in (CLAYS[3], SANDS[4]):
        rules = base_rules_of(inputs)
        pins, too_much = rules.pins_kn, 1.001 * rules.most_kn
        loads = [(0.3 * pins, 0.0), (pins, 0.0), (too_much, 0.0), (0.5 * pins, 2.0 * rules.drawn_kn), (None, None)]
        fails, asks = answers_of(*nothing, loads, rules)
        assert fails == [0, 0, PUSH_FAILS, PULL_FAILS, 0] and asks == [0] * 5
        fails, asks = answers_of(*nothing, [(1.01 * pins, 2.0 * rules.drawn_kn)], rules)
        assert fails == [PUSH_FAILS | PULL_FAILS] and asks == [1]  # there a plate is asked for, and no ground is known


def test_where_nothing_is_said_of_the_ground_nothing_is_checked():
    said = GroundInputs()
    ground, line, rings = looked_at(broken_ground(np.random.default_rng(3)), 40.0)
    assert plans_answer(said, plans_base(said, ground, 500.0, 500.0)) == 0
    assert answers_of(line, rings, [(500.0, 500.0)], base_rules_of(said)) == ([0], [0])


def test_places_are_reckoned_by_the_step_between_them():
    assert np.array_equal(RINGS_M, RINGS_M[0] * np.arange(1, RINGS_M.size + 1)) and RINGS_M[0] % STEP_M == 0.0
    assert math.frexp(STEP_M)[0] == 0.5  # a power of two: to multiply by its inverse is to divide
