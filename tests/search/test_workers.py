"""Tiles by threads and by a Dask cluster: the same files, whoever is killed, stopped or at fault."""

from __future__ import annotations

import importlib.util
import io
import json
import os
import pickle
import signal
import subprocess
import sys
import threading
import time
from concurrent.futures import CancelledError
from dataclasses import replace
from pathlib import Path

import pytest
from fake_tiles import TILES, Orders, done_by, fake_result, fake_work

from siting.errors import InputError, TerrainGap
from siting.search import cluster, workers
from siting.search.progress import TileProgress
from siting.search.tile_store import finished, open_run_folder
from siting.search.workers import run_tiles

ROOT = Path(__file__).parents[2]
NAMES = [tile.name for tile in TILES]
needs_dask = pytest.mark.skipif(importlib.util.find_spec("distributed") is None, reason="Dask is not installed")


class Run:
    """A run folder, and what was done and said there."""

    def __init__(self, tmp_path: Path, **orders) -> None:
        self.stream = io.StringIO()
        (tmp_path / "notes").mkdir(parents=True)
        self.orders = Orders(str(tmp_path / "notes"), **orders)
        self.folder = open_run_folder(tmp_path / "out", "job", TILES, self.stream.write)

    def go(self, count: int | None = 1, scheduler: str | None = None, **orders) -> None:
        self.orders = replace(self.orders, **orders)
        run_tiles(fake_work, self.orders, TILES, self.folder, count, scheduler, TileProgress(self.stream))

    def files(self) -> dict[str, bytes]:
        return {path.name: path.read_bytes() for path in self.folder.iterdir()}

    def times_done(self) -> list[int]:
        return [len(done_by(self.orders, name)) for name in NAMES]


@pytest.fixture(scope="module")
def wanted(tmp_path_factory) -> dict[str, bytes]:
    """The files of a run of one thread."""
    run = Run(tmp_path_factory.mktemp("one"))
    run.go(1)
    assert finished(run.folder, TILES) == TILES and run.times_done() == [1] * len(TILES) == [1] * 20
    return run.files()


@pytest.mark.parametrize("count", [2, 5, 64, None])
def test_any_number_of_threads_gives_the_same_files(tmp_path, wanted, count):
    run = Run(tmp_path, sleep_s=0.002)
    run.go(count)
    assert run.files() == wanted
    assert run.times_done() == [1] * len(TILES)
    assert run.stream.getvalue() == ""


def test_as_many_threads_as_asked_for_and_no_more(tmp_path):
    run = Run(tmp_path, sleep_s=0.02)
    run.go(3)
    assert len({line for name in NAMES for line in done_by(run.orders, name)}) == 3


@pytest.mark.parametrize("count", [1, 3])
def test_a_stopped_run_goes_on_and_does_no_finished_tile_again(tmp_path, wanted, count):
    run = Run(tmp_path, stop_at=(NAMES[8],))
    with pytest.raises(KeyboardInterrupt):
        run.go(count)
    before = finished(run.folder, TILES)
    assert 8 <= len(before) <= 7 + count and TILES[8] not in before
    assert sum(run.times_done()) == len(before) + 1  # no tile was begun after the stop
    run.go(count, stop_at=())
    assert run.files() == wanted
    assert run.times_done() == [2 if name == NAMES[8] else 1 for name in NAMES]
    assert run.stream.getvalue() == f"going on: {len(before)} of 20 tiles were finished before\n"
    run.go(count)
    assert sum(run.times_done()) == 21


def test_ctrl_c_in_the_main_thread_waits_for_the_tile_at_work(tmp_path):
    run = Run(tmp_path, sleep_s=0.05)
    timer = threading.Timer(0.2, signal.raise_signal, [signal.SIGINT])
    timer.start()
    with pytest.raises(KeyboardInterrupt):
        run.go(2)
    timer.join()
    done = finished(run.folder, TILES)
    assert 0 < len(done) < len(TILES)
    assert sum(run.times_done()) == len(done)  # what was begun was ended and kept


