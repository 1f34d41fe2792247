"""`siting search` from the outside: its exit status, its refusals, what Ctrl-C leaves behind. The search itself is a stand-in."""

from __future__ import annotations

import sys
from dataclasses import replace
from types import ModuleType

import pytest
from strategies import tree_bytes
from writers.search_results import SPOTS, made

from siting.inputs.site_file import read_site
from siting.search.tile_store import HALF_WRITTEN, open_run_folder, store_tile

AREA = 'name = "Two parcels"\n[dem]\npath = "dem.tif"\n[mast]\nuse = "mast.toml"\n[search]\nspots = 4\n'


@pytest.fixture
def stand_in(site_folder, monkeypatch):
    """Puts a search in place that finds what it is told, or is stopped after two tiles; what it was asked for."""
    (site_folder / "area.toml").write_text(AREA, encoding="utf-8")
    asked = {}

    def make(spots=SPOTS, stopped_after=None):
        by_hand = made(spots=spots)

        def search(job, out, workers=None, scheduler=None, progress=None):
            asked.update(job=job, out=str(out), workers=workers, scheduler=scheduler)
            tiles = by_hand.result.tiles
            folder = open_run_folder(out, "mark", tiles, progress.say)
            for number, tile in enumerate(tiles):
                if number == stopped_after:
                    raise KeyboardInterrupt
                found = by_hand.load(tile)
                store_tile(folder, tile, replace(found, sample=found.sample.reshape(0, 8)))
            return replace(by_hand.result, job=job, folder=folder)

        module = ModuleType("siting.search.run")
        module.search = search
        monkeypatch.setitem(sys.modules, "siting.search.run", module)
        return asked

    return make


def test_a_spot_that_holds_gives_0_and_its_site_file_is_read(stand_in, site_folder, run_siting):
    asked = stand_in()
    status, out, err = run_siting("search", "area.toml", "--out", "found", "--workers", "2")
    assert (status, err) == (0, "")
    assert out.startswith("Two parcels   ") and "NEXT  siting plan found/spot_01.toml" in out
    assert (asked["out"], asked["workers"], asked["scheduler"]) == ("found", 2, None)
    names = {p.name for p in (site_folder / "found").iterdir()}
    assert names == {
        "search.html", "spots.geojson", "search.json", "utilisation.tif", "azimuth.tif", "utilisation_classes.tif",
        *(f"spot_{k:02d}.toml" for k in range(1, 5)),
    }  # fmt: skip  # and no .siting-search
    site = read_site(site_folder / "found" / "spot_02.toml")
    assert (site.name, site.base.lat, site.base.lon) == ("Two parcels, spot 2", 47.0282, -109.8498)
    assert site.dem.path.resolve() == (site_folder / "dem.tif").resolve()


@pytest.mark.parametrize("spots", [SPOTS[2:], ()])
def test_none_that_holds_gives_1_and_the_files_are_written(stand_in, site_folder, run_siting, spots):
    stand_in(spots)
    status, out, err = run_siting("search", "area.toml", "--out", "found")
    assert (status, err) == (1, "") and "NONE HOLDS" in out
    assert (site_folder / "found" / "search.html").exists()


def test_without_out_it_goes_where_plans_go(stand_in, run_siting):
    asked = stand_in()
    assert run_siting("search", "area.toml", "--scheduler", "tcp://host:8786")[0] == 0
    assert (asked["out"], asked["scheduler"]) == ("outputs/two-parcels", "tcp://host:8786")


def test_ctrl_c_keeps_the_tiles_and_says_how_to_go_on(stand_in, site_folder, run_siting):
    stand_in(stopped_after=2)
    status, out, err = run_siting("search", "area.toml", "--out", "my found", "--workers", "1")
    assert (status, out) == (130, "")
    assert err == (
        "siting: stopped; 2 finished tiles are kept in my found/.siting-search. "
        "To go on: siting search area.toml --out 'my found' --workers 1\n"
    )
    assert [p.name for p in (site_folder / "my found").iterdir()] == [".siting-search"]
    stand_in()
    assert run_siting("search", "area.toml", "--out", "my found")[0] == 0
    assert not (site_folder / "my found" / ".siting-search").exists()


def test_ctrl_c_while_spots_are_planned_keeps_tiles_and_what_was_there(site_folder, run_siting, monkeypatch):
    """The search itself, stopped at its third plan: the earlier set stays as it was, and no tile is worked out anew."""
    from siting.search import finalists, run

    area, found = site_folder / "area.toml", site_folder / "found"
    area.write_text(AREA + "apart_m = 30.0\nazimuth_step_deg = 30\n", encoding="utf-8")
    assert run_siting("search", "area.toml", "--out", "found")[0] == 0
    before = tree_bytes(found)
    area.write_text(AREA + "apart_m = 20.0\nazimuth_step_deg = 30\nmode = \"full\"\n", encoding="utf-8")
    plans, make_plan = [], finalists.make_plan

    def stopped(site):
        plans.append(site.name)
        if len(plans) == 3:
            raise KeyboardInterrupt
        return make_plan(site)

    with monkeypatch.context() as patch:
        patch.setattr(finalists, "make_plan", stopped)
        status, out, err = run_siting("search", "area.toml", "--out", "found")
    assert (status, out, len(plans)) == (130, "", 3)
    assert err.splitlines()[-1] == "siting: stopped; 1 finished tile is kept in found/.siting-search. To go on: siting search area.toml --out found"
    after = tree_bytes(found)
    kept = {name for name in after if name.startswith(".siting-search")}
    assert {name: data for name, data in after.items() if name not in kept} == before
    assert sum(after[name] != b"<folder>" for name in kept) == 2  # the state and a tile
    assert not any(HALF_WRITTEN in name for name in kept)

    def not_again(context, tile):
        raise AssertionError("a tile is worked out anew")

    monkeypatch.setattr(run, "work_tile", not_again)
    assert run_siting("search", "area.toml", "--out", "found")[0] == 0
    assert not (found / ".siting-search").exists()


def test_ctrl_c_before_the_first_tile(stand_in, run_siting):
    stand_in(stopped_after=0)
    assert run_siting(
        "search", "area.toml", "--out", "found"
    )[2] == "siting: stopped; no tile was finished yet. To go on: siting search area.toml --out found\n"  # fmt: skip


def test_a_file_that_is_not_there_is_told_and_nothing_is_written(stand_in, assert_refused):
    stand_in()
    assert_refused(["search", "none.toml", "--out", "out"], "none.toml: no such file. Check the area file's name.")


def test_a_base_in_the_file_is_told(site_folder, assert_refused):
    (site_folder / "area.toml").write_text(AREA + "[base]\nlat = 1.0\nlon = 2.0\n", encoding="utf-8")
    assert_refused(
        ["search", "area.toml", "--out", "out"],
        "area.toml, line 8, base: does not belong into an area file: the search finds the bases. "
        "Take the table [base] out, or use siting plan.",
    )  # fmt: skip


def test_workers_and_scheduler_do_not_stand_together(stand_in, assert_refused):
    stand_in()
    assert_refused(
        ["search", "area.toml", "--out", "out", "--workers", "2", "--scheduler", "tcp://host:8786"],
        "siting search: --workers counts threads of this machine: it cannot stand beside --scheduler. See siting search --help.",
    )
