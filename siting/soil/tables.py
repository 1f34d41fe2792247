"""Published tables of soil and rock, as they are printed, each with its source beside it.

The rows keep the units that the source prints (pounds per cubic and per square foot, inch-pounds); the functions give SI.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType

from siting.records.soil import COHESIVE, GRANULAR
from siting.units import METRES_PER_FOOT, METRES_PER_INCH, NEWTONS_PER_POUND_FORCE

ENDLESS = float("inf")


def kn_m3(pounds_per_cubic_foot: float) -> float:
    """A unit weight, kN/m3."""
    return pounds_per_cubic_foot * NEWTONS_PER_POUND_FORCE / METRES_PER_FOOT**3 / 1000.0


def kpa(pounds_per_square_foot: float) -> float:
    """A stress, kPa."""
    return pounds_per_square_foot * NEWTONS_PER_POUND_FORCE / METRES_PER_FOOT**2 / 1000.0


# --- granular soil ------------------------------------------------------------------------------------------------

DENSITY_SOURCE = "Caltrans Trenching and Shoring Manual (2011, rev. 2 2025) Table 3-1, read in a public digest"


@dataclass(frozen=True, slots=True)
class DensityRow:
    """A row of Table 3-1; None where the table prints no such end."""

    name: str
    blows: tuple[float, float]  # N60, from (included) to (not included)
    friction_deg: tuple[float | None, float | None]
    moist_pcf: tuple[float | None, float | None]
    submerged_pcf: tuple[float | None, float | None]


DENSITIES = (
    DensityRow("very loose", (0, 5), (None, 28), (None, 100), (None, 60)),
    DensityRow("loose", (5, 10), (28, 30), (95, 125), (55, 65)),
    DensityRow("medium dense", (10, 30), (31, 36), (110, 130), (60, 70)),
    DensityRow("dense", (30, 50), (37, 41), (110, 140), (65, 85)),
    DensityRow("very dense", (50, ENDLESS), (41, None), (130, None), (75, None)),
)
VERY_LOOSE, LOOSE, MEDIUM_DENSE, DENSE, VERY_DENSE = range(5)
# The table prints no lower end of very loose ground. Taken: what Table 3-2 prints for the loosest fine sand.
VERY_LOOSE_FRICTION_DEG = 25.0

CLASS_SOURCE = "Caltrans Trenching and Shoring Manual (2011, rev. 2 2025) Table 3-2, read in a public digest"
GRAVEL = "gravel, gravel-sand mixture, coarse sand"
MEDIUM_SAND = "medium sand"
FINE_SAND = "fine sand"
SILTY_SAND = "fine silty sand, sandy silt"
SILT = "silt"
# Class, the strongest first: friction (deg) and unit weight (pcf) loose, medium dense, dense.
CLASS_ROWS = MappingProxyType({
    GRAVEL: ((29, 90), (34, 120), (41, 130)),
    MEDIUM_SAND: ((27, 90), (31, 110), (36, 117)),
    FINE_SAND: ((25, 85), (27, 100), (31, 117)),
    SILTY_SAND: ((25, 85), (27, 100), (29, 117)),
    SILT: ((23, 85), (25, 110), (27, 120)),
})  # fmt: skip
WEAKEST_CLASS = SILT


def density_of_blows(blows: float) -> int:
    """The row of Table 3-1 that a blow count falls in, no unit."""
    return max(i for i, row in enumerate(DENSITIES) if row.blows[0] <= blows)


def friction_by_blows_deg(blows: float) -> float:
    """Friction angle, degrees: the lower end at a row's first blow count, linear to its upper end, never above a printed value.

    Source: Caltrans Trenching and Shoring Manual Table 3-1; the line inside a row: common practice, no source.
    """
    row = DENSITIES[density_of_blows(blows)]
    low, high = row.friction_deg
    if low is None:
        return VERY_LOOSE_FRICTION_DEG
    if high is None:
        return float(low)
    first, last = row.blows
    return low + (high - low) * (blows - first) / (last - first)


def _class_row(group: str | None, density: int) -> tuple[float, float]:
    """Friction (deg) and unit weight (pcf) of Table 3-2; of a class not known, the least of the column."""
    column = min(max(density - LOOSE, 0), 2)
    rows = [CLASS_ROWS[group]] if group else list(CLASS_ROWS.values())
    return min(row[column][0] for row in rows), min(row[column][1] for row in rows)


def typical_friction_deg(group: str | None, density: int) -> float:
    """The friction angle that Table 3-2 prints for a class at a density, degrees."""
    return float(_class_row(group, density)[0])


def class_friction_deg(group: str | None, density: int) -> float:
    """Friction angle of a class at a density, degrees: the lower of Table 3-2 and of Table 3-1's lower end.

    Table 3-2 prints one typical figure, which for dense gravel is Table 3-1's upper end.
    """
    low = DENSITIES[density].friction_deg[0]
    return float(min(typical_friction_deg(group, density), VERY_LOOSE_FRICTION_DEG if low is None else low))


def granular_weights_kn_m3(group: str | None, density: int) -> tuple[float, float]:
    """Unit weights above and below the water table, kN/m3: the lower of the two tables' lower ends.

    Below water, Table 3-1's lower end, lowered as Table 3-2's weight lies under Table 3-1's. Very loose ground, whose lower
    ends are not printed, weighs what loose ground does.
    """
    row = DENSITIES[max(density, LOOSE)]
    moist_pcf = min(row.moist_pcf[0], _class_row(group, density)[1])
    return kn_m3(moist_pcf), kn_m3(row.submerged_pcf[0] * moist_pcf / row.moist_pcf[0])


# --- cohesive soil ------------------------------------------------------------------------------------------------

CONSISTENCY_SOURCE = "Caltrans Trenching and Shoring Manual (2011, rev. 2 2025) Table 3-3 (su = qu/2), read in a public digest"
# It calls the blow count of a clay "relatively unreliable"; the manual of Table 3-3 takes no strength of clay from it.
CONSISTENCY_BLOWS_SOURCE = "FHWA-SA-02-054 (GEC-6) Table 4-1, after Terzaghi and Peck, read in a public digest"


@dataclass(frozen=True, slots=True)
class ConsistencyRow:
    """A row of Table 3-3 with the blow counts of GEC-6 Table 4-1; None where the table prints no such end."""

    name: str
    blows: tuple[float, float]
    compression_psf: tuple[float, float | None]  # unconfined compressive strength qu
    moist_pcf: tuple[float | None, float | None]

    def undrained_kpa(self) -> float:
        """Lower end of the undrained shear strength, kPa."""
        return kpa(self.compression_psf[0]) / 2.0

    def undrained_end_kpa(self) -> float:
        """Upper end of the undrained shear strength, kPa."""
        return ENDLESS if self.compression_psf[1] is None else kpa(self.compression_psf[1]) / 2.0


CONSISTENCIES = (
    ConsistencyRow("very soft", (0, 2), (0, 500), (None, 110)),
    ConsistencyRow("soft", (2, 4), (500, 1000), (100, 120)),
    ConsistencyRow("medium stiff", (4, 8), (1000, 2000), (110, 125)),
    ConsistencyRow("stiff", (8, 15), (2000, 4000), (115, 130)),
    ConsistencyRow("very stiff", (15, 30), (4000, 8000), (120, 140)),
    ConsistencyRow("hard", (30, ENDLESS), (8000, None), (132, None)),
)
VERY_SOFT, SOFT, MEDIUM_STIFF, STIFF, VERY_STIFF, HARD = range(6)
LIGHTEST_PCF = 85.0  # the lightest soil of Table 3-2: for very soft clay, of which Table 3-3 prints no lower end


def consistency_of_blows(blows: float) -> int:
    """The consistency of a clay by its blow count, no unit; hard is over 30, as printed."""
    return max(i for i, row in enumerate(CONSISTENCIES) if row.blows[0] <= blows and (i < HARD or blows > row.blows[0]))


def consistency_of_strength(undrained_kpa: float) -> int:
    """The consistency of a clay by its undrained shear strength, no unit."""
    return max(i for i, row in enumerate(CONSISTENCIES) if row.undrained_kpa() <= undrained_kpa)


def cohesive_weight_kn_m3(consistency: int) -> float:
    """Lower end of the moist unit weight, kN/m3."""
    return kn_m3(CONSISTENCIES[consistency].moist_pcf[0] or LIGHTEST_PCF)


# --- probes, blow counts ------------------------------------------------------------------------------------------

PROBE_SOURCE = "probe classes of the trade, as printed in published anchor data sheets"
NEWTON_METRES_PER_INCH_POUND = NEWTONS_PER_POUND_FORCE * METRES_PER_INCH
# Class: torque (in-lb) from and to; blow count from and to. Class 0 is sound rock, which no probe enters.
PROBE_CLASSES = MappingProxyType({
    1: ((750, 1600), (60, ENDLESS)),
    2: ((600, 750), (45, 60)),
    3: ((500, 600), (35, 50)),
    4: ((400, 500), (24, 40)),
    5: ((300, 400), (14, 25)),
    6: ((200, 300), (7, 14)),
    7: ((100, 200), (4, 8)),
    8: ((0, 100), (0, 5)),
})  # fmt: skip
PROBE_LARGEST_NM = PROBE_CLASSES[1][0][1] * NEWTON_METRES_PER_INCH_POUND


def probe_class(probe_nm: float) -> int:
    """The class of a probe's torque, no unit; the class with the higher torque begins at the border."""
    return min(number for number, (torque, _) in PROBE_CLASSES.items() if torque[0] * NEWTON_METRES_PER_INCH_POUND <= probe_nm)


