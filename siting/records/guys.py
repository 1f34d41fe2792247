"""The guys: what they are made of, how long to cut them, how tight to set them, and how to measure that."""

from __future__ import annotations

from dataclasses import dataclass

from siting.figures import quantity, words

CELSIUS, KILOGRAM_FORCE, POUND_FORCE, SECONDS = "celsius", "kilogram_force", "pound_force", "seconds"
GRAMS_PER_M, SQUARE_MM, GIGAPASCAL, PER_MILLION = "line_mass", "section", "modulus", "expansion"
NO_SOURCE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Strand:
    """A wire strand or rope."""

    name: str = words("as a mast file names it")
    diameter_mm: float = quantity("diameter", "nominal")
    mass_g_per_m: float = quantity(GRAMS_PER_M, "grams in a metre")
    metal_area_mm2: float = quantity(SQUARE_MM, "section of the wires alone, mm2")
    breaking_kn: float = quantity("force", "least breaking strength")
    modulus_gpa: float = quantity(GIGAPASCAL, "of elasticity on the wires' section, GPa")
    expansion_ppm_per_k: float = quantity(PER_MILLION, "thermal expansion, millionths of the length for each kelvin")
    source: str = words("where diameter, mass, section and strength come from")
    modulus_source: str = words("where the modulus comes from")
    expansion_source: str = words("where the expansion comes from")
    assumed: str = words("why this strand was taken where the mast file names none; empty where it does")

    @property
    def stiffness_n(self) -> float:
        """E A, newtons."""
        return self.modulus_gpa * 1e9 * self.metal_area_mm2 * 1e-6

    @property
    def mass_kg_per_m(self) -> float:
        """Kilograms in a metre."""
        return self.mass_g_per_m / 1000.0

    @property
    def expansion_per_k(self) -> float:
        """Thermal expansion, part of the length for each kelvin."""
        return self.expansion_ppm_per_k * 1e-6


@dataclass(frozen=True, slots=True)
class GuyOptions:
    """How the guys are cut and set, where the mast file does not say otherwise. Sources beside the values."""

    initial_tension_ratio: float = 0.10  # of the breaking strength: see TENSION_SOURCE
    reference_c: float = 15.0  # the set tension holds at this temperature: common practice, no source
    temperatures_c: tuple[float, ...] = (-20.0, -10.0, 0.0, 10.0, 20.0, 30.0, 40.0)
    termination_m: float = 2.0  # both ends together, turned back or in grips, and a tail: common practice, no source
    spare_ratio: float = 0.10  # of each strand's total, at least its longest piece: common practice, no source
    pulse_returns: int = 10  # counted when the pulse is timed: common practice, no source
    mast_expansion_ppm_per_k: float = 12.0  # a steel mast as warm as its guys (EN 1993-1-1, from memory); 0: it keeps its height


@dataclass(frozen=True, slots=True)
class LevelRig:
    """What one level's guys are made of and how tight they are set."""

    strand: Strand
    set_tension_kn: float  # at the anchor, at the reference temperature
    tension_source: str


@dataclass(frozen=True, slots=True)
class GuyLength:
    """One guy: its length on the ground as it is. Lists follow `CutList.temperatures_c`."""

    anchor: str = words("stake id of the anchor")
    attach_m: float = quantity("length", "attachment above the hinge, along the mast")
    use: str = words("permanent, or temporary: rigged for the lift only")
    strand: str = words("name of its strand")
    diameter_mm: float = quantity("diameter", "of its strand")
    at_deg: float = quantity(
        "angle", "mast angle that the lengths are for: plumb; of a temporary guy where it is longest in the lift"
    )
    span_m: float = quantity("coordinate", "horizontal distance from the anchor to the attachment")
    rise_m: float = quantity("coordinate", "attachment above the anchor's ground; negative below it")
    chord_m: float = quantity("coordinate", "straight line from the anchor to the attachment")
    chord_angle_deg: float = quantity("angle", "of that line above the horizontal")
    anchor_angle_deg: float = quantity(
        "angle", "of the hanging guy at the anchor, above the horizontal: lay the anchor rod on it"
    )
    set_tension_kn: float = quantity("force", "at the anchor, at the reference temperature")
    top_tension_kn: float = quantity("force", "at the mast, then")
    sag_m: float = quantity("travel", "largest height of the chord over the hanging guy")
    hanging_m: float = quantity("coordinate", "length along the hanging guy, under tension")
    stretch_m: float = quantity("travel", "elastic stretch in that length")
    unstressed_m: float = quantity("coordinate", "hanging length less the stretch, at the reference temperature")
    termination_m: float = quantity("length", "allowance for both ends")
    cut_m: float = quantity("coordinate", "what to cut at the reference temperature: unstressed + terminations")
    cut_at_m: tuple[float, ...] = quantity("coordinate", "what to cut at each temperature, by a tape that heat does not change")


