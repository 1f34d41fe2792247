"""Finished tiles on disk: there and back, the same bytes, broken ones noticed, another search's never mixed in."""

from __future__ import annotations

import io
import json
import tracemalloc
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from fake_tiles import TILES, fake_result

from siting.errors import InputError, WriteError
from siting.records.search import FATES, TileResult
from siting.search.tile_store import (
    DTYPES,
    RUN_FOLDER,
    STATE_FILE,
    drop_run_folder,
    finished,
    load_tile,
    open_run_folder,
    store_tile,
    tile_bytes,
)

TILE = TILES[0]


def silent(line: str) -> None:
    raise AssertionError(f"said: {line}")


@pytest.fixture
def folder(tmp_path) -> Path:
    return open_run_folder(tmp_path / "out", "job 1", TILES, silent)


def test_a_result_comes_back_as_it_was(folder):
    for tile in TILES:
        store_tile(folder, tile, fake_result(tile))
        found, wanted = load_tile(folder, tile), fake_result(tile)
        for name, dtype in DTYPES.items():
            assert getattr(found, name).dtype == np.dtype(dtype)
            np.testing.assert_array_equal(getattr(found, name), getattr(wanted, name))
    assert finished(folder, TILES) == TILES
    assert sorted(p.name for p in folder.iterdir()) == sorted(f"{t.name}.npz" for t in TILES)


def test_numpy_opens_a_tiles_file():
    with np.load(io.BytesIO(tile_bytes(TILE, fake_result(TILE)))) as file:
        assert file.files == list(DTYPES)
        np.testing.assert_array_equal(file["azimuth"], fake_result(TILE).azimuth)


def test_equal_numbers_give_equal_bytes_whatever_the_layout_in_memory():
    result = fake_result(TILE)
    used = result.used.copy()
    used[0, 0], used[0, 1] = 0.0, np.nan
    plain = replace(result, used=used)
    signed = used.copy(order="F")
    signed[0, 0] = -0.0
    signed[0, 1] = np.array([0xFFF8000000000001], dtype="<u8").view("<f8")[0]  # a NaN of other bits
    assert tile_bytes(TILE, replace(result, used=signed)) == tile_bytes(TILE, plain)
    assert tile_bytes(TILE, replace(result, used=used + 1.0)) != tile_bytes(TILE, plain)


def broken_files() -> dict[str, bytes]:
    whole = tile_bytes(TILE, fake_result(TILE))
    middle = len(whole) // 2
    other = TILES[-1]
    assert (other.rows, other.cols) != (TILE.rows, TILE.cols)
    return {
        "half written": whole[:middle],
        "its last bytes missing": whole[:-10],
        "a bit turned": whole[:middle] + bytes([whole[middle] ^ 1]) + whole[middle + 1 :],
        "zeroes, as after a power cut": bytes(len(whole)),
        "empty": b"",
        "another tile's": tile_bytes(other, fake_result(other)),
    }


@pytest.mark.parametrize("case", broken_files())
def test_a_broken_file_is_not_finished(folder, case):
    for tile in TILES:
        store_tile(folder, tile, fake_result(tile))
    (folder / f"{TILE.name}.npz").write_bytes(broken_files()[case])
    assert finished(folder, TILES) == TILES[1:]
    with pytest.raises(InputError, match=r"is missing or broken\. Run the same command again"):
        load_tile(folder, TILE)


def test_every_turned_bit_of_a_small_file_is_noticed_or_changes_nothing(folder):
    tile = replace(TILE, name="small", rows=2, cols=2)
    result = fake_result(tile)
    whole = tile_bytes(tile, result)
    for at in range(0, len(whole), 3):
        (folder / "small.npz").write_bytes(whole[:at] + bytes([whole[at] ^ 0x10]) + whole[at + 1 :])
        if finished(folder, (tile,)):  # a date, a right: nothing that is read
            found = load_tile(folder, tile)
            assert all(np.array_equal(getattr(found, n), getattr(result, n), equal_nan=DTYPES[n] == "<f8") for n in DTYPES)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"used": np.zeros((3, 3))}, r"used has the shape \(3, 3\), not \(20, 20\)"),
        ({"used": np.zeros((20, 20), dtype=np.float32)}, "used is float32, not float64"),
        ({"sample": np.zeros((4, 3)), "lost": np.zeros(4, dtype=np.uint8)}, r"sample has the shape \(4, 3\)"),
        ({"fate": np.full((20, 20), len(FATES), dtype=np.uint8)}, "a fate or a rule that there is not"),
    ],
)
def test_a_result_that_does_not_fit_is_not_stored(folder, change, words):
    with pytest.raises(ValueError, match=words):
        store_tile(folder, TILE, replace(fake_result(TILE), **change))
    assert list(folder.iterdir()) == []


