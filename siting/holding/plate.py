"""Buried plate (deadman) square to its rod: what it holds against a pull that is part upward, part level."""

from __future__ import annotations

import math

from siting.holding.breakout import SHALLOWEST_RATIO, clay_factor, sand_factor
from siting.holding.earth_pressure import active_ratio, cohesive_push_kpa, passive_ratio
from siting.holding.ground_cover import GroundLine, bank_fault, known_fault
from siting.holding.ladder import STEP_M, pick, walk
from siting.holding.refusal import out_of_range, refused
from siting.records.holding import PLATE, AnchorLoad, AnchorWants, CapacityPart, Holding
from siting.records.soil import COHESIVE, GRANULAR, ROCK, Soil

# On the passive force: 2 to 3 in granular ground, 1.5 to 2 in cohesive (UFC 3-220-20 eq. 4-29); on uplift 2 to 2.5 (Das,
# read in lecture notes). The safest that applies.
SAFETY_FACTORS = {GRANULAR: 3.0, COHESIVE: 2.5}
# Of the pull above the horizontal. Near either end one of the two parts alone decides: common practice, no source.
ANGLES_DEG = (10.0, 70.0)
FRICTION_RANGE_DEG = (20.0, 48.0)  # of the breakout table
CLAY_BREAKOUT_DEG = 30.0  # from upright, how far the plug widens in cohesive ground: common practice, no source
LONGEST_ROD_M = 12.0  # a trench for the rod, and no further from the stake: common practice, no source
LAST_STEP = int(LONGEST_ROD_M / STEP_M + 1e-6)
PIT_ROUNDING_M = 1e-9
SOURCE = (
    "upward: Meyerhof and Adams 1968, in cohesive ground Meyerhof 1973; level: passive less active push (UFC 3-220-20 "
    "Fig. 4-39), no ends; straight between both; factor: UFC 3-220-20 eq. 4-29, Das"
)


def upward_kn(soil: Soil, cover_m: float, size_m: tuple[float, float]) -> float:
    """What a flat plate holds when pulled straight up, kN.

    Granular: area x vertical stress x breakout factor. Cohesive: area x (su x factor + vertical stress). The vertical
    stress at the plate is taken to grow evenly from the ground down, which is less than it is above water.

    Args:
        cover_m: of the plate's middle; size_m: its two sides.
    Raises:
        OutOfMethod: strength not known, friction outside 20 to 48 degrees, or plate shallower than it is wide.
    Source: see siting/holding/breakout.py.
    """
    width, length = min(size_m), max(size_m)
    area, stress = width * length, soil.pressure_kpa(cover_m)
    if soil.kind == GRANULAR and soil.friction_deg is not None:
        return area * stress * sand_factor(soil.friction_deg, cover_m, width, length)
    if soil.kind == COHESIVE and soil.undrained_kpa is not None:
        return area * (soil.undrained_kpa * clay_factor(cover_m, width, length) + stress)
    raise out_of_range(f"ground: {soil.description}", "has no strength that a plate's holding rests on", "give the ground's strength")


def level_kn(soil: Soil, depth_m: float, size_m: tuple[float, float], slopes_deg: tuple[float, float] = (0.0, 0.0)) -> float:
    """What an upright plate holds when pulled level, kN: push of the ground before it less that behind it, on its face only.

    What the ground beside both ends adds (Ovesen's factor, up to 2) is left out.

    Args:
        depth_m: of the plate's middle; size_m: (length, height) of its face.
        slopes_deg: how steeply the ground falls in the way of the pull, and rises behind; below 0 taken as 0.
    Raises:
        OutOfMethod: strength not known, the face comes out of the ground, or the ground slopes too steeply.
    Source: UFC 3-220-20 Fig. 4-39(b), Caltrans Trenching and Shoring Manual eq. 10-2-36 with R = 1.
    """
    length, height = size_m
    top, bottom = depth_m - height / 2.0, depth_m + height / 2.0
    if top < 0.0:
        raise out_of_range(f"plate {height:.2f} m high, {depth_m:.2f} m deep", "comes out of the ground", "lay it deeper")
    fall, rise = slopes_deg
    stress = (soil.pressure_kpa(top) + soil.pressure_kpa(bottom)) / 2.0  # below the true mean where water lies between
    if soil.kind == GRANULAR and soil.friction_deg is not None:
        push = stress * max(passive_ratio(soil.friction_deg, fall) - active_ratio(soil.friction_deg, rise), 0.0)
    elif soil.kind == COHESIVE and soil.undrained_kpa is not None:
        push = cohesive_push_kpa(soil.undrained_kpa, stress, fall)
    else:
        raise out_of_range(f"ground: {soil.description}", "has no strength that a plate's holding rests on", "give the ground's strength")
    return push * length * height


