"""Where a standing guyed mast comes to rest in its guys: displacements, tensions, and what a guy's length does to them.

The mast stands on a hinge that turns every way (the frame's origin) and does not twist, stretch or shorten. Between
its guy levels it is straight, and at the levels it is one of three things:
    hinged            a chain of straight pieces: the softest mast, each level goes where its own guys hold it;
    with a stiffness  the chain, and a beam's bending through its joints (the curve of least bending energy);
    straight          one stiff rod: two unknowns in all.
Pieces turn without changing length, so a displaced level sinks a little: weight and the guys' pull down push it farther
out (second order), as they do in the field. Guys are the elastic catenaries of kernels/elastic_guy.py.

Equilibrium is where the energy of guys, weights and bending is stationary; it holds where its stiffness is positive
definite. Newton's method with a line search on the unbalanced force. Metres, newtons; x, y level, z up.

Source: derived from the energy; held in tests/lift/test_guyed_mast.py by closed forms, by forces written anew and by
finite differences. Bending: natural cubic spline, energy EI/2 times the integral of the curvature squared.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from siting.kernels.elastic_guy import ElasticGuy, hang_elastic

HINGED, STRAIGHT = "hinged", "straight"
_STEPS, _HALVINGS = 60, 30
_EXACT_RATIO = 1e-9  # unbalanced force, of the sum of all guys' pulls on the mast; and metres of the last step
# A guy that sags more than this part of its chord holds nothing (common practice, no source).
SLACK_SAG_RATIO = 0.05
# Pieces leaning more than this have left what a plumbing crew meets (common practice, no source).
LARGEST_SLOPE = 0.1


@dataclass(frozen=True, slots=True)
class GuyedMast:
    """The mast and its guys: L levels from the lowest up, G guys."""

    heights_m: np.ndarray  # (L,) above the hinge along the mast, rising
    weight_n: np.ndarray  # (L,) what hangs on each level, without the guys; may be below 0 for a level under a long head
    anchors_m: np.ndarray  # (G, 3) x, y, z seen from the hinge
    level: np.ndarray  # (G,) index of each guy's level
    weight_n_per_m: np.ndarray  # (G,)
    stiffness_n: np.ndarray  # (G,) E A
    mast: str = HINGED  # or straight
    bending_nm2: float = 0.0  # E I; 0 for none


@dataclass(frozen=True, slots=True)
class Balance:
    """Forces at a given shape; derivatives are by displacements (x1, y1, x2, ...) and by unstressed lengths."""

    displacement_m: np.ndarray  # (L, 2)
    height_m: np.ndarray  # (L,) of the displaced levels
    guys: ElasticGuy  # (G,)
    towards: np.ndarray  # (G, 2) level direction from each anchor to its attachment
    sink: np.ndarray  # (L, 2L) change of height by displacement
    push_n: np.ndarray  # (L, 2) what is unbalanced at each level: it pushes the mast there
    stiffness: np.ndarray  # (2L, 2L) minus the push's derivative, newtons per metre
    tipping: np.ndarray  # (2L, 2L) the part of it, below 0, by which everything that presses the mast down tips it
    push_by_length: np.ndarray  # (2L, G) newtons per metre

    @property
    def tipping_ratio(self) -> float:
        """How many times what presses the mast down now would tip it, in this shape; no unit, infinite where nothing does."""
        most = np.linalg.eigvals(np.linalg.solve(self.stiffness - self.tipping, -self.tipping)).real.max()
        return float(1.0 / most) if most > 0.0 else float("inf")


@dataclass(frozen=True, slots=True)
class Standing:
    """The mast at rest; `why` says what is wrong where it does not stand, and is empty where it does."""

    balance: Balance
    why: str
    slack: np.ndarray  # (G,) guys that sag too much to hold
    displacement_by_length: np.ndarray  # (2L, G) metres per metre
    tension_by_length: np.ndarray  # (G, G) anchor tension, newtons per metre; row: whose tension, column: whose length

    @property
    def displacement_m(self) -> np.ndarray:
        """(L, 2) displacement of each level, metres."""
        return self.balance.displacement_m

    @property
    def tension_n(self) -> np.ndarray:
        """(G,) tension at each anchor, newtons."""
        return self.balance.guys.anchor_tension_n


def forces_at(mast: GuyedMast, unstressed_m: np.ndarray, displacement_m: np.ndarray, side_n: np.ndarray | float = 0.0) -> Balance:
    """What pushes each level of the mast in a given shape, and how that changes.

    Args:
        unstressed_m: (G,); displacement_m, side_n: (L, 2), side_n a steady level push such as wind.
    """
    moved = np.asarray(displacement_m, dtype=float)
    heights_m, sink, curve = _sinking(mast.heights_m, moved)
    place = np.column_stack([moved, heights_m])[mast.level] - mast.anchors_m
    span = np.hypot(place[:, 0], place[:, 1])
    guys = hang_elastic(span, place[:, 2], mast.weight_n_per_m, mast.stiffness_n, unstressed_m)
    towards = place[:, :2] / span[:, None]
    levels, count = np.arange(mast.heights_m.size), mast.heights_m.size
    at = (mast.level[None, :] == levels[:, None]).astype(float)  # (L, G)
    down = mast.weight_n + at @ guys.down_n
    bent = _bending(mast.heights_m, mast.bending_nm2)
    energy_slope = (at @ (guys.horizontal_n[:, None] * towards) + bent @ moved - side_n).ravel() + sink.T @ down

    pull = guys.stiffness
    outer = towards[:, :, None] * towards[:, None, :]
    level_part = pull[:, 0, 0, None, None] * outer + (guys.horizontal_n / span)[:, None, None] * (np.eye(2) - outer)
    stiffness = np.zeros((count, 2, count, 2))
    stiffness[levels, :, levels, :] = np.einsum("lg,gij->lij", at, level_part)
    stiffness = stiffness.reshape(2 * count, 2 * count) + np.kron(bent, np.eye(2))
    mixed = np.zeros((count, 2, count))
    mixed[levels, :, levels] = at @ (pull[:, 0, 1, None] * towards)
    mixed = mixed.reshape(2 * count, count) @ sink
    tipping = np.einsum("l,lij->ij", down, curve)
    stiffness += mixed + mixed.T + sink.T @ np.diag(at @ pull[:, 1, 1]) @ sink + tipping

    by_length = guys.pull_by_length
    own = (at.T[:, :, None] * (by_length[:, 0, None] * towards)[:, None, :]).reshape(mast.level.size, -1).T
    push_by_length = -(own + sink.T @ (at * by_length[:, 1]))
    return Balance(moved, heights_m, guys, towards, sink, -energy_slope.reshape(count, 2), stiffness, tipping, push_by_length)


def stand(
    mast: GuyedMast, unstressed_m: np.ndarray, side_n: np.ndarray | float = 0.0, start_m: np.ndarray | None = None
) -> Standing:
    """The mast at rest in guys of given unstressed lengths; start_m (L, 2) is where the search begins, plumb if not given."""
    count = mast.heights_m.size
    free = np.eye(2 * count)
    if mast.mast == STRAIGHT:
        free = np.kron((mast.heights_m / mast.heights_m[-1])[:, None], np.eye(2))
    moved = np.zeros((count, 2)) if start_m is None else np.asarray(start_m, dtype=float)
    now, why = forces_at(mast, unstressed_m, moved, side_n), "no shape in which its forces balance was found"
    for _ in range(_STEPS):
        push = free.T @ now.push_n.ravel()
        if not np.isfinite(push).all():
            break
        step = free @ np.linalg.lstsq(free.T @ now.stiffness @ free, push, rcond=None)[0]
        if np.abs(push).max() <= _EXACT_RATIO * now.guys.horizontal_n.sum() and np.abs(step).max() <= _EXACT_RATIO:
            why = _fault(mast, now, free)
            break
        found = _line_search(mast, unstressed_m, side_n, now, (free, step))
        if found is None:
            break
        now = found
    return _standing(mast, now, free, why)


def _line_search(
    mast: GuyedMast, unstressed_m: np.ndarray, side_n: np.ndarray | float, now: Balance, move: tuple[np.ndarray, np.ndarray]
) -> Balance | None:
    """The first of a step, its half, its quarter ... that lessens the unbalanced force; None where none does."""
    free, step = move
    size = np.abs(free.T @ now.push_n.ravel()).max()
    slope = _slopes(mast.heights_m, step.reshape(-1, 2)).max()
    part = min(1.0, LARGEST_SLOPE / max(slope, 1e-300))
    exact = _EXACT_RATIO * now.guys.horizontal_n.sum()
    for _ in range(_HALVINGS):
        moved = now.displacement_m + part * step.reshape(-1, 2)
        if _slopes(mast.heights_m, moved).max() < 0.9:
            found = forces_at(mast, unstressed_m, moved, side_n)
            left = np.abs(free.T @ found.push_n.ravel()).max()
            if left < size or left <= exact:
                return found
        part /= 2.0
    return None


def _fault(mast: GuyedMast, now: Balance, free: np.ndarray) -> str:
    """What is wrong with a shape in balance, in plain words; empty where nothing is."""
    slack = now.guys.sag_ratio > SLACK_SAG_RATIO
    for number, height_m in enumerate(mast.heights_m):
        if slack[mast.level == number].all():
            return f"every guy at {height_m:g} m is slack"
    if np.linalg.eigvalsh(free.T @ now.stiffness @ free)[0] <= 0.0:
        return "its guys do not hold it upright: the least push tips it"
    slopes = _slopes(mast.heights_m, now.displacement_m)
    if slopes.max() > LARGEST_SLOPE:
        return f"it leans {100 * slopes.max():.0f} % below {mast.heights_m[slopes.argmax()]:g} m"
    return ""


def _standing(mast: GuyedMast, now: Balance, free: np.ndarray, why: str) -> Standing:
    """The result with what each guy's length does."""
    guys, count = now.guys, mast.level.size
    with np.errstate(invalid="ignore"):
        slack = ~(guys.sag_ratio <= SLACK_SAG_RATIO)
    if why:
        missing = np.full((mast.heights_m.size * 2, count), np.nan)
        return Standing(now, why, slack, missing, np.full((count, count), np.nan))
    moves = free @ np.linalg.solve(free.T @ now.stiffness @ free, free.T @ now.push_by_length)
    by_level = moves.reshape(-1, 2, count)[mast.level]
    away = np.einsum("gi,gik->gk", now.towards, by_level)
    rising = (now.sink @ moves)[mast.level]
    by_place = guys.tension_by_place
    tension = by_place[:, :1] * away + by_place[:, 1:] * rising + np.diag(guys.tension_by_length)
    return Standing(now, "", slack, moves, tension)


