"""What the lift sheet and the terminal say in the same words of the order in which the guys go over."""

from __future__ import annotations

from siting.records.plan import Plan
from siting.records.plumb import LET_GO, MAKE_FAST, SET, TransferStep
from siting.writers.anchor_names import anchor_name, anchor_names, level_name
from siting.writers.lift.force_words import MAKE_AGAIN, angle

NO_ORDER = "No order of moving the guys over"
TRANSFER_TITLE = "After the lift: guys go over to the permanent anchors"
NO_ORDER_LOUD = "NO ORDER: DO NOT LET GO A GUY OF THE LIFT"
ACTION_WORDS = {MAKE_FAST: "MAKE FAST", SET: "SET", LET_GO: "LET GO"}
WINCH_LINE, PERMANENT_ALONE = "winch line", "the permanent guys alone"


def step_level(step: TransferStep) -> str:
    """The level of a step, or that it is the winch line."""
    return WINCH_LINE if step.level_m is None else level_name(step.level_m)


def step_anchor(plan: Plan, step: TransferStep) -> str:
    """The anchors that a step works at: one, or for a tension every permanent one of the level."""
    if step.action == LET_GO:
        return anchor_name(plan, step.anchor_from)
    if step.action == MAKE_FAST:
        return anchor_name(plan, step.anchor_to)
    steps = plan.transfer.steps if plan.transfer else ()
    return anchor_names(plan, (s.anchor_to for s in steps if s.action == MAKE_FAST and s.level_m == step.level_m))


def step_held(plan: Plan, step: TransferStep) -> str:
    """What holds the level once the step is done."""
    return anchor_names(plan, step.held_by) or PERMANENT_ALONE


def step_gap(step: TransferStep) -> str:
    """The widest gap between two neighbours of them, degrees; a dash where there is none."""
    return "–" if step.widest_gap_deg is None else angle(step.widest_gap_deg)


def no_transfer(plan: Plan) -> tuple[str, ...]:
    """Why the plan holds no order, in plain words, no unit."""
    said = tuple(w for w in plan.warnings if w.startswith(NO_ORDER))
    if said:
        return said
    if not any(guy.use == "permanent" for guy in plan.guys):
        return ("The mast file has no permanent guys: there is nothing to go over to.",)
    return (MAKE_AGAIN,)
