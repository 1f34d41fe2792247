"""Plumb sheets for the tests: made by hand with so many levels and steps, and worked out from readings of the demonstration."""

from __future__ import annotations

import math
from dataclasses import replace

from writers.lift_plans import demo

from siting.figures import rounded
from siting.lift.plumb_sheet import plumb_sheet
from siting.records.findings import Check
from siting.records.plan import GuyChord, InputFile, Plan
from siting.records.plumb import Correction, CorrectionStep, GuyCorrection, LeanReading, LevelLean, PlumbReport, TensionReading
from siting.records.plumb_sheet import PlumbSheet, Readings

RUN, INPUTS = (
    "0123456789ab",
    (InputFile("plan.json", "ab" * 32, "the whole file"), InputFile("readings.csv", "cd" * 32, "the whole file")),
)
LEAST_KN, GREATEST_KN = 0.712, 1.525
LONG_NAME = "Kestrel Ridge at the upper end of the old quarry road, north-western parcel, second mast of the campaign M2"
SAID = ("date and time: 2027-03-16 07:40", "wind: calm", "read by: A. Berg, C. Dahl")
WHY_NONE = (
    "mast 'generic lattice 80 m': the readings cannot balance: B2 at 52 m would carry nothing. Take it in by hand and read again."
)


def levels_m(count: int) -> tuple[float, ...]:
    """So many levels of a mast of 80 m, from the lowest up."""
    return tuple(78.0 * (k + 1) / count for k in range(count))


def report(count: int, worst_cm: float = 23.4) -> PlumbReport:
    """Leans that grow with the height and turn a little: the top level leans by `worst_cm`."""
    rows = []
    for k, at in enumerate(levels_m(count)):
        lean, turn = worst_cm * (at / 78.0) ** 1.3, math.radians(205.0 + 9.0 * k)
        limit = 0.25 * at
        rows.append(
            LevelLean(at, lean * math.cos(turn), lean * math.sin(turn), lean, math.degrees(turn), limit, limit - lean,
                      None if k == count - 1 else 0.4 + 0.1 * k)
        )  # fmt: skip
    verdict = "fail" if worst_cm > 19.5 else "pass"
    check = Check("plumb", "plumb", "Mast out of plumb, part of the height", worst_cm / 78.0, 0.25, "%", False, worst_cm / 19.5, 0.013,
                  verdict, "invented for the test", "level at 78 m")  # fmt: skip
    return PlumbReport(tuple(rows), (check,), ("Bearings are clockwise from the laydown azimuth.",))


def correction(
    names: tuple[str, ...], count: int, steps: int, *, outside: tuple[int, ...] = (), unread: bool = False
) -> Correction:
    """A correction with so many steps over all guys; the steps named leave a guy outside its bounds."""
    heights = levels_m(count)
    pairs = [(at, name) for at in heights for name in names]
    guys = tuple(
        GuyCorrection(name, at, round(1.2 - 0.7 * (k % 4), 1), 0.65 + 0.05 * k, 1.0 + 0.01 * k, LEAST_KN, GREATEST_KN,
                      None if unread or k % 5 == 4 else 0.66 + 0.05 * k)
        for k, (at, name) in enumerate(pairs)
    )  # fmt: skip
    done = []
    for number in range(1, steps + 1):
        at, name = pairs[(number * 2) % len(pairs)]
        change = round((1.0 if number % 3 else -1.0) * (0.1 + 0.37 * (number % 13)), 1)
        flagged = (f"{names[0]} at {at:g} m", f"{names[-1]} at {heights[-1]:g} m") if number in outside else ()
        tension = tuple(0.8 + 0.01 * ((number * 7 + k) % 60) for k in range(len(pairs)))
        lean = tuple(23.4 * (1.0 - number / (steps + 1)) * (h / 78.0) for h in heights)
        word = "let out" if change > 0 else "take in"
        done.append(
            CorrectionStep(number, name, at, change, tension, lean, flagged, f"{word} {abs(change):.1f} cm on {name} at {at:g} m")
        )
    said = ["No tension was read: a stiff mast can stand plumb on guys that are far too tight."] if unread else []
    said += (
        [f"In {len(outside)} of {steps} steps a guy is outside its bounds on the way: hold the mast with the guys of the lift."]
        if outside
        else []
    )
    return Correction(
        heights, guys, tuple(done), sum(abs(s.change_cm) for s in done), tuple(v.lean_cm for v in report(count).levels),
        tuple(0.3 + 0.05 * k for k in range(count)), "The mast is taken as straight pieces hinged at its levels.",
        tuple(said), ("Solved on the real anchors.", "Read again after the last step."),
    )  # fmt: skip


