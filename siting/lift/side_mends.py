"""What brings a side anchor's travel under the limit: moved along, across or in height, or another azimuth."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from siting.kernels.swing import guy_extremes
from siting.lift.geometry import seen_from_hinge
from siting.records.lift_guys import AnchorMove, AzimuthMend, SideMend
from siting.records.mast import SIDE_ANCHOR_TOLERANCE_DEG, Anchor, Mast
from siting.records.plan import Candidate
from siting.units import turn_deg
from siting.verdict import FAIL

# Height above the datum of the ground at (x along the laydown, y to its right) from the base, metres; NaN without data.
HeightAt = Callable[[np.ndarray, np.ndarray], np.ndarray]
ALONG, ACROSS, HEIGHT = "along the laydown", "across the laydown", "height"
# How far a move is looked for, and in which steps; the least move is then halved down to where it just does.
REACH_M, HEIGHT_REACH_M, STEP_M = 30.0, 10.0, 0.05
# A side anchor drawn in towards the mast travels less, but its guys stand steeper and hold the mast less: it may come
# in to this part of its distance (common practice, no source).
NEAREST_RATIO = 0.75
_HALVINGS = 40
_WORDS = {ALONG: ("towards the head", "towards the winch"), ACROSS: ("outward", "inward")}


@dataclass(frozen=True, slots=True)
class SideCase:
    """A side anchor with its guys, seen from the hinge, and the ground that it may be moved on."""

    anchor: Anchor
    attach_m: tuple[float, ...]
    place: tuple[float, float, float]
    hinge_m: float
    rest_rad: float
    limit_m: float
    height_at: HeightAt | None  # None: level ground at the anchor's own height


def travels_m(attach_m: tuple[float, ...], place: tuple[np.ndarray, ...], rest_rad: float) -> np.ndarray:
    """Travel of each guy of an anchor, (G, K) metres, at K places of the anchor; exact. NaN where a place is NaN."""
    x, y, z = np.broadcast_arrays(*(np.atleast_1d(np.asarray(p, float)) for p in place))
    rest = np.full(x.shape, rest_rad)
    found = [guy_extremes(a, (x, y, z), rest) for a in attach_m]
    return np.array([longest - shortest for shortest, _, longest, _ in found])


def side_cases(
    mast: Mast,
    anchor_heights_m: dict[str, float],
    hinge_m: float,
    rest_rad: float,
    limit_m: float,
    height_at: HeightAt | None = None,
) -> tuple[SideCase, ...]:
    """Every side anchor that holds a guy, in the mast file's order."""
    cases = []
    for anchor in mast.side_anchors:
        attach_m = tuple(level.attach_m for level in mast.guys if anchor.id in level.anchors)
        if attach_m:
            place = tuple(float(v) for v in seen_from_hinge(anchor, np.array(anchor_heights_m[anchor.id]), hinge_m))
            cases.append(SideCase(anchor, attach_m, place, hinge_m, rest_rad, limit_m, height_at))
    return tuple(cases)


def mend_side(case: SideCase) -> SideMend | None:
    """What mends a side anchor; None where its guys stay under the limit already."""
    travel_m = travels_m(case.attach_m, case.place, case.rest_rad)[:, 0]
    worst = int(travel_m.argmax())
    if travel_m[worst] <= case.limit_m:
        return None
    return SideMend(
        anchor=case.anchor.id,
        attach_m=case.attach_m[worst],
        travel_m=float(travel_m[worst]),
        limit_m=case.limit_m,
        moves=tuple(_move(case, way) for way in (ALONG, ACROSS, HEIGHT)),
    )


def azimuth_mends(candidates: tuple[Candidate, ...], azimuth_deg: float, limit_m: float) -> tuple[AzimuthMend, ...]:
    """The nearest azimuths to either side with every side guy under the limit, and the one with the least travel.

    Azimuths that fail no other check come first; only where there are none are the failing ones taken.
    """
    under = [c for c in candidates if c.max_side_travel_m is not None and c.max_side_travel_m <= limit_m]
    under = [c for c in under if c.verdict != FAIL] or under
    turns = {c.azimuth_deg: turn_deg(azimuth_deg, c.azimuth_deg) for c in under}
    picks = []
    for side in (1.0, -1.0):
        picks += sorted((c for c in under if turns[c.azimuth_deg] * side >= 0.0), key=lambda c: abs(turns[c.azimuth_deg]))[:1]
    picks += sorted(under, key=lambda c: (c.max_side_travel_m, abs(turns[c.azimuth_deg])))[:1]
    unique = sorted({c.azimuth_deg: c for c in picks}.values(), key=lambda c: abs(turns[c.azimuth_deg]))
    return tuple(AzimuthMend(c.azimuth_deg, turns[c.azimuth_deg], c.max_side_travel_m, c.verdict) for c in unique)


