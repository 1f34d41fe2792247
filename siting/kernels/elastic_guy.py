"""A guy that stretches, between two points: its end forces, how they change with place and length, and back again.

The cable of kernels/cable.py with the strain counted on the unstressed length, so that its force is the slope of an
energy: a mast that stands in such guys has a symmetric stiffness, and Newton's method finds where it stands. The two
agree within 0.1 % in tension at working tensions (tests/lift/test_guyed_mast.py). Arrays broadcast; metres, newtons.

Source: the elastic catenary in closed form (any text on cables); the start is the parabola's cubic, in which sag
and stretch share the difference between chord and length.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from siting.kernels.cable import hang_at_tension

_STEPS = 60
_EXACT_RATIO = 1e-13  # of the chord: where both ends are met
_START_STEPS = 14


@dataclass(frozen=True, slots=True)
class ElasticGuy:
    """A guy of a given unstressed length; forces are NaN where no shape was found."""

    span_m: np.ndarray  # horizontal, anchor to attachment, over 0
    rise_m: np.ndarray  # attachment above the anchor
    weight_n_per_m: np.ndarray  # of the unstressed strand, over 0
    stiffness_n: np.ndarray  # E A
    unstressed_m: np.ndarray
    horizontal_n: np.ndarray  # pull on the mast, towards the anchor
    down_n: np.ndarray  # pull on the mast, downward

    @property
    def chord_m(self) -> np.ndarray:
        """Straight line from the anchor to the attachment, metres."""
        return np.hypot(self.span_m, self.rise_m)

    @property
    def anchor_up_n(self) -> np.ndarray:
        """Vertical pull on the anchor, upward, newtons: below 0 the guy would lie on the ground there."""
        return self.down_n - self.weight_n_per_m * self.unstressed_m

    @property
    def anchor_tension_n(self) -> np.ndarray:
        """Tension at the anchor, newtons."""
        return np.hypot(self.horizontal_n, self.anchor_up_n)

    @property
    def top_tension_n(self) -> np.ndarray:
        """Tension at the attachment, newtons."""
        return np.hypot(self.horizontal_n, self.down_n)

    @property
    def sag_ratio(self) -> np.ndarray:
        """Middle sag square to the chord as a part of the chord (parabola), no unit: small is taut."""
        return self.weight_n_per_m * self.span_m / (4.0 * (self.anchor_tension_n + self.top_tension_n))

    @property
    def flexibility(self) -> np.ndarray:
        """(..., 2, 2): how span and rise grow with the horizontal and the downward pull, metres per newton."""
        return _flexibility(*_values(self))

    @property
    def stiffness(self) -> np.ndarray:
        """(..., 2, 2): how the horizontal and the downward pull grow with span and rise, newtons per metre."""
        return np.linalg.inv(self.flexibility)

    @property
    def pull_by_length(self) -> np.ndarray:
        """(..., 2): how the horizontal and the downward pull grow with the unstressed length, newtons per metre.

        Source: a piece added at the anchor's end has the anchor's tension, so it lengthens the guy by
        (1 / tension + 1 / E A) times that force's two parts.
        """
        reach = 1.0 / self.anchor_tension_n + 1.0 / self.stiffness_n
        longer = np.stack([self.horizontal_n * reach, self.anchor_up_n * reach], axis=-1)
        return -np.linalg.solve(self.flexibility, longer[..., None])[..., 0]

    @property
    def tension_by_place(self) -> np.ndarray:
        """(..., 2): how the tension at the anchor grows with span and rise, newtons per metre."""
        along = np.stack([self.horizontal_n, self.anchor_up_n], axis=-1) / self.anchor_tension_n[..., None]
        return np.einsum("...i,...ij->...j", along, self.stiffness)

    @property
    def tension_by_length(self) -> np.ndarray:
        """How the tension at the anchor grows with the unstressed length, newtons per metre (below 0)."""
        pull = self.pull_by_length
        up = pull[..., 1] - self.weight_n_per_m
        return (self.horizontal_n * pull[..., 0] + self.anchor_up_n * up) / self.anchor_tension_n


def hang_elastic(
    span_m: np.ndarray, rise_m: np.ndarray, weight_n_per_m: np.ndarray, stiffness_n: np.ndarray, unstressed_m: np.ndarray
) -> ElasticGuy:
    """The guy of a given unstressed length between two points, taut or hanging; newtons."""
    values = (span_m, rise_m, weight_n_per_m, stiffness_n, unstressed_m)
    span, rise, weight, stiffness, length = np.broadcast_arrays(*(np.asarray(v, float) for v in values))
    chord = np.hypot(span, rise)
    tension = _start_tension_n(span, chord, weight, stiffness, length)
    across, down = tension * span / chord, tension * rise / chord + weight * length / 2.0
    with np.errstate(all="ignore"):
        for _ in range(_STEPS):
            miss = np.stack([span, rise], axis=-1) - _reach(weight, stiffness, length, across, down)
            if not (np.abs(miss) > _EXACT_RATIO * chord[..., None]).any():
                break
            step = np.linalg.solve(_flexibility(weight, stiffness, length, across, down), miss[..., None])[..., 0]
            # The horizontal pull stays above 0: a step takes away no more than nine tenths of it.
            part = np.minimum(1.0, 0.9 * across / np.maximum(-step[..., 0], 1e-300))
            across, down = across + part * step[..., 0], down + part * step[..., 1]
        miss = np.stack([span, rise], axis=-1) - _reach(weight, stiffness, length, across, down)
    found = (np.abs(miss) <= 1e3 * _EXACT_RATIO * chord[..., None]).all(axis=-1)
    return ElasticGuy(span, rise, weight, stiffness, length, np.where(found, across, np.nan), np.where(found, down, np.nan))


def elastic_at_tension(
    span_m: np.ndarray, rise_m: np.ndarray, weight_n_per_m: np.ndarray, stiffness_n: np.ndarray, anchor_tension_n: np.ndarray
) -> ElasticGuy:
    """The guy with a given tension at its anchor; forces are NaN where that tension does not hold it up."""
    first = hang_at_tension(span_m, rise_m, weight_n_per_m, anchor_tension_n).unstressed_m(np.asarray(stiffness_n, float))
    guy = hang_elastic(span_m, rise_m, weight_n_per_m, stiffness_n, first)
    for _ in range(4):
        length = guy.unstressed_m + (anchor_tension_n - guy.anchor_tension_n) / guy.tension_by_length
        guy = hang_elastic(span_m, rise_m, weight_n_per_m, stiffness_n, length)
    return guy


def elastic_at_horizontal(
    span_m: np.ndarray, rise_m: np.ndarray, weight_n_per_m: np.ndarray, stiffness_n: np.ndarray, horizontal_n: np.ndarray
) -> ElasticGuy:
    """The guy with a given horizontal pull on the mast; forces are NaN where that pull does not hold it up."""
    # The tension at the anchor is near the mean along the chord less half the weight of the rise.
    tension = np.asarray(horizontal_n) * np.hypot(span_m, rise_m) / span_m - np.asarray(weight_n_per_m) * rise_m / 2.0
    first = hang_at_tension(span_m, rise_m, weight_n_per_m, tension).unstressed_m(np.asarray(stiffness_n, float))
    guy = hang_elastic(span_m, rise_m, weight_n_per_m, stiffness_n, first)
    for _ in range(4):
        length = guy.unstressed_m + (horizontal_n - guy.horizontal_n) / guy.pull_by_length[..., 0]
        guy = hang_elastic(span_m, rise_m, weight_n_per_m, stiffness_n, length)
    return guy


def _values(guy: ElasticGuy) -> tuple[np.ndarray, ...]:
    """What the closed forms below take."""
    return guy.weight_n_per_m, guy.stiffness_n, guy.unstressed_m, guy.horizontal_n, guy.down_n


def _reach(weight: np.ndarray, stiffness: np.ndarray, length: np.ndarray, across: np.ndarray, down: np.ndarray) -> np.ndarray:
    """(..., 2) span and rise of the guy that pulls the mast with these forces, metres."""
    up = down - weight * length
    span = across * (length / stiffness + (np.arcsinh(down / across) - np.arcsinh(up / across)) / weight)
    rise = (down + up) * length / (2.0 * stiffness) + (np.hypot(across, down) - np.hypot(across, up)) / weight
    return np.stack([span, rise], axis=-1)


def _flexibility(
    weight: np.ndarray, stiffness: np.ndarray, length: np.ndarray, across: np.ndarray, down: np.ndarray
) -> np.ndarray:
    """(..., 2, 2) derivative of _reach by both forces."""
    up = down - weight * length
    top, foot = np.hypot(across, down), np.hypot(across, up)
    turn = (down / top - up / foot) / weight
    mixed = across * (1.0 / top - 1.0 / foot) / weight
    spread = (np.arcsinh(down / across) - np.arcsinh(up / across)) / weight
    rows = [np.stack([length / stiffness + spread - turn, mixed], -1), np.stack([mixed, length / stiffness + turn], -1)]
    return np.stack(rows, axis=-2)


def _start_tension_n(
    span: np.ndarray, chord: np.ndarray, weight: np.ndarray, stiffness: np.ndarray, length: np.ndarray
) -> np.ndarray:
    """Mean tension by the parabola, newtons: (chord - length) / length = T / E A - (weight across chord)^2 / (24 T^2)."""
    pull = stiffness * (chord - length) / length
    sag = stiffness * (weight * span) ** 2 / 24.0
    tension = np.maximum(pull, 0.0) + np.cbrt(sag)
    for _ in range(_START_STEPS):
        tension = tension - (tension**2 * (tension - pull) - sag) / (tension * (3.0 * tension - 2.0 * pull))
    return tension
