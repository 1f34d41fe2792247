"""The set of files of a search: whole or not at all, read again by other programs, the user's own files kept."""

from __future__ import annotations

import json

import geopandas as gpd
import pytest
from writers.search_results import SPOTS, made, spot

from siting.errors import InputError, WriteError
from siting.writers.search.packet import write_search
from siting.writers.search.search_json import search_json
from siting.writers.search.spots_geojson import spots_geojson

SITES = {f"spot_{k:02d}.toml": f'name = "spot {k}"\n' for k in range(1, 5)}
RASTERS = ("utilisation.tif", "azimuth.tif", "utilisation_classes.tif")
ALL = {"search.html", "spots.geojson", "search.json", *RASTERS, *SITES}


def write(search, out, sites=None):
    return write_search(search.result, search.load, SITES if sites is None else sites, out, "out")


def tree(folder):
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def test_everything_is_written_and_the_same_again(tmp_path):
    assert set(write(made(), tmp_path / "out")) == ALL == set(tree(tmp_path / "out"))
    first = tree(tmp_path / "out")
    write(made(), tmp_path / "out")
    assert tree(tmp_path / "out") == first
    assert [p.name for p in tmp_path.iterdir()] == ["out"]  # nothing staged is left


def test_an_earlier_search_goes_as_a_whole_and_other_files_are_kept(tmp_path):
    out = tmp_path / "out"
    write(made(), out)
    (out / "mine.txt").write_text("kept", encoding="utf-8")
    (out / ".siting-search").mkdir()
    (out / ".siting-search" / "state.json").write_text("{}", encoding="utf-8")
    fewer = made(spots=SPOTS[:1])
    write(fewer, out, {"spot_01.toml": "name = 'new'\n"})
    assert set(tree(out)) == {"search.html", "spots.geojson", "search.json", *RASTERS, "spot_01.toml", "mine.txt", ".siting-search/state.json"}


def test_a_search_json_of_somebody_else_names_nothing_to_take_away(tmp_path):
    out = tmp_path / "out"
    out.mkdir()
    (out / "mine.txt").write_text("kept", encoding="utf-8")
    (out / "search.json").write_text(json.dumps({"files": ["mine.txt"]}), encoding="utf-8")
    write(made(), out)
    assert (out / "mine.txt").read_text(encoding="utf-8") == "kept"


def test_a_tile_that_is_broken_leaves_the_folder_as_it_was(tmp_path):
    search, out = made(), tmp_path / "out"
    write(search, out)
    before = tree(out)

    def load(tile):
        if tile == search.result.tiles[3]:
            raise InputError.of("tile_broken", "a tile", "is broken", "run again")
        return search.load(tile)

    with pytest.raises(InputError, match="is broken"):
        write_search(search.result, load, SITES, out, "out")
    assert tree(out) == before
    assert [p.name for p in tmp_path.iterdir()] == ["out"]


def test_a_place_that_cannot_be_written_to_is_told(tmp_path):
    (tmp_path / "file").write_text("", encoding="utf-8")
    with pytest.raises(WriteError, match="out: cannot be written to"):
        write(made(), tmp_path / "file" / "out")


def test_the_working_folder_itself_can_be_the_folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    write(made(), tmp_path)
    assert set(tree(tmp_path)) == ALL


def test_the_spots_are_read_by_geopandas(tmp_path):
    write(made(), tmp_path / "out")
    frame = gpd.read_file(tmp_path / "out" / "spots.geojson")
    assert frame.crs.to_epsg() == 4326 and frame["rank"].tolist() == [1, 2, 3, 4]
    assert frame["site_file"].tolist() == list(SITES) and frame["verdict"].tolist()[:3] == ["pass", "marginal", "fail"]
    assert frame.geometry.x[0] == pytest.approx(-109.8499) and frame.geometry.y[0] == pytest.approx(47.0281)
    assert frame["azimuth_deg"].tolist()[:3] == [14.0, 14.0, 14.0]
    assert (frame.geometry.geom_type == "Point").all()


def test_geojson_holds_no_nan_and_names_its_run():
    whole = json.loads(spots_geojson(made().result), parse_constant=lambda text: pytest.fail(text))
    assert whole["run_id"] == "abc123def456" and "crs" not in whole
    first, last = whole["features"][0]["properties"], whole["features"][3]["properties"]
    assert list(first)[:5] == ["rank", "azimuth_deg", "worst_utilisation", "verdict", "site_file"]
    assert (last["azimuth_deg"], last["verdict"], last["easting"]) == (None, None, None)
    assert first["reasons"] == ["21 of 360 azimuths pass."] and first["unchecked"] == ["overhead_lines"]
    assert (first["checks_screened"], first["checks_of_plan_only"], first["failing_unscreened"]) == (["setback", "anchor_slope"], ["anchor_holding"], [])


def test_search_json_holds_every_fact():
    result = made(spots=(spot(1, "pass"),)).result
    whole = json.loads(search_json(result, ("a.tif",)), parse_constant=lambda text: pytest.fail(text))
    assert whole["kind"] == "siting search" and whole["files"] == ["a.tif"] and whole["run_id"] == result.run_id
    assert whole["options"] == {"area": None, "azimuth_step_deg": 5.0, "spots": 4, "apart_m": 40.0, "mode": "passing"}
    assert whole["shares"]["cells"] == dict(result.shares.cells)
    assert sum(part["cells"] for part in whole["shares"]["parts"]) == whole["area"]["cells"]
    assert whole["limits"]["anchor_slope_max_percent"]["value"] == 27.0
    assert whole["tried"] == {
        "plans": 6, "most": 12, "holding": 2, "failing_unscreened": 2, "failing_screened": 1, "without_plan": 1,
        "by_check": {"anchor_holding": 2},
    }  # fmt: skip
    assert "anchor_slope" in whole["checks"]["screened"] and "base_push" in whole["checks"]["in_the_lift"] and "anchor_holding" in whole["checks"]["of_plan_only"]
    assert whole["notes"][-1].startswith("The map draws 2 of")
    assert len(whole["azimuths_deg"]) == 72 and whole["spots"][0]["rank"] == 1
