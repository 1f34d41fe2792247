"""`siting dig` from the outside: four files or none, its exit status, a plan that knows nothing of anchors."""

from __future__ import annotations

import json
from dataclasses import replace
from types import SimpleNamespace

import pytest
from writers.dig_plans import mixed, screws

from siting.cli.dig import command
from siting.errors import InputError, WriteError
from siting.writers.plan_json import plan_json

FILES = ["dig.pdf", "locate.geojson", "locate.kml", "materials.csv"]


@pytest.fixture
def run(tmp_path):
    """Runs the command on a plan that was written and is read again; the folder, and the exit status."""

    def go(plan, holding, dig, *options):
        (tmp_path / "plan.json").write_bytes(plan_json(replace(plan, holding=holding, dig=dig)))
        return command.main([str(tmp_path / "plan.json"), *options], standalone_mode=False)

    return SimpleNamespace(folder=tmp_path, go=go)


def test_the_set_is_written_into_a_folder_of_its_own_and_a_failing_anchor_gives_1(run, capsys):
    (run.folder / "packet.json").write_text("{}", encoding="utf-8")
    assert run.go(*mixed()) == 1
    assert sorted(p.name for p in (run.folder / "dig").iterdir()) == FILES
    assert sorted(p.name for p in run.folder.iterdir()) == ["dig", "packet.json", "plan.json"]
    out = capsys.readouterr().out
    assert "CALL BEFORE YOU DIG: BURIED LINES NOT CHECKED" in out and "NOTHING HOLDS" in out
    assert json.loads((run.folder / "dig" / "locate.geojson").read_text(encoding="utf-8"))["run_id"] == mixed()[0].provenance.run_id


def test_without_a_failure_it_ends_with_0_and_goes_where_it_is_told(run):
    out = run.folder / "elsewhere"
    out.mkdir()
    (out / "mine.txt").write_text("kept", encoding="utf-8")
    assert run.go(*screws(), "--out", str(out)) == 0
    assert sorted(p.name for p in out.iterdir()) == sorted([*FILES, "mine.txt"])
    first = (out / "dig.pdf").read_bytes()
    assert run.go(*screws(), "--out", str(out)) == 0
    assert (out / "dig.pdf").read_bytes() == first


@pytest.mark.parametrize("missing", ["holding", "dig"])
def test_a_plan_that_knows_nothing_of_it_is_refused_in_one_line(run, missing):
    plan, holding, dig = screws()
    known = {"holding": holding, "dig": dig, missing: None}
    with pytest.raises(InputError, match="make the plan again with siting plan|Make the plan again with siting plan") as caught:
        run.go(plan, known["holding"], known["dig"])
    assert len(caught.value.faults) == 1 and "plan.json" in str(caught.value)
    assert not (run.folder / "dig").exists()


def test_a_file_in_the_folders_place_is_refused_before_any_work(run):
    (run.folder / "dig").write_text("", encoding="utf-8")
    with pytest.raises(WriteError, match="is a file, not a folder"):
        run.go(*screws())


def test_a_fault_in_one_file_leaves_none(run, monkeypatch):
    from siting.writers.dig import packet as dig_packet

    def broken(dig):
        raise RuntimeError("no list")

    monkeypatch.setattr(dig_packet, "materials_csv", broken)
    with pytest.raises(RuntimeError):
        run.go(*screws())
    assert not (run.folder / "dig").exists()


def test_the_folder_of_a_packet_stands_for_its_plan(run, capsys):
    run.go(*screws())
    first = (run.folder / "dig" / "locate.kml").read_bytes()
    assert command.main([str(run.folder)], standalone_mode=False) == 0
    assert (run.folder / "dig" / "locate.kml").read_bytes() == first
