"""The ground along the laydown and along every guy: cribbing under the lying mast, guys as they hang, how high over the ground."""

from __future__ import annotations

from dataclasses import dataclass

from siting.figures import quantity, words


@dataclass(frozen=True, slots=True)
class Joint:
    """A joint between two sections of the mast as it lies on its rest line."""

    along_m: float = quantity("length", "from the hinge along the mast: a whole number of sections, the first as long as the mast file says")
    s_m: float = quantity("length", "horizontal ground distance from the base")
    ground_m: float = quantity("length", "ground there above the ground at the base; negative below it")
    cribbing_m: float = quantity("travel", "rest line above the ground there: what to crib up; never below 0")


@dataclass(frozen=True, slots=True)
class Hang:
    """A guy as it hangs at its set tension with the mast plumb, from its anchor up to the mast."""

    attach_m: float = quantity("length", "attachment above the hinge, along the mast")
    use: str = words("permanent, or temporary: rigged for the lift only")
    x_m: tuple[float, ...] = quantity("length", "points of the guy: horizontal distance from the base, the anchor first")
    z_m: tuple[float, ...] = quantity("length", "the same points above the ground at the base")
    clear_m: float | None = quantity(
        "travel",
        "least height of the guy over the known ground, from 3 m off the anchor to the mast (from half way, where the anchor is "
        "nearer than 6 m); of the part nearer to the anchor only where the guy would lie below the ground; null without ground",
    )
    clear_at_m: float | None = quantity("length", "where that is, horizontal distance from the base; null without ground")
    straight_because: str = words("why the guy is taken as a straight line; empty where it hangs")


@dataclass(frozen=True, slots=True)
class GuyProfile:
    """The ground from the base to an anchor and 5 m past it, with the guys that the anchor holds."""

    anchor: str = words("stake id of the anchor")
    s_m: tuple[float, ...] = quantity("length", "horizontal ground distance from the base, steps of 1 m at most")
    ground_m: tuple[float | None, ...] = quantity(
        "length", "ground there above the ground at the base; null where the DEM has none"
    )
    hangs: tuple[Hang, ...] = words("its guys, in the mast file's order")


@dataclass(frozen=True, slots=True)
class Profiles:
    """The ground under the lying mast's joints, and along the plan line of every guy."""

    laydown_joints: tuple[Joint, ...] = words("every joint, from the hinge on")
    guys: tuple[GuyProfile, ...] = words("one for each anchor that holds a guy, in the mast file's order")
