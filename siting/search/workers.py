"""Works out the tiles of a search: on this machine's processors, or on a Dask cluster; each is stored as it is done."""

from __future__ import annotations

import os
import queue
import threading
import time
from collections import deque
from collections.abc import Callable
from pathlib import Path
from typing import Any

from siting.freed_memory import give_back
from siting.records.search import Tile, TileResult
from siting.search.progress import TileProgress
from siting.search.tile_store import finished, store_tile

TICK_S = 0.5  # so often the time left is looked at
GIVE_BACK_EVERY = 16  # tiles; it takes a few milliseconds
LEAVE_S = 5.0  # after Ctrl-C: so long a tile that is nearly done may still take

Work = Callable[[Any, Tile], TileResult]


def run_tiles(
    work: Work, context: Any, tiles: tuple[Tile, ...], folder: Path,
    workers: int | None, scheduler: str | None, progress: TileProgress,
) -> None:  # fmt: skip
    """Works out the tiles that the folder does not hold yet. The files are the same whatever did the work, in any order.

    Ctrl-C ends it with KeyboardInterrupt, a tile's fault with that fault: what is finished stays, and the same call goes
    on from there.

    Args:
        work: called from several threads at once; on a cluster it must be importable there, and the context picklable.
        folder: from tile_store.open_run_folder.
        workers: threads on this machine; None: one for each processor that this process may use.
        scheduler: the address of a Dask scheduler; None: on this machine.
    Raises:
        SitingError: a tile's own fault, a scheduler that cannot be used, a folder that cannot be written to.
    """
    done = finished(folder, tiles)
    names = {tile.name for tile in done}
    left = tuple(tile for tile in tiles if tile.name not in names)
    if done and left:
        progress.say(f"going on: {len(done)} of {len(tiles)} tiles were finished before")
    progress.start(tiles, done)
    try:
        if left and scheduler is not None:
            from siting.search.cluster import run_on_cluster

            run_on_cluster(work, context, left, folder, scheduler, progress)
        elif left:
            _run_here(work, context, left, folder, processors() if workers is None else workers, progress)
    finally:
        progress.stop()
        give_back()


def processors() -> int:
    """How many processors this process may use."""
    try:
        return len(os.sched_getaffinity(0))
    except AttributeError:  # not every system tells
        return os.cpu_count() or 1


class _Threads:
    """Threads that take tiles in order, work them out and store them.

    `ended` gets (number, tile, fault or None) of each tile, and None of each thread that has no more to do.
    """

    def __init__(self, work: Work, context: Any, tiles: tuple[Tile, ...], folder: Path, count: int) -> None:
        self.ended: queue.SimpleQueue[tuple[int, Tile, BaseException | None] | None] = queue.SimpleQueue()
        self._work, self._context, self._folder = work, context, folder
        self._waiting = deque(enumerate(tiles))
        self._is_stopped = threading.Event()
        # Daemons: a tile that Ctrl-C leaves behind does not hold up the end of the program.
        self.threads = [threading.Thread(target=self._serve, name=f"tiles {n}", daemon=True) for n in range(count)]

    def start(self) -> None:
        """They begin."""
        for thread in self.threads:
            thread.start()

    def leave(self, most_s: float) -> None:
        """They take no new tile; those at work are waited for, so long at most."""
        self._is_stopped.set()
        until = time.monotonic() + most_s
        for thread in self.threads:
            if thread.is_alive():
                thread.join(max(0.0, until - time.monotonic()))

    def _serve(self) -> None:
        try:
            while not self._is_stopped.is_set():
                try:
                    number, tile = self._waiting.popleft()
                except IndexError:
                    return
                fault = self._do(tile)
                if fault is not None:
                    self._is_stopped.set()
                self.ended.put((number, tile, fault))
        finally:
            self.ended.put(None)

    def _do(self, tile: Tile) -> BaseException | None:
        """Works a tile out and stores it; what went wrong is for the main thread to raise."""
        try:
            store_tile(self._folder, tile, self._work(self._context, tile))
        except BaseException as fault:
            return fault
        return None


def _run_here(work: Work, context: Any, tiles: tuple[Tile, ...], folder: Path, workers: int, progress: TileProgress) -> None:
    """Threads of this process: the kernels leave Python's lock while they work."""
    threads = _Threads(work, context, tiles, folder, max(1, min(workers, len(tiles))))
    faults: list[tuple[int, BaseException]] = []
    try:
        threads.start()
        running, done = len(threads.threads), 0
        while running:
            try:
                ended = threads.ended.get(timeout=TICK_S)
            except queue.Empty:
                progress.tick()
                continue
            if ended is None:
                running -= 1
                continue
            number, tile, fault = ended
            if fault is None:
                progress.tile_done(tile)
                done += 1
                if done % GIVE_BACK_EVERY == 0:
                    give_back()
            elif isinstance(fault, Exception):
                faults.append((number, fault))
            else:
                raise fault
    except BaseException:
        threads.leave(LEAVE_S)
        raise
    if faults:
        # Tiles are taken in order, so the earliest faulty one was at work: the same fault at any number of threads.
        raise min(faults, key=lambda item: item[0])[1]
