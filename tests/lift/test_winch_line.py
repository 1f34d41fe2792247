"""The winch line: where it fails and what mends it, its length, the drum, the ground under it and under the gin pole."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from rigged_masts import turned

from siting.errors import OutOfMethod
from siting.kernels.crossings import first_at_least
from siting.kernels.drum import layer_diameter, wind_on, wraps_in_layer
from siting.kernels.swing import winch_arm
from siting.lift.line_clearance import WinchGround, ground_above_hinge, least_clearance, line_clearance
from siting.lift.winch_line import arm_fails_deg, least_ratio, line_table, winch_places
from siting.records.rigging import WinchGear

ANGLES = tuple(float(a) for a in range(0, 95, 5))
PULLS = tuple(20.0 - a / 5.0 for a in ANGLES)
LEVEL = WinchGround(np.linspace(0.0, 80.0, 161), np.full(161, 500.0))


def table(winch, pole_m=10.0, limit=0.1, gear=None, angles=ANGLES, ground_z_m=None):
    return line_table(pole_m, np.array(winch), angles, limit, PULLS[: len(angles)], gear or WinchGear(), ground_z_m)


# --- arm ----------------------------------------------------------------------------------------------------------


@given(st.floats(-20.0, 40.0), st.floats(20.0, 100.0), st.floats(-15.0, 15.0), st.floats(5.0, 15.0), st.floats(-12.0, 12.0))
def test_the_line_fails_where_the_dense_arm_changes_its_sign(z, x, y, pole_m, rest_deg):
    found = arm_fails_deg(np.array([-x, y, z]), rest_deg)
    t = np.linspace(rest_deg, 90.0, 20_001)
    arms = winch_arm(pole_m, (-x, y, z), np.radians(t))
    failing = np.flatnonzero(arms <= 0.0)
    if failing.size == 0:
        assert found is None or found == pytest.approx(90.0, abs=1e-6)
    else:
        assert found == pytest.approx(t[failing[0]], abs=0.01)


def test_where_the_line_fails_by_hand():
    """Winch 64 m out and as high over the hinge as to be seen 8 degrees up: the pole points at it at 82 degrees."""
    winch = np.array([-64.0, 0.0, 64.0 * math.tan(math.radians(8.0))])
    assert arm_fails_deg(winch, 0.0) == pytest.approx(82.0, abs=1e-9)
    assert arm_fails_deg(np.array([-64.0, 0.0, -1.0]), 0.0) is None
    assert arm_fails_deg(np.array([40.0, 0.0, -1.0]), 3.0) == 3.0  # a winch on the laydown's side never lifts
    line = table(winch)
    assert line.fails_at_deg == pytest.approx(82.0, abs=1e-9)
    assert line.lower_for_plumb_m == pytest.approx(winch[2], abs=1e-12)
    assert "at 82.00° the winch line passes through the hinge, and from there it cannot lift: the winch stands too high; 8.99 m lower" in line.text


@given(st.floats(4.0, 20.0), st.floats(0.08, 0.16))
def test_the_winch_moved_as_told_meets_the_limit(z, limit):
    """A winch above the hinge: lower in its place, or farther out at its height, the least arm is at the limit."""
    winch = np.array([-60.0, 5.0, z])
    lower, farther = winch_places(10.0, winch, 0.05, limit, None)
    if least_ratio(10.0, winch, 0.05)[0] >= limit:
        assert (lower, farther) == (None, None)
        return
    t = np.linspace(0.05, math.radians(80.0), 4001)
    dense = lambda place: float(winch_arm(10.0, tuple(place), t).min()) / 10.0  # noqa: E731
    assert dense(winch - [0, 0, lower]) == pytest.approx(limit, abs=1e-6)
    assert dense(winch - [0, 0, lower - 0.05]) < limit
    if farther is not None:
        out = 1.0 + farther / math.hypot(60.0, 5.0)
        assert dense(winch * [out, out, 1.0]) == pytest.approx(limit, abs=1e-6)
        assert dense(winch * [(out + 1) / 2, (out + 1) / 2, 1.0]) < limit


def test_farther_out_follows_the_ground():
    """A winch on a rise of 12 m whose far side falls 1 in 2 needs to go less far than at the same height."""
    winch = np.array([-60.0, 0.0, 12.0])
    falls = lambda s: np.where(s <= 100.0, 12.0 - (s - 60.0) / 2.0, np.nan)  # noqa: E731
    _, on_ground = winch_places(10.0, winch, 0.0, 0.1, falls)
    _, level = winch_places(10.0, winch, 0.0, 0.1, None)
    assert 0.0 < on_ground < level
    assert least_ratio(10.0, np.array([-60.0 - on_ground, 0, 12.0 - on_ground / 2.0]), 0.0)[0] == pytest.approx(0.1, abs=1e-6)
    text = table(winch, ground_z_m=falls).text
    assert f"{on_ground:.2f} m farther out on the ground there" in text and "lower in its place" in text
    # Ground that rises on never meets it, and no lower place within 30 m does either.
    none = table([-60.0, 0.0, 60.0], ground_z_m=lambda s: s)
    assert (none.lower_by_m, none.farther_by_m) == (None, None)
    assert "no place of the winch lower or farther out meets it" in none.text


def test_the_angle_from_which_the_arm_is_weak():
    line = table([-64.0, 0.0, 0.0])
    ratio = lambda deg: float(winch_arm(10.0, (-64.0, 0.0, 0.0), np.radians(deg))) / 10.0  # noqa: E731
    assert ratio(line.weak_from_deg) == pytest.approx(0.1, abs=1e-6) and ratio(line.weak_from_deg - 0.1) > 0.1
    assert table([-64.0, 0.0, -20.0]).weak_from_deg is None
    assert line.text.endswith(
        f"arm at least 0.21 of the gin pole's length up to 80°, 0.10 wanted, less from {line.weak_from_deg:.1f}° on: have the back guys ready by then"
    )
    strong = table([-64.0, 0.0, -20.0])
    assert strong.text == f"arm at least {strong.least_ratio:.2f} of the gin pole's length up to 80°, 0.10 wanted"


def test_the_first_crossing_is_found_and_closed_in():
    assert first_at_least(np.sin, 0.5, (0.0, 2.0), 20) == pytest.approx(math.pi / 6, abs=1e-9)
    assert first_at_least(np.sin, -1.0, (0.0, 2.0), 20) == 0.0
    assert first_at_least(np.sin, 1.5, (0.0, 2.0), 20) is None


# --- length and drum ----------------------------------------------------------------------------------------------


@given(st.floats(20.0, 100.0), st.floats(-10.0, 10.0), st.floats(-20.0, 5.0), st.floats(5.0, 15.0))
def test_lengths_are_distances_after_a_rotation_and_fall_by_the_arm(x, y, z, pole_m):
    line = table([-x, y, z], pole_m)
    wanted = [np.linalg.norm(np.array([-x, y, z]) - turned([0, 0, pole_m], math.radians(a))) for a in ANGLES]
    assert line.length_m == pytest.approx(wanted, abs=1e-9)
    assert line.take_up_m == pytest.approx([wanted[0] - w for w in wanted], abs=1e-9)
    # A turn by dt winds in arm x dt.
    near = table([-x, y, z], pole_m, angles=(40.0, 40.01))
    arm_m = 0.5 * (near.arm_ratio[0] + near.arm_ratio[1]) * pole_m
    assert near.take_up_m[1] == pytest.approx(arm_m * math.radians(0.01), rel=1e-5, abs=1e-9)


@given(st.floats(0.0, 400.0), st.floats(100.0, 500.0), st.floats(0.1, 0.6), st.floats(6.0, 20.0))
def test_wraps_as_wound_one_by_one(length_m, drum_mm, width_m, line_mm):
    count = int(width_m * 1000.0 / line_mm + 1e-9)
    left, wraps, layer = length_m, 0.0, 1
    while True:
        one = math.pi * (drum_mm + (2 * layer - 1) * line_mm) / 1000.0
        if left < one * count:
            wraps += left / one
            break
        left, wraps, layer = left - one * count, wraps + count, layer + 1
    found, at = wind_on(np.array([length_m]), drum_mm / 1000.0, width_m, line_mm / 1000.0)
    assert wraps_in_layer(width_m, line_mm / 1000.0) == count
    assert found[0] == pytest.approx(wraps, abs=1e-6)
    assert at[0] == layer or abs(wraps - count * round(wraps / count)) < 1e-6


def test_the_drum_by_hand():
    """Drum 200 mm, line 10 mm, 100 mm wide: 10 wraps of pi x 0.21 m = 6.597 m, then wraps of pi x 0.23 m."""
    wraps, layers = wind_on(np.array([0.0, 3.0, 6.0 + 0.597345]), 0.2, 0.1, 0.01)
    assert wraps == pytest.approx([0.0, 3.0 / (math.pi * 0.21), 10.0], abs=1e-5)
    assert layers[1] == 1 and layer_diameter(2.0, 0.2, 0.01) == pytest.approx(0.23, abs=1e-12)
    gear = WinchGear(30.0, 10.0, 200.0, 0.1, wound_m=1.0)
    line = table([-64.0, 0.0, -4.0], gear=gear)
    assert line.layers[0] == 1 and line.layers[-1] == 2
    assert line.rated_kn[0] == 30.0 and line.rated_kn[-1] == pytest.approx(30.0 * 0.21 / 0.23, abs=1e-9)
    assert line.wraps[-1] == pytest.approx(10.0 + (1.0 + line.take_up_m[-1] - 10 * math.pi * 0.21) / (math.pi * 0.23), abs=1e-9)
    assert line.largest_use_ratio == pytest.approx(max(p / r for p, r in zip(PULLS, line.rated_kn, strict=True)), abs=1e-12)
    assert line.drum_text.startswith("10 wraps a layer, single line, 1 m on the drum before the lift; the limit falls")


def test_without_the_drums_sizes_it_is_said():
    bare = table([-64.0, 0.0, -4.0], gear=WinchGear(line_diameter_mm=10.0))
    assert (bare.wraps, bare.layers, bare.rated_kn, bare.largest_use_ratio) == (None, None, None, None)
    assert bare.drum_text == (
        "wraps not worked out: drum_diameter_mm, drum_width_m not given; the winch's limit is not given (limit_kn)"
    )
    flat = table([-64.0, 0.0, -4.0], gear=WinchGear(limit_kn=25.0))
    assert set(flat.rated_kn) == {25.0} and flat.largest_use_ratio == pytest.approx(20.0 / 25.0, abs=1e-12)
    assert "the same on every layer" in flat.drum_text
    with pytest.raises(OutOfMethod, match=r"a line of 30 mm does not fit on a drum 0\.02 m wide"):
        table([-64.0, 0.0, -4.0], gear=WinchGear(30.0, 30.0, 200.0, 0.02))


# --- clear of the ground ------------------------------------------------------------------------------------------


@given(st.integers(0, 10_000), st.floats(0.0, 90.0), st.floats(-6.0, 3.0))
def test_the_least_clearance_is_that_of_dense_sampling(seed, angle, winch_z):
    rng = np.random.default_rng(seed)
    ground = WinchGround(np.linspace(0.0, 70.0, 71), 500.0 + rng.normal(0.0, 0.8, 71))
    pole_m, hinge_m, radius = 10.0, 500.8, 64.0
    made = line_clearance(pole_m, np.array([-radius, 0.0, winch_z]), (angle,), ground, hinge_m)
    tip = turned([0, 0, pole_m], math.radians(angle))
    share = np.linspace(0.0, 1.0, 200_001)
    line_s = -tip[0] + share * (radius + tip[0])
    line_z = tip[2] + share * (winch_z - tip[2])
    gap = (line_z - ground_above_hinge(ground, hinge_m, line_s))[line_s <= radius - 5.0]
    assert made.line_clear_m[0] == pytest.approx(gap.min(), abs=2e-3)
    assert made.line_clear_m[0] <= gap.min() + 1e-9
    pole_share = np.linspace(0.1, 1.0, 200_001)
    pole_gap = pole_share * tip[2] - ground_above_hinge(ground, hinge_m, -pole_share * tip[0])
    assert made.pole_clear_m[0] == pytest.approx(pole_gap.min(), abs=2e-3)
    assert made.pole_clear_m[0] <= pole_gap.min() + 1e-9


def test_clearance_by_hand():
    """Level ground, hinge 0.3 m up, winch 60 m away on the ground, pole 10 m at 90 degrees: it lies 0.3 m up, level."""
    made = line_clearance(10.0, np.array([-60.0, 0.0, -0.3]), (0.0, 90.0), LEVEL, 500.3)
    assert made.pole_clear_m == pytest.approx([1.3, 0.3], abs=1e-9)  # from its first metre on
    assert made.line_clear_m == pytest.approx([10.3 * 5.0 / 60.0, 0.3 * 5.0 / 50.0], abs=1e-9)
    assert made.line_at_m == pytest.approx([55.0, 55.0], abs=1e-9)
    assert made.text.startswith("the gin pole clears the ground by 0.30 m or more (least at 90.0°")


def test_a_rise_behind_the_base_is_found_and_named():
    rise = WinchGround(np.array([0.0, 8.0, 10.0, 12.0, 80.0]), np.array([500.0, 500.0, 502.0, 500.0, 500.0]))
    made = line_clearance(10.0, np.array([-60.0, 0.0, -0.3]), ANGLES, rise, 500.3)
    assert made.pole_clear_m[-1] == pytest.approx(0.3 - 2.0, abs=1e-9) and made.pole_at_m[-1] == pytest.approx(10.0, abs=1e-9)
    assert "the gin pole digs into the ground: in the table from " in made.text and "1.70 m too low at 10.00 m from the base" in made.text
    assert "the winch line bears on the ground: its pull turns other than worked out" in made.text


def test_ground_that_is_not_under_the_line_is_refused():
    with pytest.raises(OutOfMethod, match=r"stands 9\.0° beside the lift plane"):
        line_clearance(10.0, np.array([-63.0, 10.0, 0.0]), ANGLES, LEVEL, 500.3)
    with pytest.raises(OutOfMethod, match=r"is not known from the base to the winch at 90\.0 m"):
        line_clearance(10.0, np.array([-90.0, 0.0, 0.0]), ANGLES, LEVEL, 500.3)
    with pytest.raises(OutOfMethod, match=r"stands 4\.0 m from the base"):
        line_clearance(3.0, np.array([-4.0, 0.0, 0.0]), ANGLES, LEVEL, 500.3)
    with pytest.raises(OutOfMethod, match=r"lies at -50\.0°"):
        line_clearance(10.0, np.array([-60.0, 0.0, 0.0]), (-50.0, 0.0), LEVEL, 500.3)
    assert least_clearance((5.0, 1.0), (5.0, 4.0), LEVEL, 500.3) == (pytest.approx(1.3), 5.0)