def combined_kn(upward: float, level: float, angle_deg: float) -> float:
    """Pull at an angle that a plate holds, kN: level part / level + upward part / upward = 1; a steeper pull is never stronger.

    What a body in the ground holds in any direction encloses the straight line between two pulls that it holds (it is
    convex: two states of stress that the ground bears, mixed, are one that it bears). The plate turns with the pull, so
    the line is a lower bound only as far as the turned plate holds no less than the flat one upward and the upright one
    level; printed tests on turned plates (Maiah, Das and Picornell 1986, from memory) lie above it. Where the plate holds
    more upward than level, the line turns up again towards a steep pull; there its lowest value is kept, since the army's
    table of deadmen (tests/outside/test_holding_published.py) has a steeper pull weaker throughout.

    Raises:
        OutOfMethod: angle outside 10 to 70 degrees.
    Source: convexity of limit loads (Drucker, Prager and Greenberg 1952).
    """
    if not ANGLES_DEG[0] <= angle_deg <= ANGLES_DEG[1]:
        raise out_of_range(
            f"pull at {angle_deg:.1f}°", f"a plate is worked out from {ANGLES_DEG[0]:.0f}° to {ANGLES_DEG[1]:.0f}°",
            "move the anchor, or have it designed",
        )  # fmt: skip
    return slanting_kn(upward, level, math.radians(angle_deg))


def slanting_kn(upward: float, level: float, angle_rad: float) -> float:
    """The formula of combined_kn, kN, without a look at its range."""
    if upward <= 0.0 or level <= 0.0:
        return 0.0
    angle = min(angle_rad, math.atan2(level, upward))
    return 1.0 / (math.cos(angle) / level + math.sin(angle) / upward)


def unfit(soil: Soil, angle_deg: float) -> str:
    """Why no plate is worked out there, in words; empty where one is; no unit."""
    if soil.kind == ROCK:
        return "no pit for a plate is dug in rock, and no method of the sheet holds for one there"
    if soil.is_organic:
        return "organic ground: no method holds there"
    if (soil.undrained_kpa if soil.kind == COHESIVE else soil.friction_deg) is None:
        return "the ground's strength is not known"
    if soil.kind == GRANULAR and not FRICTION_RANGE_DEG[0] <= soil.friction_deg <= FRICTION_RANGE_DEG[1]:
        return f"friction angle {soil.friction_deg:.0f}°: the method holds from {FRICTION_RANGE_DEG[0]:.0f}° to {FRICTION_RANGE_DEG[1]:.0f}°"
    if not ANGLES_DEG[0] <= angle_deg <= ANGLES_DEG[1]:
        return f"the pull is at {angle_deg:.0f}°: a plate is worked out from {ANGLES_DEG[0]:.0f}° to {ANGLES_DEG[1]:.0f}°"
    return ""


