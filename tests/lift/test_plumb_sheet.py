"""The plumb sheet: the mast from plan.json is the mast as made, the day's tensions, what is said where something is missing."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from standing_readings import mast_on_stakes
from strategies import plan_of

from siting.errors import InputError
from siting.inputs.mast_file import find_mast, read_mast, shipped_masts
from siting.inputs.plan_file import read_plan
from siting.lift.plumb_correction import correct_plumb
from siting.lift.plumb_sheet import plumb_sheet
from siting.lift.standing import StandingMast, stand_up
from siting.lift.standing_record import standing_of, standing_record
from siting.records.plan import InputFile
from siting.records.plumb import LeanReading, PlumbOptions, TensionReading
from siting.records.plumb_sheet import Readings
from siting.writers.plan_json import plan_json
from siting.writers.plumb.json import plumb_json
from siting.writers.plumb.text import plumb_text
from tests.lift.test_plumb import plumb_lengths

OPTIONS = PlumbOptions()
INPUTS = (InputFile("plan.json", "ab" * 32, "the whole file"), InputFile("readings.csv", "cd" * 32, "the whole file"))


@pytest.fixture(scope="module", params=shipped_masts())
def both(request, slope_folder, tmp_path_factory):
    """A plan read back from its plan.json, and the same mast made from the mast file on the plan's stakes."""
    folder = tmp_path_factory.mktemp("planned")
    (folder / "dem.tif").write_bytes((slope_folder / "dem.tif").read_bytes())
    plan = plan_of(folder, mast={"use": request.param})
    (folder / "plan.json").write_bytes(plan_json(plan))
    mast = read_mast(*find_mast(request.param, Path("."), "test"))
    stakes = [{"id": s.id, "height_m": s.height_m} for s in plan.stakes]
    return read_plan(folder / "plan.json", "plan.json"), mast_on_stakes(mast, stakes, plan.base.height_m + mast.hinge_height_m)


@pytest.fixture(scope="module")
def plan(slope_folder, tmp_path_factory):
    folder = tmp_path_factory.mktemp("planned")
    (folder / "dem.tif").write_bytes((slope_folder / "dem.tif").read_bytes())
    made = plan_of(folder, mast={"use": "lattice-60"})
    (folder / "plan.json").write_bytes(plan_json(made))
    return read_plan(folder / "plan.json", "plan.json")


def rebuilt(plan) -> StandingMast:
    return standing_of(plan.standing, plan.cut_list.strands, plan.mast.name, plan.mast.height_m)


def readings(made: StandingMast, lean=None, tension_n=None, temperature_c=None) -> Readings:
    leans = () if lean is None else tuple(LeanReading(float(h), float(p[1]), float(p[0])) for h, p in zip(made.model.heights_m, lean))
    tensions = () if tension_n is None else tuple(
        TensionReading(a, float(h), float(t) / 1000.0) for a, h, t in zip(made.anchors, made.attach_m, tension_n) if np.isfinite(t)
    )  # fmt: skip
    return Readings("readings.csv", leans, tensions, temperature_c, ("wind: 2 m/s",))


def test_the_mast_from_the_plan_gives_the_correction_of_the_mast_as_made(both):
    """Lengths to 1 mm, tensions to 0.5 %, with tensions read and without."""
    plan, made = both
    again = rebuilt(plan)
    assert (again.name, again.height_m, again.anchors, again.assumes) == (made.name, made.height_m, made.anchors, made.assumes)
    length = plumb_lengths(made) + np.random.default_rng(4).uniform(-0.04, 0.04, len(made.anchors))
    standing = stand_up(made, length)
    for tension in (standing.tension_n, np.full(length.size, np.nan)):
        first, second = (correct_plumb(mast, standing.displacement_m, tension, OPTIONS) for mast in (made, again))
        assert [g.change_cm for g in second.guys] == pytest.approx([g.change_cm for g in first.guys], abs=0.1 + 1e-9)
        for name in ("before_kn", "after_kn", "least_kn", "greatest_kn"):
            assert [getattr(g, name) for g in second.guys] == pytest.approx([getattr(g, name) for g in first.guys], rel=0.005)
        after = stand_up(made, length + np.array([g.change_cm for g in second.guys]) / 100.0)
        if np.isfinite(tension).all():
            assert np.hypot(*after.displacement_m.T).max() < 0.005


