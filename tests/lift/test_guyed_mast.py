"""The standing guyed mast against closed forms, forces written anew, finite differences, splines and limits."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.interpolate import CubicSpline

from siting.kernels.cable import hang_with_length
from siting.kernels.elastic_guy import elastic_at_horizontal, elastic_at_tension, hang_elastic
from siting.kernels.guyed_mast import STRAIGHT, GuyedMast, forces_at, stand

STIFFNESS_N, WEIGHT_N_PER_M = 3.7e6, 1.77
seeds = st.integers(0, 10_000)


def mast(heights, bearings=(45.0, 165.0, 285.0), radius_m=40.0, weight_n=900.0, slope=0.0, **changes) -> GuyedMast:
    """A mast with guys at the same bearings on every level, on even ground that rises by `slope` along x."""
    heights, turn = np.asarray(heights, float), np.radians(np.tile(bearings, len(heights)))
    x, y = radius_m * np.cos(turn), radius_m * np.sin(turn)
    level = np.repeat(np.arange(heights.size), len(bearings))
    full = lambda value: np.full(turn.size, value)  # noqa: E731
    made = GuyedMast(
        heights,
        np.full(heights.size, weight_n),
        np.column_stack([x, y, slope * x - 0.3]),
        level,
        full(WEIGHT_N_PER_M),
        full(STIFFNESS_N),
    )
    return replace(made, **changes)


def lengths_m(made: GuyedMast, tension_n=3000.0) -> np.ndarray:
    """Unstressed lengths with which every guy of the plumb mast has this tension at its anchor."""
    span = np.hypot(made.anchors_m[:, 0], made.anchors_m[:, 1])
    rise = made.heights_m[made.level] - made.anchors_m[:, 2]
    return elastic_at_tension(span, rise, made.weight_n_per_m, made.stiffness_n, tension_n).unstressed_m


def shaken(made: GuyedMast, seed: int, reach_m: float = 0.03) -> np.ndarray:
    return lengths_m(made) + np.random.default_rng(seed).uniform(-reach_m, reach_m, made.level.size)


THREE = (20.0, 39.0, 58.0)

# --- the guy --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("span_m", "rise_m", "tension_n"), [(40.0, 58.0, 3000.0), (22.0, 9.0, 900.0), (50.0, -6.0, 2000.0), (45.0, 40.0, 250.0)])  # fmt: skip
def test_the_elastic_guy_written_anew_ends_at_the_attachment(span_m, rise_m, tension_n):
    """Each metre of strand, weightless stretch and all, summed from the anchor up."""
    guy = elastic_at_tension(np.array([span_m]), np.array([rise_m]), WEIGHT_N_PER_M, STIFFNESS_N, tension_n)
    across, up, length = float(guy.horizontal_n[0]), float(guy.anchor_up_n[0]), float(guy.unstressed_m[0])
    force = lambda s: math.hypot(across, up + WEIGHT_N_PER_M * s)  # noqa: E731
    x = quad(lambda s: across / force(s) + across / STIFFNESS_N, 0.0, length, epsabs=1e-12)[0]
    z = quad(lambda s: (up + WEIGHT_N_PER_M * s) * (1.0 / force(s) + 1.0 / STIFFNESS_N), 0.0, length, epsabs=1e-12)[0]
    assert (x, z) == (pytest.approx(span_m, abs=1e-9), pytest.approx(rise_m, abs=1e-9))
    assert guy.anchor_tension_n[0] == pytest.approx(tension_n, rel=1e-9)
    again = elastic_at_horizontal(guy.span_m, guy.rise_m, WEIGHT_N_PER_M, STIFFNESS_N, guy.horizontal_n)
    assert again.unstressed_m == pytest.approx(guy.unstressed_m, abs=1e-9)


@pytest.mark.parametrize("ratio", [0.0005, 0.001, 0.0015])
def test_the_two_ways_to_count_strain_agree_within_two_in_a_thousand(ratio):
    guy = elastic_at_tension(np.array([40.0, 22.0]), np.array([58.0, 10.0]), WEIGHT_N_PER_M, STIFFNESS_N, ratio * STIFFNESS_N)
    other = hang_with_length(guy.span_m, guy.rise_m, WEIGHT_N_PER_M, STIFFNESS_N, guy.unstressed_m)
    assert other.anchor_tension_n == pytest.approx(guy.anchor_tension_n, rel=0.002)
    assert (other.anchor_tension_n < guy.anchor_tension_n).all()


def test_a_guy_longer_than_its_chord_hangs_and_its_derivatives_are_those_of_finite_differences():
    span, rise = np.array([40.0, 40.0, 25.0]), np.array([58.0, 58.0, -3.0])
    length = np.hypot(span, rise) * np.array([1.01, 0.999, 1.002])
    at = lambda x=0.0, z=0.0, s=0.0: hang_elastic(span + x, rise + z, WEIGHT_N_PER_M, STIFFNESS_N, length + s)  # noqa: E731
    guy, d = at(), 1e-6
    for pick, kwargs in ((0, {"x": d}), (1, {"z": d})):
        high, low = at(**kwargs), at(**{k: -v for k, v in kwargs.items()})
        assert guy.stiffness[:, 0, pick] == pytest.approx((high.horizontal_n - low.horizontal_n) / (2 * d), rel=1e-4, abs=1e-2)
        assert guy.stiffness[:, 1, pick] == pytest.approx((high.down_n - low.down_n) / (2 * d), rel=1e-4, abs=1e-2)
        assert guy.tension_by_place[:, pick] == pytest.approx(
            (high.anchor_tension_n - low.anchor_tension_n) / (2 * d), rel=1e-4, abs=1e-2
        )
    high, low = at(s=d), at(s=-d)
    assert guy.pull_by_length[:, 0] == pytest.approx((high.horizontal_n - low.horizontal_n) / (2 * d), rel=1e-4)
    assert guy.tension_by_length == pytest.approx((high.anchor_tension_n - low.anchor_tension_n) / (2 * d), rel=1e-4)
    assert guy.stiffness == pytest.approx(np.swapaxes(guy.stiffness, 1, 2), rel=1e-9)


# --- closed forms ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("bearing_deg", [0.0, 45.0, 77.0, 225.0])
def test_three_guys_at_120_degrees_are_as_stiff_as_one_and_a_half_times_k_cos_squared(bearing_deg):
    """Nearly weightless and nearly without tension, so that they are springs along their chords."""
    made = mast([58.0], weight_n=0.0, weight_n_per_m=np.full(3, 1e-3))
    length = lengths_m(made, 200.0)
    chord = math.hypot(40.0, 58.3)
    stiffness = 1.5 * STIFFNESS_N / chord * (40.0 / chord) ** 2
    push = 5.0 * np.array([[math.cos(math.radians(bearing_deg)), math.sin(math.radians(bearing_deg))]])
    found = stand(made, length, side_n=push)
    assert found.why == ""
    assert found.displacement_m == pytest.approx(push / stiffness, rel=2e-3, abs=1e-7)


@pytest.mark.parametrize("bearings", [(45.0, 165.0, 285.0), (0.0, 90.0, 180.0, 270.0)])
def test_even_tensions_on_even_ground_leave_the_mast_plumb(bearings):
    made = mast(THREE, bearings)
    found = stand(made, lengths_m(made))
    assert np.abs(found.displacement_m).max() < 1e-9
    assert found.tension_n == pytest.approx(3000.0, rel=1e-9)


def test_a_rod_on_one_level_tips_when_its_load_times_the_lean_beats_the_guys():
    made = mast([58.0], weight_n=0.0, weight_n_per_m=np.full(3, 1e-3))
    length = lengths_m(made, 200.0)
    free = forces_at(made, length, np.zeros((1, 2)))
    stiffness = (free.stiffness - free.tipping)[0, 0]
    guys_down = float(free.guys.down_n.sum())
    critical_n = stiffness * 58.0 - guys_down
    for part, why in ((0.99, ""), (1.01, "tips it")):
        found = stand(replace(made, weight_n=np.array([part * critical_n])), length)
        assert (why in found.why) and (why != "" or found.why == "")
    half = forces_at(replace(made, weight_n=np.array([(critical_n - guys_down) / 2.0])), length, np.zeros((1, 2)))
    assert half.tipping_ratio == pytest.approx(2.0, rel=1e-9)


# --- balance --------------------------------------------------------------------------------------------------------


def moments_above(made: GuyedMast, found, joint: int) -> np.ndarray:
    """Moment about a joint (0 the hinge) of every force on the levels above it, by cross products."""
    now = found.balance
    places = np.vstack([np.zeros(3), np.column_stack([now.displacement_m, now.height_m])])
    total = np.zeros(3)
    for level in range(joint, made.heights_m.size):
        of = made.level == level
        pull = -np.column_stack([now.guys.horizontal_n[of, None] * now.towards[of], now.guys.down_n[of]])
        force = pull.sum(axis=0) - np.array([0.0, 0.0, made.weight_n[level]])
        total += np.cross(places[level + 1] - places[joint], force)
    return total


@given(seeds)
@settings(max_examples=15, deadline=None)
def test_every_joint_of_the_chain_is_free_of_moment(seed):
    made = mast(THREE, slope=0.12)
    found = stand(made, shaken(made, seed))
    assert found.why == ""
    scale = float(found.balance.guys.horizontal_n.sum()) * 58.0
    for joint in range(3):
        assert np.abs(moments_above(made, found, joint)).max() < 1e-6 * scale
    assert np.abs(found.balance.push_n).max() < 1e-6 * found.balance.guys.horizontal_n.min()
    pieces = np.diff(np.vstack([np.zeros(3), np.column_stack([found.displacement_m, found.balance.height_m])]), axis=0)
    assert np.linalg.norm(pieces, axis=1) == pytest.approx(np.diff(made.heights_m, prepend=0.0), rel=1e-12)


@pytest.mark.parametrize("change", [{"mast": STRAIGHT}, {"bending_nm2": 2e6}])
def test_the_hinge_of_rod_and_beam_is_free_of_moment(change):
    made = mast(THREE, slope=0.12, **change)
    found = stand(made, shaken(made, 5))
    assert found.why == ""
    scale = float(found.balance.guys.horizontal_n.sum()) * 58.0
    # The beam's own forces are in balance to the first order of its lean.
    assert np.abs(moments_above(made, found, 0)).max() < (1e-6 if "mast" in change else 1e-4) * scale


def test_a_very_stiff_beam_stands_like_the_rod_and_a_very_soft_one_like_the_chain():
    made = mast(THREE, slope=0.12)
    length = shaken(made, 8)
    rod, chain = stand(replace(made, mast=STRAIGHT), length), stand(made, length)
    assert stand(replace(made, bending_nm2=1e12), length).displacement_m == pytest.approx(rod.displacement_m, abs=1e-4)
    assert stand(replace(made, bending_nm2=1.0), length).displacement_m == pytest.approx(chain.displacement_m, abs=1e-5)
    lean = rod.displacement_m / made.heights_m[:, None]
    assert lean == pytest.approx(np.tile(lean[0], (3, 1)), abs=1e-12)
    assert np.abs(rod.displacement_m - chain.displacement_m).max() > 1e-3


def test_the_beam_bends_with_the_energy_of_the_natural_spline():
    made = mast((12.0, 20.0, 39.0, 58.0), bending_nm2=2e6)
    length, bend = lengths_m(made), np.array([[0.01, 0.0], [-0.02, 0.0], [0.03, 0.0], [0.01, 0.0]])
    push = forces_at(made, length, bend).push_n - forces_at(replace(made, bending_nm2=0.0), length, bend).push_n
    curve = CubicSpline([0.0, *made.heights_m], [0.0, *bend[:, 0]], bc_type="natural").derivative(2)
    energy = (
        0.5
        * 2e6
        * sum(quad(lambda z: curve(z) ** 2, a, b)[0] for a, b in zip([0.0, *made.heights_m[:-1]], made.heights_m, strict=True))
    )
    assert -0.5 * (push * bend).sum() == pytest.approx(energy, rel=1e-9)


# --- derivatives ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("bending_nm2", [0.0, 2e6])
def test_the_stiffness_is_that_of_finite_differences(bending_nm2):
    made = mast(THREE, slope=0.12, bending_nm2=bending_nm2)
    length, lean = shaken(made, 3), np.array([[0.05, -0.02], [0.15, 0.1], [0.2, -0.3]])
    now, d = forces_at(made, length, lean), 1e-6
    for column in range(6):
        step = np.zeros(6)
        step[column] = d
        high, low = (forces_at(made, length, lean + s * step.reshape(3, 2)).push_n.ravel() for s in (1, -1))
        assert now.stiffness[:, column] == pytest.approx(-(high - low) / (2 * d), rel=1e-5, abs=0.05)
    for column in range(9):
        step = np.zeros(9)
        step[column] = d
        high, low = (forces_at(made, length + s * step, lean).push_n.ravel() for s in (1, -1))
        assert now.push_by_length[:, column] == pytest.approx((high - low) / (2 * d), rel=1e-5, abs=0.05)
    assert now.stiffness == pytest.approx(now.stiffness.T, rel=1e-9, abs=1e-6)


@pytest.mark.parametrize("change", [{}, {"mast": STRAIGHT}, {"bending_nm2": 2e6}])
def test_what_a_length_does_is_what_the_mast_solved_anew_does(change):
    made = mast(THREE, slope=0.12, **change)
    length = shaken(made, 4)
    now, d = stand(made, length), 1e-5
    for column in (0, 4, 8):
        step = np.zeros(9)
        step[column] = d
        high, low = (stand(made, length + s * step) for s in (1, -1))
        moved = (high.displacement_m - low.displacement_m).ravel() / (2 * d)
        assert now.displacement_by_length[:, column] == pytest.approx(moved, rel=1e-3, abs=1e-3)
        assert now.tension_by_length[:, column] == pytest.approx((high.tension_n - low.tension_n) / (2 * d), rel=1e-3, abs=5.0)


@given(seeds, st.integers(0, 8), st.floats(0.005, 0.05))
@settings(max_examples=25, deadline=None)
def test_taking_in_a_guy_pulls_its_level_towards_its_anchor_and_tightens_it(seed, guy, taken_m):
    made = mast(THREE, slope=0.12)
    length = shaken(made, seed, 0.02)
    shorter = length.copy()
    shorter[guy] -= taken_m
    before, after = stand(made, length), stand(made, shorter)
    towards_anchor = -before.balance.towards[guy]
    assert (after.displacement_m - before.displacement_m)[made.level[guy]] @ towards_anchor > 0.0
    assert after.tension_n[guy] > before.tension_n[guy]


# --- out of range ---------------------------------------------------------------------------------------------------


def test_slack_guys_all_round_are_named_and_give_no_derivatives():
    made = mast(THREE)
    length = lengths_m(made)
    length[3:6] *= 1.02
    found = stand(made, length)
    assert found.why != ""
    assert np.isnan(found.displacement_by_length).all() and np.isnan(found.tension_by_length).all()


def test_a_level_that_only_stays_up_by_the_rod_is_named_as_slack():
    made = mast(THREE, mast=STRAIGHT)
    length = lengths_m(made)
    length[3:6] *= 1.02
    found = stand(made, length)
    assert found.why == "every guy at 39 m is slack"
    assert list(np.flatnonzero(found.slack)) == [3, 4, 5]


def test_a_mast_far_over_is_outside_the_method():
    made = mast([58.0])
    length = lengths_m(made)
    length[0] -= 5.0
    length[1:] += 3.0
    assert stand(made, length).why != ""
