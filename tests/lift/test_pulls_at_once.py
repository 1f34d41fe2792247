"""The pull over many angles at once against one angle at a time; lift lines scaled from level against the full beam."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from rigged_masts import G_KN, LOADS, rod

from siting.errors import OutOfMethod
from siting.kernels.beam import BeamLoads, pulling_forces, support_forces
from siting.kernels.moments import line_pulls
from siting.lift.forces import Lines, line_pull_kn, line_pulls_kn, square_loads
from siting.lift.loads import line_forces_kn
from siting.lift.stage import Stage, known, largest_pull, pulls_at


def test_the_rule_of_a_pull_by_hand():
    """Weight over the hinge: 0. No weight: any arm above 0 does. Else the arm must be longer than the least."""
    pulls = line_pulls(np.array([10.0, 10.0, 10.0, -1.0, 0.0, 0.0]), np.array([2.0, 0.1, -1.0, -1.0, 0.05, 0.0]), 0.1)
    assert pulls[0] == 5.0 and np.isnan(pulls[1:3]).all() and pulls[3] == 0.0 and pulls[4] == 0.0 and np.isnan(pulls[5])


@given(st.floats(-20.0, 20.0), st.floats(-8.0, 8.0), st.floats(0.0, 400.0), st.floats(-12.0, 12.0))
def test_many_angles_at_once_are_the_single_ones(z, y, pole_kg, rest_deg):
    turning = rod(60.0, 11.0, 10.0, pole_kg, loads=LOADS)
    winch = np.array([-64.0, y, z])
    angles = np.linspace(rest_deg, 90.0, 57)
    at_once = line_pulls_kn(turning, winch, np.radians(angles))
    for angle, pull in zip(angles, at_once, strict=True):
        try:
            assert line_pull_kn(turning, winch, math.radians(angle)) == pytest.approx(pull, abs=1e-9, rel=1e-9)
        except OutOfMethod:
            assert math.isnan(pull)


@given(st.floats(-10.0, 12.0), st.floats(0.0, 300.0))
def test_the_largest_pull_is_the_largest_of_single_ones(z, pole_kg):
    stage = Stage("mast", "pole", rod(60.0, 11.0, 10.0, pole_kg), Lines(np.array([-64.0, 0.0, z])), (2.0, 45.0, 90.0))
    largest, at_deg = largest_pull(stage, 0.1)
    single = []
    for angle in np.linspace(2.0, 80.0, 313):
        try:
            single.append(1.1 * line_pull_kn(stage.turning, stage.lines.winch, math.radians(angle)))
        except OutOfMethod:
            single.append(math.nan)
    if np.isnan(single).any():
        assert (largest, at_deg) == (None, None)
    else:
        assert largest == pytest.approx(max(single), abs=1e-9) and at_deg == pytest.approx(2.0 + 0.25 * int(np.argmax(single)))
    assert known(pulls_at(stage, (2.0,), 0.1)) == (pytest.approx(single[0], abs=1e-9) if not math.isnan(single[0]) else None,)


@given(st.lists(st.integers(5, 60), min_size=1, max_size=6, unique=True), st.sampled_from(["fixed", "equalised"]), st.floats(-15.0, 89.0))
def test_lift_lines_scaled_from_level_are_those_of_the_full_beam(places, rig, angle_deg):
    """Every load square to the mast goes with cos t, so one beam does for all angles."""
    turning = rod(60.0, 11.0, 10.0, 100.0, loads=LOADS, lift_attach_m=tuple(float(p) for p in places), lift_lines=rig)
    t = math.radians(angle_deg)
    whole = line_forces_kn(turning, square_loads(turning, [], t))
    assert turning.level_lines_kn * math.cos(t) == pytest.approx(whole, rel=1e-9, abs=1e-9)


def test_a_support_that_would_push_is_let_go():
    """A weight beyond the second support lifts the beam off the first one: it goes slack, the second holds alone."""
    loads = BeamLoads(np.zeros(0), np.zeros(0), np.zeros(0), np.array([30.0]), np.array([-4.0]))
    held = np.array([10.0, 20.0])
    assert support_forces(loads, held).min() < 0.0
    assert pulling_forces(loads, held) == pytest.approx([0.0, 6.0], abs=1e-12)


def test_weight_and_centre_of_what_turns_by_hand():
    turning = rod(60.0, 11.0, 10.0, 100.0, loads=LOADS)
    mass = 660.0 + sum(v.mass_kg for v in LOADS)
    assert turning.whole_kn == pytest.approx(mass * G_KN, rel=1e-12)
    assert turning.centre_m == pytest.approx((660.0 * 30.0 + sum(v.mass_kg * v.at_m for v in LOADS)) / mass, rel=1e-12)
