"""After the lift: guys go over to their permanent anchors, plumb and straightness, what to take in or let out."""

from __future__ import annotations

from dataclasses import dataclass

from siting.figures import quantity, words
from siting.records.findings import Check

# A kind of number that has no quantity of its own: its unit is the end of the field's name.
CENTIMETRES = "none"
# Two directions nearer to one line than this do not give a place (common practice, no source).
LEAST_CROSSING_DEG = 30.0
SAME_LEVEL_M = 0.05  # heights that differ by less are one level: common practice, no source
# How the plan's warning begins that says why a mast has no form and cannot be plumbed by calculation.
NO_PLUMB_FORM = "No form for plumbing"
MAKE_FAST, SET, LET_GO = "make fast", "set", "let go"


@dataclass(frozen=True, slots=True)
class LeanReading:
    """A level's offset from plumb as two instruments read it. Bearings are clockwise from the laydown, as in a mast file."""

    attach_m: float  # the level, above the hinge
    offset_a_m: float  # positive towards bearing_a_deg
    offset_b_m: float  # positive towards bearing_b_deg
    bearing_a_deg: float = 90.0
    bearing_b_deg: float = 0.0


@dataclass(frozen=True, slots=True)
class TensionReading:
    """A guy's tension as read at its anchor."""

    anchor: str
    attach_m: float
    tension_kn: float


@dataclass(frozen=True, slots=True)
class PlumbOptions:
    """How the readings are judged and the correction is made."""

    least_tension_ratio: float = 0.07  # of the breaking strength: see lift/guy_lengths.py, TENSION_SOURCE
    greatest_tension_ratio: float = 0.15
    reading_error_m: float = 0.01  # one standard deviation of an offset: common practice, no source
    tension_error_ratio: float = 0.05  # of a tension that is read: common practice, no source
    largest_step_m: float = 0.05  # taken in or let out in one go: common practice, no source


@dataclass(frozen=True, slots=True)
class TransferStep:
    """One step of the change from the lift's guys to the permanent ones."""

    number: int = words("of the step, from 1")
    level_m: float | None = quantity("length", "level above the hinge; null for the winch line")
    action: str = words("make fast, set (tension) or let go")
    anchor_from: str = words("stake id of the anchor that is let go; empty where none is")
    anchor_to: str = words(
        "stake id of the permanent anchor that takes hold, or that holds in its place; empty for the winch line"
    )
    held_by: tuple[str, ...] = words("stake ids of what holds that level after the step, the winch line's anchor among them")
    widest_gap_deg: float | None = quantity("angle", "largest angle between two neighbours of them; null for the winch line")
    instruction: str = words("what to do, in plain words")


@dataclass(frozen=True, slots=True)
class Transfer:
    """The order in which the guys go over."""

    steps: tuple[TransferStep, ...] = words("in this order, none left out")
    notes: tuple[str, ...] = words("what the order rests on, in plain words")


@dataclass(frozen=True, slots=True)
class LevelLean:
    """How far a level is off plumb."""

    attach_m: float = quantity("length", "attachment above the hinge, along the mast")
    along_cm: float = quantity(CENTIMETRES, "along the laydown, towards where the head lay positive")
    across_cm: float = quantity(CENTIMETRES, "square to it, to its right positive")
    lean_cm: float = quantity(CENTIMETRES, "both together")
    bearing_deg: float = quantity("bearing", "where it leans, clockwise from the laydown")
    limit_cm: float = quantity(CENTIMETRES, "0.25 % of the height")
    margin_cm: float = quantity(CENTIMETRES, "limit less lean; negative where it is over")
    out_of_line_cm: float | None = quantity(CENTIMETRES, "off the straight line between its neighbours; null for the top level")


@dataclass(frozen=True, slots=True)
class PlumbReport:
    """Plumb and straightness of the mast as read."""

    levels: tuple[LevelLean, ...] = words("from the lowest up")
    checks: tuple[Check, ...] = words("plumb, and straightness where there are two levels")
    notes: tuple[str, ...] = words("what the figures rest on, in plain words")


@dataclass(frozen=True, slots=True)
class GuyCorrection:
    """What one guy needs in all."""

    anchor: str = words("stake id of the anchor")
    attach_m: float = quantity("length", "attachment above the hinge, along the mast")
    change_cm: float = quantity(CENTIMETRES, "let out positive, take in negative; to the millimetre")
    before_kn: float = quantity("force", "tension at the anchor before: read, or what fits the lean")
    after_kn: float = quantity("force", "tension at the anchor once every step is done")
    least_kn: float = quantity("force", "least that it may carry")
    greatest_kn: float = quantity("force", "greatest that it may carry")
    read_kn: float | None = quantity("force", "as read; null where it was not")


