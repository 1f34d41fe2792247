"""Which cells are planned: the best first, beside a failure sooner than beside a spot, so many plans at most, whatever the tiles."""

from __future__ import annotations

import io
import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from search.test_pick import crow_m, picker
from writers.search_results import job as made_job
from writers.search_results import spot

from siting.records.search import FULL, PASSING, SearchGrid
from siting.search import walk
from siting.search.finalists import Places
from siting.search.pick import Pick
from siting.search.progress import TileProgress
from siting.search.screened import IN_LIFT, OF_PLAN_ONLY, SCREENED, is_screened
from siting.search.walk import FAILED_PART, PLANS_ALLOWED, most_plans, plan_finalists

HOLDING, SLOPE, PUSH = "anchor_holding", "anchor_slope", "base_push"
assert HOLDING in OF_PLAN_ONLY and SLOPE in SCREENED and PUSH in IN_LIFT


def found_in(used, verdict_of, spots=3, apart_m=40.0, mode=PASSING, size=50):
    """Spots, what was tried, and the cells in the order in which they were planned; a stand-in plans each."""
    planned: list[Pick] = []

    def plan_cell(places, pick, name):
        planned.append(pick)
        verdict, kinds = verdict_of(pick)
        lat, lon = pick.row / 1e4, pick.col / 1e4
        made = spot(0, verdict, lat=lat, lon=lon, worst_utilisation=pick.used if verdict else None)
        unscreened = tuple(kind for kind in kinds if not is_screened(kind))
        return replace(made, failing=tuple(kinds), failing_unscreened=unscreened), frozenset(kinds)

    rows, cols = used.shape
    job = made_job(mode)
    job = replace(job, options=replace(job.options, spots=spots, apart_m=apart_m))
    places = Places(job, None, SearchGrid(0, 0, rows, cols, (1.0, 0.0, 0.0, 0.0, -1.0, 0.0), ""), (0.0,), crow_m)
    made = picker(used, np.zeros(used.shape, np.int16), size, math.inf if mode == FULL else 1.0)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(walk, "plan_cell", plan_cell)
        result, tried = plan_finalists(places, made, TileProgress(io.StringIO()))
    return result, tried, planned


def cell(one):
    return round(one.lat * 1e4), round(one.lon * 1e4)


def away_m(a, b):
    return float(crow_m(a[0], a[1], np.array([b[0]]), np.array([b[1]]))[0])


def smooth(rows=60, cols=80):
    """Utilisations that grow from the upper left corner."""
    row, col = np.mgrid[:rows, :cols]
    return 0.2 + 0.7 * (4.0 * row + 3.0 * col) / (4.0 * rows + 3.0 * cols)


def test_where_all_hold_no_more_is_planned_than_is_wanted():
    spots, tried, planned = found_in(smooth(), lambda pick: ("pass", ()))
    assert [cell(s) for s in spots] == [(p.row, p.col) for p in planned]
    assert (tried.plans, tried.holding, len(spots), tried.most) == (3, 3, 3, PLANS_ALLOWED)
    assert [(s.rank, s.site_file) for s in spots] == [(1, "spot_01.toml"), (2, "spot_02.toml"), (3, "spot_03.toml")]


def test_beside_a_failure_ground_that_holds_is_found():
    """The best cell and those within 13 m of it fail: a spot is found there that is nearer to it than spots to each other."""

    def verdict(pick):
        return ("fail", (HOLDING,)) if away_m(pick, (0, 0)) < 13.0 else ("pass", ())

    spots, tried, planned = found_in(smooth(), verdict)
    assert (tried.plans, tried.holding, tried.failing_unscreened) == (5, 3, 2)
    assert FAILED_PART * 40.0 <= away_m(cell(spots[0]), planned[0]) < 40.0
    assert all(s.verdict == "pass" for s in spots) and tried.by_check == ((HOLDING, 2),)


