"""What every test shares: hypothesis without chance or clock, the command line run in this process."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from strategies import ready_folder
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


@pytest.fixture
def run_siting(monkeypatch, capsys):
    """Runs the command line in this process: arguments -> (status, standard output, standard error)."""
    from siting.cli.main import _status

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
