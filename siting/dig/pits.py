"""The pit of a plate anchor: where it lies, how its walls stand, how much earth comes out."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from siting.dig.earthwork import Floor, HeightAt, pit_volume_m3, rim, slot_m3
from siting.dig.rules import ENGINEER, PROTECTION, ROCK, TYPE_C, TYPE_WORDS, WALL_H_PER_V, is_at_least, is_beyond
from siting.errors import OutOfMethod
from siting.figures import shown
from siting.records.soil import COHESIVE, GRANULAR, Soil
from siting.records.soil import ROCK as ROCK_KIND

# Loosened volume / volume in place. Source: US Army FM 5-434, soil conversion factors (sand 1.11, common earth 1.25, clay
# 1.43, blasted rock 1.50), from memory; a public collection of published figures, read: dry gravel 1.15, clay 1.35 to 1.40.
COMMON_EARTH = 1.25
BULKING = {GRANULAR: 1.15, COHESIVE: 1.40, ROCK_KIND: 1.50}
BULKING_SOURCE = "US Army FM 5-434, soil conversion factors, from memory"
NOT_KNOWN = "nothing known"


@dataclass(frozen=True, slots=True)
class PitWants:
    """How much room a pit has. Common practice, no source."""

    work_room_m: float = 0.3  # beyond each end of the plate
    floor_width_m: float = 0.6  # along the guy, at least
    slot_width_m: float = 0.3  # of the rod trench: a narrow bucket
    has_cave_in_signs: bool = False  # true: walls are laid back at any depth


@dataclass(frozen=True, slots=True)
class Pit:
    """A pit in its own frame: u outward along the rod, v to its right, from the stake, metres."""

    floor: Floor
    opening_m: np.ndarray  # (8, 3) u, v and height above the stake
    depth_m: float  # of the floor below the ground over its middle
    wall_m: float  # of the highest wall
    top_length_m: float
    top_width_m: float
    pit_m3: float
    slot_m3: float  # rod trench, where it is not in the pit
    slot_m: float  # its level length
    slot_depth_m: float
    is_deep: bool
    support: str


def bulking_ratio(soil: Soil) -> float:
    """Loosened volume / volume in place of a soil, no unit. Source: see BULKING_SOURCE."""
    return COMMON_EARTH if soil.basis == NOT_KNOWN else BULKING[soil.kind]


def wall_type(soil: Soil, depth_m: float) -> tuple[str, str]:
    """Type of the walls and why it is not the soil's own, empty where it is; no unit.

    Ground under water is type C (29 CFR 1926 Subpart P App. A, from memory).

    Raises:
        OutOfMethod: the soil's type is none of rock, A, B, C.
    """
    if soil.excavation_type not in WALL_H_PER_V:
        raise OutOfMethod.of(
            "dig_range", f"excavation type '{soil.excavation_type}'", "is none of rock, A, B and C", "name one of them"
        )
    wet = soil.water_depth_m is not None and soil.water_depth_m < depth_m
    if wet and soil.excavation_type not in (ROCK, TYPE_C):
        return TYPE_C, f"{TYPE_WORDS[TYPE_C]}, because water stands over the pit's bottom"
    return soil.excavation_type, ""


def plan_pit(
    plate_m: tuple[float, float], rod_m: float, angle_deg: float, soil: Soil, height_at: HeightAt, wants: PitWants
) -> Pit:
    """The pit of a plate at the end of a rod: metres and cubic metres.

    The rod goes down outward from the ground at the stake. The plate's middle is at its end; the plate stands square to it,
    so its lower edge is height/2 x cos(angle) below that.

    Args:
        plate_m: length and height; rod_m: along the rod; angle_deg: of the rod below the horizontal.
        height_at: ground above the ground at the stake, metres, at (u, v).
    Raises:
        OutOfMethod: over the ground, no ground known, walls deeper than 20 ft, or walls that never meet the ground.
    """
    angle = math.radians(angle_deg)
    length_m, height_m = plate_m
    bottom_m = -rod_m * math.sin(angle) - height_m / 2.0 * math.cos(angle)
    sizes = (
        rod_m * math.cos(angle), max(wants.floor_width_m, height_m), length_m + 2.0 * wants.work_room_m, bottom_m,
    )  # fmt: skip
    upright = Floor(*sizes, 0.0)
    straight = rim(upright, height_at)
    depth_m = float(height_at(np.array([upright.u_m]), np.array([0.0]))[0]) - bottom_m
    wall_m = float(straight[:, 2].max()) - bottom_m
    kind, why = wall_type(soil, wall_m)
    laid = Floor(*sizes, WALL_H_PER_V[kind])
    deep = is_at_least(wall_m, PROTECTION)
    lay_back = (deep or wants.has_cave_in_signs) and laid.wall_h_per_v > 0.0
    floor, opening = (laid, rim(laid, height_at)) if lay_back else (upright, straight)
    wall_m = max(wall_m, float(opening[:, 2].max()) - bottom_m)
    if is_beyond(wall_m, ENGINEER):
        raise OutOfMethod.of(
            "dig_range", "the anchor's pit", f"a wall of it would be {shown(wall_m, 'length')} high, over 20 ft (6.1 m)",
            f"have a registered engineer design how it is held ({ENGINEER.source}), or choose another anchor",
        )  # fmt: skip
    slot, slot_m, slot_deep_m = slot_m3(floor, math.tan(angle), wants.slot_width_m, height_at)
    top_width_m, top_length_m = (float(np.ptp(opening[:, k])) for k in (0, 1))
    return Pit(
        floor=floor,
        opening_m=opening,
        depth_m=depth_m,
        wall_m=wall_m,
        top_length_m=top_length_m,
        top_width_m=top_width_m,
        pit_m3=pit_volume_m3(floor, opening, height_at),
        slot_m3=slot,
        slot_m=slot_m,
        slot_depth_m=slot_deep_m,
        is_deep=deep,
        support=_support(laid, kind, why, wall_m, (deep, lay_back)),
    )


def _support(laid: Floor, kind: str, why: str, wall_m: float, state: tuple[bool, bool]) -> str:
    """How the walls are made safe, in plain words.

    Args:
        state: is it deep, are its walls laid back.
    """
    is_deep, lay_back = state
    name = why or TYPE_WORDS[kind]
    ratio = f"{laid.wall_h_per_v:g} m level for each metre of height ({name})"
    high = f"highest wall {shown(wall_m, 'length')}"
    if kind == ROCK:
        return f"Upright walls, only in stable rock as a competent person finds it; {high}. Broken rock is no stable rock."
    if is_deep:
        return (
            f"DEEP PIT: NOBODY GOES IN BETWEEN UPRIGHT WALLS. Lay all four walls back at least {ratio}, or shore or shield them; "
            f"{high}. A competent person names the soil's type on site."
        )
    if lay_back:
        return f"Lay all four walls back at least {ratio}: there are signs of a cave-in; {high}."
    return (
        f"Upright walls, only if a competent person finds no sign of a cave-in; else lay all four walls back at least {ratio}, "
        f"about {shown(laid.wall_h_per_v * wall_m, 'length')} more on every side; {high}."
    )
