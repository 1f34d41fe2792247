"""What every test shares: hypothesis without chance or clock, several processes, the command line run in this process."""

from __future__ import annotations

import re
import shutil
import sys
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from processes import how_many
from programs import leave_out, say_what_was_left_out, take_over
from strategies import plan_of, ready_folder, tree_bytes
from synthetic import plane

settings.register_profile(
    "siting",
    derandomize=True,  # the same examples on every machine
    database=None,
    deadline=None,  # no test times anything
    max_examples=15,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
settings.load_profile("siting")


def pytest_collection_modifyitems(config, items):
    leave_out(config, items)


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers(config):
    return how_many(config)


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node):
    take_over(node.config, getattr(node, "workeroutput", {}))


def pytest_terminal_summary(terminalreporter, config):
    say_what_was_left_out(terminalreporter, config)


def pytest_configure(config):
    # affine 3 would have its product written as `@`, which affine 2 does not know: tests/naive keeps the sign of both.
    config.addinivalue_line("filterwarnings", "ignore:Use `@` matmul:PendingDeprecationWarning")


@pytest.fixture
def run_siting(monkeypatch, capsys):
    """Runs the command line in this process: arguments -> (status, standard output, standard error)."""
    from siting.cli.main import _status

    monkeypatch.setattr("siting.cli.plan.PATIENCE_S", 600.0)  # a slow machine's progress lines are no fault

    def run(*arguments: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["siting", *map(str, arguments)])
        monkeypatch.setattr(sys.modules["__main__"], "__package__", None, raising=False)
        monkeypatch.delenv("SITING_TRACEBACK", raising=False)
        capsys.readouterr()
        status = _status()
        printed = capsys.readouterr()
        return status, printed.out, printed.err

    return run


@pytest.fixture(scope="session")
def slope_folder(tmp_path_factory) -> Path:
    """A folder with dem.tif (an even 6 % slope, uphill at 40 degrees) and mast.toml. Read it, do not write to it."""
    return ready_folder(tmp_path_factory.mktemp("slope"), plane(6.0, 40.0))


@pytest.fixture
def site_folder(slope_folder, tmp_path, monkeypatch) -> Path:
    """A folder of its own with dem.tif and mast.toml of the even slope; the working folder of the test."""
    for name in ("dem.tif", "mast.toml"):
        (tmp_path / name).write_bytes((slope_folder / name).read_bytes())
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture(scope="session")
def whole_packet(slope_folder, tmp_path_factory) -> Path:
    """A packet of the even slope, with files of somebody else beside it. Read it, do not write to it."""
    from siting.writers.packet import write_packet

    folder = tmp_path_factory.mktemp("packet") / "out"
    write_packet(plan_of(slope_folder), folder, "out")
    (folder / "my notes.txt").write_text("not siting's: keep\n", encoding="utf-8")
    (folder / "photos").mkdir()
    (folder / "photos" / "view.jpg").write_bytes(b"\xff\xd8 a photo")
    return folder


@pytest.fixture
def assert_refused(site_folder, whole_packet, run_siting):
    """Runs a command that must be refused: status 2, these lines on standard error, nothing written anywhere.

    In a wanted line ⟨⟩ stands for a library's own words.
    """
    shutil.copytree(whole_packet, site_folder / "out")

    def check(arguments: list[object], *lines: str) -> None:
        before = tree_bytes(site_folder)
        assert "out/plan.json" in before and "out/my notes.txt" in before
        status, out, err = run_siting(*arguments)
        found = err.splitlines()
        assert len(found) == len(lines), err
        for line, wanted in zip(found, lines, strict=True):
            pattern = re.escape(wanted).replace("⟨⟩", "[^/]+")
            assert re.fullmatch(pattern, line), f"\n  found  {line}\n  wanted {wanted}"
        assert (status, out) == (2, "")
        assert str(site_folder) not in err
        assert tree_bytes(site_folder) == before

    return check
