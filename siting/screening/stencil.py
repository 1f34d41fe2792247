"""The layout tables of a mast as the kernels read them: a fixed stencil of neighbouring cells for each azimuth."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from siting.kernels.fitting import slope_weights
from siting.kernels.heights import PART, PARTS
from siting.kernels.swing import cos_sin, guy_travel
from siting.layout.tables import LayoutTables
from siting.lift.geometry import ARM_END, seen_from_hinge
from siting.records.mast import Mast
from siting.records.site import Limits
from siting.terrain.offsets import Offsets

# A profile is looked at first at every so many samples, then at these between, then at all.
STRIDES = (40, 10)
# Azimuths of the search are visited coarsely first: a good one found early spares many others.
COARSE = 6
ROUNDINGS = 1e-12  # relative: far more than a division and a product may differ by
FOLDED_STEP = 4  # folded cells are added up four at a time
# What a cell must not exceed in the first run of the search, and in the second: the limits, and the most that a
# utilisation can be (verdict.UTILISATION_MAX).
STARTS = (1.0, 10.0)
# Utilisations for which the side guys' bound is tabled: finely to 2, coarsely to 10.
FINE_PER_ONE, FINE_TO, COARSE_PER_ONE, MOST = 16, 2, 2, 10
# Heights of a side anchor beside the hinge at which its travel is worked out for a bound (metres): finely near the hinge.
NEAR_M, NEAR_STEP_M, FAR_M, FAR_COUNT = 6.0, 0.01, 1000.0, 400
CHORD_REST = 0.02  # a chord lies so far under the utilisation at the height where that is least


LEVELS = np.concatenate([np.arange(FINE_TO * FINE_PER_ONE) / FINE_PER_ONE, np.arange(FINE_TO * COARSE_PER_ONE, MOST * COARSE_PER_ONE + 1) / COARSE_PER_ONE])


class Rules(NamedTuple):
    """Limits and lengths of the checks, as plain numbers (percent, metres, ratio)."""

    slope_least: float
    slope_most: float
    rest_most: float
    gap_most: float
    anchor_most: float
    travel_most: float
    arm_least: float
    hinge_height: float
    pole: float
    end_cos: float
    end_sin: float
    has_winch: bool
    winch_x: float  # seen from the hinge
    winch_y: float
    guy_count: int
    side_count: int
    guys: np.ndarray  # (G, 4): attachment, x and y of its side anchor, which point that is
    leader_count: int
    leaders: np.ndarray  # (M, 4) of them: of each side anchor the one that travels most on most ground
    chords: np.ndarray  # (L, S, 4): for L utilisations, a lower bound of what a side anchor's guys use (_chords)


class Taps(NamedTuple):
    """Bilinear samples: the first of four cells, steps to its right and lower neighbour, weights. Arrays of one shape."""

    first: np.ndarray
    right: np.ndarray
    down: np.ndarray
    u: np.ndarray
    v: np.ndarray


class Stencil(NamedTuple):
    """Offsets from the base's cell on a grid of a given width: K azimuths, n samples, A anchors, S side anchors."""

    azimuth_count: int
    sample_count: int
    anchor_count: int
    side_place_count: int
    folded_count: int
    per_rest_most: float  # 1 / limit and a little less, 0 where that is not above 0: for bounds without a division
    per_gap_most: float
    samples: Taps  # (K, n) in visiting order, without the base itself
    s_m: np.ndarray  # (n,) in visiting order
    per_s: np.ndarray  # (n,) 1 / s_m
    weights: np.ndarray  # (n+1,) of the least-squares slope, from the base outward
    place: np.ndarray  # (n,) where the samples, from the base outward, stand in the visiting order
    stages: np.ndarray  # (2,) how many samples each stage has seen
    coarse_weights: np.ndarray  # (stages[0] + 1,) of a slope guessed from the base and the first stage's samples
    anchors: np.ndarray  # (K, A) cells of the anchors
    sides: Taps  # (D,) every place of a side anchor, whatever the azimuth
    side_of: np.ndarray  # (D,) a side anchor whose guys stand for all that have this place
    side_places: np.ndarray  # (K, S) which of the places
    winch: Taps  # (K,); of no use without a winch
    folded_at: np.ndarray  # (K, F) cells under the laydown and their weight in its slope: the samples of one cell in one
    folded: np.ndarray
    visits: np.ndarray  # (K,) azimuths in visiting order
    rules: Rules