@dataclass(frozen=True, slots=True)
class CutTotal:
    """What to order of one strand."""

    strand: str = words("name of the strand")
    diameter_mm: float = quantity("diameter", "of the strand")
    pieces: int = words("number of guys")
    longest_m: float = quantity("length", "longest piece")
    total_m: float = quantity("length", "all pieces as cut at the reference temperature")
    spare_m: float = quantity("length", "spare margin on top: enough for the longest piece at least")
    order_m: float = quantity("length", "total + spare, a started metre counted whole")
    mass_kg: float = quantity("mass", "of what is ordered")


@dataclass(frozen=True, slots=True)
class CutList:
    """Every guy's length, and what to order."""

    reference_c: float = quantity(CELSIUS, "temperature that the set tension holds at, degrees Celsius")
    temperatures_c: tuple[float, ...] = quantity(CELSIUS, "temperatures of the lists, degrees Celsius")
    strands: tuple[Strand, ...] = words("every strand in use")
    guys: tuple[GuyLength, ...] = words("every guy, in the mast file's order")
    totals: tuple[CutTotal, ...] = words("what to order, by strand")
    not_listed: tuple[str, ...] = words("guys without a length, and what is missing")
    notes: tuple[str, ...] = words("what the lengths rest on, in plain words")


@dataclass(frozen=True, slots=True)
class GuyTension:
    """One guy's tension by temperature, and what a watch or a level shows then. Lists follow `temperatures_c`."""

    anchor: str = words("stake id of the anchor")
    attach_m: float = quantity("length", "attachment above the hinge, along the mast")
    strand: str = words("name of its strand")
    set_tension_kn: float = quantity("force", "at the anchor, at the reference temperature")
    of_breaking_ratio: float = quantity("ratio", "set tension / breaking strength")
    tension_kn: tuple[float, ...] = quantity("force", "at the anchor; mast and guys as warm as each other")
    tension_kgf: tuple[float, ...] = quantity(KILOGRAM_FORCE, "the same in kilogram-force")
    tension_lbf: tuple[float, ...] = quantity(POUND_FORCE, "the same in pound-force")
    fixed_mast_kn: tuple[float, ...] = quantity("force", "the same if the mast kept its height: what many tables print")
    pulse_s: tuple[float, ...] = quantity(SECONDS, "seconds for `pulse_returns` returns of a jerk at the anchor")
    intercept_m: tuple[float, ...] = quantity(
        "travel", "how far below the attachment the sight along the guy from its anchor meets the mast"
    )
    tolerance_ratio: float = quantity("ratio", "allowed difference from the tension, either way")


@dataclass(frozen=True, slots=True)
class LevelTension:
    """A level's tension by temperature over its anchors: on a slope no two guys are quite alike."""

    attach_m: float = quantity("length", "attachment above the hinge, along the mast")
    strand: str = words("name of its strand")
    least_kn: tuple[float, ...] = quantity("force", "least of its guys")
    greatest_kn: tuple[float, ...] = quantity("force", "greatest of its guys")
    greatest_kgf: tuple[float, ...] = quantity(KILOGRAM_FORCE, "the same in kilogram-force")
    greatest_lbf: tuple[float, ...] = quantity(POUND_FORCE, "the same in pound-force")


@dataclass(frozen=True, slots=True)
class TensionTable:
    """How tight to set the permanent guys, and how to measure it."""

    reference_c: float = quantity(CELSIUS, "temperature that the set tension holds at, degrees Celsius")
    temperatures_c: tuple[float, ...] = quantity(CELSIUS, "temperatures of the lists, degrees Celsius")
    pulse_returns: int = words("returns that are counted when a pulse is timed")
    guys: tuple[GuyTension, ...] = words("every permanent guy, in the mast file's order")
    levels: tuple[LevelTension, ...] = words("every level of permanent guys")
    tension_source: tuple[str, ...] = words("where the set tensions come from")
    tolerance_source: str = words("where the tolerance comes from")
    methods: tuple[str, ...] = words("how to measure, with the formula, in plain words")
    notes: tuple[str, ...] = words("what the tensions rest on, in plain words")
