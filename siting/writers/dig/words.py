"""What the dig sheet and the terminal say in the same words: verdict of the anchors, what they hold, the call before digging."""

from __future__ import annotations

from dataclasses import dataclass

from siting.figures import CHECK_QUANTITIES, shown
from siting.records.dig import DigPlan, Hole
from siting.records.findings import Check
from siting.records.holding import PINS, PLATE, ROCK_BAR, SCREENING, SCREW, AnchorChoice, Holding, HoldingPlan
from siting.records.plan import Plan
from siting.records.soil import Soil
from siting.verdict import FAIL, MARGINAL, worst
from siting.writers.anchor_names import anchor_name, anchor_names

CALL = "CALL BEFORE YOU DIG: BURIED LINES NOT CHECKED"
CALL_MORE = "Nothing in this plan says that the ground is clear. Give the locate notice, wait until the lines are marked, dig by hand beside the marks."
NO_CLEARANCE = "This is no clearance: buried lines are NOT CHECKED. Call the local one-call or dig-safe service before any ground is opened."
NOTHING_HOLDS = "NOTHING HOLDS"
DO_NOT_RIG = "No guy is fixed here: ask a licensed engineer."
PRESUMPTIVE = "PRESUMPTIVE"
PRESUMED = "strength from a table, not measured: look at the ground, pull every anchor to its proof load."
NO_DESIGN = "LOADS FROM A WIND SCREENING: NO DESIGN"
KIND_WORDS = {SCREW: "Screw anchor", PLATE: "Plate in a pit", ROCK_BAR: "Bar in rock", PINS: "Steel pins"}
KIND_TITLES = {SCREW: "Screw anchors", PLATE: "Plates in pits", ROCK_BAR: "Bars in rock"}
STOP_IF = (
    "the ground is other than written here, soft, filled or wet",
    "a cable, a pipe, a tape or a duct shows",
    "a screw stops short, or its torque is not reached at its depth",
    "a wall cracks, bulges or drops earth; water comes in",
    "an anchor moves under its proof load, or the gauge falls back",
)


@dataclass(frozen=True, slots=True)
class Stop:
    """What tells the crew that an anchor is deep enough: a figure, its unit and what it is; empty where nothing is known."""

    figure: str
    unit: str
    name: str


def holding_verdict(holding: HoldingPlan) -> str:
    """The worst verdict of anchors and base; fail where an anchor has none that holds. No unit."""
    found = [c.verdict for c in holding.checks]
    found += [FAIL for c in holding.anchors if c.chosen is None]
    return worst(found)


def unheld(holding: HoldingPlan) -> tuple[AnchorChoice, ...]:
    """The anchors that nothing holds."""
    return tuple(c for c in holding.anchors if c.chosen is None)


def holding_headline(plan: Plan, holding: HoldingPlan) -> str:
    """The verdict in plain sentences, no unit."""
    checks, none = holding.checks, unheld(holding)
    failing = [c for c in checks if c.verdict == FAIL]
    marginal = [c for c in checks if c.verdict == MARGINAL]
    told = ""
    if none:
        told = f"{len(none)} of {_anchors(len(holding.anchors))} without a kind that holds: {anchor_names(plan, (c.anchor for c in none))}. "
    if failing:
        told += f"{len(failing)} of {len(checks)} checks of anchors and base {'fails' if len(failing) == 1 else 'fail'}."
    elif marginal:
        told += f"{len(marginal)} of {len(checks)} checks of anchors and base {'is' if len(marginal) == 1 else 'are'} within the data's own error of the limit."
    elif checks:
        told += f"All {len(checks)} checks of anchors and base pass on the ground as taken."
    else:
        told += "Nothing could be checked."
    return f"{told} That is no design and no permission to dig."


def _anchors(count: int) -> str:
    return f"{count} anchor{'' if count == 1 else 's'}"


def loud_holding(holding: HoldingPlan) -> tuple[Check, ...]:
    """The checks that fail or are marginal, the failing ones first."""
    return tuple(sorted((c for c in holding.checks if c.verdict in (FAIL, MARGINAL)), key=lambda c: c.verdict != FAIL))


