"""What the misses of the staked points have in common: the simplest explanation that leaves no more than noise.

Every explanation is a way to read the file's numbers (survey/misreadings.py) and a move of all points
(survey/moves.py). Each is undone, and what it leaves is weighed in squared standard deviations of the noise; a
point that it leaves far off weighs a fixed amount, so that a bad point cannot choose the cause; every number that an
explanation is free to choose costs a fixed amount, so that noise is never explained.

Source: the truncated sum is MSAC, P. H. S. Torr and A. Zisserman, MLESAC, Computer Vision and Image Understanding
78 (2000) 138-156; the price of a number stands for a criterion of information, set high. Both from memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from siting.records.as_staked import NONE, ONE_POINT, ROTATED, SCALED, SHIFT, Alternative, Cause
from siting.records.plan import Plan
from siting.survey.cause_words import Finding, words_of
from siting.survey.misreadings import AS_EXPECTED, Misreading, misreadings, scanned_systems
from siting.survey.moves import KINDS, NOTHING, SCALE_ABOUT_ORIGIN, SIMILARITY, TURN_ABOUT_ORIGIN, Kind, Move, fit_move
from siting.survey.moves import SHIFT as SHIFT_KIND

# A rover's ordinary noise, one standard deviation of an axis, and for how many readings that guess counts beside the
# points' own scatter: common practice, no source.
NOISE_M, NOISE_WEIGHT = 0.02, 4.0
# Beyond this many squared standard deviations (7 of them) a point does not belong to the others.
BAD_POINT = 50.0
# What an explanation costs by how many numbers it is free to choose: 30 is more than five standard deviations.
COSTS = (0.0, 30.0, 36.0, 66.0, 90.0)
# About the origin a move is asked to fit in size and direction at once, so that it costs less than a free shift; a
# scale by more than this is no mix of ground and grid but another unit, and costs more.
ORIGIN_COST, ODD_SCALE_RATIO, ODD_SCALE_COST = 20.0, 0.05, 30.0
# Less than this is never named: a rover's ordinary noise. Common practice, no source.
NAMED_LEAST_M = 0.03
# About the grid's origin, millions of metres away, a small turn or scale is the same as a shift: only larger ones are
# told apart, and only where the shift is many times the noise.
ORIGIN_LEAST_RATIO, ORIGIN_LEAST_NOISES = 5e-6, 20.0
# Misses beyond these are no staking error: other zones, other systems and datums of the region are tried.
FAR_M, SCAN_M = 10_000.0, 20.0
CAUSE_OF_KIND = {
    "nothing": NONE, "shift": SHIFT, "turn": ROTATED, "turn about origin": ROTATED, "turn and shift": ROTATED,
    "scale": SCALED, "scale about origin": SCALED, "scale and shift": SCALED,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Explanation:
    """A misreading and a move that were tried; `planned` and `measured` complex metres from the base's planned place."""

    misreading: Misreading
    kind: Kind
    move: Move
    kept: np.ndarray
    planned: np.ndarray
    measured: np.ndarray
    base_m: complex  # the base's own easting + i northing

    @property
    def cost(self) -> float:
        """What it must explain to be believed, squared standard deviations."""
        about_origin = self.kind in (TURN_ABOUT_ORIGIN, SCALE_ABOUT_ORIGIN)
        own = ORIGIN_COST if about_origin else COSTS[self.kind.numbers]
        odd = ODD_SCALE_COST if abs(self.move.scale_ppm) * 1e-6 > ODD_SCALE_RATIO else 0.0
        return self.misreading.cost + own + odd

    @property
    def left_m(self) -> np.ndarray:
        """What each point still misses by, metres."""
        return np.abs(self.move.left(self.planned, self.measured))

    @property
    def kept_rms_m(self) -> float:
        """Root mean square of what it leaves at the points that it was fitted to, metres."""
        return float(np.sqrt(np.mean(self.left_m[self.kept] ** 2)))

    @property
    def scatter_m(self) -> float:
        """The noise of an axis that the kept points show, with the ordinary noise as a first guess, metres."""
        count, kept = len(self.kept), int(self.kept.sum())
        free = 2 * kept - self.kind.numbers
        spread = float(np.sum(self.left_m[self.kept] ** 2)) / _trimming(kept / count)
        return math.sqrt((NOISE_WEIGHT * NOISE_M**2 + spread) / (NOISE_WEIGHT + free))

    def weight(self, scatter_m: float) -> float:
        """What it leaves and what it costs, in squared standard deviations: the smaller, the better."""
        return float(np.sum(np.minimum((self.left_m / scatter_m) ** 2, BAD_POINT))) + self.cost


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """The likely cause; `undo` brings complex grid metres as measured to where the plan would have them."""

    name: str
    cause: Cause
    explanation: Explanation

    def undo(self, z: np.ndarray) -> np.ndarray:
        """Complex grid metres without the cause."""
        move = self.explanation.move
        base_m = self.explanation.base_m
        return (self.explanation.misreading.undo(z) - base_m - move.shift) / move.factor + base_m


