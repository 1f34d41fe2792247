"""The forces of the lift in the words of the sheet and of the terminal: pulls, what to watch, what the numbers rest on."""

from __future__ import annotations

from siting.figures import shown
from siting.records.plan import Plan
from siting.records.statics import LiftStage

NO_FIGURE = "no figure"
MAKE_AGAIN = "This plan does not hold them: make it again with siting plan."


def main_stage(plan: Plan) -> LiftStage | None:
    """The stage that raises the mast; None where the plan has no forces."""
    return plan.statics.stages[-1] if plan.statics else None


def no_forces(plan: Plan) -> str:
    """Why the plan has no forces of the lift, in words, no unit."""
    told = [w for w in plan.warnings if w.startswith("No forces of the lift")]
    if told:
        return told[0]
    has_winch = any(s.role == "winch" for s in plan.stakes)
    return f"Forces of the lift: NOT WORKED OUT. {MAKE_AGAIN if has_winch else 'The mast file has no winch anchor.'}"


def pulls(plan: Plan) -> tuple[tuple[str, str, str], ...]:
    """Name, figure and place of each pull that the crew must know; nothing where the plan has no forces."""
    stage = main_stage(plan)
    if stage is None:
        return ()
    return (
        ("At the start", force(stage.start_pull_kn), f"at {angle(stage.angles_deg[0])}"),
        ("Largest to 80°", force(stage.largest_pull_kn), f"at {angle(stage.largest_pull_at_deg)}"
         if stage.largest_pull_at_deg is not None else "the line fails before 80°"),
        ("From 80° on", force(stage.end_pull_kn), "to the take-over or plumb" if stage.end_pull_kn is not None else "the line fails there"),
    )  # fmt: skip


def force(value_kn: float | None) -> str:
    """A force with its unit, or that there is none."""
    return NO_FIGURE if value_kn is None else shown(value_kn, "force")


def angle(value_deg: float | None) -> str:
    """A mast angle in degrees, without decimals where it has none to show."""
    if value_deg is None:
        return "–"
    return f"{value_deg:.0f}°" if abs(value_deg - round(value_deg)) < 0.05 else f"{value_deg:.1f}°"


def pull_at(plan: Plan, angle_deg: float) -> str:
    """The winch pull at one of the table's angles, kN as text; words where there is none."""
    stage = main_stage(plan)
    if stage is None:
        return "–"
    for at_deg, pull_kn in zip(stage.angles_deg, stage.winch_pull_kn, strict=True):
        if abs(at_deg - angle_deg) < 1e-3:
            return NO_FIGURE if pull_kn is None else shown(pull_kn, "force", unit=False)
    return "–"


def watch(plan: Plan) -> tuple[str, ...]:
    """What the forces say must be watched, in the plan's words."""
    found = plan.statics
    if found is None:
        return (no_forces(plan),)
    stage = found.stages[-1]
    texts = [f"Winch line: {found.winch_line.text}."]
    if found.clearance is not None:
        texts.append(f"Ground: {found.clearance.text}.")
    else:
        texts.append("Ground under gin pole and winch line: NOT CHECKED, the DEM does not hold it.")
    texts.append(f"Take-over: {stage.takeover}.")
    if stage.pole_pulled_from_deg is not None:
        texts.append(f"From {angle(stage.pole_pulled_from_deg)} on the gin pole is pulled off its foot, not pushed onto it: pin it down.")
    if stage.uplift_at_deg:
        texts.append(f"The hinge, or the mast's foot alone, is pulled up at {', '.join(angle(a) for a in stage.uplift_at_deg)}.")
    reasons = dict.fromkeys(r for r in stage.no_number if r)
    texts += [f"No number: {r}." for r in reasons]
    texts.append(f"Cross wind: {found.side_wind.text}.")
    texts.append(f"Drum: {found.winch_line.drum_text}.")
    if found.bending is not None:
        texts.append(f"Bending: {found.bending.text}.")
    if found.first_pole is not None:
        texts.append(f"First gin pole: {found.first_pole.text}.")
    return tuple(t.replace("..", ".") for t in texts)


def lift_notes(plan: Plan) -> tuple[str, ...]:
    """What the lift's numbers rest on and leave out, in the plan's words."""
    texts: tuple[str, ...] = ()
    if plan.statics is not None:
        texts += plan.statics.remarks
        if plan.statics.loads.left_out:
            texts += (f"Not in the pull: {'; '.join(plan.statics.loads.left_out)}.",)
        texts += (f"Guys' weight: {plan.statics.loads.guys_model}.",)
    return (*texts, *(plan.lift_guys.notes if plan.lift_guys else ()))