# --- names --------------------------------------------------------------------------------------------------------

USCS_SOURCE = "ASTM D2487 (groups); the class of the strength table that each group is put in: common practice, no source"


@dataclass(frozen=True, slots=True)
class Group:
    """A group of the Unified Soil Classification System and where its strength is looked up."""

    name: str
    kind: str
    row: str | None  # class of Table 3-2; None for cohesive ground
    has_cobbles: bool = False
    is_organic: bool = False


# Sands and gravels with fines go with the silty sands, sand of no stated grain with the fine, silts of low plasticity with
# the silts: the weaker neighbour each time. A double symbol goes with its part that has the fines.
USCS = MappingProxyType({
    "GW": Group("well-graded gravel", GRANULAR, GRAVEL, True),
    "GP": Group("poorly graded gravel", GRANULAR, GRAVEL, True),
    "GM": Group("silty gravel", GRANULAR, SILTY_SAND, True),
    "GC": Group("clayey gravel", GRANULAR, SILTY_SAND, True),
    "SW": Group("well-graded sand", GRANULAR, MEDIUM_SAND),
    "SP": Group("poorly graded sand", GRANULAR, FINE_SAND),
    "SM": Group("silty sand", GRANULAR, SILTY_SAND),
    "SC": Group("clayey sand", GRANULAR, SILTY_SAND),
    "ML": Group("silt", GRANULAR, SILT),
    "CL": Group("lean clay", COHESIVE, None),
    "MH": Group("elastic silt", COHESIVE, None),
    "CH": Group("fat clay", COHESIVE, None),
    "OL": Group("organic soil", COHESIVE, None, is_organic=True),
    "OH": Group("organic soil", COHESIVE, None, is_organic=True),
    "PT": Group("peat", COHESIVE, None, is_organic=True),
})  # fmt: skip
USCS_DOUBLE = MappingProxyType({
    "GW-GM": "GM", "GW-GC": "GC", "GP-GM": "GM", "GP-GC": "GC", "GC-GM": "GM",
    "SW-SM": "SM", "SW-SC": "SC", "SP-SM": "SM", "SP-SC": "SC", "SC-SM": "SM", "CL-ML": "CL",
})  # fmt: skip

