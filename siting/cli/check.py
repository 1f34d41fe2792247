"""`siting check`: compares the points that a surveyor measured with the plan, and says what was built."""

from __future__ import annotations

import math
from pathlib import Path

import click

# The tolerances of siting.survey.as_staked, named here so that help need not import the stage; a test holds them equal.
PASS_M, LIMIT_M = 0.10, 0.50


@click.command("check", context_settings={"max_content_width": 100})
@click.argument("plan", metavar="PLAN.json")
@click.argument("staked", metavar="STAKED.csv")
@click.option("--out", metavar="DIR", help="Folder of the report; default: as_staked beside the plan.")
@click.option("--tolerance-m", type=float, help=f"A stake passes up to here, horizontally; default {PASS_M:g}.")
@click.option("--limit-m", type=float, help=f"Beyond this a stake fails; default {LIMIT_M:g}.")
def command(plan: str, staked: str, out: str | None, tolerance_m: float | None, limit_m: float | None) -> int:
    """Compare the points as measured with the plan, and write the as-staked report.

    \b
    siting check outputs/plan.json staked.csv

    STAKED.csv has the columns of stakes.csv (point, northing, easting, elevation, …; elevation may be blank), with a header
    row or in that order. The report says how far each stake lies off, the likely cause, and what it does to guys,
    side-guy travel, setback and fall zone.

    Exit status: 0 pass or marginal; 1 the report is written and a stake or a check fails; 2 bad input, nothing written.
    """
    tolerances = _tolerances(tolerance_m, limit_m)

    from siting.inputs.fingerprints import fingerprint_files, run_id
    from siting.inputs.plan_file import read_plan
    from siting.inputs.staked_csv import read_staked
    from siting.records.as_staked import Tolerance
    from siting.survey.as_staked import TOLERANCE_SOURCE, report_as_staked
    from siting.verdict import FAIL
    from siting.writers.as_staked.files import write_as_staked
    from siting.writers.as_staked.text import as_staked_text
    from siting.writers.folder import check_folder

    plan_path, plan_shown = _plan_file(plan)
    folder = out or str(plan_path.parent / "as_staked")
    check_folder(Path(folder), folder)
    made = read_plan(plan_path, plan_shown)
    measured = read_staked(Path(staked), staked)
    is_own = tolerance_m is None and limit_m is None
    tolerance = Tolerance(*tolerances, TOLERANCE_SOURCE if is_own else "user (--tolerance-m, --limit-m)")
    inputs = fingerprint_files(((Path(plan_shown).name, plan_path), (Path(staked).name, Path(staked))))
    report = report_as_staked(made, measured, tolerance, inputs, run_id(inputs, repr(tolerance)))
    files = write_as_staked(report, Path(folder), folder)
    print(as_staked_text(report), end="")
    print(f"\nFILES in {folder}\n  {'  '.join(files)}")
    return 1 if report.verdict == FAIL else 0


def _plan_file(plan: str) -> tuple[Path, str]:
    """The plan's file; a packet's folder stands for the plan.json in it."""
    path = Path(plan)
    return (path / "plan.json", f"{plan.rstrip('/')}/plan.json") if path.is_dir() else (path, plan)


def _tolerances(tolerance_m: float | None, limit_m: float | None) -> tuple[float, float]:
    """Both tolerances, metres. The limit moves with a tolerance that the user sets above it."""
    for name, value in (("--tolerance-m", tolerance_m), ("--limit-m", limit_m)):
        if value is not None and not (math.isfinite(value) and value > 0):
            raise click.UsageError(f"{name} is {value:g}; give metres above 0", click.get_current_context())
    near = tolerance_m if tolerance_m is not None else min(PASS_M, limit_m or PASS_M)
    far = limit_m if limit_m is not None else max(LIMIT_M, near)
    if far < near:
        raise click.UsageError(
            f"--limit-m {far:g} is smaller than --tolerance-m {near:g}: give the limit as the larger", click.get_current_context()
        )
    return near, far
