"""Overhead lines on the land sheet: how near the mast comes to each, lying, going up, standing and falling."""

from __future__ import annotations

from siting.figures import shown
from siting.records.power import PowerLineFinding
from siting.writers.land.entries import Entry, Heads, fill_entries, fill_loud
from siting.writers.land.words import (
    DO_NOT_RAISE,
    NOT_CHECKED,
    blocking_texts,
    lifting_words,
    line_name,
    no_lines_words,
    signed,
    verdict_words,
)
from siting.writers.paper.blocks import box_words
from siting.writers.paper.flow import GAP_MM, Flow

HEADS = Heads(
    "Line", (("Lying", 19.0), ("Going up", 19.0), ("Standing", 19.0), ("Falling", 19.0), ("Asked for", 19.0)),
)  # fmt: skip
TELLS = (
    "Going up: the least distance of mast, lift guys, gin pole and winch line at any angle of the lift.",
    "Falling: distance to the base less total height; with − the line lies inside the fall circle.",
    "Distances in plan are never longer than the true ones. A line that is not drawn is not known: look for lines on site, all round.",
)
STOP_MM, OVERHEAD = 14.0, "OVERHEAD"


def fill_power_lines(flow: Flow) -> None:
    """The lines where they find room, from a new page on where one forbids raising."""
    plan = flow.plan
    blocking = blocking_texts(plan)
    if blocking:
        flow.turn()
        box_words(flow.sheet, (flow.left, flow.y, flow.width_mm, STOP_MM), DO_NOT_RAISE, 26.0, dark=True)
        flow.y += STOP_MM + GAP_MM
        fill_loud(flow, OVERHEAD, blocking)
    if not plan.power_lines:
        flow.title("Overhead lines")
        fill_loud(flow, NOT_CHECKED, (no_lines_words(plan),))
        return
    fill_entries(flow, "Overhead lines: least distances", HEADS, [_entry(k, line) for k, line in enumerate(plan.power_lines, 1)])
    flow.lines("How to read it", TELLS)


def _entry(number: int, line: PowerLineFinding) -> Entry:
    figures = (*(shown(v, "length") for v in (line.lying_m, line.lifting_m, line.standing_m)), signed(line.falling_m), shown(line.needed_m, "length"))
    height = "NOT KNOWN: measured in plan, as if it hung at every height" if not line.is_with_heights else shown(line.conductor_m, "length")
    place = f"{shown(line.bearing_deg, 'bearing')} true from the base, {shown(line.lat, 'latlon')}, {shown(line.lon, 'latlon')}"
    lines = (
        f"Going up nearest: {lifting_words(line)}. Least of all {shown(line.least_m, 'length')}; its nearest point {place}.",
        f"Lowest conductor above the ground: {height}. Nearer than {shown(line.trigger_m, 'length')} the line's owner comes first.",
        line.text, *line.information, f"Source: {line.source}.",
    )  # fmt: skip
    return Entry(str(number), line_name(line), figures, verdict_words(line.verdict), lines)
