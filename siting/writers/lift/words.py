"""What the lift sheet and the terminal say in the same words: verdict of the lift, wind stop, lines overhead, keep-out, hold points."""

from __future__ import annotations

from dataclasses import dataclass

from siting.figures import CHECK_QUANTITIES, shown
from siting.records.findings import Check, Unchecked
from siting.records.lift_guys import LiftGuy
from siting.records.plan import Plan, Stake
from siting.units import turn_deg
from siting.verdict import FAIL, MARGINAL, PASS, UNCHECKED, worst
from siting.writers.lift.force_words import MAKE_AGAIN

# Kinds of the checks that a lift rests on; of the obstacles only lines overhead block it.
OF_THE_LIFT = ("winch_use", "mast_bending", "pole_clearance", "line_clearance")
LIFT_KINDS = ("side_guy_travel", "winch_arm", *OF_THE_LIFT, "power_line", "rest_slope", "gap", "laydown_slope", "anchor_slope")
OBSTACLE = "fall_zone_obstacle"
OVERHEAD_NAMES = ("overhead", "power", "wire")
LIFT_UNCHECKED = ("overhead_line", "side_guy_travel", "winch_arm", *OF_THE_LIFT, "terrain_detail")

NOT_SET = "WIND STOP NOT SET: NOTHING IS RAISED"
SET_IT = "Write wind_stop_m_s, wind_stop_height_m and wind_stop_averaging under [lift] in the site file and make the plan again."
FAILS_NAMED = 2  # on the first page; all of them stand in the table of checks
DO_NOT_RAISE = "DO NOT RAISE HERE"
NOT_CHECKED = "NOT CHECKED"
DEFER = "Defer to the mast maker, local codes and a licensed engineer."
NO_SOURCE = "common practice, no source"
SLOPES_FROM = "from the DEM: confirm with a level"
# The cautions that stand on the first page; all of them stand on the last.
FIRST_CAUTIONS = (4, 5, 6)

BEFORE = (
    "Rigging seen, piece by piece",
    "Anchors tested",
    "Lines overhead and locates done",
    "People counted, all outside",
    "Wind read, below the stop",
    "Radio check, all answered",
)
LIFT_OFF = "Lift off a little: stop, look"
STOP_AT_DEG = (10.0, 45.0, 80.0)
PLUMB = "Plumb: guys held on three sides"
STOP_IF = (
    "the wind reaches the stop, a gust front, lightning, poor sight",
    "the pull passes the figure for that angle",
    "a side guy goes tight or slack, a line jams or slips",
    "the mast bows, twists or leans to a side",
    "anchor, base, gin pole or winch moves",
    "anybody or any vehicle is inside the keep-out",
    "a radio fails, or anybody calls stop",
    "the plan changes: a change is a stop",
)


@dataclass(frozen=True, slots=True)
class Overhead:
    """What is known of lines overhead: whether it blocks, the words in capitals, and the sentence beside them."""

    is_blocking: bool
    capitals: str  # empty where nothing has to be shouted
    text: str


@dataclass(frozen=True, slots=True)
class Zone:
    """A piece of ground that nobody stands on: its name, its reach in metres as text, and where it lies."""

    name: str
    figure: str
    where: str


def lift_checks(plan: Plan) -> tuple[Check, ...]:
    """The checks that the lift rests on, in the plan's order."""
    return tuple(c for c in plan.checks if c.kind in LIFT_KINDS or _is_overhead(c))


def _is_overhead(check: Check) -> bool:
    return check.kind == OBSTACLE and any(name in check.id.partition(":")[2] for name in OVERHEAD_NAMES)


def lift_verdict(plan: Plan) -> str:
    """The worst verdict of those checks, no unit."""
    return worst(c.verdict for c in lift_checks(plan))


def lift_unchecked(plan: Plan) -> tuple[Unchecked, ...]:
    """What could not be checked of the lift."""
    return tuple(u for u in plan.unchecked_detail if u.id.partition(":")[0] in (*LIFT_UNCHECKED, "power_line"))


