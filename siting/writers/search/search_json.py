"""All facts of a search in one JSON file: what was asked, the spots, what became of the area, the files."""

from __future__ import annotations

import json
from dataclasses import asdict
from pathlib import Path

from siting.records.search import SearchResult
from siting.writers.search.parts import area_cells, hectares, parts_of
from siting.writers.search.spots_geojson import spot_properties

KIND = "siting search"


def search_json(result: SearchResult, files: tuple[str, ...]) -> bytes:
    """`search.json`: UTF-8, units in the keys.

    Args:
        files: names of all files of the set.
    """
    options, shares, mast = result.job.options, result.shares, result.job.site.mast
    cells = area_cells(shares)
    whole = {
        "kind": KIND,
        "name": result.job.name,
        "run_id": result.run_id,
        "version": result.version,
        "files": list(files),
        "options": {
            "area": options.area_shown or None, "azimuth_step_deg": options.azimuth_step_deg, "spots": options.spots,
            "apart_m": options.apart_m, "mode": options.mode,
        },
        "mast": {"name": mast.name, "height_m": mast.height_m},
        "dem": result.job.site.dem.shown_path,
        "limits": {name: {"value": limit["value"], "source": limit["source"]} for name, limit in asdict(result.job.site.limits).items()},
        "grid": {
            "row0": result.grid.row0, "col0": result.grid.col0, "rows": result.grid.rows, "cols": result.grid.cols,
            "affine": list(result.grid.affine), "crs": result.crs_name, "cell_m": list(result.cell_m), "tiles": len(result.tiles),
        },
        "azimuths_deg": list(result.azimuths_deg),
        "area": {"cells": cells, "hectares": round(hectares(result, cells), 4)},
        "spots": [spot_properties(spot) for spot in result.spots],
        "tried": asdict(result.tried) | {"by_check": dict(result.tried.by_check)},
        "checks": {"screened": result.screened, "in_the_lift": result.in_the_lift, "of_plan_only": result.of_plan_only},
        "shares": {
            "cells": dict(shares.cells),
            "sample_count": shares.sample_count,
            "lost": dict(shares.lost),
            "parts": [asdict(part) for part in parts_of(shares)],
            "curves": [{"rule": name, "limit_times": list(ratios), "share": list(values)} for name, ratios, values in shares.curves],
        },
        "warnings": list(result.warnings),
        "notes": [*result.notes, *result.land.notes],
        "cautions": list(result.cautions),
    }  # fmt: skip
    return (json.dumps(whole, indent=1, ensure_ascii=False, allow_nan=False) + "\n").encode()


def earlier_files(out: Path) -> set[str]:
    """Names of the files of an earlier search in the folder, by its search.json."""
    try:
        earlier = json.loads((out / "search.json").read_text(encoding="utf-8"))
        return {Path(str(name)).name for name in earlier["files"]} if earlier["kind"] == KIND else set()
    except (OSError, ValueError, KeyError, TypeError):
        return set()
