"""What turns about the hinge in the lift: the mast section by section, its loads, its guys, the gin pole."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from siting.errors import OutOfMethod
from siting.kernels.beam import BeamLoads, pulling_forces
from siting.records.mast import Mast
from siting.records.plan import GuyChord
from siting.records.rigging import EQUALISED, Load, Rigging
from siting.records.statics import LiftLoads
from siting.units import GRAVITY_M_S2

# The mast carries this share of each guy's own weight. A guy that lies or drags on the ground hangs less on it, a
# straight one about half; the whole is the most that a slack guy can hang: common practice, no source.
GUY_SHARE_RATIO = 1.0
GUYS_MODEL = (
    "each guy's chord x mass per metre hangs at its attachment from the start to the end: the most that a slack guy "
    "can hang on the mast (one that lies on the ground hangs less)"
)


@dataclass(frozen=True)
class Turning:
    """What turns about the hinge in one stage, and the gin pole square to it. Weights in kN, lengths in metres.

    Without slots: sums that every angle of the lift asks for are worked out once and kept.
    """

    start_m: np.ndarray  # (n,) spans of even weight along what is raised: the mast's sections
    end_m: np.ndarray  # (n,)
    span_kn: np.ndarray  # (n,)
    point_m: np.ndarray  # (m,) weights at a place
    point_kn: np.ndarray  # (m,)
    pole_m: float
    pole_kn: float
    attach_m: tuple[float, ...] = ()  # where the lift lines hold it, rising; empty: not known
    equalised: bool = False  # the lift lines are equally tight; else each keeps its place straight

    @cached_property
    def at_m(self) -> np.ndarray:
        """Middles of the spans and places of the points, metres from the hinge."""
        return np.concatenate([(self.start_m + self.end_m) / 2.0, self.point_m])

    @cached_property
    def weight_kn(self) -> np.ndarray:
        """Weights at `at_m`, kN."""
        return np.concatenate([self.span_kn, self.point_kn])

    @cached_property
    def whole_kn(self) -> float:
        """Weight of what is raised, kN."""
        return float(self.weight_kn.sum())

    @cached_property
    def centre_m(self) -> float:
        """Centre of mass of what is raised, metres from the hinge."""
        return float(np.sum(self.weight_kn * self.at_m)) / self.whole_kn

    @property
    def pole_centre_m(self) -> float:
        """Middle of the gin pole, metres from the hinge."""
        return self.pole_m / 2.0

    @cached_property
    def level_loads(self) -> BeamLoads:
        """Weights square to it where it lies level, without any support: kN/m and kN, downward negative."""
        return BeamLoads(
            self.start_m, self.end_m, -self.span_kn / (self.end_m - self.start_m), self.point_m, -self.point_kn
        )

    @cached_property
    def level_lines_kn(self) -> np.ndarray:
        """(m,) force in each lift line where it lies level, by its weight alone; at an angle t it is cos t of it.

        Every weight square to it shrinks by cos t, so the lines' forces do, and the same lines stay tight.
        """
        return line_forces_kn(self, self.level_loads)


def line_forces_kn(turning: Turning, loads: BeamLoads) -> np.ndarray:
    """(m,) force in each lift line under loads square to what is raised (kN/m, kN); 0 in one that would have to push."""
    attach = np.array(turning.attach_m)
    length = np.hypot(attach, turning.pole_m)
    if turning.equalised:
        spans = loads.intensity * (loads.end - loads.start) * (loads.start + loads.end) / 2.0
        each = -float(spans.sum() + (loads.force * loads.place).sum()) / float(np.sum(attach * turning.pole_m / length))
        return np.full(attach.size, each)
    return pulling_forces(loads, attach) * length / turning.pole_m


@dataclass(frozen=True, slots=True)
class Sections:
    """The mast's sections from the hinge up: (n,) starts and lengths in metres, masses in kg."""

    start_m: np.ndarray
    length_m: np.ndarray
    mass_kg: np.ndarray


def mast_sections(mast: Mast, rigging: Rigging) -> Sections:
    """The mast cut into its sections, the last one as short as the height leaves it; metres and kg.

    Raises:
        OutOfMethod: the mast file's section masses are more or fewer than its sections.
    """
    ends_m = np.array(mast.section_ends_m)
    start_m, length_m, count = ends_m[:-1], np.diff(ends_m), ends_m.size - 1
    mass_kg = mast.mass_kg_per_m * length_m
    if rigging.section_mass_kg:
        if len(rigging.section_mass_kg) != count:
            raise OutOfMethod.of(
                "statics_range", f"mast '{mast.name}', section_mass_kg",
                f"has {len(rigging.section_mass_kg)} masses for {count} sections",
                f"give one mass for each section of {mast.section_length_m:g} m, from the hinge up, a short last one too",
            )  # fmt: skip
        mass_kg = np.array(rigging.section_mass_kg, dtype=float)
    return Sections(start_m, length_m, mass_kg)


