"""What an error in an anchor's height or place does to the side guys' travel and to the pull."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from siting.lift.geometry import largest_pulls_kn, seen_from_hinge
from siting.lift.side_mends import travels_m
from siting.records.lift_guys import AnchorError
from siting.records.mast import Anchor, Mast

# A careful DEM on open ground, or a stake set by eye: common practice, no source.
ERROR_M = 0.3
WAYS = {"height": (0.0, 0.0, 1.0), "along the laydown": (1.0, 0.0, 0.0), "across the laydown": (0.0, 1.0, 0.0)}


def anchor_errors(
    mast: Mast, anchor_heights_m: dict[str, float], hinge_m: float, rest_rad: float, error_m: float = ERROR_M
) -> tuple[AnchorError, ...]:
    """Travel of each side anchor's guys and largest pull, with one anchor off by an error either way.

    The exact functions are asked anew on both sides. Where the anchor lies at its best (on the hinge axis), both
    errors raise the travel and the central difference is nought: `worst_rise` is the figure to read.
    The rest line and the hinge stay as planned.
    """
    errors = []
    for anchor in mast.side_anchors:
        attach_m = tuple(level.attach_m for level in mast.guys if anchor.id in level.anchors)
        if attach_m:
            place = _place(anchor, anchor_heights_m, hinge_m)
            travel = lambda p, a=attach_m: float(travels_m(a, p, rest_rad).max())  # noqa: E731
            errors += [_error(anchor, way, error_m, (travel, place), ("travel", "m")) for way in WAYS]
    winch = mast.winch
    if winch is not None:
        place = _place(winch, anchor_heights_m, hinge_m)
        pull = lambda p: _pull_kn(mast, anchor_heights_m, hinge_m, rest_rad, p)  # noqa: E731
        errors += [_error(winch, way, error_m, (pull, place), ("pull", "kN")) for way in WAYS if math.isfinite(pull(place))]
    return tuple(errors)


def _place(anchor: Anchor, anchor_heights_m: dict[str, float], hinge_m: float) -> tuple[float, float, float]:
    """An anchor seen from the hinge, metres."""
    return tuple(float(v) for v in seen_from_hinge(anchor, np.array(anchor_heights_m[anchor.id]), hinge_m))


def _pull_kn(
    mast: Mast, anchor_heights_m: dict[str, float], hinge_m: float, rest_rad: float, place: tuple[float, float, float]
) -> float:
    """Largest pull to 80 degrees, mast alone, with the winch anchor at a place; NaN where the line cannot lift."""
    x, y, z = place
    # A whole turn's rounding aside, an anchor straight behind must stay there exactly.
    bearing_deg = 180.0 if y == 0.0 and x < 0.0 else math.degrees(math.atan2(y, x)) % 360.0
    moved = replace(mast.winch, bearing_deg=bearing_deg, radius_m=math.hypot(x, y))
    other = replace(mast, anchors=tuple(moved if a is mast.winch else a for a in mast.anchors))
    row = np.array([[hinge_m + z if a is moved else anchor_heights_m[a.id] for a in other.anchors]])
    return float(largest_pulls_kn(other, row, hinge_m, np.array([rest_rad]))[0])


def _error(anchor: Anchor, way: str, error_m: float, asked: tuple, named: tuple[str, str]) -> AnchorError:
    """A function of an anchor's place with the anchor off to both sides."""
    function, place = asked
    # Across counts outward from the mast, whichever side the anchor stands on.
    outward = math.copysign(1.0, place[1]) if place[1] else 1.0
    step = [error_m * d * (outward if i == 1 else 1.0) for i, d in enumerate(WAYS[way])]
    planned = function(place)
    plus = function(tuple(p + s for p, s in zip(place, step, strict=True)))
    minus = function(tuple(p - s for p, s in zip(place, step, strict=True)))
    known = math.isfinite(plus) and math.isfinite(minus)
    return AnchorError(
        anchor=anchor.id,
        way=way,
        error_m=error_m,
        value=named[0],
        unit=named[1],
        planned=planned,
        plus=plus if math.isfinite(plus) else None,
        minus=minus if math.isfinite(minus) else None,
        per_metre=(plus - minus) / (2.0 * error_m) if known else None,
        worst_rise=max(plus - planned, minus - planned, 0.0) if known else None,
    )
