"""Goes from the best cell to the next and plans each, until the wanted number of spots hold; ranks them by their plans."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass, replace

import numpy as np

from siting.records.search import PlansTried, Spot
from siting.search.finalists import Places, plan_cell
from siting.search.pick import Pick, Picker
from siting.search.progress import TileProgress
from siting.search.screened import OF_PLAN_ONLY, is_screened
from siting.verdict import FAIL, MARGINAL, ORDER, PASS

# So many plans are made at most for each spot that is wanted, and so many are always allowed.
PLANS_PER_SPOT, PLANS_ALLOWED = 3, 12
# Around a spot that holds no other is looked for within the distance asked for. Around one whose plan fails it is this part
# of it, and as many times that as plans have failed within that distance: the ground beside a failure is looked at more
# closely than that beside a spot, and ground where plan after plan fails is left.
FAILED_PART = 0.25
# Where no cell is left, the circles around failures are halved and the walk goes on, in so many rounds.
ROUNDS = 4


@dataclass(frozen=True, slots=True)
class _Tried:
    """A cell that was planned; where its plan fails, `part` of the wanted distance is closed around it."""

    pick: Pick
    spot: Spot
    failing: frozenset[str]  # kinds of checks
    number: int
    part: float

    @property
    def holds(self) -> bool:
        return self.spot.verdict in (PASS, MARGINAL)

    @property
    def order(self) -> tuple[int, float, int]:
        """By verdict, then by worst utilisation, then as screened."""
        spot = self.spot
        verdict = ORDER.index(spot.verdict) if spot.verdict in ORDER else len(ORDER)
        return verdict, 99.0 if spot.worst_utilisation is None else round(spot.worst_utilisation, 3), self.number


def most_plans(spots: int) -> int:
    """How many plans are made at most to find so many spots, no unit."""
    return max(PLANS_PER_SPOT * spots, PLANS_ALLOWED)


def plan_finalists(places: Places, picker: Picker, progress: TileProgress) -> tuple[tuple[Spot, ...], PlansTried]:
    """The wanted number of spots, the best first, any two of them the wanted distance apart; and what was tried.

    Those that hold when planned come first; where there are too few, failing ones fill up, the best as screened first.
    """
    wanted, apart_m = places.job.options.spots, places.job.options.apart_m
    walk = _Walk(places, picker, progress)
    for round_number in range(ROUNDS):
        walk.search(0.5**round_number)
    chosen = [one for one in walk.tried if one.holds]
    for one in walk.tried:
        if len(chosen) < wanted and not one.holds and walk.least_m(one.pick, chosen) >= apart_m:
            chosen.append(one)
    chosen += walk.fill(chosen)
    ranked = sorted(chosen, key=lambda one: one.order)
    spots = tuple(replace(one.spot, rank=n, site_file=f"spot_{n:02d}.toml") for n, one in enumerate(ranked, 1))
    return spots, _counted(walk.tried, most_plans(wanted))


class _Walk:
    """Plans one cell after the other, the best open one first."""

    def __init__(self, places: Places, picker: Picker, progress: TileProgress) -> None:
        self._places, self._picker, self._progress = places, picker, progress
        self._wanted, self._apart_m = places.job.options.spots, places.job.options.apart_m
        self._most = most_plans(self._wanted)
        self.tried: list[_Tried] = []

    def search(self, times: float) -> None:
        """Goes on until enough hold, no cell that passes the screening is left, or no plan may be made any more.

        Args:
            times: the circles around failures are so many times as wide as in the first round.
        """
        if self._is_done():
            return
        self._picker.reopen((one.pick, self._apart_m * (1.0 if one.holds else one.part * times)) for one in self.tried)
        while not self._is_done():
            pick = self._picker.best()
            if pick is None or pick.used > 1.0:
                return
            tried = self._plan(pick)
            self._picker.close(pick, self._apart_m * (1.0 if tried.holds else tried.part * times))

    def fill(self, chosen: list[_Tried]) -> list[_Tried]:
        """More spots where too few were chosen: the best cells far enough from all, also those over a limit (mode full)."""
        found: list[_Tried] = []
        self._picker.reopen((one.pick, self._apart_m) for one in chosen)
        while len(chosen) + len(found) < self._wanted and len(self.tried) < self._most:
            pick = self._picker.best()
            if pick is None:
                break
            found.append(self._plan(pick))
            self._picker.close(pick, self._apart_m)
        return found

    def least_m(self, pick: Pick, others: list[_Tried]) -> float:
        """Ground distance (metres) to the nearest of other cells; infinite where there is none."""
        return min(self._to_m(pick, others), default=math.inf)

    def _is_done(self) -> bool:
        return len(self.tried) >= self._most or sum(one.holds for one in self.tried) >= self._wanted

    def _plan(self, pick: Pick) -> _Tried:
        number, holding = len(self.tried) + 1, sum(one.holds for one in self.tried)
        self._progress.planning(number, self._most, holding)
        spot, failing = plan_cell(self._places, pick, f"{self._places.job.name}, spot {number}")
        failed = [one for one in self.tried if not one.holds]
        near = sum(away_m < self._apart_m for away_m in self._to_m(pick, failed))
        self.tried.append(_Tried(pick, spot, failing, number, min(1.0, FAILED_PART * (1 + near))))
        return self.tried[-1]

    def _to_m(self, pick: Pick, others: list[_Tried]) -> list[float]:
        """Ground distances (metres) to other cells."""
        if not others:
            return []
        rows, cols = (np.array([getattr(one.pick, name) for one in others]) for name in ("row", "col"))
        return self._places.distance_m(pick.row, pick.col, rows, cols).tolist()


def _counted(tried: list[_Tried], most: int) -> PlansTried:
    """The plans by how they ended."""
    failing = [one for one in tried if one.spot.verdict == FAIL]
    screened = sum(1 for one in failing if any(is_screened(kind) for kind in one.failing))
    by_check = Counter(kind for one in failing for kind in one.failing if not is_screened(kind))
    return PlansTried(
        plans=len(tried),
        most=most,
        holding=sum(one.holds for one in tried),
        failing_unscreened=len(failing) - screened,
        failing_screened=screened,
        without_plan=sum(1 for one in tried if one.spot.verdict is None),
        by_check=tuple((kind, by_check[kind]) for kind in OF_PLAN_ONLY if by_check[kind]),
    )