def test_the_record_goes_there_and_back(both):
    plan, made = both
    again = standing_of(standing_record(made), plan.cut_list.strands, made.name, made.height_m)
    assert again.model.heights_m == pytest.approx(made.model.heights_m) and again.model.weight_n == pytest.approx(made.model.weight_n)
    assert again.model.anchors_m == pytest.approx(made.model.anchors_m) and (again.model.level == made.model.level).all()
    assert again.model.bending_nm2 == pytest.approx(made.model.bending_nm2)
    assert again.set_tension_n == pytest.approx(made.set_tension_n)


def test_a_record_altered_by_hand_is_refused(plan):
    guys = plan.standing.guys
    wrong = replace(plan.standing, guys=(replace(guys[0], strand="twine"), replace(guys[1], attach_m=11.0), *guys[2:]))
    with pytest.raises(InputError) as caught:
        standing_of(wrong, plan.cut_list.strands, "m", 60.0)
    assert str(caught.value).splitlines() == [
        "standing, guy A1 at 9.5 m: its strand 'twine' is not in the plan's cut list. Make the plan again with siting plan.",
        "standing, guy B1 at 11 m: its level is not in the plan. Make the plan again with siting plan.",
    ]
    with pytest.raises(InputError, match="standing, guys: holds no guy"):
        standing_of(replace(plan.standing, guys=()), plan.cut_list.strands, "m", 60.0)


@pytest.mark.parametrize("temperature_c", [-20.0, -3.0, 15.0, 40.0])
def test_guys_not_read_are_taken_near_the_days_set_tension(plan, temperature_c):
    """Plumb and every tension but one read as the table has it: the one left out comes out as the table's too."""
    made, table = rebuilt(plan), plan.tensions
    by_guy = {(g.anchor, g.attach_m): np.interp(temperature_c, table.temperatures_c, g.tension_kn) for g in table.guys}
    plumb = np.zeros((made.model.heights_m.size, 2))
    sheet = plumb_sheet(plan, readings(made, plumb, None, temperature_c), INPUTS, "run")
    wanted = [by_guy[g.anchor, g.attach_m] for g in sheet.correction.guys]
    assert [g.before_kn for g in sheet.correction.guys] == pytest.approx(wanted, rel=0.04)
    assert sheet.temperature_c == temperature_c and not any("°C" in w for w in sheet.correction.warnings)


@pytest.mark.parametrize("temperature_c", [-20.1, 41.0])
def test_outside_the_table_the_reference_stands_and_is_said(plan, temperature_c):
    made = rebuilt(plan)
    plumb = np.zeros((made.model.heights_m.size, 2))
    off = plumb_sheet(plan, readings(made, plumb, None, temperature_c), INPUTS, "run")
    without = plumb_sheet(plan, readings(made, plumb), INPUTS, "run")
    assert off.correction.guys == without.correction.guys
    assert off.correction.warnings[0] == (
        f"It was {temperature_c:g} °C, and the plan's tensions are for -20 °C to 40 °C: guys that were not read are taken near the set "
        "tension of the reference temperature."
    )
    slack = plumb.copy()
    slack[2, 0] = 1.5
    assert "the plan's tensions are for -20 °C to 40 °C" in plumb_sheet(plan, readings(made, slack, None, temperature_c), INPUTS, "run").no_correction


