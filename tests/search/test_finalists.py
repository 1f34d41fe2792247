"""What is said of a planned cell: a check that is not screened and fails is no difference between screening and plan."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from house.test_docs import generator  # noqa: F401
from writers.search_results import job

from siting.errors import TerrainGap
from siting.inputs.area_file import read_area
from siting.records.findings import Check
from siting.records.search import SearchGrid
from siting.search import finalists
from siting.search.finalists import Places, plan_cell
from siting.search.pick import Pick
from siting.search.run import SCREENED_NOTES, search
from siting.search.screened import IN_LIFT, OF_PLAN_ONLY, SCREENED, words_of

HOLDING = Check("anchor_holding:A1", "anchor_holding", "pull at anchor A1 / what it may take there", 2.89, 1.0, "ratio", False, 2.89, 0.0, "fail", "", "")
PUSH = replace(HOLDING, id="base_push", kind="base_push", label="push / what holds it")
SLOPE = Check("anchor_slope:A1", "anchor_slope", "slope at anchor A1", 28.5, 27.0, "%", False, 28.5 / 27.0, 0.0, "fail", "", "")
SETBACK = Check("setback", "setback", "base to the line", 100.0, 90.75, "m", True, 0.9075, 0.0, "pass", "", "")


class Nowhere:
    """A frame whose cells lie at these degrees."""

    def lonlat(self, col, row):
        return 179.9999 + np.asarray(col) * 1e-4, 47.0 - np.asarray(row) * 1e-4


def planned(monkeypatch, *checks: Check, used=0.9, turned=0.0):
    def make_plan(site):
        if not checks:
            raise TerrainGap.of("dem_gap", "dem.tif", "has no ground there", "give another")
        verdict = "fail" if any(c.verdict == "fail" for c in checks) else "pass"
        return SimpleNamespace(
            base=SimpleNamespace(easting=1.0, northing=2.0, height_m=3.0), laydown=SimpleNamespace(azimuth_deg=15.0 + turned, reasons=("steepest",)),
            checks=checks, verdict=verdict, unchecked=("overhead_line",),
        )  # fmt: skip

    monkeypatch.setattr(finalists, "make_plan", make_plan)
    places = Places(job(), Nowhere(), SearchGrid(0, 0, 9, 9, (1.0, 0.0, 0.0, 0.0, -1.0, 0.0), ""), (0.0, 15.0), None)
    return plan_cell(places, Pick(0, 2, used, 1), "one")


def test_a_failing_check_that_is_not_screened_is_no_difference(monkeypatch):
    spot, failing = planned(monkeypatch, SETBACK, HOLDING)
    assert (spot.verdict, spot.differs) == ("fail", "")
    assert spot.failing == spot.failing_unscreened == ("pull at anchor A1 / what it may take there: 2.89, at most 1.00",)
    assert (spot.worst_utilisation, spot.worst_check) == (0.9075, "base to the line")  # of what is screened
    assert (spot.checks_screened, spot.checks_of_plan_only, failing) == (("setback",), ("anchor_holding",), {"anchor_holding"})


def test_a_failing_check_that_is_screened_is_one(monkeypatch):
    spot, failing = planned(monkeypatch, HOLDING, SLOPE, turned=-3.0)
    assert spot.differs == "Screening passes, the plan fails: slope at anchor A1: 28.5 %, at most 27.0 %. The plan lays towards 12.00°, screening 15.00°."
    assert spot.failing_unscreened == ("pull at anchor A1 / what it may take there: 2.89, at most 1.00",) and len(spot.failing) == 2
    assert failing == {"anchor_holding", "anchor_slope"}


def test_the_push_on_the_base_is_screened_and_no_measure_of_a_spot(monkeypatch):
    spot, failing = planned(monkeypatch, SETBACK, PUSH)
    assert spot.differs == "Screening passes, the plan fails: push / what holds it: 2.89, at most 1.00." and spot.failing_unscreened == ()
    assert spot.worst_utilisation == 0.9075 and failing == {"base_push"}
    assert planned(monkeypatch, SETBACK, replace(PUSH, utilisation=0.99, verdict="pass"))[0].differs == ""


def test_more_use_than_screened_is_said_and_less_is_not(monkeypatch):
    assert planned(monkeypatch, SETBACK, used=0.89)[0].differs == "The plan uses 0.91, screening 0.89."
    assert planned(monkeypatch, SETBACK, used=0.95, turned=9.0)[0].differs == ""


def test_what_was_over_a_limit_already_does_not_differ(monkeypatch):
    assert planned(monkeypatch, SLOPE, used=1.06)[0].differs == ""


def test_without_a_plan_its_fault_is_said(monkeypatch):
    spot, failing = planned(monkeypatch)
    assert spot.verdict is None and spot.differs == "No plan can be made there: dem.tif: has no ground there. Give another." and failing == frozenset()
    assert -180.0 <= spot.lon <= 180.0 and spot.lon == pytest.approx(-179.99985)  # beyond the antimeridian


def test_every_kind_of_check_is_screened_or_of_the_plan_only(generator):  # noqa: F811
    assert len({*SCREENED, *IN_LIFT, *OF_PLAN_ONLY}) == len(SCREENED) + len(IN_LIFT) + len(OF_PLAN_ONLY)
    assert {*SCREENED, *IN_LIFT, *OF_PLAN_ONLY} == generator.check_kinds()


def test_notes_and_page_name_every_kind():
    told = " ".join(SCREENED_NOTES)
    page = (Path(__file__).parents[2] / "docs" / "method" / "search.md").read_text(encoding="utf-8")
    for words in (SCREENED | IN_LIFT | OF_PLAN_ONLY).values():
        assert words in told and words in " ".join(page.split()), words
    assert words_of(("gap", "setback")) == "setback, gap under the mast"


def test_on_the_demo_as_many_as_are_wanted_hold(tmp_path):
    """At 25 m from one another; cells that fail in the lift or on the base are none of them."""
    demo = read_area(Path(__file__).parents[2] / "sample_dem" / "area.toml")
    demo = replace(demo, options=replace(demo.options, apart_m=25.0))
    result = search(demo, tmp_path / "out", workers=1)
    assert len(result.spots) == 5 and {s.verdict for s in result.spots} <= {"pass", "marginal"}
    assert result.tried.holding == 5 <= result.tried.plans <= result.tried.most == 15
    assert dict(result.shares.cells)["level push on the base"] > 1000
    assert all(s.differs == "" for s in result.spots) and result.warnings == ()
    assert all(s.checks_of_plan_only == ("anchor_holding",) and {"base_push", "setback"} < set(s.checks_screened) for s in result.spots)
