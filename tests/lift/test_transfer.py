"""Guys go over to their permanent anchors with every level held on three sides; an order that opens a level is refused."""

from __future__ import annotations

import random
from dataclasses import replace
from pathlib import Path

import pytest

from siting.errors import OutOfMethod
from siting.inputs.mast_file import find_mast, read_mast, shipped_masts
from siting.lift.transfer import check_transfer, open_side, transfer_order
from siting.records.mast import Anchor, GuyLevel, Mast
from siting.records.plumb import LET_GO, MAKE_FAST, SET
from tests.lift import rigs


def shipped(name: str) -> Mast:
    return read_mast(*find_mast(name, Path("."), "test"))


def held_on_three_sides(mast: Mast, anchors) -> bool:
    """Written anew: whichever way the mast is pushed, some guy is within 85 degrees of pulling straight against it."""
    bearings = {a.bearing_deg for a in mast.anchors if a.id in anchors}
    against = lambda push: min(abs((b - push) % 360.0 - 180.0) for b in bearings)  # noqa: E731
    return len(bearings) >= 3 and all(against(push) <= 85.0 for push in range(360))


@pytest.mark.parametrize("name", shipped_masts())
def test_every_level_of_a_shipped_mast_that_is_held_stays_held(name):
    mast = shipped(name)
    steps = transfer_order(mast).steps
    fast = {(g.attach_m, a) for g in mast.guys if g.use == "temporary" for a in g.anchors}
    winch, held = {mast.winch.id}, set()
    levels = sorted({g.attach_m for g in mast.guys})
    on = lambda m: {a for at, a in fast if at == m} | winch  # noqa: E731
    for step in [None, *steps]:
        if step is not None and step.level_m is None:
            winch = set()
        elif step is not None and step.action == MAKE_FAST:
            fast.add((step.level_m, step.anchor_to))
        elif step is not None and step.action == LET_GO:
            fast.remove((step.level_m, step.anchor_from))
        if step is not None and step.level_m is not None:
            assert set(step.held_by) == on(step.level_m)
        now = {m for m in levels if held_on_three_sides(mast, on(m))}
        assert held <= now, step
        held = now
    assert fast == {(g.attach_m, a) for g in mast.guys if g.use == "permanent" for a in g.anchors}
    assert held == set(levels) and winch == set()


@pytest.mark.parametrize("name", shipped_masts())
def test_lowest_level_first_permanent_before_temporary_and_the_winch_line_last(name):
    mast = shipped(name)
    steps = transfer_order(mast).steps
    assert [s.number for s in steps] == list(range(1, len(steps) + 1))
    heights = [s.level_m for s in steps[:-1]]
    assert heights == sorted(heights)
    assert (steps[-1].level_m, steps[-1].anchor_from) == (None, mast.winch.id)
    for height in set(heights):
        actions = [s.action for s in steps if s.level_m == height]
        assert actions == sorted(actions, key=[MAKE_FAST, SET, LET_GO].index)


def test_the_steps_in_words():
    steps = transfer_order(rigs.mast()).steps
    assert [s.instruction for s in steps[:5]] == [
        "make the guy at 30 m fast to A, hand tight; every guy of the lift stays fast",
        "make the guy at 30 m fast to B, hand tight; every guy of the lift stays fast",
        "make the guy at 30 m fast to C, hand tight; every guy of the lift stays fast",
        "bring A, B, C at 30 m to their set tension in turn, a third at a time, easing the level's guys of the lift as they tighten; "
        "read the plumb after each third",
        "slacken the guy at 30 m to R slowly, watch the mast, then let it go; A is the permanent anchor nearest to that side",
    ]
    assert (steps[4].anchor_from, steps[4].anchor_to, steps[4].held_by) == ("R", "A", ("A", "B", "C", "K", "L", "W"))
    assert steps[-1].instruction == "slacken the winch line to W slowly, watch every level, then let it go"


def refused(mast: Mast, steps) -> str:
    with pytest.raises(OutOfMethod) as found:
        check_transfer(mast, steps)
    return str(found.value)