def moved_place(case: SideCase, way: str, move_m: np.ndarray) -> tuple[np.ndarray, ...]:
    """The anchor's place (x, y, z) from the hinge after moves, metres; NaN where it is no side anchor any more."""
    x, y, z = (np.full(np.shape(move_m), v) for v in case.place)
    if way == HEIGHT:
        return x, y, z + move_m
    if way == ALONG:
        x = x + move_m
    else:
        y = y + np.copysign(1.0, y) * move_m
    if case.height_at is not None:
        z = np.asarray(case.height_at(x, y), float) - case.hinge_m
    # On its own side of the mast, not much nearer to it, and near enough to the hinge axis to be a side anchor.
    stays = (y / case.place[1] >= NEAREST_RATIO - 1e-9) & (
        np.abs(x) <= np.abs(y) * math.tan(math.radians(SIDE_ANCHOR_TOLERANCE_DEG)) + 1e-9
    )
    return x, y, np.where(stays, z, np.nan)


def _largest_travel_m(case: SideCase, way: str, move_m: np.ndarray) -> np.ndarray:
    """Largest travel of the anchor's guys after moves; infinite where the anchor cannot go there."""
    place = moved_place(case, way, np.atleast_1d(np.asarray(move_m, float)))
    known = np.isfinite(place[2])
    at = tuple(np.where(known, p, 1.0) for p in place)
    return np.where(known, travels_m(case.attach_m, at, case.rest_rad).max(axis=0), np.inf)


def _move(case: SideCase, way: str) -> AnchorMove:
    """The least move of one kind that meets the limit."""
    reach_m = HEIGHT_REACH_M if way == HEIGHT else REACH_M
    steps = round(reach_m / STEP_M)
    moves = np.arange(-steps, steps + 1) * STEP_M
    travels = _largest_travel_m(case, way, moves)
    best = int(travels.argmin())
    enough = np.flatnonzero(travels <= case.limit_m)
    move_m = None
    if enough.size:
        first = int(enough[np.abs(moves[enough]).argmin()])
        nearer = first - int(np.sign(moves[first]))
        move_m = _least(case, way, float(moves[first]), float(moves[nearer]))
    place = None if move_m is None else tuple(float(p[0]) for p in moved_place(case, way, np.array([move_m])))
    return AnchorMove(
        way=way,
        move_m=move_m,
        travel_m=None if move_m is None else float(_largest_travel_m(case, way, move_m)[0]),
        bearing_deg=None if place is None else math.degrees(math.atan2(place[1], place[0])) % 360.0,
        radius_m=None if place is None else math.hypot(place[0], place[1]),
        best_move_m=float(moves[best]),
        best_travel_m=float(travels[best]),
        text=_text(case, way, move_m, (float(moves[best]), float(travels[best])), reach_m),
    )


def _least(case: SideCase, way: str, enough_m: float, short_m: float) -> float:
    """The smallest move between one that falls short and one that is enough, rounded up to a centimetre where that is enough too."""
    for _ in range(_HALVINGS):
        middle = (enough_m + short_m) / 2.0
        if _largest_travel_m(case, way, middle)[0] <= case.limit_m:
            enough_m = middle
        else:
            short_m = middle
    whole_m = math.copysign(math.ceil(abs(enough_m) * 100.0 - 1e-6) / 100.0, enough_m)
    return whole_m if _largest_travel_m(case, way, whole_m)[0] <= case.limit_m else enough_m


def _text(case: SideCase, way: str, move_m: float | None, best: tuple[float, float], reach_m: float) -> str:
    """A move in plain words."""
    ground = "on its ground" if case.height_at is not None else "on level ground"
    if move_m is None:
        what = "No height" if way == HEIGHT else f"No place {way}, {ground},"
        return (
            f"{what} within {reach_m:g} m that leaves {case.anchor.id} a side anchor meets {case.limit_m:g} m; "
            f"the best, {best[0]:+.2f} m, has {best[1]:.2f} m."
        )
    if way == HEIGHT:
        verb = "Raise" if move_m > 0.0 else "Lower"
        return f"{verb} the point that holds the guys of {case.anchor.id} by {abs(move_m):.2f} m where it is."
    ahead, back = _WORDS[way]
    return (
        f"Move {case.anchor.id} {abs(move_m):.2f} m {ahead if move_m > 0.0 else back}, {ground}; "
        f"the least travel, {best[1]:.2f} m, is at {best[0]:+.2f} m."
    )
