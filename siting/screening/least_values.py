"""A least value held against many cells at once: how far each uses it up, and which fail."""

from __future__ import annotations

from siting.screening.compiled import kernel, part
from siting.verdict import UTILISATION_MAX


@part
def least_use(value, limit):
    """Utilisation of a least value: limit / value, at most 10; of what is not above 0 it is 0 where that holds, 10 where it fails."""
    use = max(limit, 0.0) / value if value > 0.0 else (UTILISATION_MAX if value < limit else 0.0)
    return min(use, UTILISATION_MAX)


@part
def found_by(away, terms):
    """What a rule finds: at most its cap, less what is taken off, and at its limit where it is so near to it that it counts as kept."""
    cap, less, limit, slack = terms
    value = min(away, cap) - less
    return limit if abs(value - limit) <= slack else value


@part
def _is_asked(holder, wanted):
    """Whether a point's holder is the one asked for; below 0 every point that is held."""
    return holder >= 0 and (wanted < 0 or holder == wanted)


@kernel
def hold_least(values, limit, fate, used, fates):
    """Takes a check's utilisation into `used` where it is larger, and its fate into `fates` where it fails and comes earlier.

    The utilisation is that of checks.columns. An infinite value uses nothing up. No unit.

    Args:
        values: (rows, cols), metres; used, fates: of the same shape, float64 and uint8, are filled.
    """
    for i in range(values.shape[0]):
        for j in range(values.shape[1]):
            use = least_use(values[i, j], limit)
            used[i, j] = use if use > used[i, j] else used[i, j]
            fates[i, j] = fate if values[i, j] < limit and fate < fates[i, j] else fates[i, j]


@kernel
def hold_rule(away, holders, wanted, terms, fate, used, fates):
    """`hold_least` of what a rule finds, on the points of one holder.

    Args:
        away: (rows, cols), metres, to what the rule measures to; used, fates: as `hold_least` has them.
        holders: (rows, cols) int32, whose each point is; wanted: whose are asked for, below 0 all that are held.
        terms: the rule's cap, what is taken off, its limit, and how near to it a value is at the limit; metres.
    """
    limit = terms[2]
    for i in range(away.shape[0]):
        for j in range(away.shape[1]):
            if _is_asked(holders[i, j], wanted):
                value = found_by(away[i, j], terms)
                use = least_use(value, limit)
                used[i, j] = use if use > used[i, j] else used[i, j]
                fates[i, j] = fate if value < limit and fate < fates[i, j] else fates[i, j]


@kernel
def may_use(away, holders, wanted, terms, near_m, near, most):
    """Takes the most that a rule's anchors and guys can use into `most` where it is larger, and where they may break it into `near`.

    Args:
        away, holders, wanted, terms: as `hold_rule` has them; near_m: they may break it where it is no farther; metres.
        near, most: (rows, cols) bool and float64, are filled.
    """
    limit = terms[2]
    for i in range(away.shape[0]):
        for j in range(away.shape[1]):
            if _is_asked(holders[i, j], wanted):
                use = least_use(found_by(away[i, j], terms), limit)
                most[i, j] = use if use > most[i, j] else most[i, j]
                near[i, j] |= away[i, j] <= near_m
