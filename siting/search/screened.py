"""Which checks of a plan a search screens, in every azimuth or in the best one, and which only the plans of its spots hold."""

from __future__ import annotations

from siting.checks.ground import ANCHOR_SLOPE, GAP, LAYDOWN_SLOPE, REST_SLOPE, SIDE_GUY_TRAVEL, WINCH_ARM
from siting.checks.holding import ANCHOR_HOLDING, BASE_PUSH, BASE_UPLIFT
from siting.checks.land import ANCHOR_ON_LAND, FALL_ZONE, FALL_ZONE_OBSTACLE, GUY_ON_LAND, LAYOUT_CLEAR, SETBACK
from siting.checks.lift import LINE_CLEARANCE, MAST_BENDING, POLE_CLEARANCE, WINCH_USE
from siting.checks.power_lines import POWER_LINE
from siting.checks.rule_findings import RULE
from siting.records.search import IN_THE_LIFT

# Kinds of check, in words. Those of the base, and those that decide between azimuths.
SCREENED = {
    SETBACK: "setback",
    FALL_ZONE: "fall circle on the own land",
    FALL_ZONE_OBSTACLE: "fall circle clear of obstacles",
    RULE: "rules of the land",
    POWER_LINE: "overhead lines (the falling mast)",
    LAYDOWN_SLOPE: "laydown slope",
    REST_SLOPE: "rest slope",
    GAP: "gap under the mast",
    ANCHOR_SLOPE: "anchor slope",
    SIDE_GUY_TRAVEL: "side guy travel",
    WINCH_ARM: "winch arm",
    ANCHOR_ON_LAND: "anchors on the own land",
    GUY_ON_LAND: "guys on the own land",
    LAYOUT_CLEAR: "anchors and guys clear of obstacles",
}
# Those of the chosen laydown alone (docs/decisions/0016): held against each cell in its best azimuth, pass or fail. In the
# order of records.search.IN_THE_LIFT.
IN_LIFT = dict(zip((WINCH_USE, MAST_BENDING, POLE_CLEARANCE, LINE_CLEARANCE, BASE_PUSH, BASE_UPLIFT), IN_THE_LIFT, strict=True))
# Anchors are sized to just hold, each by its own ground (docs/decisions/0017): part of the design, not of the choice of a spot.
OF_PLAN_ONLY = {ANCHOR_HOLDING: "holding of the anchors"}


def is_screened(kind: str) -> bool:
    """Whether a search screens a kind of check, no unit."""
    return kind in SCREENED or kind in IN_LIFT


def words_of(kinds: tuple[str, ...]) -> str:
    """Kinds of check as a list in words, in the order of the lists above; no unit."""
    return ", ".join(words for kind, words in (SCREENED | IN_LIFT | OF_PLAN_ONLY).items() if kind in kinds)
