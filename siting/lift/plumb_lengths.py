"""What length each guy has by the lean and the tensions read, and what length stands the mast plumb."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np

from siting.errors import OutOfMethod
from siting.kernels.elastic_guy import ElasticGuy, elastic_at_horizontal
from siting.kernels.guyed_mast import Standing, forces_at
from siting.lift.standing import StandingMast, guys_at_tension, stand_up
from siting.records.plumb import PlumbOptions

# How far a guy's tension that was not read may lie off its set tension: common practice, no source.
UNREAD_ERROR_RATIO = 0.3
_ROUNDS = 12
_SETTLED_M, _FITTED_M = 1e-9, 1e-6
LONGEST_FIT_STEP_M = 0.05
# A guy that is found to carry less than this part of its strength is taken as slack (common practice, no source).
LEAST_CARRIED_RATIO = 0.002


@dataclass(frozen=True, slots=True)
class Found:
    """The mast as it was read."""

    length_m: np.ndarray  # (G,) unstressed
    standing: Standing  # at the lean read, or what is nearest to it for a beam of which no tension was read
    held_n: np.ndarray  # (L, 2) what the guys as read leave unbalanced: the mast's own stiffness holds it, or a reading is off
    balanced_n: np.ndarray  # (G,) tensions nearest to those read or set that balance by the model; NaN where none do


def found_lengths(mast: StandingMast, lean: np.ndarray, read_n: np.ndarray, options: PlumbOptions) -> Found:
    """What length each guy has.

    A guy whose tension was read has the length that this tension gives it between its anchor and the mast as read, whatever
    the mast's stiffness. A guy that was not read is taken with the tension nearest to its set tension with which the levels
    balance: the lean alone does not tell how tight a level is, nor how uneven the levels of a stiff mast are.

    Args:
        lean: (L, 2) metres; read_n: (G,) newtons, NaN where not read.
    Raises:
        OutOfMethod: with these readings a guy would carry nothing, or the mast would not stand.
    """
    is_read = np.isfinite(read_n)
    try:
        fitted = _fit_readings(mast, lean, read_n, options)
    except OutOfMethod:
        if not is_read.all():
            raise
        fitted = None
    if not is_read.any():
        return Found(fitted.balance.guys.unstressed_m, fitted, np.zeros_like(lean), fitted.tension_n)
    length = guys_at_tension(mast, lean, np.where(is_read, read_n, mast.set_tension_n)).unstressed_m
    for _ in range(_ROUNDS):  # the levels of a leaning mast lie a little lower
        guys = forces_at(mast.model, length, lean).guys
        length = length + np.where(is_read, read_n - guys.anchor_tension_n, 0.0) / guys.tension_by_length
    if fitted is not None:
        length = np.where(is_read, length, fitted.balance.guys.unstressed_m)
    held_n = -forces_at(mast.model, length, lean).push_n
    balanced_n = np.full(read_n.size, np.nan) if fitted is None else fitted.tension_n
    return Found(length, stand_up(mast, length, lean, held_n), held_n, balanced_n)


def _fit_readings(mast: StandingMast, lean: np.ndarray, read_n: np.ndarray, options: PlumbOptions) -> Standing:
    """The mast with the tensions nearest to those read or set (least squares by their errors) that balance.

    A chain has a balance for every lean. A beam does not, and gives way to the lean by its error too: a lean that would
    take forces no guy has is taken as misread.
    """
    is_read = np.isfinite(read_n)
    wanted = np.where(is_read, read_n, mast.set_tension_n)
    error = wanted * np.where(is_read, options.tension_error_ratio, UNREAD_ERROR_RATIO)
    length = guys_at_tension(mast, lean, wanted).unstressed_m
    _require_carried(mast, length, wanted)
    if mast.model.bending_nm2:
        return _fit_beam(mast, lean, (wanted, error), length, options)
    return stand_up(mast, _fit_chain(mast, lean, (wanted, error), length), lean)


def _fit_chain(mast: StandingMast, lean: np.ndarray, tension: tuple[np.ndarray, np.ndarray], length: np.ndarray) -> np.ndarray:
    """(G,) unstressed lengths with which the chain balances as read, its tensions nearest to the wanted ones; metres."""
    wanted, error = tension
    for _ in range(_ROUNDS):
        now = forces_at(mast.model, length, lean)
        slope = now.guys.tension_by_length
        weighed = now.push_by_length / slope * error
        # Tensions wanted + error z with: push now + push by tension (tension - tension now) = 0, z as small as can be.
        right = -now.push_n.ravel() - (now.push_by_length / slope) @ (wanted - now.guys.anchor_tension_n)
        nearest = wanted + error * np.linalg.lstsq(weighed, right, rcond=None)[0]
        _require_carried(mast, length, nearest)
        step = (nearest - now.guys.anchor_tension_n) / slope
        length = length + step
        if np.abs(step).max() < _SETTLED_M:
            break
    return length


def _fit_beam(
    mast: StandingMast, lean: np.ndarray, tension: tuple[np.ndarray, np.ndarray], length: np.ndarray, options: PlumbOptions
) -> Standing:
    """The beam at rest, nearest to tensions and lean by their errors (Gauss-Newton on the unstressed lengths)."""
    wanted, error = tension
    now = stand_up(mast, length, lean)
    for _ in range(_ROUNDS):
        miss = np.concatenate([(wanted - now.tension_n) / error, (lean - now.displacement_m).ravel() / options.reading_error_m])
        by_length = np.vstack(
            [now.tension_by_length / error[:, None], now.displacement_by_length / options.reading_error_m]
        )  # fmt: skip
        step = np.linalg.lstsq(by_length, miss, rcond=None)[0]
        step *= min(1.0, LONGEST_FIT_STEP_M / np.abs(step).max())
        length = length + step
        now = stand_up(mast, length, now.displacement_m)
        if np.abs(step).max() < _FITTED_M:
            break
    _require_carried(mast, length, now.tension_n)
    return now


def plumb_guys(mast: StandingMast, length_now_m: np.ndarray, options: PlumbOptions, step_m: float) -> ElasticGuy:
    """(G,) the guys with which the mast stands plumb, moved as little as can be, every tension inside its bounds.

    At plumb each level balances by itself, whatever the mast's stiffness: its guys' horizontal pulls add up to nothing.
    What is left free (how tight, for three guys) is chosen for the least sum of squares of the lengths moved.

    Args:
        length_now_m: (G,) unstressed; step_m: to which lengths are rounded later: the bounds are kept clear of that.
    Raises:
        OutOfMethod: on this ground no tensions inside the bounds balance at a level.
    """
    model = mast.model
    reach = -model.anchors_m[:, :2]
    span = np.hypot(reach[:, 0], reach[:, 1])
    rise = model.heights_m[model.level] - model.anchors_m[:, 2]
    plumb = np.zeros((model.heights_m.size, 2))
    slip_n = model.stiffness_n / length_now_m * step_m
    low = guys_at_tension(mast, plumb, options.least_tension_ratio * mast.breaking_n + slip_n).horizontal_n
    high = guys_at_tension(mast, plumb, options.greatest_tension_ratio * mast.breaking_n - slip_n).horizontal_n
    pull = guys_at_tension(
        mast, plumb, np.clip(mast.set_tension_n, None, options.greatest_tension_ratio * mast.breaking_n)
    ).horizontal_n
    for _ in range(_ROUNDS):
        guys = elastic_at_horizontal(span, rise, model.weight_n_per_m, model.stiffness_n, pull)
        by_pull = 1.0 / guys.pull_by_length[:, 0]
        found = np.empty_like(pull)
        for index in range(model.heights_m.size):
            of = np.flatnonzero(model.level == index)
            aim = length_now_m[of] - guys.unstressed_m[of] + by_pull[of] * pull[of]
            best = _least_moved((reach[of] / span[of, None]).T, by_pull[of], aim, (low[of], high[of]))
            if best is None:
                raise _no_balance(mast, index, options)
            found[of] = best
        settled = np.abs((found - pull) * by_pull).max() < _SETTLED_M
        pull = found
        if settled:
            break
    return elastic_at_horizontal(span, rise, model.weight_n_per_m, model.stiffness_n, pull)


def _least_moved(
    towards: np.ndarray, by_pull: np.ndarray, aim: np.ndarray, bounds: tuple[np.ndarray, np.ndarray]
) -> np.ndarray | None:
    """The pulls p in balance and in bounds with the least |by_pull p - aim|; None where there are none.

    Every choice of pulls at a bound is tried (a level has few guys), the rest solved free; the best that fits is exact.

    Args:
        towards: (2, n) level directions of the guys; by_pull, aim: (n,) metres per newton, metres.
    """
    low, high = bounds
    if not (low <= high).all():
        return None
    free = np.linalg.svd(towards)[2][2:].T  # (n, n - 2): pulls that balance
    best, least = None, np.inf
    for count in range(free.shape[1] + 1):
        for which in combinations(range(aim.size), count):
            for ends in np.ndindex(*(2,) * count):
                fixed = np.array([(low, high)[end][i] for i, end in zip(which, ends, strict=True)])
                pulls = _with_fixed(free, list(which), fixed, (by_pull, aim))
                if pulls is None or (pulls < low - 1e-6 * high).any() or (pulls > high * (1.0 + 1e-6)).any():
                    continue
                moved = float(((by_pull * pulls - aim) ** 2).sum())
                if moved < least:
                    best, least = pulls, moved
    return best


def _with_fixed(free: np.ndarray, which: list[int], fixed: np.ndarray, cost: tuple[np.ndarray, np.ndarray]) -> np.ndarray | None:
    """The balanced pulls, some of them fixed, with the least cost; None where they cannot be fixed so."""
    by_pull, aim = cost
    start, basis = np.zeros(free.shape[1]), np.eye(free.shape[1])
    if which:
        start = np.linalg.lstsq(free[which], fixed, rcond=None)[0]
        if np.abs(free[which] @ start - fixed).max() > 1e-9 * np.abs(fixed).max():
            return None
        basis = np.linalg.svd(free[which])[2][len(which) :].T
    if basis.shape[1]:
        scaled = by_pull[:, None] * free
        start = start + basis @ np.linalg.lstsq(scaled @ basis, aim - scaled @ start, rcond=None)[0]
    return free @ start


def _require_carried(mast: StandingMast, length_m: np.ndarray, tension_n: np.ndarray) -> None:
    """Refuses readings by which a guy hangs loose."""
    with np.errstate(invalid="ignore"):
        loose = ~(tension_n > LEAST_CARRIED_RATIO * mast.breaking_n) | ~np.isfinite(length_m)
    if loose.any():
        raise OutOfMethod.of(
            "plumb_range", "readings of lean and tension", f"they can balance only if a guy carries nothing: {mast.names(np.flatnonzero(loose))}",
            "take up the slack guys by hand until they just pull, and read lean and tensions again",
        )  # fmt: skip


def _no_balance(mast: StandingMast, index: int, options: PlumbOptions) -> OutOfMethod:
    """The error of a level whose guys cannot all stay inside their bounds."""
    low, high = 100.0 * options.least_tension_ratio, 100.0 * options.greatest_tension_ratio
    return OutOfMethod.of(
        "plumb_range", f"level at {mast.model.heights_m[index]:g} m",
        f"no tensions between {low:g} and {high:g} % of the breaking strength hold it plumb: its anchors lie too unevenly",
        "widen the bounds if the mast's analysis covers it, or move an anchor",
    )  # fmt: skip