def rules_of(mast: Mast, limits: Limits) -> Rules:
    """What the checks of ground and lift need of a mast and its limits."""
    sides = mast.side_anchors
    guys = [
        (level.attach_m, *(float(v) for v in seen_from_hinge(side, np.zeros(()), 0.0)[:2]), float(sides.index(side)))
        for level in mast.guys
        for anchor in level.anchors
        for side in sides
        if side.id == anchor
    ]
    winch = mast.winch
    winch_place = [float(v) for v in seen_from_hinge(winch, np.zeros(()), 0.0)[:2]] if winch else []
    rules = Rules(
        limits.laydown_slope_min_percent.value, limits.laydown_slope_max_percent.value, limits.rest_slope_max_percent.value,
        limits.gap_max_m.value, limits.anchor_slope_max_percent.value, limits.side_guy_travel_max_m.value,
        limits.winch_arm_min_ratio.value, mast.hinge_height_m, mast.gin_pole_length_m, *ARM_END,
        winch is not None, *(winch_place if winch else (0.0, 0.0)), len(guys), len(sides),
        np.array(guys, dtype=float).reshape(-1, 4), *_leaders(guys), np.empty((LEVELS.size, len(sides), 4)),
    )  # fmt: skip
    return rules._replace(chords=_chords(rules))


def _leaders(guys: list[tuple]) -> tuple[int, np.ndarray]:
    """One guy of each side anchor: that which travels most, level and 3 m up and down at the anchor."""
    level = cos_sin(np.zeros(()))
    leaders = []
    for s in sorted({guy[3] for guy in guys}):
        travels = {g: sum(float(guy_travel(g[0], (np.asarray(g[1]), np.asarray(g[2]), np.asarray(z)), level)) for z in (-3.0, 3.0)) for g in guys if g[3] == s}
        leaders.append(max(travels, key=travels.get))
    return len(leaders), np.array(leaders, dtype=float).reshape(-1, 4)


def _chords(rules: Rules) -> np.ndarray:
    """(L, S, 4): z_up, up, z_down, down of a lower bound max(up (z - z_up), down (z_down - z)), z a side anchor's height.

    It holds wherever a guy uses no more than the level; where it says more than the level, the guy uses more than the
    level. A guy's travel over a part of the lift is no larger than over the whole: here from the steepest rest line that
    stays under the level. It changes by no more than twice what the height does, so what lies between two heights that
    are tried is bounded too. No DEM cell a mast's reach away stands higher or lower than the last one tried.
    """
    near = np.arange(-NEAR_M, NEAR_M + NEAR_STEP_M / 2, NEAR_STEP_M)
    far = np.geomspace(NEAR_M, FAR_M, FAR_COUNT)
    z = np.concatenate([-far[:0:-1], near, far[1:]])
    slack = np.where(np.abs(z) < NEAR_M, 2.0 * NEAR_STEP_M, 2.0 * (far[1] / far[0] - 1.0) * np.abs(z)) + 1e-6
    found = np.zeros((LEVELS.size, rules.side_count, 4))
    if rules.travel_most <= 0.0:
        return found
    for j, level in enumerate(LEVELS[1:-1], 1):
        rest = cos_sin(np.asarray(level * max(rules.rest_most, 0.0) / 100.0))
        known: dict[tuple, np.ndarray] = {}
        for s in range(rules.side_count):
            guys = rules.guys[rules.guys[:, 3] == s]
            same = tuple((a, x, abs(y)) for a, x, y, _ in guys)
            if same and same not in known:
                travel = np.max([guy_travel(a, (np.asarray(x), np.asarray(y), z), rest) for a, x, y, _ in guys], axis=0)
                known[same] = _chord(z, np.maximum(travel - slack, 0.0) / rules.travel_most, float(z[travel.argmin()]), level)
            if same:
                found[j, s] = known[same]
    return found


def _chord(z: np.ndarray, bound: np.ndarray, middle: float, level: float) -> np.ndarray:
    """Two lines under a bound, from just under its least value outward; noughts where there is none."""
    may = bound <= level
    above, below = may & (z > middle), may & (z < middle)
    if may[0] or may[-1] or not (above.any() and below.any()):
        return np.zeros(4)
    up = float(((bound[above] + CHORD_REST) / (z[above] - middle)).min())
    down = float(((bound[below] + CHORD_REST) / (middle - z[below])).min())
    return np.array([middle + CHORD_REST / up, up, middle - CHORD_REST / down, down])


