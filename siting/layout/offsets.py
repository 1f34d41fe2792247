"""Reference stakes outside the dig: an anchor's own stake is lost when its hole is dug."""

from __future__ import annotations

import math
from dataclasses import dataclass

from siting.records.mast import Mast
from siting.records.site import PointOptions


@dataclass(frozen=True, slots=True)
class Offset:
    """An offset stake as a bearing and a radius from the base, and what it refers to."""

    id: str
    anchor: str
    bearing_deg: float  # clockwise from the laydown azimuth, like the anchor's
    radius_m: float
    words: str


def offset_stakes(mast: Mast, options: PointOptions) -> tuple[Offset, ...]:
    """The offset stakes of every anchor: beyond it on the guy's line, and square to that line.

    Numbered -1, -2 … after the anchor's id. A square offset of more than 0 lies to the right seen from the base.
    """
    stakes = []
    for anchor in mast.anchors:
        number = 0
        for distance_m in options.offset_in_line_m:
            number += 1
            side = "beyond" if distance_m > 0 else "before"
            stakes.append(
                Offset(
                    f"{anchor.id}-{number}",
                    anchor.id,
                    anchor.bearing_deg,
                    anchor.radius_m + distance_m,
                    f"offset {abs(distance_m):g} m {side} {anchor.id} on the guy line",
                )
            )
        for distance_m in options.offset_square_m:
            number += 1
            side = "right" if distance_m > 0 else "left"
            stakes.append(
                Offset(
                    f"{anchor.id}-{number}",
                    anchor.id,
                    anchor.bearing_deg + math.degrees(math.atan2(distance_m, anchor.radius_m)),
                    math.hypot(anchor.radius_m, distance_m),
                    f"offset {abs(distance_m):g} m square to the guy at {anchor.id} to the {side} seen from the base",
                )
            )
    return tuple(stakes)
