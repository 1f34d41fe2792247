"""The shipped lattice masts on even ground as the loads of their anchors are asked for, and a guy made by hand."""

from __future__ import annotations

import math
from dataclasses import dataclass

from siting.holding.lift_loads import lift_pulls
from siting.holding.pulls import GuyAtAnchor, LiftPulls, guys_at_anchors
from siting.inputs.mast_file import find_shipped, read_mast
from siting.layout.guys import guy_chords
from siting.lift.guy_lengths import cut_list, guy_places, rig_level
from siting.lift.slope_gain import even_ground
from siting.lift.statics import StaticsCase, lift_statics
from siting.lift.strands import find_strands
from siting.records.guys import CutList, LevelRig
from siting.records.mast import Mast
from siting.records.statics import Statics

BASE_M, LAYDOWN_DEG = 1000.0, 30.0


@dataclass(frozen=True)
class Case:
    mast: Mast
    heights_m: dict[str, float]
    hinge_m: float
    rigs: tuple[LevelRig, ...]
    cuts: CutList
    statics: Statics

    @property
    def guys(self) -> tuple[GuyAtAnchor, ...]:
        return guys_at_anchors(self.cuts)

    @property
    def azimuth_deg(self) -> dict[str, float]:
        return {a.id: LAYDOWN_DEG + a.bearing_deg for a in self.mast.anchors}

    @property
    def drop_m(self) -> dict[str, float]:
        return {name: self.hinge_m - height for name, height in self.heights_m.items()}

    @property
    def lift(self) -> LiftPulls:
        return lift_pulls(self.statics, self.mast)


def case(name: str = "lattice-80", slope_percent: float = 0.0, side_m_s: float | None = None) -> Case:
    """A shipped mast on even ground that rises along the laydown."""
    path, said = find_shipped(name, "test")
    mast = read_mast(path, said, True)
    rise = slope_percent / 100.0
    heights = {a.id: BASE_M + rise * a.radius_m * math.cos(math.radians(a.bearing_deg)) for a in mast.anchors}
    hinge_m, rest = BASE_M + mast.hinge_height_m, even_ground(mast, slope_percent)[1]
    strands = find_strands(((g.strand, g.diameter_mm) for g in mast.guys), mast.shown)
    rigs = tuple(rig_level(s, mast.guy_options, lv.initial_tension_kn) for s, lv in zip(strands, mast.guys, strict=True))
    masses = tuple(s.mass_kg_per_m for s, level in zip(strands, mast.guys, strict=True) for _ in level.anchors)
    given = StaticsCase(
        mast, mast.rigging, heights, hinge_m, rest, slope_percent, 0.1, tuple(guy_chords(mast, BASE_M, heights)), masses,
        None, side_m_s,
    )  # fmt: skip
    cuts = cut_list(mast, guy_places(mast, heights, hinge_m, rest), rigs, mast.guy_options)
    return Case(mast, heights, hinge_m, rigs, cuts, lift_statics(given))