def lift_headline(plan: Plan) -> str:
    """The verdict of the lift in one plain sentence, no unit."""
    checks, missing = lift_checks(plan), lift_unchecked(plan)
    failing = sum(c.verdict == FAIL for c in checks)
    marginal = sum(c.verdict == MARGINAL for c in checks)
    if failing:
        found = f"{failing} of {len(checks)} checks of the lift {'fails' if failing == 1 else 'fail'}"
    elif marginal:
        found = f"{marginal} of {len(checks)} checks of the lift {'is' if marginal == 1 else 'are'} within the data's own error of the limit"
    else:
        found = f"All {len(checks)} checks of the lift that could be made pass"
    found = f"{found}; {len(missing)} could NOT be made." if missing else f"{found}."
    return found if failing else f"{found} That is no permission to lift."


def check_words(check: Check) -> str:
    """A check in a sentence: what was found, the limit, where."""
    kind = CHECK_QUANTITIES.get(check.unit, "none")
    found = f"{check.label}: {shown(check.value, kind)}, {'least' if check.limit_is_least else 'limit'} {shown(check.limit, kind)}"
    return f"{check.verdict.upper()}: {found} ({check.place})"


def loud_checks(plan: Plan) -> tuple[Check, ...]:
    """The checks of the lift that fail or are marginal, in the plan's order."""
    return tuple(c for c in lift_checks(plan) if c.verdict in (FAIL, MARGINAL))


def wind_words(plan: Plan) -> tuple[str, str]:
    """The wind stop as a figure with its unit and the words beside it; NOT_SET and what to do where there is none."""
    stop = plan.wind_stop
    if stop is None:
        return NOT_SET, SET_IT
    return shown(stop.value_m_s, "speed"), f"measured {shown(stop.height_m, 'length')} above ground, averaged: {stop.averaging}"


def overhead(plan: Plan) -> Overhead:
    """What the plan knows of lines overhead. A line inside the fall circle, or nearer than its voltage asks for, blocks; none
    known is not checked."""
    lines = [c for c in plan.checks if _is_overhead(c)]
    inside = [c for c in lines if c.verdict == FAIL]
    if inside:
        near = min(inside, key=lambda c: c.value)
        return Overhead(True, DO_NOT_RAISE, f"Overhead: {_line_words(near)}.")
    blocking = next((line for line in plan.power_lines if line.verdict == FAIL), None)
    if blocking is not None:
        return Overhead(True, DO_NOT_RAISE, f"Overhead: {_first_sentence(blocking.text.removeprefix(f'{DO_NOT_RAISE}.').strip())}")
    missing = next((u for u in plan.unchecked_detail if u.id == "overhead_line"), None)
    if missing is not None or not lines:
        why = missing.missing if missing else "the plan knows of no overhead line"
        return Overhead(False, NOT_CHECKED, f"Overhead lines: {why}. Look for them on site, all round, before anything is raised.")
    near = min(lines, key=lambda c: c.value)
    told = next((line for line in plan.power_lines if line.verdict != PASS), plan.power_lines[0] if plan.power_lines else None)
    if told is None:
        text = f"Nearest overhead line known: {_line_words(near)}. The clearance that its voltage asks for comes on top: ask its owner."
        return Overhead(False, "MARGINAL" if near.verdict == MARGINAL else "", text)
    capitals = {MARGINAL: "MARGINAL", UNCHECKED: NOT_CHECKED}.get(told.verdict, "MARGINAL" if near.verdict == MARGINAL else "")
    return Overhead(False, capitals, f"Nearest overhead line known: {_first_sentence(told.text)}")


def _first_sentence(text: str) -> str:
    """The figures of a finding; what they rest on stands in the plan and on the land sheet."""
    head, stop, _ = text.partition(". ")
    return f"{head}." if stop else text


def _line_words(check: Check) -> str:
    return f"{check.place}, {shown(check.value, 'length')} away; the mast reaches {shown(check.limit, 'length')}"


def side_stakes(plan: Plan) -> tuple[Stake, ...]:
    """The stakes of the side anchors, in the plan's order."""
    ids = {s.id for s in plan.shapes if s.kind == "side_guy"}
    return tuple(s for s in plan.stakes if s.id in ids)


def lift_stakes(plan: Plan) -> tuple[Stake, ...]:
    """Base and anchors, in the plan's order: where the crew stands and holds."""
    return tuple(s for s in plan.stakes if s.role in ("base", "permanent", "temporary", "winch"))


