"""The lift day in a terminal: verdict and wind stop first, every instruction, every pull, no line too long."""

from __future__ import annotations

import re

import pytest
from writers.lift_plans import plans as make_plans

from siting.writers.lift.text import lift_text
from siting.writers.lift.words import LIFT_KINDS, lift_checks, lift_verdict

NAMES = ["demo", "rigged", "no winch", "bare", "line inside", "across", "many", "downhill"]


@pytest.fixture(scope="module")
def plans(tmp_path_factory):
    return make_plans(tmp_path_factory.mktemp("lift"))


@pytest.mark.parametrize("name", NAMES)
def test_verdict_first_then_the_wind_stop_and_no_line_too_long(plans, name):
    plan = plans[name]
    lines = lift_text(plan, "out/lift.pdf").splitlines()
    assert max(map(len, lines)) <= 100
    assert plan.name in lines[0] and plan.provenance.run_id in lines[0]
    assert lines[2].startswith(lift_verdict(plan).upper() + ". ")
    above = "\n".join(lines[2:12])
    if plan.wind_stop is None:
        assert "\nWIND STOP NOT SET: NOTHING IS RAISED. " in above
    else:
        assert "\nWIND STOP 7.0 m/s, measured 10.00 m above ground, averaged: gust, 3 s" in above
    assert lines[-1] == "FILE  out/lift.pdf"


@pytest.mark.parametrize("name", NAMES)
def test_every_instruction_and_every_pull(plans, name):
    plan = plans[name]
    text = lift_text(plan, "lift.pdf")
    for line in plan.lift_guys.lines if plan.lift_guys else ():
        assert f"rest {line.stops[0].length_m:.2f} m" in text
        assert re.search(rf"{line.travel_m:.2f} +{line.tightest_m:.2f} ", text)
        for stop in line.stops[1:]:
            word = "leave" if stop.change_cm == 0 else f"{'out' if stop.change_cm > 0 else 'in'} {abs(stop.change_cm):.0f}"
            assert word in text
    for stage in plan.statics.stages if plan.statics else ():
        for arm_m, pull_kn in zip(stage.arm_m, stage.winch_pull_kn, strict=True):
            pull = "no figure" if pull_kn is None else f"{pull_kn:.2f}"
            assert re.search(rf"° +{pull} +{arm_m:.2f} ", text)
    for words in ("HOLD POINTS (common practice, no source)", "Stop at 45°", "Stop if ", "KEEP OUT", "Defer to the mast maker"):
        assert words in text
    assert all(" ".join(c.split()) in " ".join(text.split()) for c in plan.cautions)


def test_a_row_of_the_table_is_one_angle_of_each_line(plans):
    text = lift_text(plans["demo"], "lift.pdf")
    row = next(line for line in text.splitlines() if line.startswith("  20° ") and "out" in line).split()
    lines = sorted(plans["demo"].lift_guys.lines, key=lambda x: ["SIDE-R", "SIDE-L", "BACK", "WINCH"].index(x.anchor))
    assert row[1:] == [word for x in lines[:6] for word in ("out", f"{x.stops[2].change_cm:.0f}")]


def test_overhead_lines(plans):
    assert "DO NOT RAISE HERE. Overhead: Valley line" in lift_text(plans["line inside"], "x")
    assert "NOT CHECKED. Overhead lines: no obstacle layer was given" in " ".join(lift_text(plans["across"], "x").split())
    assert "Nearest overhead line known: Supply line" in lift_text(plans["demo"], "x")


def test_what_fails_comes_with_its_mends(plans):
    text = lift_text(plans["across"], "x")
    assert text.splitlines()[2].startswith("FAIL. 2 of ")
    assert "FAIL: travel of the side guy from 58 m to S1: 2.71 m, limit 1.00 m" in text
    assert "MENDS" in text and "Or lay the mast towards" in text
    assert "MENDS" not in lift_text(plans["demo"], "x")


def test_what_is_missing_is_said(plans):
    assert "The mast file has no guys and no winch" in lift_text(plans["bare"], "x")
    assert "Forces of the lift: NOT WORKED OUT. The mast file has no winch anchor." in lift_text(plans["no winch"], "x")


def test_only_checks_of_the_lift_and_lines_overhead_decide(plans):
    for plan in plans.values():
        for check in lift_checks(plan):
            assert check.kind in LIFT_KINDS or check.id == "fall_zone_obstacle:overhead_line"
    ids = {c.id for c in lift_checks(plans["demo"])}
    assert "fall_zone_obstacle:overhead_line" in ids and "fall_zone_obstacle:road" not in ids and "setback" not in ids
    assert {c.kind for c in lift_checks(plans["demo"])} == {*LIFT_KINDS, "fall_zone_obstacle"}


@pytest.mark.parametrize("name", NAMES)
def test_the_order_in_which_the_guys_go_over_or_why_there_is_none(plans, name):
    plan = plans[name]
    text = lift_text(plan, "out/lift.pdf")
    after = text[text.index("AFTER THE LIFT: GUYS GO OVER TO THE PERMANENT ANCHORS") :]
    flat = " ".join(after.split())
    if plan.transfer is None:
        why = next(w for w in plan.warnings if w.startswith("No order of moving the guys over"))
        assert "NO ORDER: DO NOT LET GO A GUY OF THE LIFT" in after and why.replace(" ", "") in flat.replace(" ", "")
        return
    point, at = {s.id: s.point for s in plan.stakes}, 0
    for step in plan.transfer.steps:
        level = "winch line" if step.level_m is None else f"{step.level_m:g} m"
        at = flat.index(f"{step.number} {level} {step.action.upper()} ", at)
        rest = flat[at : at + 200]
        if step.held_by:
            assert f"; then held by {', '.join(point[a] for a in step.held_by)}, widest gap {step.widest_gap_deg:g}" in rest
        else:
            assert "; then held by the permanent guys alone" in rest
    assert all(note in flat for note in plan.transfer.notes)
