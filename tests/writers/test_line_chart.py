"""A chart's axes: whole steps, and an axis even where there is nothing to show."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from siting.inputs.site_file import read_site
from siting.planner import make_plan
from siting.writers.lift.pdf import lift_pdf
from siting.writers.paper.line_chart import _range, nice_step


@pytest.mark.parametrize(
    ("values", "step", "wanted"), [((0.0,), 1.0, (0.0, 1.0)), ((0.0, 3.2), 1.0, (0.0, 4.0)), ((-2.0, 2.0), 2.0, (-2.0, 2.0))]
)
def test_values_lie_between_whole_steps_and_never_on_an_axis_of_nought(values, step, wanted):
    assert _range(values, step) == pytest.approx(wanted)


def test_a_step_is_round():
    assert nice_step(36.5) in (5.0, 10.0)
    assert nice_step(1.0) in (0.1, 0.2, 0.5)


def test_a_winch_that_cannot_lift_still_gets_its_sheet():
    """A winch anchor on the laydown's own side has no lever arm at any angle: no pull, and a sheet that says so."""
    site = read_site(Path(__file__).parents[2] / "sample_dem" / "site.toml")
    anchors = tuple(replace(a, bearing_deg=10.0) if a.use == "winch" else a for a in site.mast.anchors)
    plan = make_plan(replace(site, mast=replace(site.mast, anchors=anchors)))
    assert plan.verdict == "fail"
    assert set(plan.lift.winch_pull_kn) == {None}
    assert lift_pdf(plan).startswith(b"%PDF")
