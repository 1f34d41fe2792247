"""A small mast with every kind of guy on even ground, for the tests of the guys and the lift."""

from __future__ import annotations

import math

from siting.lift.strands import find_strand
from siting.records.guys import GuyOptions, LevelRig
from siting.records.mast import Anchor, GuyLevel, Mast

HINGE_M, BASE_M = 500.3, 500.0
ANCHORS = (
    Anchor("A", "permanent", 45.0, 40.0), Anchor("B", "permanent", 165.0, 40.0), Anchor("C", "permanent", 285.0, 40.0),
    Anchor("R", "temporary", 90.0, 36.0), Anchor("L", "temporary", 270.0, 36.0), Anchor("K", "temporary", 0.0, 66.0),
    Anchor("W", "winch", 180.0, 64.0),
)  # fmt: skip
GUYS = (
    GuyLevel(30.0, ("A", "B", "C"), "permanent", 4.0), GuyLevel(58.0, ("A", "B", "C"), "permanent", 4.0),
    GuyLevel(30.0, ("R", "L", "K"), "temporary", 4.0), GuyLevel(58.0, ("R", "L", "K"), "temporary", 4.0),
)  # fmt: skip


def mast(anchors: tuple[Anchor, ...] = ANCHORS, guys: tuple[GuyLevel, ...] = GUYS) -> Mast:
    """A 60 m mast with its hinge 0.3 m above the ground and a gin pole of 10 m."""
    return Mast("test", 60.0, 60.9, "tubular", 11.0, 2.5, 0.3, 10.0, anchors, guys)


def ground_m(made: Mast, uphill: float = 0.0, to_the_right: float = 0.0) -> dict[str, float]:
    """Heights of the anchors on even ground that rises by so much a metre along the laydown and to its right."""
    turn = {a.id: math.radians(a.bearing_deg) for a in made.anchors}
    return {
        a.id: BASE_M + a.radius_m * (uphill * math.cos(turn[a.id]) + to_the_right * math.sin(turn[a.id])) for a in made.anchors
    }


def rigs(made: Mast, name: str = "A475 EHS 1/4 in", tension_kn: float | None = None) -> tuple[LevelRig, ...]:
    """Every level of one strand, at a tenth of its strength or at a given tension."""
    strand = find_strand(name, None, "test")
    return (LevelRig(strand, tension_kn or GuyOptions().initial_tension_ratio * strand.breaking_kn, "test"),) * len(made.guys)
