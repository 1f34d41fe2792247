"""The lift's own checks: values by hand from the statics, at and past each limit, and what is unchecked and why."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from rigged_masts import LOADS, mast
from strategies import as_json, plan_of, ready_folder
from synthetic import plane

from siting.checks.columns import AT_LEAST, Column
from siting.checks.lift import LABELS, judge_lift
from siting.inputs.site_file import read_site
from siting.lift.line_clearance import WinchGround
from siting.lift.statics import StaticsCase, lift_statics
from siting.planner import make_plan
from siting.records.rigging import Rigging, WinchGear
from siting.records.site import Limit, Limits
from siting.writers.lift.words import lift_checks, lift_headline, lift_unchecked, lift_verdict, loud_checks

DEMO = Path(__file__).parents[2] / "sample_dem" / "site.toml"
WHOLE = Rigging(
    loads=LOADS, gin_pole_mass_kg=150.0, lift_attach_m=(20.0, 40.0, 58.0), friction_ratio=0.1, stiffness_knm2=3000.0,
    moment_limit_knm=8.0, winch=WinchGear(limit_kn=40.0, line_diameter_mm=14.0, drum_diameter_mm=250.0, drum_width_m=0.1),
)  # fmt: skip
BASE_M, RADIUS_M = 500.0, 64.0


def statics(rigging: Rigging = WHOLE, ground=None, winch_m: float = BASE_M, rest_rad: float = 0.0):
    made = mast()
    s_m = np.arange(0.0, 90.0, 1.0)
    heights = np.full(s_m.size, BASE_M) if ground is None else BASE_M + ground(s_m)
    case = StaticsCase(made, rigging, {"W": winch_m}, BASE_M + 0.3, rest_rad, 0.0, 0.1, winch_ground=WinchGround(s_m, heights))
    return made, lift_statics(case)


def judged(rigging: Rigging = WHOLE, limits: Limits = Limits(), error_m: float | None = None, **case):  # noqa: B008
    made, found = statics(rigging, **case)
    result = judge_lift(made, found, limits, error_m)
    return {c.id: c for c in result.checks}, {u.id: u for u in result.unchecked}, found


# --- values -------------------------------------------------------------------------------------------------------


def test_on_level_ground_everything_is_checked_and_passes():
    checks, unchecked, found = judged()
    assert set(checks) == set(LABELS) and unchecked == {}
    assert {c.verdict for c in checks.values()} == {"pass"}
    assert checks["mast_bending"].value == pytest.approx(abs(found.bending.largest_knm) / 8.0, rel=1e-12)
    assert checks["pole_clearance"].value == pytest.approx(0.3, abs=1e-9)  # level at plumb: as high as the hinge
    # At 80 degrees, 5 m before the winch: the line falls evenly from the tip to the winch.
    tip_s, tip_z = 10.0 * math.sin(math.radians(80.0)), 0.3 + 10.0 * math.cos(math.radians(80.0))
    assert checks["line_clearance"].value == pytest.approx(tip_z * 5.0 / (RADIUS_M - tip_s), abs=1e-9)


def test_winch_use_is_the_largest_pull_over_the_limit_of_its_own_layer():
    """A narrow drum: the limit falls with each layer, and the largest ratio need not be where the pull is largest."""
    checks, _, found = judged()
    line, stage = found.winch_line, found.stages[-1]
    assert max(line.layers) >= 2
    rated = [40.0 * (250.0 + 14.0) / (250.0 + (2 * layer - 1) * 14.0) for layer in line.layers]
    table = [p / r for a, p, r in zip(line.angles_deg, stage.winch_pull_kn, rated, strict=True) if a <= 80.0]
    assert checks["winch_use"].value == pytest.approx(max(table), rel=1e-9)
    assert checks["winch_use"].utilisation == checks["winch_use"].value
    assert "limit_kn" in checks["winch_use"].source


@pytest.mark.parametrize(("limit_kn", "verdict"), [(1.0001, "pass"), (0.9999, "fail")])
def test_winch_use_at_its_limit(limit_kn, verdict):
    _, _, found = judged()
    most = found.stages[-1].largest_pull_kn  # at the start, on the first layer
    gear = replace(WHOLE.winch, limit_kn=most * limit_kn, drum_width_m=1.0)
    checks, _, _ = judged(replace(WHOLE, winch=gear))
    assert checks["winch_use"].verdict == verdict and checks["winch_use"].value == pytest.approx(1.0 / limit_kn, rel=1e-9)


def test_a_line_that_fails_before_80_degrees_fails_the_winch_as_badly_as_can_be():
    """Its winch stands so high that the pole points at it at 70 degrees: there is no largest pull, so no ratio to trust."""
    checks, _, found = judged(winch_m=BASE_M + 0.3 + RADIUS_M * math.tan(math.radians(20.0)))
    assert found.stages[-1].largest_pull_kn is None and found.winch_line.largest_use_ratio < 10.0
    assert (checks["winch_use"].value, checks["winch_use"].verdict) == (10.0, "fail")
    assert "fails at 70.0°" in checks["winch_use"].place


@pytest.mark.parametrize(("share", "verdict"), [(1.0001, "pass"), (0.9999, "fail")])
def test_bending_at_its_limit(share, verdict):
    _, _, found = judged()
    checks, _, _ = judged(replace(WHOLE, moment_limit_knm=abs(found.bending.largest_knm) * share))
    assert checks["mast_bending"].verdict == verdict
    assert f"{found.bending.largest_at_m:.1f} m from the hinge" in checks["mast_bending"].place


def hump(at_m: float, height_m: float):
    """A hump of one sample's width."""
    return lambda s_m: np.where(np.abs(s_m - at_m) < 0.5, height_m, 0.0)


