"""python -m benchmarks [--quick]: runs every benchmark, prints ratios, writes results.json."""

from __future__ import annotations

import json
import platform
import sys
from importlib.metadata import version
from pathlib import Path

from benchmarks import large_dem, rules, search, search_lift, search_stream, start_up, sweep

LIBRARIES = ("numpy", "rasterio", "pyproj", "shapely", "geopandas", "folium", "click", "pydantic", "scipy", "numba", "siting")


def main() -> None:
    """Measures, prints and writes; exit status 1 where a goal was missed (never in the quick mode)."""
    quick = "--quick" in sys.argv[1:]
    rows = [row for module in (start_up, sweep, rules, large_dem, search, search_lift, search_stream) for row in module.measure(quick)]
    for row in rows:
        took = f"{1000 * row['seconds']:8.1f} ms" if "seconds" in row else f"{row['bytes'] / 2**20:8.1f} MB"
        mark = "" if row["ratio"] <= row["goal"] else "   over its goal"
        print(f"{row['ratio']:9.4g} × (goal {row['goal']:g}) {took}  {row['figure']}, against {row['against']}{mark}")
    if quick:
        return
    facts = {
        "machine": {"processor": platform.machine(), "python": platform.python_version(), "system": platform.system()},
        "versions": {name: version(name) for name in LIBRARIES},
        "rows": [{k: float(f"{v:.4g}") if isinstance(v, float) else v for k, v in row.items()} for row in rows],
    }
    Path("benchmarks/results.json").write_text(json.dumps(facts, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
    sys.exit(any(row["ratio"] > row["goal"] for row in rows))


if __name__ == "__main__":
    main()