def stencil_of(tables: LayoutTables, mast: Mast, rules: Rules, width: int) -> Stencil:
    """The tables of a base at a cell's centre, on a grid that is `width` cells wide."""
    count = tables.s_m.size - 1
    order = _visiting_order(count)
    place = np.empty(count, dtype=np.int64)
    place[order - 1] = np.arange(count)
    s_m = tables.s_m[order]
    samples = Offsets(tables.samples.cols[order].T, tables.samples.rows[order].T)
    sides = [mast.anchors.index(a) for a in mast.side_anchors]
    side_places, side_of, which_place = _side_places(Offsets(tables.anchors.cols[:, sides], tables.anchors.rows[:, sides]), rules)
    winch = mast.anchors.index(mast.winch) if mast.winch else 0
    half = PARTS // 2
    cells = (tables.anchors.rows + half) // PARTS * width + (tables.anchors.cols + half) // PARTS
    azimuths = np.arange(tables.azimuths_deg.size)
    seen = np.array([int(((order % stride == 0) | (order == count)).sum()) for stride in STRIDES])
    taps, weights = taps_of(samples, width), slope_weights(tables.s_m)
    folded_at, folded = _folded(taps, weights, order)
    return Stencil(
        azimuths.size, count, len(mast.anchors), side_places.cols.size, folded.shape[1], 
        *((1.0 - ROUNDINGS) / most if most > 0.0 else 0.0 for most in (rules.rest_most / 100.0, rules.gap_most)), taps, s_m, 1.0 / s_m, weights, place, seen, _coarse_weights(s_m[: seen[0]]),
        np.ascontiguousarray(cells), taps_of(side_places, width), side_of, which_place,
        taps_of(Offsets(tables.anchors.cols[:, winch], tables.anchors.rows[:, winch]), width), folded_at, folded,
        np.concatenate([azimuths[::COARSE], np.delete(azimuths, np.s_[::COARSE])]), rules,
    )  # fmt: skip


def _coarse_weights(s_m: np.ndarray) -> np.ndarray:
    """Weights of the least-squares slope through the base and these samples."""
    return slope_weights(np.concatenate([[0.0], s_m]))


def _side_places(places: Offsets, rules: Rules) -> tuple[Offsets, np.ndarray, np.ndarray]:
    """Places that several azimuths share, once each for guys that travel alike; whose guys; which of them each azimuth has."""
    like = np.array([min(t for t in range(s + 1) if np.array_equal(rules.chords[:, t], rules.chords[:, s])) for s in range(rules.side_count)], dtype=np.int64)
    side = np.broadcast_to(like, places.cols.shape)
    once, which = np.unique(np.stack([places.cols.ravel(), places.rows.ravel(), side.ravel()]), axis=1, return_inverse=True)
    return Offsets(once[0], once[1]), np.ascontiguousarray(once[2]), np.ascontiguousarray(which.reshape(places.cols.shape).astype(np.int64))


def _folded(taps: Taps, weights: np.ndarray, order: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """(K, F): cells and weights whose sum is the laydown's slope but for rounding, the base's cell first; padded with nought."""
    w = weights[order]
    cells = np.stack([taps.first, taps.first + taps.right, taps.first + taps.down, taps.first + taps.down + taps.right], axis=-1)
    parts = np.stack([(1 - taps.u) * (1 - taps.v), taps.u * (1 - taps.v), (1 - taps.u) * taps.v, taps.u * taps.v], axis=-1) * w[:, None]
    rows = np.repeat(np.arange(taps.first.shape[0]), cells.shape[1] * 4)
    span = int(np.abs(cells).max()) + 1
    keys, inverse = np.unique(rows * (2 * span) + cells.ravel() + span, return_inverse=True)
    sums = np.bincount(inverse.ravel(), weights=parts.ravel(), minlength=keys.size)
    row = keys // (2 * span)
    counts = np.bincount(row, minlength=taps.first.shape[0])
    begins = np.concatenate([[0], np.cumsum(counts)[:-1]])
    column = np.arange(keys.size) - begins[row] + 1
    size = -(-(int(counts.max()) + 1) // FOLDED_STEP) * FOLDED_STEP
    at, weight = np.zeros((counts.size, size), dtype=np.int64), np.zeros((counts.size, size))
    at[row, column], weight[row, column] = keys % (2 * span) - span, sums
    weight[:, 0] = weights[0]
    return at, weight


def _visiting_order(count: int) -> np.ndarray:
    """Samples 1 to n: the far end and those of the first stride, then those of the next, then the others."""
    i = np.arange(1, count + 1)
    rank = np.full(count, len(STRIDES))
    for stage in reversed(range(len(STRIDES))):
        rank[(i % STRIDES[stage] == 0) | (i == count)] = stage
    return i[np.argsort(rank, kind="stable")]


def taps_of(offsets: Offsets, width: int) -> Taps:
    """Bilinear taps of a base at a cell's centre, on a grid that is `width` cells wide."""
    j, i = offsets.cols // PARTS, offsets.rows // PARTS
    u, v = (offsets.cols - j * PARTS) * PART, (offsets.rows - i * PARTS) * PART
    arrays = (i * width + j, (u > 0).astype(np.int64), (v > 0) * np.int64(width), u, v)
    return Taps(*(np.ascontiguousarray(a) for a in arrays))
