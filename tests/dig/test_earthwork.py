"""Volumes and openings of pits against closed forms, a convex hull and random points."""

from __future__ import annotations

import math

import numpy as np
import pytest
from dig.digs import soil
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial import ConvexHull

from siting.dig.earthwork import Floor, pit_volume_m3, rim, slot_m3
from siting.dig.pits import PitWants, plan_pit
from siting.errors import OutOfMethod

RNG = np.random.default_rng(7)
FLOOR = Floor(1.9, 0.6, 1.8, -1.9, 1.5)


def plane_at(along, across, height=0.0):
    return lambda u, v: height + along * np.asarray(u, float) + across * np.asarray(v, float)


def by_random_points(floor, height_at, box, count=400_000):
    """Mean depth of random points in a box that holds the opening, written without the pit's own functions."""
    (u0, u1), (v0, v1) = box
    u, v = RNG.uniform(u0, u1, count), RNG.uniform(v0, v1, count)
    past_u = np.clip(np.abs(u - floor.u_m) - floor.width_m / 2, 0, None)
    past_v = np.clip(np.abs(v) - floor.length_m / 2, 0, None)
    bottom = floor.z_m + np.maximum(past_u, past_v) / floor.wall_h_per_v
    return float(np.clip(height_at(u, v) - bottom, 0, None).mean() * (u1 - u0) * (v1 - v0))


def volume(floor, height_at):
    return pit_volume_m3(floor, rim(floor, height_at), height_at)


@pytest.mark.parametrize("h_per_v", [0.75, 1.0, 1.5])
def test_on_level_ground_the_pit_is_the_frustum_of_the_textbook(h_per_v):
    floor = Floor(1.9, 0.6, 1.8, -2.0, h_per_v)
    run = 2.0 * h_per_v
    top_u, top_v = 0.6 + 2 * run, 1.8 + 2 * run
    # V = h/6 (A1 + A2 + 4 Am)
    prismoid = 2.0 / 6.0 * (0.6 * 1.8 + top_u * top_v + 4.0 * (0.6 + run) * (1.8 + run))
    opening = rim(floor, plane_at(0.0, 0.0))
    assert np.ptp(opening[:, 0]) == pytest.approx(top_u, abs=1e-9)
    assert np.ptp(opening[:, 1]) == pytest.approx(top_v, abs=1e-9)
    assert volume(floor, plane_at(0.0, 0.0)) == pytest.approx(prismoid, rel=0.005)


@given(st.floats(-0.3, 0.3), st.floats(-0.3, 0.3))
def test_upright_walls_on_a_plane_hold_a_prism_cut_askew(along, across):
    floor = Floor(1.9, 0.6, 1.8, -2.5, 0.0)
    mean_depth = along * 1.9 + 2.5  # a plane's mean over a rectangle is its height at the middle
    assert volume(floor, plane_at(along, across)) == pytest.approx(0.6 * 1.8 * mean_depth, rel=1e-9)


@given(st.floats(-0.25, 0.25), st.floats(-0.25, 0.25), st.sampled_from([0.75, 1.0, 1.5]))
def test_laid_back_on_a_plane_it_is_the_hull_of_floor_and_opening(along, across, h_per_v):
    floor = Floor(1.9, 0.6, 1.8, -2.5, h_per_v)
    ground = plane_at(along, across)
    opening = rim(floor, ground)
    corners = [(floor.u_m + i * 0.3, j * 0.9, floor.z_m) for i in (-1, 1) for j in (-1, 1)]
    hull = ConvexHull(np.vstack([corners, opening[::2]]))
    assert volume(floor, ground) == pytest.approx(hull.volume, rel=0.01)
    # Each corner of the opening lies on the ground and on both walls that meet there.
    assert opening[:, 2] == pytest.approx(ground(opening[:, 0], opening[:, 1]), abs=1e-9)
    assert floor.wall_z_m(opening[:, 0], opening[:, 1]) == pytest.approx(opening[:, 2], abs=1e-9)


