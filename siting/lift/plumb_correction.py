"""How to bring the mast back to plumb: what to take in or let out on which guy, step by step, and what the guys carry then."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from siting.kernels.guyed_mast import Standing
from siting.lift.plumb_lengths import Found, found_lengths, plumb_guys
from siting.lift.standing import StandingMast, stand_up
from siting.records.plumb import Correction, CorrectionStep, GuyCorrection, PlumbOptions

# Lengths are given to the millimetre: at the lowest levels half a centimetre would already show as a lean.
STEP_M = 0.001
# Less than this is not worth a step of its own unless it is all that is left (common practice, no source).
LEAST_STEP_M = 0.01
# A tension may pass a bound by this part before a step counts as outside: the width of a rounded millimetre.
BOUND_SLACK_RATIO = 0.002
# A read tension farther than this from what balances is named (the tolerance of lift/tension.py).
MISFIT_RATIO = 0.10
UNREAD_WORDS = (
    "a stiff mast can stand plumb on guys that are far too tight or far too slack, and its lean does not show it. The figures for "
    "them are the nearest to the set tension that balance. Read them before anything is moved."
)


@dataclass(frozen=True, slots=True)
class _Bounds:
    """What each guy may carry, newtons."""

    least_n: np.ndarray
    greatest_n: np.ndarray

    def outside(self, tension_n: np.ndarray) -> np.ndarray:
        """(G,) by what part of the bound a tension lies outside; 0 inside."""
        return np.maximum(0.0, np.maximum(1.0 - tension_n / self.least_n, tension_n / self.greatest_n - 1.0))


@dataclass(frozen=True, slots=True)
class _State:
    """The mast after some steps."""

    standing: Standing
    length_m: np.ndarray  # (G,) unstressed
    left_m: np.ndarray  # (G,) still to be let out (positive) or taken in


@dataclass(frozen=True, slots=True)
class _Way:
    """From the mast as read to plumb. What the mast's stiffness held when it was read goes as the lengths go to plumb's."""

    mast: StandingMast
    held_n: np.ndarray
    total_m: float
    bounds: _Bounds

    def after(self, state: _State, guy: int, step_m: float) -> _State:
        """The mast solved anew with one guy let out (positive) or taken in."""
        length, left = state.length_m.copy(), state.left_m.copy()
        length[guy] += step_m
        left[guy] -= step_m
        held_n = self.held_n * float(np.abs(left).sum()) / self.total_m
        return _State(stand_up(self.mast, length, state.standing.displacement_m, held_n), length, left)


def correct_plumb(mast: StandingMast, lean: np.ndarray | None, read_n: np.ndarray, options: PlumbOptions) -> Correction:
    """The correction from the lean read, from the tensions read, or from both.

    Without a lean the mast is taken as plumb, and the correction evens the tensions out; tensions alone do not tell a lean.

    Args:
        lean: (L, 2) metres, from lean_m, or None; read_n: (G,) newtons, from read_tensions_n, NaN where not read.
    Raises:
        OutOfMethod: the readings cannot balance, the mast does not stand, or no tensions inside the bounds hold it plumb.
    """
    model = mast.model
    read_lean = np.zeros((model.heights_m.size, 2)) if lean is None else lean
    found = found_lengths(mast, read_lean, read_n, options)
    before, length = found.standing, found.length_m
    change = np.round((plumb_guys(mast, length, options, STEP_M).unstressed_m - length) / STEP_M) * STEP_M
    bounds = _Bounds(options.least_tension_ratio * mast.breaking_n, options.greatest_tension_ratio * mast.breaking_n)
    after = stand_up(mast, length + change)
    way = _Way(mast, found.held_n, float(np.abs(change).sum()), bounds)
    steps = _steps(way, _State(before, length, change), options.largest_step_m)
    guys = tuple(
        GuyCorrection(
            anchor=mast.anchors[i],
            attach_m=float(mast.attach_m[i]),
            change_cm=_cm(change[i]),
            before_kn=float(before.tension_n[i]) / 1000.0,
            after_kn=float(after.tension_n[i]) / 1000.0,
            least_kn=float(bounds.least_n[i]) / 1000.0,
            greatest_kn=float(bounds.greatest_n[i]) / 1000.0,
            read_kn=float(read_n[i]) / 1000.0 if np.isfinite(read_n[i]) else None,
        )
        for i in range(length.size)
    )
    return Correction(
        levels_m=tuple(float(m) for m in model.heights_m),
        guys=guys,
        steps=steps,
        total_cm=float(np.abs(change).sum()) * 100.0,
        before_cm=_lean_cm(before),
        after_cm=_lean_cm(after),
        assumes=mast.assumes,
        warnings=_warnings(mast, lean, read_n, found, steps),
        notes=_notes(options),
    )


def _steps(way: _Way, start: _State, largest_m: float) -> tuple[CorrectionStep, ...]:
    """One guy after the other, from the lowest level up, letting out before taking in, in as many rounds as it takes.

    A step goes as far as every tension stays inside its bounds, or, where one is outside already, does not get worse.
    Where no guy can be moved so, the one that leaves them least goes a little way, and the step says so.
    """
    now, bounds = start, way.bounds
    steps: list[CorrectionStep] = []
    order = sorted(range(start.left_m.size), key=lambda i: (way.mast.model.level[i], -start.left_m[i]))
    while open_ := [i for i in order if abs(now.left_m[i]) > STEP_M / 2]:
        count = len(steps)
        for guy in open_:
            sign, want = np.sign(now.left_m[guy]), min(abs(now.left_m[guy]), largest_m)
            far = min(want, _room_m(now.standing, guy, sign, bounds))
            far = want if far >= want - STEP_M / 2 else np.floor(far / STEP_M + 1e-6) * STEP_M
            if far < min(want, LEAST_STEP_M) - STEP_M / 2:
                continue
            found = _try(way, now, guy, sign * far)
            if found is not None:
                steps.append(_step(way, len(steps) + 1, guy, found.left_m[guy] - now.left_m[guy], found))
                now = found
        if len(steps) == count:
            guy = min(open_, key=lambda i: _harm(now, i, bounds))
            found = way.after(now, guy, _little_m(now, guy))
            steps.append(_step(way, len(steps) + 1, guy, found.left_m[guy] - now.left_m[guy], found))
            now = found
    return tuple(steps)


def _try(way: _Way, now: _State, guy: int, step: float) -> _State | None:
    """The step, halved until the mast solved anew stays inside the bounds or gets no worse; None where a centimetre does not."""
    allowed = np.maximum(way.bounds.outside(now.standing.tension_n), BOUND_SLACK_RATIO)
    while True:
        found = way.after(now, guy, step)
        if (way.bounds.outside(found.standing.tension_n) <= allowed + 1e-9).all():
            return found
        half = np.sign(step) * np.floor(abs(step) / 2.0 / STEP_M + 1e-6) * STEP_M
        if abs(half) < LEAST_STEP_M:
            return None
        step = half


def _step(way: _Way, number: int, guy: int, left: float, after: _State) -> CorrectionStep:
    """A step written down; `left` is by how much less is left to be let out."""
    mast, tension_n = way.mast, after.standing.tension_n
    return CorrectionStep(
        number=number,
        anchor=mast.anchors[guy],
        attach_m=float(mast.attach_m[guy]),
        change_cm=_cm(-left),
        tension_kn=tuple(float(v) / 1000.0 for v in tension_n),
        lean_cm=_lean_cm(after.standing),
        outside=tuple(
            f"{mast.anchors[i]} at {mast.attach_m[i]:g} m"
            for i in np.flatnonzero(way.bounds.outside(tension_n) > BOUND_SLACK_RATIO)
        ),
        instruction=_words(mast, guy, -left, after.standing),
    )


def _room_m(now: Standing, guy: int, sign: float, bounds: _Bounds) -> float:
    """How far a guy can be moved before a tension reaches its bound, metres, by the tensions' slopes; at least 0."""
    slope = sign * now.tension_by_length[:, guy]
    rising, falling = slope > 0.0, slope < 0.0
    room = [np.inf]
    room += list((bounds.greatest_n - now.tension_n)[rising] / slope[rising])
    room += list((bounds.least_n - now.tension_n)[falling] / slope[falling])
    return max(0.0, min(room))


