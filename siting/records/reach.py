"""The ground that a mast, its parts and its lift can reach, zone by zone, and whose ground it is."""

from __future__ import annotations

from dataclasses import dataclass

from siting.figures import quantity, words
from siting.records.dig import Ring


@dataclass(frozen=True, slots=True)
class ZoneParcel:
    """A parcel that a zone reaches."""

    id: str = words("the parcel's id")
    owner: str = words("its owner, where the layer names one; else empty")
    area_m2: float = quantity("area", "ground area of it inside the zone")
    is_own: bool = words("true for the applicant's own land")


@dataclass(frozen=True, slots=True)
class ZoneObstacle:
    """An obstacle that a zone reaches."""

    kind: str = words("the layer's `kind`")
    name: str = words("its name or number in the layer")
    distance_m: float = quantity("length", "from the base to its nearest point")


@dataclass(frozen=True, slots=True)
class ReachZone:
    """One piece of ground: what can come down on it, its size, whose it is, what stands on it."""

    id: str = words("fall_circle, fall_on_ground, tip_lands, keep_out, a zone of the lift, or guy_whip and after a colon the anchor")
    title: str = words("the zone in plain words")
    what: str = words("what can come there, and what the outline rests on")
    area_m2: float = quantity("area", "ground area")
    radius_m: float | None = quantity("length", "its radius or its length from the base; null where it has no single one")
    by_parcel: tuple[ZoneParcel, ...] = words("parcels that it reaches, the own first, then by area; empty where no parcels were given")
    no_parcel_m2: float | None = quantity("area", "ground of it in no parcel that is drawn; null where no parcels were given")
    obstacles: tuple[ZoneObstacle, ...] = words("obstacles that it reaches, nearest first")
    is_rule: bool = words("true for the full fall circle alone: the rule; every other outline is information and takes nothing from it")
    source: str = words("where the outline comes from")
    rings: tuple[Ring, ...] = quantity("latlon", "(lon, lat) pairs of its outline, then of its holes, closed")