def test_a_tile_that_takes_for_ever_is_left_behind(tmp_path, monkeypatch):
    monkeypatch.setattr(workers, "LEAVE_S", 0.05)
    run, gate = Run(tmp_path), threading.Event()

    def work(orders, tile):
        if tile is TILES[1]:
            raise KeyboardInterrupt
        gate.wait(20.0)
        return fake_result(tile)

    begun = time.monotonic()
    with pytest.raises(KeyboardInterrupt):
        run_tiles(work, None, TILES, run.folder, 2, None, TileProgress(run.stream))
    assert time.monotonic() - begun < 15.0
    gate.set()
    for thread in threading.enumerate():
        if thread.name.startswith("tiles "):
            thread.join()


@pytest.mark.parametrize("count", [1, 2, 6])
def test_the_earliest_faulty_tile_ends_the_run(tmp_path, wanted, count):
    run = Run(tmp_path, faults=(NAMES[12], NAMES[5], NAMES[6]))
    with pytest.raises(TerrainGap, match=f"tile {NAMES[5]}: has no ground"):
        run.go(count)
    assert set(TILES[:5]) <= set(finished(run.folder, TILES)) < set(TILES)
    run.go(count, faults=())
    assert run.files() == wanted


def test_a_broken_tile_file_is_done_again_and_only_that(tmp_path, wanted):
    run = Run(tmp_path)
    run.go(1)
    path = run.folder / f"{NAMES[3]}.npz"
    path.write_bytes(path.read_bytes()[:1000])
    run.go(1)
    assert run.files() == wanted
    assert run.times_done() == [2 if name == NAMES[3] else 1 for name in NAMES]


@pytest.fixture
def dask(tmp_path):
    """Starts a scheduler and two workers of one thread: allowed failures -> (address, the workers)."""
    begun, log = [], (tmp_path / "dask.log").open("wb")

    def start(allowed_failures: int, workers: int = 2):
        env = {**os.environ, "PYTHONPATH": os.pathsep.join([str(ROOT / "tests"), str(ROOT)])}
        env["DASK_DISTRIBUTED__SCHEDULER__ALLOWED_FAILURES"] = str(allowed_failures)
        env["DASK_TEMPORARY_DIRECTORY"] = str(tmp_path)
        found = tmp_path / "scheduler.json"

        def run(module: str, *arguments: str) -> subprocess.Popen:
            command = [sys.executable, "-m", f"distributed.cli.{module}", *arguments]
            begun.append(subprocess.Popen(command, env=env, cwd=tmp_path, stdout=log, stderr=log))
            return begun[-1]

        run("dask_scheduler", "--host", "127.0.0.1", "--port", "0", "--no-dashboard", "--scheduler-file", str(found))
        for _ in range(600):
            if found.exists() and found.read_text(encoding="utf-8").strip().endswith("}"):
                break
            time.sleep(0.05)
        address = json.loads(found.read_text(encoding="utf-8"))["address"]
        return address, [run("dask_worker", address, "--no-nanny", "--no-dashboard", "--nthreads", "1") for _ in range(workers)]

    yield start
    for process in begun:
        process.kill()
    for process in begun:
        process.wait()
    log.close()


@needs_dask
@pytest.mark.parametrize("allowed_failures", [0, 3], ids=["Dask gives the tile up", "Dask sends the tile again"])
def test_a_worker_killed_in_mid_run_gives_the_same_files(tmp_path, wanted, dask, allowed_failures):
    address, processes = dask(allowed_failures)
    run = Run(tmp_path, killed_by=(NAMES[9],), sleep_s=0.05)
    run.go(None, address)
    assert sorted(process.poll() is None for process in processes) == [False, True]
    assert [p.poll() for p in processes if p.poll() is not None] == [-signal.SIGKILL]
    assert run.files() == wanted
    assert len(done_by(run.orders, NAMES[9])) == 2
    assert ("its worker died; it is sent to another" in run.stream.getvalue()) == (allowed_failures == 0)
    assert len({line.split()[0] for name in NAMES for line in done_by(run.orders, name)}) == 2  # both took part


