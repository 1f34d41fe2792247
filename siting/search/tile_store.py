"""Keeps the finished tiles of a search on disk, so that a search that was stopped goes on where it was.

In the output folder lies `.siting-search/` with `state.json` (which search it is) and one folder named after that search
with a file for each finished tile: a zip, not compressed, of NumPy arrays, which numpy.load opens.
"""

from __future__ import annotations

import contextlib
import hashlib
import io
import json
import os
import shutil
import tempfile
import zipfile
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import BinaryIO

import numpy as np

from siting.errors import InputError, WriteError
from siting.records.search import FATES, RULES, Tile, TileResult
from siting.version import VERSION

RUN_FOLDER = ".siting-search"
STATE_FILE = "state.json"
TILES_PREFIX, TILE_SUFFIX, HALF_WRITTEN = "tiles-", ".npz", ".new-"
FIRST_DATE = (1980, 1, 1, 0, 0, 0)  # the earliest that a zip can state
PLAIN_FILE = 0o100644 << 16
STRIP_BYTES = 2**20  # so much of an array is written or read at once
HEADER_MOST_BYTES = 4096  # of an array in a tile's file: its header is far shorter
# The rules that have a critical utilisation in the columns of TileResult.sample behind row and column.
LIMITED_RULES = RULES[1:-1]
DTYPES = {"used": "<f8", "azimuth": "<i2", "fate": "|u1", "sample": "<f8", "lost": "|u1"}


def open_run_folder(out: Path, fingerprint: str, tiles: tuple[Tile, ...], say: Callable[[str], None]) -> Path:
    """The folder where the tiles of this search lie, in the output folder; made where it is not there.

    What another search left half finished is taken away, and said in one line. Each search has a folder of its own name,
    so that two that run at once into one output folder can never mix their tiles: the earlier one ends with a fault.

    Args:
        fingerprint: whatever the results depend on, as text; the program's version and the tiles are added here.
        say: takes a line for the user.
    Raises:
        WriteError: the folder cannot be written to.
    """
    state = {
        "fingerprint": fingerprint,
        "version": VERSION,
        "tiles": [[tile.name, tile.row, tile.col, tile.rows, tile.cols] for tile in tiles],
    }
    text = json.dumps(state, separators=(",", ":")) + "\n"
    run = out / RUN_FOLDER
    folder = run / f"{TILES_PREFIX}{hashlib.sha256(text.encode()).hexdigest()[:16]}"
    try:
        if _state_of(run) != text:
            if run.exists() and _clear(run):
                say(f"{run} held the tiles of another search (its area, DEM, mast, limits or version differ): it begins anew")
            run.mkdir(parents=True, exist_ok=True)
            folder.mkdir(exist_ok=True)
            _write_whole(lambda out: out.write(text.encode()), run / STATE_FILE)
        folder.mkdir(exist_ok=True)
        for left_over in folder.glob(f"*{HALF_WRITTEN}*"):
            left_over.unlink(missing_ok=True)
    except OSError as fault:
        raise _unwritable(run, fault) from None
    return folder


def drop_run_folder(out: Path) -> None:
    """Takes the tiles of a search away, once nothing reads them any more.

    Raises:
        WriteError: the folder cannot be written to.
    """
    run = out / RUN_FOLDER
    try:
        if run.is_dir():
            _clear(run)
            with contextlib.suppress(OSError):
                run.rmdir()  # only where nothing else lies in it
    except OSError as fault:
        raise _unwritable(run, fault) from None


def _state_of(run: Path) -> str | None:
    """The text of state.json, None where it cannot be read."""
    try:
        return (run / STATE_FILE).read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        return None


def _clear(run: Path) -> bool:
    """Takes the state and the tiles away, the state first; whether there were any."""
    old = [path for path in run.iterdir() if path.name.startswith(TILES_PREFIX)]
    had_state = (run / STATE_FILE).exists()
    (run / STATE_FILE).unlink(missing_ok=True)
    for path in old:
        shutil.rmtree(path)
    return had_state or bool(old)


def finished(folder: Path, tiles: Iterable[Tile]) -> tuple[Tile, ...]:
    """Those of the tiles whose file is there and whole; each is read and its check sums looked at."""
    return tuple(tile for tile in tiles if _read(folder, tile) is not None)


def load_tile(folder: Path, tile: Tile) -> TileResult:
    """The stored result of a tile.

    Raises:
        InputError: its file is missing or broken.
    """
    result = _read(folder, tile)
    if result is None:
        raise InputError.of(
            "tile_broken", str(_path(folder, tile)), "is missing or broken",
            "run the same command again: this tile is worked out anew",
        )  # fmt: skip
    return result


def store_tile(folder: Path, tile: Tile, result: TileResult) -> None:
    """Writes a tile's result whole or not at all.

    Raises:
        ValueError: the result does not fit the tile.
        WriteError: the file cannot be written.
    """
    _require_fit(tile, result)
    _store(folder, tile, lambda out: _pack(out, result))


def store_tile_bytes(folder: Path, tile: Tile, data: bytes) -> None:
    """Writes a tile's result, as `tile_bytes` gave it, whole or not at all.

    Raises:
        WriteError: the file cannot be written.
    """
    _store(folder, tile, lambda out: out.write(data))


def tile_bytes(tile: Tile, result: TileResult) -> bytes:
    """The file of a tile's result: the same numbers give the same bytes, on every machine.

    Raises:
        ValueError: the result does not fit the tile.
    """
    _require_fit(tile, result)
    buffer = io.BytesIO()
    _pack(buffer, result)
    return buffer.getvalue()