def by_hand(plan: Plan, count: int = 6, steps: int = 7, **changes: object) -> tuple[PlumbSheet, Plan]:
    """A sheet of so many levels and steps, and the plan with guys on these levels."""
    names = ("A2", "B2", "C2")
    made = correction(names, count, steps, outside=(2,) if steps > 2 else ())
    guys = tuple(GuyChord(name, at, "permanent", 6.35, 60.0, 50.0) for at in levels_m(count) for name in names)
    found = PlumbSheet(
        name=plan.name, verdict="fail",
        headline=f"The mast leans 23.4 cm at 78 m, limit 19.50: {steps} steps bring it back.", azimuth_deg=plan.laydown.azimuth_deg,
        temperature_c=8.0, report=report(count), correction=made, no_correction="",
        tensions_read=sum(g.read_kn is not None for g in made.guys),
        tensions_unread=tuple(f"{g.anchor} at {g.attach_m:g} m" for g in made.guys if g.read_kn is None),
        said=SAID, cautions=plan.cautions, plan_run_id=plan.provenance.run_id, run_id=RUN, version=plan.provenance.version, inputs=INPUTS,
    )  # fmt: skip
    return rounded(replace(found, **changes)), rounded(replace(plan, guys=guys))


def read_in_the_demo(plan: Plan, *, lean: bool = True, tensions: int = 18, times: float = 1.0) -> PlumbSheet:
    """The sheet worked out from invented readings: the top leans most, some guys are tighter than set."""
    form = plan.plumb_form
    leans, read = [], []
    for level in form.levels:
        part = level.attach_m / form.levels[0].attach_m
        leans.append(LeanReading(level.attach_m, times * 0.06 * part, -times * 0.09 * part**1.4))
        read += [TensionReading(g.anchor, level.attach_m, g.set_kn * (1.0 + 0.08 * (k - 1))) for k, g in enumerate(level.guys)]
    readings = Readings("readings.csv", tuple(leans) if lean else (), tuple(read[:tensions]), 10.0, SAID)
    return plumb_sheet(plan, readings, INPUTS, RUN)


def sheets() -> dict[str, tuple[PlumbSheet, Plan]]:
    """Every sheet by its name, with the plan that it belongs to."""
    plan = demo()
    letter = replace(plan, paper="Letter")
    unread = correction(("A2", "B2", "C2"), 6, 4, unread=True)
    names = tuple(f"{g} at {at:g} m" for at in levels_m(6) for g in ("A2", "B2", "C2"))
    nothing = correction(("A2", "B2", "C2"), 6, 0)
    made = {
        "six levels": by_hand(plan),
        "six levels, Letter": by_hand(letter),
        "one level": by_hand(plan, 1, 3),
        "one level, Letter": by_hand(letter, 1, 3),
        "forty steps": by_hand(plan, 6, 40),
        "forty steps, Letter": by_hand(replace(letter, name=LONG_NAME), 6, 40),
        "no step": by_hand(
            plan, 6, 0, correction=nothing, report=report(6, 4.0), verdict="pass", headline="The mast stands plumb."
        ),
        "no lean": by_hand(plan, report=None, verdict="unchecked", headline="No lean was read, so plumb is unchecked."),
        "no correction": by_hand(plan, correction=None, no_correction=WHY_NONE),
        "no tension": by_hand(plan, 6, 4, correction=unread, tensions_read=0, tensions_unread=names),
        "long name": by_hand(
            replace(plan, name=LONG_NAME), name=LONG_NAME, headline="The mast leans; " + "a long sentence about it " * 14
        ),
    }
    return made | {
        "read": (read_in_the_demo(plan), plan),
        "read, Letter": (read_in_the_demo(plan, times=2.2), letter),
        "tensions alone": (read_in_the_demo(plan, lean=False), plan),
        "lean alone": (read_in_the_demo(plan, tensions=0), plan),
    }