def recognise(plan: Plan, ids: tuple[str, ...], stakes_m: np.ndarray, points_m: np.ndarray, tolerance_m: float) -> Diagnosis:
    """The likely cause of the misses of at least one point.

    Args:
        ids: of the points; stakes_m, points_m: complex easting + i northing, metres, planned and as they stand.
        tolerance_m: a point within it is never called bad.
    """
    base_m = complex(plan.base.easting, plan.base.northing) * plan.crs.unit_m
    median_m = float(np.median(np.abs(points_m - stakes_m)))
    tried = _explanations(misreadings(plan, median_m > FAR_M), stakes_m, points_m, base_m)
    best, scatter_m = _best(tried)
    if median_m > SCAN_M and _is_poor(best, scatter_m):
        tried += _explanations(scanned_systems(plan, points_m, stakes_m), stakes_m, points_m, base_m)
        best, scatter_m = _best(tried)
    bad = np.flatnonzero(best.left_m > max(math.sqrt(BAD_POINT) * scatter_m, tolerance_m))
    name = _name(best, len(bad), len(ids))
    good = np.setdiff1d(np.arange(len(ids)), bad)
    finding = Finding(
        plan=plan,
        name=name,
        ids=ids,
        move=best.move,
        kind=best.kind,
        reading=best.misreading.how,
        also=_equally_good(best, tried, scatter_m),
        bad=tuple(int(i) for i in bad),
        left_m=best.left_m,
        missed_m=np.abs(points_m - stakes_m),
        planned=best.planned,
        scatter_m=scatter_m,
        base_m=base_m,
    )
    cause = words_of(finding, _rms(best.left_m[good]), _alternatives(tried, best))
    return Diagnosis(name, cause, best)


def _explanations(
    readings: tuple[Misreading, ...], stakes_m: np.ndarray, points_m: np.ndarray, base_m: complex
) -> list[Explanation]:
    """Every reading with every move that its points can tell; a misread file is not turned or stretched as well."""
    planned, tried = stakes_m - base_m, []
    for reading in readings:
        measured = np.asarray(reading.undo(points_m), complex) - base_m
        if not np.isfinite(measured).all():
            continue
        for kind in KINDS if reading is AS_EXPECTED else (NOTHING, SHIFT_KIND):
            if len(planned) >= kind.points_least:
                move, kept = fit_move(kind, planned, measured, base_m)
                tried.append(Explanation(reading, kind, move, kept, planned, measured, base_m))
    return tried


def _best(tried: list[Explanation]) -> tuple[Explanation, float]:
    """The explanation with the least weight, and the noise (metres) that all were weighed by."""
    scatter_m = min(e.scatter_m for e in tried)
    named = [_refitted(e, scatter_m) for e in tried]
    named = [e for e in named if _can_be_named(e, scatter_m)]
    # Systems that differ by nothing here (realisations of one datum): the shortest name stands for them.
    return min(named, key=lambda e: (round(e.weight(scatter_m), 2), len(e.misreading.label))), scatter_m


