"""How long to cut every guy on the ground as it is, and what to order."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from siting.errors import Fault, InputError
from siting.kernels.cable import Catenary, hang_at_tension, thermal_change_m
from siting.kernels.swing import guy_extremes
from siting.lift.geometry import seen_from_hinge
from siting.records.guys import NO_SOURCE, CutList, CutTotal, GuyLength, GuyOptions, LevelRig, Strand
from siting.records.mast import TEMPORARY, Anchor, GuyLevel, Mast
from siting.units import GRAVITY_M_S2

# Read in an industry planning notice that quotes the standard, not in the standard itself.
TENSION_SOURCE = "ANSI/TIA-222 practice, 7 to 15 % of the breaking strength, as an industry planning notice quotes it"
TENSION_RANGE_RATIO = (0.07, 0.15)


@dataclass(frozen=True, slots=True)
class GuyPlace:
    """A guy between its anchor and the mast, at the mast angle that its length is for."""

    anchor: str
    level: int  # index of its level in the mast file
    at_rad: float
    span_m: float
    rise_m: float


def rig_level(strand: Strand, options: GuyOptions, set_tension_kn: float | None = None) -> LevelRig:
    """A level's strand with its set tension: the maker's (kN at the anchor) or a part of the breaking strength.

    A tension outside 7 to 15 % is taken as it is given; its source says so.
    """
    if set_tension_kn is not None:
        ratio, source = set_tension_kn / strand.breaking_kn, "mast file"
    elif options.initial_tension_ratio != GuyOptions().initial_tension_ratio:
        ratio, source = options.initial_tension_ratio, "mast file"
    else:
        ratio, source = options.initial_tension_ratio, f"10 % of the breaking strength, inside {TENSION_SOURCE}"
    low, high = TENSION_RANGE_RATIO
    if not low - 1e-9 <= ratio <= high + 1e-9:
        source += (
            f": {100 * ratio:.1f} % of the breaking strength lies outside {TENSION_SOURCE}; the mast's analysis must cover it"
        )
    return LevelRig(strand, ratio * strand.breaking_kn, source)


def require_set_tensions(mast: Mast, rigs: Sequence[LevelRig | None]) -> None:
    """Refuses a set tension that the guy's strand does not hold.

    Args:
        rigs: parallel to the mast's levels, None where the strand is not known.
    Raises:
        InputError: one fault for each level.
    """
    faults = tuple(
        Fault(
            "guy_tension", f"{mast.shown}, [[guys]] no. {number}, initial_tension_kn",
            f"is {rig.set_tension_kn:g} kN, and {rig.strand.name} breaks at {rig.strand.breaking_kn:.1f} kN",
            "write kilonewtons; common practice is 7 to 15 % of the breaking strength",
        )
        for number, rig in enumerate(rigs, 1)
        if rig is not None and rig.set_tension_kn >= rig.strand.breaking_kn
    )  # fmt: skip
    if faults:
        raise InputError(faults)


def guy_places(mast: Mast, anchor_heights_m: dict[str, float], hinge_m: float, rest_rad: float) -> tuple[GuyPlace, ...]:
    """Every guy in the mast file's order: permanent ones at plumb, temporary ones where they are longest in the lift."""
    anchors = {a.id: a for a in mast.anchors}
    places = []
    for number, level in enumerate(mast.guys):
        for name in level.anchors:
            x, y, z = (float(v) for v in seen_from_hinge(anchors[name], np.array(anchor_heights_m[name]), hinge_m))
            at = math.pi / 2.0
            if in_the_lift(level, anchors[name]):
                at = float(guy_extremes(level.attach_m, (np.array(x), np.array(y), np.array(z)), np.array(rest_rad))[3])
            # At plumb the attachment stands over the hinge, not a cosine's rounding beside it.
            along = 0.0 if at == math.pi / 2.0 else level.attach_m * math.cos(at)
            span_m = math.hypot(along - x, y)
            places.append(GuyPlace(name, number, at, span_m, level.attach_m * math.sin(at) - z))
    return tuple(places)


def in_the_lift(level: GuyLevel, anchor: Anchor) -> bool:
    """True for a guy that holds while the mast goes up, no unit: rigged for the lift, or to a temporary anchor."""
    return TEMPORARY in (level.use, anchor.use)


def hung(places: tuple[GuyPlace, ...], rigs: tuple[LevelRig | None, ...]) -> Catenary:
    """The guys at their set tensions, in the order of the places.

    Args:
        rigs: one for each level of the mast, none of the places' levels None.
    """
    weight_n_per_m = [rigs[p.level].strand.mass_kg_per_m * GRAVITY_M_S2 for p in places]
    tension_n = [rigs[p.level].set_tension_kn * 1000.0 for p in places]
    return hang_at_tension([p.span_m for p in places], [p.rise_m for p in places], weight_n_per_m, tension_n)


