"""The lift of one azimuth: its angles, the pull by moments of slices, what is null and when."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from siting.kernels.swing import winch_arm
from siting.lift.geometry import largest_pulls_kn, lift_angles_deg, lift_table, side_guy_travels
from siting.records.mast import Anchor, GuyLevel, Mast

G_M_S2 = 9.80665


def mast(*anchors: Anchor, guys: tuple[GuyLevel, ...] = (), pole_m: float = 10.0) -> Mast:
    return Mast("test", 60.0, 60.9, "tubular", 11.0, 2.5, 0.3, pole_m, anchors, guys)


WINCH = Anchor("W", "winch", 180.0, 64.0)
RIGHT, LEFT = Anchor("R", "temporary", 90.0, 35.0), Anchor("L", "temporary", 270.0, 35.0)
GUYS = (GuyLevel(58.0, ("R", "L"), "temporary"), GuyLevel(29.0, ("R", "L"), "temporary"))


@given(st.floats(-30.0, 60.0))
def test_the_angles_run_from_rest_to_plumb(rest_deg):
    angles = lift_angles_deg(rest_deg)
    assert angles[0] == rest_deg and angles[-1] == 90.0
    assert all(b > a for a, b in zip(angles, angles[1:], strict=False))
    assert all(a % 5.0 == 0.0 for a in angles[1:])
    assert max(b - a for a, b in zip(angles[1:], angles[2:], strict=False)) == 5.0


def test_a_rest_line_on_a_whole_step_stands_once():
    assert lift_angles_deg(5.0)[:3] == (5.0, 10.0, 15.0)
    assert lift_angles_deg(-5.0)[:3] == (-5.0, 0.0, 5.0)


@pytest.mark.parametrize("winch_m", [500.0, 496.0, 503.0])
@pytest.mark.parametrize("rest_deg", [-2.0, 0.0, 6.0])
def test_the_pull_is_the_moment_of_the_slices_over_the_arm(winch_m, rest_deg):
    made = mast(WINCH)
    lift = lift_table(made, {"W": winch_m}, 500.3, math.radians(rest_deg))
    along = (np.arange(6000) + 0.5) * 60.0 / 6000
    for angle, pull_kn in zip(lift.angles_deg, lift.winch_pull_kn, strict=True):
        t = math.radians(angle)
        moment_nm = float(np.sum(11.0 * 60.0 / 6000 * G_M_S2 * along * math.cos(t)))
        tip = np.array([-10.0 * math.sin(t), 10.0 * math.cos(t)])
        line = np.array([-64.0, winch_m - 500.3]) - tip
        arm_m = float(tip[0] * line[1] - tip[1] * line[0]) / float(np.hypot(*line))
        if arm_m > 0:
            assert pull_kn == pytest.approx(moment_nm / arm_m / 1000.0, abs=1e-6)
        else:
            assert pull_kn is None
    assert lift.winch_pull_kn[0] > 15.0


def test_the_pull_at_the_start_by_hand():
    """660 kg at 30 m, the line's arm of a pole of 10 m and a winch 64 m away at the hinge's height: 20 kN."""
    lift = lift_table(mast(WINCH), {"W": 500.3}, 500.3, 0.0)
    arm_m = 10.0 * 64.0 / math.hypot(10.0, 64.0)
    assert lift.winch_arm_m[0] == pytest.approx(arm_m, abs=1e-9)
    assert lift.winch_pull_kn[0] == pytest.approx(660.0 * G_M_S2 * 30.0 / arm_m / 1000.0, abs=1e-9)
    assert lift.winch_pull_kn[0] == pytest.approx(19.653, abs=0.001)


def test_where_the_line_cannot_lift_the_pull_is_null():
    """At plumb the pole points away from the laydown, level: a winch above its line gives no arm."""
    lift = lift_table(mast(WINCH), {"W": 520.0}, 500.3, 0.0)
    assert lift.winch_arm_m[-1] < 0 and lift.winch_pull_kn[-1] is None
    level = lift_table(mast(WINCH), {"W": 500.0}, 500.3, 0.0)
    assert level.winch_arm_m[-1] > 0 and level.winch_pull_kn[-1] == pytest.approx(0.0, abs=1e-9)


def test_without_a_winch_and_side_guys_there_is_nothing_to_say():
    lift = lift_table(mast(Anchor("A", "permanent", 60.0, 40.0)), {"A": 500.0}, 500.3, 0.0)
    assert lift.side_guys == ()
    assert set(lift.winch_pull_kn) == set(lift.winch_arm_m) == {None}
    assert (lift.winch_arm_min_ratio, lift.winch_arm_min_at_deg) == (None, None)


def test_the_smallest_arm_is_looked_for_up_to_80_degrees_only():
    lift = lift_table(mast(WINCH), {"W": 500.3}, 500.3, 0.0)
    at_80 = lift.winch_arm_m[lift.angles_deg.index(80.0)]
    assert lift.winch_arm_min_at_deg == pytest.approx(80.0)
    assert lift.winch_arm_min_ratio == pytest.approx(at_80 / 10.0, abs=1e-12)
    assert lift.winch_arm_m[-1] < at_80


def test_side_guys_are_tabled_at_every_angle_with_their_travel():
    lift = lift_table(mast(WINCH, RIGHT, LEFT, guys=GUYS), {"W": 498.0, "R": 500.0, "L": 499.2}, 500.3, 0.01)
    assert [(g.anchor, g.attach_m) for g in lift.side_guys] == [("R", 58.0), ("L", 58.0), ("R", 29.0), ("L", 29.0)]
    for guy in lift.side_guys:
        assert len(guy.length_m) == len(lift.angles_deg)
        assert guy.travel_m == pytest.approx(guy.longest_m - guy.shortest_m, abs=1e-12)
        assert guy.shortest_m <= min(guy.length_m) + 1e-9 and guy.longest_m >= max(guy.length_m) - 1e-9
    low = {g.anchor: g.travel_m for g in lift.side_guys if g.attach_m == 58.0}
    assert low["L"] > low["R"]  # the farther below the hinge, the more it must give


@pytest.mark.parametrize(
    ("bearing", "use", "is_side"),
    [
        (60.0, "temporary", True), (120.0, "temporary", True), (59.9, "temporary", False), (120.1, "temporary", False),
        (240.0, "temporary", True), (300.0, "temporary", True), (239.9, "temporary", False), (0.0, "temporary", False),
        (90.0, "permanent", False), (270.0, "winch", False),
    ],
)  # fmt: skip
def test_side_anchors_are_temporary_and_within_30_degrees_of_square(bearing, use, is_side):
    anchor = Anchor("X", use, bearing, 35.0)
    assert anchor.is_side is is_side
    made = mast(anchor, guys=(GuyLevel(58.0, ("X",), "temporary"),))
    travels = side_guy_travels(made, np.array([[500.0]]), 500.3, np.array([0.0]))
    assert len(travels) == int(is_side)


def test_an_anchor_exactly_on_the_hinge_axis_is_not_moved_by_a_cosine():
    made = mast(RIGHT, LEFT, guys=(GuyLevel(58.0, ("R", "L"), "temporary"),))
    for travel in side_guy_travels(made, np.array([[500.3, 500.3]]), 500.3, np.array([0.07])):
        assert travel.travel_m[0] < 1e-9


@given(st.floats(-0.2, 0.3), st.floats(490.0, 501.0), st.floats(6.0, 16.0))
def test_the_largest_pull_of_the_sweep_is_that_of_the_whole_lift(rest_rad, winch_m, pole_m):
    made = mast(WINCH, pole_m=pole_m)
    found = largest_pulls_kn(made, np.array([[winch_m]]), 500.3, np.array([rest_rad]))[0]
    t = np.linspace(rest_rad, math.radians(80.0), 5001)
    arm_m = winch_arm(pole_m, (-64.0, 0.0, winch_m - 500.3), t)
    pulls = 660.0 * G_M_S2 * 30.0 * np.cos(t) / np.where(arm_m > 0, arm_m, np.nan) / 1000.0
    assert found == pytest.approx(pulls.max(), rel=2e-3, nan_ok=True)