def _little_m(now: _State, guy: int) -> float:
    """A step for a guy that leaves the bounds whatever is done, metres."""
    return float(np.sign(now.left_m[guy]) * min(abs(now.left_m[guy]), 2.0 * LEAST_STEP_M))


def _harm(now: _State, guy: int, bounds: _Bounds) -> float:
    """How far outside the bounds a little way on this guy brings the worst tension, by the tensions' slopes; no unit."""
    change_n = now.standing.tension_by_length[:, guy] * _little_m(now, guy)
    return float(bounds.outside(now.standing.tension_n + change_n).max())


def _cm(length_m: float) -> float:
    """Whole millimetres in centimetres; 0 without a sign."""
    return round(float(length_m) * 1000.0) / 10.0 + 0.0


def _lean_cm(standing: Standing) -> tuple[float, ...]:
    """Lean of each level, centimetres."""
    return tuple(100.0 * float(v) for v in np.hypot(*standing.displacement_m.T))


def _words(mast: StandingMast, guy: int, step: float, after: Standing) -> str:
    """What to do, and what the level's guys carry then."""
    level = np.flatnonzero(mast.model.level == mast.model.level[guy])
    carry = ", ".join(f"{mast.anchors[i]} {after.tension_n[i] / 1000.0:.2f} kN" for i in level)
    do = "let out" if step > 0.0 else "take in"
    return f"{do} {abs(_cm(step)):.1f} cm on {mast.anchors[guy]} at {mast.attach_m[guy]:g} m; then {carry}"