def zones(plan: Plan) -> tuple[Zone, ...]:
    """The ground to keep free while the mast moves. Radii around the base, metres on the ground."""
    reach, azimuth_deg = shown(plan.land.fall_radius_m, "length"), plan.laydown.azimuth_deg
    found = [Zone("Fall circle", reach, "all round the base: total height")]
    turns = {turn_deg(azimuth_deg, s.azimuth_deg): s for s in side_stakes(plan)}
    where = "the whole side of the laydown"
    if turns and min(turns) < 0.0 < max(turns):
        where = f"{turns[min(turns)].point} over HEAD to {turns[max(turns)].point}"
    found.append(Zone("Tilt sector", reach, where))
    sides = side_stakes(plan)
    backs = tuple(s for s in plan.stakes if s.role == "temporary" and s not in sides)
    for name, held in (("Side guys", sides), ("Back guys", backs)):
        if held:
            farthest = shown(max(s.radius_m for s in held), "length")
            found.append(Zone(name, farthest, f"base to {', '.join(s.point for s in held)}, and in line behind"))
    winch = next((s for s in plan.stakes if s.role == "winch"), None)
    found.append(Zone("Behind hinge", reach, "half circle away from the laydown"))
    if winch is not None:
        found.append(Zone("Winch line", shown(winch.radius_m, "length"), f"base to {winch.point}, and in line behind"))
    return tuple(found)


def hold_points(plan: Plan) -> tuple[str, ...]:
    """The points at which the crew stops and checks, in order: common practice, no source. Angles in degrees."""
    rest_deg = plan.laydown.rest_angle_deg
    stops = [f"Stop at {deg:.0f}°" for deg in STOP_AT_DEG if deg > rest_deg]
    return (*BEFORE, LIFT_OFF, *stops, PLUMB)


def no_lines(plan: Plan) -> str:
    """Why the plan has no lines of the lift, in words, no unit."""
    has_lines = bool(plan.guys) or any(s.role == "winch" for s in plan.stakes)
    return MAKE_AGAIN if has_lines else "The mast file has no guys and no winch: there is nothing to let out or to take in."


def no_guys(plan: Plan, use: str = "") -> str:
    """Why the plan has no cut list, or with a use no tensions, in words, no unit."""
    if any(use in ("", guy.use) for guy in plan.guys):
        return MAKE_AGAIN
    return "The mast file has no permanent guys: there is nothing to set." if use else "The mast file has no guys: there is nothing to cut."


def loud_words(plan: Plan) -> str:
    """The worst of what fails or is marginal, and how many more there are; empty where nothing does."""
    loud = loud_checks(plan)
    texts = [f"{check_words(c)}." for c in loud[:FAILS_NAMED]]
    if len(loud) > FAILS_NAMED:
        texts.append(f"And {len(loud) - FAILS_NAMED} more: see Checks of the lift.")
    return " ".join(texts)


def lines_by_anchor(plan: Plan) -> tuple[LiftGuy, ...]:
    """The lines of the lift, those of an anchor together: its crew holds them all. Nothing where there are none."""
    lines = plan.lift_guys.lines if plan.lift_guys else ()
    order = list(dict.fromkeys(line.anchor for line in lines))
    return tuple(sorted(lines, key=lambda line: order.index(line.anchor)))


def line_name(plan: Plan, line: LiftGuy) -> tuple[str, str]:
    """The point's name of a line's anchor, and where the line leaves the mast."""
    at = "gin pole's tip" if line.attach_m is None else f"from {line.attach_m:g} m"
    point = next((s.point for s in plan.stakes if s.id == line.anchor), line.anchor)
    return point, f"{line.role} line, {at}" if line.role == "winch" else f"{line.role} guy, {at}"


def mend_texts(plan: Plan) -> tuple[str, ...]:
    """What mends each side anchor over the travel limit, in the plan's words; nothing where none is over it."""
    found = plan.lift_guys
    if found is None:
        return ()
    texts = []
    for mend in found.mends:
        texts.append(
            f"{mend.anchor} IS OVER THE LIMIT: its guy from {mend.attach_m:g} m travels {shown(mend.travel_m, 'travel')}, "
            f"limit {shown(mend.limit_m, 'travel')}."
        )
        texts += [f"{mend.anchor}, {move.way}: {move.text}." for move in mend.moves]
    if found.mends:
        turns = [f"{shown(a.azimuth_deg, 'bearing')} ({a.travel_m:.2f} m, {a.verdict})" for a in found.azimuths[:4]]
        texts.append(f"Or lay the mast towards {', '.join(turns)}." if turns else "No azimuth of the sweep brings every side guy under it.")
    return tuple(t.replace("..", ".") for t in texts)
