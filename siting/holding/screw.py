"""Screw anchor: what its plates bear against the ground above them, and the torque that shows it while it is turned in."""

from __future__ import annotations

import math

from siting.holding.ground_cover import GroundLine, bank_fault, known_fault
from siting.holding.ladder import STEP_M, pick, walk
from siting.holding.refusal import out_of_range, refused
from siting.records.holding import SCREW, AnchorLoad, AnchorWants, CapacityPart, Holding
from siting.records.soil import COHESIVE, GRANULAR, ROCK, Soil

# Torque factor (1/m) and side or diameter (m) of a shaft. ICC-ES AC358 defaults: 10, 10, 9 and 7 per foot, read as
# listed in makers' data sheets.
SHAFTS = {
    "square 38 mm": (32.8, 0.038),
    "square 44 mm": (32.8, 0.044),
    "round 73 mm": (29.5, 0.073),
    "round 89 mm": (23.0, 0.089),
}
SAFETY_FACTOR = 2.0  # ICC-ES AC358 (allowable = ultimate / 2), from memory
CLAY_FACTOR = 9.0  # deep plate: UFC 3-220-20 eq. 6-27 (Brinch Hansen 1957)
CLAY_GROWTH = 1.2  # its growth with depth / diameter, round plate: Meyerhof 1973, from memory
SPACING_RATIO = 3.0  # plates along the shaft, of the lower one: common practice, no source
COVER_RATIO = 5.0  # upper plate below ground, of the largest: UFC 3-220-20 6-4.7
FROST_RATIO = 1.0  # upper plate below frost, of its diameter: common practice, no source
STRESS_RATIO = 20.0  # vertical stress grows no more below this many diameters: common practice, no source
LEAST_ANGLE_DEG = 20.0  # flatter, the rod is too long for its depth: common practice, no source
# UFC 3-220-20 6-4.7 has no screws in hard ground; the figures for it (N = 50, hard clay) are Terzaghi and Peck's, from memory.
HARD_FRICTION_DEG, HARD_UNDRAINED_KPA = 41.0, 200.0
FRICTION_RANGE_DEG = (20.0, HARD_FRICTION_DEG)
SOURCE = (
    "individual bearing (Hoyt and Clemence 1989), Nq of the published tieback example, Nc 9 (UFC 3-220-20 eq. 6-27); "
    "factor 2.0 and torque factors: ICC-ES AC358"
)


def sand_factor(friction_deg: float) -> float:
    """Bearing / vertical stress of a screw plate in granular ground: 0.5 (12 phi)^(phi/54), phi in degrees; no unit.

    Raises:
        OutOfMethod: friction angle outside 20 to 41 degrees.
    Accuracy: the printed 17 at 32 degrees (tests/outside/test_holding_published.py).
    Source: published worked example of a helical tieback.
    """
    low, high = FRICTION_RANGE_DEG
    if not low <= friction_deg <= high:
        raise out_of_range(
            f"friction angle {friction_deg:.1f}°", f"a screw's bearing is worked out from {low:.0f}° to {high:.0f}°", "take a plate"
        )
    return 0.5 * (12.0 * friction_deg) ** (friction_deg / 54.0)


def plate_bearing_kn(soil: Soil, cover_m: float, diameter_m: float, area_m2: float) -> float:
    """What one screw plate bears, kN: area x 9 su in cohesive ground, area x vertical stress x Nq in granular.

    In cohesive ground the 9 is 1.2 cover / diameter where that is less; in granular ground the stress is counted to a
    cover of 20 diameters.

    Args:
        cover_m: below the lowest ground that would break out; area_m2: of the plate less the shaft.
    Raises:
        OutOfMethod: the strength is not known, or outside the method's range.
    Source: individual bearing: Hoyt and Clemence 1989; factors as beside the constants of this module.
    """
    if soil.kind == COHESIVE and soil.undrained_kpa is not None:
        return area_m2 * min(CLAY_FACTOR, CLAY_GROWTH * cover_m / diameter_m) * soil.undrained_kpa
    if soil.kind == GRANULAR and soil.friction_deg is not None:
        stress = soil.pressure_kpa(min(cover_m, STRESS_RATIO * diameter_m))
        return area_m2 * stress * sand_factor(soil.friction_deg)
    raise out_of_range(f"ground: {soil.description}", "has no strength that a screw's bearing rests on", "give the ground's strength")


