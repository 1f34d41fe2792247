"""Plans for the tests of the profiles and the rose: the demonstration, a 60 m mast, gaps in the ground, strands that nobody named."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

from strategies import plan_of, ready_folder
from synthetic import plane, rough_ground
from writers.lift_plans import NO_WINCH, demo, many, small

from siting.records.plan import Plan, RuledOut, RunnerUp
from siting.writers.profiles.sectors import KINDS

HOLE = (-38.0, 22.0, 5.0)  # where an anchor stands for some laydowns
LETTERS = "".join(letter for letter, _ in KINDS.values())


def holed(folder: Path) -> Plan:
    """Rough ground with a hole in the DEM: some directions cannot be judged."""
    ready_folder(folder, rough_ground(7, amplitude_m=1.2, slope_percent=5.0, uphill_deg=230.0), half_width_m=140.0, hole=HOLE)
    return plan_of(folder)


def unknown_strand(folder: Path) -> Plan:
    """The 60 m mast whose permanent guys have neither strand nor diameter, laid downhill by its user, off the whole degrees."""
    ready_folder(folder, plane(6.0, 40.0), half_width_m=140.0)
    path = folder / "mast.toml"
    path.write_text(re.sub(r"diameter_mm = 4.0\n", "", path.read_text(encoding="utf-8"), count=2), encoding="utf-8")
    return plan_of(folder, laydown={"azimuth_deg": 218.4})


def level(folder: Path) -> Plan:
    """Level ground on US paper: every direction is allowed."""
    ready_folder(folder, plane(0.0, 0.0), half_width_m=140.0)
    return plan_of(folder, sheet={"paper": "Letter"})


def every_kind(plan: Plan) -> Plan:
    """The same plan as if every kind of check, known or not, ruled some directions out, the rest marginal or passing."""
    names = [*KINDS, "a_new_rule"]
    lay = plan.laydown
    runs = tuple(RuledOut(30.0 * k, 30.0 * k + 20.0, kind, f"the words of {kind}") for k, kind in enumerate(names))

    def judged(candidate):
        number, past = divmod(candidate.azimuth_deg, 30.0)
        if number < len(names) and past <= 20.0:
            return replace(candidate, verdict="fail", worst_utilisation=2.0)
        return replace(candidate, verdict="marginal" if past < 26.0 else "pass", worst_utilisation=0.3 + candidate.azimuth_deg % 7.0 / 10.0)

    others = tuple(RunnerUp(azimuth, 1.0, 1.1, "fail", "a <made up> & odd reason") for azimuth in (272.0, 180.0, 1.0))
    candidates = tuple(judged(c) for c in lay.candidates)
    return replace(plan, laydown=replace(lay, azimuth_deg=90.0, ruled_out=runs, candidates=candidates, runners_up=others))


def plans(folder: Path) -> dict[str, Plan]:
    """Every plan by its name."""
    made = {
        "demo": demo(),
        "60 m": small(folder / "small"),
        "many": many(folder / "many"),
        "hole": holed(folder / "hole"),
        "unknown strand": unknown_strand(folder / "strand"),
        "level, Letter": level(folder / "level"),
        "no guys": small(folder / "bare", mast={"guys": (), "anchors": NO_WINCH[:3]}),
        "long sections": small(folder / "long", mast={"section_length_m": 70.0}),
        "short sections": small(folder / "short", mast={"section_length_m": 0.75}),
    }
    made["every kind"] = every_kind(made["hole"])
    return made | {f"{name}, Letter": replace(made[name], paper="Letter") for name in ("demo", "many", "every kind")}
