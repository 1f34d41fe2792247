"""`siting lift --readings` from the outside: a mast pulled out of plumb comes back, plain faults, both files or none."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from standing_readings import HEADER, carried_out, filled_in, made_from
from strategies import tree_bytes

from siting.lift.standing import guys_at_tension, stand_up
from tests.lift.test_plumb import Anew, plumb_lengths

ROOT = Path(__file__).parents[2]
HALF_CM = 0.005
ODD_DEG = (200.0, 75.0)


@pytest.fixture(scope="module")
def demo(tmp_path_factory) -> Path:
    """A folder with the demo's plan.json. Read it, do not write to it."""
    from siting.inputs.site_file import read_site
    from siting.planner import make_plan
    from siting.writers.plan_json import plan_json

    folder = tmp_path_factory.mktemp("demo")
    (folder / "plan.json").write_bytes(plan_json(make_plan(read_site(ROOT / "sample_dem" / "site.toml"))))
    return folder


@pytest.fixture
def folder(demo, tmp_path, monkeypatch) -> Path:
    """A folder of its own with the demo's plan in out/; the working folder of the test."""
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "plan.json").write_bytes((demo / "plan.json").read_bytes())
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture(scope="module")
def made(demo):
    """The demo's mast on its stakes, made without the plan's record of the standing mast."""
    return made_from(json.loads((demo / "plan.json").read_text()), ROOT / "siting" / "masts" / "lattice-80.toml")


def pulled(made, seed: int, reach_m: float) -> np.ndarray:
    return plumb_lengths(made) + np.random.default_rng(seed).uniform(-reach_m, reach_m, len(made.anchors))


def run_plumb(run_siting, folder: Path, text: str, *more: str) -> tuple[int, str, dict]:
    (folder / "readings.csv").write_text(text, encoding="utf-8")
    status, out, err = run_siting("lift", "out/plan.json", "--readings", "readings.csv", *more)
    assert err == ""
    return status, out, json.loads((folder / "out" / "plumb.json").read_text(encoding="utf-8"))


# --- the round trip -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(3))
def test_a_mast_pulled_out_of_plumb_comes_back_by_the_steps_of_the_sheet(run_siting, folder, made, seed):
    """Unstressed lengths altered, the mast solved by a solver written anew, read by instruments at odd bearings."""
    length = pulled(made, seed, 0.06)
    anew = Anew(made)
    lean, tension = anew.stand(length)
    assert np.hypot(*lean.T).max() > 0.05
    status, out, sheet = run_plumb(run_siting, folder, filled_in(made, lean, tension, ODD_DEG, temperature="15"))
    assert sheet["verdict"] in ("pass", "marginal", "fail") and status == (1 if sheet["verdict"] == "fail" else 0)
    for level, place in zip(sheet["report"]["levels"], lean, strict=True):
        assert (level["along_cm"], level["across_cm"]) == pytest.approx(tuple(100.0 * place), abs=0.1)
    assert sheet["correction"]["steps"] and sheet["tensions_unread"] == []
    after, carried = anew.stand(carried_out(sheet["correction"]["steps"], made, length))
    assert np.hypot(*after.T).max() < HALF_CM
    ratio = carried / made.breaking_n
    assert ratio.min() > 0.069 and ratio.max() < 0.151
    for step in sheet["correction"]["steps"]:
        word = "let out" if step["change_cm"] > 0 else "take in"
        assert f"{step['number']}. {step['anchor']} at {step['attach_m']:g} m: {word} {abs(step['change_cm']):.1f} cm; then" in out


def test_a_known_lean_is_said_in_the_headline(run_siting, folder, made):
    """Every level 1 in 300 towards bearing 212: out of plumb, and straight."""
    heights = made.model.heights_m
    turn = np.radians(212.0)
    lean = np.outer(heights / 300.0, [np.cos(turn), np.sin(turn)])
    status, out, sheet = run_plumb(run_siting, folder, filled_in(made, lean, None, ODD_DEG))
    assert status == 1 and sheet["verdict"] == "fail"
    assert sheet["headline"].startswith("The mast leans 26.0 cm at 78 m towards bearing 212°, limit 19.5: ")
    assert sheet["headline"].endswith(" cm in all, bring it back.")
    assert out.splitlines()[2].startswith("FAIL. The mast leans 26.0 cm at 78 m")
    assert [c["verdict"] for c in sheet["report"]["checks"]] == ["fail", "pass"]
    assert "WARNING  No tension was read" in out


