"""The published rules of digging that the sheet goes by: their figures, each with its source."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType

from siting.units import METRES_PER_FOOT

# Source: 29 CFR 1926 Subpart P Appendix B Table B-1, level run of the wall for each metre of height, excavations of less
# than 20 ft. Its footnote lets type A stand at 0.5 for 24 hours down to 12 ft: not used, anchors stay open longer.
ROCK, TYPE_A, TYPE_B, TYPE_C = "rock", "A", "B", "C"
WALL_H_PER_V = MappingProxyType({ROCK: 0.0, TYPE_A: 0.75, TYPE_B: 1.0, TYPE_C: 1.5})
# What the type's name is on the sheet.
TYPE_WORDS = MappingProxyType({ROCK: "stable rock", TYPE_A: "type A soil", TYPE_B: "type B soil", TYPE_C: "type C soil"})
# A wall that reaches a threshold to within this counts as there: figures are worked out, not typed.
AT_THRESHOLD_M = 1e-9


@dataclass(frozen=True, slots=True)
class DigRule:
    """One published rule: its figure in feet and metres, its words, where it stands."""

    name: str
    figure_ft: float | None
    text: str
    source: str

    @property
    def figure_m(self) -> float:
        """The figure in metres; NaN where the rule has none."""
        return float("nan") if self.figure_ft is None else self.figure_ft * METRES_PER_FOOT

    def line(self) -> str:
        """The rule as it is printed, no unit."""
        return f"{self.text} ({self.source})"


PROTECTION = DigRule(
    "protection", 5.0,
    "From 5 ft (1.52 m) of depth on, nobody goes into a pit whose walls are not laid back, shored or shielded, unless it stands "
    "wholly in stable rock; under that depth only where a competent person has looked at the ground and found no sign of a cave-in",
    "29 CFR 1926.652(a)(1)",
)  # fmt: skip
SLOPES = DigRule(
    "slopes", None,
    "Walls laid back at least: stable rock upright, type A 0.75, type B 1.0, type C 1.5 metres level for each metre of height; "
    "the competent person on site says which type it is",
    "29 CFR 1926 Subpart P App. B Table B-1",
)  # fmt: skip
ENGINEER = DigRule(
    "engineer", 20.0,
    "Deeper than 20 ft (6.1 m) a registered professional engineer designs how the walls are held",
    "29 CFR 1926 Subpart P App. B",
)  # fmt: skip
SPOIL = DigRule("spoil", 2.0, "Spoil, plates and machines stay at least 2 ft (0.61 m) from the edge", "29 CFR 1926.651(j)(2)")
EGRESS = DigRule(
    "egress", 4.0,
    "From 4 ft (1.22 m) of depth on there is a ladder, ramp or stair within 25 ft (7.6 m) of everyone in it",
    "29 CFR 1926.651(c)(2)",
)  # fmt: skip
EGRESS_TRAVEL = DigRule(
    "egress_travel", 25.0, "The way to the ladder, ramp or stair is no longer than 25 ft", "29 CFR 1926.651(c)(2)"
)
LADDER = DigRule("ladder", 3.0, "A ladder stands at least 3 ft (0.91 m) above the edge", "29 CFR 1926.1053(b)(1)")
AIR = DigRule(
    "air", 4.0,
    "Deeper than 4 ft (1.22 m), the air is tested first where it could be bad: near landfill, stores of fuel or chemicals",
    "29 CFR 1926.651(g)(1)",
)  # fmt: skip
COMPETENT = DigRule(
    "competent", None,
    "A competent person looks at the pit before work starts each day, after rain, and whenever something has changed, and has "
    "the right to clear it of people",
    "29 CFR 1926.651(k)(1), paragraph number from memory",
)  # fmt: skip
BURIED = DigRule(
    "buried", None,
    "The owners of buried lines are asked before the ground is opened, and their lines are found by careful means near the work",
    "29 CFR 1926.651(b)(1) to (3)",
)  # fmt: skip
WATER = DigRule(
    "water", None,
    "Nobody works in a pit in which water stands or gathers without precautions against it; ground that water seeps from is type C",
    "29 CFR 1926.651(h)(1) and Subpart P App. A, from memory",
)  # fmt: skip

RULES = (PROTECTION, SLOPES, ENGINEER, SPOIL, EGRESS, EGRESS_TRAVEL, LADDER, AIR, COMPETENT, BURIED, WATER)
# The travel has its words in the rule of the way out already.
PRINTED = tuple(rule for rule in RULES if rule is not EGRESS_TRAVEL)
WHOSE = "These are United States federal rules: those of the place where you dig come first."


def is_at_least(depth_m: float, rule: DigRule) -> bool:
    """True from the rule's depth on, the depth itself counted in; no unit."""
    return depth_m >= rule.figure_m - AT_THRESHOLD_M


def is_beyond(depth_m: float, rule: DigRule) -> bool:
    """True only deeper than the rule's depth; no unit."""
    return depth_m > rule.figure_m + AT_THRESHOLD_M
