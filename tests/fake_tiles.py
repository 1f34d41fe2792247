"""A stand-in for the work on a tile, importable by the workers of a cluster: numbers from row and column alone."""

from __future__ import annotations

import os
import signal
import threading
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from siting.errors import TerrainGap
from siting.records.search import FATES, RULES, Tile, TileResult
from siting.search.tile_plan import tiles_of

TILES = tiles_of(70, 90, 20)
LIMITED = len(RULES) - 2


@dataclass(frozen=True)
class Orders:
    """What the fake work is to do, and where it notes which tiles it did."""

    notes: str
    stop_at: tuple[str, ...] = ()  # as if Ctrl-C was pressed
    faults: tuple[str, ...] = ()
    killed_by: tuple[str, ...] = ()  # tiles that kill their process the first time
    sleep_s: float = 0.0


def fake_result(tile: Tile) -> TileResult:
    """A result with every fate, NaN where nothing passes, and samples."""
    row, col = np.mgrid[tile.row : tile.row + tile.rows, tile.col : tile.col + tile.cols]
    mixed = (row * 7919 + col * 104729) % 1009
    fate = (mixed % len(FATES)).astype(np.uint8)
    passes = fate == len(FATES) - 1
    used = np.where(passes, mixed / 1009.0, np.nan)
    azimuth = np.where(passes, mixed % 72, -1).astype(np.int16)
    at = np.argwhere(mixed % 11 == 0)
    own = mixed[tuple(at.T)]
    critical = np.stack([0.3 + ((own * (k + 3)) % 101) / 60.0 for k in range(LIMITED)], axis=1)
    sample = np.hstack([at + [tile.row, tile.col], critical])
    return TileResult(used, azimuth, fate, sample, (own % (len(RULES) + 1)).astype(np.uint8))


def fake_work(orders: Orders, tile: Tile) -> TileResult:
    """Works out a tile, or fails as ordered."""
    with (Path(orders.notes) / tile.name).open("a", encoding="ascii") as note:
        note.write(f"{os.getpid()} {threading.get_ident()}\n")
    time.sleep(orders.sleep_s)
    if tile.name in orders.killed_by and len(done_by(orders, tile.name)) == 1:
        os.kill(os.getpid(), signal.SIGKILL)
    if tile.name in orders.stop_at:
        raise KeyboardInterrupt
    if tile.name in orders.faults:
        raise TerrainGap.of("dem_gap", f"tile {tile.name}", "has no ground", "give a DEM that has")
    return fake_result(tile)


def done_by(orders: Orders, name: str) -> list[str]:
    """A line of process and thread for each time that a tile was worked on."""
    path = Path(orders.notes) / name
    return path.read_text(encoding="ascii").splitlines() if path.exists() else []