@needs_dask
def test_faults_stops_and_going_on_with_a_cluster(tmp_path, wanted, dask):
    address, _ = dask(3, workers=1)
    run = Run(tmp_path, faults=(NAMES[6], NAMES[4]))
    with pytest.raises(TerrainGap, match=rf"tile {NAMES[4]} \(worker on .*\): has no ground"):
        run.go(None, address)
    assert set(TILES[:4]) <= set(finished(run.folder, TILES)) < set(TILES)

    class Pressed(TileProgress):
        def tile_done(self, tile):
            super().tile_done(tile)
            raise KeyboardInterrupt

    before = len(finished(run.folder, TILES))
    orders = replace(run.orders, faults=())
    with pytest.raises(KeyboardInterrupt):
        run_tiles(fake_work, orders, TILES, run.folder, None, address, Pressed(run.stream))
    assert len(finished(run.folder, TILES)) == before + 1
    run.go(None, address, faults=())
    assert run.files() == wanted


class FakeFuture:
    """What Dask gives for a tile: a result, or an exception, at once."""

    def __init__(self, outcome) -> None:
        self.outcome = outcome

    def add_done_callback(self, call):
        call(self)

    def result(self):
        if isinstance(self.outcome, BaseException):
            raise self.outcome
        return self.outcome


class FakeClient:
    """A client whose tiles end as ordered: name -> outcomes in turn; the others are worked out here."""

    def __init__(self, outcomes=None, threads: int = 2) -> None:
        self.outcomes, self.threads, self.status = outcomes or {}, threads, "running"
        self.under_way, self.most, self.keys, self.cancelled = 0, 0, [], 0

    def nthreads(self):
        return {"tcp://a": self.threads} if self.threads else {}

    def submit(self, run, data, *, key, retries, pure):
        assert key not in self.keys and retries > 0 and not pure
        self.keys.append(key)
        given = pickle.loads(data)
        left = self.outcomes.get(given[3].name)
        return FakeFuture(left.pop(0) if left else run(data))

    def cancel(self, futures, force):
        self.cancelled += len(futures)


def fly(run: Run, client: FakeClient) -> None:
    progress = TileProgress(run.stream)
    progress.start(TILES)
    cluster.Flight(client, fake_work, pickle.dumps(run.orders)).bring_in(TILES, run.folder, progress)


def killed():
    from distributed import KilledWorker

    return KilledWorker("key", None, 3)


@needs_dask
def test_a_tile_is_sent_three_times_more_and_not_a_fifth_time(tmp_path, wanted):
    run, client = Run(tmp_path / "a"), FakeClient({NAMES[2]: [killed() for _ in range(3)]})
    fly(run, client)
    assert run.files() == wanted
    assert run.stream.getvalue().count("its worker died") == 3 and len(client.keys) == 23
    run, client = Run(tmp_path / "b"), FakeClient({NAMES[2]: [killed() for _ in range(4)]})
    with pytest.raises(InputError, match=f"tile {NAMES[2]}: every worker that took it died, most often for want of memory"):
        fly(run, client)


@needs_dask
def test_a_cluster_too_raises_the_earliest_faulty_tile_though_a_later_one_ends_first(tmp_path):
    run, client = Run(tmp_path, faults=(NAMES[4], NAMES[6])), FakeClient()
    plain, held = client.submit, []

    def submit(run, data, **options):
        future, name = plain(run, data, **options), pickle.loads(data)[3].name
        if name == NAMES[4]:
            future.add_done_callback = held.append
        if name == NAMES[8]:  # the eighth goes out when the first has come back: by now the seventh has ended
            held.pop()(future)
        return future

    client.submit = submit
    with pytest.raises(TerrainGap, match=f"tile {NAMES[4]} "):
        fly(run, client)
    assert finished(run.folder, TILES)[:6] == (*TILES[:4], TILES[5]) and client.cancelled > 0


@needs_dask
def test_a_lost_scheduler_is_a_plain_line(tmp_path):
    for n, (fault, status) in enumerate([(CancelledError("lost"), "connecting"), (OSError("closed"), "closed")]):
        run, client = Run(tmp_path / str(n)), FakeClient({NAMES[7]: [fault]})
        client.status = status
        with pytest.raises(InputError, match=r"the Dask scheduler was lost while it worked\. Finished tiles are kept"):
            fly(run, client)
        assert set(TILES[:7]) <= set(finished(run.folder, TILES))


@needs_dask
def test_a_bug_on_a_worker_is_not_called_a_lost_scheduler(tmp_path):
    with pytest.raises(OSError, match="a bug"):
        fly(Run(tmp_path), FakeClient({NAMES[7]: [OSError("a bug")]}))