def workable_guys(
    mast: Mast, places: tuple[GuyPlace, ...], rigs: tuple[LevelRig | None, ...]
) -> tuple[tuple[GuyPlace, ...], tuple[str, ...]]:
    """The guys that can be worked out, and for each other one the reason in plain words; no unit."""
    rigged = tuple(p for p in places if rigs[p.level] is not None)
    reasons = {id(p): "the mast file gives neither its strand nor its diameter_mm" for p in places if rigs[p.level] is None}
    for place, opening in zip(rigged, hung(rigged, rigs).opening if rigged else (), strict=True):
        if not np.isfinite(opening):
            reasons[id(place)] = f"{rigs[place.level].set_tension_kn:.2f} kN at the anchor does not hold its own weight up"
    words = tuple(f"{p.anchor} at {mast.guys[p.level].attach_m:g} m: {reasons[id(p)]}" for p in places if id(p) in reasons)
    return tuple(p for p in rigged if id(p) not in reasons), words


def cut_list(mast: Mast, places: tuple[GuyPlace, ...], rigs: tuple[LevelRig | None, ...], options: GuyOptions) -> CutList:
    """Lengths and totals of every guy whose strand is known; the others are named in `not_listed`.

    Args:
        places: from guy_places; rigs: parallel to the mast's levels, None where the strand is not known.
    """
    places, not_listed = workable_guys(mast, places, rigs)
    guys = _guy_lengths(mast, places, rigs, options) if places else ()
    strands = {rig.strand.name: rig.strand for rig in rigs if rig is not None}
    return CutList(
        reference_c=options.reference_c,
        temperatures_c=options.temperatures_c,
        strands=tuple(strands.values()),
        guys=guys,
        totals=tuple(_total(s, [g for g in guys if g.strand == s.name], options) for s in strands.values() if guys),
        not_listed=not_listed,
        notes=_notes(tuple(strands.values()), options),
    )


def _guy_lengths(
    mast: Mast, places: tuple[GuyPlace, ...], rigs: tuple[LevelRig | None, ...], options: GuyOptions
) -> tuple[GuyLength, ...]:
    """The lengths of guys that can be worked out."""
    shape = hung(places, rigs)
    strands = [rigs[p.level].strand for p in places]
    stiffness_n = np.array([s.stiffness_n for s in strands])
    unstressed_m = shape.unstressed_m(stiffness_n)
    warming_k = np.array(options.temperatures_c) - options.reference_c
    change_m = thermal_change_m(unstressed_m[:, None], np.array([s.expansion_per_k for s in strands])[:, None], warming_k)
    cut_m = unstressed_m + options.termination_m
    return tuple(
        GuyLength(
            anchor=place.anchor,
            attach_m=mast.guys[place.level].attach_m,
            use=mast.guys[place.level].use,
            strand=strands[i].name,
            diameter_mm=strands[i].diameter_mm,
            at_deg=math.degrees(place.at_rad),
            span_m=place.span_m,
            rise_m=place.rise_m,
            chord_m=float(shape.chord_m[i]),
            chord_angle_deg=math.degrees(math.atan2(place.rise_m, place.span_m)),
            anchor_angle_deg=math.degrees(shape.anchor_angle_rad[i]),
            set_tension_kn=rigs[place.level].set_tension_kn,
            top_tension_kn=float(shape.top_tension_n[i]) / 1000.0,
            sag_m=float(shape.sag_m[i]),
            hanging_m=float(shape.length_m[i]),
            stretch_m=float(shape.length_m[i] - unstressed_m[i]),
            unstressed_m=float(unstressed_m[i]),
            termination_m=options.termination_m,
            cut_m=float(cut_m[i]),
            cut_at_m=tuple(float(v) for v in cut_m[i] + change_m[i]),
        )
        for i, place in enumerate(places)
    )


def _total(strand: Strand, guys: list[GuyLength], options: GuyOptions) -> CutTotal:
    """What to order of one strand."""
    cuts = [g.cut_m for g in guys]
    total_m, longest_m = sum(cuts), max(cuts, default=0.0)
    spare_m = max(options.spare_ratio * total_m, longest_m)
    order_m = float(math.ceil(total_m + spare_m - 1e-9))
    return CutTotal(
        strand=strand.name,
        diameter_mm=strand.diameter_mm,
        pieces=len(cuts),
        longest_m=longest_m,
        total_m=total_m,
        spare_m=spare_m,
        order_m=order_m,
        mass_kg=order_m * strand.mass_kg_per_m,
    )


def _notes(strands: tuple[Strand, ...], options: GuyOptions) -> tuple[str, ...]:
    """What the lengths rest on."""
    return (
        *(s.assumed for s in strands if s.assumed),
        "Heights of the anchors are the DEM's: measure anchor and base on site before cutting, and cut to the measured chord.",
        f"Set tension and unstressed length hold at {options.reference_c:g} °C. A steel tape as warm as the strand shows the same "
        "figure on any day; the lengths by temperature are for a tape that heat does not change.",
        f"Terminations: {options.termination_m:g} m a guy for both ends ({NO_SOURCE}). The length of thimbles, turnbuckles and "
        "shackles is not taken off: the strand is cut long and taken up at the anchor.",
        "Temporary guys are cut for the mast angle at which they are longest in the lift.",
        f"Spare: {100 * options.spare_ratio:g} % of each strand, at least its longest piece ({NO_SOURCE}).",
        *sorted({f"Modulus of {s.name}: {s.modulus_source}." for s in strands}),
    )