def holding_check_words(check: Check) -> str:
    """A check in a sentence: what was found, the limit, where."""
    kind = {"kN": "force"}.get(check.unit) or CHECK_QUANTITIES.get(check.unit, "none")
    side = "least" if check.limit_is_least else "limit"
    return f"{check.verdict.upper()}: {check.label}: {shown(check.value, kind)}, {side} {shown(check.limit, kind)} ({check.place})."


def deep_holes(dig: DigPlan) -> tuple[Hole, ...]:
    """The holes as deep as the published threshold."""
    return tuple(h for h in dig.holes if h.is_deep)


def deep_words(plan: Plan, dig: DigPlan) -> str:
    """The deep pits by anchor, with their depths; empty where there is none."""
    return ", ".join(f"{anchor_name(plan, h.anchor)} {shown(h.depth_m, 'length')}" for h in deep_holes(dig))


def is_screening(holding: HoldingPlan) -> bool:
    """Whether a load rests on the wind screening."""
    return any(c.load.basis == SCREENING for c in holding.anchors)


def hole_of(dig: DigPlan, anchor: str) -> Hole | None:
    """The hole of an anchor; None where none is dug."""
    return next((h for h in dig.holes if h.anchor == anchor), None)


def stop_at(choice: AnchorChoice, dig: DigPlan) -> Stop:
    """What the crew stops at: the torque of a screw, the depth of a pit, the drilled depth of a bar."""
    held, hole = choice.chosen, hole_of(dig, choice.anchor)
    if held is None:
        return Stop("", "", "")
    if held.torque_knm is not None:
        return Stop(f"{held.torque_knm:.2f}", "kNm", "torque, at full rod")
    if hole is None:
        return Stop("", "", "")
    return Stop(shown(hole.depth_m, "length", unit=False), "m", "pit depth" if hole.work == "pit" else f"{hole.work} depth")


def soils(holding: HoldingPlan) -> tuple[tuple[Soil, tuple[str, ...]], ...]:
    """Each soil that was taken, with its anchors."""
    found: dict[Soil, list[str]] = {}
    for choice in holding.anchors:
        found.setdefault(choice.soil, []).append(choice.anchor)
    return tuple((soil, tuple(names)) for soil, names in found.items())


def strength_words(soil: Soil) -> str:
    """The strength that was taken, with its unit."""
    if soil.friction_deg is not None:
        return f"friction {shown(soil.friction_deg, 'angle')}"
    if soil.undrained_kpa is not None:
        return f"undrained {shown(soil.undrained_kpa, 'stress')}"
    return f"rock: {soil.rock}" if soil.rock else "no strength"


def water_words(soil: Soil) -> str:
    """Water and frost below the ground, metres, or that they are not known."""
    water = "water NOT KNOWN" if soil.water_depth_m is None else f"water at {shown(soil.water_depth_m, 'length')}"
    frost = "frost NOT GIVEN" if soil.frost_depth_m is None else f"frost to {shown(soil.frost_depth_m, 'length')}"
    return f"{water}, {frost}"


def holds_words(held: Holding) -> str:
    """What it holds and what gives way first, with its factor; why not where it is refused."""
    if held.refused or held.allowable_kn is None:
        return f"refused: {held.refused or 'no method holds'}"
    return (
        f"holds {shown(held.allowable_kn, 'force')} ({shown(held.ultimate_kn, 'force')} / {shown(held.safety_factor, 'ratio')}), "
        f"gives way first: {held.governed_by}"
    )


def hole_ref(plan: Plan, hole: Hole) -> str:
    """A hole by the name on its stake and its work; by its own id where that says more."""
    is_plain = hole.id == f"{hole.anchor} {hole.work}"
    return f"{anchor_name(plan, hole.anchor)} {hole.work}" if is_plain else hole.id


def wall_words(hole: Hole) -> str:
    """How far a pit's walls lie back, level to upright; a dash where there is no pit."""
    if hole.work != "pit":
        return "–"
    return "upright" if hole.wall_h_per_v == 0.0 else f"{hole.wall_h_per_v:g} : 1"


def grouped(pairs: tuple[tuple[str, str], ...]) -> tuple[str, ...]:
    """Sentences, each with the names that it holds for: from pairs of a name and a sentence. No unit."""
    found: dict[str, list[str]] = {}
    for name, text in pairs:
        names = found.setdefault(text, [])
        if text and name not in names:
            names.append(name)
    return tuple(f"{', '.join(names)}: {text}" for text, names in found.items() if text)
