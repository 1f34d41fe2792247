"""How measured points may lie off as a whole: shifted, turned, stretched. Fits that bad points do not pull away.

Points are complex: east + i north, metres, from the base's planned place.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

# A fit is judged by the best part of the points, so that a quarter of them may be bad.
KEPT_RATIO = 0.75
STEPS_MAX = 20


@dataclass(frozen=True, slots=True)
class Move:
    """measured = factor x planned + shift. `factor` is complex: its size the scale, its angle the turn."""

    factor: complex
    shift: complex

    def left(self, planned: np.ndarray, measured: np.ndarray) -> np.ndarray:
        """What each point still misses by once the move is undone, complex metres in the plan's own size."""
        return (measured - self.shift) / (self.factor or 1e-12) - planned

    def moved(self, planned: np.ndarray) -> np.ndarray:
        """How far the move carries each planned point, metres."""
        return np.abs(self.factor * planned + self.shift - planned)

    @property
    def turn_deg(self) -> float:
        """The turn, degrees, clockwise positive."""
        return -math.degrees(math.atan2(self.factor.imag, self.factor.real))

    @property
    def scale_ppm(self) -> float:
        """Measured length / planned length - 1, parts per million."""
        return (abs(self.factor) - 1.0) * 1e6

    @property
    def centre(self) -> complex:
        """The point that stays in place, metres from the base; the factor must not be 1."""
        return self.shift / (1.0 - self.factor)


