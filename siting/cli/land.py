"""`siting land`: reads a plan, prints what the land allows, writes the land sheet and its outlines for a GIS."""

from __future__ import annotations

from pathlib import Path

import click


@click.command("land", context_settings={"max_content_width": 100})
@click.argument("plan_file", metavar="PLAN.json")
@click.option("--out", metavar="DIR", help="Folder of the files; default: the plan's own.")
def command(plan_file: str, out: str | None) -> int:
    """Print the rules of the land, zones, overhead lines and the air screening of PLAN.json, and write the land sheet.

    \b
    siting land outputs/plan.json

    The plan is what siting plan wrote; nothing in it is worked out again. The files: land.pdf for the planner and the local
    office, land.geojson and land.kml for a GIS. Check your local code: nothing here is a permission.

    Exit status: 0 all checks of the land pass or are marginal, or nothing could be checked; 1 the files are written and a check
    of the land fails; 2 bad input, nothing written.
    """
    from siting.inputs.plan_file import read_plan
    from siting.verdict import FAIL
    from siting.writers.folder import check_folder
    from siting.writers.land.packet import write_land
    from siting.writers.land.text import land_text
    from siting.writers.land.words import land_verdict

    path, shown_file = _plan_file(plan_file)
    folder = Path(out) if out is not None else path.parent
    shown = out if out is not None else str(folder)
    check_folder(folder, shown)
    plan = read_plan(path, shown_file)
    files = write_land(plan, folder, shown)
    print(land_text(plan, files, shown), end="")
    return 1 if land_verdict(plan) == FAIL else 0


def _plan_file(plan: str) -> tuple[Path, str]:
    """The plan's file; a packet's folder stands for the plan.json in it."""
    path = Path(plan)
    return (path / "plan.json", f"{plan.rstrip('/')}/plan.json") if path.is_dir() else (path, plan)
