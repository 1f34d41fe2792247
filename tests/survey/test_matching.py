"""Which measured point is which stake: by name, else by place where only one stake lies near."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from staked_files import demo_plan, in_unit, into, measured, points_of, report, shift, stakes_of, swap

from siting.errors import InputError
from siting.survey.matching import match_points


def numbered(rows, first=101):
    """The same points under a rover's own numbers."""
    return [(str(first + i), *row[1:]) for i, row in enumerate(rows)]


def ids(pairs):
    return [p.target.id for p in pairs]


def test_names_match_whatever_their_case_and_order():
    plan = demo_plan()
    rows = [(name.lower(), *rest) for name, *rest in measured(plan)][::-1]
    found = match_points(plan, points_of(rows).points)
    assert ids(found.pairs) == [s.id for s in stakes_of(plan)]  # in the plan's order
    assert {p.matched_by for p in found.pairs} == {"name"}
    assert found.extra == () and {m.role for m in found.missing} == {"offset"}


def test_the_id_counts_where_the_point_name_is_another():
    plan = demo_plan()
    plan = replace(plan, stakes=tuple(replace(s, point=f"P{i}") for i, s in enumerate(plan.stakes)))
    stake = plan.stakes[5]
    for name in (stake.id, stake.point):
        found = match_points(plan, points_of([(name, stake.northing, stake.easting, None)]).points)
        assert ids(found.pairs) == [stake.id]
    both = [(n, stake.northing, stake.easting, None) for n in (stake.point, stake.id)]
    found = match_points(plan, points_of(both).points)
    assert ids(found.pairs) == [stake.id]
    assert [e.why for e in found.extra] == [f"{stake.point} is that stake already"]


def test_a_name_wins_over_a_place():
    plan = demo_plan()
    a1, b1 = (next(s for s in plan.stakes if s.id == i) for i in ("A1", "B1"))
    found = match_points(plan, points_of([("A1", b1.northing, b1.easting, None)]).points)
    assert ids(found.pairs) == ["A1"] and found.pairs[0].matched_by == "name"
    found = match_points(plan, points_of([("A1", a1.northing, a1.easting, None), ("77", a1.northing, a1.easting, None)]).points)
    assert ids(found.pairs) == ["A1"] and [e.why for e in found.extra] == ["A1 is that stake already"]


@pytest.mark.parametrize("offsets", [False, True])
@pytest.mark.parametrize("seed", range(4))
def test_renamed_points_are_matched_by_place(seed, offsets):
    plan = demo_plan()
    found = match_points(plan, points_of(numbered(measured(plan, seed=seed, noise_m=0.03, offsets=offsets))).points)
    assert ids(found.pairs) == [s.id for s in stakes_of(plan, offsets)]
    assert {p.matched_by for p in found.pairs} == {"place"} and found.extra == ()


def test_a_place_between_two_stakes_is_nobodys():
    """A1-1 stands 3 m beyond A1: halfway no stake is clearly the nearer, and beyond a metre none is near."""
    plan = demo_plan()
    near, far = (next(s for s in plan.stakes if s.id == i) for i in ("A1", "A1-1"))
    middle = [("7", (near.northing + far.northing) / 2, (near.easting + far.easting) / 2, None)]
    found = match_points(plan, points_of(middle).points)
    assert found.pairs == () and [e.why for e in found.extra] == ["no stake lies near"]
    assert found.extra[0].distance_m == pytest.approx(1.5, abs=0.01)
    close = replace(near, id="X", point="X", northing=near.northing + 0.8)
    found = match_points(replace(plan, stakes=(near, close)), points_of([("7", near.northing + 0.3, near.easting, None)]).points)
    assert found.pairs == () and [e.why for e in found.extra] == ["two stakes lie near"]


def test_two_points_at_one_stake_are_neither():
    plan = demo_plan()
    a1 = next(s for s in plan.stakes if s.id == "A1")
    rows = [("501", a1.northing + 0.02, a1.easting, None), ("502", a1.northing - 0.03, a1.easting, None)]
    found = match_points(plan, points_of(rows).points)
    assert found.pairs == ()
    assert [(e.measured.name, e.why) for e in found.extra] == [
        ("501", "502 lies at that stake too"), ("502", "501 lies at that stake too"),
    ]  # fmt: skip


