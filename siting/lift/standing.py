"""The mast as it stands in its permanent guys, from a mast file: its levels, anchors, weights and strands as one model."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from siting.errors import OutOfMethod
from siting.kernels.elastic_guy import ElasticGuy, elastic_at_tension
from siting.kernels.guyed_mast import GuyedMast, Standing, forces_at, stand
from siting.lift.geometry import seen_from_hinge
from siting.lift.guy_lengths import in_the_lift
from siting.lift.transfer import open_side
from siting.records.guys import LevelRig, Strand
from siting.records.mast import Mast
from siting.units import GRAVITY_M_S2

# What presses the mast down may be so many times larger before it tips; a chain that is nearer to it than that is taken as
# the softest beam that is not (common practice, no source).
LEAST_TIPPING_RATIO = 2.0
SOFTEST_NM2, STIFFEST_NM2, BISECTIONS = 1e3, 1e9, 30
ASSUMES_HINGED = (
    "The mast file gives no stiffness, and the mast is taken as straight pieces between its guy levels, hinged at each: the softest "
    "mast, every level held by its own guys alone."
)
ASSUMES_SOFTEST = (
    "The mast file gives no stiffness, and as pieces hinged at the guy levels the mast would stand in its guys badly or not at "
    "all. It is taken as the softest straight beam that stands twice its load, {stiffness:.0f} kNm²: give stiffness_knm2."
)
ASSUMES_BEAM = (
    "The mast is taken as a beam of the mast file's stiffness, {stiffness:.0f} kNm², straight when nothing bends it. A mast whose "
    "sections are not quite straight shows a bend that no guy made."
)
ASSUMES_WHY = (
    " The lengths that stand it plumb do not hang on that, for a straight mast at plumb is not bent; what the guys carry on the way "
    "does. A stiffer mast moves less at each step, and its levels move together."
)


@dataclass(frozen=True, slots=True)
class StandingMast:
    """A mast and its permanent guys for kernels/guyed_mast.py; guys from the lowest level up, in the mast file's order."""

    name: str
    height_m: float  # from the hinge along the mast
    model: GuyedMast
    anchors: tuple[str, ...]  # (G,) stake ids
    strands: tuple[Strand, ...]  # (G,)
    set_tension_n: np.ndarray  # (G,) at the anchor
    assumes: str  # how the mast is taken, in plain words

    @property
    def attach_m(self) -> np.ndarray:
        """(G,) attachment above the hinge, metres."""
        return self.model.heights_m[self.model.level]

    @property
    def breaking_n(self) -> np.ndarray:
        """(G,) breaking strength, newtons."""
        return np.array([s.breaking_kn for s in self.strands]) * 1000.0

    def names(self, which: Iterable[int]) -> str:
        """Some guys in words, no unit."""
        return ", ".join(f"{self.anchors[i]} at {self.attach_m[i]:g} m" for i in which)


def standing_mast(
    mast: Mast, anchor_heights_m: dict[str, float], hinge_m: float, rigs: tuple[LevelRig | None, ...]
) -> StandingMast:
    """The mast in its permanent guys on the ground as it is.

    A mast with stiffness_knm2 is a beam; without it a chain hinged at its guy levels, or, where that would not stand, the
    softest beam that does.

    Args:
        anchor_heights_m, hinge_m: above the same datum; rigs: parallel to the mast's levels, None where the strand is not known.
    Raises:
        OutOfMethod: no permanent guys, a strand that is not known, a level that is not held on three sides, a set tension
        that does not hold its guy up, or guys that hold not even a stiff mast.
    """
    anchors = {a.id: a for a in mast.anchors}
    guys = sorted(
        ((level.attach_m, number, name) for number, level in enumerate(mast.guys) for name in level.anchors
         if not in_the_lift(level, anchors[name])),
        key=lambda g: (g[0], g[1]),
    )  # fmt: skip
    _require_held(mast, guys, rigs)
    heights_m = sorted({g[0] for g in guys})
    places = [
        [float(v) for v in seen_from_hinge(anchors[name], np.array(anchor_heights_m[name]), hinge_m)] for _, _, name in guys
    ]
    strands = tuple(rigs[number].strand for _, number, _ in guys)
    model = GuyedMast(
        heights_m=np.array(heights_m),
        weight_n=level_weights_n(mast, np.array(heights_m)),
        anchors_m=np.array(places),
        level=np.array([heights_m.index(g[0]) for g in guys]),
        weight_n_per_m=np.array([s.mass_kg_per_m for s in strands]) * GRAVITY_M_S2,
        stiffness_n=np.array([s.stiffness_n for s in strands]),
    )
    set_n = np.array([rigs[number].set_tension_kn for _, number, _ in guys]) * 1000.0
    anchor_ids = tuple(g[2] for g in guys)
    made = StandingMast(mast.name, mast.height_m, model, anchor_ids, strands, set_n, ASSUMES_HINGED + ASSUMES_WHY)
    _require_taut(made, mast, [number for _, number, _ in guys])
    return _stiffened(made, mast.rigging.stiffness_knm2)


def level_weights_n(mast: Mast, heights_m: np.ndarray) -> np.ndarray:
    """(L,) weight of mast and loads by guy level, newtons: what each mass puts on the level below and above it.

    A mass over the top level leans with the piece below it, so it counts more than its weight there and less than
    nothing one level down.
    """
    ends = np.array(mast.section_ends_m)
    masses = mast.rigging.section_mass_kg or mast.mass_kg_per_m * np.diff(ends)
    at = np.concatenate([(ends[:-1] + ends[1:]) / 2.0, [load.at_m for load in mast.rigging.loads]])
    weight = GRAVITY_M_S2 * np.concatenate([masses, [load.mass_kg for load in mast.rigging.loads]])
    knots = np.concatenate([[0.0], heights_m])
    piece = np.clip(np.searchsorted(knots, at, side="right") - 1, 0, heights_m.size - 1)
    share = (at - knots[piece]) / (knots[piece + 1] - knots[piece])
    total = np.zeros(knots.size)
    np.add.at(total, piece, weight * (1.0 - share))
    np.add.at(total, piece + 1, weight * share)
    return total[1:]


