"""Bar grouted into rock: bond of the grout, weight of the rock cone over it, strength of the bar."""

from __future__ import annotations

import math

from siting.holding.ground_cover import GroundLine, bank_fault, known_fault
from siting.holding.ladder import STEP_M, pick, walk
from siting.holding.refusal import out_of_range, refused
from siting.records.holding import ROCK_BAR, AnchorLoad, AnchorWants, CapacityPart, Holding
from siting.records.soil import ROCK, Soil
from siting.soil.tables import ROCK_TRANSFER_KN_M

SAFETY_FACTOR = 3.0  # FHWA-IF-99-015 Table 8; the 2.0 that it allows in weak rock is not taken
BAR_RATIO = 0.6  # working load, of the yield strength: FHWA-IF-99-015 ch. 4 has 0.6 of the tensile strength, which is more
BOND_LEAST_M, BOND_MOST_M = 3.0, 10.0  # FHWA-IF-99-015 Table 8
BOND_STEP_M = 0.5
FREE_LEAST_M = 3.05  # 10 ft without bond above it: UFC 3-220-20 5-5.2.2
FREE_MOST_M = 6.0  # what is drilled from a small rig: common practice, no source
CONE_DEG = 60.0  # at the apex, the smaller of the printed 60 to 90: UFC 3-220-20 5-5.2.2
GROUT_MPA, GROUT_RATIO = 20.0, 0.1  # least strength of the grout (common practice, no source); share: UFC 3-220-20 5-5.2.2
LEAST_ANGLE_DEG = 10.0  # flatter, hole and cone lie along the ground: common practice, no source
SOURCE = (
    "bond: FHWA-IF-99-015 (GEC-4) Table 8; cone of 60° from the top of the bond, grout on bar: UFC 3-220-20 5-5.2.2; "
    "factor 3.0: both; bar at 0.6 of its strength: FHWA-IF-99-015"
)


def bond_kn(rock: str, bond_m: float) -> float:
    """What the grout's bond to the rock holds, kN: load transfer of the rock x bond length.

    Raises:
        OutOfMethod: a rock that the table has not, or a bond outside 3 to 10 m.
    Accuracy: the table is presumptive: for a first design, to be proved by pulling each bar.
    Source: FHWA-IF-99-015 (GEC-4) Table 8.
    """
    if rock not in ROCK_TRANSFER_KN_M:
        raise out_of_range(f"rock {rock!r}", "has no published load transfer", f"name one of: {', '.join(ROCK_TRANSFER_KN_M)}")
    if not BOND_LEAST_M <= bond_m <= BOND_MOST_M:
        raise out_of_range(f"bond of {bond_m:.1f} m", f"the table holds from {BOND_LEAST_M:.0f} to {BOND_MOST_M:.0f} m", "change its length")
    return ROCK_TRANSFER_KN_M[rock] * bond_m


def cone_kn(height_m: float, unit_weight_kn_m3: float, buoyant_kn_m3: float, water_depth_m: float | None, apex_deg: float = CONE_DEG) -> float:
    """Weight of an upright cone of rock, its apex down, kN; what lies under water counts with its buoyant weight.

    Args:
        water_depth_m: below the cone's flat top; None: no water counted.
    Raises:
        OutOfMethod: an apex angle outside the printed 60 to 90 degrees.
    Source: UFC 3-220-20 Fig. 5-38(a), as "very conservative" for rock that is not broken.
    """
    if not 60.0 <= apex_deg <= 90.0:
        raise out_of_range(f"cone of {apex_deg:.0f}°", "is printed from 60° to 90°", "take an angle between them")
    area = math.pi * math.tan(math.radians(apex_deg / 2.0)) ** 2 / 3.0
    wet_m = 0.0 if water_depth_m is None else max(height_m - max(water_depth_m, 0.0), 0.0)
    return area * (unit_weight_kn_m3 * (height_m**3 - wet_m**3) + buoyant_kn_m3 * wet_m**3)


def bar_kn(diameter_m: float, yield_mpa: float) -> float:
    """Pull at which the bar yields, kN.

    Source: area x yield strength.
    """
    return math.pi / 4.0 * diameter_m**2 * yield_mpa * 1000.0


def grout_kn(diameter_m: float, bond_m: float) -> float:
    """What the grout may hold on the bar at work, kN: a tenth of the grout's strength on the bar's skin, no factor to come.

    Source: UFC 3-220-20 5-5.2.2.
    """
    return math.pi * diameter_m * bond_m * GROUT_RATIO * GROUT_MPA * 1000.0


def unfit(soil: Soil, angle_deg: float) -> str:
    """Why no bar is grouted there, in words; empty where one is; no unit."""
    if soil.kind != ROCK:
        return "a grouted bar is worked out in rock only"
    if soil.is_organic:
        return "organic ground: no method holds there"
    if soil.rock not in ROCK_TRANSFER_KN_M:
        return "weathered or unnamed rock: the table of load transfer is for sound rock that it names; have the anchor designed"
    if not LEAST_ANGLE_DEG <= angle_deg <= 90.0:
        return f"the pull is at {angle_deg:.0f}°: a bar flatter than {LEAST_ANGLE_DEG:.0f}° lies along the ground"
    return ""


