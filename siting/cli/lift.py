"""`siting lift`: reads a plan, prints the tables of the lift day, writes the lift sheet; with readings, plumbs the mast."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from siting.records.plan import Plan

SHEET, FORM = "lift.pdf", "readings.csv"
PLUMB_PDF, PLUMB_JSON = "plumb.pdf", "plumb.json"


@click.command("lift", context_settings={"max_content_width": 100})
@click.argument("plan_file", metavar="PLAN.json")
@click.option("--readings", metavar="FILE", help="Plumb the mast: lean and tensions as read, in the form readings.csv.")
@click.option("--out", metavar="DIR", help="Folder of the sheet; default: the plan's own.")
def command(plan_file: str, readings: str | None, out: str | None) -> int:
    """Print the lift-day tables of PLAN.json and write the lift sheet, lift.pdf.

    \b
    siting lift outputs/plan.json
    siting lift outputs/plan.json --readings outputs/readings.csv

    The plan is what siting plan wrote; nothing in it is worked out again. Beside the sheet comes readings.csv, an empty form
    for the readings of the standing mast; one that is there already is left alone.

    With --readings: how plumb and straight the mast stands, which guys to take in or let out, in which order, and what they carry
    after each step; in plumb.pdf and plumb.json.

    Exit status: 0 all checks pass or are marginal, or nothing could be checked; 1 the files are written and a check fails: of
    the lift, or plumb and straightness of the mast as read; 2 bad input, nothing written.
    """
    from siting.inputs.plan_file import read_plan
    from siting.writers.folder import check_folder

    plan = read_plan(Path(plan_file), plan_file)
    folder = Path(out) if out is not None else Path(plan_file).parent
    shown = out if out is not None else str(folder)
    check_folder(folder, shown)
    if readings is not None:
        return _plumb(plan, plan_file, readings, folder, shown)
    return _lift(plan, folder, shown)


def _lift(plan: Plan, folder: Path, shown: str) -> int:
    """The lift sheet and the empty form; the exit status."""
    from siting.verdict import FAIL
    from siting.writers.lift.pdf import lift_pdf
    from siting.writers.lift.text import lift_text
    from siting.writers.lift.words import lift_verdict
    from siting.writers.plumb.readings_form import readings_form
    from siting.writers.whole_file import write_new, write_whole

    sheet, form = lift_pdf(plan), folder / FORM
    is_new = plan.plumb_form is not None and write_new(readings_form(plan.plumb_form, plan.provenance.run_id), form, shown)
    try:
        write_whole(sheet, folder / SHEET, shown)
    except OSError:
        if is_new:
            form.unlink(missing_ok=True)
        raise
    print(lift_text(plan, str(folder / SHEET)), end="")
    if is_new:
        print(f"FORM  {form}: empty, for lean and tensions of the standing mast")
    elif plan.plumb_form is not None:
        print(f"FORM  {form} is there already: left as it is")
    return 1 if lift_verdict(plan) == FAIL else 0


def _plumb(plan: Plan, plan_file: str, readings: str, folder: Path, shown: str) -> int:
    """The plumb sheet of a plan and its readings; the exit status."""
    from siting.inputs.fingerprints import fingerprint_files, run_id
    from siting.inputs.readings_csv import read_readings
    from siting.lift.plumb_sheet import plumb_sheet, require_standing
    from siting.records.plumb import PlumbOptions
    from siting.verdict import FAIL
    from siting.writers.folder import put_in_place, unwritable
    from siting.writers.plumb.json import plumb_json
    from siting.writers.plumb.pdf import plumb_pdf
    from siting.writers.plumb.text import plumb_text

    require_standing(plan, plan_file)
    read = read_readings(Path(readings), readings, plan.plumb_form)
    inputs = fingerprint_files(((Path(plan_file).name, Path(plan_file)), (Path(readings).name, Path(readings))))
    sheet = plumb_sheet(plan, read, inputs, run_id(inputs, repr(PlumbOptions())))
    contents = {PLUMB_PDF: plumb_pdf(sheet, plan), PLUMB_JSON: plumb_json(sheet)}
    try:
        put_in_place(contents, folder, set())
    except OSError as fault:
        raise unwritable(shown, fault) from None
    print(plumb_text(sheet, tuple(contents), shown), end="")
    return 1 if sheet.verdict == FAIL else 0
