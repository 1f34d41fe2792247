"""What the rules leave of the area: cells by fate, shares lost to each rule, and how a share changes with a limit."""

from __future__ import annotations

from collections.abc import Callable, Iterable

import numpy as np

from siting.records.search import FATES, RULES, SearchGrid, Shares, Tile, TileResult
from siting.search.tile_store import LIMITED_RULES

OUTSIDE = 0  # the fate of a cell outside the area
# So many times itself a limit is taken to be, for the curves.
LIMIT_RATIOS = tuple(tenths / 10.0 for tenths in range(5, 21))


def shares_of(tiles: Iterable[Tile], load: Callable[[Tile], TileResult], grid: SearchGrid) -> Shares:
    """Cells by fate, and shares (0 to 1) of the sampled cells; each tile is read once.

    A cell that lies in no tile is outside the area. The shares lost and the share that passes add up to 1; where no cell
    was sampled all shares are 0.
    """
    fates = np.zeros(len(FATES), dtype=np.int64)
    lost = np.zeros(len(RULES) + 1, dtype=np.int64)
    within = np.zeros((len(LIMITED_RULES), len(LIMIT_RATIOS)), dtype=np.int64)
    for tile in tiles:
        result = load(tile)
        fates += [np.count_nonzero(result.fate == fate) for fate in range(len(FATES))]  # bincount takes 8 bytes a cell
        lost += np.bincount(result.lost, minlength=len(RULES) + 1)
        critical = result.sample[:, 2:]
        for number, ratio in enumerate(LIMIT_RATIOS):
            within[:, number] += np.count_nonzero(critical <= ratio, axis=0)
    fates[OUTSIDE] += grid.rows * grid.cols - int(fates.sum())
    sampled = int(lost.sum())
    per = 1.0 / sampled if sampled else 0.0
    return Shares(
        cells=tuple(zip(FATES, fates.tolist(), strict=True)),
        sample_count=sampled,
        lost=tuple((name, count * per) for name, count in zip(RULES, lost.tolist())),
        curves=tuple(
            (name, LIMIT_RATIOS, tuple(count * per for count in counts)) for name, counts in zip(LIMITED_RULES, within.tolist())
        ),
    )
