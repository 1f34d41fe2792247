"""Ranks the azimuths by the contract's order: slope in range, verdict, worst utilisation, mean, azimuth."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from siting.checks.columns import Column
from siting.checks.ground import LAYDOWN_SLOPE
from siting.verdict import ORDER


@dataclass(frozen=True, slots=True)
class Ranking:
    """Arrays (K,) over the azimuths; `order` lists their indices, the best first."""

    order: np.ndarray
    worst_utilisation: np.ndarray
    verdicts: np.ndarray  # index into verdict.ORDER
    worst_column: np.ndarray  # index into the columns that depend on the azimuth

    def verdict(self, k: int) -> str:
        """Verdict of an azimuth in words."""
        return ORDER[int(self.verdicts[k])]


def rank_azimuths(azimuths_deg: np.ndarray, columns: list[Column]) -> Ranking:
    """The azimuths from the one with the most margin to the one with the least.

    Source: CONTRACT, verdicts. The laydown's own slope decides pass or fail and counts only above 1.
    """
    used = np.stack([c.utilisation for c in columns])
    verdicts = np.stack([c.verdicts for c in columns])
    is_slope = np.array([c.kind == LAYDOWN_SLOPE for c in columns])
    out_of_range = (verdicts[is_slope] == 2).any(axis=0)
    counted = np.where(is_slope[:, None] & ~out_of_range[None, :], -np.inf, used)
    worst = counted.max(axis=0)
    worst = np.where(np.isfinite(worst), worst, 0.0)
    by_kind = _worst_of_kinds(counted, [c.kind for c in columns])
    present = np.isfinite(by_kind)
    mean = np.where(present, by_kind, 0.0).sum(axis=0) / np.maximum(present.sum(axis=0), 1)
    verdict = verdicts.max(axis=0)
    # Rounding the mean keeps a tie a tie: the last bits of a sum must not choose a laydown.
    order = np.lexsort((azimuths_deg, np.round(mean, 9), np.round(worst, 3), verdict, out_of_range))
    return Ranking(order, worst, verdict, counted.argmax(axis=0))


def _worst_of_kinds(counted: np.ndarray, kinds: list[str]) -> np.ndarray:
    """(kinds, K): the worst utilisation of each kind of check."""
    return np.stack([counted[[k == kind for k in kinds]].max(axis=0) for kind in dict.fromkeys(kinds)])
