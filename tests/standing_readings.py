"""A mast pulled out of plumb and read as a crew reads it: readings.csv filled in, the steps of a sheet carried out."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterable, Mapping
from pathlib import Path

import numpy as np

from siting.inputs.mast_file import read_mast
from siting.lift.guy_lengths import rig_level
from siting.lift.standing import StandingMast, standing_mast
from siting.lift.strands import find_strand
from siting.records.mast import Mast

HEADER = "reading,level_m,anchor,a_stands_deg,b_stands_deg,a_right_cm,b_right_cm,tension_kn,note"


def mast_on_stakes(mast: Mast, stakes: Iterable[Mapping], hinge_m: float) -> StandingMast:
    """The mast of a mast file on a packet's stakes: not by way of the plan's own record of it."""
    rigs = tuple(
        rig_level(find_strand(g.strand, g.diameter_mm, "test"), mast.guy_options, g.initial_tension_kn) for g in mast.guys
    )
    return standing_mast(mast, {s["id"]: s["height_m"] for s in stakes}, hinge_m, rigs)


def made_from(plan: Mapping, mast_path: Path) -> StandingMast:
    """The same from plan.json as it was read back."""
    mast = read_mast(mast_path, mast_path.name, False)
    return mast_on_stakes(mast, plan["stakes"], plan["base"]["height_m"] + mast.hinge_height_m)


def seen_right_m(place_m: np.ndarray, stands_deg: float) -> float:
    """How far right of plumb a place (along the laydown, to its right) shows to an instrument that looks at the base, metres."""
    along, right = place_m
    # Clockwise of the line of sight, which points from the instrument to the base.
    look = math.radians(stands_deg + 180.0)
    forward = np.array([math.cos(look), math.sin(look)])
    to_right = np.array([-forward[1], forward[0]])  # x along, y to the right: a quarter turn clockwise seen from above
    return float(np.array([along, right]) @ to_right)


def filled_in(
    made: StandingMast, lean_m: np.ndarray | None, tension_n: np.ndarray | None, stands_deg: tuple[float, float], **notes: str
) -> str:
    """readings.csv as a crew fills it in: offsets to the millimetre, tensions to the newton."""
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\r\n")
    table.writerow(HEADER.split(","))
    for index in reversed(range(made.model.heights_m.size)):
        right = ["", ""] if lean_m is None else [f"{100.0 * seen_right_m(lean_m[index], s):.1f}" for s in stands_deg]
        table.writerow(["lean", f"{made.model.heights_m[index]:g}", "", *(f"{s:g}" for s in stands_deg), *right, "", ""])
    for i, anchor in enumerate(made.anchors):
        carried = "" if tension_n is None or not np.isfinite(tension_n[i]) else f"{tension_n[i] / 1000.0:.3f}"
        table.writerow(["guy", f"{made.attach_m[i]:g}", anchor, "", "", "", "", carried, ""])
    for name, note in notes.items():
        table.writerow([name.replace("_", " "), *[""] * 7, note])
    return out.getvalue()


def carried_out(steps: Iterable[Mapping], made: StandingMast, length_m: np.ndarray) -> np.ndarray:
    """(G,) unstressed lengths after every step of a plumb.json, one after the other."""
    length_m, index = length_m.copy(), {(a, round(float(h), 3)): i for i, (a, h) in enumerate(zip(made.anchors, made.attach_m))}
    for step in steps:
        length_m[index[step["anchor"], round(step["attach_m"], 3)]] += step["change_cm"] / 100.0
    return length_m
