"""`siting dig`: reads a plan, prints what holds and what is dug, writes the dig sheet, the locate notice, the material list."""

from __future__ import annotations

from pathlib import Path

import click


@click.command("dig", context_settings={"max_content_width": 100})
@click.argument("plan_file", metavar="PLAN.json")
@click.option("--out", metavar="DIR", help="Folder of the files; default: dig beside the plan.")
def command(plan_file: str, out: str | None) -> int:
    """Print what holds the guys and what is dug, and write the dig sheet of PLAN.json.

    \b
    siting dig outputs/plan.json

    The plan is what siting plan wrote; nothing in it is worked out again. The files: dig.pdf for the crew, locate.geojson and
    locate.kml for the local one-call or dig-safe service, materials.csv. Buried lines are never checked: call before you dig.

    Exit status: 0 all checks of anchors and base pass or are marginal; 1 the files are written and a check fails, or an anchor
    has no kind that holds; 2 bad input, nothing written.
    """
    from siting.inputs.plan_file import read_plan
    from siting.verdict import FAIL
    from siting.writers.dig.packet import write_dig
    from siting.writers.dig.text import dig_text
    from siting.writers.dig.words import holding_verdict
    from siting.writers.folder import check_folder

    path, shown = _plan_file(plan_file)
    folder = out or str(path.parent / "dig")
    check_folder(Path(folder), folder)
    plan = read_plan(path, shown)
    holding, dig = _require(plan.holding, plan.dig, shown)
    files = write_dig(plan, holding, dig, Path(folder), folder)
    print(dig_text(plan, holding, dig, files, folder), end="")
    return 1 if holding_verdict(holding) == FAIL else 0


def _plan_file(plan: str) -> tuple[Path, str]:
    """The plan's file; a packet's folder stands for the plan.json in it."""
    path = Path(plan)
    return (path / "plan.json", f"{plan.rstrip('/')}/plan.json") if path.is_dir() else (path, plan)


def _require(holding, dig, shown: str):
    """What holds and what is dug; an older plan, which knows neither, is refused."""
    from siting.errors import InputError

    if holding is None or dig is None:
        what = "holds nothing of what holds the guys" if holding is None else "holds nothing of the digging"
        raise InputError.of("plan_no_dig", shown, what, "make the plan again with siting plan")
    return holding, dig
