"""`siting land` from the outside: three files or none, its exit status, the folder of a packet."""

from __future__ import annotations

import json
from types import SimpleNamespace

import pytest
from writers.land_plans import bare, failing, two_lines, waived

from siting.cli.land import command
from siting.errors import InputError, WriteError
from siting.inputs.sheet_runs import other_sheets
from siting.writers.plan_json import plan_json

FILES = ["land.geojson", "land.kml", "land.pdf"]


@pytest.fixture
def run(tmp_path):
    """Runs the command on a plan that was written and is read again; the folder, and the exit status."""

    def go(plan, *options):
        (tmp_path / "plan.json").write_bytes(plan_json(plan))
        return command.main([str(tmp_path / "plan.json"), *options], standalone_mode=False)

    return SimpleNamespace(folder=tmp_path, go=go)


def test_the_set_is_written_beside_the_plan_and_a_failing_rule_gives_1(run, capsys):
    (run.folder / "packet.json").write_text("{}", encoding="utf-8")
    assert run.go(failing()) == 1
    assert sorted(p.name for p in run.folder.iterdir()) == sorted([*FILES, "packet.json", "plan.json"])
    out = capsys.readouterr().out
    assert "FAIL. 1 of 3 checks of the land fails" in out and "MOVE: Move the base 12.60 m" in out
    assert json.loads((run.folder / "land.geojson").read_text(encoding="utf-8"))["run_id"] == failing().provenance.run_id


@pytest.mark.parametrize(("plan", "status"), [(waived, 0), (two_lines, 1), (bare, 1)])
def test_the_exit_status_is_that_of_the_land_alone(run, plan, status):
    assert run.go(plan()) == status


def test_it_goes_where_it_is_told_and_keeps_what_lies_there(run):
    out = run.folder / "elsewhere"
    out.mkdir()
    (out / "mine.txt").write_text("kept", encoding="utf-8")
    assert run.go(waived(), "--out", str(out)) == 0
    assert sorted(p.name for p in out.iterdir()) == sorted([*FILES, "mine.txt"])
    first = {name: (out / name).read_bytes() for name in FILES}
    assert run.go(waived(), "--out", str(out)) == 0
    assert {name: (out / name).read_bytes() for name in FILES} == first


def test_the_folder_of_a_packet_stands_for_its_plan(run):
    run.go(waived())
    assert command.main([str(run.folder)], standalone_mode=False) == 0


def test_a_plan_that_is_none_is_refused_and_nothing_written(run):
    (run.folder / "plan.json").write_text("{", encoding="utf-8")
    with pytest.raises(InputError, match="is not valid JSON"):
        command.main([str(run.folder / "plan.json")], standalone_mode=False)
    assert [p.name for p in run.folder.iterdir()] == ["plan.json"]


def test_a_file_in_the_folders_place_is_refused_before_any_work(run):
    (run.folder / "there").write_text("", encoding="utf-8")
    with pytest.raises(WriteError, match="is a file, not a folder"):
        run.go(waived(), "--out", str(run.folder / "there"))


def test_a_fault_in_one_file_leaves_none(run, monkeypatch):
    from siting.writers.land import packet as land_packet

    def broken(plan):
        raise RuntimeError("no outlines")

    monkeypatch.setattr(land_packet, "land_kml", broken)
    with pytest.raises(RuntimeError):
        run.go(waived())
    assert [p.name for p in run.folder.iterdir()] == ["plan.json"]


def test_a_sheet_of_another_run_is_found(run):
    run.go(waived())
    assert other_sheets(run.folder, waived().provenance.run_id) == ()
    (found,) = other_sheets(run.folder, "0123456789")
    assert found.sentence() == f"land.pdf is of another plan (run {waived().provenance.run_id}): run siting land again"
