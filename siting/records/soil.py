"""The ground as the user knows it, and what strength is taken from that."""

from __future__ import annotations

from dataclasses import dataclass

from siting.figures import quantity, words

GRANULAR, COHESIVE, ROCK = "granular", "cohesive", "rock"
UNIT_WEIGHT, STRESS = "unit_weight", "stress"


@dataclass(frozen=True, slots=True)
class SoilInput:
    """What the user says of the ground, for the whole site or for one anchor. Nothing has a default: None is not known."""

    where: str  # the file and its key, for faults and for the sheets
    uscs: str | None = None  # a group of the Unified Soil Classification System, such as SM
    plain_words: str | None = None  # such as "stiff clay": the vocabulary of soil/words.py
    blow_count: float | None = None  # standard penetration test, blows per 300 mm, 60 % energy
    probe_nm: float | None = None  # torque of a soil test probe, newton metres
    friction_deg: float | None = None  # measured, effective
    undrained_kpa: float | None = None  # measured undrained shear strength (cohesion)
    unit_weight_kn_m3: float | None = None  # measured, moist
    rock: str | None = None  # a rock of the published table
    strength_source: str | None = None  # report, laboratory, date of the measured values
    water_depth_m: float | None = None  # water table below the ground; 0: at the surface
    frost_depth_m: float | None = None  # local code's frost depth
    excavation_type: str | None = None  # A, B, C or rock, as the competent person on site classified it


@dataclass(frozen=True, slots=True)
class Soil:
    """The ground that an anchor is worked out in."""

    description: str = words("the ground in plain words")
    kind: str = words("granular, cohesive or rock")
    basis: str = words("measured, blow count, probe, class, or nothing known")
    is_presumptive: bool = words("true where a strength comes from a table and not from a measurement")
    friction_deg: float | None = quantity("angle", "effective friction angle; null for cohesive ground and rock")
    undrained_kpa: float | None = quantity(STRESS, "undrained shear strength; null for granular ground and rock")
    unit_weight_kn_m3: float = quantity(UNIT_WEIGHT, "above the water table")
    buoyant_kn_m3: float = quantity(UNIT_WEIGHT, "below the water table")
    water_depth_m: float | None = quantity("length", "water table below the ground; null: not known")
    frost_depth_m: float | None = quantity("length", "frost depth; null: not known")
    rock: str = words("name of the rock in the published table; empty for soil")
    has_cobbles: bool = words("true for ground with gravel or cobbles that a screw anchor does not enter")
    is_organic: bool = words("true for peat and organic ground: no method of the sheet holds there")
    excavation_type: str = words("A, B, C or rock: how its walls stand")
    excavation_source: str = words("where that type comes from")
    sources: tuple[str, ...] = words("where each value comes from")
    warnings: tuple[str, ...] = words("what does not fit together, and which value was taken")

    def pressure_kpa(self, depth_m: float) -> float:
        """Effective vertical stress at a depth, kPa; an unknown water table is taken at the surface for granular ground only."""
        water_m = self.water_depth_m
        if water_m is None:
            water_m = 0.0 if self.kind == GRANULAR else depth_m
        return vertical_stress_kpa(depth_m, water_m, self.unit_weight_kn_m3, self.buoyant_kn_m3)


def vertical_stress_kpa(depth_m: float, water_m: float, unit_weight_kn_m3: float, buoyant_kn_m3: float) -> float:
    """Effective vertical stress at a depth over and in ground water, kPa."""
    dry_m = min(depth_m, water_m)
    return unit_weight_kn_m3 * dry_m + buoyant_kn_m3 * (depth_m - dry_m)
