"""The turning mast against rotations by scipy, sampled densely; closed forms where there are any."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from siting.kernels.swing import cos_sin, guy_extremes, guy_length, guy_travel, least_arm, least_winch_arm, winch_arm

DENSE = 20_001
lengths_m = st.floats(5.0, 100.0)
heights_m = st.floats(-20.0, 20.0)
bearings_deg = st.floats(0.0, 360.0)
rests_rad = st.floats(-0.25, 0.35)


def place(radius_m: float, bearing_deg: float, z_m: float) -> tuple[float, float, float]:
    """x along the laydown, y to its right, z up."""
    return radius_m * math.cos(math.radians(bearing_deg)), radius_m * math.sin(math.radians(bearing_deg)), z_m


def turned(point, angles_rad: np.ndarray) -> np.ndarray:
    """(n, 3): a point of the mast that lies along x, raised by angles about the hinge axis."""
    return Rotation.from_rotvec(np.outer(-angles_rad, [0.0, 1.0, 0.0])).apply(np.asarray(point, float))


def dense(first_rad: float, last_rad: float = math.pi / 2) -> np.ndarray:
    return np.linspace(first_rad, last_rad, DENSE)


def arrays(anchor):
    return tuple(np.array([v]) for v in anchor)


@given(lengths_m, lengths_m, bearings_deg, heights_m, rests_rad)
def test_guy_lengths_are_distances_after_a_rotation(attach_m, radius_m, bearing, z_m, rest):
    anchor = place(radius_m, bearing, z_m)
    t = dense(rest)[::500]
    wanted = np.linalg.norm(turned([attach_m, 0, 0], t) - anchor, axis=1)
    assert guy_length(attach_m, anchor, t) == pytest.approx(wanted, abs=1e-9)


@given(lengths_m, lengths_m, bearings_deg, heights_m, rests_rad)
@example(40.0, 20.0, 0.0, 15.0, 0.0)  # shortest between the ends, where the mast points at the anchor
@example(40.0, 20.0, 200.0, -15.0, -0.2)  # longest between them, where it points away
def test_extremes_are_those_of_dense_sampling(attach_m, radius_m, bearing, z_m, rest):
    anchor = place(radius_m, bearing, z_m)
    t = dense(rest)
    sampled = np.linalg.norm(turned([attach_m, 0, 0], t) - anchor, axis=1)
    shortest, at_shortest, longest, at_longest = (v[0] for v in guy_extremes(attach_m, arrays(anchor), np.array([rest])))
    # Exact turning points can only lie beyond the samples, and by less than half a step's bow.
    assert sampled.min() - 1e-5 <= shortest <= sampled.min() + 1e-9
    assert sampled.max() - 1e-9 <= longest <= sampled.max() + 1e-5
    assert rest - 1e-12 <= min(at_shortest, at_longest) and max(at_shortest, at_longest) <= math.pi / 2 + 1e-12
    travel = guy_travel(attach_m, arrays(anchor), cos_sin(np.array([math.tan(rest)])))[0]
    assert travel == pytest.approx(longest - shortest, abs=1e-9)
    for angle, length in ((at_shortest, shortest), (at_longest, longest)):
        assert np.linalg.norm(turned([attach_m, 0, 0], np.array([angle]))[0] - anchor) == pytest.approx(length, abs=1e-9)


@given(st.floats(4.0, 25.0), lengths_m, bearings_deg, heights_m, rests_rad)
@example(10.0, 10.0, 0.0, 20.0, 0.0)  # its least arm lies between the ends: at 37 degrees, pulling down
@example(10.0, 12.0, 200.0, -15.0, -0.2)
def test_the_arm_is_the_moment_of_a_unit_pull(pole_m, radius_m, bearing, z_m, rest):
    """Cross product of the tip and a unit force along the line, about the hinge axis (y, turned from x to z)."""
    anchor = np.array(place(radius_m, bearing, z_m))
    t = dense(rest, math.radians(80.0))
    tip = turned([0.0, 0.0, pole_m], t)
    line = anchor - tip
    moment = -np.cross(tip, line / np.linalg.norm(line, axis=1)[:, None])[:, 1]
    assert winch_arm(pole_m, tuple(anchor), t[::500]) == pytest.approx(moment[::500], abs=1e-9)
    least, at = (v[0] for v in least_winch_arm(pole_m, arrays(anchor), np.array([rest]), math.radians(80.0)))
    assert moment.min() - 1e-5 <= least <= moment.min() + 1e-9
    assert winch_arm(pole_m, tuple(anchor), np.array([at]))[0] == pytest.approx(least, abs=1e-9)
    end = (math.cos(math.radians(80.0)), math.sin(math.radians(80.0)))
    assert least_arm(pole_m, arrays(anchor), cos_sin(np.array([math.tan(rest)])), end)[0] == pytest.approx(least, abs=1e-8)


@given(lengths_m, lengths_m, rests_rad, st.sampled_from([90.0, 270.0]))
def test_a_side_anchor_on_the_hinge_axis_has_no_travel(attach_m, radius_m, rest, bearing):
    """CONTRACT: exactly on the hinge axis, so at the hinge's own height, the travel is nought."""
    anchor = arrays((0.0, radius_m if bearing == 90.0 else -radius_m, 0.0))
    shortest, _, longest, _ = guy_extremes(attach_m, anchor, np.array([rest]))
    assert longest[0] - shortest[0] < 1e-9
    assert longest[0] == pytest.approx(math.hypot(attach_m, radius_m), abs=1e-9)