Fit = Callable[[np.ndarray, np.ndarray, complex], Move]


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of move: what it is called, how many numbers it has, how it is fitted, how many points it needs."""

    name: str
    numbers: int
    points_least: int
    fit: Fit


def _nothing(a: np.ndarray, b: np.ndarray, origin: complex) -> Move:
    return Move(1.0 + 0j, 0j)


def _shift(a: np.ndarray, b: np.ndarray, origin: complex) -> Move:
    return Move(1.0 + 0j, complex(np.mean(b - a)))


def _turn(a: np.ndarray, b: np.ndarray, origin: complex) -> Move:
    return Move(_unit(np.sum(b * np.conj(a))), 0j)


def _scale(a: np.ndarray, b: np.ndarray, origin: complex) -> Move:
    return Move(complex(_ratio(a, b).real), 0j)


def _turn_about_origin(a: np.ndarray, b: np.ndarray, origin: complex) -> Move:
    factor = _unit(np.sum((b + origin) * np.conj(a + origin)))
    return Move(factor, (factor - 1.0) * origin)


def _scale_about_origin(a: np.ndarray, b: np.ndarray, origin: complex) -> Move:
    # 1 is taken away first: over millions of metres the ratio itself would lose the digits that matter.
    more = float((np.sum((b - a) * np.conj(a + origin)) / np.sum(np.abs(a + origin) ** 2)).real)
    return Move(complex(1.0 + more), more * origin)


def _turn_and_shift(a: np.ndarray, b: np.ndarray, origin: complex) -> Move:
    return _about_means(a, b, _unit(_centred_ratio(a, b)))


def _scale_and_shift(a: np.ndarray, b: np.ndarray, origin: complex) -> Move:
    return _about_means(a, b, complex(_centred_ratio(a, b).real))


def _similarity(a: np.ndarray, b: np.ndarray, origin: complex) -> Move:
    return _about_means(a, b, _centred_ratio(a, b))


def _about_means(a: np.ndarray, b: np.ndarray, factor: complex) -> Move:
    return Move(factor, complex(b.mean() - factor * a.mean()))


def _unit(z: complex) -> complex:
    return complex(z) / abs(z) if abs(z) > 0 else 1.0 + 0j


def _ratio(a: np.ndarray, b: np.ndarray) -> complex:
    """The complex number that best takes a to b, 1 where a has no size."""
    size = float(np.sum(np.abs(a) ** 2))
    return complex(np.sum(b * np.conj(a)) / size) if size > 1e-6 else 1.0 + 0j


def _centred_ratio(a: np.ndarray, b: np.ndarray) -> complex:
    """Least-squares similarity: Umeyama (1991), as in survey/localisation.py."""
    return _ratio(a - a.mean(), b - b.mean())


NOTHING = Kind("nothing", 0, 1, _nothing)
SHIFT = Kind("shift", 2, 2, _shift)
TURN = Kind("turn", 1, 3, _turn)
SCALE = Kind("scale", 1, 3, _scale)
TURN_ABOUT_ORIGIN = Kind("turn about origin", 1, 3, _turn_about_origin)
SCALE_ABOUT_ORIGIN = Kind("scale about origin", 1, 3, _scale_about_origin)
TURN_AND_SHIFT = Kind("turn and shift", 3, 4, _turn_and_shift)
SCALE_AND_SHIFT = Kind("scale and shift", 3, 4, _scale_and_shift)
SIMILARITY = Kind("similarity", 4, 4, _similarity)
KINDS = (
    NOTHING, SHIFT, TURN, SCALE, TURN_ABOUT_ORIGIN, SCALE_ABOUT_ORIGIN, TURN_AND_SHIFT, SCALE_AND_SHIFT, SIMILARITY,
)  # fmt: skip


def fit_move(kind: Kind, planned: np.ndarray, measured: np.ndarray, origin: complex) -> tuple[Move, np.ndarray]:
    """The move by least trimmed squares, and which points it was fitted to.

    Starts from medians and then fits to the best three quarters of the points until these stay the same.

    Args:
        origin: the base's own easting + i northing, metres: where the grid's origin lies from it, reversed.
    Source:
        P. J. Rousseeuw and K. Van Driessen, Computing LTS regression for large data sets, Data Mining and Knowledge
        Discovery 12 (2006) 29-45: the concentration step. From memory.
    """
    count = kept_count(len(planned))
    move = _start(kind, planned, measured, origin)
    kept = np.zeros(len(planned), bool)
    for _ in range(STEPS_MAX):
        best = np.argsort(np.abs(move.left(planned, measured)), kind="stable")[:count]
        now = np.zeros(len(planned), bool)
        now[best] = True
        if (now == kept).all():
            break
        kept = now
        move = kind.fit(planned[kept], measured[kept], origin)
    return move, kept


def kept_count(points: int) -> int:
    """How many of so many points a fit is judged by: all but a quarter, rounded down. No unit."""
    return points - math.floor(points * (1.0 - KEPT_RATIO))


def _start(kind: Kind, a: np.ndarray, b: np.ndarray, origin: complex) -> Move:
    """A first move from medians, which up to half of the points cannot spoil."""
    if kind.numbers == 0:
        return _nothing(a, b, origin)
    if kind in (SHIFT, TURN_ABOUT_ORIGIN, SCALE_ABOUT_ORIGIN):
        shift = _median(b - a)
        if kind is SHIFT:
            return Move(1.0 + 0j, shift)
        middle = np.array([_median(a)])
        return kind.fit(middle, middle + shift, origin)
    if kind in (TURN, SCALE):
        away = np.abs(a) > 0.2 * np.abs(a).max()
        factor = _median(b[away] / a[away])
        return Move(_unit(factor) if kind is TURN else complex(factor.real), 0j)
    i, j = np.triu_indices(len(a), 1)
    between = a[j] - a[i]
    away = np.abs(between) >= np.median(np.abs(between))
    factor = _median((b[j] - b[i])[away] / between[away])
    if kind is TURN_AND_SHIFT:
        factor = _unit(factor)
    elif kind is SCALE_AND_SHIFT:
        factor = complex(factor.real)
    return Move(factor, _median(b - factor * a))


def _median(z: np.ndarray) -> complex:
    return complex(np.median(z.real), np.median(z.imag))
