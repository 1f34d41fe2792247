"""Straight guys from the plumb mast to the ground at their anchors."""

from __future__ import annotations

import math

from siting.records.mast import Mast
from siting.records.plan import GuyChord


def guy_chords(mast: Mast, base_height_m: float, anchor_heights_m: dict[str, float]) -> tuple[GuyChord, ...]:
    """Every guy's chord (metres) and its angle at the anchor (degrees), in the mast file's order.

    Source: CONTRACT, geometry: from the attachment on the plumb mast to the anchor's ground point.
    """
    radius_m = {a.id: a.radius_m for a in mast.anchors}
    chords = []
    for level in mast.guys:
        for anchor in level.anchors:
            rise_m = base_height_m + mast.hinge_height_m + level.attach_m - anchor_heights_m[anchor]
            chords.append(
                GuyChord(
                    anchor=anchor,
                    attach_m=level.attach_m,
                    use=level.use,
                    diameter_mm=level.diameter_mm,
                    chord_m=math.hypot(radius_m[anchor], rise_m),
                    anchor_angle_deg=math.degrees(math.atan2(rise_m, radius_m[anchor])),
                )
            )
    return tuple(chords)