def test_level_ground_has_travel_since_the_hinge_stands_above_it():
    """L at rest and plumb by hand: a = 58, r = 35, the anchor 0.3 m below the hinge, the mast's head on the ground."""
    attach_m, radius_m, hinge_m, height_m = 58.0, 35.0, 0.3, 60.0
    rest = math.atan(-hinge_m / height_m)
    at_rest = math.sqrt((58.0 * math.cos(rest)) ** 2 + radius_m**2 + (58.0 * math.sin(rest) + hinge_m) ** 2)
    at_plumb = math.sqrt(radius_m**2 + (58.0 + hinge_m) ** 2)
    shortest, _, longest, _ = guy_extremes(attach_m, arrays((0.0, radius_m, -hinge_m)), np.array([rest]))
    assert (shortest[0], longest[0]) == pytest.approx((at_rest, at_plumb), abs=1e-9)
    assert longest[0] - shortest[0] == pytest.approx(0.258, abs=0.001)


@pytest.mark.parametrize("angle_deg", [0.0, 15.0, 45.0, 79.0])
def test_the_arm_of_a_winch_at_the_hinges_height_on_level_ground(angle_deg):
    """A plane triangle: hinge, tip at 90 + t, winch at 180; its height over the side tip-winch, by twice the area."""
    pole_m, distance_m = 10.0, 64.0
    t = math.radians(angle_deg)
    opening = math.pi / 2 - t  # between the pole and the line to the winch
    side = math.sqrt(pole_m**2 + distance_m**2 - 2 * pole_m * distance_m * math.cos(opening))
    by_area = pole_m * distance_m * math.sin(opening) / side
    assert winch_arm(pole_m, (-distance_m, 0.0, 0.0), np.array([t]))[0] == pytest.approx(by_area, abs=1e-9)


def test_a_line_through_the_hinge_has_no_arm_and_one_on_the_wrong_side_pulls_down():
    t = np.array([math.radians(30.0)])
    tip_direction = np.array([-math.sin(t[0]), 0.0, math.cos(t[0])])
    assert winch_arm(10.0, tuple(-5.0 * tip_direction), t)[0] == pytest.approx(0.0, abs=1e-12)
    assert winch_arm(10.0, (64.0, 0.0, 0.0), t)[0] < 0


def test_many_azimuths_at_once_give_what_each_gives_alone():
    dice = np.random.default_rng(3)
    anchor = (np.zeros(30), np.full(30, 35.0), dice.uniform(-4.0, 4.0, 30))
    rest = dice.uniform(-0.1, 0.2, 30)
    together = guy_extremes(40.0, anchor, rest)
    arms = least_winch_arm(10.0, (np.full(30, -60.0), np.zeros(30), anchor[2]), rest, 1.4)
    for k in range(30):
        one = tuple(v[k : k + 1] for v in anchor)
        assert [v[k] for v in together] == [v[0] for v in guy_extremes(40.0, one, rest[k : k + 1])]
        alone = least_winch_arm(10.0, (np.array([-60.0]), np.zeros(1), one[2]), rest[k : k + 1], 1.4)
        assert [v[k] for v in arms] == [v[0] for v in alone]
