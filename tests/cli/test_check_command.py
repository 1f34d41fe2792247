"""`siting check`: files, exit status, what is printed, bad input in one plain line with nothing written."""

from __future__ import annotations

import json

import pytest
from staked_files import as_csv, demo_plan, in_unit, measured, shift
from strategies import tree_bytes

from siting.cli import check
from siting.survey import as_staked
from siting.writers.as_staked.files import FILES
from siting.writers.plan_json import plan_json


@pytest.fixture
def packet(tmp_path, monkeypatch):
    """A folder with out/plan.json of the demo plan; the working folder of the test."""
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "plan.json").write_bytes(plan_json(demo_plan()))
    monkeypatch.chdir(tmp_path)
    return tmp_path


def stake(folder, name="staked.csv", **kind):
    (folder / name).write_text(as_csv(measured(demo_plan(), **kind)), encoding="utf-8", newline="")
    return name


def test_a_clean_file_passes_and_the_report_lies_beside_the_plan(packet, run_siting):
    status, out, err = run_siting("check", "out/plan.json", stake(packet))
    assert (status, err) == (0, "")
    assert sorted(p.name for p in (packet / "out" / "as_staked").iterdir()) == sorted(FILES)
    made = json.loads((packet / "out" / "as_staked" / "as_staked.json").read_text())
    assert (made["verdict"], made["likely_cause"]) == ("pass", "none")
    assert {tuple(p)[:6] for p in made["points"]} == {("id", "d_north_m", "d_east_m", "d_height_m", "miss_m", "verdict")}
    assert made["source"]["plan_run_id"] == demo_plan().provenance.run_id
    assert [i["path"] for i in made["source"]["inputs"]] == ["plan.json", "staked.csv"]
    text = (packet / "out" / "as_staked" / "as_staked.txt").read_text(encoding="utf-8")
    assert out == f"{text}\nFILES in out/as_staked\n  as_staked.json  as_staked.txt  as_staked.geojson  as_staked.kml  as_staked.csv\n"
    assert out.splitlines()[2].startswith("PASS. ")


@pytest.mark.parametrize(
    ("fault", "status", "cause", "verdict"),
    [(shift(0.2, 0.2), 0, "shift", "marginal"), (shift(2.0, 2.0), 1, "shift", "fail"), (in_unit(0.3048), 1, "feet", "fail")],
)
def test_exit_status_follows_the_verdict(packet, run_siting, fault, status, cause, verdict):
    found, out, err = run_siting("check", "out/plan.json", stake(packet, fault=fault), "--out", "report")
    assert (found, err) == (status, "")
    made = json.loads((packet / "report" / "as_staked.json").read_text())
    assert (made["likely_cause"], made["verdict"]) == (cause, verdict)
    assert f"LIKELY CAUSE  {cause}" in out and out.splitlines()[2].startswith(f"{verdict.upper()}. ")


def test_the_packets_folder_stands_for_its_plan(packet, run_siting):
    status, out, _ = run_siting("check", "out", stake(packet))
    assert status == 0 and "FILES in out/as_staked" in out


def test_the_tolerances_can_be_set(packet, run_siting):
    name = stake(packet, fault=shift(0.2, 0.0), noise_m=0.001)
    assert run_siting("check", "out", name, "--tolerance-m", "0.25")[0] == 0
    made = json.loads((packet / "out" / "as_staked" / "as_staked.json").read_text())
    assert made["verdict"] == "pass"
    assert made["tolerance"] == {"pass_m": 0.25, "limit_m": 0.5, "source": "user (--tolerance-m, --limit-m)"}
    assert run_siting("check", "out", name, "--limit-m", "0.15")[0] == 1
    assert run_siting("check", "out", name, "--tolerance-m", "1", "--limit-m", "2")[0] == 0
    assert run_siting("check", "out", name, "--tolerance-m", "0.7")[0] == 0  # above the limit's default: the limit goes with it


def test_the_default_tolerances_are_those_of_the_stage():
    assert (check.PASS_M, check.LIMIT_M) == (as_staked.PASS_M, as_staked.LIMIT_M) == (0.10, 0.50)


