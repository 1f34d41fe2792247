"""How the guys of a level share a push: the level moves until their pulls balance it; guys on the lee side go slack.

A guy is a parabola: its tension T follows T^2 (T - P) = S, P the pull of the same strand without weight (linear in the
level's movement), S what its weight adds. Taut it is the straight elastic strand; slack it hangs and keeps the little that
its own weight gives it, so a level never loses its last hold sideways. Each level moves by itself, level, by small
amounts. N guys, L levels, D pushes; newtons and metres.

Source: parabolic cable, as in kernels/elastic_guy.py's start; held in tests/holding/test_loads.py by a general solver.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

_STEPS, _CUBIC_STEPS = 80, 7
_EXACT_RATIO = 1e-12  # unbalanced force, of the set tensions and pushes
_LEAST_SAG_RATIO = 1e-3  # a guy that is given no weight keeps this part of its set tension when its pull is nought


@dataclass(frozen=True, slots=True)
class LevelGuys:
    """Guys of several levels."""

    level: np.ndarray  # (N,) index of each guy's level, all of 0 to L - 1 in use
    towards: np.ndarray  # (N, 2) level unit vector from the mast to the anchor
    level_ratio: np.ndarray  # (N,) span / chord
    set_n: np.ndarray  # (N,) tension along the chord before the push, over 0
    spring_n_per_m: np.ndarray  # (N,) E A / length
    sag_n3: np.ndarray  # (N,) S: E A x (guy's weight x span / chord)^2 / 24


@dataclass(frozen=True, slots=True)
class Shared:
    """The levels at rest under their pushes; NaN where no balance was found."""

    moved_m: np.ndarray  # (L, D, 2)
    tension_n: np.ndarray  # (N, D) along the chord
    unbalanced_n: np.ndarray  # (L, D, 2)


def share_push(guys: LevelGuys, push_n: np.ndarray) -> Shared:
    """Tension of each guy (newtons) and movement of each level (metres) under level pushes (L, D, 2), newtons.

    Newton's method; a step that does not lessen the unbalanced force is halved, push by push. Guys so soft that a level
    is held by nothing in one direction find no balance.
    """
    count = push_n.shape[0]
    at = (guys.level[None, :] == np.arange(count)[:, None]).astype(float)
    scale = (at @ guys.set_n)[:, None] + np.linalg.norm(push_n, axis=-1)
    moved, part = np.zeros_like(push_n), np.ones(push_n.shape[:2])
    tension, left, slope = _balance(guys, at, push_n, moved)
    for _ in range(_STEPS):
        size = np.linalg.norm(left, axis=-1)
        if (size <= _EXACT_RATIO * scale).all():
            break
        try:
            tried = moved + part[..., None] * np.linalg.solve(slope, left[..., None])[..., 0]
        except np.linalg.LinAlgError:
            break
        tension_then, left_then, slope_then = _balance(guys, at, push_n, tried)
        better = np.linalg.norm(left_then, axis=-1) < size
        moved, left = np.where(better[..., None], tried, moved), np.where(better[..., None], left_then, left)
        slope = np.where(better[..., None, None], slope_then, slope)
        tension = np.where(better[guys.level], tension_then, tension)
        part = np.where(better, 1.0, part / 2.0)
    found = np.linalg.norm(left, axis=-1) <= 1e3 * _EXACT_RATIO * scale
    return Shared(np.where(found[..., None], moved, np.nan), np.where(found[guys.level], tension, np.nan), left)


def chord_tension_n(pull_n: np.ndarray, sag_n3: np.ndarray) -> np.ndarray:
    """The tension T over 0 with T^2 (T - pull) = sag, newtons; pull may be below 0, sag is over 0.

    Newton's steps from above the only root over 0, where the left side is convex: they never pass it.
    """
    with np.errstate(divide="ignore"):
        taut = np.maximum(pull_n, 0.0) + np.minimum(np.cbrt(sag_n3), sag_n3 / pull_n**2)
        slack = np.minimum(np.cbrt(sag_n3), np.sqrt(sag_n3 / np.abs(pull_n)))
    tension = np.where(pull_n > 0.0, taut, slack)
    for _ in range(_CUBIC_STEPS):
        tension = tension - (tension**2 * (tension - pull_n) - sag_n3) / (tension * (3.0 * tension - 2.0 * pull_n))
    return tension


def _balance(guys: LevelGuys, at: np.ndarray, push_n: np.ndarray, moved: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Tensions (N, D), unbalanced force (L, D, 2) and minus its slope (L, D, 2, 2) with the levels moved."""
    sag = np.maximum(guys.sag_n3, (_LEAST_SAG_RATIO * guys.set_n) ** 3)
    longer = -guys.level_ratio[:, None] * np.einsum("ndk,nk->nd", moved[guys.level], guys.towards)
    pull = (guys.set_n - sag / guys.set_n**2)[:, None] + guys.spring_n_per_m[:, None] * longer
    tension = chord_tension_n(pull, sag[:, None])
    hold = guys.level_ratio[:, None] * guys.towards
    left = push_n + np.einsum("ln,nd,nk->ldk", at, tension, hold)
    rate = guys.spring_n_per_m[:, None] * tension / (3.0 * tension - 2.0 * pull)
    return tension, left, np.einsum("ln,nd,nj,nk->ldjk", at, rate, hold, hold, optimize=True)
