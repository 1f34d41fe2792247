"""Screws: what a plate bears, the least rod, cover, frost, torque, and where no screw is turned in."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from holding.made_up_ground import clay, ground, load, rock, sand
from hypothesis import given, settings
from hypothesis import strategies as st

from siting.errors import OutOfMethod
from siting.holding.ground_cover import GroundLine
from siting.holding.screw import SHAFTS, hold_screw, plate_bearing_kn, sand_factor, stop_torque_knm
from siting.records.holding import AnchorWants

FLAT = GroundLine(ground())
WANTS = AnchorWants()


@given(st.floats(20.0, 40.9), st.floats(0.05, 0.1), st.floats(1.5, 8.0), st.floats(0.01, 2.0))
def test_stronger_and_deeper_never_bear_less(friction, step, cover, more):
    there = plate_bearing_kn(sand(friction), cover, 0.3, 0.07)
    assert plate_bearing_kn(sand(min(friction + step, 41.0)), cover, 0.3, 0.07) >= there
    assert plate_bearing_kn(sand(friction), cover + more, 0.3, 0.07) >= there


@given(st.floats(5.0, 190.0), st.floats(0.0, 10.0), st.floats(1.5, 8.0), st.floats(0.0, 2.0))
def test_stronger_and_deeper_clay_never_bears_less(strength, more, cover, deeper):
    there = plate_bearing_kn(clay(strength), cover, 0.3, 0.07)
    assert plate_bearing_kn(clay(strength + more), cover, 0.3, 0.07) >= there
    assert plate_bearing_kn(clay(strength), cover + deeper, 0.3, 0.07) >= there


def test_clay_reaches_nine_at_seven_and_a_half_diameters():
    assert plate_bearing_kn(clay(50.0), 7.5 * 0.3, 0.3, 0.07) == pytest.approx(0.07 * 9.0 * 50.0)
    assert plate_bearing_kn(clay(50.0), 5.0 * 0.3, 0.3, 0.07) == pytest.approx(0.07 * 6.0 * 50.0)


def test_stress_counts_to_twenty_diameters():
    assert plate_bearing_kn(sand(), 9.0, 0.3, 0.07) == plate_bearing_kn(sand(), 6.0, 0.3, 0.07) > plate_bearing_kn(sand(), 5.9, 0.3, 0.07)


def test_plates_stand_three_diameters_of_the_lower_one_apart():
    """Upright in level sand each plate bears by its own depth: tip, then 3 x 0.254 and 3 x 0.305 m higher."""
    wants = replace(WANTS, screw_diameters_m=((0.254, 0.305, 0.356),))
    held = hold_screw(load(999.0, 90.0), sand(), FLAT, wants)
    depths = (5.08, 6.0 - 0.762, 6.0 - 0.762 - 0.915)  # the first counted to 20 diameters
    for part, depth, diameter in zip(held.parts, depths, (0.254, 0.305, 0.356), strict=True):
        area = math.pi / 4.0 * diameter**2 - 0.038**2
        assert part.value_kn == pytest.approx(area * 18.0 * depth * sand_factor(32.0))


@settings(max_examples=40, deadline=None)
@given(st.floats(1.0, 60.0), st.floats(25.0, 80.0), st.sampled_from([sand(30.0), sand(38.0), clay(40.0), clay(90.0)]))
def test_the_rod_found_holds_and_a_tenth_less_does_not(kn, angle, ground_there):
    held = hold_screw(load(kn, angle), ground_there, FLAT, WANTS)
    assert held.refused == ""
    if held.allowable_kn < kn:
        assert held.torque_knm is None
        return
    assert held.ultimate_kn == pytest.approx(2.0 * held.allowable_kn)
    assert held.torque_knm == pytest.approx(2.0 * kn / SHAFTS[WANTS.screw_shaft][0])
    tip = float(held.size.split("tip ")[1].split(" m")[0])
    shorter = replace(
        WANTS, screw_longest_m=tip - 0.1 + 1e-9,
        screw_diameters_m=(tuple(float(d) / 1000 for d in held.size.split("plates ")[1].split(" mm")[0].split(" + ")),),
    )  # fmt: skip
    less = hold_screw(load(kn, angle), ground_there, FLAT, shorter)
    assert less.allowable_kn is None or less.allowable_kn < kn


@settings(max_examples=25, deadline=None)
@given(st.floats(0.0, 25.0), st.floats(0.5, 10.0))
def test_ground_that_falls_away_steeper_never_needs_less_rod(fall, more):
    wants = replace(WANTS, screw_diameters_m=((0.254,),), screw_longest_m=10.0)
    gentle, steep = (hold_screw(load(15.0), sand(36.0), GroundLine(ground(outward=-f)), wants) for f in (fall, fall + more))
    assert steep.allowable_kn < 15.0 or steep.rod_m >= gentle.rod_m - 1e-9
    assert gentle.cover_m <= gentle.depth_m + 1e-9


def test_upper_plate_lies_five_diameters_deep_and_below_frost():
    shallow = hold_screw(load(0.5, 90.0), clay(frost_depth_m=0.0), FLAT, WANTS)
    assert shallow.depth_m == pytest.approx(1.3)  # 5 x 0.254 = 1.27, to the next tenth
    frozen = hold_screw(load(0.5, 90.0), clay(frost_depth_m=1.8), FLAT, WANTS)
    assert frozen.depth_m == pytest.approx(2.1)  # 1.8 + 0.254
    deep = hold_screw(load(0.5, 90.0), clay(frost_depth_m=5.9), FLAT, WANTS)
    assert deep.refused == "the upper plate lies 6.0 m deep, it needs 6.2 m (5 diameters, and below frost)"


def test_rod_is_longer_on_a_flatter_pull_and_shorter_where_the_ground_rises():
    wants = replace(WANTS, screw_diameters_m=((0.305,),))
    steep, flat = (hold_screw(load(15.0, a), sand(36.0), FLAT, wants).rod_m for a in (60.0, 35.0))
    assert flat > steep
    rising = hold_screw(load(15.0, 35.0), sand(36.0), GroundLine(ground(outward=15.0)), wants)
    assert rising.rod_m < flat


def test_the_shaft_s_torque_limit_governs():
    free = hold_screw(load(60.0, 60.0), sand(38.0), FLAT, WANTS)
    assert free.allowable_kn >= 60.0
    limited = hold_screw(load(60.0, 60.0), sand(38.0), FLAT, replace(WANTS, screw_torque_limit_knm=3.0))
    assert limited.allowable_kn == pytest.approx(3.0 * 32.8 / 2.0)
    assert limited.governed_by == "torque that the shaft may take"
    assert limited.torque_knm is None


@pytest.mark.parametrize(
    ("there", "angle", "words"),
    [
        (rock(), 45.0, "a screw does not enter rock"),
        (sand(is_organic=True), 45.0, "organic ground: no method holds there"),
        (sand(has_cobbles=True), 45.0, "a screw is not for ground with gravel or cobbles (UFC 3-220-20 6-4.7)"),
        (sand(42.0), 45.0, "very dense ground (friction angle above 41°): a screw is not for hard ground"),
        (clay(210.0), 45.0, "hard clay (strength above 200 kPa): a screw is not for hard ground"),
        (sand(18.0), 45.0, "friction angle below 20°: outside the method"),
        (sand(None), 45.0, "the ground's strength is not known"),
        (clay(None), 45.0, "the ground's strength is not known"),
        (sand(), 19.0, "the pull is at 19°: a screw in line with a guy flatter than 20° gets too long for its depth"),
    ],
)
def test_where_no_screw_is_turned_in(there, angle, words):
    held = hold_screw(load(10.0, angle), there, FLAT, WANTS)
    assert held.refused == words
    assert held.ultimate_kn is held.allowable_kn is held.rod_m is None


def test_refused_near_a_bank():
    def at(brink_m):
        brink = ground(rise=lambda s: -3.0 * min(max(s - brink_m, 0.0), 1.0))
        return hold_screw(load(20.0), sand(), GroundLine(brink), WANTS)

    assert "deeper: a bank (ground falling 50 % or more) is" in at(1.5).refused
    assert at(3.0).allowable_kn < 20.0  # a rod short enough to stay clear of it
    assert at(10.0).allowable_kn >= 20.0


def test_errors_of_the_formulas():
    with pytest.raises(OutOfMethod, match=r"friction angle 19\.0°"):
        sand_factor(19.0)
    with pytest.raises(OutOfMethod, match="shaft 'oak': has no published torque factor"):
        stop_torque_knm(10.0, "oak")
    with pytest.raises(OutOfMethod, match="has no strength"):
        plate_bearing_kn(rock(), 2.0, 0.3, 0.07)
