"""A check over all azimuths at once: utilisation and verdict by the contract's rules."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from siting.records.findings import Check
from siting.records.site import Limit
from siting.verdict import ORDER, UTILISATION_MAX

AT_MOST, AT_LEAST, RANGE = "at most", "at least", "range"


def least_used(values: np.ndarray, limit: float) -> np.ndarray:
    """Utilisation of least values: limit / value, at most 10; no unit. A least value below 0 is used up by nothing above it."""
    used = np.where(values >= limit, 0.0, UTILISATION_MAX)
    np.divide(max(limit, 0.0), values, out=used, where=values > 0.0)
    return np.minimum(used, UTILISATION_MAX, out=used)


@dataclass(frozen=True, slots=True)
class Column:
    """One rule's values over K azimuths (or one value where the azimuth does not matter).

    `values` (K,) or (1,); `uncertainty` in the same unit: a value that passes by less than it is `marginal`.
    The terrain's own uncertainty enters here, as it is worked out.
    """

    id: str
    kind: str
    label: str
    unit: str
    sense: str
    limit: Limit
    values: np.ndarray
    low_limit: Limit | None = None  # the lower end of a range
    uncertainty: float = 0.0
    by_azimuth: bool = True
    place: Callable[[int], str] = lambda k: ""

    @property
    def utilisation(self) -> np.ndarray:
        """Value against limit, 1 = at the limit, at most 10; negative where a value at most is negative. No unit."""
        value, limit = self.values, self.limit.value
        if self.sense == AT_MOST:
            used = value / limit if limit > 0 else np.where(value > limit, np.inf, 0.0)
        elif self.sense == AT_LEAST:
            return least_used(value, limit)
        else:
            low = self.low_limit.value
            span = limit if limit > 0 else 1.0
            used = np.where(value < low, 1.0 + (low - value) / span, value / span)
        return np.minimum(used, UTILISATION_MAX)

    @property
    def verdicts(self) -> np.ndarray:
        """Index into `verdict.ORDER` (0 pass, 1 marginal, 2 fail), (K,); no unit."""
        value, limit = self.values, self.limit.value
        if self.sense == AT_MOST:
            margin = limit - value
        elif self.sense == AT_LEAST:
            margin = value - limit
        else:
            margin = np.minimum(limit - value, value - self.low_limit.value)
        return np.where(margin < 0, 2, np.where(margin < self.uncertainty, 1, 0))

    def check(self, k: int) -> Check:
        """The check on one azimuth, for the plan."""
        k = k if self.by_azimuth else 0
        value = float(self.values[k])
        limit = self.limit
        if self.sense == RANGE and value < self.low_limit.value:
            limit = self.low_limit
        return Check(
            id=self.id,
            kind=self.kind,
            label=self.label,
            value=value,
            limit=limit.value,
            unit=self.unit,
            limit_is_least=self.sense == AT_LEAST or limit is self.low_limit,
            utilisation=float(self.utilisation[k]),
            uncertainty=self.uncertainty,
            verdict=ORDER[int(self.verdicts[k])],
            source=limit.source,
            place=self.place(k),
        )
