"""The temporary guys and the winch line through the lift: lengths, what to let out, what mends a side anchor."""

from __future__ import annotations

from dataclasses import dataclass

from siting.figures import quantity, words

CENTIMETRES = "centimetres"


@dataclass(frozen=True, slots=True)
class LiftStop:
    """A mast angle at which the crew stops and looks after one line."""

    angle_deg: float = quantity("angle", "mast above the horizontal")
    length_m: float = quantity("travel", "attachment (winch line: gin pole's tip) to anchor, straight")
    change_cm: float = quantity(CENTIMETRES, "since the last stop, whole centimetres: let out positive, take in negative")
    since_rest_cm: float = quantity(CENTIMETRES, "since the rest line, whole centimetres")
    peak_cm: float = quantity(
        CENTIMETRES, "what the line must give on the way here before it is taken in again; 0 where it need not"
    )
    instruction: str = words("what to do, in plain words")


@dataclass(frozen=True, slots=True)
class LiftGuy:
    """One line through the whole lift."""

    anchor: str = words("stake id of the anchor")
    attach_m: float | None = quantity("length", "attachment above the hinge, along the mast; null for the winch line")
    role: str = words("side, back (follows the whole lift) or winch")
    travel_m: float = quantity("travel", "largest minus smallest length over the whole lift")
    tightest_m: float = quantity("travel", "largest length: a guy of one length is tightest there")
    tightest_at_deg: float = quantity("angle", "mast angle of the largest length")
    slackest_m: float = quantity("travel", "smallest length: a guy of one length is slackest there")
    slackest_at_deg: float = quantity("angle", "mast angle of the smallest length")
    stops: tuple[LiftStop, ...] = words("from the rest line to plumb")


@dataclass(frozen=True, slots=True)
class AnchorMove:
    """One way to bring a side anchor's travel under the limit."""

    way: str = words("along the laydown, across it, or height")
    move_m: float | None = quantity(
        "travel", "least move: along towards the head, across outward, height upward positive; null where none does it"
    )
    travel_m: float | None = quantity("travel", "largest travel of the anchor's guys then")
    bearing_deg: float | None = quantity("bearing", "of the moved anchor, clockwise from the laydown: as in a mast file")
    radius_m: float | None = quantity("coordinate", "of the moved anchor, from the base")
    best_move_m: float = quantity("travel", "the move with the least travel of all within reach")
    best_travel_m: float = quantity("travel", "that travel")
    text: str = words("the move in plain words")


@dataclass(frozen=True, slots=True)
class AzimuthMend:
    """A laydown azimuth of the sweep on which the side guys stay under the limit."""

    azimuth_deg: float = quantity("bearing", "true azimuth")
    turn_deg: float = quantity("bearing", "from the plan's azimuth, clockwise positive")
    travel_m: float = quantity("travel", "largest travel of a side guy there")
    verdict: str = words("of all checks there: pass, marginal or fail")


@dataclass(frozen=True, slots=True)
class SideMend:
    """A side anchor over the limit, and what would mend it."""

    anchor: str = words("stake id of the side anchor")
    attach_m: float = quantity("length", "attachment of the guy that travels most")
    travel_m: float = quantity("travel", "its travel")
    limit_m: float = quantity("travel", "what it is held against")
    moves: tuple[AnchorMove, ...] = words("along, across and height, each alone")


@dataclass(frozen=True, slots=True)
class AnchorError:
    """What an error in one anchor's height or place does to the lift."""

    anchor: str = words("stake id of the anchor")
    way: str = words("height, along the laydown or across it")
    error_m: float = quantity("travel", "the error, either way")
    value: str = words("travel or pull")
    unit: str = words("m or kN")
    planned: float = quantity("none", "as planned, in `unit`")
    plus: float | None = quantity(
        "none", "with the anchor higher, nearer the head or farther out; null where the line cannot lift"
    )
    minus: float | None = quantity("none", "with it lower, nearer the winch or farther in; null where the line cannot lift")
    per_metre: float | None = quantity(
        "none", "central difference, in `unit` for each metre; tells little where both errors raise the value"
    )
    worst_rise: float | None = quantity(
        "none", "by how much the worse of the two raises the value, at least 0; null where the line cannot lift"
    )


@dataclass(frozen=True, slots=True)
class LiftGuys:
    """Every line of the lift."""

    stops_deg: tuple[float, ...] = quantity("angle", "where the crew stops: the rest line, 0, and every ten degrees to plumb")
    lines: tuple[LiftGuy, ...] = words("side guys, back guys, winch line, in the mast file's order")
    mends: tuple[SideMend, ...] = words("side anchors over the travel limit; empty where none is")
    azimuths: tuple[AzimuthMend, ...] = words(
        "azimuths without such an anchor, nearest first; empty where none is needed or there is none"
    )
    errors: tuple[AnchorError, ...] = words("what an error in an anchor's height or place does")
    notes: tuple[str, ...] = words("what the lengths rest on, in plain words")
