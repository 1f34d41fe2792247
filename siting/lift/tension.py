"""How tight to set the permanent guys at the day's temperature, and how to measure it."""

from __future__ import annotations

import numpy as np

from siting.kernels.cable import Catenary, hang_with_length, pulse_round_trip_s, thermal_change_m
from siting.lift.guy_lengths import GuyPlace, hung, in_the_lift, workable_guys
from siting.records.guys import GuyOptions, GuyTension, LevelRig, LevelTension, TensionTable
from siting.records.mast import Mast
from siting.units import GRAVITY_M_S2, METRES_PER_INCH, NEWTONS_PER_KILOGRAM_FORCE, NEWTONS_PER_POUND_FORCE

TOLERANCE_RATIO, TOLERANCE_RATIO_THICK = 0.10, 0.05
THICK_OVER_MM = 1000.0 * METRES_PER_INCH
TOLERANCE_SOURCE = "ANSI/TIA-222 13.3.2: within 10 %, 5 % for guys over 1 inch; as an industry planning notice quotes it"


def tension_tolerance_ratio(diameter_mm: float) -> float:
    """How far a guy's tension may be off, either way, as a ratio of the tension.

    Source: ANSI/TIA-222 13.3.2 as an industry planning notice quotes it.
    """
    return TOLERANCE_RATIO_THICK if diameter_mm > THICK_OVER_MM else TOLERANCE_RATIO


def guys_by_temperature(
    places: tuple[GuyPlace, ...],
    attach_m: np.ndarray,
    rigs: tuple[LevelRig | None, ...],
    options: GuyOptions,
    mast_expansion_per_k: float,
) -> Catenary:
    """The guys, (G, K), at K temperatures: set at the reference, then left alone; the mast stands plumb and stiff.

    A warm guy is longer, but a warm mast is taller too, which takes most of a steep guy's slack up again.

    Args:
        places, attach_m: (G) guys that can be worked out; mast_expansion_per_k: 0 for a mast that keeps its height.
    """
    strands = [rigs[p.level].strand for p in places]
    column = lambda values: np.array(values)[:, None]  # noqa: E731
    stiffness_n = column([s.stiffness_n for s in strands])
    warming_k = np.array(options.temperatures_c) - options.reference_c
    set_m = hung(places, rigs).unstressed_m(stiffness_n[:, 0])[:, None]
    length_m = set_m + thermal_change_m(set_m, column([s.expansion_per_k for s in strands]), warming_k)
    rise_m = column([p.rise_m for p in places]) + thermal_change_m(column(attach_m), mast_expansion_per_k, warming_k)
    weight_n_per_m = column([s.mass_kg_per_m * GRAVITY_M_S2 for s in strands])
    return hang_with_length(column([p.span_m for p in places]), rise_m, weight_n_per_m, stiffness_n, length_m)


def tension_table(
    mast: Mast, places: tuple[GuyPlace, ...], rigs: tuple[LevelRig | None, ...], options: GuyOptions
) -> TensionTable:
    """Tension by temperature of every permanent guy whose strand is known, in kN, kgf and lbf, with its measures.

    Args:
        places: from guy_places; rigs: parallel to the mast's levels, None where the strand is not known.
    """
    anchors = {a.id: a for a in mast.anchors}
    stays = tuple(p for p in places if not in_the_lift(mast.guys[p.level], anchors[p.anchor]))
    stays, _ = workable_guys(mast, stays, rigs)
    guys = _guy_tensions(mast, stays, rigs, options) if stays else ()
    used = [rigs[p.level] for p in stays]
    return TensionTable(
        reference_c=options.reference_c,
        temperatures_c=options.temperatures_c,
        pulse_returns=options.pulse_returns,
        guys=guys,
        levels=_levels(guys),
        tension_source=tuple(dict.fromkeys(r.tension_source for r in used)),
        tolerance_source=TOLERANCE_SOURCE,
        methods=measuring_methods(options.pulse_returns),
        notes=_notes(options),
    )


