"""Works out the tiles of a search on the workers of a Dask cluster; only the results come back, and are stored here."""

from __future__ import annotations

import contextlib
import logging
import pickle
import queue
import re
import socket
import threading
import time
import uuid
from collections.abc import Callable, Iterator
from functools import lru_cache
from pathlib import Path
from typing import Any

from siting.errors import Fault, InputError, SitingError
from siting.records.search import Tile, TileResult
from siting.search.progress import TileProgress
from siting.search.tile_store import store_tile_bytes, tile_bytes
from siting.version import VERSION

REACH_S = 8.0  # the scheduler must answer in this time
TICK_S = 0.5
COUNT_EVERY_S = 5.0  # so often the workers are counted: some may come and go
AHEAD = 4  # tiles under way for each worker's thread
RETRIES = 2  # of Dask's own, for what is no fault of ours: a connection that broke
MOST_SENDS = 4  # of a tile whose workers died: the first time, and three more
LEAVE_S = 3.0
ADDRESS = re.compile(r"([a-z]+://)?[^\s/]+:[0-9]+")

Work = Callable[[Any, Tile], TileResult]


def work_far(work: Work, context: bytes, tile: Tile, version: str) -> bytes | SitingError:
    """What a worker makes of a tile: its file as bytes, or its fault, which no further try would mend."""
    here = socket.gethostname()
    if version != VERSION:
        return InputError.of(
            "cluster_version", f"worker on {here}", f"runs siting {VERSION}, this machine {version}",
            "install the same version on every worker",
        )  # fmt: skip
    try:
        return tile_bytes(tile, work(_context_of(context), tile))
    except SitingError as fault:
        return type(fault)(tuple(Fault(f.code, f"{f.where} (worker on {here})", f.what, f.do) for f in fault.faults))


@lru_cache(maxsize=1)
def _context_of(data: bytes) -> Any:
    """The context, unpacked once in each worker."""
    return pickle.loads(data)


def _parcel() -> Callable[[bytes], tuple[str, Any]]:
    """The function that Dask carries to a worker: it says ("tile", bytes), ("fault", pickled) or ("package", name).

    A function within a function goes as code, not by its name, and all it takes is bytes: so a scheduler needs no siting,
    and a worker without siting says so instead of dying of a message that it cannot read.
    """

    def unpack_and_work(data: bytes) -> tuple[str, Any]:
        import pickle

        try:
            run, *given = pickle.loads(data)
        except ModuleNotFoundError as fault:
            return "package", fault.name
        came = run(*given)
        return ("tile", came) if isinstance(came, bytes) else ("fault", pickle.dumps(came))

    return unpack_and_work


def check_scheduler(address: str) -> None:
    """Refuses a scheduler that cannot be used, before anything is written.

    Raises:
        InputError: no address of a scheduler, none answers there, or distributed is not installed.
    """
    with connected(address):
        pass


@contextlib.contextmanager
def connected(address: str) -> Iterator[Any]:
    """A client of the scheduler at an address, closed at the end; Dask's own log stays silent.

    Raises:
        InputError: no address of a scheduler, none answers there, or distributed is not installed.
    """
    try:
        import distributed
    except ImportError:
        raise InputError.of(
            "cluster_missing", "--scheduler", "needs Dask, which is not installed", 'run: pip install "siting[cluster]"'
        ) from None
    if not ADDRESS.fullmatch(address):
        raise InputError.of(
            "scheduler_address", f"--scheduler {address}", "is not the address of a Dask scheduler",
            "give it as the scheduler prints it, as in tcp://10.0.0.5:8786",
        )  # fmt: skip
    with _silent_log():
        client = _client(distributed.Client, address)
        try:
            yield client
        finally:
            with contextlib.suppress(Exception):
                client.close(timeout=LEAVE_S)


def _client(make: Callable[..., Any], address: str) -> Any:
    """A client, or a fault in time: what takes connections there and never answers would hold Dask's own start up for ever."""
    came: queue.SimpleQueue[Any] = queue.SimpleQueue()
    is_late = threading.Event()

    def start() -> None:
        try:
            client = make(address, timeout=REACH_S, set_as_default=False, name="siting")
        except Exception as fault:  # the library raises what its connection layers raise
            came.put(fault)
            return
        came.put(client)
        if is_late.is_set():
            client.close()

    threading.Thread(target=start, name="scheduler", daemon=True).start()
    try:
        client = came.get(timeout=REACH_S + 1.0)
    except queue.Empty:
        is_late.set()
        client = TimeoutError(f"no answer in {REACH_S:.0f} s")
    if isinstance(client, Exception):
        text = " ".join(str(client).split())[:200]
        raise InputError.of(
            "scheduler_unreachable", f"--scheduler {address}", f"no Dask scheduler answers there ({text})",
            "start one with `dask scheduler`, or correct the address",
        )  # fmt: skip
    return client


@contextlib.contextmanager
def _silent_log() -> Iterator[None]:
    """Dask logs each lost worker with a traceback; what a user needs of it is said in lines of our own."""
    loggers = [logging.getLogger(name) for name in ("distributed", "tornado", "asyncio", *_dask_loggers())]
    before = [logger.level for logger in loggers]
    for logger in loggers:
        logger.setLevel(logging.CRITICAL + 1)
    try:
        yield
    finally:
        for logger, level in zip(loggers, before, strict=True):
            logger.setLevel(level)


def _dask_loggers() -> list[str]:
    """Names of Dask's loggers that have a level of their own."""
    return [name for name in logging.root.manager.loggerDict if name.startswith("distributed.")]