def test_a_tiles_arrays_do_not_stand_in_memory_twice(folder):
    tile = replace(TILE, name="large", rows=1024, cols=1024)
    shape = (tile.rows, tile.cols)
    arrays = np.full(shape, np.nan), np.full(shape, -1, dtype=np.int16), np.zeros(shape, dtype=np.uint8)
    result = TileResult(*arrays, np.zeros((0, 8)), np.zeros(0, dtype=np.uint8))
    size = sum(values.nbytes for values in arrays)

    def peak_of(work) -> int:
        tracemalloc.start()
        work()
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        return peak

    assert peak_of(lambda: store_tile(folder, tile, result)) < 0.5 * size
    assert peak_of(lambda: load_tile(folder, tile)) < 1.3 * size


def test_the_same_search_goes_on_in_the_same_folder(folder, tmp_path):
    store_tile(folder, TILE, fake_result(TILE))
    (folder / f"{TILES[1].name}.npz.new-x1").write_bytes(b"of a run that was killed")
    assert open_run_folder(tmp_path / "out", "job 1", TILES, silent) == folder
    assert [p.name for p in folder.iterdir()] == [f"{TILE.name}.npz"]
    state = json.loads((tmp_path / "out" / RUN_FOLDER / STATE_FILE).read_text(encoding="utf-8"))
    assert state["fingerprint"] == "job 1" and len(state["tiles"]) == len(TILES)


@pytest.mark.parametrize(
    ("fingerprint", "tiles", "version"), [("job 2", TILES, None), ("job 1", TILES[1:], None), ("job 1", TILES, "9.9")]
)
def test_another_search_begins_anew_and_says_so(folder, tmp_path, monkeypatch, fingerprint, tiles, version):
    store_tile(folder, TILE, fake_result(TILE))
    if version:
        monkeypatch.setattr("siting.search.tile_store.VERSION", version)
    said = []
    new = open_run_folder(tmp_path / "out", fingerprint, tiles, said.append)
    assert len(said) == 1 and "held the tiles of another search" in said[0] and "\n" not in said[0]
    assert new != folder and not folder.exists() and finished(new, tiles) == ()
    with pytest.raises(WriteError, match="no other search runs into the same folder"):
        store_tile(folder, TILE, fake_result(TILE))  # the earlier search, if it still runs, cannot mix its tiles in
    assert finished(new, tiles) == ()


@pytest.mark.parametrize("state", [None, b"", b"\xff\xfe", b'{"fingerprint":"job 1"'])
def test_a_state_that_cannot_be_read_begins_anew(folder, tmp_path, state):
    store_tile(folder, TILE, fake_result(TILE))
    path = tmp_path / "out" / RUN_FOLDER / STATE_FILE
    path.unlink() if state is None else path.write_bytes(state)
    said = []
    new = open_run_folder(tmp_path / "out", "job 1", TILES, said.append)
    assert len(said) == 1 and finished(new, TILES) == ()


def test_dropping_leaves_what_is_not_ours(folder, tmp_path):
    store_tile(folder, TILE, fake_result(TILE))
    run = tmp_path / "out" / RUN_FOLDER
    (run / "notes.txt").write_text("mine", encoding="utf-8")
    drop_run_folder(tmp_path / "out")
    assert [p.name for p in run.iterdir()] == ["notes.txt"]
    (run / "notes.txt").unlink()
    drop_run_folder(tmp_path / "out")
    drop_run_folder(tmp_path / "out")
    assert not run.exists()


def test_a_folder_that_cannot_be_made_is_a_plain_line(tmp_path):
    (tmp_path / "out").write_text("a file", encoding="utf-8")
    with pytest.raises(WriteError, match=r"\.siting-search: cannot be written to"):
        open_run_folder(tmp_path / "out", "job 1", TILES, silent)
