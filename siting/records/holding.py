"""What holds the guys: the load at each anchor, what each kind of anchor holds in that ground, the kind taken, its rod."""

from __future__ import annotations

from dataclasses import dataclass

from siting.figures import quantity, words
from siting.records.findings import Check
from siting.records.soil import Soil

SCREW, PLATE, ROCK_BAR, PINS = "screw", "plate", "rock_bar", "pins"
MAKER, SCREENING, BREAKING, LIFT = "maker", "wind screening", "breaking strength", "lift"
TORQUE = "moment"


@dataclass(frozen=True, slots=True)
class GroundAt:
    """The ground around one anchor, in metres; `out` is along the guy's plan line away from the base."""

    s_m: tuple[float, ...] = quantity("length", "distances outward from the stake, negative towards the base")
    rise_m: tuple[float, ...] = quantity("length", "ground there above the ground at the stake")
    across_percent: float = quantity("percent", "slope square to that line")
    slope_percent: float = quantity("percent", "Horn slope at the stake")
    lowest_rise_m: tuple[float, ...] = quantity("length", "lowest ground within each radius of `radii_m` about the stake, above it")
    radii_m: tuple[float, ...] = quantity("length", "those radii")


@dataclass(frozen=True, slots=True)
class AnchorWants:
    """What the user fixes of the anchors; the ladders of sizes are generic: common practice, no source."""

    kind: str = "auto"  # auto, screw, plate or rock_bar
    safety_factor: float | None = None  # on the soil; None: each method's own
    proof_ratio: float = 1.25  # proof load / working load: UFC 3-220-20 5-5.2.2 (proof test)
    screw_diameters_m: tuple[tuple[float, ...], ...] = ((0.254,), (0.305,), (0.254, 0.305), (0.305, 0.356), (0.254, 0.305, 0.356))
    screw_shaft: str = "square 38 mm"  # a shaft of the published torque factors
    screw_torque_limit_knm: float | None = None  # the maker's; None: not held against one
    screw_longest_m: float = 6.0  # along the rod, what a crew turns in: common practice, no source
    plates_m: tuple[tuple[float, float], ...] = ((0.6, 0.3), (0.9, 0.3), (1.2, 0.3), (1.5, 0.45), (1.8, 0.6), (2.4, 0.6), (3.0, 0.9), (4.0, 0.9))  # length, height
    plate_deepest_m: float = 3.0  # what is dug by machine without a designed support: common practice, no source
    bar_bond_longest_m: float = 6.0
    bar_diameter_m: float = 0.025
    bar_yield_mpa: float = 500.0
    pins: int = 4  # steel pins of the base plate: common practice, no source
    pin_length_m: float = 1.5
    pin_diameter_m: float = 0.03


@dataclass(frozen=True, slots=True)
class WindInput:
    """The wind of the screening estimate; without a speed there is none."""

    basic_m_s: float | None = None  # 10 minutes' mean, 10 m above open ground, as the national annex maps it
    terrain: str = "II"  # terrain category of EN 1991-1-4 Table 4.1
    source: str | None = None  # map or annex that the speed was read from


@dataclass(frozen=True, slots=True)
class GuyLoad:
    """One guy's part in an anchor's load."""

    attach_m: float = quantity("length", "attachment above the hinge")
    tension_kn: float = quantity("force", "at the anchor")
    angle_deg: float = quantity("angle", "of the guy at the anchor, above the horizontal")


@dataclass(frozen=True, slots=True)
class AnchorLoad:
    """The pull that an anchor must take, before any factor of safety."""

    anchor: str = words("stake id of the anchor")
    basis: str = words("maker, wind screening, breaking strength or lift")
    load_kn: float = quantity("force", "pull along the rod")
    angle_deg: float = quantity("angle", "of that pull above the horizontal: lay the rod on it")
    away_deg: float = quantity("bearing", "true azimuth from the base to the anchor: the rod runs down on that side")
    upward_kn: float = quantity("force", "upward part")
    level_kn: float = quantity("force", "level part, towards the base")
    guys: tuple[GuyLoad, ...] = words("the guys that it is made of")
    text: str = words("what the load rests on, in plain words; screening is no design")
    source: str = words("where it comes from")


