"""Wire strands and ropes by name, from the published tables: strength, mass, section, modulus, expansion.

A mast file names a strand as "A475 EHS 3/16 in" or, with diameter_mm, as "EN 12385 6x7-FC 1770".
"""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction
from types import MappingProxyType

from siting.errors import Fault, InputError
from siting.records.guys import Strand
from siting.units import KILOGRAMS_PER_POUND, METRES_PER_FOOT, METRES_PER_INCH, NEWTONS_PER_POUND_FORCE

READ = "ASTM A475 table 1, read in a public copy"
RECALLED = "ASTM A475 table 1, from memory"
A475_GRADES = ("common", "SM", "HS", "EHS")
# 7-wire strand: size (in): wire (mm), weight (lb/1000 ft), least breaking strength (lb) of common, Siemens-Martin,
# high-strength and extra-high-strength grade, where the row comes from. Wires: the same table's millimetres.
A475_ROWS = MappingProxyType({
    "1/8": (1.04, 32, (540, 910, 1330, 1830), READ),
    "5/32": (1.32, 51, (870, 1470, 2140, 2940), READ),
    "3/16": (1.57, 73, (1150, 1900, 2850, 3990), READ),
    "7/32": (1.83, 98, (1540, 2560, 3850, 5400), READ),
    "1/4": (2.03, 121, (1900, 3150, 4750, 6650), READ),
    "9/32": (2.36, 164, (2570, 4250, 6400, 8950), READ),
    "5/16": (2.64, 205, (3200, 5350, 8000, 11200), READ),
    "3/8": (3.05, 273, (4250, 6950, 10800, 15400), RECALLED),
    "7/16": (3.68, 399, (5700, 9350, 14500, 20800), RECALLED),
    "1/2": (4.19, 517, (7400, 12100, 18800, 26900), RECALLED),
})  # fmt: skip
STRAND_WIRES = 7

# Class: mass factor W (kg per 100 m and mm2), metal section factor C, breaking force factor K, modulus (GPa).
ROPE_SOURCE = "EN 12385-4 factors, as two wire rope textbooks print them"
ROPE_CLASSES = MappingProxyType({
    "6x7-FC": (0.345, 0.369, 0.332, 80.0),
    "6x7-IWRC": (0.384, 0.432, 0.359, 100.0),
    "6x19-FC": (0.359, 0.384, 0.330, 80.0),
    "6x19-IWRC": (0.400, 0.449, 0.356, 100.0),
    "6x36-IWRC": (0.409, 0.460, 0.356, 100.0),
})  # fmt: skip
ROPE_GRADES = (1570, 1770, 1960, 2160)  # N/mm2; EN 12385-4, from memory

STRAND_MODULUS_GPA = 165.0
STRAND_MODULUS_SOURCE = "assumed for 7-wire strand: common practice, no source"
ROPE_MODULUS_SOURCE = (
    "EN 1993-1-11 table 3.1 for strand rope (steel core 100, fibre core 80, either 10 more or less), from memory"
)
EXPANSION_PPM_PER_K = 12.0
EXPANSION_SOURCE = (
    "EN 1993-1-11, from memory (tests of 7-wire strand without load: 11.8, Int. J. Concrete Structures and Materials 2018)"
)

# What stands in for a strand where the mast file gives a diameter alone: a steel-cored rope of common grade, which
# comes in every diameter and is weaker than extra-high-strength strand of the same size.
ASSUMED_CLASS, ASSUMED_GRADE = "6x7-IWRC", 1770
DIAMETER_DIFFERENCE_MM = 0.3


def strand_names() -> tuple[str, ...]:
    """Every name that a mast file may use, no unit; the EN names need diameter_mm beside them."""
    return (
        *(f"A475 {grade} {size} in" for size in A475_ROWS for grade in A475_GRADES),
        *(f"EN 12385 {kind} {grade}" for kind in ROPE_CLASSES for grade in ROPE_GRADES),
    )


def find_strand(name: str | None, diameter_mm: float | None, where: str) -> Strand | None:
    """The strand of a name and a diameter; None where the mast file gives neither.

    A diameter alone gives an EN 12385 6x7-IWRC 1770 rope of that diameter, and `assumed` says so.

    Args:
        where: the file with its key, for the error.
    Raises:
        InputError: no such strand, no diameter for a rope, or a diameter that is not the strand's.
    """
    if name is None:
        return None if diameter_mm is None else _assumed(diameter_mm)
    known = next((n for n in strand_names() if _plain(n) == _plain(name)), None)
    if known is None:
        raise _unknown(name, where)
    if known.startswith("EN"):
        if diameter_mm is None:
            raise InputError.of(
                "strand_diameter",
                where,
                f"'{known}' comes in many diameters, and no diameter_mm stands beside it",
                "add diameter_mm",
            )
        return _rope(known, diameter_mm)
    strand = _a475(known)
    if diameter_mm is not None and abs(diameter_mm - strand.diameter_mm) > DIAMETER_DIFFERENCE_MM:
        raise InputError.of(
            "strand_diameter", where, f"'{known}' is {strand.diameter_mm:.2f} mm thick, but diameter_mm says {diameter_mm:g}",
            "correct one of them, or leave diameter_mm out",
        )  # fmt: skip
    return strand


