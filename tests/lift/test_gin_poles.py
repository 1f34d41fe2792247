"""Two gin poles: the light one by hand or small winch, then it raises the one that lifts the mast."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from rigged_masts import BACK, G_KN, GUYS, LOADS, SIDES, WINCH, mast, towards, turned

from siting.errors import OutOfMethod
from siting.lift.gin_poles import first_pole, pole_stages
from siting.lift.stage import lift_stage
from siting.lift.statics import StaticsCase, lift_statics
from siting.records.rigging import LightPole, Rigging

LEVEL = np.array([-64.0, 0.0, -0.3])
TWO = Rigging(loads=LOADS, gin_pole_mass_kg=150.0, gin_poles=(LightPole(4.0, 20.0, "hand"),), lift_attach_m=(30.0, 58.0))


def test_one_pole_has_no_stage_of_its_own():
    assert pole_stages(mast(), Rigging(gin_pole_mass_kg=150.0), LEVEL, 0.0) == ()
    assert first_pole(mast(), Rigging(), LEVEL, 0.0, 0.1) is None


def test_the_light_pole_raises_the_gin_pole_by_hand():
    """150 kg at 5 m against a light pole of 4 m, winch 64 m out and 0.3 m down; the light pole's 20 kg at 2 m."""
    stage = pole_stages(mast(), TWO, LEVEL, 0.0)[0]
    assert (stage.raises, stage.by) == ("mast's gin pole", "gin pole no. 1")
    made = lift_stage(stage, 0.1)
    arm = 4.0 * 64.0 / math.hypot(64.0, 4.3)
    assert made.arm_m[0] == pytest.approx(arm, abs=1e-12)
    assert made.line_kn[0] == pytest.approx(150.0 * G_KN * 5.0 / arm, abs=1e-12)
    assert made.winch_pull_kn[0] == pytest.approx(1.1 * made.line_kn[0], abs=1e-12)
    # One lift line from tip to tip: 10 and 4 m square to each other.
    assert [(line.attach_m, line.length_m) for line in made.lift_lines] == [(10.0, pytest.approx(math.hypot(10.0, 4.0), abs=1e-12))]
    assert made.lift_lines[0].force_kn[0] == pytest.approx(150.0 * G_KN * 5.0 / (10.0 * 4.0 / math.hypot(10.0, 4.0)), abs=1e-12)
    assert made.takeover_deg == pytest.approx(math.degrees(math.atan(150.0 * 5.0 / (20.0 * 2.0))), abs=1e-9)
    assert "the lift lines, made fast to the mast beforehand, must hold it square to the mast" in made.takeover
    assert made.no_number[-1].startswith("the weight has passed over the hinge: the lift lines")
    assert made.winch_pull_kn[-1] is None


@given(st.floats(-12.0, 12.0))
def test_the_gin_pole_turns_from_the_mast_until_it_is_square_to_it(rest_deg):
    stage = pole_stages(mast(), TWO, LEVEL, math.radians(rest_deg))[0]
    assert stage.angles_deg[0] == pytest.approx(rest_deg, abs=1e-12)
    assert stage.angles_deg[-1] == pytest.approx(min(90.0, rest_deg + 90.0), abs=1e-9)
    assert all(b > a for a, b in zip(stage.angles_deg, stage.angles_deg[1:], strict=False))


def test_three_poles_go_up_in_their_order():
    rig = Rigging(gin_pole_mass_kg=300.0, gin_poles=(LightPole(3.0, 10.0, "hand"), LightPole(6.0, 60.0, "winch")))
    first, second = pole_stages(mast(pole_m=12.0), rig, LEVEL, 0.0)
    assert [(s.raises, s.by) for s in (first, second)] == [("gin pole no. 2", "gin pole no. 1"), ("mast's gin pole", "gin pole no. 2")]
    assert (first.turning.pole_m, first.turning.attach_m) == (3.0, (6.0,))
    assert (second.turning.pole_m, second.turning.attach_m) == (6.0, (12.0,))
    assert lift_stage(first, 0.0).start_pull_kn < lift_stage(second, 0.0).start_pull_kn


def test_hands_lift_half_the_light_poles_weight():
    made = first_pole(mast(), TWO, LEVEL, 0.0, 0.1)
    assert made.tip_kg[0] == pytest.approx(10.0, abs=1e-9) and made.tip_kn[0] == pytest.approx(10.0 * G_KN, abs=1e-12)
    at_60 = made.angles_deg.index(60.0)
    assert made.tip_kg[at_60] == pytest.approx(5.0, abs=1e-9)
    assert set(made.winch_pull_kn) == {None} and made.hand_to_deg is None
    assert made.text == "by hand: 10 kg at the tip at the start (0.10 kN), less as it rises; no source says how much a crew may lift by hand"


def test_a_small_winch_takes_over_once_its_line_has_an_arm():
    rig = Rigging(gin_pole_mass_kg=150.0, gin_poles=(LightPole(4.0, 20.0, "winch"),))
    made = first_pole(mast(), rig, LEVEL, 0.0, 0.1)
    seen = 0
    for angle, pull in zip(made.angles_deg, made.winch_pull_kn, strict=True):
        tip = turned([4.0, 0, 0], math.radians(angle))
        unit = towards(tip, LEVEL)
        arm = tip[0] * unit[2] - tip[2] * unit[0]
        assert (pull is None) == (arm < 0.4)
        if pull is not None:
            assert pull == pytest.approx(20.0 * G_KN * 2.0 * math.cos(math.radians(angle)) / arm, abs=1e-9)
            seen += 1
    assert made.winch_pull_kn[0] is None and seen > 10
    assert made.hand_to_deg == 10.0
    assert made.text.startswith("by hand to about 10° (10 kg at the tip at the start (0.10 kN)), then by a small winch")
    ahead = first_pole(mast(), rig, np.array([64.0, 0.0, 0.0]), 0.0, 0.1)
    assert ahead.hand_to_deg is None and "never has an arm" in ahead.text


def test_a_gin_pole_without_a_mass_is_refused_and_the_rest_still_given():
    rig = Rigging(gin_poles=(LightPole(4.0, 20.0, "hand"),))
    with pytest.raises(OutOfMethod, match="gin_pole_mass_kg: is not given, but a lighter pole raises that gin pole"):
        pole_stages(mast(), rig, LEVEL, 0.0)
    made = lift_statics(case(rig))
    assert len(made.stages) == 1 and made.first_pole is None
    assert any(text.startswith("gin poles: not worked out: mast 'test', gin_pole_mass_kg") for text in made.remarks)


def test_each_stage_has_its_own_pull_in_the_whole():
    made = lift_statics(case(TWO))
    assert [s.raises for s in made.stages] == ["mast's gin pole", "mast"]
    assert made.first_pole.raised_by == "hand"
    assert 0.0 < made.stages[0].largest_pull_kn < made.stages[1].largest_pull_kn / 3.0


def case(rig: Rigging) -> StaticsCase:
    made = mast(WINCH, BACK, *SIDES, guys=GUYS)
    return StaticsCase(made, rig, {"W": 500.0, "K": 500.0, "R": 500.0, "L": 500.0}, 500.3, 0.0, 0.0, 0.1)