def test_the_same_input_gives_the_same_bytes_and_another_another_run_id(packet, run_siting):
    name = stake(packet)
    run_siting("check", "out", name)
    first = tree_bytes(packet / "out" / "as_staked")
    run_siting("check", "out", name)
    assert tree_bytes(packet / "out" / "as_staked") == first
    run_siting("check", "out", name, "--tolerance-m", "0.2")
    made, before = (json.loads(t["as_staked.json"]) for t in (tree_bytes(packet / "out" / "as_staked"), first))
    assert made["source"]["run_id"] != before["source"]["run_id"]


def test_what_else_lies_in_the_folder_is_kept(packet, run_siting):
    (packet / "out" / "as_staked").mkdir()
    (packet / "out" / "as_staked" / "photo.txt").write_text("mine")
    run_siting("check", "out", stake(packet))
    assert (packet / "out" / "as_staked" / "photo.txt").read_text() == "mine"
    status, _, _ = run_siting("check", "out", "staked.csv", "--out", "out")  # into the packet itself
    assert status == 0
    assert {"plan.json", "as_staked", "as_staked.json"} <= {p.name for p in (packet / "out").iterdir()}


def refused(packet, run_siting, *arguments) -> str:
    """Standard error of a command that must end with 2 and write nothing."""
    before = tree_bytes(packet)
    status, out, err = run_siting(*arguments)
    assert (status, out) == (2, "")
    assert tree_bytes(packet) == before
    return err


def test_bad_input_in_plain_lines(packet, run_siting):
    (packet / "bad.csv").write_text("point,northing,easting\nA1,x,2\n")
    (packet / "other.csv").write_text("point,northing,easting\nT1,1.0,2.0\n")
    stake(packet)
    lines = {
        ("out/gone.json", "staked.csv"): "out/gone.json: no such file. Check the plan's name.\n",
        ("out", "gone.csv"): "gone.csv: no such file. Check the as-staked file's name.\n",
        ("staked.csv", "staked.csv"): "staked.csv: is not valid JSON",
        ("out", "bad.csv"): "bad.csv, line 2, northing: 'x' is not a number. Write it in full, like 5208885.700.\n",
        ("out", "other.csv"): (
            "other.csv: none of its points (T1) is a stake of this plan, by name or by place. Name the points as in the plan "
            "(BASE, HEAD, A1, …), or check that plan and file belong together.\n"
        ),
    }
    for arguments, line in lines.items():
        err = refused(packet, run_siting, "check", *arguments)
        assert err.startswith(line) and err.count("\n") == 1


def test_six_faults_are_five_lines_and_a_count(packet, run_siting):
    (packet / "bad.csv").write_text("point,northing,easting\n" + "".join(f"P{i},x,2\n" for i in range(7)))
    lines = refused(packet, run_siting, "check", "out", "bad.csv").splitlines()
    assert len(lines) == 6 and lines[-1] == "and 2 more"


def test_bad_usage_in_plain_lines(packet, run_siting):
    name = stake(packet)
    lines = {
        ("--tolerance-m", "0.6", "--limit-m", "0.2"): (
            "siting check: --limit-m 0.2 is smaller than --tolerance-m 0.6: give the limit as the larger. See siting check --help.\n"
        ),
        ("--tolerance-m", "-1"): "siting check: --tolerance-m is -1; give metres above 0. See siting check --help.\n",
        ("--limit-m", "nan"): "siting check: --limit-m is nan; give metres above 0. See siting check --help.\n",
        ("--limit-m", "near"): "siting check: Invalid value for '--limit-m': 'near' is not a valid float. See siting check --help.\n",
        ("--out", "staked.csv"): "staked.csv: is a file, not a folder. Name a folder with --out.\n",
    }
    for arguments, line in lines.items():
        assert refused(packet, run_siting, "check", "out", name, *arguments) == line
    assert "Missing argument 'STAKED.csv'" in refused(packet, run_siting, "check", "out")


def test_the_help_loads_no_stage_and_names_the_exit_status(run_siting):
    status, out, err = run_siting("check", "--help")
    assert (status, err) == (0, "")
    assert "Usage: siting check [OPTIONS] PLAN.json STAKED.csv" in out and "2 bad input, nothing written" in out