def test_a_mast_within_the_limits_still_gets_its_correction(run_siting, folder, made):
    length = pulled(made, 5, 0.006)
    standing = stand_up(made, length)
    status, out, sheet = run_plumb(run_siting, folder, filled_in(made, standing.displacement_m, standing.tension_n, (180.0, 90.0)))
    assert (status, sheet["verdict"]) == (0, "pass")
    assert "within the limits" in sheet["headline"] and "nearer to plumb, if you want to" in sheet["headline"]
    assert sheet["correction"]["steps"]


def test_tensions_alone_leave_plumb_unchecked(run_siting, folder, made):
    status, out, sheet = run_plumb(run_siting, folder, filled_in(made, None, made.set_tension_n, (180.0, 90.0)))
    assert (status, sheet["verdict"], sheet["report"]) == (0, "unchecked", None)
    assert "NOT READ: plumb and straightness are UNCHECKED" in out
    assert sheet["headline"].startswith("No lean was read, so plumb and straightness are unchecked: ")


def test_readings_that_cannot_balance_leave_the_report(run_siting, folder, made):
    lean = np.zeros((made.model.heights_m.size, 2))
    lean[2] = (1.2, 0.0)
    status, out, sheet = run_plumb(run_siting, folder, filled_in(made, lean, None, (180.0, 90.0)))
    assert (status, sheet["verdict"], sheet["correction"]) == (1, "fail", None)
    assert "a guy carries nothing" in sheet["no_correction"] and "NO CORRECTION" in out and "LEAN as read" in out


# --- files --------------------------------------------------------------------------------------------------------


def test_only_the_two_files_are_written_and_again_the_same(run_siting, folder, made):
    text = filled_in(made, stand_up(made, pulled(made, 1, 0.02)).displacement_m, None, (180.0, 90.0), wind="2 m/s", read_by="N. N.")
    before = tree_bytes(folder / "out")
    _, out, sheet = run_plumb(run_siting, folder, text)
    after = tree_bytes(folder / "out")
    assert set(after) - set(before) == {"plumb.pdf", "plumb.json"} and {n: after[n] for n in before} == before
    assert out.rstrip().endswith("FILES in out\n  plumb.pdf  plumb.json")
    assert sheet["said"] == ["wind: 2 m/s", "read by: N. N."]
    plan = json.loads((folder / "out" / "plan.json").read_text(encoding="utf-8"))
    assert sheet["plan_run_id"] == plan["provenance"]["run_id"] != sheet["run_id"]
    assert [i["path"] for i in sheet["inputs"]] == ["plan.json", "readings.csv"]
    run_plumb(run_siting, folder, text)
    assert tree_bytes(folder / "out") == after
    _, _, other = run_plumb(run_siting, folder, text + "date,,,,,,,,today\r\n")
    assert other["run_id"] != sheet["run_id"] and other["plan_run_id"] == sheet["plan_run_id"]


def test_they_go_where_out_says(run_siting, folder, made):
    (folder / "readings.csv").write_text(filled_in(made, None, made.set_tension_n, (180.0, 90.0)))
    status, _, err = run_siting("lift", "out/plan.json", "--readings", "readings.csv", "--out", "today")
    assert (status, err) == (0, "")
    assert {p.name for p in (folder / "today").iterdir()} == {"plumb.pdf", "plumb.json"}
    assert (folder / "today" / "plumb.pdf").read_bytes().startswith(b"%PDF-")


def test_the_form_comes_with_the_lift_sheet_and_is_never_written_over(run_siting, folder):
    status, out, _ = run_siting("lift", "out/plan.json")
    form = folder / "out" / "readings.csv"
    assert out.splitlines()[-1] == "FORM  out/readings.csv: empty, for lean and tensions of the standing mast"
    lines = form.read_bytes().decode("ascii").split("\r\n")
    assert lines[0] == HEADER and lines[1] == "lean,78,,180,90,,,," and lines[7] == "guy,78,A2,,,,,,"
    assert lines.count("temperature,,,,,,,,") == 1 and len([line for line in lines if line.startswith("guy,")]) == 18
    form.write_text("filled in\n")
    status, out, _ = run_siting("lift", "out/plan.json")
    assert out.splitlines()[-1] == "FORM  out/readings.csv is there already: left as it is"
    assert form.read_text() == "filled in\n"


def test_the_empty_form_is_refused_in_plain_words(run_siting, folder):
    run_siting("lift", "out/plan.json")
    before = tree_bytes(folder)
    status, out, err = run_siting("lift", "out/plan.json", "--readings", "out/readings.csv")
    assert (status, out) == (2, "")
    assert err == (
        "out/readings.csv: holds neither a lean nor a tension. Write each level's offsets into a_right_cm and b_right_cm, "
        "each guy's tension into tension_kn.\n"
    )
    assert tree_bytes(folder) == before


