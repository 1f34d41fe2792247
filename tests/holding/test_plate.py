"""Buried plates: upward, level and slanting pulls, the least plate, frost, pit, and where none is worked out."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from holding.made_up_ground import clay, ground, load, rock, sand
from hypothesis import given, settings
from hypothesis import strategies as st

from siting.errors import OutOfMethod
from siting.holding.breakout import SAND, clay_factor, sand_factor
from siting.holding.earth_pressure import active_ratio, cohesive_push_kpa, passive_ratio
from siting.holding.ground_cover import GroundLine
from siting.holding.plate import SAFETY_FACTORS, combined_kn, hold_plate, level_kn, upward_kn
from siting.records.holding import AnchorWants

FLAT = GroundLine(ground())
WANTS = AnchorWants()
PLATE = (1.2, 0.3)
DEPTH = st.floats(0.4, 3.0)
GROUND = st.one_of(st.floats(20.0, 47.0).map(sand), st.floats(5.0, 200.0).map(clay))


def stronger(there, by):
    if there.friction_deg is None:
        return replace(there, undrained_kpa=there.undrained_kpa + by)
    return replace(there, friction_deg=min(there.friction_deg + by, 48.0))


@given(GROUND, DEPTH, st.floats(0.0, 1.0), st.floats(10.0, 70.0), st.floats(0.0, 20.0))
def test_stronger_deeper_and_flatter_pulls_are_never_weaker(there, depth, more, angle, turn):
    def pull(ground_there, z, a):
        return combined_kn(upward_kn(ground_there, z, PLATE), level_kn(ground_there, z, PLATE), a)

    here = pull(there, depth, angle)
    assert pull(stronger(there, more), depth, angle) >= here * (1 - 1e-12)
    assert pull(there, depth + more, angle) >= here * (1 - 1e-12)
    assert pull(there, depth, min(angle + turn, 70.0)) <= here * (1 + 1e-12)


@given(GROUND, DEPTH, st.floats(0.0, 14.0), st.floats(0.0, 5.0))
def test_steeper_ground_is_never_stronger_and_rising_ground_before_it_no_gain(there, depth, slope, more):
    for pair in ((slope, 0.0), (0.0, slope)):
        steeper = tuple(s + more if s else 0.0 for s in pair)
        assert level_kn(there, depth, PLATE, steeper) <= level_kn(there, depth, PLATE, pair) * (1 + 1e-12)
    assert level_kn(there, depth, PLATE, (-slope, -slope)) == level_kn(there, depth, PLATE)


@given(st.floats(20.0, 48.0), st.floats(0.3, 0.6), st.floats(1.0, 4.0))
def test_a_square_plate_is_the_square_s_formula_and_a_long_one_the_strip_s(friction, width, ratio):
    depth = ratio * width
    limit = next(low[1] + (friction - low[0]) / (high[0] - low[0]) * (high[1] - low[1])
                 for low, high in zip(SAND, SAND[1:], strict=False) if low[0] <= friction <= high[0])  # fmt: skip
    long = sand_factor(friction, depth, width, 1e6 * width)
    square = sand_factor(friction, depth, width, width)
    assert square > sand_factor(friction, depth, width, 2.0 * width) > long > 1.0
    held = min(depth, limit * width)
    slope = (long - 1.0) / (held / width) / math.tan(math.radians(friction))  # the uplift coefficient
    assert 0.84 < slope < 0.951


def test_water_lowers_what_sand_holds():
    wet, dry = sand(water_depth_m=0.0), sand()
    assert upward_kn(wet, 1.5, PLATE) == pytest.approx(upward_kn(dry, 1.5, PLATE) / 2.0)
    assert upward_kn(sand(water_depth_m=None), 1.5, PLATE) == upward_kn(wet, 1.5, PLATE)
    assert level_kn(wet, 1.5, PLATE) == pytest.approx(level_kn(dry, 1.5, PLATE) / 2.0)


def test_clay_pushes_four_times_its_strength_at_most():
    assert cohesive_push_kpa(50.0, 500.0, 0.0) == pytest.approx(200.0)
    assert cohesive_push_kpa(50.0, 20.0, 0.0) == pytest.approx(120.0)
    assert cohesive_push_kpa(50.0, 20.0, math.degrees(0.2)) == pytest.approx(100.0)


def test_wedge_limits():
    assert passive_ratio(30.0, 29.999) == pytest.approx(0.75, rel=0.02)
    assert active_ratio(30.0, 29.999) == pytest.approx(0.75, rel=0.02)
    for ratio in (passive_ratio, active_ratio):
        with pytest.raises(OutOfMethod, match="stands no steeper than its friction angle"):
            ratio(30.0, 30.0)


@given(st.floats(1.0, 1e4), st.floats(1.0, 1e4))
def test_the_line_between_both_pulls(upward, level):
    angle = min(math.degrees(math.atan2(level, upward)), 70.0)
    pulls = [combined_kn(upward, level, a) for a in (10.0, 30.0, 50.0, 70.0)]
    assert pulls == sorted(pulls, reverse=True)
    assert pulls[-1] >= min(upward, level) / math.sqrt(2.0) * (1 - 1e-9)
    if angle >= 10.0:
        held = combined_kn(upward, level, angle)
        part = held * math.cos(math.radians(angle)) / level + held * math.sin(math.radians(angle)) / upward
        assert part == pytest.approx(1.0)
    for a in (9.9, 70.1):
        with pytest.raises(OutOfMethod, match="a plate is worked out from 10° to 70°"):
            combined_kn(upward, level, a)


@settings(max_examples=40, deadline=None)
@given(st.floats(1.0, 60.0), st.floats(15.0, 65.0), st.sampled_from([sand(28.0), sand(38.0), clay(25.0), clay(90.0)]))
def test_the_plate_found_holds_and_neither_a_smaller_nor_a_shallower_one_does(kn, angle, there):
    held = hold_plate(load(kn, angle), there, FLAT, WANTS)
    assert held.refused == ""
    assert held.ultimate_kn == pytest.approx(held.allowable_kn * SAFETY_FACTORS[there.kind])
    if held.allowable_kn < kn:
        return
    sizes = [f"plate {length:.2f} m long, {height:.2f} m high" for length, height in WANTS.plates_m]
    index = sizes.index(held.size)
    for size in WANTS.plates_m[:index]:
        smaller = hold_plate(load(kn, angle), there, FLAT, replace(WANTS, plates_m=(size,)))
        assert smaller.allowable_kn is None or smaller.allowable_kn < kn
    half = WANTS.plates_m[index][1] / 2.0 * math.cos(math.radians(angle))
    pit = held.depth_m + half
    assert pit <= WANTS.plate_deepest_m + 1e-6
    assert held.depth_m - half >= 0.8 - 1e-9  # below frost
    shallower = replace(WANTS, plates_m=(WANTS.plates_m[index],), plate_deepest_m=pit - 0.01)
    less = hold_plate(load(kn, angle), there, FLAT, shallower)
    assert less.allowable_kn is None or less.allowable_kn < kn


@settings(max_examples=25, deadline=None)
@given(st.sampled_from([sand(34.0), clay(50.0)]), st.floats(0.0, 20.0), st.floats(0.5, 6.0))
def test_ground_that_falls_away_steeper_never_needs_less_rod(there, fall, more):
    wants = replace(WANTS, plates_m=((1.5, 0.45),))
    gentle, steep = (hold_plate(load(12.0), there, GroundLine(ground(outward=-f)), wants) for f in (fall, fall + more))
    assert steep.allowable_kn is None or steep.allowable_kn < 12.0 or steep.rod_m >= gentle.rod_m - 1e-9


def test_depth_and_cover_on_a_slope():
    held = hold_plate(load(10.0), sand(36.0), GroundLine(ground(outward=15.0)), WANTS)
    out = held.rod_m * math.cos(math.radians(45.0))
    assert held.depth_m == pytest.approx(out + 0.15 * out)
    assert held.cover_m < held.depth_m


@pytest.mark.parametrize("there", [sand(36.0), clay(50.0)])
def test_the_slope_that_counts_is_the_one_on_the_base_s_side(there):
    """Uphill outward: the ground falls before the plate and rises behind it. Downhill outward: neither."""
    slope = math.degrees(math.atan(0.15))
    for outward, slopes in ((15.0, (slope, slope)), (-15.0, (0.0, 0.0))):
        held = hold_plate(load(10.0), there, GroundLine(ground(outward=outward)), replace(WANTS, plates_m=((1.2, 0.3),)))
        depth = held.depth_m if there.undrained_kpa is None else held.cover_m
        level = next(part.value_kn for part in held.parts if part.name == "pulled level")
        assert level == pytest.approx(level_kn(there, depth, (1.2, 0.3), slopes))


@pytest.mark.parametrize(
    ("there", "angle", "words"),
    [
        (rock(), 45.0, "no pit for a plate is dug in rock, and no method of the sheet holds for one there"),
        (clay(is_organic=True), 45.0, "organic ground: no method holds there"),
        (sand(None), 45.0, "the ground's strength is not known"),
        (clay(None), 45.0, "the ground's strength is not known"),
        (sand(49.0), 45.0, "friction angle 49°: the method holds from 20° to 48°"),
        (sand(), 9.0, "the pull is at 9°: a plate is worked out from 10° to 70°"),
        (sand(), 71.0, "the pull is at 71°: a plate is worked out from 10° to 70°"),
        (sand(frost_depth_m=3.5), 45.0, "the plate's middle lies 2.8 m deep, it needs 3.6 m (as deep as it is high, and below frost);"
         " deeper: the pit would be 3.01 m deep, more than the 3.00 m set"),
    ],
)  # fmt: skip
def test_where_no_plate_is_worked_out(there, angle, words):
    held = hold_plate(load(10.0, angle), there, FLAT, WANTS)
    assert held.refused == words
    assert held.ultimate_kn is held.allowable_kn is held.rod_m is None


def test_errors_of_the_formulas():
    with pytest.raises(OutOfMethod, match="the method begins where a plate lies as deep as it is wide"):
        sand_factor(30.0, 0.29, 0.3, 0.9)
    with pytest.raises(OutOfMethod, match="the method begins where a plate lies as deep as it is wide"):
        clay_factor(0.29, 0.3, 0.9)
    with pytest.raises(OutOfMethod, match="the breakout table holds from 20° to 48°"):
        sand_factor(48.1, 1.0, 0.3, 0.9)
    with pytest.raises(OutOfMethod, match="comes out of the ground"):
        level_kn(sand(), 0.1, PLATE)
    with pytest.raises(OutOfMethod, match="is a bank"):
        cohesive_push_kpa(50.0, 20.0, 60.0)
