"""The least step of a ladder that holds: rods grow by a tenth of a metre, sizes in the order of the ladder."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from siting.holding.refusal import refused
from siting.records.holding import Holding

STEP_M = 0.1  # a rod's length is given to this: common practice, no source


def farthest(last: int, too_far: Callable[[int], str]) -> int:
    """The largest step of 1 to last that is not too far; 0 where the first already is; no unit.

    A step beyond one that is too far is taken to be too far as well.
    """
    low, high = 0, last
    while low < high:
        middle = (low + high + 1) // 2
        if too_far(middle):
            high = middle - 1
        else:
            low = middle
    return low


def least(last: int, holds: Callable[[int], bool]) -> int:
    """The smallest step of 1 to last that holds, where last does and longer is stronger; no unit.

    On broken ground a longer rod can be weaker: the step found holds, but a shorter one may hold as well.
    """
    low, high = 1, last
    while low < high:
        middle = (low + high) // 2
        if holds(middle):
            high = middle
        else:
            low = middle + 1
    return low


def pick(tries: Iterable[Holding], load_kn: float, nothing: Holding) -> Holding:
    """The first try that holds the load; else the strongest; else the first one refused; else `nothing`; no unit.

    Args:
        tries: one for each size, smallest first; made lazily, none is made behind the one that holds.
    """
    strongest = fault = None
    for holding in tries:
        if holding.allowable_kn is None:
            fault = fault or holding
        elif holding.allowable_kn >= load_kn:
            return holding
        elif strongest is None or holding.allowable_kn > strongest.allowable_kn:
            strongest = holding
    return strongest or fault or nothing


def walk(
    last: int, too_far: Callable[[int], str], too_shallow: Callable[[int], str], result: Callable[[int], Holding], load_kn: float
) -> Holding:
    """One size at the least rod that holds, or at its longest, or refused with the reason; no unit.

    Args:
        last: most steps of STEP_M; too_far, too_shallow: a step's fault in words, empty where it has none.
        result: the Holding at a step without such a fault.
    """
    end = farthest(last, too_far)
    beyond = too_far(end + 1) if end < last else ""
    fault = too_shallow(end) if end else beyond or "no rod is long enough"
    if fault:
        blank = result(0)
        reason = f"{fault}; deeper: {beyond}" if beyond and fault != beyond else fault
        return refused(blank.kind, blank.size, blank.safety_factor, reason, blank.source)

    def holds(step: int) -> bool:
        return not too_shallow(step) and result(step).allowable_kn >= load_kn

    return result(least(end, holds)) if holds(end) else result(end)