def test_an_order_that_lets_go_too_early_or_leaves_something_out_is_refused():
    mast = rigs.mast()
    steps = list(transfer_order(mast).steps)
    assert check_transfer(mast, steps) == tuple(steps)
    assert refused(mast, [steps[-1], *steps[:-1]]) == (
        "step 1 of the transfer: leaves the level at 30 m open: K, L, R leave 180° open between two neighbours. "
        "Make the permanent guys fast first, then let go."
    )
    assert refused(mast, [steps[4], *steps[:4], *steps[5:]]) == (
        "step 1 of the transfer: lets go R at 30 m before the permanent guys there have their set tension. Correct the order."
    )
    assert "sets the tension at 30 m while C is not fast" in refused(mast, [*steps[:2], *steps[3:]])
    assert "the order leaves undone: A at 58 m, B at 58 m, C at 58 m, K at 58 m, L at 58 m, R at 58 m, W" in refused(
        mast, steps[:7]
    )
    assert "lets go R at 30 m, which is not fast" in refused(mast, [*steps[:5], steps[4]])
    assert "names a level at 31 m" in refused(mast, [replace(steps[0], level_m=31.0)])
    assert "makes fast to R, no permanent anchor of 30 m" in refused(mast, [replace(steps[0], anchor_to="R")])


@pytest.mark.parametrize("seed", range(12))
def test_a_shuffled_order_is_refused_or_holds_every_level(seed):
    mast = rigs.mast()
    steps = list(transfer_order(mast).steps)
    random.Random(seed).shuffle(steps)
    assert "Correct the order" in (said := refused(mast, steps)) or "open" in said


def test_a_mast_that_cannot_be_held_on_three_sides_is_refused():
    def why(anchors=rigs.ANCHORS, guys=rigs.GUYS):
        with pytest.raises(OutOfMethod) as found:
            transfer_order(rigs.mast(anchors, guys))
        return str(found.value)

    two = (GuyLevel(30.0, ("A", "B"), "permanent", 4.0), *rigs.GUYS[2:])
    assert why(guys=two) == "level at 30 m: in the end A, B hold it on 2 sides only. Give it a permanent guy on a third side."
    sides = (*rigs.GUYS[:2], GuyLevel(30.0, ("R", "L"), "temporary", 4.0))
    assert why(guys=sides) == (
        "level at 30 m: at the end of the lift L, R, W leave 180° open between two neighbours. Name a back anchor, or one more side."
    )
    assert "nothing holds it while the permanent guys are made fast" in why(guys=rigs.GUYS[:2])
    assert "180° open" in why(anchors=tuple(a for a in rigs.ANCHORS if a.use != "winch"))


def test_guys_on_one_side_count_once_and_a_gap_of_170_is_the_widest():
    def anchors(*bearings):
        return rigs.mast(tuple(Anchor(f"P{i}", "permanent", b, 40.0) for i, b in enumerate(bearings)), ())

    names = ("P0", "P1", "P2")
    assert open_side(anchors(0.0, 120.0, 240.0), names) == ""
    assert open_side(anchors(0.0, 10.0, 180.0), names) == "P0, P1, P2 hold it on 2 sides only"
    assert open_side(anchors(0.0, 95.0, 190.0), names) == ""
    assert open_side(anchors(0.0, 90.0, 185.0), names) == "P0, P1, P2 leave 175° open between two neighbours"
    assert open_side(anchors(350.0, 120.0, 240.0), names) == ""


def test_a_level_of_the_lift_alone_is_given_up_once_the_levels_next_to_it_hold():
    guys = (*rigs.GUYS[:2], GuyLevel(45.0, ("R", "L", "K"), "temporary", 4.0), rigs.GUYS[3])
    steps = transfer_order(rigs.mast(guys=guys)).steps
    at = [(s.level_m, s.action) for s in steps]
    assert at.index((45.0, LET_GO)) > at.index((58.0, SET))
    early = [s for s in steps if s.level_m == 45.0]
    rest = [s for s in steps if s.level_m != 45.0]
    assert "leaves the level at 45 m open" in refused(rigs.mast(guys=guys), [*rest[:4], *early, *rest[4:-1], rest[-1]])