def _slopes(heights_m: np.ndarray, moved: np.ndarray) -> np.ndarray:
    """(L,) how far each piece leans, metres per metre of its length."""
    pieces = np.diff(np.vstack([np.zeros(2), moved]), axis=0)
    return np.hypot(pieces[:, 0], pieces[:, 1]) / np.diff(heights_m, prepend=0.0)


def _sinking(heights_m: np.ndarray, moved: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Height of each displaced level, (L, 2L) its slope and (L, 2L, 2L) its curvature by displacement."""
    count = heights_m.size
    piece = np.diff(heights_m, prepend=0.0)
    lean = np.diff(np.vstack([np.zeros(2), moved]), axis=0)
    upright = np.sqrt(piece**2 - (lean**2).sum(axis=1))
    ends = np.kron(np.eye(count) - np.eye(count, k=-1), np.eye(2)).reshape(count, 2, 2 * count)
    slope = -np.einsum("ki,kij->kj", lean / upright[:, None], ends)
    bend = -(np.eye(2) / upright[:, None, None] + lean[:, :, None] * lean[:, None, :] / upright[:, None, None] ** 3)
    curve = np.einsum("kia,kij,kjb->kab", ends, bend, ends)
    return np.cumsum(upright), np.cumsum(slope, axis=0), np.cumsum(curve, axis=0)


def _bending(heights_m: np.ndarray, bending_nm2: float) -> np.ndarray:
    """(L, L) stiffness of the bent mast against displacements in one direction, newtons per metre.

    Source: Reinsch's form of the natural cubic spline; the hinge is its first knot, the head above the top level is free.
    """
    count = heights_m.size
    if bending_nm2 == 0.0 or count < 2:
        return np.zeros((count, count))
    piece = np.diff(heights_m, prepend=0.0)
    second = np.zeros((count - 1, count + 1))
    for row in range(count - 1):
        second[row, row : row + 3] = 1.0 / piece[row], -1.0 / piece[row] - 1.0 / piece[row + 1], 1.0 / piece[row + 1]
    width = np.diag((piece[:-1] + piece[1:]) / 3.0) + np.diag(piece[1:-1] / 6.0, 1) + np.diag(piece[1:-1] / 6.0, -1)
    return bending_nm2 * (second.T @ np.linalg.solve(width, second))[1:, 1:]