def _pack(out: BinaryIO, result: TileResult) -> None:
    """Writes a result as a zip of arrays, a strip at a time: a tile's arrays do not stand in memory twice."""
    with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as packed:
        for name, dtype in DTYPES.items():
            values = getattr(result, name)
            header = io.BytesIO()
            np.lib.format.write_array_header_1_0(header, {"descr": dtype, "fortran_order": False, "shape": values.shape})
            entry = zipfile.ZipInfo(f"{name}.npy", FIRST_DATE)
            entry.create_system, entry.external_attr = 3, PLAIN_FILE
            entry.file_size = header.tell() + values.size * np.dtype(dtype).itemsize
            with packed.open(entry, "w") as member:
                member.write(header.getvalue())
                for strip in _strips(values):
                    strip = np.ascontiguousarray(strip, dtype=dtype)
                    if dtype == "<f8":  # one NaN and one zero, whatever the processor made of them
                        strip = np.where(np.isnan(strip), np.nan, strip + 0.0)
                    member.write(strip.data)


def _strips(values: np.ndarray) -> Iterator[np.ndarray]:
    """Rows of an array, so many at a time that a strip is small; none of an empty array."""
    step = max(1, STRIP_BYTES * values.shape[0] // max(1, values.nbytes))
    for first in range(0, values.shape[0] if values.size else 0, step):
        yield values[first : first + step]


def _require_fit(tile: Tile, result: TileResult) -> None:
    """Refuses a result that cannot be this tile's."""
    wrong = _misfit(tile, result)
    if wrong:
        raise ValueError(f"tile {tile.name}: {wrong}")


def _misfit(tile: Tile, result: TileResult) -> str:
    """What of a result cannot be this tile's, empty where it fits."""
    shape, columns = (tile.rows, tile.cols), 2 + len(LIMITED_RULES)
    for name, dtype in DTYPES.items():
        if getattr(result, name).dtype != np.dtype(dtype):
            return f"{name} is {getattr(result, name).dtype}, not {np.dtype(dtype)}"
    for name in ("used", "azimuth", "fate"):
        if getattr(result, name).shape != shape:
            return f"{name} has the shape {getattr(result, name).shape}, not {shape}"
    if result.sample.shape != (result.lost.size, columns) or result.lost.ndim != 1:
        return f"sample has the shape {result.sample.shape}, lost {result.lost.shape}"
    if result.fate.max(initial=0) >= len(FATES) or result.lost.max(initial=0) > len(RULES):
        return "a fate or a rule that there is not"
    return ""


def _read(folder: Path, tile: Tile) -> TileResult | None:
    """The result in a tile's file, None where it is missing, broken or another tile's."""
    path = _path(folder, tile)
    try:
        most = path.stat().st_size
        with zipfile.ZipFile(path) as packed:
            arrays = {name: _read_array(packed, name, most) for name in DTYPES}
    except (OSError, zipfile.BadZipFile, KeyError, ValueError, EOFError, NotImplementedError, RuntimeError):
        return None
    result = TileResult(**arrays)
    return None if _misfit(tile, result) else result


def _read_array(packed: zipfile.ZipFile, name: str, most: int) -> np.ndarray:
    """An array of a tile's file, once its check sum was looked at.

    Args:
        most: bytes of the whole file, so that a broken size asks for no more memory than that.
    Raises:
        ValueError, zipfile.BadZipFile: it is broken.
    """
    entry = packed.getinfo(f"{name}.npy")
    if entry.file_size > most:
        raise ValueError(f"{name}: larger than its file")
    raw, at = np.empty(entry.file_size, dtype=np.uint8), 0
    with packed.open(entry) as member:
        while strip := member.read(STRIP_BYTES):  # to the end: this is what looks at the check sum
            raw[at : at + len(strip)] = np.frombuffer(strip, dtype=np.uint8)
            at += len(strip)
    head = io.BytesIO(raw[:HEADER_MOST_BYTES].tobytes())
    if at != raw.size or np.lib.format.read_magic(head) != (1, 0):
        raise ValueError(f"{name}: broken")
    shape, is_by_columns, dtype = np.lib.format.read_array_header_1_0(head)
    if is_by_columns or dtype != np.dtype(DTYPES[name]):
        raise ValueError(f"{name}: not as it was written")
    return raw[head.tell() :].view(dtype).reshape(shape)


def _path(folder: Path, tile: Tile) -> Path:
    return folder / f"{tile.name}{TILE_SUFFIX}"


def _store(folder: Path, tile: Tile, write: Callable[[BinaryIO], object]) -> None:
    """Puts a tile's file in place, with a plain fault where the system refuses."""
    try:
        _write_whole(write, _path(folder, tile))
    except OSError as fault:
        raise _unwritable(folder, fault) from None


def _write_whole(write: Callable[[BinaryIO], object], path: Path) -> None:
    """Puts a file in place at once, and on the disk before its name is."""
    handle, staged = tempfile.mkstemp(prefix=f"{path.name}{HALF_WRITTEN}", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as out:
            write(out)
            out.flush()
            os.fsync(out.fileno())
        os.chmod(staged, 0o644)
        os.replace(staged, path)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(staged)
        raise
    with contextlib.suppress(OSError):  # not every system can do this with a folder
        place = os.open(path.parent, os.O_RDONLY)
        try:
            os.fsync(place)
        finally:
            os.close(place)


def _unwritable(folder: Path, fault: OSError) -> WriteError:
    """What the system said, as a plain fault, no unit."""
    return WriteError.of(
        "search_unwritable", str(folder), f"cannot be written to ({fault.strerror or fault})",
        "make room there or name another folder with --out; see that no other search runs into the same folder",
    )  # fmt: skip
