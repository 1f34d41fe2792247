"""Guys and lines at their anchors as plain numbers, and how the pulls at one anchor add up."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from siting.figures import shown
from siting.records.guys import CutList
from siting.records.holding import AnchorLoad, GuyLoad
from siting.records.mast import TEMPORARY

# A line flatter than the first is turned down to the second where it enters the ground: common practice, no source.
FLAT_DEG, ROD_DEG = 20.0, 30.0


@dataclass(frozen=True, slots=True)
class GuyAtAnchor:
    """One guy as it is cut and set: plumb mast; a temporary guy where it is longest in the lift."""

    anchor: str  # stake id
    attach_m: float  # above the hinge, along the mast
    use: str  # permanent, or temporary: rigged for the lift only
    span_m: float  # horizontal, anchor to attachment
    rise_m: float  # attachment above the anchor's ground
    set_kn: float  # set tension at the anchor
    breaking_kn: float  # least breaking strength
    stiffness_n: float  # E A
    diameter_mm: float  # of the strand
    unstressed_m: float
    angle_deg: float  # of the hanging guy at the anchor, at its set tension, above the horizontal

    @property
    def chord_m(self) -> float:
        """Straight line from the anchor to the attachment, metres."""
        return math.hypot(self.span_m, self.rise_m)

    @property
    def is_temporary(self) -> bool:
        """True for a guy that is rigged for the lift only."""
        return self.use == TEMPORARY


@dataclass(frozen=True, slots=True)
class LiftPulls:
    """What the lift's lines pull, kN: the largest over the lift; without an entry where it is not known."""

    winch_kn: float | None = None  # with friction, over all stages
    back_kn: dict[str, float] = field(default_factory=dict)  # highest guy of each back anchor
    side_kn: dict[str, float] = field(default_factory=dict)  # highest guy of each side anchor, in the user's side wind
    rest_deg: float = 0.0  # mast angle of the rest line
    takeover_deg: float | None = None  # from here to plumb the back guys hold; None: taken as plumb
    winch_line_breaking_kn: float | None = None  # asked only where neither the pull nor the winch's limit is known


@dataclass(frozen=True, slots=True)
class Grounds:
    """What a load rests on, in words."""

    basis: str  # a basis of records/holding.py
    text: str
    source: str


def guys_at_anchors(cuts: CutList) -> tuple[GuyAtAnchor, ...]:
    """Every guy of a cut list, kN, metres and degrees: those without a known strand are not in it."""
    strands = {s.name: s for s in cuts.strands}
    return tuple(
        GuyAtAnchor(
            anchor=g.anchor,
            attach_m=g.attach_m,
            use=g.use,
            span_m=g.span_m,
            rise_m=g.rise_m,
            set_kn=g.set_tension_kn,
            breaking_kn=strands[g.strand].breaking_kn,
            stiffness_n=strands[g.strand].stiffness_n,
            diameter_mm=g.diameter_mm,
            unstressed_m=g.unstressed_m,
            angle_deg=g.anchor_angle_deg,
        )
        for g in cuts.guys
    )


def guy_load(attach_m: float, toward_base_kn: float, upward_kn: float) -> GuyLoad:
    """One guy's pull on its anchor from its two parts, kN."""
    angle_deg = math.degrees(math.atan2(upward_kn, toward_base_kn))
    return GuyLoad(attach_m, math.hypot(toward_base_kn, upward_kn), angle_deg)


def vector_sum(guys: Iterable[GuyLoad]) -> tuple[float, float]:
    """Level part towards the base and upward part of several guys in one vertical plane, kN."""
    guys = tuple(guys)
    level = sum(g.tension_kn * math.cos(math.radians(g.angle_deg)) for g in guys)
    upward = sum(g.tension_kn * math.sin(math.radians(g.angle_deg)) for g in guys)
    return level, upward


def pull_kn(guys: Iterable[GuyLoad]) -> float:
    """Pull of several guys in one vertical plane, kN."""
    return math.hypot(*vector_sum(guys))


def anchor_load(anchor: str, away_deg: float, guys: tuple[GuyLoad, ...], grounds: Grounds) -> AnchorLoad:
    """The load of one anchor as the vector sum of its guys, kN and degrees: the rod lies on the sum."""
    level, upward = vector_sum(guys)
    return AnchorLoad(
        anchor=anchor,
        basis=grounds.basis,
        load_kn=math.hypot(level, upward),
        angle_deg=math.degrees(math.atan2(upward, level)),
        away_deg=away_deg,
        upward_kn=upward,
        level_kn=level,
        guys=guys,
        text=grounds.text,
        source=grounds.source,
    )


def turned_down(load: AnchorLoad) -> AnchorLoad:
    """The load of a line too flat to lay a rod on, turned down to ROD_DEG over a beam where it enters the ground; else as it is.

    The beam only bears upward on the line: the level part goes on along the rod, so the pull there is level / cos(ROD_DEG).

    Source: a short beam under the guy at the mouth of its trench, NAVEDTRA 14251 ch. 6 (deadman); angles: common practice,
    no source.
    """
    if load.angle_deg >= FLAT_DEG:
        return load
    rod = math.radians(ROD_DEG)
    upward_kn = load.level_kn * math.tan(rod)
    text = (
        f"{load.text} The line comes at {shown(load.angle_deg, 'angle')}, too flat to lay a rod on: turn it down to {ROD_DEG:.0f}° over a "
        f"beam where it enters the ground, which it presses with {shown(upward_kn - load.upward_kn, 'force')}."
    )
    return replace(
        load, load_kn=load.level_kn / math.cos(rod), angle_deg=ROD_DEG, upward_kn=upward_kn, text=text,
        source=f"{load.source}; beam at the trench's mouth: NAVEDTRA 14251, ch. 6",
    )  # fmt: skip


def scaled(guys: tuple[GuyLoad, ...], to_kn: float) -> tuple[GuyLoad, ...]:
    """The same guys, each in the same proportion, with this pull together (kN)."""
    part = to_kn / pull_kn(guys)
    return tuple(GuyLoad(g.attach_m, part * g.tension_kn, g.angle_deg) for g in guys)
