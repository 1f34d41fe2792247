"""Checks of the ground, the laydown and the lift: those that only the terrain and the mast decide."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from siting.checks.columns import AT_LEAST, AT_MOST, RANGE, Column
from siting.laydown.rest import RestLines
from siting.layout.anchors import AnchorGround
from siting.lift.geometry import SideGuyTravel
from siting.records.findings import Unchecked
from siting.records.mast import Mast
from siting.records.site import Limits

LAYDOWN_SLOPE, REST_SLOPE, GAP = "laydown_slope", "rest_slope", "gap"
ANCHOR_SLOPE, SIDE_GUY_TRAVEL, WINCH_ARM = "anchor_slope", "side_guy_travel", "winch_arm"


def laydown_columns(rest: RestLines, limits: Limits) -> list[Column]:
    """Slope along the laydown, slope of the rest line, gap under it."""
    return [
        Column(
            LAYDOWN_SLOPE, LAYDOWN_SLOPE, "slope of the ground along the laydown", "%", RANGE,
            limits.laydown_slope_max_percent, rest.slope_percent, limits.laydown_slope_min_percent,
            place=lambda k: "least-squares line from the base to the mast's length",
        ),
        Column(
            REST_SLOPE, REST_SLOPE, "slope of the mast on its rest line", "%", AT_MOST,
            limits.rest_slope_max_percent, rest.rest_slope_percent,
            place=lambda k: "lowest line from the hinge that clears the ground",
        ),
        Column(
            GAP, GAP, "largest gap under the lying mast (cribbing)", "m", AT_MOST,
            limits.gap_max_m, rest.gap_m,
            place=lambda k: f"{rest.gap_at_m[k]:.1f} m from the base",
        ),
    ]  # fmt: skip


def anchor_columns(ground: AnchorGround, limits: Limits) -> list[Column]:
    """Slope of the ground at each anchor."""
    return [
        Column(
            f"{ANCHOR_SLOPE}:{anchor.id}", ANCHOR_SLOPE, f"slope of the ground at anchor {anchor.id}", "%", AT_MOST,
            limits.anchor_slope_max_percent, ground.slopes_percent[:, i],
            place=lambda k, i=i: f"uphill {ground.uphill_deg[k, i]:.0f}° true there",
        )
        for i, anchor in enumerate(ground.anchors)
    ]  # fmt: skip


def lift_columns(
    mast: Mast, travels: tuple[SideGuyTravel, ...], least_arm_m: np.ndarray | None, least_at_rad: Callable[[int], float], limits: Limits
) -> list[Column]:
    """Travel of each side guy, and the winch line's smallest arm.

    Args:
        least_at_rad: the mast's angle where the arm is smallest, for one azimuth.
    """
    columns = [
        Column(
            f"{SIDE_GUY_TRAVEL}:{t.anchor}@{t.attach_m:g}", SIDE_GUY_TRAVEL,
            f"travel of the side guy from {t.attach_m:g} m to {t.anchor}", "m", AT_MOST,
            limits.side_guy_travel_max_m, t.travel_m,
            place=lambda k, t=t: _travel_words(t, k),
        )
        for t in travels
    ]  # fmt: skip
    if least_arm_m is not None:
        columns.append(
            Column(
                WINCH_ARM, WINCH_ARM, "smallest lever arm of the winch line / gin pole length", "ratio", AT_LEAST,
                limits.winch_arm_min_ratio, least_arm_m / mast.gin_pole_length_m,
                place=lambda k: f"mast at {math.degrees(least_at_rad(k)):.0f}°, between the rest line and 80°",
            )
        )  # fmt: skip
    return columns


def _travel_words(travel: SideGuyTravel, k: int) -> str:
    """Where in the lift a guy is longest and shortest."""
    _, shortest_rad, _, longest_rad = travel.extremes(k)
    return f"longest at {math.degrees(longest_rad):.0f}°, shortest at {math.degrees(shortest_rad):.0f}°"


def unchecked_of_mast(mast: Mast) -> list[Unchecked]:
    """What the mast file leaves out of the checks."""
    missing = []
    sides = {a.id for a in mast.side_anchors}
    if not any(anchor in sides for level in mast.guys for anchor in level.anchors):
        missing.append(
            Unchecked(
                SIDE_GUY_TRAVEL,
                "the mast file has no guy to a temporary anchor near the hinge axis",
                "add the side anchors and their guys to the mast file",
            )
        )
    if mast.winch is None:
        missing.append(
            Unchecked(WINCH_ARM, "the mast file has no winch anchor", 'add an anchor with use = "winch" to the mast file')
        )
    return missing
