"""What a start costs: help imports no heavy library, a plan only what it uses. Asked of a process of its own."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

from strategies import write_site

ROOT = Path(__file__).parents[2]
HEAVY = (
    "ezdxf",
    "reportlab",
    "numpy", "rasterio", "pyproj", "shapely", "geopandas", "pyogrio", "folium", "pandas", "matplotlib", "pydantic",
    "lxml", "contourpy", "pygeomag", "mgrs", "scipy", "numba",
)  # fmt: skip
PROBE = """
import json, sys
sys.path.insert(0, sys.argv[1])
import siting.cli.main as door
sys.argv = ["siting", *sys.argv[2:]]
status = door._status() if sys.argv[1:] else None
names = {n.partition(".")[0] for n in sys.modules} | {n for n in sys.modules if n.startswith("siting")}
print("\\n@@" + json.dumps([status, sorted(names)]))
"""


def loaded(*arguments: str, cwd: Path = ROOT) -> tuple[int | None, set[str], str]:
    """Status, modules in memory at the end, what was printed, of a command in a new process."""
    ran = subprocess.run(
        [sys.executable, "-c", PROBE, str(ROOT), *arguments], cwd=cwd, capture_output=True, text=True, check=True
    )
    text, _, found = ran.stdout.rpartition("\n@@")
    status, names = json.loads(found)
    return status, set(names), text + ran.stderr


def test_importing_the_command_line_loads_nothing_heavy():
    _, names, _ = loaded()
    assert "siting.cli.main" in names and "click" in names
    assert names & set(HEAVY) == set()
    assert {n for n in names if n.startswith("siting.")} == {
        "siting.cli", "siting.cli.main", "siting.errors", "siting.version"
    }  # fmt: skip


def test_help_loads_nothing_heavy():
    for arguments in (["--help"], ["plan", "--help"]):
        status, names, text = loaded(*arguments)
        assert status == 0
        assert "Usage: siting" in text
        assert names & set(HEAVY) == set()


def test_a_plan_without_layers_loads_no_layer_library(site_folder):
    write_site(site_folder)
    status, names, text = loaded("plan", "site.toml", "--out", "out", cwd=site_folder)
    assert status in (0, 1), text
    assert (site_folder / "out" / "plan.json").is_file()
    assert {"numpy", "rasterio", "pyproj"} <= names
    assert names & {"matplotlib", "numba", "scipy", "geopandas", "pyogrio", "folium", "jinja2", "requests"} == set()
    # Nobody else's: what a plan loads of ours is what it uses.
    assert {n for n in names if n.startswith(("siting.cli.", "siting.inputs."))} & {
        "siting.cli.masts", "siting.cli.verify", "siting.inputs.layers", "siting.inputs.packet_folder"
    } == set()  # fmt: skip
