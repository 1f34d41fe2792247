"""The standing mast written into the plan as a record, and the model built again from it."""

from __future__ import annotations

import numpy as np

from siting.errors import Fault, InputError
from siting.kernels.guyed_mast import GuyedMast
from siting.lift.standing import StandingMast
from siting.records.guys import Strand
from siting.records.plumb import SAME_LEVEL_M, Standing, StandingGuy, StandingLevel
from siting.units import GRAVITY_M_S2

PLAN_AGAIN = "make the plan again with siting plan"


def standing_record(made: StandingMast) -> Standing:
    """The mast in its permanent guys as plan.json holds it: metres, kilonewtons, in the plan's decimals once it is closed."""
    model = made.model
    return Standing(
        levels=tuple(
            StandingLevel(float(height), float(weight) / 1000.0)
            for height, weight in zip(model.heights_m, model.weight_n, strict=True)
        ),
        guys=tuple(
            StandingGuy(
                anchor=anchor,
                attach_m=float(made.attach_m[i]),
                along_m=float(model.anchors_m[i, 0]),
                right_m=float(model.anchors_m[i, 1]),
                above_m=float(model.anchors_m[i, 2]),
                strand=made.strands[i].name,
                set_kn=float(made.set_tension_n[i]) / 1000.0,
            )
            for i, anchor in enumerate(made.anchors)
        ),
        stiffness_knm2=model.bending_nm2 / 1000.0,
        assumes=made.assumes,
    )


def standing_of(record: Standing, strands: tuple[Strand, ...], name: str, height_m: float) -> StandingMast:
    """The model that a plan's record was written from, to the record's decimals; metres, newtons.

    Args:
        strands: the plan's cut list's; name, height_m: the mast's, from the hinge along it.
    Raises:
        InputError: a guy's strand is not among them, or its level is none of the record's: a plan altered by hand.
    """
    by_name = {strand.name: strand for strand in strands}
    heights_m = np.array([level.attach_m for level in record.levels])
    level = [_level_of(guy, heights_m) for guy in record.guys]
    faults = [
        Fault("plan_broken", f"standing, guy {guy.anchor} at {guy.attach_m:g} m", what, PLAN_AGAIN)
        for guy, index in zip(record.guys, level, strict=True)
        for what, is_wrong in (
            (f"its strand '{guy.strand}' is not in the plan's cut list", guy.strand not in by_name),
            ("its level is not in the plan", index is None),
        )
        if is_wrong
    ]
    if faults or not level:
        raise InputError(tuple(faults) or (Fault("plan_broken", "standing, guys", "holds no guy", PLAN_AGAIN),))
    used = tuple(by_name[guy.strand] for guy in record.guys)
    model = GuyedMast(
        heights_m=heights_m,
        weight_n=np.array([level.weight_kn for level in record.levels]) * 1000.0,
        anchors_m=np.array([(guy.along_m, guy.right_m, guy.above_m) for guy in record.guys]),
        level=np.array(level),
        weight_n_per_m=np.array([strand.mass_kg_per_m for strand in used]) * GRAVITY_M_S2,
        stiffness_n=np.array([strand.stiffness_n for strand in used]),
        bending_nm2=1000.0 * record.stiffness_knm2,
    )
    set_n = np.array([guy.set_kn for guy in record.guys]) * 1000.0
    return StandingMast(name, height_m, model, tuple(guy.anchor for guy in record.guys), used, set_n, record.assumes)


def _level_of(guy: StandingGuy, heights_m: np.ndarray) -> int | None:
    """Index of a guy's level, None where no level is there."""
    return next((i for i, height in enumerate(heights_m) if abs(height - guy.attach_m) <= SAME_LEVEL_M), None)
