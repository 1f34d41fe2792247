"""The profile's samples, the least-squares slope, and the rest line: the lowest straight line that clears the ground."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp
from scipy.optimize import linprog

from siting.kernels.fitting import least_squares_slope, rest_line, slope_weights
from siting.laydown.profile import Profiles, sample_distances_m
from siting.laydown.rest import lay_mast

grounds = hnp.arrays(np.float64, st.integers(2, 60), elements=st.floats(-20.0, 20.0, width=32))
hinges_m = st.floats(0.0, 2.0)


@given(st.floats(5.0, 200.0), st.floats(0.1, 30.0), st.floats(0.1, 30.0))
def test_the_step_is_the_longest_that_is_allowed(height_m, along_row_m, along_col_m):
    """CONTRACT: n the smallest whole number with a step no longer than half a cell nor than 1 m."""
    s = sample_distances_m(height_m, (along_row_m, along_col_m))
    allowed_m = min(1.0, along_row_m / 2.0, along_col_m / 2.0)
    count = s.size - 1
    assert s[0] == 0.0 and s[-1] == pytest.approx(height_m, rel=1e-12)
    assert np.diff(s) == pytest.approx(np.full(count, height_m / count), rel=1e-9)
    assert height_m / count <= allowed_m * (1 + 1e-9)
    assert count == 1 or height_m / (count - 1) > allowed_m * (1 - 1e-9)


@pytest.mark.parametrize(("height_m", "cell_m", "count"), [(80.0, 2.0, 80), (80.0, 1.0, 160), (80.0, 30.0, 80), (60.5, 2.0, 61)])
def test_counts_that_come_out_even(height_m, cell_m, count):
    assert sample_distances_m(height_m, (cell_m, cell_m)).size == count + 1


@given(grounds)
def test_the_slope_is_that_of_numpys_polynomial(ground):
    s = np.linspace(0.0, 80.0, ground.size)
    wanted = np.polyfit(s, ground, 1)[0] if ground.size > 2 else (ground[1] - ground[0]) / 80.0
    assert least_squares_slope(s, ground[:, None])[0] == pytest.approx(wanted, abs=1e-10)


@given(grounds, hinges_m)
def test_the_rest_line_is_the_lowest_that_clears(ground, hinge_above_m):
    """Against a linear programme: the least slope k with hinge + k s >= ground at every sample after the first."""
    s = np.linspace(0.0, 80.0, ground.size)
    hinge_m = float(ground[0]) + hinge_above_m
    slope, gap, index = (v[0] for v in rest_line(s, ground[:, None], hinge_m))
    found = linprog([1.0], A_ub=-s[1:, None], b_ub=hinge_m - ground[1:], bounds=[(None, None)], method="highs")
    assert slope == pytest.approx(found.x[0], abs=1e-9)
    gaps = hinge_m + slope * s - ground
    assert gaps[1:].min() == pytest.approx(0.0, abs=1e-9)
    assert gap == pytest.approx(gaps.max(), abs=1e-12) and gaps[index] == gap
    assert gap >= hinge_above_m - 1e-12


def test_the_slope_is_summed_sample_by_sample():
    """The compiled search adds in this order: not one bit may differ."""
    s = np.linspace(0.0, 80.0, 161)
    grounds = np.random.default_rng(5).normal(1000.0, 5.0, (161, 37))
    weights, wanted = slope_weights(s), np.zeros(37)
    for weight, row in zip(weights, grounds):
        wanted = wanted + weight * row
    assert (least_squares_slope(s, grounds) == wanted).all()
    assert (least_squares_slope(s, np.asfortranarray(grounds)) == wanted).all()
    assert (least_squares_slope(s, grounds[:, np.arange(37) % 2 == 0]) == wanted[::2]).all()


def test_rows_do_not_mix():
    """Many profiles at once give what each gives alone."""
    s = np.linspace(0.0, 60.0, 61)
    grounds = np.random.default_rng(2).normal(size=(20, 61))
    grounds[:, 0] = 0.0
    together = rest_line(s, grounds.T, 0.3)
    for k in range(20):
        alone = rest_line(s, grounds[k : k + 1].T, 0.3)
        assert [v[k] for v in together] == [v[0] for v in alone]


def test_a_knoll_decides_where_the_mast_rests():
    """A knoll of 1 m at 20 m, level else: the mast rests on it, and its head hangs high."""
    s = np.arange(61.0)
    ground = np.where(s == 20.0, 501.0, 500.0)
    rest = lay_mast(Profiles(s, ground[:, None]), 500.3)
    assert rest.rest_slope_percent[0] == pytest.approx(100.0 * 0.7 / 20.0)
    assert rest.rest_rad[0] == pytest.approx(math.atan(0.035))
    assert (rest.gap_m[0], rest.gap_at_m[0]) == (pytest.approx(0.3 + 0.035 * 60.0), 60.0)


def test_a_slope_that_falls_gives_a_rest_line_that_falls():
    s = np.arange(81.0)
    rest = lay_mast(Profiles(s, (500.0 - 0.05 * s)[:, None]), 500.3)
    assert rest.slope_percent[0] == pytest.approx(-5.0)
    assert rest.rest_slope_percent[0] == pytest.approx(-5.0 - 30.0 / 80.0)
    assert rest.rest_rad[0] < 0
    assert (rest.gap_m[0], rest.gap_at_m[0]) == (pytest.approx(0.3), 0.0)