def test_the_circles_around_failures_grow_with_their_number():
    _, tried, planned = found_in(smooth(), lambda pick: ("fail", (HOLDING, SLOPE)))
    assert tried.plans == tried.most == len(planned) == PLANS_ALLOWED and tried.failing_screened == PLANS_ALLOWED
    radii = []
    for pick in planned:
        assert all(away_m(pick, earlier) >= radius for earlier, radius in radii)
        near = sum(away_m(pick, earlier) < 40.0 for earlier, _ in radii)
        radii.append((pick, 40.0 * min(1.0, FAILED_PART * (1 + near))))
    assert len({radius for _, radius in radii}) >= 3
    assert max(away_m(a, b) for a in planned for b in planned) > 100.0  # it does not stay where plan after plan fails


def test_where_no_cell_is_left_the_circles_are_halved():
    """On a small piece of ground only one cell holds, 2.5 m from the best: no circle of the first round leaves it open."""
    used = np.full((60, 80), np.nan)
    used[20:23, 20:23] = 0.5 + np.arange(9).reshape(3, 3) / 100.0
    spots, tried, planned = found_in(used, lambda pick: ("marginal", ()) if (pick.row, pick.col) == (20, 21) else ("fail", (HOLDING,)), spots=1)
    assert [(p.row, p.col) for p in planned][0] == (20, 20)
    assert [cell(s) for s in spots] == [(20, 21)] and tried.holding == 1 and tried.plans <= PLANS_ALLOWED


def test_failing_spots_fill_up_and_keep_their_distance():
    spots, tried, planned = found_in(smooth(), lambda pick: ("pass", ()) if pick == planned_first(smooth()) else (None, ()), spots=4)
    assert [s.verdict for s in spots] == ["pass", None, None, None]
    assert all(away_m(cell(a), cell(b)) >= 40.0 for a in spots for b in spots if a is not b)
    assert tried.without_plan == tried.plans - 1 and len(planned) == tried.plans <= most_plans(4)


def planned_first(used):
    row, col = np.unravel_index(used.argmin(), used.shape)
    return Pick(int(row), int(col), float(used.min()), 0)


def test_in_mode_full_cells_over_a_limit_only_fill_up():
    used = smooth() + 0.5
    used[30, 40] = 0.9
    spots, tried, planned = found_in(used + 0.5 * (used != 0.9), lambda pick: ("pass", ()) if pick.used <= 1.0 else ("fail", (SLOPE,)), mode=FULL)
    assert [(p.row, p.col) for p in planned[:1]] == [(30, 40)] and len(planned) == 3
    assert [s.verdict for s in spots] == ["pass", "fail", "fail"] and tried.failing_screened == 2


@settings(max_examples=60)
@given(
    seed=st.integers(0, 10**6), spots=st.integers(1, 6), apart_m=st.sampled_from([0.0, 9.0, 40.0, 120.0]), holds=st.sampled_from([0.0, 0.1, 0.5, 0.9]),
    mode=st.sampled_from([PASSING, FULL]),
)  # fmt: skip
def test_any_ground(seed, spots, apart_m, holds, mode):
    random = np.random.default_rng(seed)
    used = random.integers(0, 60, (45, 55)) / 50.0
    used[random.random(used.shape) < 0.3] = np.nan
    fate = random.random(used.shape)

    def verdict(pick):
        if pick.used > 1.0:
            return "fail", (SLOPE,)
        return ("pass", ()) if fate[pick.row, pick.col] < holds else [("fail", (HOLDING,)), ("fail", (HOLDING, SLOPE)), (None, ())][int(99 * fate[pick.row, pick.col]) % 3]

    found, tried, planned = found_in(used, verdict, spots, apart_m, mode)
    for size in (20, 33):
        assert repr(found_in(used, verdict, spots, apart_m, mode, size)) == repr((found, tried, planned))
    assert len(set(planned)) == len(planned) == tried.plans <= tried.most == most_plans(spots)
    assert tried.plans == tried.holding + tried.failing_unscreened + tried.failing_screened + tried.without_plan
    assert sum(s.verdict == "pass" for s in found) == tried.holding <= len(found) <= spots
    assert all(away_m(cell(a), cell(b)) >= apart_m and cell(a) != cell(b) for a in found for b in found if a is not b)
    assert [s.verdict for s in found] == sorted((s.verdict for s in found), key=["pass", "fail", None].index)


@pytest.mark.parametrize(("spots", "most"), [(1, 12), (4, 12), (5, 15), (200, 600)])
def test_so_many_plans_at_most(spots, most):
    assert most_plans(spots) == most
