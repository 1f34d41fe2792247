"""What a check found: a value against a limit, and what could not be checked."""

from __future__ import annotations

from dataclasses import dataclass

from siting.figures import quantity, words
from siting.verdict import ORDER


@dataclass(frozen=True, slots=True)
class Check:
    """One check of the plan. Several guys or anchors give one check each."""

    id: str = words("kind, and after a colon the anchor, guy or obstacle it speaks of")
    kind: str = words("which rule this is")
    label: str = words("the check in plain words")
    value: float = quantity("none", "what was found, in `unit`")
    limit: float = quantity("none", "what it is held against, in `unit`")
    unit: str = words("m, %, ratio or count")
    limit_is_least: bool = words("true where the value must reach the limit, false where it must not exceed it")
    utilisation: float = quantity("ratio", "value / limit, or limit / value for a least value; 1 = at the limit, at most 10")
    uncertainty: float = quantity("none", "how far the value may be off, in `unit`; 0 where nothing is stated")
    verdict: str = words("pass, marginal or fail")
    source: str = words("where the limit comes from")
    place: str = words("where on the ground, the mast or the lift the value was found")

    def __post_init__(self) -> None:
        if self.verdict not in ORDER:
            raise ValueError(f"check {self.id}: verdict {self.verdict!r} is none of {', '.join(ORDER)}")


@dataclass(frozen=True, slots=True)
class Unchecked:
    """Something that could not be checked, as loud as a failure and never a pass."""

    id: str = words("what was not checked")
    missing: str = words("the data that it needs")
    do: str = words("how to have it checked")
