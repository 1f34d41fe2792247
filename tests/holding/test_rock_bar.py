"""Grouted bars: bond, cone, steel; each part governs in turn; where none is grouted."""

from __future__ import annotations

from dataclasses import replace

import pytest
from holding.made_up_ground import ground, load, rock, sand
from hypothesis import given
from hypothesis import strategies as st

from siting.errors import OutOfMethod
from siting.holding.ground_cover import GroundLine
from siting.holding.rock_bar import bar_kn, bond_kn, cone_kn, hold_rock_bar
from siting.records.holding import AnchorWants
from siting.soil.tables import ROCK_TRANSFER_KN_M

FLAT = GroundLine(ground())
WANTS = AnchorWants()


@given(st.floats(0.5, 6.0), st.floats(0.0, 1.0), st.floats(0.0, 8.0))
def test_a_deeper_or_drier_cone_is_never_lighter(height, more, water):
    there = cone_kn(height, 24.0, 14.0, water)
    assert cone_kn(height + more, 24.0, 14.0, water) >= there
    assert cone_kn(height, 24.0, 14.0, water + more) >= there
    assert cone_kn(height, 24.0, 14.0, 0.0) <= there <= cone_kn(height, 24.0, 14.0, None)
    assert cone_kn(height, 24.0, 14.0, 0.0) == pytest.approx(cone_kn(height, 14.0, 14.0, None))


def test_cone_governs_and_gets_longer_with_the_load():
    rods = []
    for kn in (10.0, 40.0, 70.0):
        held = hold_rock_bar(load(kn, 45.0), rock(), FLAT, WANTS)
        assert held.allowable_kn >= kn
        assert held.safety_factor == 3.0
        assert held.governed_by == "weight of the rock cone"
        rods.append(held.rod_m)
    assert rods[0] == pytest.approx(3.1 + 1.5)
    assert rods == sorted(rods) and rods[2] > rods[0]


def test_bond_grows_where_it_governs_and_the_bar_where_it_does():
    weak = hold_rock_bar(load(160.0, 90.0), rock("soft shales"), FLAT, replace(WANTS, bar_diameter_m=0.04))
    assert weak.size.startswith("bar 40 mm, bond 3.5 m")  # 150 kN/m x 3.5 m / 3 = 175 kN
    steel = hold_rock_bar(load(160.0, 90.0), rock("granite or basalt"), FLAT, WANTS)
    assert steel.governed_by == "yield of the bar"
    assert steel.allowable_kn == pytest.approx(0.6 * bar_kn(0.025, 500.0)) and steel.allowable_kn < 160.0


@pytest.mark.parametrize(
    ("there", "angle", "wants", "words"),
    [
        (sand(), 45.0, WANTS, "a grouted bar is worked out in rock only"),
        (rock(""), 45.0, WANTS, "weathered or unnamed rock: the table of load transfer is for sound rock that it names; have the anchor designed"),
        (rock(), 8.0, WANTS, "the pull is at 8°: a bar flatter than 10° lies along the ground"),
        (rock(), 45.0, replace(WANTS, bar_bond_longest_m=2.0), "a bond of 2.0 m is shorter than the least of 3 m"),
    ],
)  # fmt: skip
def test_where_no_bar_is_grouted(there, angle, wants, words):
    held = hold_rock_bar(load(10.0, angle), there, FLAT, wants)
    assert held.refused == words
    assert held.ultimate_kn is None


def test_errors_of_the_formulas():
    with pytest.raises(OutOfMethod, match="rock 'cheese': has no published load transfer"):
        bond_kn("cheese", 3.0)
    for length in (2.9, 10.1):
        with pytest.raises(OutOfMethod, match="the table holds from 3 to 10 m"):
            bond_kn("sandstone", length)
    with pytest.raises(OutOfMethod, match="is printed from 60° to 90°"):
        cone_kn(3.0, 24.0, 14.0, None, 50.0)
    assert all(bond_kn(name, 4.0) == 4.0 * value for name, value in ROCK_TRANSFER_KN_M.items())