def run_on_cluster(
    work: Work, context: Any, tiles: tuple[Tile, ...], folder: Path, scheduler: str, progress: TileProgress
) -> None:  # fmt: skip
    """Has the tiles worked out by a cluster's workers, which need not share this machine's disk, and stores the results.

    Tiles of a worker that dies are done again by another. The earliest faulty tile's fault is raised.

    Raises:
        SitingError: a tile's own fault, or the cluster cannot do the work.
    """
    with connected(scheduler) as client:
        if not client.nthreads():
            progress.say(f"{scheduler} has no worker yet: waiting for one (start it with `dask worker {scheduler}`)")
        flight = Flight(client, work, pickle.dumps(context))
        try:
            flight.bring_in(tiles, folder, progress)
        except BaseException:
            flight.cancel()
            raise


class Flight:
    """The tiles that are under way on a cluster."""

    def __init__(self, client: Any, work: Work, context: bytes) -> None:
        # The context goes with each tile: it is small, and what Dask scatters is lost with the workers that hold it.
        self._client, self._work, self._context, self._parcel = client, work, context, _parcel()
        self._run = uuid.uuid4().hex[:12]
        self._futures: dict[int, Any] = {}
        self._sends: dict[int, int] = {}
        self._ended: queue.SimpleQueue[int] = queue.SimpleQueue()
        self._room, self._counted = 0, -COUNT_EVERY_S

    def bring_in(self, tiles: tuple[Tile, ...], folder: Path, progress: TileProgress) -> None:
        """Sends the tiles, a bounded number at a time, and stores what comes back.

        Raises:
            SitingError: the fault of the earliest faulty tile, or the cluster cannot do the work.
        """
        following, fault_at, fault = 0, len(tiles), None
        while True:
            while following < fault_at and len(self._futures) < self._most_under_way():
                self._send(following, tiles[following])
                following += 1
            if not self._futures:
                break
            try:
                number = self._ended.get(timeout=TICK_S)
            except queue.Empty:
                progress.tick()
                continue
            if number not in self._futures:
                continue  # called off after a fault
            came = self._outcome(number, tiles[number], progress)
            if isinstance(came, bytes):
                store_tile_bytes(folder, tiles[number], came)
                progress.tile_done(tiles[number])
            elif isinstance(came, SitingError) and number < fault_at:
                fault_at, fault = number, came
                self._call_off_after(number)  # those before it decide which fault is the earliest
        if fault is not None:
            raise fault

    def cancel(self) -> None:
        """Calls off all that is under way; no fault where the cluster is gone."""
        self._call_off_after(-1)

    def _most_under_way(self) -> int:
        """How many tiles may be under way: some for each worker's thread, and a few where there is none yet."""
        now = time.monotonic()
        if now - self._counted >= COUNT_EVERY_S:
            self._counted = now
            try:
                self._room = AHEAD * max(1, sum(self._client.nthreads().values()))
            except Exception:  # the library raises what its connection layers raise
                raise _scheduler_lost() from None
        return self._room

    def _send(self, number: int, tile: Tile) -> None:
        """A tile sets out, for the first time or again."""
        self._sends[number] = sends = self._sends.get(number, 0) + 1
        try:
            future = self._client.submit(
                self._parcel, pickle.dumps((work_far, self._work, self._context, tile, VERSION)),
                key=f"siting-{self._run}-{tile.name}-{sends}", retries=RETRIES, pure=False,
            )  # fmt: skip
        except Exception:  # a client whose scheduler is gone
            raise _scheduler_lost() from None
        self._futures[number] = future
        future.add_done_callback(lambda _: self._ended.put(number))

    def _outcome(self, number: int, tile: Tile, progress: TileProgress) -> bytes | SitingError | None:
        """What a tile brought, None where it was sent again; it is then no longer under way."""
        from concurrent.futures import CancelledError

        from distributed import KilledWorker

        future = self._futures.pop(number)
        try:
            kind, came = future.result()
        except KilledWorker:
            self._send_again(number, tile, progress)
            return None
        except CancelledError:  # the client does this to all tiles when its scheduler is gone
            raise _scheduler_lost() from None
        except Exception:
            if self._client.status != "running":
                raise _scheduler_lost() from None
            raise
        if kind == "package":
            raise InputError.of(
                "cluster_package", "a worker of the cluster", f"has no package {came}",
                "install siting on every worker, in the same version as on this machine",
            )  # fmt: skip
        return pickle.loads(came) if kind == "fault" else came

    def _send_again(self, number: int, tile: Tile, progress: TileProgress) -> None:
        """A tile whose workers died goes to another, so many times."""
        if self._sends[number] == MOST_SENDS:
            raise InputError.of(
                "cluster_worker_killed", f"tile {tile.name}", "every worker that took it died, most often for want of memory",
                "give the workers more memory or fewer threads, then run the same command again",
            )  # fmt: skip
        progress.say(f"tile {tile.name}: its worker died; it is sent to another")
        self._send(number, tile)

    def _call_off_after(self, number: int) -> None:
        """Calls off the tiles behind one."""
        later = {n: self._futures.pop(n) for n in list(self._futures) if n > number}
        with contextlib.suppress(Exception):
            self._client.cancel(list(later.values()), force=True)


def _scheduler_lost() -> InputError:
    return InputError.of(
        "scheduler_lost", "--scheduler", "the Dask scheduler was lost while it worked",
        "finished tiles are kept: start it again, then run the same command",
    )  # fmt: skip
