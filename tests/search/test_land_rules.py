"""The rules of the land as constraints: equal to the checks that judge a plan, here and at moved bases."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from rule_lands import EAST, FRAME, HEIGHT_M, MAST, NEIGHBOURS, THINGS, WEST, judged, land, rule, rules

from siting.layout.moves import shortest_move, worst_margin_m
from siting.records.rules import MEASURED, Waiver
from siting.search.land_rules import CLEAR_M, LandRule, all_constraints, anchor_offsets_m, tallest_m
from siting.search.rule_file_rules import greatest_height_m, rules_of_files

TARGETS = ["property_line", "road", "dwelling", "overhead_line", "easement"]
WAIVED = (Waiver("east", "the neighbour", "book 4, page 2"),)
ALL_RULES = [
    *(rule(target, measured, id=f"{target}-{measured}", least_m=9.0, base_radius_m=1.5) for target in TARGETS for measured in MEASURED),
    *(rule("property_line", m, id=f"waived-{m}", factor=0.4, waivable=True, waivers=WAIVED) for m in MEASURED),
    rule("road", "guy_anchors", id="all-anchors", least_m=15.0, anchors="all"),
    rule("dwelling", "base_centre", id="others", factor=1.0, off_own_land=True),
    rule("obstacle", "guys", id="tank", least_m=30.0, kinds=("fuel_tank",)),
    rule("layer", "base_centre", id="district", layer="residential_district", least_m=450.0),
]


def moved_land(dx: float, dy: float):
    """The made-up land as it lies from a base moved by (dx, dy)."""
    shift = lambda g: shapely.affinity.translate(g, -dx, -dy)  # noqa: E731
    things = tuple((kind, name, shift(g)) for kind, name, g in THINGS)
    made = land((shift(WEST), shift(EAST)), {k: shift(g) for k, g in NEIGHBOURS.items()}, things, layers=False)
    district = land().layers["residential_district"]
    features = tuple(replace(f, geometry=shift(f.geometry)) for f in district.features)
    return replace(made, layers={"residential_district": replace(district, features=features)})


def margins_of_checks(on, laydown: float) -> dict[str, float]:
    """Distance found less asked for of every rule, by the module that judges plans."""
    return {r.rule.id: float(r.column.values[0]) - r.limit_m for r in judged(rules(*ALL_RULES), on, (laydown,)).rules if r.column}


def rules_here(laydown: float) -> dict[str, list[LandRule]]:
    by_id: dict[str, list[LandRule]] = {}
    for made, _ in rules_of_files((rules(*ALL_RULES),), land(), MAST, anchor_offsets_m(MAST, FRAME, laydown)):
        by_id.setdefault(made.id.rpartition(":")[2], []).append(made)
    return by_id


@pytest.mark.parametrize("laydown", [0.0, 73.0, 200.0])
def test_every_rule_has_the_margin_that_its_check_has(laydown):
    wanted, made = margins_of_checks(land(), laydown), rules_here(laydown)
    assert set(made) == set(wanted) and len(made) == len(ALL_RULES)
    compared = 0
    for name, parts in made.items():
        room = min(part.room_m for part in parts)
        if wanted[name] > -1.0 and "waived" not in name:  # across a line depths differ
            assert room == pytest.approx(wanted[name], abs=1e-6), name
            compared += 1
        assert (room < -1e-9) == (wanted[name] < -1e-9), name
    assert compared >= 15


def test_at_moved_bases_the_same_rules_are_broken():
    dice = np.random.default_rng(3)
    made = rules_here(40.0)
    seen = set()
    for dx, dy in dice.uniform(-160, 160, (40, 2)):
        wanted = margins_of_checks(moved_land(dx, dy), 40.0)
        for name, parts in made.items():
            room = worst_margin_m(all_constraints(tuple(parts)), dx, dy) + CLEAR_M
            if abs(room) > 0.001:
                assert (room < 0) == (wanted[name] < 0), (name, dx, dy)
                seen.add((name, bool(room < 0)))
    assert len([n for n in made if {(n, True), (n, False)} <= seen]) >= 25


def test_the_shortest_move_mends_every_rule():
    """On a land with room: a road set that asks for 120 m moves the base 5 m north of where it stands, and a little."""
    asked = (rule("road", id="road", least_m=135.0), rule("property_line", "guy_anchors", id="line", least_m=40.0))
    offsets = anchor_offsets_m(MAST, FRAME, 0.0)
    made = tuple(r for r, _ in rules_of_files((rules(*asked),), land(), MAST, offsets))
    move = shortest_move(all_constraints(made), 150.0)
    # The right of way's near side lies at y = -130; anchors A to C stand 80 m apart and fit between the lines.
    assert move == pytest.approx((0.0, 5.0 + CLEAR_M), abs=0.002)
    after = judged(rules(*asked), moved_land(*move))
    assert [c.verdicts[0] for c in (r.column for r in after.rules)] == [0, 0]


def test_what_cannot_be_measured_makes_no_constraint():
    assert rules_of_files((rules(rule("road"), rule("property_line")),), land(own=None, things=None), MAST, np.zeros((7, 2))) == ()


def test_which_rules_the_azimuth_decides():
    made = rules_of_files((rules(*(rule("road", m, id=m) for m in MEASURED)),), land(), MAST, anchor_offsets_m(MAST, FRAME, 0.0))
    assert {r.id.rpartition(":")[2] for r, by_azimuth in made if by_azimuth} == {"guy_anchors", "guys", "nearest_part"}


# ---- the tallest mast that fits ---------------------------------------------------------------------------------------


def tallest(*made, **keys):
    filed = tuple(r for r, _ in rules_of_files((rules(*made),), land(), MAST, anchor_offsets_m(MAST, FRAME, 0.0)))
    return tallest_m(filed, HEIGHT_M, **keys)


@pytest.mark.parametrize(
    ("keys", "wanted"),
    [
        # The line lies 90 m from the base; the mast's tip is 0.3 m above its own height.
        (dict(factor=1.5), 60.0),
        (dict(factor=2.0), 45.0),
        (dict(factor=1.1, plus_m=3.0), math.floor(100 * 87 / 1.1) / 100),
        (dict(factor=1.1, least_m=80.0), math.floor(100 * 90 / 1.1) / 100),
        (dict(factor=1.1, least_m=95.0), None),
        (dict(factor=2.0, height="mast"), 45.3),
        (dict(measured="fall_circle", least_m=50.0), 40.0),
        (dict(measured="fall_circle", factor=1.0, least_m=35.0), 45.0),
        (dict(measured="base_nearest", factor=2.0, base_radius_m=1.0), 44.5),
        (dict(measured="guy_anchors", factor=1.0), 50.0),
        (dict(least_m=95.0), None),
    ],
)
def test_the_tallest_mast_solves_each_rule_for_the_height(keys, wanted):
    found = tallest(rule(id="r", **keys))
    assert found == (None if wanted is None else pytest.approx(wanted, abs=0.0101))
    if wanted is not None:
        assert found <= wanted + 1e-9


def test_the_tallest_mast_is_the_least_of_all_rules_and_of_the_greatest_height():
    both = (rule(factor=2.0, id="a"), rule("road", factor=3.25, id="b"))
    assert tallest(*both) == pytest.approx(40.0, abs=0.0101)  # the right of way lies 130 m off
    assert tallest(*both, most_m=30.5) == 30.5
    assert greatest_height_m((rules(height_most_m=61.0), rules(height_most_m=60.6), rules())) == 60.6
    assert greatest_height_m(()) is None


def test_a_height_found_so_is_the_limit_of_the_check():
    """With a mast of that height the check passes; 2 cm more and it fails."""
    asked = rule(factor=1.37, plus_m=2.5, id="r")
    top_m = tallest(asked)
    for height_m, verdict in ((top_m, 0), (top_m + 0.02, 2)):
        other = replace(MAST, total_height_m=height_m)
        (row,) = judged(rules(asked), mast=other).rules
        assert int(row.column.verdicts[0]) == verdict