def stop_torque_knm(ultimate_kn: float, shaft: str) -> float:
    """Torque at which a screw holds an ultimate pull, kNm: pull / torque factor of its shaft.

    Raises:
        OutOfMethod: no torque factor for the shaft.
    Source: ICC-ES AC358; the factor as published with it, see SHAFTS.
    """
    return ultimate_kn / _shaft(shaft)[0]


def _shaft(name: str) -> tuple[float, float]:
    if name not in SHAFTS:
        raise out_of_range(f"shaft {name!r}", "has no published torque factor", f"take one of: {', '.join(SHAFTS)}")
    return SHAFTS[name]


def _net_area_m2(diameter_m: float, shaft: str) -> float:
    side = _shaft(shaft)[1]
    return math.pi / 4.0 * diameter_m**2 - (side**2 if shaft.startswith("square") else math.pi / 4.0 * side**2)


def unfit(soil: Soil, angle_deg: float) -> str:
    """Why no screw is turned in there, in words; empty where one is; no unit.

    Source: UFC 3-220-20 6-4.7 (not in hard ground, large gravel or cobbles); organic ground and angle: no source.
    """
    if soil.kind == ROCK:
        return "a screw does not enter rock"
    if soil.is_organic:
        return "organic ground: no method holds there"
    if soil.has_cobbles:
        return "a screw is not for ground with gravel or cobbles (UFC 3-220-20 6-4.7)"
    if soil.friction_deg is not None and soil.friction_deg > HARD_FRICTION_DEG:
        return f"very dense ground (friction angle above {HARD_FRICTION_DEG:.0f}°): a screw is not for hard ground"
    if soil.undrained_kpa is not None and soil.undrained_kpa > HARD_UNDRAINED_KPA:
        return f"hard clay (strength above {HARD_UNDRAINED_KPA:.0f} kPa): a screw is not for hard ground"
    if soil.friction_deg is not None and soil.friction_deg < FRICTION_RANGE_DEG[0]:
        return f"friction angle below {FRICTION_RANGE_DEG[0]:.0f}°: outside the method"
    if (soil.undrained_kpa if soil.kind == COHESIVE else soil.friction_deg) is None:
        return "the ground's strength is not known"
    if not LEAST_ANGLE_DEG <= angle_deg <= 90.0:
        return f"the pull is at {angle_deg:.0f}°: a screw in line with a guy flatter than {LEAST_ANGLE_DEG:.0f}° gets too long for its depth"
    return ""


