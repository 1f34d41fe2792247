"""Bilinear heights and Horn's gradient against slow loops; borders, missing data and the grid's rim."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp
from twin_ground import Ground

from siting.kernels.heights import bilinear, horn_gradient, whole_px

ROWS, COLS = 9, 11
grids = hnp.arrays(
    np.float64, (ROWS, COLS), elements=st.one_of(st.floats(-50.0, 50.0, width=32), st.sampled_from([math.nan, 0.0, 1.0]))
)
# Anywhere on and just off the grid; on cell borders and centres too, and a hair beside them.
positions = st.one_of(
    st.floats(-1.0, 12.0, allow_nan=False),
    st.integers(-2, 24).map(lambda k: k / 2),
    st.tuples(st.integers(0, 22), st.sampled_from([-3e-7, 3e-7])).map(lambda p: p[0] / 2 + p[1]),
)


def twin_of(grid: np.ndarray) -> Ground:
    twin = object.__new__(Ground)
    twin.heights_m, (twin.rows, twin.cols) = grid, grid.shape
    return twin


@given(grids, st.lists(st.tuples(positions, positions), min_size=1, max_size=12))
def test_bilinear_is_the_twins(grid, points):
    cols, rows = np.array(points).T
    found = bilinear(grid, cols, rows)
    wanted = [twin_of(grid).height_m(col, row) for col, row in points]
    # A hair off a line of centres the twin gives the far cell a weight of 3e-7; the kernel may leave it out.
    assert found == pytest.approx(wanted, abs=1e-4, nan_ok=True)


@given(grids, st.lists(st.tuples(positions, positions), min_size=1, max_size=12))
def test_a_point_gives_the_same_alone_and_among_others(grid, points):
    """The quick way for points well inside and the careful way at the rim must not differ."""
    cols, rows = np.array(points).T
    together = bilinear(grid, cols, rows)
    alone = np.concatenate([bilinear(grid, cols[k : k + 1], rows[k : k + 1]) for k in range(cols.size)])
    assert together == pytest.approx(alone, abs=1e-4, nan_ok=True)  # the hair of a line of centres, as above


def test_bilinear_on_a_plane_is_the_plane():
    rows, cols = np.mgrid[0:40, 0:50]
    grid = 3.0 * (cols + 0.5) - 2.0 * (rows + 0.5) + 100.0
    dice = np.random.default_rng(5)
    col, row = dice.uniform(0.5, 49.5, 200), dice.uniform(0.5, 39.5, 200)
    assert bilinear(grid, col, row) == pytest.approx(3.0 * col - 2.0 * row + 100.0, abs=3e-6)  # positions to 1e-6 of a cell


def test_a_missing_neighbour_that_takes_no_part_does_no_harm():
    grid = np.array([[1.0, 2.0, np.nan], [3.0, 4.0, np.nan], [5.0, 6.0, 7.0]])
    on_the_centres = bilinear(grid, np.array([1.5, 1.5, 1.5]), np.array([0.5, 1.0, 1.5]))
    assert on_the_centres.tolist() == [2.0, 3.0, 4.0]
    assert np.isnan(bilinear(grid, np.array([1.51]), np.array([1.0]))).all()
    assert np.isnan(bilinear(grid, np.array([2.5]), np.array([1.5]))).all()


def test_no_height_is_guessed_beyond_the_last_centres():
    grid = np.arange(12.0).reshape(3, 4)
    assert bilinear(grid, np.array([0.5, 3.5]), np.array([0.5, 2.5])).tolist() == [0.0, 11.0]
    outside = bilinear(grid, np.array([0.49, 3.51, 1.0, 1.0, -5.0]), np.array([1.0, 1.0, 0.49, 2.51, 99.0]))
    assert np.isnan(outside).all()


@pytest.mark.parametrize(
    ("position", "cell"), [(3.0, 3), (2.9999996, 3), (3.0000004, 3), (2.999999, 2), (3.999, 3), (-0.0000001, 0), (-0.2, -1)]
)
def test_a_border_belongs_to_one_cell(position, cell):
    """CONTRACT: column and row rounded to a millionth of a cell before floor."""
    assert whole_px(np.array([position])).tolist() == [cell] == [math.floor(round(position, 6))]


@given(grids, st.lists(st.tuples(positions, positions), min_size=1, max_size=12))
def test_horns_gradient_is_the_nine_cells(grid, points):
    cols, rows = np.array(points).T
    along_col, along_row = horn_gradient(grid, cols, rows)
    twin = twin_of(grid)
    for k, (col, row) in enumerate(points):
        j, i = math.floor(round(col, 6)), math.floor(round(row, 6))
        nine = [[twin.cell(i + a, j + b) for b in (-1, 0, 1)] for a in (-1, 0, 1)]
        if any(math.isnan(v) for line in nine for v in line):
            assert math.isnan(along_col[k] + along_row[k])
        else:
            right, left = (nine[0][b] + 2 * nine[1][b] + nine[2][b] for b in (2, 0))
            low, top = (nine[a][0] + 2 * nine[a][1] + nine[a][2] for a in (2, 0))
            assert (along_col[k], along_row[k]) == pytest.approx(((right - left) / 8, (low - top) / 8), abs=1e-9)


def test_horn_on_a_grid_that_is_too_small_gives_nothing():
    for grid in (np.ones((2, 9)), np.ones((9, 2))):
        assert np.isnan(horn_gradient(grid, np.array([1.0]), np.array([1.0]))).all()