def _warnings(
    mast: StandingMast, lean: np.ndarray | None, read_n: np.ndarray, found: Found, steps: tuple[CorrectionStep, ...]
) -> tuple[str, ...]:
    """What was not read, readings that do not fit, and steps that leave the bounds."""
    said = []
    if lean is None:
        said.append(
            "No lean was read: the mast is taken as plumb. Tensions alone do not tell a lean; read it before any guy is moved."
        )
    unread = np.flatnonzero(np.isnan(read_n))
    if unread.size:
        which = "No tension was read" if unread.size == read_n.size else f"No tension was read of {mast.names(unread)}"
        said.append(f"{which}: {UNREAD_WORDS}")
    off = np.nan_to_num(np.abs(found.balanced_n / read_n - 1.0))
    for i in np.flatnonzero(off > MISFIT_RATIO):
        said.append(
            f"{mast.anchors[i]} at {mast.attach_m[i]:g} m: {read_n[i] / 1000.0:.2f} kN as read, {found.balanced_n[i] / 1000.0:.2f} kN "
            "would balance the other readings. The mast's own stiffness holds the difference, or a reading is off: read it again "
            "before anything is moved."
        )
    outside = [s.number for s in steps if s.outside]
    if outside:
        said.append(
            f"In {len(outside)} of {len(steps)} steps (first in step {outside[0]}) a guy is outside its bounds on the way: those steps "
            "name it. Hold the mast with the guys of the lift while they are done."
        )
    return tuple(said)


def _notes(options: PlumbOptions) -> tuple[str, ...]:
    """What the correction rests on."""
    low, high = 100.0 * options.least_tension_ratio, 100.0 * options.greatest_tension_ratio
    return (
        "Solved on the real anchors with guys that sag and stretch, the mast solved anew after every step. Lengths are of the strand, "
        "let out or taken in at the anchor; a turnbuckle's travel is measured between marks.",
        f"By calculation every tension ends between {low:g} and {high:g} % of its breaking strength, with as little moved as that "
        "allows.",
        "Read lean and tensions again after the last step, and work it out again from those: strand settles, anchors give.",
        "Still air, no ice, the guys of the lift off. Wind while it is read shows as lean that no guy made.",
    )