def test_a_gin_pole_that_digs_in_at_plumb_fails_and_says_where():
    checks, _, _ = judged(ground=hump(6.0, 0.5))
    check = checks["pole_clearance"]
    assert (check.verdict, check.utilisation) == ("fail", 10.0)
    assert check.value == pytest.approx(-0.2, abs=1e-9) and check.place.startswith("6.0 m from the base towards the winch, mast at 90°")


def test_a_line_may_bear_on_a_hump_by_half_a_metre_and_no_more():
    tip_s, tip_z = 10.0 * math.sin(math.radians(80.0)), 0.3 + 10.0 * math.cos(math.radians(80.0))
    line_m = tip_z * (RADIUS_M - 40.0) / (RADIUS_M - tip_s)
    for deep_m, verdict in ((0.499, "pass"), (0.501, "fail")):
        checks, _, _ = judged(ground=hump(40.0, line_m + deep_m))
        assert checks["line_clearance"].value == pytest.approx(-deep_m, abs=1e-9)
        assert checks["line_clearance"].verdict == verdict
        assert checks["line_clearance"].utilisation == (0.0 if verdict == "pass" else 10.0)


def test_own_limits_and_the_dems_error():
    """The user's limit with the user as its source; a margin within the stated error is marginal, one without any is not."""
    own = Limits(pole_clear_min_m=Limit(0.25, "user (site.toml)"), line_clear_min_m=Limit(0.0, "user (site.toml)"))
    checks, _, _ = judged(limits=own, error_m=0.1)
    assert (checks["pole_clearance"].verdict, checks["pole_clearance"].uncertainty) == ("marginal", 0.1)
    assert checks["pole_clearance"].utilisation == pytest.approx(0.25 / 0.3, rel=1e-9)
    assert checks["pole_clearance"].source == "user (site.toml)"
    assert judged(limits=own)[0]["pole_clearance"].verdict == "pass"
    assert judged(limits=Limits(pole_clear_min_m=Limit(0.31, "x")), error_m=5.0)[0]["pole_clearance"].verdict == "fail"


def test_a_least_value_below_nought_is_used_up_by_nothing_above_it():
    column = Column("k", "k", "x", "m", AT_LEAST, Limit(-0.5, "x"), np.array([3.0, 0.1, 0.0, -0.5, -0.51]))
    assert column.utilisation.tolist() == [0.0, 0.0, 0.0, 0.0, 10.0]
    assert column.verdicts.tolist() == [0, 0, 0, 0, 2]


# --- what is not checked ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("missing", "kind", "key"),
    [
        ({"winch": WinchGear()}, "winch_use", "limit_kn"),
        ({"moment_limit_knm": None}, "mast_bending", "moment_limit_knm"),
        ({"lift_attach_m": ()}, "mast_bending", "lift_attach_m"),
    ],
)
def test_what_the_mast_file_does_not_say_is_unchecked_and_the_key_is_named(missing, kind, key):
    checks, unchecked, _ = judged(replace(WHOLE, **missing))
    assert set(unchecked) == {kind} and kind not in checks
    assert key in unchecked[kind].do
    assert {c for c in checks} == set(LABELS) - {kind}


