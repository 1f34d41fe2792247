"""`siting lift`: reads a plan, prints the tables of the lift day, writes the lift sheet."""

from __future__ import annotations

from pathlib import Path

import click

SHEET = "lift.pdf"


@click.command("lift")
@click.argument("plan_file", metavar="PLAN.json")
@click.option("--out", metavar="DIR", help="Folder of the sheet; default: the plan's own.")
def command(plan_file: str, out: str | None) -> int:
    """Print the lift-day tables of PLAN.json and write the lift sheet, lift.pdf.

    The plan is what siting plan wrote; nothing in it is worked out again.

    Exit status: 0 all checks of the lift pass or are marginal; 1 the sheet is written and one fails; 2 bad input, nothing
    written.
    """
    from siting.inputs.plan_file import read_plan
    from siting.verdict import FAIL
    from siting.writers.lift_pdf import lift_pdf
    from siting.writers.lift_text import lift_text
    from siting.writers.lift_words import lift_verdict
    from siting.writers.packet import check_folder
    from siting.writers.whole_file import write_whole

    plan = read_plan(Path(plan_file), plan_file)
    folder = Path(out) if out is not None else Path(plan_file).parent
    shown = out if out is not None else str(folder)
    check_folder(folder, shown)
    write_whole(lift_pdf(plan), folder / SHEET, shown)
    print(lift_text(plan, str(folder / SHEET)), end="")
    return 1 if lift_verdict(plan) == FAIL else 0