ROCK_SOURCE = "FHWA-IF-99-015 (GEC-4) Table 8, read in a public digest: presumptive, for sound rock"
# Rock as the table names it: presumptive ultimate load transfer of a grouted anchor, kN for each metre of bond.
ROCK_TRANSFER_KN_M = MappingProxyType({
    "granite or basalt": 730.0,
    "dolomitic limestone": 580.0,
    "soft limestone": 440.0,
    "sandstone": 440.0,
    "slates and hard shales": 360.0,
    "soft shales": 150.0,
})  # fmt: skip
WEAKEST_ROCK = "soft shales"
ROCK_NAMES = MappingProxyType({
    **{name: name for name in ROCK_TRANSFER_KN_M},
    "granite": "granite or basalt", "basalt": "granite or basalt", "dolomite": "dolomitic limestone",
    "limestone": "soft limestone", "slate": "slates and hard shales", "slates": "slates and hard shales",
    "hard shale": "slates and hard shales", "hard shales": "slates and hard shales",
    "shale": "soft shales", "shales": "soft shales", "soft shale": "soft shales",
})  # fmt: skip
ROCK_WEIGHT_KN_M3 = 22.0  # a light sandstone or shale: common practice, no source

# --- what others presume ------------------------------------------------------------------------------------------

# Clay: blow count, undrained strength (psf), unit weight (pcf). Sand: blow count, friction (deg), unit weight (pcf).
PRESUMED_CLAY = (8.0, 1000.0, 110.0)
PRESUMED_SAND = (10.0, 30.0, 110.0)
PRESUMED_SOURCE = (
    "TIA-222-G Annex F: strengths from memory; that clay is the default, for bids only, read on an industry page about the standard"
)
FROST_DEPTH_M = 36.0 * METRES_PER_INCH
FROST_SOURCE = "TIA-222-G, where the place is not known: 36 in, read on an industry page about the standard"

BEARING_SOURCE = "International Building Code (2012) Table 1806.2, read in two public copies"


@dataclass(frozen=True, slots=True)
class BearingRow:
    """A row of the building code's presumptive values; None where it prints none."""

    name: str
    groups: tuple[str, ...]
    vertical_psf: float
    lateral_psf_per_ft: float
    friction_ratio: float | None
    cohesion_psf: float | None


BEARING_ROWS = (
    BearingRow("crystalline bedrock", (), 12000, 1200, 0.70, None),
    BearingRow("sedimentary and foliated rock", (), 4000, 400, 0.35, None),
    BearingRow("sandy gravel and gravel", ("GW", "GP"), 3000, 200, 0.35, None),
    BearingRow("sand, silty and clayey sand and gravel", ("SW", "SP", "SM", "SC", "GM", "GC"), 2000, 150, 0.25, None),
    BearingRow("clay, silt", ("CL", "ML", "MH", "CH"), 1500, 100, None, 130),
)


def presumptive_bearing_kpa(group: str | None) -> float | None:
    """Allowable foundation pressure of a soil group, kPa; of a group not known, soil's lowest; None for organic ground."""
    if group is None:
        return kpa(min(row.vertical_psf for row in BEARING_ROWS))
    rows = [row for row in BEARING_ROWS if USCS_DOUBLE.get(group, group) in row.groups]
    return kpa(rows[0].vertical_psf) if rows else None
