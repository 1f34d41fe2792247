"""What became of the area, as parts that add up: each fate's cells, and of those without an azimuth each rule's."""

from __future__ import annotations

import math
from dataclasses import dataclass

from siting.records.search import FATES, IN_THE_LIFT, SearchResult, Shares

OUTSIDE, NO_AZIMUTH, PASSES = FATES[0], "no azimuth", FATES[-1]
GROUND, LAND, AZIMUTH, LIFT, LEFT = "ground", "land", "azimuth", "lift", "left"
_GROUPS = {"no ground under the base": GROUND, NO_AZIMUTH: AZIMUTH, **dict.fromkeys(IN_THE_LIFT, LIFT), PASSES: LEFT}


@dataclass(frozen=True, slots=True)
class Part:
    """Some cells of the area, and what removed them."""

    words: str
    group: str  # ground, land, azimuth, lift, or left: what passes
    cells: int
    share: float  # of the area's cells, 0 to 1
    is_estimate: bool  # from the sample of cells that was looked at rule by rule


def area_cells(shares: Shares) -> int:
    """Cells of the area, those that are searched."""
    return sum(count for name, count in shares.cells if name != OUTSIDE)


def is_counted(shares: Shares) -> bool:
    """Whether every cell that reaches the azimuths was looked at rule by rule, so that nothing is estimated."""
    cells = dict(shares.cells)
    return shares.sample_count == sum(cells.get(name, 0) for name in (NO_AZIMUTH, *IN_THE_LIFT, PASSES))


def parts_of(shares: Shares) -> tuple[Part, ...]:
    """The parts in the order in which they are taken away, what passes last; their cells add up to the area's. No unit.

    How the cells without an azimuth divide among the rules is known from the sample only: its shares are laid on their exact
    number. A fate or a rule that removes nothing is left out, but not what passes.
    """
    whole = area_cells(shares)
    parts: list[Part] = []

    def add(words: str, group: str, cells: int, is_estimate: bool = False) -> None:
        if cells or group == LEFT:
            parts.append(Part(words, group, cells, cells / whole if whole else 0.0, is_estimate))

    for name, cells in shares.cells:
        lost = [(rule, share) for rule, share in shares.lost if share > 0.0]
        if name == OUTSIDE:
            continue
        if name == NO_AZIMUTH and lost:
            for (rule, _), count in zip(lost, apportioned(cells, [share for _, share in lost])):
                add(rule, AZIMUTH, count, not is_counted(shares))
        else:
            add(f"lift: {name}" if name in IN_THE_LIFT else name, _GROUPS.get(name, LAND), cells)
    return tuple(parts)


def apportioned(total: int, weights: list[float]) -> list[int]:
    """Whole numbers in the ratio of the weights that add up to the total, no unit.

    Source: method of the largest remainder (Hamilton), from memory.
    """
    whole = sum(weights)
    exact = [total * weight / whole for weight in weights]
    counts = [math.floor(v) for v in exact]
    by_remainder = sorted(range(len(exact)), key=lambda k: (counts[k] - exact[k], k))
    for k in by_remainder[: total - sum(counts)]:
        counts[k] += 1
    return counts


def largest_loss(parts: tuple[Part, ...]) -> Part | None:
    """The part that removes the most; None where nothing removes anything."""
    return max((part for part in parts if part.group != LEFT), key=lambda part: part.cells, default=None)


def hectares(result: SearchResult, cells: float) -> float:
    """The ground under so many cells, ha: a cell's length and width in the middle of the DEM."""
    return cells * result.cell_m[0] * result.cell_m[1] / 1e4
