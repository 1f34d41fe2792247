"""Tables of record of the lift's forces: every stage, the winch line, the ground below it, the first gin pole, side wind."""

from __future__ import annotations

from siting.figures import CHECK_QUANTITIES, shown
from siting.records.statics import HandLift, LiftStage, LineClearance, SideWind, Statics, WinchLine
from siting.writers.lift.force_words import NO_FIGURE, angle, no_forces
from siting.writers.lift.words import lift_checks
from siting.writers.map.words import VERDICT_WORDS
from siting.writers.paper.flow import Flow
from siting.writers.record_table import record_table

Rows = list[tuple[str, ...]]


def number(value: float | None, kind: str) -> str:
    """A number without its unit; words where the plan has none."""
    return NO_FIGURE if value is None else shown(value, kind, unit=False)


def fill_forces(flow: Flow) -> None:
    """The checks of the lift, then every force of it, from the page's place on."""
    _checks(flow)
    found = flow.plan.statics
    if found is None:
        flow.lines("Forces of the lift", (no_forces(flow.plan),))
        return
    _stages(flow, found)
    _winch_line(flow, found.winch_line)
    if found.clearance is None:
        flow.lines("Gin pole and winch line over the ground", ("NOT CHECKED: the DEM does not hold the ground under them.",))
    else:
        _clearance(flow, found.clearance)
    if found.first_pole is not None:
        _hand_lift(flow, found.first_pole)
    _side_wind(flow, found.side_wind)


def _checks(flow: Flow) -> None:
    """Every check that the lift rests on, and where its limit comes from."""
    rows = []
    for check in lift_checks(flow.plan):
        kind = CHECK_QUANTITIES.get(check.unit, "none")
        limit = f"{'least ' if check.limit_is_least else ''}{shown(check.limit, kind)}"
        rows.append((check.label, shown(check.value, kind), limit, VERDICT_WORDS[check.verdict], check.source))
    heads = (("Check of the lift", "", "words"), ("Found", ""), ("Limit", ""), ("Verdict", ""), ("Where the limit comes from", "", "words"))
    if rows:
        flow.table("Checks of the lift", record_table(flow.sheet, heads, rows, flow.width_mm))


def _stages(flow: Flow, found: Statics) -> None:
    heads = (
        ("Angle", "degrees"), ("Moment", "kNm"), ("Arm", "m"), ("Line", "kN"), ("Winch", "kN"), ("Pole push", "kN"), ("Pole side", "kN"),
        ("Back guy", "kN"), ("Hinge along", "kN"), ("Hinge side", "kN"), ("Hinge up", "kN"), ("Foot up", "kN"),
    )  # fmt: skip
    for stage in found.stages:
        columns = (
            stage.line_kn, stage.winch_pull_kn, stage.gin_pole_compression_kn, stage.gin_pole_side_kn, stage.back_guy_kn,
            stage.hinge_along_kn, stage.hinge_side_kn, stage.hinge_vertical_kn, stage.foot_vertical_kn,
        )  # fmt: skip
        rows: Rows = []
        for k, at_deg in enumerate(stage.angles_deg):
            forces = (number(column[k], "force") for column in columns)
            rows.append((angle(at_deg), number(stage.weight_moment_knm[k], "moment"), number(stage.arm_m[k], "travel"), *forces))
        flow.table(f"Forces: the {stage.raises} goes up by the {stage.by}", record_table(flow.sheet, heads, rows, flow.width_mm))
        if stage.lift_lines:
            _lift_lines(flow, stage)


def _lift_lines(flow: Flow, stage: LiftStage) -> None:
    heads = [("Angle", "degrees"), *((f"at {line.attach_m:g} m", f"kN; {line.length_m:.2f} m long") for line in stage.lift_lines)]
    rows = [
        (angle(at_deg), *(number(line.force_kn[k], "force") for line in stage.lift_lines)) for k, at_deg in enumerate(stage.angles_deg)
    ]
    width_mm = flow.half_mm if len(heads) <= 4 else flow.width_mm
    flow.table(f"Lift lines from the gin pole's tip to the {stage.raises}", record_table(flow.sheet, heads, rows, width_mm))


