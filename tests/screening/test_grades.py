"""What is used in steps of one byte: a bound only where a larger use never has a smaller step."""

from __future__ import annotations

import math

import numpy as np

from siting.screening.grades import MOST, NO_GROUND, PER_ONE, step_of


def test_a_use_that_is_no_less_has_a_step_that_is_none_less():
    dice = np.random.default_rng(3)
    uses = np.sort(np.concatenate([dice.uniform(0.0, 2.0, 5000), dice.uniform(0.0, 12.0, 500), [0.0, 1.0, np.nextafter(1.0, 2.0), 10.0, 1e300]]))
    steps = [math.floor(step_of(used)) for used in uses]
    assert steps == sorted(steps)
    assert steps[0] == 0 and steps[-1] == MOST < NO_GROUND
    assert all((step <= PER_ONE) == (used <= 1.0) for step, used in zip(steps, uses, strict=True))
    assert len(set(steps)) > 200
