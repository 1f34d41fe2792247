"""Where no method holds: the error inside, the Holding with its reason outside."""

from __future__ import annotations

from siting.errors import OutOfMethod
from siting.records.holding import Holding


def out_of_range(where: str, what: str, do: str) -> OutOfMethod:
    """The error of a holding method asked outside its range, to be raised by the caller; no unit."""
    return OutOfMethod.of("holding_range", where, what, do)


def refused(kind: str, size: str, factor: float, reason: str, source: str) -> Holding:
    """A Holding without figures, and the reason why no method holds; no unit."""
    return Holding(
        kind=kind, size=size, ultimate_kn=None, safety_factor=factor, allowable_kn=None, governed_by="", parts=(),
        rod_m=None, depth_m=None, cover_m=None, torque_knm=None, refused=reason, source=source,
    )  # fmt: skip
