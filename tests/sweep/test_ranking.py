"""The order of the azimuths, key by key; and what is said of runs of them."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp
from twin_choose import rank_azimuths as twin_rank

from siting.checks.columns import AT_LEAST, AT_MOST, RANGE, Column
from siting.records.site import Limit
from siting.sweep.azimuths import azimuths_to_sweep
from siting.sweep.choose import rank_azimuths
from siting.sweep.words import ground_form, ruled_out, runners_up, summary

AZIMUTHS = np.arange(0.0, 360.0, 10.0)
K = AZIMUTHS.size


def slope_column(values):
    return Column(
        "laydown_slope", "laydown_slope", "slope", "%", RANGE, Limit(15.0, "s"), np.asarray(values, float), Limit(-0.5, "s")
    )


def column(kind, values, limit=1.0, sense=AT_MOST, name="", uncertainty=0.0):
    return Column(
        f"{kind}:{name}" if name else kind, kind, kind, "m", sense, Limit(limit, "s"), np.asarray(values, float),
        uncertainty=uncertainty,
    )  # fmt: skip


def order(*columns) -> list[float]:
    return AZIMUTHS[rank_azimuths(AZIMUTHS, list(columns)).order].tolist()


def at(changes: dict[float, float], other: float) -> np.ndarray:
    """One value for every azimuth, but for a few."""
    values = np.full(K, other)
    for azimuth, value in changes.items():
        values[int(azimuth / 10)] = value
    return values


def test_a_slope_out_of_range_comes_last_however_good_the_rest():
    slope = slope_column(at({50.0: -0.6, 60.0: 15.3}, 5.0))
    gap = column("gap", at({50.0: 0.01, 60.0: 0.02}, 0.9))
    assert order(slope, gap)[-2:] == [50.0, 60.0]  # 1 + 0.1 / 15 before 15.3 / 15
    assert order(slope, gap)[0] == 0.0


def test_the_verdict_comes_before_the_worst_utilisation():
    """A marginal azimuth with much room by number stands behind every pass."""
    unsure = Column("anchor", "anchor", "a", "m", AT_LEAST, Limit(10.0, "s"), at({30.0: 10.5}, 12.0), uncertainty=1.0)
    gap = column("gap", at({30.0: 0.1}, 0.99))
    assert order(slope_column(np.full(K, 5.0)), unsure, gap)[-1] == 30.0


def test_a_failure_outside_the_slope_comes_after_every_pass():
    gap = column("gap", at({0.0: 1.2, 10.0: 1.1}, 0.5))
    assert order(slope_column(np.full(K, 5.0)), gap)[-2:] == [10.0, 0.0]


def test_the_least_worst_utilisation_wins_and_the_slope_stays_out_of_it():
    slope = slope_column(at({70.0: 14.9}, 1.0))
    gap = column("gap", at({70.0: 0.3}, 0.4))
    assert order(slope, gap)[0] == 70.0
    ranking = rank_azimuths(AZIMUTHS, [slope, gap])
    assert ranking.worst_utilisation[7] == pytest.approx(0.3)


def test_a_tie_within_three_decimals_goes_to_the_mean_over_the_kinds():
    """0.5001 and 0.5004 are one number; the mean takes one value a kind, not one a guy."""
    worst_kind = column("travel", at({80.0: 0.5004}, 0.5001), name="a")
    other = column("gap", at({80.0: 0.1}, 0.2))
    assert order(slope_column(np.full(K, 5.0)), worst_kind, other)[0] == 80.0
    many = [column("gap", at({80.0: 0.1, 90.0: 0.01}, 0.2), name=str(i)) for i in range(5)]
    lone = column("arm", at({90.0: 0.4}, 0.2))
    assert order(slope_column(np.full(K, 5.0)), worst_kind, lone, *many)[0] == 80.0


def test_a_whole_tie_goes_to_the_smaller_azimuth():
    assert order(slope_column(np.full(K, 5.0)), column("gap", np.full(K, 0.5))) == AZIMUTHS.tolist()


@given(
    hnp.arrays(np.float64, (4, K), elements=st.floats(-0.25, 1.5, width=16)),
    hnp.arrays(np.float64, K, elements=st.floats(-3.0, 18.0, width=16)),
)
def test_the_order_is_the_twins(used, slopes):
    columns = [slope_column(slopes), *(column(kind, row, name=kind) for kind, row in zip("ggta", used, strict=True))]
    rows = []
    for k in range(K):
        slope = float(columns[0].utilisation[k])
        kinds = {"g": max(used[0, k], used[1, k]), "t": used[2, k], "a": used[3, k]}
        counted = [*kinds.values(), *([slope] if slope > 1.0 else [])]
        rows.append(
            {
                "azimuth_deg": float(AZIMUTHS[k]),
                "worst_utilisation": float(max(counted)),
                "mean_utilisation": float(sum(counted) / len(counted)),
                "slope_inside": slope <= 1.0,
                "verdict": "fail" if max(*kinds.values(), slope) > 1.0 else "pass",
            }
        )
    assert order(*columns) == twin_rank(rows)


@pytest.mark.parametrize(("user", "count"), [(None, 360), (40.0, 360), (123.4, 361), (0.25, 361), (359.999, 361)])
def test_the_users_own_azimuth_joins_the_sweep(user, count):
    azimuths = azimuths_to_sweep(user)
    assert azimuths.size == count and (np.diff(azimuths) > 0).all()
    assert set(range(360)) <= set(azimuths.tolist())
    assert user is None or user in azimuths


@pytest.mark.parametrize(
    ("slopes", "form"),
    [
        ([0.4, -0.4, 0.0], "level"), ([-3.0, -0.6, -1.0], "summit"), ([3.0, 0.6, 1.0], "hollow"), ([3.0, -2.0], "slope"),
        ([0.6, -0.2], "slope"), ([-0.6, -0.5], "slope"),
    ],
)  # fmt: skip
def test_the_form_of_the_ground(slopes, form):
    assert ground_form(np.array(slopes)) == form


def test_runs_of_failing_azimuths_meet_across_north():
    slope = slope_column(np.full(K, 5.0))
    gap = column("gap", at({340.0: 4.0, 350.0: 5.0, 0.0: 6.0, 10.0: 4.5, 100.0: 3.5}, 1.0), limit=3.0)
    travel = column("side_guy_travel", at({200.0: 1.3, 210.0: 1.2}, 0.5), name="S1@58")
    azimuths = np.arange(float(K))  # whole degrees: neighbours
    runs = ruled_out(azimuths, [slope, gap, travel])
    assert [(r.from_deg, r.to_deg, r.check) for r in runs] == [
        (0.0, 1.0, "gap"), (10.0, 10.0, "gap"), (20.0, 21.0, "side_guy_travel"), (34.0, 35.0, "gap")
    ]  # fmt: skip
    assert runs[2].text == "the side guy from 58 m to S1 would change by 1.30 m in the lift (limit 1 m)"
    circle = np.linspace(0.0, 359.0, 360)
    values = np.where((circle < 3) | (circle > 356), 4.0, 1.0)
    values[1] = 5.5
    whole = ruled_out(circle, [slope_column(np.full(360, 5.0)), column("gap", values, limit=3.0)])
    assert [(r.from_deg, r.to_deg, r.check) for r in whole] == [(357.0, 2.0, "gap")]
    assert whole[0].text == "the mast would bridge a gap of 5.5 m,  (limit 3 m)"


def test_runs_do_not_jump_a_gap_of_azimuths_without_ground():
    azimuths = np.array([0.0, 1.0, 5.0, 6.0])
    runs = ruled_out(azimuths, [slope_column([5.0] * 4), column("gap", [4.0] * 4, limit=3.0)])
    assert [(r.from_deg, r.to_deg) for r in runs] == [(0.0, 1.0), (5.0, 6.0)]


def test_runners_up_lie_apart_from_the_chosen_and_from_each_other():
    gap = column("gap", 0.2 + 0.01 * np.arange(K), limit=1.0)
    slope = slope_column(np.full(K, 5.0))
    ranking = rank_azimuths(AZIMUTHS, [slope, gap])
    found = runners_up(AZIMUTHS, ranking, [slope, gap], np.full(K, 5.0), 0)
    assert [r.azimuth_deg for r in found] == [20.0, 40.0, 60.0]
    across_north = runners_up(AZIMUTHS, ranking, [slope, gap], np.full(K, 5.0), 35)
    assert across_north[0].azimuth_deg == 10.0


@pytest.mark.parametrize(
    ("form", "slope", "verdict", "text"),
    [
        ("slope", 6.0, "pass", "Lay the mast toward 40.0° true (NE); the ground rises 6.0 % along it."),
        (
            "slope", -6.0, "fail",
            "No good laydown here: 40.0° true (NE) is judged, and it fails; the ground falls 6.0 % along it.",
        ),
        (
            "level", 0.1, "pass",
            "The ground is level: no direction is uphill. Lay the mast toward 40.0° true (NE), the azimuth with the most "
            "margin; the ground rises 0.1 % along it.",
        ),
        (
            "summit", -4.0, "fail",
            "The base stands on a summit: the ground falls away in every direction, so there is no uphill laydown. "
            "Of all azimuths 40.0° falls short by least; the ground falls 4.0 % along it.",
        ),
        (
            "hollow", 5.0, "pass",
            "The base stands in a hollow: the ground rises in every direction, and water will gather at the base. "
            "Lay the mast toward 40.0° true (NE); the ground rises 5.0 % along it.",
        ),
    ],
)  # fmt: skip
def test_the_laydown_in_one_sentence(form, slope, verdict, text):
    assert summary(40.0, slope, form, verdict) == text
