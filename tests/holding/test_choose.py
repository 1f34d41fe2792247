"""The kind taken at a stake, and the words why."""

from __future__ import annotations

from dataclasses import replace

import pytest
from holding.made_up_ground import clay, ground, load, rock, sand
from hypothesis import given, settings
from hypothesis import strategies as st

from siting.figures import rounded
from siting.holding.choose import choose_anchor
from siting.records.holding import PLATE, ROCK_BAR, SCREW, AnchorWants

FLAT = ground()
WANTS = AnchorWants()


@pytest.mark.parametrize(
    ("there", "kn", "kind", "first"),
    [
        (sand(), 20.0, SCREW, "A screw is taken: it holds, and no pit is dug."),
        (clay(), 20.0, SCREW, "A screw is taken: it holds, and no pit is dug."),
        (sand(has_cobbles=True), 15.0, PLATE, "A buried plate is taken: it holds, and a screw does not."),
        (rock(), 20.0, ROCK_BAR, "A grouted bar is taken: the ground is rock."),
        (sand(), 500.0, None, "No kind of anchor holds here by the methods of this sheet: have the anchor designed, or move it."),
        (sand(is_organic=True), 5.0, None, "No kind of anchor holds here by the methods of this sheet: have the anchor designed, or move it."),
    ],
)  # fmt: skip
def test_the_kind_by_the_ground(there, kn, kind, first):
    choice = choose_anchor(load(kn), there, FLAT, WANTS)
    assert (choice.chosen.kind if choice.chosen else None) == kind
    assert choice.reasons[0] == first
    assert [option.kind for option in choice.options] == [SCREW, PLATE, ROCK_BAR]
    assert choice.proof_kn == (pytest.approx(1.25 * kn) if kind else None)
    assert rounded(choice).anchor == "A1"


def test_a_kind_that_is_asked_for_is_taken_or_none():
    wants = replace(WANTS, kind=PLATE)
    choice = choose_anchor(load(15.0), sand(), FLAT, wants)
    assert choice.chosen.kind == PLATE
    assert choice.reasons[0] == "A buried plate is asked for: it holds."
    assert any(reason.startswith("A screw would hold") for reason in choice.reasons)
    none = choose_anchor(load(15.0), rock(), FLAT, wants)
    assert none.chosen is None
    assert none.reasons[0] == "A buried plate is asked for and does not hold here."
    assert any(reason.startswith("A grouted bar would hold") for reason in none.reasons)


def test_the_torque_and_the_size_stand_in_the_reasons():
    reasons = choose_anchor(load(20.0), sand(), FLAT, WANTS).reasons
    assert "where 20.00 kN pulls" in reasons[1]
    assert "until it takes 1.2 kNm" in reasons[2]


def test_a_deep_pit_names_the_plate_that_keeps_it_shallow():
    wants = replace(WANTS, kind=PLATE)
    deep = choose_anchor(load(20.0), clay(frost_depth_m=0.3), FLAT, wants)
    told = next(reason for reason in deep.reasons if reason.startswith("The pit is"))
    assert "from 1.52 m on its walls are protected" in told and "holds in a pit" in told
    hopeless = choose_anchor(load(25.0), sand(frost_depth_m=0.3), FLAT, replace(wants, plates_m=wants.plates_m[:-2]))
    assert any("no plate of the list holds in a shallower one" in reason for reason in hopeless.reasons)


def test_warnings_of_water_frost_slope_bank_and_tables():
    def told(there, place=FLAT, wants=WANTS):
        return " ".join(choose_anchor(load(10.0), there, place, wants).warnings)

    plate = replace(WANTS, kind=PLATE)
    assert "Water stands at the surface: a pit fills" in told(clay(water_depth_m=0.0))
    assert "above the pit's floor: the pit fills" in told(clay(water_depth_m=0.5), wants=plate)
    assert "The water table is not known: in granular ground it is taken at the surface." in told(sand(water_depth_m=None))
    assert "The water table is not known" not in told(clay(water_depth_m=None))
    assert "The frost depth is not given" in told(sand(frost_depth_m=None))
    assert "The frost depth is not given" not in told(sand())
    assert "comes from a table, not from a test here" in told(sand(is_presumptive=True))
    assert "The ground slopes 15.0 %" in told(sand(), ground(outward=15.0))
    assert "slopes" not in told(sand())
    assert "leave it undisturbed" in told(clay(), wants=plate)
    brink = ground(rise=lambda s: -3.0 * min(max(s - 6.0, 0.0), 1.0))
    assert "A bank falls away 6.00 m from the stake" in told(sand(), brink)


def test_an_unknown_shaft_is_a_reason_and_no_stop():
    choice = choose_anchor(load(10.0), clay(), FLAT, replace(WANTS, screw_shaft="oak"))
    assert choice.chosen.kind == PLATE
    assert "shaft 'oak': has no published torque factor" in choice.options[0].refused


@settings(max_examples=30, deadline=None)
@given(
    st.floats(0.5, 100.0), st.floats(5.0, 85.0), st.floats(-25.0, 25.0), st.floats(0.0, 20.0),
    st.one_of(st.floats(15.0, 50.0).map(sand), st.floats(1.0, 300.0).map(clay), st.sampled_from([rock(), rock("")])),
)  # fmt: skip
def test_every_case_is_answered_and_what_is_taken_holds(kn, angle, outward, across, there):
    choice = choose_anchor(load(kn, angle), there, ground(outward, across), WANTS)
    for option in choice.options:
        if option.allowable_kn is None:
            assert option.refused and option.ultimate_kn is option.rod_m is None and option.parts == ()
        else:
            assert not option.refused and option.parts and option.allowable_kn * option.safety_factor == pytest.approx(option.ultimate_kn)
            assert option.cover_m <= option.depth_m + 1e-9
    if choice.chosen:
        assert choice.chosen.allowable_kn >= kn and choice.chosen in choice.options
    rounded(choice)