def test_the_uphill_wall_runs_farther_and_by_how_much():
    """Depth d at the foot, slope s: run = k d / (1 - k s) uphill and k d / (1 + k s) downhill."""
    opening = rim(FLOOR, plane_at(0.2, 0.0))
    for side, foot in ((1, 2.2), (-1, 1.6)):
        depth = 1.9 + 0.2 * foot
        run = 1.5 * depth / (1.0 - side * 1.5 * 0.2)
        reach = opening[:, 0].max() if side > 0 else opening[:, 0].min()
        assert reach == pytest.approx(foot + side * run, abs=1e-9)
    assert opening[:, 0].max() - 2.2 > 1.7 * (1.6 - opening[:, 0].min())


@pytest.mark.parametrize(
    ("name", "ground"),
    [
        ("plane", plane_at(0.15, -0.1)),
        ("hollow", lambda u, v: 0.05 * u + 0.012 * (u - 2) ** 2 + 0.008 * v**2),
        ("knoll", lambda u, v: 0.5 * np.exp(-((u - 2.5) ** 2 + (v - 1) ** 2) / 6.0)),
    ],
)
def test_the_volume_is_that_of_random_points_within_one_per_cent(name, ground):
    found = volume(FLOOR, ground)
    wanted = by_random_points(FLOOR, ground, ((-8.0, 12.0), (-10.0, 10.0)), 4_000_000)
    assert found == pytest.approx(wanted, rel=0.01), name


def test_the_rod_trench_is_a_wedge_less_what_the_pit_holds():
    upright = Floor(2.0, 0.6, 1.8, -1.8, 0.0)
    earth, long_m, deep_m = slot_m3(upright, 0.8, 0.3, plane_at(0.0, 0.0))
    assert long_m == pytest.approx(1.7)
    assert earth == pytest.approx(0.5 * 1.7 * (1.7 * 0.8) * 0.3, rel=1e-3)
    assert deep_m == pytest.approx(1.36, abs=0.03)
    # Laid back 1:1 the wall comes up from (1.7, -1.8) to the ground at -0.1: the trench lies wholly under the pit's wall.
    laid = Floor(2.0, 0.6, 1.8, -1.8, 1.0)
    less, _, _ = slot_m3(laid, 0.8, 0.3, plane_at(0.0, 0.0))
    u = np.linspace(0.0, 1.7, 20001)
    wanted = np.trapezoid(np.clip(np.minimum(0.0, -1.8 + (1.7 - u)) + 0.8 * u, 0.0, None), u) * 0.3
    assert less == pytest.approx(wanted, rel=5e-3, abs=1e-4)
    assert less < earth


def test_a_rod_so_steep_that_the_pit_holds_the_stake_has_no_trench():
    assert slot_m3(Floor(0.2, 0.6, 1.8, -1.8, 0.0), 9.0, 0.3, plane_at(0.0, 0.0)) == (0.0, 0.0, 0.0)


@pytest.mark.parametrize(
    ("ground", "words"),
    [
        (plane_at(0.0, 0.0, -3.0), "floor would lie over the ground"),
        (plane_at(0.7, 0.0), "rises as steeply as the walls"),
        (lambda u, v: np.where(u > 3.0, np.nan, 0.0), "no ground height"),
        (lambda u, v: np.full(np.shape(u), np.nan), "no ground height"),
    ],
)
def test_a_pit_that_cannot_be_is_refused_with_its_reason(ground, words):
    with pytest.raises(OutOfMethod, match=words):
        rim(FLOOR, ground)


def test_the_pit_lies_outward_at_the_end_of_the_rod():
    pit = plan_pit((1.2, 0.3), 2.5, 40.0, soil("B"), plane_at(0.0, 0.0), PitWants())
    assert pit.floor.u_m == pytest.approx(2.5 * math.cos(math.radians(40.0)))
    assert pit.depth_m == pytest.approx(2.5 * math.sin(math.radians(40.0)) + 0.15 * math.cos(math.radians(40.0)))
    assert (pit.floor.length_m, pit.floor.width_m) == (pytest.approx(1.8), pytest.approx(0.6))
    # On ground that falls away outward the same rod ends nearer the surface.
    falling = plan_pit((1.2, 0.3), 2.5, 40.0, soil("B"), plane_at(-0.2, 0.0), PitWants())
    assert pit.depth_m - falling.depth_m == pytest.approx(0.2 * pit.floor.u_m)
