"""The move of the base in plain words, or why there is none, and what a lower mast would do."""

from __future__ import annotations

import shapely

from siting.figures import shown
from siting.layout.footprint import OwnLand
from siting.layout.moves import Constraint
from siting.records.findings import Check
from siting.search.land_rules import CLEAR_M
from siting.search.spots import PRINTED_DECIMALS, Spot, failing_of_land, movable
from siting.units import compass_point
from siting.verdict import FAIL

# The deepest place of the own land is found to this (metres).
DEPTH_TOLERANCE_M = 0.05
NAMED_CHECKS = 3


def move_text(spot: Spot) -> str:
    """How to move the base and what comes of it there; no unit of its own."""
    if spot.plan is None:
        return f"{_moved(spot)} can hold there, but no plan can be made there: {spot.fault}"
    nearest = " No shorter move does it." if spot.is_nearest else " No shorter one was found for the laydowns looked at."
    lay = f"lay towards {shown(spot.plan.laydown.azimuth_deg, 'bearing')}"
    if spot.held_deg is not None:
        lay += f" (set [laydown] azimuth_deg = {spot.held_deg:g}: the laydown recommended there breaks a rule of the land)"
    failing = [c for c in spot.plan.checks if c.verdict == FAIL]
    end = f", but the plan fails there: {_named(failing)}. No other place was looked for." if failing else f", {spot.plan.verdict}."
    return f"{_moved(spot)} then holds.{nearest if _is_far(spot) else ''} Planned anew there: {lay}{end}"


def _moved(spot: Spot) -> str:
    """Where the base goes, up to what comes of it."""
    is_all = spot.plan is None or not failing_of_land(spot.plan)  # a rule's greatest height stays as it is
    rules = f"every rule of the land that {'is checked' if is_all else 'a move can mend'}"
    if not _is_far(spot):
        return f"The base need not move, the laydown must: {rules}"
    bearing = f"{shown(spot.bearing_deg, 'bearing')} ({compass_point(spot.bearing_deg)})"
    where = f"{spot.lat:.{PRINTED_DECIMALS}f}, {spot.lon:.{PRINTED_DECIMALS}f}"
    return f"Move the base {shown(spot.distance_m, 'length')} towards {bearing}, to {where}: {rules}"


def _is_far(spot: Spot) -> bool:
    """Whether the base moves at all: by more than the last printed digit of latitude and longitude."""
    return spot.distance_m > CLEAR_M


def why_not_text(own: OwnLand | None, constraints: tuple[Constraint, ...], failing: tuple[Check, ...], reach_m: float) -> str:
    """Why no move mends the land; no unit of its own.

    Args:
        constraints: those that the base alone decides.
        reach_m: how far moves were looked for.
    """
    if not movable(failing):
        return f"No move of the base mends this: {_named(list(failing))}."
    if own is not None:
        asked_m = max((c.least_m - CLEAR_M for c in constraints if c.inside is not None), default=0.0)
        line = shapely.maximum_inscribed_circle(own.area, tolerance=DEPTH_TOLERANCE_M)
        if shapely.length(line) + DEPTH_TOLERANCE_M < asked_m:
            return (
                f"No move of the base mends this: the own land's deepest place lies {shapely.length(line):.1f} m from its line, "
                f"and {shown(asked_m, 'length')} are asked for."
            )
    land = "on the own land " if own is not None else ""
    return (
        f"No place {land}within {reach_m:.0f} m of the base was found where every rule of the land holds, "
        "with the anchors and guys that the mast file has."
    )


def tallest_text(tallest_m: float | None, height_m: float, at_any: list[Check]) -> str:
    """What a lower mast would do where the base stands; no unit of its own.

    Args:
        at_any: what fails there whatever the height.
    """
    if tallest_m is None:
        return "Where the base stands no height of mast holds."
    left = f", but these fail at any height: {_named(at_any)}" if at_any else ""
    return (
        f"Where the base stands the rules that depend on the height hold up to {shown(tallest_m, 'length')} total height "
        f"instead of {shown(height_m, 'length')}{left}. Guys and anchors are the mast file's: another mast brings its own."
    )


def _named(checks: list[Check]) -> str:
    """The first checks by their labels, and how many more."""
    more = f", and {len(checks) - NAMED_CHECKS} more" if len(checks) > NAMED_CHECKS else ""
    return "; ".join(c.label for c in checks[:NAMED_CHECKS]) + more