@dataclass(frozen=True, slots=True)
class CapacityPart:
    """One part of what an anchor holds."""

    name: str = words("what it is")
    value_kn: float = quantity("force", "its share, or the limit that it sets")


@dataclass(frozen=True, slots=True)
class Holding:
    """What one anchor of one size holds in one ground."""

    kind: str = words("screw, plate, rock_bar or pins")
    size: str = words("its size in plain words")
    ultimate_kn: float | None = quantity("force", "pull along the rod at which it gives way; null where no method holds")
    safety_factor: float = quantity("ratio", "ultimate / allowable")
    allowable_kn: float | None = quantity("force", "ultimate / factor")
    governed_by: str = words("which part gives way first")
    parts: tuple[CapacityPart, ...] = words("the parts")
    rod_m: float | None = quantity("length", "along the rod, from the ground at the stake to the anchor's middle")
    depth_m: float | None = quantity("length", "of the anchor's middle below the ground straight above it")
    cover_m: float | None = quantity("length", "the same below the lowest ground that would break out: what the method counts")
    torque_knm: float | None = quantity(TORQUE, "screw: turn it in until this is reached, kNm; else null")
    refused: str = words("why no method holds; empty where one does")
    source: str = words("method and factor, with their sources")
    face_m: tuple[float, ...] = quantity(
        "travel", "screw: diameters of its plates from the tip up; plate: length and height; bar or pins: diameter; empty where refused", ()
    )
    end_m: float | None = quantity("length", "along the rod to its far end: a screw's tip, a plate, the end of a bar's bond", None)


@dataclass(frozen=True, slots=True)
class AnchorChoice:
    """One anchor: its ground, its load, what each kind holds, the kind taken and why."""

    anchor: str = words("stake id of the anchor")
    soil: Soil = words("the ground")
    load: AnchorLoad = words("the pull")
    options: tuple[Holding, ...] = words("each kind at the least size that holds, or at its largest, or refused")
    chosen: Holding | None = words("the kind taken; null where none holds")
    reasons: tuple[str, ...] = words("why this one, in plain sentences")
    proof_kn: float | None = quantity("force", "pull it to this and watch it; null where none holds")
    warnings: tuple[str, ...] = words("slope, bank, water, frost: what the crew must know")
    ground: GroundAt | None = words("the ground around it, as far as it was looked at", None)


@dataclass(frozen=True, slots=True)
class BaseHold:
    """What holds the base plate while the mast goes up."""

    soil: Soil = words("the ground at the base")
    push_kn: float | None = quantity("force", "largest level force of hinge on base in the lift; null without the lift's forces")
    uplift_kn: float | None = quantity("force", "largest upward pull on the base in the lift; 0 where it is only pressed; null without")
    pins: Holding = words("what the steel pins hold against the level force")
    pins_uplift: Holding = words("what they hold against being drawn")
    text: str = words("in plain words, and what to do where they do not hold")
    buried: Holding | None = words("a buried plate on the laydown's side, tied to the base plate: against the level force", None)
    tie_deg: float = quantity("angle", "of its rod below the horizontal", 0.0)
    tie_kn: float | None = quantity("force", "in its rod where it takes the whole level force; null without one", None)
    tie_away_deg: float = quantity("bearing", "true azimuth of that rod's downward run: the laydown's", 0.0)
    needs_tie: bool = words("true where the pins do not hold the level force and the buried plate does: it is dug", False)


@dataclass(frozen=True, slots=True)
class HoldingPlan:
    """What holds the mast."""

    anchors: tuple[AnchorChoice, ...] = words("every anchor, permanent, temporary and winch, as in the mast file")
    base: BaseHold = words("the base plate")
    checks: tuple[Check, ...] = words("one check for each anchor and up to two for the base; the plan's own list holds the failures, the base and the tightest anchor")
    method: tuple[str, ...] = words("how the figures are worked out and what they leave out, in plain words")
