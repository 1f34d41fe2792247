"""Pins of the base plate: turning over, bending, being drawn, and where none are driven."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from holding.made_up_ground import clay, ground, rock, sand
from hypothesis import given
from hypothesis import strategies as st

from siting.errors import OutOfMethod
from siting.holding.choose import hold_base
from siting.holding.pins import (
    bending_clay_kn,
    bending_sand_kn,
    hold_pins,
    hold_pins_drawn,
    short_pile_clay_kn,
    short_pile_sand_kn,
)
from siting.records.holding import AnchorWants

WANTS = AnchorWants()
FLAT = ground()
GROUND = st.one_of(st.floats(20.0, 45.0).map(sand), st.floats(5.0, 200.0).map(clay))


@given(GROUND, st.floats(0.0, 2.0))
def test_stronger_ground_and_more_pins_never_hold_less(there, more):
    if there.friction_deg is None:
        better = replace(there, undrained_kpa=there.undrained_kpa + more)
    else:
        better = replace(there, friction_deg=there.friction_deg + more)
    assert hold_pins(better, WANTS).allowable_kn >= hold_pins(there, WANTS).allowable_kn
    assert hold_pins(there, replace(WANTS, pins=8)).allowable_kn == pytest.approx(2.0 * hold_pins(there, WANTS).allowable_kn)
    if there.friction_deg is None:
        assert hold_pins_drawn(better, WANTS).allowable_kn >= hold_pins_drawn(there, WANTS).allowable_kn * (1 - 1e-9)


@given(GROUND, st.floats(1.0, 2.0), st.floats(0.0, 1.0))
def test_longer_pins_never_hold_less(there, length, more):
    for hold in (hold_pins, hold_pins_drawn):
        short, long = (hold(there, replace(WANTS, pin_length_m=n)).allowable_kn for n in (length, length + more))
        assert long >= short * (1 - 1e-9)


@given(st.floats(5.0, 200.0), st.floats(0.01, 0.1), st.floats(0.5, 3.0), st.floats(0.0, 1.0))
def test_clay_in_balance(strength, diameter, length, height):
    """The force found and the ground's reactions balance: sum of forces and of moments about the ground."""
    force = short_pile_clay_kn(strength, diameter, length, height)
    per_m, top = 9.0 * strength * diameter, 1.5 * diameter
    front = (length + top) / 2.0 + force / per_m / 2.0  # to here the ground pushes back, below it pushes forward
    back = length - front
    assert per_m * (front - top - back) == pytest.approx(force)
    about_ground = per_m * (front - top) * (front + top) / 2.0 - per_m * back * (length + front) / 2.0
    assert about_ground == pytest.approx(-force * height, abs=1e-9 * per_m)


@given(st.floats(1.0, 30.0), st.floats(1.5, 6.0), st.floats(0.01, 0.05), st.floats(0.1, 3.0))
def test_bending_reaches_the_moment(growth, passive, diameter, moment):
    force = bending_sand_kn(growth, passive, diameter, moment)
    depth = (force / (1.5 * growth * diameter * passive)) ** 0.5
    assert force * depth - growth * diameter * passive * depth**3 / 2.0 == pytest.approx(moment)
    strength = 10.0 * growth
    push = bending_clay_kn(strength, diameter, moment)
    assert push * (1.5 * diameter + push / (18.0 * strength * diameter)) == pytest.approx(moment)


def test_slender_pins_bend_before_they_turn_over():
    for there in (sand(30.0), clay(50.0)):
        held = hold_pins(there, WANTS)
        assert held.governed_by == "pins bend"
        assert held.safety_factor == 2.0
        assert held.allowable_kn == pytest.approx(min(part.value_kn for part in held.parts) / 2.0)
    stout = hold_pins(sand(30.0), replace(WANTS, pin_diameter_m=0.1))
    assert stout.governed_by == "pins turn over in the ground"


@pytest.mark.parametrize(
    ("there", "words"),
    [
        (rock(), "pins are not driven into rock: drill and grout dowels, designed for the force"),
        (sand(is_organic=True), "organic ground: no method holds there"),
        (clay(None), "the ground's strength is not known"),
    ],
)
def test_where_no_pins_are_driven(there, words):
    assert hold_pins(there, WANTS).refused == hold_pins_drawn(there, WANTS).refused == words


def test_words_of_the_base():
    text = hold_base(sand(), FLAT, 15.0, 20.0, 0.0, WANTS).text
    assert text.startswith("The pins do not hold the level push: the lift brings 20.00 kN, their part may take 2.41 kN; tie the base plate to a plate ")
    assert text.endswith("No upward pull on the base in the lift.")
    assert hold_base(clay(), FLAT, 15.0, 5.0, 1.0, WANTS).text == (
        "The pins may take 6.25 kN of level push, the lift brings 5.00 kN. The pins may take 3.40 kN of upward pull, the lift brings 1.00 kN."
    )
    assert "The level push on the base is not known" in hold_base(clay(), FLAT, 15.0, None, None, WANTS).text
    assert "their part is not worked out (pins are not driven into rock" in hold_base(rock(), FLAT, 15.0, 5.0, None, WANTS).text
    short = hold_base(clay(), FLAT, 15.0, 5.0, 1.0, replace(WANTS, pin_length_m=0.04))
    assert short.pins.refused.startswith("pin 0.04 m long: is no longer than the 1.5 diameters that do not hold")


def test_errors_of_the_formulas():
    with pytest.raises(OutOfMethod, match="is no longer than the 1.5 diameters"):
        short_pile_clay_kn(50.0, 0.1, 0.15)
    with pytest.raises(OutOfMethod, match="has no length"):
        short_pile_sand_kn(9.0, 3.0, 0.03, 0.0)


def test_a_plate_holds_the_base_back_on_the_laydowns_side():
    base = hold_base(clay(60.0), FLAT, 15.0, 30.0, 0.0, WANTS)
    assert base.tie_kn == pytest.approx(30.0 / math.cos(math.radians(base.tie_deg)))
    assert base.buried.allowable_kn >= base.tie_kn and base.buried.depth_m < 2.0
    assert "tie the base plate to a plate" in base.text
    soft = hold_base(clay(12.0), FLAT, 15.0, 60.0, 0.0, WANTS)
    assert soft.buried.allowable_kn < soft.tie_kn and "does not hold either" in soft.text
    assert hold_base(rock(), FLAT, 15.0, 30.0, 0.0, WANTS).buried.allowable_kn is None
    assert hold_base(clay(), FLAT, 15.0, None, None, WANTS).tie_kn is None