def test_faults_come_in_file_order_and_at_most_five(run_siting, folder):
    rows = [
        "lean,78,,180,90,8.3,x,,", "lean,65,,180,90,40,3.3\",,", "lean,52,,180,90,900,1,,", "lean,52,,180,90,1,1,,", "guy,78,Q9,,,,,1.0,",
        "guy,78,A2,,,,,1.0,", "guy,78,A2,,,,,1.1,",
    ]  # fmt: skip
    (folder / "r.csv").write_text("\n".join([HEADER, *rows]))
    before = tree_bytes(folder)
    status, out, err = run_siting("lift", "out/plan.json", "--readings", "r.csv")
    assert (status, out) == (2, "") and tree_bytes(folder) == before
    assert err.splitlines() == [
        "r.csv, line 2, b_right_cm: 'x' is not a number. Write centimetres alone, like 8.3.",
        "r.csv, line 3, b_right_cm: '3.3\"' is not a number. Write centimetres alone, like 8.3.",
        "r.csv, line 4, level at 52 m, a_right_cm: 900 cm is more than a tenth of the height. Write centimetres: were millimetres, "
        "inches or feet meant?",
        "r.csv, line 5, level at 52 m: is read on line 4 already. Give one reading, or their mean.",
        "r.csv, line 6, anchor: 'Q9' holds no guy at 78 m. The guys there go to A2, B2, C2.",
        "and 1 more",
    ]


def test_a_plan_without_the_standing_mast_says_why(run_siting, folder):
    plan = json.loads((folder / "out" / "plan.json").read_text(encoding="utf-8"))
    plan["standing"] = None
    (folder / "out" / "plan.json").write_text(json.dumps(plan))
    (folder / "r.csv").write_text(HEADER)
    status, out, err = run_siting("lift", "out/plan.json", "--readings", "r.csv")
    assert (status, out) == (2, "")
    assert err == "out/plan.json: holds nothing of the mast in its permanent guys: an older plan. Make the plan again with siting plan.\n"
    plan["warnings"].append("No form for plumbing: mast 'x': is not held at 30 m: two sides only. Give that level a third guy.")
    (folder / "out" / "plan.json").write_text(json.dumps(plan))
    status, _, err = run_siting("lift", "out/plan.json", "--readings", "r.csv")
    assert status == 2 and err == (
        "out/plan.json: No form for plumbing: mast 'x': is not held at 30 m: two sides only. Give that level a third guy. "
        "Correct the mast file and make the plan again with siting plan.\n"
    )


# --- sheets of another plan ---------------------------------------------------------------------------------------


def test_verify_and_plan_name_sheets_of_another_plan(run_siting, site_folder):
    from strategies import write_site

    write_site(site_folder)
    run_siting("plan", "site.toml", "--out", "out")
    run_siting("lift", "out/plan.json")
    first = json.loads((site_folder / "out" / "plan.json").read_text(encoding="utf-8"))["provenance"]["run_id"]
    assert run_siting("verify", "out")[:2] == (0, run_siting("verify", "out")[1]) and "another plan" not in run_siting("verify", "out")[1]
    (site_folder / "out" / "plumb.json").write_text(json.dumps({"plan_run_id": first}))
    write_site(site_folder, limits={"gap_max_m": 2.9})
    out = run_siting("plan", "site.toml", "--out", "out")[1]
    assert out.splitlines()[-1] == "lift.pdf, plumb.json in out are of an earlier plan: run siting lift again."
    status, out, err = run_siting("verify", "out")
    assert (status, err) == (1, "")
    assert f"  lift.pdf is of another plan (run {first}): run siting lift again\n" in out
    assert f"  plumb.json is of another plan (run {first}): run siting lift with --readings again\n" in out
    assert out.splitlines()[-1] == "The packet is whole, but what lies beside it is of another plan: do not use it."
    run_siting("lift", "out/plan.json")
    (site_folder / "out" / "plumb.json").unlink()
    assert run_siting("verify", "out")[0] == 0


def test_the_plumb_sheet_names_its_plans_run(run_siting, folder, made):
    run_plumb(run_siting, folder, filled_in(made, None, made.set_tension_n, (180.0, 90.0)))
    from siting.inputs.sheet_runs import other_sheets

    plan = json.loads((folder / "out" / "plan.json").read_text(encoding="utf-8"))
    assert other_sheets(folder / "out", plan["provenance"]["run_id"]) == ()
    assert [s.file for s in other_sheets(folder / "out", "0" * 12)] == ["plumb.pdf", "plumb.json"]


def test_the_guys_of_the_made_up_mast_are_tight(made):
    """The round trip starts from guys that hold."""
    plumb = np.zeros((made.model.heights_m.size, 2))
    assert (guys_at_tension(made, plumb, made.set_tension_n).anchor_tension_n / made.breaking_n).min() > 0.05
