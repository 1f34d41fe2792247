"""What it costs to start: help against a bare Python, the demo plan against its libraries' imports."""

from __future__ import annotations

import sys
import tempfile

from benchmarks.timing import SITING, interleaved_s

LIBRARIES = "import rasterio, geopandas, folium, pyproj, matplotlib"


def measure(quick: bool) -> list[dict]:
    """Rows of (figure, against, ratio, goal)."""
    with tempfile.TemporaryDirectory() as folder:
        times = interleaved_s(
            {
                "bare": [sys.executable, "-c", "pass"],
                "help": [*SITING, "--help"],
                "imports": [sys.executable, "-c", LIBRARIES],
                "plan": [*SITING, "plan", "sample_dem/site.toml", "--out", f"{folder}/packet"],
            },
            1 if quick else 9,
        )
    return [
        {"figure": "siting --help", "against": "bare Python start", "ratio": times["help"] / times["bare"], "goal": 6.0, "seconds": times["help"]},
        {"figure": "demo plan, cold", "against": LIBRARIES, "ratio": times["plan"] / times["imports"], "goal": 1.5, "seconds": times["plan"]},
    ]  # fmt: skip