def guys_at_tension(mast: StandingMast, displacement_m: np.ndarray, tension_n: np.ndarray) -> ElasticGuy:
    """(G,) the guys with given tensions at their anchors, each level moved sideways (L, 2) at its own height; metres, newtons."""
    model = mast.model
    reach = displacement_m[model.level] - model.anchors_m[:, :2]
    span_m = np.hypot(reach[:, 0], reach[:, 1])
    rise_m = model.heights_m[model.level] - model.anchors_m[:, 2]
    return elastic_at_tension(span_m, rise_m, model.weight_n_per_m, model.stiffness_n, tension_n)


def stand_up(
    mast: StandingMast, unstressed_m: np.ndarray, start_m: np.ndarray | None = None, side_n: np.ndarray | float = 0.0
) -> Standing:
    """The mast at rest in guys of given unstressed lengths (G,), metres; searched from start_m (L, 2), plumb if not given.

    Args:
        side_n: (L, 2) what pushes the levels beside guys and weight.
    Raises:
        OutOfMethod: it does not stand in them: slack guys all round, a lean beyond the method, or no balance.
    """
    found = stand(mast.model, unstressed_m, side_n, start_m)
    if found.why:
        raise OutOfMethod.of(
            "plumb_range", f"mast '{mast.name}' in its permanent guys", found.why,
            "hold the mast with the guys of the lift, take in the slack guys by hand, and read lean and tensions again",
        )  # fmt: skip
    return found


def _stiffened(made: StandingMast, own_knm2: float | None) -> StandingMast:
    """The mast with its own stiffness, or with the least one that it stands by where the file gives none."""
    if own_knm2:
        words = ASSUMES_BEAM.format(stiffness=own_knm2) + ASSUMES_WHY
        return replace(made, model=replace(made.model, bending_nm2=1000.0 * own_knm2), assumes=words)
    plumb = np.zeros((made.model.heights_m.size, 2))
    length_m = guys_at_tension(made, plumb, made.set_tension_n).unstressed_m

    def stands(bending_nm2: float) -> bool:
        found = forces_at(replace(made.model, bending_nm2=bending_nm2), length_m, plumb)
        return found.tipping_ratio >= LEAST_TIPPING_RATIO

    if stands(0.0):
        return made
    if not stands(STIFFEST_NM2):
        raise _refusal(
            made.name, "tips in its guys even when it is stiff: they are too soft for its weight",
            "check strands, masses and initial_tension_kn",
        )
    low, high = math.log(SOFTEST_NM2), math.log(STIFFEST_NM2)
    for _ in range(BISECTIONS):
        middle = (low + high) / 2.0
        low, high = (low, middle) if stands(math.exp(middle)) else (middle, high)
    words = ASSUMES_SOFTEST.format(stiffness=math.exp(high) / 1000.0) + ASSUMES_WHY
    return replace(made, model=replace(made.model, bending_nm2=math.exp(high)), assumes=words)


def _require_held(mast: Mast, guys: list[tuple[float, int, str]], rigs: tuple[LevelRig | None, ...]) -> None:
    """Refuses a mast without permanent guys, a level without a strand, and one that is not held on three sides."""
    if not guys:
        raise _refusal(mast.name, "has no permanent guys: nothing to plumb it with", 'name them in the mast file, use = "permanent"')
    for attach_m, number, _ in guys:
        if rigs[number] is None:
            raise _refusal(
                mast.name,
                f"gives neither strand nor diameter_mm for the guys at {attach_m:g} m",
                "name the strand that is on the drum",
            )
    for height_m in sorted({g[0] for g in guys}):
        if why := open_side(mast, [name for attach_m, _, name in guys if attach_m == height_m]):
            raise _refusal(mast.name, f"is not held at {height_m:g} m: {why}", "give that level a permanent guy on a third side")


def _require_taut(made: StandingMast, mast: Mast, numbers: list[int]) -> None:
    """Refuses a set tension that does not hold its own guy up; `numbers` are the guys' [[guys]] tables, from 0."""
    set_up = guys_at_tension(made, np.zeros((made.model.heights_m.size, 2)), made.set_tension_n)
    for index, number in enumerate(numbers):
        if np.isfinite(set_up.horizontal_n[index]):
            continue
        level, strand = mast.guys[number], made.strands[index]
        key = f"[[guys]] no. {number + 1}, initial_tension_kn"
        if level.initial_tension_kn is None:
            key = "initial_tension_ratio"
        raise OutOfMethod.of(
            "plumb_range", f"{mast.shown}, {key}",
            f"sets the guy to {made.anchors[index]} at {level.attach_m:g} m to {made.set_tension_n[index] / 1000.0:.3g} kN, "
            "which does not hold its own weight up: it would lie on the ground",
            f"give the maker's set tension; common practice is 7 to 15 % of the breaking strength, {strand.breaking_kn:.1f} kN",
        )  # fmt: skip


def _refusal(name: str, what: str, do: str) -> OutOfMethod:
    """The error of a mast that cannot be plumbed by calculation."""
    return OutOfMethod.of("plumb_range", f"mast '{name}'", what, do)