def test_a_push_too_near_eulers_load_is_unchecked_and_says_so():
    _, unchecked, _ = judged(replace(WHOLE, stiffness_knm2=200.0))
    assert "Euler's load" in unchecked["mast_bending"].missing


def test_without_the_ground_to_the_winch_both_clearances_are_unchecked():
    made = mast()
    case = StaticsCase(made, WHOLE, {"W": BASE_M}, BASE_M + 0.3, 0.0, 0.0, 0.1)
    result = judge_lift(made, lift_statics(case), Limits(), None)
    assert {u.id for u in result.unchecked} == {"pole_clearance", "line_clearance"}
    assert all("DEM" in u.do for u in result.unchecked)


def test_without_forces_all_four_are_unchecked_and_without_a_winch_anchor_its_own_check_says_it():
    assert {u.id for u in judge_lift(mast(), None, Limits(), None).unchecked} == set(LABELS)
    lone = replace(mast(), anchors=())
    assert judge_lift(lone, None, Limits(), None) == judge_lift(lone, None, Limits(), 0.1)
    assert judge_lift(lone, None, Limits(), None).unchecked == ()


# --- in a plan ----------------------------------------------------------------------------------------------------

WINCH = "[winch]\nlimit_kn = {limit}\n"


def planned(folder, limit_kn: float, **tables) -> dict:
    ready_folder(folder, plane(6.0, 40.0), half_width_m=120.0)
    with (folder / "mast.toml").open("a", encoding="utf-8") as file:
        file.write(WINCH.format(limit=limit_kn))
    return plan_of(folder, **tables)


def test_a_winch_too_weak_fails_the_plan_but_no_candidate_and_not_the_choice(tmp_path):
    strong, weak = planned(tmp_path / "a", 100.0), planned(tmp_path / "b", 10.0)
    assert (strong.verdict, weak.verdict) == ("pass", "fail")
    assert weak.headline.startswith("1 of ") and lift_verdict(weak) == "fail" and lift_verdict(strong) == "pass"
    assert lift_headline(weak).startswith("1 of ") and [c.id for c in loud_checks(weak)] == ["winch_use"]
    assert weak.checks[0].id == "winch_use"  # the tightest first
    assert weak.laydown == strong.laydown and weak.laydown.verdict == "pass"
    assert weak.laydown.worst_utilisation < weak.checks[0].utilisation


def test_what_is_unchecked_of_the_lift_is_as_loud_as_the_rest(tmp_path):
    plan = plan_of(ready_folder(tmp_path, plane(6.0, 40.0)))
    assert {"winch_use", "mast_bending"} <= set(plan.unchecked)
    assert {"winch_use", "mast_bending"} <= {u.id for u in lift_unchecked(plan)}
    assert "could NOT be made" in lift_headline(plan)
    assert {"pole_clearance", "line_clearance"} <= {c.id for c in lift_checks(plan)}


def test_the_limits_of_the_site_file_reach_the_checks(tmp_path):
    plan = as_json(plan_of(ready_folder(tmp_path, plane(6.0, 40.0)), limits={"pole_clear_min_m": 0.4, "line_clear_min_m": 0.1}))
    checks = {c["id"]: c for c in plan["checks"]}
    assert (checks["pole_clearance"]["limit"], checks["line_clearance"]["limit"]) == (0.4, 0.1)
    assert "user" in checks["pole_clearance"]["source"] and plan["verdict"] == "fail"


def test_the_demo_holds_the_ground_from_the_base_past_the_winch():
    """The profile in the plan is the DEM's: it meets the stakes' own heights at base and winch, and goes on behind it."""
    plan = make_plan(read_site(DEMO))
    clear, winch = plan.statics.clearance, next(s for s in plan.stakes if s.role == "winch")
    ground = dict(zip(clear.s_m, clear.ground_m, strict=True))
    assert ground[0.0] == pytest.approx(-plan.mast.hinge_height_m, abs=1e-3)
    assert ground[winch.radius_m] == pytest.approx(winch.above_base_m - plan.mast.hinge_height_m, abs=2e-3)
    assert clear.s_m[-1] > winch.radius_m + 30.0 and max(np.diff(clear.s_m)) <= 1.0
    checks = {c.id: c for c in plan.checks}
    assert (plan.verdict, checks["line_clearance"].value, checks["line_clearance"].uncertainty) == ("pass", pytest.approx(-0.1663, abs=2e-4), 0.1)