class _Bar:
    """One bond length in one rock: faults and figures by the free length in steps."""

    def __init__(self, load: AnchorLoad, soil: Soil, line: GroundLine, wants: AnchorWants, bond_m: float) -> None:
        self.load, self.soil, self.line, self.wants, self.bond_m = load, soil, line, wants, bond_m
        self.factor = wants.safety_factor or SAFETY_FACTOR
        self.sin, self.cos = math.sin(math.radians(load.angle_deg)), math.cos(math.radians(load.angle_deg))

    def cover_m(self, along_m: float) -> float:
        """Of a point on the bar below the lowest ground of the cone over it."""
        out = along_m * self.cos
        reach = max(along_m * self.sin + self.line.rise_m(out), 0.0) * math.tan(math.radians(CONE_DEG / 2.0))
        return along_m * self.sin + self.line.lowest_m(out, reach)

    def too_far(self, step: int) -> str:
        free, out = step * STEP_M, (step * STEP_M + self.bond_m) * self.cos
        if out > self.line.s_m[-1]:
            return known_fault(self.line, out, 0.0)
        reach = max((free + self.bond_m) * self.sin + self.line.rise_m(out), 0.0) * math.tan(math.radians(CONE_DEG / 2.0))
        return known_fault(self.line, out, reach) or bank_fault(self.line, free * self.cos, reach)

    def too_shallow(self, step: int) -> str:
        free = step * STEP_M
        if free < FREE_LEAST_M:
            return f"the bar is free over {free:.1f} m, it needs {FREE_LEAST_M:.2f} m above its bond"
        frost = self.soil.frost_depth_m or 0.0
        cover = self.cover_m(free)
        return "" if cover > frost else f"the bond begins {max(cover, 0.0):.1f} m deep, it must begin below frost ({frost:.1f} m)"

    def result(self, step: int) -> Holding:
        free = step * STEP_M
        size = f"bar {self.wants.bar_diameter_m * 1000:.0f} mm, bond {self.bond_m:.1f} m"
        if not step:
            return refused(ROCK_BAR, size, self.factor, "", SOURCE)
        cover = max(self.cover_m(free), 0.0)
        bond = bond_kn(self.soil.rock, self.bond_m)
        water = self.soil.water_depth_m
        cone = cone_kn(cover, self.soil.unit_weight_kn_m3, self.soil.buoyant_kn_m3, water)
        steel, skin = bar_kn(self.wants.bar_diameter_m, self.wants.bar_yield_mpa), grout_kn(self.wants.bar_diameter_m, self.bond_m)
        # Each part with its own factor; the one with the least allowable load governs.
        rows = (
            ("bond of the grout to the rock", bond, self.factor),
            ("weight of the rock cone", cone, self.factor),
            ("yield of the bar", steel, 1.0 / BAR_RATIO),
            ("grout on the bar (working)", skin, 1.0),
        )
        governs, ultimate, factor = min(rows, key=lambda row: row[1] / row[2])
        middle = free + self.bond_m / 2.0
        return Holding(
            kind=ROCK_BAR, size=f"{size}, free {free:.1f} m above it", ultimate_kn=ultimate, safety_factor=factor,
            allowable_kn=ultimate / factor, governed_by=governs, parts=tuple(CapacityPart(name, value) for name, value, _ in rows),
            rod_m=middle, depth_m=middle * self.sin + self.line.rise_m(middle * self.cos), cover_m=cover, torque_knm=None,
            refused="", source=SOURCE, face_m=(self.wants.bar_diameter_m,), end_m=free + self.bond_m,
        )  # fmt: skip


def hold_rock_bar(load: AnchorLoad, soil: Soil, line: GroundLine, wants: AnchorWants) -> Holding:
    """The shortest grouted bar that holds the load, or the strongest, or why none; kN and m. The bar lies in line with the pull.

    The pull along the bar, not only its upward part, is held against the weight of the cone, so that a flatter pull gains
    nothing. `cover_m` is that of the top of the bond, the cone's apex.

    Source: see SOURCE and the constants of this module.
    """
    factor = wants.safety_factor or SAFETY_FACTOR
    reason = unfit(soil, load.angle_deg)
    longest = min(wants.bar_bond_longest_m, BOND_MOST_M)
    if not reason and longest < BOND_LEAST_M:
        reason = f"a bond of {longest:.1f} m is shorter than the least of {BOND_LEAST_M:.0f} m"
    nothing = refused(ROCK_BAR, "grouted bar", factor, reason, SOURCE)
    if reason:
        return nothing

    def tries():
        for count in range(int((longest - BOND_LEAST_M) / BOND_STEP_M + 1e-6) + 1):
            bar = _Bar(load, soil, line, wants, BOND_LEAST_M + count * BOND_STEP_M)
            yield walk(int(FREE_MOST_M / STEP_M + 1e-6), bar.too_far, bar.too_shallow, bar.result, load.load_kn)

    return pick(tries(), load.load_kn, nothing)