@dataclass(frozen=True, slots=True)
class CorrectionStep:
    """One guy taken in or let out, and how the mast stands then. Lists follow the correction's `guys` and `levels_m`."""

    number: int = words("of the step, from 1")
    anchor: str = words("stake id of the anchor")
    attach_m: float = quantity("length", "attachment above the hinge, along the mast")
    change_cm: float = quantity(CENTIMETRES, "let out positive, take in negative; to the millimetre")
    tension_kn: tuple[float, ...] = quantity("force", "of every guy at its anchor after the step")
    lean_cm: tuple[float, ...] = quantity(CENTIMETRES, "of every level after the step")
    outside: tuple[str, ...] = words("guys outside their bounds after the step; empty where none is")
    instruction: str = words("what to do, and what the level's guys carry then, in plain words")


@dataclass(frozen=True, slots=True)
class Correction:
    """How the mast is brought back to plumb."""

    levels_m: tuple[float, ...] = quantity("length", "levels of permanent guys above the hinge, from the lowest up")
    guys: tuple[GuyCorrection, ...] = words("every permanent guy")
    steps: tuple[CorrectionStep, ...] = words("in this order; empty where nothing is to be done")
    total_cm: float = quantity(CENTIMETRES, "length moved in all, in and out added")
    before_cm: tuple[float, ...] = quantity(CENTIMETRES, "lean of every level before")
    after_cm: tuple[float, ...] = quantity(CENTIMETRES, "lean of every level once every step is done, by calculation")
    assumes: str = words("how the mast is taken: straight between its levels and hinged there, or as a beam")
    warnings: tuple[str, ...] = words("readings that do not fit, bounds that a step leaves")
    notes: tuple[str, ...] = words("what the correction rests on, in plain words")


@dataclass(frozen=True, slots=True)
class FormDirection:
    """Where an instrument stands and which way it counts."""

    name: str = words("A or B")
    stand_deg: float = quantity("bearing", "bearing of the instrument from the base, clockwise from the laydown")
    positive_deg: float = quantity("bearing", "where a positive offset lies, clockwise from the laydown: to the observer's right")
    text: str = words("the same in plain words")


@dataclass(frozen=True, slots=True)
class FormGuy:
    """A guy's box on the form."""

    anchor: str = words("stake id of the anchor")
    set_kn: float = quantity("force", "set tension at the reference temperature")
    least_kn: float = quantity("force", "least that it may carry")
    greatest_kn: float = quantity("force", "greatest that it may carry")


@dataclass(frozen=True, slots=True)
class FormLevel:
    """A level's row on the form: offset A, offset B, and each guy's tension are left blank."""

    attach_m: float = quantity("length", "attachment above the hinge, along the mast")
    limit_cm: float = quantity(CENTIMETRES, "largest offset from plumb, both directions together")
    guys: tuple[FormGuy, ...] = words("its guys")


@dataclass(frozen=True, slots=True)
class StandingLevel:
    """A level of permanent guys."""

    attach_m: float = quantity("length", "attachment above the hinge, along the mast")
    weight_kn: float = quantity("force", "what mast and loads put on it")


@dataclass(frozen=True, slots=True)
class StandingGuy:
    """A permanent guy as the plan has it: where it is held, of what, how tight."""

    anchor: str = words("stake id of the anchor")
    attach_m: float = quantity("length", "attachment above the hinge, along the mast")
    along_m: float = quantity("coordinate", "anchor from the hinge, along the laydown")
    right_m: float = quantity("coordinate", "anchor from the hinge, to the right of the laydown")
    above_m: float = quantity("coordinate", "ground at the anchor above the hinge; negative below it")
    strand: str = words("name of its strand, as in the cut list")
    set_kn: float = quantity("force", "set tension at the anchor, at the reference temperature")


@dataclass(frozen=True, slots=True)
class Standing:
    """The mast in its permanent guys: what plumbing it is worked out with."""

    levels: tuple[StandingLevel, ...] = words("from the lowest up")
    guys: tuple[StandingGuy, ...] = words("by level from the lowest up, then in the mast file's order")
    stiffness_knm2: float = quantity("stiffness", "of the mast as a beam; 0: straight pieces hinged at the levels")
    assumes: str = words("how the mast is taken, in plain words")


@dataclass(frozen=True, slots=True)
class PlumbForm:
    """The form to write the readings into."""

    directions: tuple[FormDirection, ...] = words("the two instruments")
    levels: tuple[FormLevel, ...] = words("from the top down, as they are sighted")
    blanks: tuple[str, ...] = words("what else to write down")
    how: tuple[str, ...] = words("how to read, in plain words")
