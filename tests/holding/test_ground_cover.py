"""The ground over an anchor: depths, lowest ground, slopes and banks."""

from __future__ import annotations

from dataclasses import replace

import pytest
from holding.made_up_ground import ground

from siting.errors import OutOfMethod
from siting.holding.choose import hold_base
from siting.holding.ground_cover import GroundLine, bank_fault
from siting.records.holding import AnchorWants, GroundAt
from siting.records.soil import SoilInput
from siting.soil.find import find_soil


def test_even_ground_rises_and_falls_as_its_slope():
    line = GroundLine(ground(outward=20.0))
    assert line.rise_m(3.3) == pytest.approx(0.66)
    assert line.lowest_m(3.0, 2.0) == pytest.approx(0.2)
    assert line.steepest_rise_deg(3.0, 2.0) == pytest.approx(11.3099, abs=1e-4)
    assert line.steepest_fall_deg(3.0, -2.0) == pytest.approx(11.3099, abs=1e-4)
    assert line.steepest_fall_deg(3.0, 2.0) == 0.0


def test_slope_across_lowers_the_lowest_ground():
    assert GroundLine(ground(across=-10.0)).lowest_m(3.0, 2.0) == pytest.approx(-0.2)


def test_a_hole_beside_the_line_is_taken_off():
    flat = ground()
    hole = replace(flat, lowest_rise_m=tuple(-0.4 if r >= 5.0 else 0.0 for r in flat.radii_m))
    assert GroundLine(hole).lowest_m(1.0, 1.0) == 0.0
    assert GroundLine(hole).lowest_m(3.0, 2.0) == pytest.approx(-0.4)


@pytest.mark.parametrize(("foot_m", "expected"), [(6.0, 3.0), (-4.0, 7.0)])
def test_a_bank_is_found_where_it_begins(foot_m, expected):
    """Level ground, then a drop of 2 m over 1 m beyond the brink."""
    way = 1.0 if foot_m > 0 else -1.0
    line = GroundLine(ground(rise=lambda s: -2.0 * min(max(way * s - abs(foot_m), 0.0), 1.0)))
    assert line.bank_m(3.0) == pytest.approx(expected)
    assert "a bank (ground falling 50 % or more)" in bank_fault(line, 3.0, expected + 0.1)
    assert bank_fault(line, 3.0, expected - 0.1) == ""


def test_ground_that_rises_away_is_no_bank():
    line = GroundLine(ground(rise=lambda s: 2.0 * min(max(s - 6.0, 0.0), 1.0)))
    assert line.bank_m(3.0) is None
    assert line.bank_m(9.0) == pytest.approx(2.0)  # from above the same bank falls towards the base


def test_a_bank_that_only_the_rings_see():
    flat = ground()
    line = GroundLine(replace(flat, lowest_rise_m=tuple(-3.0 if r >= 8.0 else 0.0 for r in flat.radii_m)))
    assert line.bank_m(0.0) == pytest.approx(5.0)
    assert line.bank_m(4.0) == pytest.approx(1.0)


def test_ground_that_is_not_known_is_no_guess():
    line = GroundLine(ground())
    assert line.knows(5.0, 20.0) and not line.knows(5.0, 20.1)
    with pytest.raises(OutOfMethod, match="ground 26.0 m out from the stake: is not known"):
        line.rise_m(26.0)
    with pytest.raises(OutOfMethod, match="about the stake: is not known"):
        line.hidden_m(20.0, 6.0)


def test_where_nothing_is_known_beside_the_stake_nothing_holds():
    """A hole on both sides of the stake, within half a metre of it, under rings that are known."""
    alone = GroundAt((0.0,), (0.0,), 0.0, 5.0, (-0.1, -0.2), (1.0, 2.0))
    line = GroundLine(alone)
    assert line.rise_m(0.0) == 0.0 and not line.knows(0.5, 0.5)
    base = hold_base(find_soil(SoilInput("test", uscs="CL")), alone, 0.0, 30.0, 0.0, AnchorWants())
    assert base.buried.allowable_kn is None and "not known" in base.buried.refused