def test_missing_and_extra_points_are_listed():
    plan = demo_plan()
    rows = [r for r in measured(plan) if r[0] not in ("B2", "WINCH")]
    rows.append(("GATE", rows[0][1] + 40.0, rows[0][2] + 40.0, None))
    made = report(plan, rows)
    assert [m.id for m in made.missing if m.role != "offset"] == ["B2", "WINCH"]
    assert [(e.point, e.why) for e in made.extra] == [("GATE", "no stake lies near")]
    assert made.extra[0].distance_m > 1.0 and made.extra[0].nearest in {s.id for s in plan.stakes}
    assert made.verdict == "pass" and "NOT measured: B2, WINCH" in made.headline
    assert len(made.points) == 10


@pytest.mark.parametrize(
    ("fault", "cause"),
    [
        (lambda z: z, "none"), (swap, "swapped_axes"), (in_unit(0.3048), "feet"), (in_unit(1200 / 3937), "feet"),
        (into(32612, 32613), "wrong_zone"), (shift(0.4, 0.3), "shift"), (shift(3.0, -4.0), "shift"), (shift(300.0, 20.0), "shift"),
    ],
)  # fmt: skip
def test_a_file_without_a_known_name_is_matched_through_its_fault(fault, cause):
    plan = demo_plan()
    made = report(plan, numbered(measured(plan, fault, seed=3)))
    assert made.likely_cause == cause
    assert [p.id for p in made.points] == [s.id for s in stakes_of(plan)]
    assert {p.matched_by for p in made.points} == {"place"} and made.extra == ()


def test_names_that_are_known_lead_to_those_that_are_not():
    """Half of the points have the plan's names; the shift that these show brings the others to their stakes."""
    plan = demo_plan()
    rows = measured(plan, shift(6.0, 2.0), seed=8)
    mixed = rows[:6] + numbered(rows[6:])
    made = report(plan, mixed)
    assert [p.id for p in made.points] == [s.id for s in stakes_of(plan)]
    assert [p.matched_by for p in made.points] == ["name"] * 6 + ["place"] * 6
    assert made.likely_cause == "shift"


def test_a_file_of_another_site_is_refused():
    plan = demo_plan()
    rows = [(str(i), 5_300_000.0 + 7.0 * i * i, 400_000.0 + 31.0 * i, None) for i in range(9)]
    with pytest.raises(InputError) as caught:
        report(plan, rows)
    assert [f.code for f in caught.value.faults] == ["staked_no_match"]
    assert str(caught.value) == (
        "staked.csv: none of its points (0, 1, 2, …) is a stake of this plan, by name or by place. Name the points as in the "
        "plan (BASE, HEAD, A1, …), or check that plan and file belong together."
    )


def test_points_measured_under_each_others_names_are_told():
    plan = demo_plan()
    rows = {r[0]: r for r in measured(plan)}
    rows["A1"], rows["C1"] = ("A1", *rows["C1"][1:]), ("C1", *rows["A1"][1:])
    made = report(plan, list(rows.values()))
    notes = {p.id: p.note for p in made.points if p.note}
    assert set(notes) == {"A1", "C1"}
    assert notes["A1"].endswith("from the place of C1: measured under the wrong name?")
    assert made.likely_cause == "none" and made.verdict == "fail"


def test_many_strangers_do_not_slow_or_mislead():
    plan = demo_plan()
    dice = np.random.default_rng(1)
    rows = measured(plan) + [(f"T{i}", 5208885.7 + dice.uniform(-500, 500), 587408.9 + dice.uniform(-500, 500), None) for i in range(2000)]
    made = report(plan, rows)
    assert made.likely_cause == "none" and [p.id for p in made.points if p.matched_by == "name"] == [s.id for s in stakes_of(plan)]
    assert len(made.points) + len(made.extra) == 2012
