"""What a wheel of the package holds: every module, the masts, the map's files with Leaflet and its licence."""

from __future__ import annotations

from pathlib import Path

import pytest
from hatchling.builders.wheel import WheelBuilder

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def names() -> set[str]:
    builder = WheelBuilder(str(ROOT))
    return {file.distribution_path.replace("\\", "/") for file in builder.recurse_included_files()}


def test_the_wheel_holds_every_module(names):
    wanted = {p.relative_to(ROOT).as_posix() for p in (ROOT / "siting").rglob("*.py")}
    assert len(wanted) > 50
    assert wanted - names == set()


def test_the_wheel_holds_masts_and_static_files(names):
    wanted = {
        "siting/masts/lattice-60.toml", "siting/masts/lattice-80.toml", "siting/masts/lattice-100.toml",
        "siting/static/leaflet/leaflet.js", "siting/static/leaflet/leaflet.css", "siting/static/leaflet/LICENSE",
        "siting/static/map.css", "siting/static/map.js", "siting/static/map_print.css",
    }  # fmt: skip
    assert wanted - names == set()
    static = {p.relative_to(ROOT).as_posix() for p in (ROOT / "siting" / "static").rglob("*") if p.is_file()}
    rules = {p.relative_to(ROOT).as_posix() for p in (ROOT / "siting" / "rules").glob("*.toml")}
    masts = {p.relative_to(ROOT).as_posix() for p in (ROOT / "siting" / "masts").glob("*.toml")}
    assert len(static) >= 15 and len(masts) >= 4 and len(rules) >= 5
    assert (static | masts | rules) - names == set()


def test_the_wheel_holds_nothing_of_the_tests_or_the_machine(names):
    assert [n for n in names if not n.startswith("siting/")] == []
    assert [n for n in names if "__pycache__" in n or n.endswith((".pyc", ".orig", ".rej", "~"))] == []