@needs_dask
@pytest.mark.parametrize("threads", [0, 1, 3])
def test_a_bounded_number_of_tiles_is_under_way(tmp_path, wanted, threads, monkeypatch):
    monkeypatch.setattr(cluster, "AHEAD", 2)
    run, client = Run(tmp_path), FakeClient(threads=threads)
    counts = []
    plain = cluster.store_tile_bytes
    monkeypatch.setattr(cluster, "store_tile_bytes", lambda *a: (counts.append(len(client.keys)), plain(*a)))
    fly(run, client)
    assert run.files() == wanted
    assert [count - n for n, count in enumerate(counts)] == [min(2 * max(1, threads), 20 - n) for n in range(20)]


def test_what_a_worker_says(monkeypatch):
    run = cluster._parcel()
    orders = pickle.dumps(Orders(os.devnull))
    with pytest.raises(OSError):  # the fake cannot note the tile: no fault of the search's, so it is not hidden
        run(pickle.dumps((cluster.work_far, fake_work, orders, TILES[0], cluster.VERSION)))
    kind, came = run(pickle.dumps((cluster.work_far, fake_work, orders, TILES[0], "0.0")))
    assert kind == "fault" and f"runs siting {cluster.VERSION}, this machine 0.0" in str(pickle.loads(came))
    kind, came = run(b"cno_such_package_anywhere\nthing\n.")
    assert (kind, came) == ("package", "no_such_package_anywhere")
    assert b"siting" not in pickle.dumps(came)


@needs_dask
def test_a_worker_without_the_package_is_a_plain_line(tmp_path):
    with pytest.raises(InputError, match=r"a worker of the cluster: has no package siting\. Install siting on every worker"):
        fly(Run(tmp_path), FakeClient({NAMES[0]: [("package", "siting")]}))


@needs_dask
@pytest.mark.parametrize("address", ["rubbish", "tcp://", "http//x:1", "tcp://a b:1", ""])
def test_what_is_no_address(address):
    with pytest.raises(InputError, match="is not the address of a Dask scheduler.* as in tcp://10.0.0.5:8786"):
        cluster.check_scheduler(address)


@needs_dask
def test_nobody_at_the_address(tmp_path, monkeypatch):
    monkeypatch.setattr(cluster, "REACH_S", 0.3)
    run = Run(tmp_path)
    with pytest.raises(InputError, match=r"--scheduler tcp://127\.0\.0\.1:1: no Dask scheduler answers there .*`dask scheduler`"):
        run.go(None, "tcp://127.0.0.1:1")
    assert run.times_done() == [0] * 20


def test_somebody_who_never_answers(monkeypatch):
    monkeypatch.setattr(cluster, "REACH_S", -0.9)  # a tenth of a second is waited
    gate, closed = threading.Event(), threading.Event()

    class Mute:
        def __init__(self, *arguments, **options) -> None:
            gate.wait(20.0)

        def close(self):
            closed.set()

    with pytest.raises(InputError, match="no Dask scheduler answers there"):
        cluster._client(Mute, "tcp://127.0.0.1:1")
    gate.set()
    assert closed.wait(20.0)  # a client that comes too late does not stay


def test_without_dask_the_line_says_what_to_install(monkeypatch):
    monkeypatch.setitem(sys.modules, "distributed", None)
    wanted = r'--scheduler: needs Dask, which is not installed\. Run: pip install "siting\[cluster\]"'
    with pytest.raises(InputError, match=wanted):
        cluster.check_scheduler("tcp://127.0.0.1:8786")


def test_threads_import_no_dask(tmp_path):
    probe = (
        "import sys, pathlib; from test_workers import Run; r = Run(pathlib.Path(sys.argv[1])); r.go(2); "
        "print(sorted({'dask', 'distributed', 'numba'} & set(sys.modules)), len(r.files()))"
    )
    env = {**os.environ, "PYTHONPATH": os.pathsep.join(map(str, (Path(__file__).parent, ROOT / "tests", ROOT)))}
    ran = subprocess.run([sys.executable, "-c", probe, str(tmp_path)], env=env, capture_output=True, text=True, check=True)
    assert ran.stdout == "[] 20\n"