def test_a_guy_outside_its_bounds_on_a_plumb_mast_is_not_optional(plan):
    made = rebuilt(plan)
    length = plumb_lengths(made)
    length[0:3] -= 0.02
    standing = stand_up(made, length)
    sheet = plumb_sheet(plan, readings(made, standing.displacement_m, standing.tension_n), INPUTS, "run")
    assert sheet.verdict == "pass" and "was read outside its bounds" in sheet.headline and sheet.headline.endswith("put that right.")


def test_marginal_straight_and_nothing_to_do_are_said(plan):
    made = rebuilt(plan)
    heights = made.model.heights_m
    near = plumb_sheet(plan, readings(made, np.outer(heights, [0.0024, 0.0])), INPUTS, "run")
    assert near.verdict == "marginal" and "within the limits, by less than the readings may be off; " in near.headline
    bent = np.zeros((heights.size, 2))
    bent[2, 1] = 0.05
    sheet = plumb_sheet(plan, readings(made, bent), INPUTS, "run")
    assert sheet.verdict == "fail" and "and is out of straight at the level at 28.5 m, between 19 m and 38 m (0.26 %, limit 0.1)" in sheet.headline
    still = stand_up(made, plumb_lengths(made))
    done = plumb_sheet(plan, readings(made, still.displacement_m, still.tension_n), INPUTS, "run")
    assert done.headline.endswith("within the limits; nothing is to be taken in or let out.") and done.correction.steps == ()


def test_the_text_says_every_step_every_guy_and_every_warning(plan):
    made = rebuilt(plan)
    length = plumb_lengths(made) + np.random.default_rng(2).uniform(-0.05, 0.05, len(made.anchors))
    standing = stand_up(made, length)
    partly = standing.tension_n.copy()
    partly[3] = np.nan
    sheet = plumb_sheet(plan, readings(made, standing.displacement_m, partly, 12.0), INPUTS, "run")
    text = plumb_text(sheet, ("plumb.pdf", "plumb.json"), "out")
    assert max(map(len, text.splitlines())) <= 100
    flat = " ".join(text.split())
    for step in sheet.correction.steps:
        assert f"{step.number}. {step.anchor} at {step.attach_m:g} m: " in flat
    for level in sheet.report.levels:
        assert any(f"{level.attach_m:.2f} m" in line and f"{level.lean_cm:.1f}" in line for line in text.splitlines())
    for words in (*sheet.correction.warnings, *sheet.cautions, *sheet.report.notes, *sheet.correction.notes):
        assert " ".join(words.split()) in flat
    assert "tensions read: 17 of 18" in flat and sheet.tensions_unread == ("A1 at 19 m",) and sheet.tensions_read == 17
    assert b'"no_correction": ""' in plumb_json(sheet) and "read at 12.0 °C" in flat and "wind: 2 m/s" in flat


def test_wrong_levels_and_guys_are_still_refused_by_the_stage(plan):
    made = rebuilt(plan)
    given = Readings("r.csv", (LeanReading(11.0, 0.0, 0.0),), (), None, ())
    with pytest.raises(InputError, match="r.csv, level at 11 m: no permanent guys leave the mast there"):
        plumb_sheet(plan, given, INPUTS, "run")
    with pytest.raises(InputError, match="no such permanent guy"):
        plumb_sheet(plan, Readings("r.csv", (), (TensionReading("Q", made.attach_m[0], 1.0),), None, ()), INPUTS, "run")


@pytest.mark.parametrize(("run_id", "is_told"), [("", False), ("another", True), (None, False)])
def test_a_form_of_another_run_is_told(plan, run_id, is_told):
    run_id = plan.provenance.run_id if run_id is None else run_id
    leans = tuple(LeanReading(level.attach_m, 0.02, 0.0) for level in plan.standing.levels)
    sheet = plumb_sheet(plan, Readings("r.csv", leans, (), None, (), run_id), INPUTS, "run")
    assert any("another run of the plan (another)" in text for text in sheet.correction.warnings) == is_told
