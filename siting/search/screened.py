"""Which checks of a plan a search screens in every cell, and which only the plans of its spots hold."""

from __future__ import annotations

from siting.checks.ground import ANCHOR_SLOPE, GAP, LAYDOWN_SLOPE, REST_SLOPE, SIDE_GUY_TRAVEL, WINCH_ARM
from siting.checks.holding import ANCHOR_HOLDING, BASE_PUSH, BASE_UPLIFT
from siting.checks.land import ANCHOR_ON_LAND, FALL_ZONE, FALL_ZONE_OBSTACLE, GUY_ON_LAND, LAYOUT_CLEAR, SETBACK
from siting.checks.lift import LINE_CLEARANCE, MAST_BENDING, POLE_CLEARANCE, WINCH_USE
from siting.checks.power_lines import POWER_LINE
from siting.checks.rule_findings import RULE

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
# Those of the chosen laydown alone (docs/decisions/0016).
OF_PLAN_ONLY = {
    WINCH_USE: "winch pull",
    MAST_BENDING: "bending of the mast in the lift",
    POLE_CLEARANCE: "gin pole over the ground",
    LINE_CLEARANCE: "winch line over the ground",
    ANCHOR_HOLDING: "holding of the anchors",
    BASE_PUSH: "level push on the base in the lift",
    BASE_UPLIFT: "upward pull on the base in the lift",
}


def words_of(kinds: tuple[str, ...]) -> str:
    """Kinds of check as a list in words, in the order of the two lists above; no unit."""
    return ", ".join(words for kind, words in (SCREENED | OF_PLAN_ONLY).items() if kind in kinds)