def _guy_tensions(
    mast: Mast, places: tuple[GuyPlace, ...], rigs: tuple[LevelRig | None, ...], options: GuyOptions
) -> tuple[GuyTension, ...]:
    """The tensions of guys that can be worked out."""
    attach_m = np.array([mast.guys[p.level].attach_m for p in places])
    warm = guys_by_temperature(places, attach_m, rigs, options, options.mast_expansion_ppm_per_k * 1e-6)
    fixed = guys_by_temperature(places, attach_m, rigs, options, 0.0)
    tension_n = warm.anchor_tension_n
    mass_kg_per_m = np.array([rigs[p.level].strand.mass_kg_per_m for p in places])[:, None]
    pulse_s = options.pulse_returns * pulse_round_trip_s(warm.length_m, mass_kg_per_m, (tension_n + warm.top_tension_n) / 2.0)
    row = lambda table, i: tuple(float(v) for v in table[i])  # noqa: E731
    return tuple(
        GuyTension(
            anchor=place.anchor,
            attach_m=float(attach_m[i]),
            strand=rigs[place.level].strand.name,
            set_tension_kn=rigs[place.level].set_tension_kn,
            of_breaking_ratio=rigs[place.level].set_tension_kn / rigs[place.level].strand.breaking_kn,
            tension_kn=row(tension_n / 1000.0, i),
            tension_kgf=row(tension_n / NEWTONS_PER_KILOGRAM_FORCE, i),
            tension_lbf=row(tension_n / NEWTONS_PER_POUND_FORCE, i),
            fixed_mast_kn=row(fixed.anchor_tension_n / 1000.0, i),
            pulse_s=row(pulse_s, i),
            intercept_m=row(warm.intercept_m, i),
            tolerance_ratio=tension_tolerance_ratio(rigs[place.level].strand.diameter_mm),
        )
        for i, place in enumerate(places)
    )


def _levels(guys: tuple[GuyTension, ...]) -> tuple[LevelTension, ...]:
    """Least and greatest tension of each level."""
    levels = []
    for attach_m, strand in dict.fromkeys((g.attach_m, g.strand) for g in guys):
        table = np.array([g.tension_kn for g in guys if (g.attach_m, g.strand) == (attach_m, strand)])
        greatest_n = table.max(axis=0) * 1000.0
        levels.append(
            LevelTension(
                attach_m=attach_m,
                strand=strand,
                least_kn=tuple(table.min(axis=0).tolist()),
                greatest_kn=tuple(table.max(axis=0).tolist()),
                greatest_kgf=tuple((greatest_n / NEWTONS_PER_KILOGRAM_FORCE).tolist()),
                greatest_lbf=tuple((greatest_n / NEWTONS_PER_POUND_FORCE).tolist()),
            )
        )
    return tuple(levels)


def measuring_methods(returns: int) -> tuple[str, ...]:
    """How the crew measures a guy's tension, with the formulas, in plain words; no unit."""
    return (
        "With a dynamometer between the guy and its anchor: it shows the tension at the anchor, the figure of this table.",
        f"By pulse: strike the guy near its anchor and time {returns} returns of the jerk, three times; take the mean. Mean tension "
        "T = 4 m L² N² / P², with m kilograms a metre, L length along the guy in metres, N returns in P seconds, T in newtons. At the "
        "anchor it is half the weight of the guy's rise less: T − m g rise / 2. Not in wind, and not with anything hung on the guy.",
        "By sight: look along the guy from its anchor. The sight meets the mast I metres below the attachment; the table gives I. "
        "A larger I is a slacker guy. Near enough, the tension at the anchor is m g L √(C² + (R − I)²) / (2 I), with L along the guy, "
        "C its horizontal distance and R its rise in metres, g 9.80665; the table's I is that of the hanging guy itself.",
        "A guy outside its tolerance is set again; then every guy of its level is measured again, and the mast's plumb with it.",
    )


def _notes(options: GuyOptions) -> tuple[str, ...]:
    """What the tensions rest on."""
    grows = options.mast_expansion_ppm_per_k
    return (
        f"The guys carry their set tension at {options.reference_c:g} °C, in still air, the mast plumb, without ice. The other columns "
        "are what to set on a day of that temperature, so that the guys come to the set tension by themselves.",
        f"Mast and guys are taken as warm as each other; the mast grows by {grows:g} millionths for each degree "
        "(steel; another metal needs its own figure). If the mast kept its height, the tensions would be those of `fixed_mast_kn`, "
        "which change more with temperature: sun on the guys alone does that.",
        "The mast is taken as stiff: how it leans and shortens under the guys is not in the figures.",
    )