def hanging_guys(
    guys: Sequence[GuyChord], strand_kg_per_m: Sequence[float | None], share_ratio: float = GUY_SHARE_RATIO
) -> tuple[tuple[Load, ...], tuple[str, ...]]:
    """The guys' own weight as loads at their attachments (kg), and sentences on the guys that are left out.

    Args:
        strand_kg_per_m: mass per metre of each guy's strand, in the guys' order; None where not known, empty: none known.
    """
    hung, without = [], []
    for guy, per_m in zip(guys, strand_kg_per_m or (None,) * len(guys), strict=True):
        if per_m is None:
            without.append(f"{guy.anchor} at {guy.attach_m:g} m")
        else:
            hung.append(Load(f"guy to {guy.anchor}", guy.attach_m, share_ratio * guy.chord_m * per_m))
    if not guys:
        return (), ("guys: none given",)
    if not without:
        return tuple(hung), ()
    named = ", ".join(without[:3]) + (f" and {len(without) - 3} more" if len(without) > 3 else "")
    return tuple(hung), (f"weight of guys without a known strand: {named}",)


def mast_turning(mast: Mast, rigging: Rigging, hung: Sequence[Load] = ()) -> Turning:
    """The whole mast with its loads, its hanging guys and its gin pole, kN and metres.

    A gin pole without a mass counts as weightless; `lift_loads` says so.

    Raises:
        OutOfMethod: a load stands beyond the mast, or the section masses do not fit.
    """
    sections = mast_sections(mast, rigging)
    carried = (*rigging.loads, *hung)
    for what, at_m in [*((c.name, c.at_m) for c in carried), *(("lift line", a) for a in rigging.lift_attach_m)]:
        if not 0.0 <= at_m <= mast.height_m + 1e-9:
            raise OutOfMethod.of(
                "statics_range", f"mast '{mast.name}', {what}", f"stands at {at_m:g} m of a mast of {mast.height_m:g} m",
                "measure it from the hinge along the mast",
            )  # fmt: skip
    return Turning(
        start_m=sections.start_m,
        end_m=sections.start_m + sections.length_m,
        span_kn=weight_kn(sections.mass_kg),
        point_m=np.array([c.at_m for c in carried], dtype=float),
        point_kn=weight_kn(np.array([c.mass_kg for c in carried], dtype=float)),
        pole_m=mast.gin_pole_length_m,
        pole_kn=float(weight_kn(rigging.gin_pole_mass_kg or 0.0)),
        attach_m=tuple(sorted(set(rigging.lift_attach_m))),
        equalised=rigging.lift_lines == EQUALISED,
    )


def bare(turning: Turning) -> Turning:
    """The same without loads and guys: the mast's own sections and the gin pole, kN and metres."""
    return replace(turning, point_m=np.zeros(0), point_kn=np.zeros(0))


def weight_kn(mass_kg: np.ndarray | float) -> np.ndarray | float:
    """Weight of a mass, kN."""
    return mass_kg * GRAVITY_M_S2 / 1000.0


def lift_loads(mast: Mast, rigging: Rigging, hung: Sequence[Load], without: Sequence[str]) -> LiftLoads:
    """What is lifted and what is left out, kg and metres.

    Raises:
        OutOfMethod: the section masses do not fit the sections.
    """
    sections = mast_sections(mast, rigging)
    turning = mast_turning(mast, rigging, hung)
    missing = [*without]
    if not rigging.loads:
        missing.append("instruments, booms and cables ([[loads]])")
    if rigging.gin_pole_mass_kg is None:
        missing.append("the gin pole's weight (gin_pole_mass_kg)")
    if not rigging.lift_attach_m:
        missing.append("lift lines, gin pole compression and bending (lift_attach_m)")
    if rigging.friction_ratio is None:
        missing.append("friction of sheaves and dragging lines (friction_ratio)")
    missing.append("jerks, ice, and the pull of guys that are held tight")
    return LiftLoads(
        mast_kg=float(sections.mass_kg.sum()),
        loads_kg=sum(load.mass_kg for load in rigging.loads),
        guys_kg=sum(load.mass_kg for load in hung),
        gin_pole_kg=rigging.gin_pole_mass_kg,
        centre_m=float(np.sum(turning.at_m * turning.weight_kn) / np.sum(turning.weight_kn)),
        sections=sections.mass_kg.size,
        guys_model=GUYS_MODEL,
        left_out=tuple(missing),
    )
