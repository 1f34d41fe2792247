"""Utilisation and verdict of one check: at the limit, past it, near it, below nought; the four senses of a limit."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from siting.checks.columns import AT_LEAST, AT_MOST, RANGE, Column
from siting.records.site import Limit
from siting.verdict import UTILISATION_MAX, worst

numbers = st.floats(-1e4, 1e4, allow_nan=False)


def column(sense, limit, *values, low=None, uncertainty=0.0):
    low_limit = None if low is None else Limit(low, "low source")
    return Column(
        "kind:A1", "kind", "a check", "m", sense, Limit(limit, "source"), np.array(values, float), low_limit, uncertainty,
        place=lambda k: f"place {k}",
    )  # fmt: skip


def said(made: Column) -> list[tuple[float, str]]:
    checks = [made.check(k) for k in range(made.values.size)]
    return [(round(c.utilisation, 6), c.verdict) for c in checks]


def test_at_most():
    """Value ÷ limit; exactly at the limit passes; a value below nought stays below nought; ten is the most."""
    made = column(AT_MOST, 20.0, 0.0, 10.0, 20.0, math.nextafter(20.0, 21.0), 30.0, 200.0, 1e6, -5.0)
    assert said(made) == [
        (0.0, "pass"), (0.5, "pass"), (1.0, "pass"), (1.0, "fail"), (1.5, "fail"), (10.0, "fail"), (10.0, "fail"), (-0.25, "pass")
    ]  # fmt: skip


def test_at_most_nothing():
    """A limit of nought: nothing of it passes, anything fails as badly as can be."""
    assert said(column(AT_MOST, 0.0, 0.0, 1e-9, 5.0)) == [(0.0, "pass"), (10.0, "fail"), (10.0, "fail")]


def test_at_least():
    """Limit ÷ value; a value of nought or less is past every limit."""
    made = column(AT_LEAST, 80.0, 160.0, 80.0, math.nextafter(80.0, 0.0), 40.0, 1.0, 0.0, -3.0)
    assert said(made) == [
        (0.5, "pass"), (1.0, "pass"), (1.0, "fail"), (2.0, "fail"), (10.0, "fail"), (10.0, "fail"), (10.0, "fail")
    ]  # fmt: skip


def test_at_least_nothing():
    """An anchor must lie inside by 0 m: on the line it passes, one hair outside it fails."""
    assert said(column(AT_LEAST, 0.0, 5.0, 0.0, -1e-9, -2.0)) == [(0.0, "pass"), (0.0, "pass"), (10.0, "fail"), (10.0, "fail")]


def test_range():
    """Slope ÷ maximum; below the minimum 1 + (minimum − slope) ÷ maximum."""
    made = column(RANGE, 15.0, 7.5, 15.0, 16.5, -0.5, -0.4, -2.0, 300.0, low=-0.5)
    assert said(made) == [
        (0.5, "pass"), (1.0, "pass"), (1.1, "fail"), (-0.033333, "pass"), (-0.026667, "pass"), (1.1, "fail"), (10.0, "fail")
    ]  # fmt: skip


@given(numbers, st.floats(0.1, 100.0), st.sampled_from([AT_MOST, AT_LEAST, RANGE]))
def test_a_check_fails_exactly_where_it_is_past_its_limit(value, limit, sense):
    low = -0.5
    made = column(sense, limit, value, low=low)
    past = {AT_MOST: value > limit, AT_LEAST: value < limit, RANGE: value > limit or value < low}[sense]
    (utilisation, verdict), unrounded = said(made)[0], float(made.utilisation[0])
    assert verdict == ("fail" if past else "pass")
    assert unrounded <= UTILISATION_MAX
    if abs(unrounded - 1.0) > 1e-9:
        assert (unrounded > 1.0) == past
    assert utilisation == pytest.approx(unrounded, abs=1e-6)


@pytest.mark.parametrize(
    ("sense", "value", "verdict"),
    [
        (AT_LEAST, 91.0, "marginal"), (AT_LEAST, 90.0, "marginal"), (AT_LEAST, 91.5, "pass"), (AT_LEAST, 89.99, "fail"),
        (AT_MOST, 89.0, "marginal"), (AT_MOST, 88.5, "pass"), (AT_MOST, 90.01, "fail"),
        (RANGE, 89.0, "marginal"), (RANGE, 0.2, "marginal"), (RANGE, 45.0, "pass"), (RANGE, -0.6, "fail"),
    ],
)  # fmt: skip
def test_marginal_passes_by_less_than_its_uncertainty(sense, value, verdict):
    """What fails on the best estimate is a failure, however vague the data."""
    made = column(sense, 90.0, value, low=-0.5, uncertainty=1.5)
    assert made.check(0).verdict == verdict
    assert made.check(0).uncertainty == 1.5


def test_a_check_says_which_limit_and_where_it_comes_from():
    low = column(RANGE, 15.0, -3.0, 20.0, low=-0.5)
    assert [(c.limit, c.limit_is_least, c.source) for c in (low.check(0), low.check(1))] == [
        (-0.5, True, "low source"), (15.0, False, "source")
    ]  # fmt: skip
    least = column(AT_LEAST, 0.1, 0.2).check(0)
    assert (least.limit_is_least, least.place, least.value, least.unit) == (True, "place 0", 0.2, "m")


def test_a_column_of_the_base_gives_one_value_for_every_azimuth():
    made = Column("setback", "setback", "x", "m", AT_LEAST, Limit(90.0, "s"), np.array([97.0]), by_azimuth=False)
    assert [made.check(k).value for k in (0, 17, 359)] == [97.0, 97.0, 97.0]


def test_the_worst_of_some_verdicts():
    assert worst(["pass", "marginal", "pass"]) == "marginal"
    assert worst(["marginal", "fail", "unchecked"]) == "fail"
    assert worst(["pass", "unchecked"]) == "pass"
    assert worst(["unchecked"]) == worst([]) == "unchecked"
