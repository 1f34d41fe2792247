"""The tables under the rose: the chosen laydown beside the next best, and the runs of directions that are ruled out."""

from __future__ import annotations

from siting.figures import shown
from siting.records.plan import Plan
from siting.writers.map.words import VERDICT_WORDS
from siting.writers.paper.table import Column, Table
from siting.writers.profiles.sectors import NOT_JUDGED, Sector, kinds, runs
from siting.writers.profiles.words import bearing, run_words

SIZE, ROW_MM, TALL_ROW_MM = 9.0, 5.6, 7.2


def best_table(plan: Plan, width_mm: float) -> Table:
    """The chosen laydown and the runners-up: azimuth, slope, what is used of the tightest check, what holds it back."""
    lay = plan.laydown
    columns = (
        Column("No.", "", 8.0, align="left", is_bold=True),
        Column("Azimuth", "true", 18.0, is_bold=True),
        Column("Slope", "%", 13.0),
        Column("Used", "of 1", 13.0),
        Column("Verdict", "", 20.0, align="left"),
        Column("What holds it back", "", width_mm - 72.0, align="left", is_words=True),
    )
    why = lay.reasons[0] if lay.reasons else ""
    rows = [("–", lay.azimuth_deg, lay.slope_percent, lay.worst_utilisation, lay.verdict, f"Chosen ({lay.chosen_by}). {why}")]
    rows += [
        (str(number), r.azimuth_deg, r.slope_percent, r.worst_utilisation, r.verdict, r.why) for number, r in enumerate(lay.runners_up, 1)
    ]
    texts = tuple(
        (no, shown(azimuth, "bearing"), shown(slope, "percent", unit=False).replace("-", "−"), shown(used, "ratio"), VERDICT_WORDS[verdict], told)
        for no, azimuth, slope, used, verdict, told in rows
    )
    return Table(columns, texts, TALL_ROW_MM, SIZE)


def ruled_table(plan: Plan, found: tuple[Sector, ...], width_mm: float) -> Table:
    """Runs of directions that fail or were not judged, clockwise from north, with the worst of each run in words."""
    columns = (
        Column("By", "", 8.0, align="left", is_bold=True),
        Column("From", "true", 18.0),
        Column("To", "true", 18.0),
        Column("Directions", "", 17.0),
        Column("The worst of them", "", width_mm - 61.0, align="left", is_words=True),
    )
    return Table(columns, ruled_rows(plan, found), ROW_MM, SIZE)


def ruled_rows(plan: Plan, found: tuple[Sector, ...]) -> tuple[tuple[str, ...], ...]:
    """The rows of that table: letter, first and last azimuth, how many, the worst of them in words."""
    letters = {kind.kind: kind.letter for kind in kinds(found)}
    rows = []
    for run in runs(found):
        if run.verdict in ("fail", NOT_JUDGED):
            span = (bearing(run.sectors[0].azimuth_deg), bearing(run.sectors[-1].azimuth_deg), str(len(run.sectors)))
            rows.append((letters.get(run.kind, "?"), *span, run_words(plan, run, found)))
    return tuple(rows)