def _refitted(tried: Explanation, scatter_m: float) -> Explanation:
    """Fitted again to all points that belong to it, where that is better."""
    for _ in range(2):
        belong = (tried.left_m / scatter_m) ** 2 <= BAD_POINT
        if tried.kind is NOTHING or belong.sum() < tried.kind.points_least:
            break
        move = tried.kind.fit(tried.planned[belong], tried.measured[belong], tried.base_m)
        again = replace(tried, move=move, kept=belong)
        if again.weight(scatter_m) > tried.weight(scatter_m):
            break
        tried = again
    return tried


def _can_be_named(tried: Explanation, scatter_m: float) -> bool:
    """False for moves that noise or another move would look like."""
    if tried.misreading is not AS_EXPECTED or tried.kind is NOTHING:
        return True
    farthest_m = float(tried.move.moved(tried.planned).max())
    if tried.kind in (TURN_ABOUT_ORIGIN, SCALE_ABOUT_ORIGIN):
        told_apart = abs(tried.move.factor - 1.0) >= ORIGIN_LEAST_RATIO
        return told_apart and farthest_m >= ORIGIN_LEAST_NOISES * scatter_m
    return farthest_m >= NAMED_LEAST_M


def _is_poor(best: Explanation, scatter_m: float) -> bool:
    """True where most points are left far off, or only a move by freely chosen numbers explains them."""
    bad = (best.left_m / scatter_m) ** 2 > BAD_POINT
    return best.kind.numbers > 1 or bool(bad.mean() > 0.5) or scatter_m > SCAN_M


def _name(best: Explanation, bad: int, points: int) -> str:
    """The cause's name: a single bad point is one only where nothing else is wrong."""
    name = _cause_of(best)
    return ONE_POINT if name == NONE and bad == 1 and points > 1 else name


def _cause_of(tried: Explanation) -> str:
    """Which of the causes an explanation belongs to; of turn and scale the one that moves the points farther."""
    if tried.misreading is not AS_EXPECTED:
        return tried.misreading.cause
    if tried.kind is SIMILARITY:
        turn, scale = abs(math.radians(tried.move.turn_deg)), abs(tried.move.scale_ppm) * 1e-6
        return ROTATED if turn >= scale else SCALED
    return CAUSE_OF_KIND[tried.kind.name]


def _equally_good(best: Explanation, tried: list[Explanation], scatter_m: float) -> tuple[str, ...]:
    """Other readings of the same cause that leave as little: local distances do not tell one foot from the other."""
    others = [
        e.misreading.label
        for e in tried
        if e.misreading is not best.misreading
        and e.misreading.cause == best.misreading.cause != ""
        and e.weight(scatter_m) - best.weight(scatter_m) < 9.0
    ]
    return tuple(dict.fromkeys(others))


def _alternatives(tried: list[Explanation], best: Explanation) -> tuple[Alternative, ...]:
    """What the simple explanations of each cause leave, the chosen one among them: the evidence."""
    least: dict[str, Alternative] = {}
    for e in [best, *tried]:
        is_simple = e.kind.numbers <= 2 if e.misreading is AS_EXPECTED else e.kind is NOTHING
        if not (is_simple or e is best):
            continue
        name = _cause_of(e)
        how = ", ".join(part for part in (e.misreading.how, e.kind.name if e.kind is not NOTHING else "") if part)
        if name not in least or e.kept_rms_m < least[name].left_m - 0.0005:
            least[name] = Alternative(name, how or "as measured", e.kept_rms_m)
    return tuple(sorted(least.values(), key=lambda a: a.left_m))


def _trimming(kept: float) -> float:
    """Mean square of the smallest part of normal errors in the plane against that of all of them, no unit.

    Squared lengths over the variance follow an exponential law of mean 2.
    """
    if kept >= 1.0:
        return 1.0
    edge = -2.0 * math.log(1.0 - kept)
    return (2.0 * kept - edge * (1.0 - kept)) / (2.0 * kept)


def _rms(values: np.ndarray) -> float:
    return float(np.sqrt(np.mean(values**2))) if len(values) else 0.0
