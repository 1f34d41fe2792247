"""Which measured point is which stake: by name, else by place where only one stake lies near."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from siting.records.as_staked import BY_NAME, BY_PLACE, MeasuredPoint
from siting.records.plan import Plan, Stake
from siting.records.survey import ControlPoint

# A point without a known name is a stake's where it lies this near, and the next stake at least this many times
# farther; offset stakes stand a few metres apart. Common practice, no source.
NEAR_M = 1.0
CLEARLY_NEARER = 2.0

Undo = Callable[[np.ndarray], np.ndarray]


@dataclass(frozen=True, slots=True)
class Pair:
    """A stake (or one of the user's own points) with the point that was measured there."""

    target: Stake | ControlPoint
    measured: MeasuredPoint
    matched_by: str


@dataclass(frozen=True, slots=True)
class Leftover:
    """A measured point that is no stake, as far as can be told: the nearest stake, the distance (m), and why."""

    measured: MeasuredPoint
    nearest: Stake | ControlPoint
    distance_m: float | None
    why: str


@dataclass(frozen=True, slots=True)
class Matching:
    """Pairs in the plan's order, stakes that were not measured, points that are no stake."""

    pairs: tuple[Pair, ...]
    missing: tuple[Stake | ControlPoint, ...]
    extra: tuple[Leftover, ...]


def targets_of(plan: Plan) -> tuple[Stake | ControlPoint, ...]:
    """Everything of a plan that a surveyor can have measured: the stakes, then the user's own points."""
    return (*plan.stakes, *plan.control)


def grid_m(points: tuple[MeasuredPoint, ...] | tuple[Stake | ControlPoint, ...], plan: Plan) -> np.ndarray:
    """Complex easting + i northing as they stand, in metres by the unit of the plan's CRS."""
    return np.array([complex(p.easting, p.northing) for p in points], complex) * plan.crs.unit_m


def match_points(plan: Plan, measured: tuple[MeasuredPoint, ...], undo: Undo = lambda z: z) -> Matching:
    """Every measured point with its stake.

    A name counts with letters of either size, as the stake's point name or as its id. The other points are
    matched by place, once `undo` has brought them where the plan has them.

    Args:
        undo: takes complex grid metres as measured, gives those that the plan would have.
    """
    targets = targets_of(plan)
    names = _names(targets)
    taken: dict[int, tuple[MeasuredPoint, str]] = {}
    rest = []
    for point in measured:
        index = names.get(point.name.strip().casefold())
        if index is None or index in taken:
            rest.append(point)
        else:
            taken[index] = (point, BY_NAME)
    extra = _match_by_place(plan, targets, tuple(rest), taken, undo)
    pairs = tuple(Pair(t, *taken[i]) for i, t in enumerate(targets) if i in taken)
    return Matching(pairs, tuple(t for i, t in enumerate(targets) if i not in taken), extra)


def _names(targets: tuple[Stake | ControlPoint, ...]) -> dict[str, int]:
    """Point names first: where one stake's id is another's point name, the name on the stake wins."""
    names: dict[str, int] = {}
    for key in ("point", "id"):
        for index, target in enumerate(targets):
            names.setdefault(getattr(target, key).casefold(), index)
    return names


def _match_by_place(
    plan: Plan,
    targets: tuple[Stake | ControlPoint, ...],
    rest: tuple[MeasuredPoint, ...],
    taken: dict[int, tuple[MeasuredPoint, str]],
    undo: Undo,
) -> tuple[Leftover, ...]:
    """Adds to `taken` what lies clearly at one stake; gives back what does not."""
    if not rest:
        return ()
    away = np.abs(undo(grid_m(rest, plan))[:, None] - grid_m(targets, plan)[None, :])
    away = np.where(np.isfinite(away), away, np.inf)
    nearest = away.argmin(axis=1)
    distance = away[np.arange(len(rest)), nearest]
    second = np.partition(away, 1, axis=1)[:, 1] if len(targets) > 1 else np.full(len(rest), np.inf)
    clear = (distance <= NEAR_M) & (second >= CLEARLY_NEARER * distance)
    extra = []
    for k, point in enumerate(rest):
        index = int(nearest[k])
        rivals = [j for j in range(len(rest)) if j != k and clear[j] and nearest[j] == index]
        if not clear[k]:
            why = "no stake lies near" if distance[k] > NEAR_M else "two stakes lie near"
        elif index in taken and taken[index][1] == BY_NAME:
            why = f"{taken[index][0].name} is that stake already"
        elif rivals:
            why = f"{rest[rivals[0]].name} lies at that stake too"
        else:
            taken[index] = (point, BY_PLACE)
            continue
        far = float(distance[k]) if np.isfinite(distance[k]) else None
        extra.append(Leftover(point, targets[index], far, why))
    return tuple(extra)