def find_strands(levels: Iterable[tuple[str | None, float | None]], where: str) -> tuple[Strand | None, ...]:
    """The strands of a mast file's levels, in order.

    Args:
        levels: (strand, diameter_mm) of each [[guys]] table; where: the mast file as shown.
    Raises:
        InputError: every fault of every level.
    """
    found: list[Strand | None] = []
    faults: list[Fault] = []
    for number, (name, diameter_mm) in enumerate(levels, 1):
        try:
            found.append(find_strand(name, diameter_mm, f"{where}, [[guys]] no. {number}, strand"))
        except InputError as error:
            faults.extend(error.faults)
    if faults:
        raise InputError(tuple(faults))
    return tuple(found)


def _plain(name: str) -> str:
    """A name without what people write in different ways: case, blanks, hyphens, "ASTM", "-4", inch marks, the cross."""
    text = name.casefold().replace("×", "x").replace("astm", "").replace("12385-4", "12385")
    return re.sub(r"[\s\"″-]|\bin(ch)?\b\.?", "", text)


def _unknown(name: str, where: str) -> InputError:
    """The fault of a name that no table has, with the nearest one that it has."""
    by_plain = {_plain(n): n for n in strand_names()}
    near = difflib.get_close_matches(_plain(name), by_plain, 1, 0.4)
    hint = f"did you mean '{by_plain[near[0]]}'? " if near else ""
    return InputError.of(
        "strand_unknown", where, f"'{name}' is no strand of the tables",
        f"{hint}known: A475 with {', '.join(A475_GRADES)} and {', '.join(A475_ROWS)} in; EN 12385 with {', '.join(ROPE_CLASSES)} "
        f"and {', '.join(str(g) for g in ROPE_GRADES)}, with diameter_mm",
    )  # fmt: skip


def _a475(name: str) -> Strand:
    """A row of ASTM A475."""
    _, grade, size, _ = name.split()
    wire_mm, pounds, strengths_lb, source = A475_ROWS[size]
    return Strand(
        name=name,
        diameter_mm=float(Fraction(size)) * METRES_PER_INCH * 1000.0,
        mass_g_per_m=pounds * KILOGRAMS_PER_POUND / METRES_PER_FOOT,
        metal_area_mm2=STRAND_WIRES * math.pi / 4.0 * wire_mm**2,
        breaking_kn=strengths_lb[A475_GRADES.index(grade)] * NEWTONS_PER_POUND_FORCE / 1000.0,
        modulus_gpa=STRAND_MODULUS_GPA,
        expansion_ppm_per_k=EXPANSION_PPM_PER_K,
        source=source,
        modulus_source=STRAND_MODULUS_SOURCE,
        expansion_source=EXPANSION_SOURCE,
        assumed="",
    )


def _rope(name: str, diameter_mm: float) -> Strand:
    """A rope of an EN 12385-4 class and grade.

    Source: EN 12385-4: breaking force d^2 R K / 1000 kN, mass W d^2 kg per 100 m, metal section C d^2.
    """
    _, _, kind, grade = name.split()
    mass, section, force, modulus_gpa = ROPE_CLASSES[kind]
    return Strand(
        name=f"{name}, {diameter_mm:g} mm",
        diameter_mm=diameter_mm,
        mass_g_per_m=mass * diameter_mm**2 * 10.0,
        metal_area_mm2=section * diameter_mm**2,
        breaking_kn=force * diameter_mm**2 * int(grade) / 1000.0,
        modulus_gpa=modulus_gpa,
        expansion_ppm_per_k=EXPANSION_PPM_PER_K,
        source=ROPE_SOURCE,
        modulus_source=ROPE_MODULUS_SOURCE,
        expansion_source=EXPANSION_SOURCE,
        assumed="",
    )


def _assumed(diameter_mm: float) -> Strand:
    """What is taken where the mast file gives a diameter alone."""
    strand = _rope(f"EN 12385 {ASSUMED_CLASS} {ASSUMED_GRADE}", diameter_mm)
    text = (
        f"assumed: the mast file gives {diameter_mm:g} mm and no strand; a {ASSUMED_CLASS} wire rope of grade {ASSUMED_GRADE} "
        f"is taken (common practice, no source). Its strength sets the tensions: name the strand that is on the drum"
    )
    return replace(strand, assumed=text)
