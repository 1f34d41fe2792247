"""The ground to keep free while the mast goes up, as areas in the ground frame (metres, grid east and north)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from siting.geodesy.frames import Frame
from siting.layout.footprint import anchor_points_xy_m, circle
from siting.records.mast import TEMPORARY, Anchor, Mast
from siting.records.site import NO_SOURCE
from siting.units import turn_deg


@dataclass(frozen=True, slots=True)
class LiftZoneSettings:
    """Widths of the corridors: common practice, no source. The margin is the user's and is added on every side."""

    half_width_m: float = 5.0
    behind_ratio: float = 0.5  # a line that parts flies on in line behind its anchor: this part of its plan length
    margin_m: float = 0.0


@dataclass(frozen=True, slots=True)
class LiftZone:
    """One zone before anything is asked of the land."""

    id: str
    title: str
    what: str
    source: str
    radius_m: float  # reach from the base without the margin, as the lift sheet gives it
    area: Any  # polygon


FROM_HEIGHT = f"{NO_SOURCE}: total height"
SECTORS = ("tilt_sector", "behind_hinge")
CORRIDOR = f"{NO_SOURCE}: corridor of this half width along the line"


def lift_zones(mast: Mast, laydown_deg: float, frame: Frame, settings: LiftZoneSettings) -> tuple[LiftZone, ...]:
    """Tilt sector, corridors of laydown, guys and winch line, and the half circle behind the hinge.

    Titles and radii are those of the lift sheet; the laydown corridor is drawn beside them.
    """
    reach_m, half_m = mast.total_height_m, settings.half_width_m
    sides = mast.side_anchors
    backs = tuple(a for a in mast.anchors if a.use == TEMPORARY and not a.is_side)
    turns = sorted(turn_deg(0.0, a.bearing_deg) for a in sides)
    if turns and turns[0] < 0.0 < turns[-1]:
        left, right, where = turns[0], turns[-1], "between the side anchors, over the head"
    else:
        left, right, where = -90.0, 90.0, "the whole side of the laydown: there is no side anchor on both sides"
    zones = [
        LiftZone(
            "laydown_corridor", "Laydown", f"the lying mast from the base to its tip, {half_m:g} m to either side", CORRIDOR,
            reach_m, _corridor(frame, laydown_deg, reach_m, half_m),
        ),
        LiftZone("tilt_sector", "Tilt sector", f"the mast while it goes up: {where}", FROM_HEIGHT, reach_m, _sector(frame, laydown_deg, (left, right), reach_m)),
    ]  # fmt: skip
    for name, title, anchors in (("side_guys", "Side guys", sides), ("back_guys", "Back guys", backs)):
        if anchors:
            zones.append(_lines(name, title, anchors, laydown_deg, frame, settings))
    zones.append(
        LiftZone(
            "behind_hinge", "Behind hinge", "half circle away from the laydown: a mast or a fitting that comes over the hinge", FROM_HEIGHT,
            reach_m, _sector(frame, laydown_deg + 180.0, (-90.0, 90.0), reach_m),
        )
    )  # fmt: skip
    if mast.winch is not None:
        zones.append(_lines("winch_line", "Winch line", (mast.winch,), laydown_deg, frame, settings))
    if settings.margin_m == 0.0:
        return tuple(zones)
    words = f"; with the margin of {settings.margin_m:g} m on every side"
    return tuple(
        LiftZone(z.id, z.title, z.what + words, z.source, z.radius_m, z.area.buffer(settings.margin_m, quad_segs=32)) for z in zones
    )


def _lines(
    name: str, title: str, anchors: tuple[Anchor, ...], laydown_deg: float, frame: Frame, settings: LiftZoneSettings
) -> LiftZone:
    """Corridors from the base to anchors and on in line behind them."""
    on = 1.0 + settings.behind_ratio
    areas = [_corridor(frame, laydown_deg + a.bearing_deg, on * a.radius_m, settings.half_width_m) for a in anchors]
    farthest_m = max(a.radius_m for a in anchors)
    what = (
        f"base to {', '.join(a.id for a in anchors)} and in line behind, to {on:g} × the distance, "
        f"{settings.half_width_m:g} m to either side"
    )
    return LiftZone(name, title, what, CORRIDOR, farthest_m, shapely.union_all(areas))


def _corridor(frame: Frame, azimuth_true_deg: float, length_m: float, half_m: float) -> Any:
    """A strip from the base along a true azimuth, with a half round at the base."""
    end = anchor_points_xy_m(frame, np.array([azimuth_true_deg]), np.array([length_m]))[0]
    along = end / length_m
    right = np.array([along[1], -along[0]]) * half_m
    strip = shapely.Polygon([right, end + right, end - right, -right])
    return shapely.union(strip, circle(half_m))


def _sector(frame: Frame, azimuth_true_deg: float, turns_deg: tuple[float, float], radius_m: float) -> Any:
    """The part of a circle about the base between two turns (degrees, clockwise) from a true azimuth, of the circle's area."""
    steps = max(2, round(2.0 * (turns_deg[1] - turns_deg[0])))
    turn = np.radians((turns_deg[1] - turns_deg[0]) / steps)
    out_m = radius_m * np.sqrt(turn / np.sin(turn))
    azimuths = azimuth_true_deg + np.linspace(*turns_deg, steps + 1)
    arc = anchor_points_xy_m(frame, azimuths, np.full(steps + 1, out_m))
    return shapely.Polygon(np.concatenate([[(0.0, 0.0)], arc]))