class Plate:
    """One plate in one ground: faults and figures by the rod's length in steps."""

    def __init__(self, load: AnchorLoad, soil: Soil, line: GroundLine, wants: AnchorWants, size_m: tuple[float, float]) -> None:
        self.load, self.soil, self.line, self.wants, self.size = load, soil, line, wants, size_m
        self.factor = wants.safety_factor or SAFETY_FACTORS[soil.kind]
        angle = math.radians(load.angle_deg)
        self.sin, self.cos = math.sin(angle), math.cos(angle)
        self.half_upright_m = size_m[1] / 2.0 * self.cos  # the plate leans back: square to the rod
        if soil.kind == GRANULAR:
            # The passive wedge reaches 45 + phi/2 from upright; the plug over the plate widens by phi/2 (from memory).
            self.wedge = math.tan(math.radians(45.0 + soil.friction_deg / 2.0))
            self.plug = math.tan(math.radians(soil.friction_deg / 2.0))
        else:
            self.wedge, self.plug = 1.0, math.tan(math.radians(CLAY_BREAKOUT_DEG))

    def place(self, step: int) -> tuple[float, float, float]:
        """Distance out from the stake, below the ground straight above, reach of the ground that gives way; m."""
        out = step * STEP_M * self.cos
        depth = step * STEP_M * self.sin + self.line.rise_m(out)
        return out, depth, max(depth + self.size[1] / 2.0, 0.0) * self.wedge

    def cover_m(self, step: int) -> float:
        """Of the plate's middle below the lowest ground that would break out upwards."""
        out, depth, _ = self.place(step)
        reach = max(self.size) / 2.0 + max(depth, 0.0) * self.plug
        return step * STEP_M * self.sin + self.line.lowest_m(out, reach)

    def too_far(self, step: int) -> str:
        """Words where the rod is too long for the pit or for the ground that is known, or ends at a bank; empty where it is not."""
        if step * STEP_M * self.cos > self.line.s_m[-1]:
            return known_fault(self.line, step * STEP_M * self.cos, 0.0)
        out, depth, reach = self.place(step)
        pit = depth + self.half_upright_m
        if pit > self.wants.plate_deepest_m + PIT_ROUNDING_M:
            return f"the pit would be {pit:.2f} m deep, more than the {self.wants.plate_deepest_m:.2f} m set"
        reach = max(reach, max(self.size) / 2.0 + max(depth, 0.0) * self.plug)
        return known_fault(self.line, out, reach) or bank_fault(self.line, out, reach)

    def level_depth_m(self, step: int) -> float:
        """Depth that the level part counts. The slope before the plate takes what falls on the line, so that in granular
        ground only what lies lower beside the line is taken off; in cohesive ground, where depth adds weight only, the cover.
        """
        out, depth, reach = self.place(step)
        return depth - self.line.hidden_m(out, reach) if self.soil.kind == GRANULAR else min(self.cover_m(step), depth)

    def need_m(self) -> float:
        """How deep its middle must lie: as deep as it is wide, its face in the ground, its edge below frost."""
        need = max(SHALLOWEST_RATIO * min(self.size), self.size[1] / 2.0)
        if self.soil.frost_depth_m is not None:
            need = max(need, self.soil.frost_depth_m + self.half_upright_m)
        return need

    def too_shallow(self, step: int) -> str:
        """Words where the plate lies less deep than it must; empty where it does not."""
        lies, need = min(self.cover_m(step), self.level_depth_m(step)), self.need_m()
        if lies >= need:
            return ""
        return f"the plate's middle lies {max(lies, 0.0):.1f} m deep, it needs {need:.1f} m (as deep as it is high, and below frost)"

    def result(self, step: int) -> Holding:
        """What it holds at a step without such a fault; refused, without a reason, at step 0."""
        size = f"plate {self.size[0]:.2f} m long, {self.size[1]:.2f} m high"
        if not step:
            return refused(PLATE, size, self.factor, "", SOURCE)
        out, depth, reach = self.place(step)
        cover = self.cover_m(step)
        upward = upward_kn(self.soil, cover, self.size)
        slopes = (self.line.steepest_fall_deg(out, -reach), self.line.steepest_rise_deg(out, reach))
        level = level_kn(self.soil, self.level_depth_m(step), self.size, slopes)
        ultimate = combined_kn(upward, level, self.load.angle_deg)
        lifts = self.sin * level > self.cos * upward
        return Holding(
            kind=PLATE, size=size, ultimate_kn=ultimate, safety_factor=self.factor, allowable_kn=ultimate / self.factor,
            governed_by="breakout upwards" if lifts else "push of the ground before the plate",
            parts=(CapacityPart("pulled straight up", upward), CapacityPart("pulled level", level)),
            rod_m=step * STEP_M, depth_m=depth, cover_m=cover, torque_knm=None, refused="", source=SOURCE,
            face_m=self.size, end_m=step * STEP_M,
        )  # fmt: skip


def hold_plate(load: AnchorLoad, soil: Soil, line: GroundLine, wants: AnchorWants) -> Holding:
    """The least plate that holds the load, as shallow as it does, or the strongest, or why none; kN and m.

    Source: see SOURCE; rods in line with the pull, to LONGEST_ROD_M.
    """
    factor = wants.safety_factor or SAFETY_FACTORS.get(soil.kind, max(SAFETY_FACTORS.values()))
    reason = unfit(soil, load.angle_deg)
    nothing = refused(PLATE, "buried plate", factor, reason or "no plate is listed", SOURCE)
    if reason:
        return nothing

    def tries():
        for size in wants.plates_m:
            plate = Plate(load, soil, line, wants, size)
            yield walk(LAST_STEP, plate.too_far, plate.too_shallow, plate.result, load.load_kn)

    return pick(tries(), load.load_kn, nothing)


def pit_depth_m(holding: Holding, angle_deg: float, height_m: float) -> float:
    """Depth of the pit of a plate, m: to its lower edge, below the ground straight above.

    Source: geometry: the plate lies square to its rod.
    """
    return holding.depth_m + height_m / 2.0 * math.cos(math.radians(angle_deg))
