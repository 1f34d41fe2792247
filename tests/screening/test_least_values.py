"""Least values held against many cells in compiled form: as the checks' own columns, to the last bit."""

from __future__ import annotations

import numpy as np
import pytest

from siting.checks.columns import least_used
from siting.checks.rule_findings import AT_THE_LIMIT_M, at_the_limit
from siting.screening.least_values import hold_least, hold_rule, may_use

FATE = np.uint8(5)
HOLDERS = np.array([-1, 0, 1, 1], dtype=np.int32)


def cells(limit_m: float):
    """Distances of all kinds: inside, on the line, at the limit and around it, far, infinite."""
    near = limit_m + np.array([-2 * AT_THE_LIMIT_M, -0.9 * AT_THE_LIMIT_M, 0.0, 0.9 * AT_THE_LIMIT_M, 2 * AT_THE_LIMIT_M])
    values = np.concatenate([[-3.0, -0.0, 0.0, 1e-9, 7.0, 63.1, 400.0, np.inf], near, np.random.default_rng(1).uniform(-5, 90, 7)])
    away = np.repeat(values, HOLDERS.size).reshape(-1, HOLDERS.size)
    dice = np.random.default_rng(2)
    used, fates = dice.uniform(0, 2, away.shape), dice.integers(3, 9, away.shape).astype(np.uint8)
    return away, np.broadcast_to(HOLDERS, away.shape).copy(), used, fates


@pytest.mark.parametrize("limit_m", [-1.0, 0.0, 17.0, 60.0])
@pytest.mark.parametrize("wanted", [-1, 0, 1])
@pytest.mark.parametrize(("cap_m", "less_m"), [(np.inf, 0.0), (80.0, 1.5), (70.0, 40.0)])
def test_a_rule_on_the_cells_of_one_holder(limit_m, wanted, cap_m, less_m):
    away, holders, used, fates = cells(limit_m)
    asked = holders == wanted if wanted >= 0 else holders >= 0
    value = at_the_limit(np.minimum(away, cap_m) - less_m, limit_m)
    use = least_used(value, limit_m)
    terms = cap_m, less_m, limit_m, AT_THE_LIMIT_M

    got_used, got_fates = used.copy(), fates.copy()
    hold_rule(away, holders, wanted, terms, FATE, got_used, got_fates)
    assert got_used.tobytes() == np.where(asked, np.maximum(used, use), used).tobytes()
    assert np.array_equal(got_fates, np.where(asked & (value < limit_m), np.minimum(fates, FATE), fates))

    most, near = used.copy(), np.zeros(away.shape, dtype=bool)
    may_use(away, holders, wanted, terms, 63.1, near, most)
    assert most.tobytes() == got_used.tobytes()
    assert np.array_equal(near, asked & (away <= 63.1))


@pytest.mark.parametrize("limit_m", [-1.0, 0.0, 17.0, 60.0])
def test_a_check_on_every_cell(limit_m):
    away, _, used, fates = cells(limit_m)
    got_used, got_fates = used.copy(), fates.copy()
    hold_least(away, limit_m, FATE, got_used, got_fates)
    assert got_used.tobytes() == np.maximum(used, least_used(away, limit_m)).tobytes()
    assert np.array_equal(got_fates, np.where(away < limit_m, np.minimum(fates, FATE), fates))
