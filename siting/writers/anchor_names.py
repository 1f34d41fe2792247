"""The short names of anchors, as they stand on the stakes, and levels as the crew says them."""

from __future__ import annotations

from collections.abc import Iterable

from siting.records.plan import Plan


def anchor_name(plan: Plan, anchor: str) -> str:
    """The point's name of an anchor; its id where the plan has no such stake."""
    return next((s.point for s in plan.stakes if s.id == anchor), anchor)


def anchor_names(plan: Plan, anchors: Iterable[str], separator: str = ", ") -> str:
    """Several of them in one text."""
    return separator.join(anchor_name(plan, anchor) for anchor in anchors)


def level_name(attach_m: float) -> str:
    """A level of guys, metres above the hinge, without noughts at its end."""
    return f"{attach_m:g} m"