class _Screw:
    """One set of plates in one ground: faults and figures by the rod's length in steps."""

    def __init__(self, load: AnchorLoad, soil: Soil, line: GroundLine, wants: AnchorWants, diameters_m: tuple[float, ...]) -> None:
        self.load, self.soil, self.line, self.wants, self.diameters = load, soil, line, wants, diameters_m
        self.factor = wants.safety_factor or SAFETY_FACTOR
        self.sin, self.cos = math.sin(math.radians(load.angle_deg)), math.cos(math.radians(load.angle_deg))
        above, self.above_tip_m = 0.0, []
        for diameter in diameters_m:  # from the tip upwards
            self.above_tip_m.append(above)
            above += SPACING_RATIO * diameter
        self.areas = [_net_area_m2(d, wants.screw_shaft) for d in diameters_m]

    def depth_m(self, along_m: float) -> float:
        """Below the ground straight above."""
        return along_m * self.sin + self.line.rise_m(along_m * self.cos)

    def cover_m(self, along_m: float) -> float:
        """Below the lowest ground within 45 degrees of it."""
        reach = max(self.depth_m(along_m), 0.0)
        return along_m * self.sin + self.line.lowest_m(along_m * self.cos, reach)

    def too_far(self, step: int) -> str:
        tip = step * STEP_M
        if tip * self.cos > self.line.s_m[-1]:
            return known_fault(self.line, tip * self.cos, 0.0)
        reach = max(self.depth_m(tip), 0.0)
        return known_fault(self.line, tip * self.cos, reach) or bank_fault(self.line, tip * self.cos, reach)

    def too_shallow(self, step: int) -> str:
        upper, largest = step * STEP_M - self.above_tip_m[-1], max(self.diameters)
        need = COVER_RATIO * largest
        if self.soil.frost_depth_m is not None:
            need = max(need, self.soil.frost_depth_m + FROST_RATIO * self.diameters[-1])
        cover = self.cover_m(upper) if upper > 0.0 else 0.0
        return "" if cover >= need else f"the upper plate lies {max(cover, 0.0):.1f} m deep, it needs {need:.1f} m (5 diameters, and below frost)"

    def result(self, step: int) -> Holding:
        tip = step * STEP_M
        size = f"plates {' + '.join(f'{d * 1000:.0f}' for d in self.diameters)} mm, shaft {self.wants.screw_shaft}, tip {tip:.1f} m along the rod"
        if not step:
            return refused(SCREW, size.rsplit(",", 1)[0], self.factor, "", SOURCE)
        rows = list(zip(self.diameters, self.above_tip_m, self.areas, strict=True))
        parts = [
            CapacityPart(f"plate {d * 1000:.0f} mm", plate_bearing_kn(self.soil, self.cover_m(tip - up), d, area)) for d, up, area in rows
        ]
        ultimate, governs = sum(part.value_kn for part in parts), "bearing of the plates"
        if self.wants.screw_torque_limit_knm is not None:
            limit = self.wants.screw_torque_limit_knm * _shaft(self.wants.screw_shaft)[0]
            parts.append(CapacityPart("limit of the shaft's torque", limit))
            if limit < ultimate:
                ultimate, governs = limit, "torque that the shaft may take"
        middle = tip - self.above_tip_m[-1] / 2.0
        holds = ultimate / self.factor >= self.load.load_kn
        torque = stop_torque_knm(self.load.load_kn * self.factor, self.wants.screw_shaft) if holds else None
        return Holding(
            kind=SCREW, size=size, ultimate_kn=ultimate, safety_factor=self.factor, allowable_kn=ultimate / self.factor,
            governed_by=governs, parts=tuple(parts), rod_m=middle, depth_m=self.depth_m(middle), cover_m=self.cover_m(middle),
            torque_knm=torque, refused="", source=SOURCE, face_m=self.diameters, end_m=tip,
        )  # fmt: skip


def hold_screw(load: AnchorLoad, soil: Soil, line: GroundLine, wants: AnchorWants) -> Holding:
    """The least screw that holds the load, or the strongest, or why none; kN and m. The rod lies in line with the pull.

    Raises:
        OutOfMethod: no torque factor for the shaft that the user names.
    Source: see SOURCE and the constants of this module.
    """
    factor = wants.safety_factor or SAFETY_FACTOR
    _shaft(wants.screw_shaft)
    nothing = refused(SCREW, "screw", factor, unfit(soil, load.angle_deg) or "no screw is listed", SOURCE)
    if unfit(soil, load.angle_deg):
        return nothing
    last = int(wants.screw_longest_m / STEP_M + 1e-6)

    def tries():
        for diameters in wants.screw_diameters_m:
            screw = _Screw(load, soil, line, wants, diameters)
            yield walk(last, screw.too_far, screw.too_shallow, screw.result, load.load_kn)

    return pick(tries(), load.load_kn, nothing)