def _winch_line(flow: Flow, line: WinchLine) -> None:
    heads = (
        ("Angle", "degrees"), ("Arm", "of the gin pole"), ("Length", "m, tip to winch"), ("Wound in", "m, single line"),
        ("Wraps", "on the drum"), ("Layer", "of the drum"), ("Winch's limit", "kN there"),
    )  # fmt: skip
    rows: Rows = []
    for k, at_deg in enumerate(line.angles_deg):
        wraps = "not given" if line.wraps is None else f"{line.wraps[k]:.1f}"
        layer = "not given" if line.layers is None else str(line.layers[k])
        rated = "not given" if line.rated_kn is None else number(line.rated_kn[k], "force")
        rows.append(
            (angle(at_deg), number(line.arm_ratio[k], "ratio"), number(line.length_m[k], "length"), number(line.take_up_m[k], "length"),
             wraps, layer, rated)
        )  # fmt: skip
    flow.table("Winch line", record_table(flow.sheet, heads, rows, flow.width_mm))


def _clearance(flow: Flow, clear: LineClearance) -> None:
    heads = (
        ("Angle", "degrees"), ("Gin pole over ground", "m, least"), ("there", "m from the base"),
        ("Winch line over ground", "m, least; below 0 it bears on it"), ("there", "m from the base"),
    )  # fmt: skip
    rows = [
        (angle(at_deg), number(clear.pole_clear_m[k], "travel"), number(clear.pole_at_m[k], "length"),
         number(clear.line_clear_m[k], "travel"), number(clear.line_at_m[k], "length"))
        for k, at_deg in enumerate(clear.angles_deg)
    ]  # fmt: skip
    title = f"Gin pole and winch line over the ground (the last {shown(clear.end_left_out_m, 'length')} before the winch left out)"
    flow.table(title, record_table(flow.sheet, heads, rows, flow.width_mm))


def _hand_lift(flow: Flow, pole: HandLift) -> None:
    heads = (("Angle", "degrees"), ("At its tip", "kN, square to it"), ("At its tip", "kg"), ("Winch", "kN, by its own line"))
    rows = [
        (angle(at_deg), number(pole.tip_kn[k], "force"), number(pole.tip_kg[k], "mass"), number(pole.winch_pull_kn[k], "force"))
        for k, at_deg in enumerate(pole.angles_deg)
    ]
    title = f"First gin pole, {shown(pole.length_m, 'length')} and {shown(pole.mass_kg, 'mass')}, raised by {pole.raised_by}"
    flow.table(title, record_table(flow.sheet, heads, rows, flow.half_mm))


def _side_wind(flow: Flow, wind: SideWind) -> None:
    if not wind.guys:
        flow.lines("Side guys against a cross wind", (f"{wind.text}.",))
        return
    heads = (("Side anchor", "", "words"), ("From", "m"), ("Largest load", "kN"), ("mast at", "degrees"))
    rows = [(g.anchor, f"{g.attach_m:g}", number(g.largest_kn, "force"), angle(g.largest_at_deg)) for g in wind.guys]
    title = f"Side guys against a cross wind of {shown(wind.wind_m_s, 'speed')}"
    flow.table(title, record_table(flow.sheet, heads, rows, flow.half_mm))


def fill_errors(flow: Flow) -> None:
    """What an error in an anchor's height or place does to travel and pull."""
    found = flow.plan.lift_guys
    if found is None or not found.errors:
        return
    heads = (
        ("Anchor", "", "words"), ("Off in", "", "words"), ("by", "m, either way"), ("Changes", "", "words"), ("Planned", ""),
        ("plus", "higher, nearer the head, out"), ("minus", "lower, nearer the winch, in"), ("Rises by", "at worst"),
    )  # fmt: skip
    rows = []
    for e in found.errors:
        values = ("line cannot lift" if v is None else f"{v:.2f} {e.unit}" for v in (e.planned, e.plus, e.minus, e.worst_rise))
        rows.append((e.anchor, e.way, shown(e.error_m, "travel", unit=False), e.value, *values))
    flow.table("What an error in an anchor's height or place does", record_table(flow.sheet, heads, rows, flow.width_mm))

