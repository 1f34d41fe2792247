"""`siting lift` from the outside: exit statuses, where the sheet goes, whole or not at all, plain faults."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from strategies import box_en, ground_polygon, tree_bytes, write_layer, write_site

from siting.errors import WriteError
from siting.writers.whole_file import write_new, write_whole


@pytest.fixture
def planned(site_folder, run_siting):
    """A folder with the packet of the even slope in it, and a maker of others."""

    def plan(**tables: object) -> Path:
        write_site(site_folder, **tables)
        run_siting("plan", "site.toml", "--out", "out")
        return site_folder

    return plan


def test_0_where_the_lifts_checks_pass_and_the_sheet_lies_beside_the_plan(planned, run_siting):
    folder = planned()
    before = tree_bytes(folder)
    status, out, err = run_siting("lift", "out/plan.json")
    assert (status, err) == (0, "")
    assert out.splitlines()[2].startswith("PASS. All ") and "WIND STOP NOT SET: NOTHING IS RAISED" in out
    assert out.splitlines()[-2:] == ["FILE  out/lift.pdf", "FORM  out/readings.csv: empty, for lean and tensions of the standing mast"]
    after = tree_bytes(folder)
    assert set(after) - set(before) == {"out/lift.pdf", "out/readings.csv"} and after["out/lift.pdf"].startswith(b"%PDF-")
    assert {name: after[name] for name in before} == before
    run_siting("lift", "out/plan.json")
    assert tree_bytes(folder) == after
    assert os.stat(folder / "out" / "lift.pdf").st_mode & 0o777 == 0o644


def test_the_sheet_in_another_folder(planned, run_siting):
    folder = planned(lift={"wind_stop_m_s": 6.0, "wind_stop_height_m": 10.0, "wind_stop_averaging": "mean, 10 min"})
    status, out, err = run_siting("lift", "out/plan.json", "--out", "sheets/today")
    assert (status, err) == (0, "") and "WIND STOP 6.0 m/s, measured 10.00 m above ground, averaged: mean, 10 min" in out
    assert (folder / "sheets" / "today" / "lift.pdf").exists() and not (folder / "out" / "lift.pdf").exists()


def test_1_where_a_check_of_the_lift_fails(planned, run_siting):
    folder = planned(limits={"laydown_slope_max_percent": 4.0})
    status, out, err = run_siting("lift", "out/plan.json")
    assert (status, err) == (1, "") and out.splitlines()[2].startswith("FAIL. ")
    assert (folder / "out" / "lift.pdf").exists()


def test_1_and_do_not_raise_under_a_line(planned, site_folder, run_siting):
    strip = ground_polygon(box_en(40.0, -100.0, 40.5, 100.0), 500.0)
    write_layer(site_folder / "lines.geojson", [strip], {"kind": ["overhead_line"], "name": ["Valley line"]})
    planned(land={"obstacles": "lines.geojson"})
    status, out, _ = run_siting("lift", "out/plan.json")
    assert status == 1 and "DO NOT RAISE HERE. Overhead: Valley line" in out


def test_0_where_only_what_is_not_the_lifts_fails(planned, site_folder, run_siting):
    write_layer(site_folder / "p.gpkg", [ground_polygon(box_en(-150, -30, 150, 150), 500.0)], {"pin": ["own"]})
    folder = planned(land={"parcels": "p.gpkg"})
    assert json.loads((folder / "out" / "plan.json").read_text())["verdict"] == "fail"
    status, out, _ = run_siting("lift", "out/plan.json")
    assert status == 0 and out.splitlines()[2].startswith("PASS. ")


@pytest.mark.parametrize(
    ("argument", "line"),
    [
        ("gone.json", "gone.json: no such file. Check the plan's name."),
        ("dem.tif", "dem.tif: is not a text file in UTF-8. Check the plan's name."),
        ("mast.toml", "mast.toml: is not valid JSON (⟨⟩). Make the plan again with siting plan."),
        ("out/packet.json", "out/packet.json, verdict: is not what a plan of this version holds. Make the plan again with siting plan."),
    ],
)  # fmt: skip
def test_2_where_there_is_no_plan(assert_refused, argument, line):
    assert_refused(["lift", argument, "--out", "sheet"], line)


def test_2_where_the_folder_is_a_file(assert_refused):
    assert_refused(["lift", "out/plan.json", "--out", "mast.toml"], "mast.toml: is a file, not a folder. Name a folder with --out.")


def test_2_without_a_plan(assert_refused):
    assert_refused(["lift"], "siting lift: Missing argument 'PLAN.json'. See siting lift --help.")


def test_a_sheet_that_cannot_be_put_in_place_leaves_the_earlier_one(tmp_path):
    (tmp_path / "lift.pdf").mkdir()
    (tmp_path / "lift.pdf" / "kept").write_text("x")
    before = tree_bytes(tmp_path)
    with pytest.raises(WriteError, match=r"^out: cannot be written to \(.*\)\. Name another folder with --out\.$"):
        write_whole(b"new", tmp_path / "lift.pdf", "out")
    assert tree_bytes(tmp_path) == before
    assert [p.name for p in tmp_path.iterdir()] == ["lift.pdf"]


def test_a_form_that_is_there_is_left_and_a_new_one_goes_where_the_sheet_cannot(tmp_path):
    (tmp_path / "readings.csv").write_text("filled in")
    assert write_new(b"new", tmp_path / "readings.csv", "out") is False
    assert (tmp_path / "readings.csv").read_text() == "filled in"
    (tmp_path / "link.csv").symlink_to("nowhere")
    assert write_new(b"new", tmp_path / "link.csv", "out") is False
    assert write_new(b"new", tmp_path / "sub" / "readings.csv", "out") is True
    assert (tmp_path / "sub" / "readings.csv").read_bytes() == b"new"
    with pytest.raises(WriteError, match=r"^out: cannot be written to \("):
        write_new(b"new", tmp_path / "readings.csv" / "x", "out")


def test_where_the_sheet_cannot_be_put_in_place_no_form_is_left_behind(planned, run_siting):
    folder = planned()
    (folder / "out" / "lift.pdf").mkdir()
    before = tree_bytes(folder)
    status, out, err = run_siting("lift", "out/plan.json")
    assert (status, out) == (2, "") and err.startswith("out: cannot be written to (")
    assert tree_bytes(folder) == before


def test_the_help_says_what_it_does(run_siting):
    status, out, err = run_siting("lift", "--help")
    assert (status, err) == (0, "") and "PLAN.json" in out and "--out DIR" in out and "--readings FILE" in out
