"""A least value held against many cells at once: how far each uses it up, and which fail."""

from __future__ import annotations

from siting.screening.compiled import kernel
from siting.verdict import UTILISATION_MAX


@kernel
def hold_least(values, limit, fate, used, fates):
    """Takes a check's utilisation into `used` where it is larger, and its fate into `fates` where it fails and comes earlier.

    Utilisation is limit / value, at most 10; of what is not above 0 it is 0 where that holds and 10 where it fails
    (checks.columns). An infinite value uses nothing up. No unit.

    Args:
        values: (rows, cols), metres; used, fates: of the same shape, float64 and uint8, are filled.
    """
    top = max(limit, 0.0)
    for i in range(values.shape[0]):
        for j in range(values.shape[1]):
            value = values[i, j]
            fails = value < limit
            use = top / value if value > 0.0 else (UTILISATION_MAX if fails else 0.0)
            use = min(use, UTILISATION_MAX)
            used[i, j] = use if use > used[i, j] else used[i, j]
            fates[i, j] = fate if fails and fate < fates[i, j] else fates[i, j]
