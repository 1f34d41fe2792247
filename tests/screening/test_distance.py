"""The exact distance transform against looking at every target, and against scipy's."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.ndimage import distance_transform_edt

from siting.screening.distance import distance_m

SIZES = [(1, 1), (1, 40), (37, 1), (2, 3), (23, 31), (64, 50)]
CELLS = [(1.0, 1.0), (0.5, 2.0), (3.1, 0.7), (21.4, 30.9)]


def every_target_m(mask, row_m, col_m):
    """The distance to the nearest of all targets, looked at one by one."""
    rows, cols = np.indices(mask.shape)
    found = np.full(mask.shape, np.inf)
    for i, j in np.argwhere(mask):
        found = np.minimum(found, np.hypot((cols - j) * row_m, (rows - i) * col_m))
    return found


@pytest.mark.parametrize("shape", SIZES)
@pytest.mark.parametrize(("row_m", "col_m"), CELLS)
def test_as_looking_at_every_target(shape, row_m, col_m):
    dice = np.random.default_rng(shape[0] * 100 + shape[1])
    for share in (0.0, 0.005, 0.1, 0.6, 1.0):
        mask = (dice.uniform(size=shape) < share).astype(np.uint8)
        found = distance_m(mask, row_m, col_m)
        assert found.dtype == np.float64
        np.testing.assert_allclose(found, every_target_m(mask, row_m, col_m), rtol=1e-12)


@pytest.mark.parametrize(("row_m", "col_m"), CELLS)
def test_as_scipy(row_m, col_m):
    dice = np.random.default_rng(7)
    for share in (0.0005, 0.02, 0.5):
        mask = (dice.uniform(size=(300, 410)) < share).astype(np.uint8)
        wanted = distance_transform_edt(mask == 0, sampling=(col_m, row_m))
        np.testing.assert_allclose(distance_m(mask, row_m, col_m), wanted, rtol=1e-12)


def test_the_distances_along_a_row_and_a_column_are_not_taken_for_each_other():
    mask = np.zeros((9, 9), dtype=np.uint8)
    mask[4, 4] = 1
    found = distance_m(mask, 2.0, 5.0)
    assert (found[4, 7], found[7, 4]) == (6.0, 15.0)
    assert found[1, 0] == pytest.approx(17.0)  # 8 m along the row, 15 m along the column


def test_without_a_target_it_is_infinite_and_full_it_is_nothing():
    assert np.isinf(distance_m(np.zeros((4, 5), dtype=np.uint8), 1.0, 1.0)).all()
    assert (distance_m(np.ones((4, 5), dtype=np.uint8), 1.0, 1.0) == 0.0).all()
    assert distance_m(np.zeros((0, 5), dtype=np.uint8), 1.0, 1.0).shape == (0, 5)
