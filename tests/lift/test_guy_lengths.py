"""Cut lengths on sloping ground: chords of the layout, a rope laid along them anew, totals, and what is left out."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from lift.rigs import BASE_M, HINGE_M, ground_m, mast, rigs
from scipy.optimize import brentq
from scipy.spatial.transform import Rotation

from siting.figures import rounded
from siting.layout.guys import guy_chords
from siting.lift.guy_lengths import cut_list, guy_places, rig_level
from siting.lift.strands import find_strand
from siting.records.guys import GuyOptions
from siting.records.mast import GuyLevel

OPTIONS = GuyOptions()
slopes = st.floats(-0.15, 0.2)


def listed(made=None, heights=None, rest_rad=0.0, rig=None, options=OPTIONS):
    made = made or mast()
    places = guy_places(made, heights or ground_m(made), HINGE_M, rest_rad)
    return cut_list(made, places, rig or rigs(made), options)


@given(slopes, slopes, st.floats(-0.1, 0.2))
def test_chords_of_the_permanent_guys_are_the_layouts(uphill, right, rest_rad):
    made = mast()
    heights = ground_m(made, uphill, right)
    chords = {(g.anchor, g.attach_m): g for g in guy_chords(made, BASE_M, heights)}
    for guy in listed(made, heights, rest_rad).guys:
        if guy.use == "permanent":
            chord = chords[guy.anchor, guy.attach_m]
            assert guy.at_deg == pytest.approx(90.0, abs=1e-12)
            assert guy.chord_m == pytest.approx(chord.chord_m, abs=1e-9)
            assert guy.chord_angle_deg == pytest.approx(chord.anchor_angle_deg, abs=1e-9)


@given(slopes, slopes, st.floats(-0.1, 0.2))
def test_temporary_guys_are_cut_for_where_they_are_longest(uphill, right, rest_rad):
    made = mast()
    heights = ground_m(made, uphill, right)
    spots = {
        a.id: (a.radius_m * math.cos(math.radians(a.bearing_deg)), a.radius_m * math.sin(math.radians(a.bearing_deg)))
        for a in made.anchors
    }
    t = np.linspace(rest_rad, math.pi / 2, 3001)
    turns = Rotation.from_rotvec(np.outer(-t, [0.0, 1.0, 0.0]))
    for guy in listed(made, heights, rest_rad).guys:
        if guy.use == "temporary":
            anchor = np.array([*spots[guy.anchor], heights[guy.anchor] - HINGE_M])
            sampled = np.linalg.norm(turns.apply([guy.attach_m, 0.0, 0.0]) - anchor, axis=1)
            assert guy.chord_m == pytest.approx(sampled.max(), abs=1e-5)
            assert math.hypot(guy.span_m, guy.rise_m) == pytest.approx(guy.chord_m, abs=1e-9)


def test_no_two_guys_of_a_level_are_alike_on_a_slope_and_all_are_on_the_level():
    level = [g.cut_m for g in listed().guys if g.use == "permanent" and g.attach_m == 58.0]
    assert max(level) - min(level) < 1e-9
    made = mast()
    slope = {g.anchor: g.cut_m for g in listed(made, ground_m(made, 0.10)).guys if g.use == "permanent" and g.attach_m == 58.0}
    # A stands uphill (45 degrees off the laydown), B downhill: rises of 55.47 and 62.16 m over 40 m.
    assert slope["B"] - slope["A"] == pytest.approx(math.hypot(40, 62.1637) - math.hypot(40, 55.4716), abs=0.01)


def test_the_length_of_one_guy_by_hand():
    """1/4 in EHS at 10 %: chord, sag w l^2 / (8 T), stretch T l / (E A), 2 m of ends; 4 kg of guy on 70 m."""
    guy = next(g for g in listed().guys if (g.anchor, g.attach_m, g.use) == ("A", 58.0, "permanent"))
    chord_m = math.hypot(40.0, 58.3)
    assert guy.chord_m == pytest.approx(chord_m, abs=1e-9)
    middle_n = 2958.07 + 1.76586 * 58.3 / 2
    assert guy.sag_m == pytest.approx(1.76586 * chord_m**2 / (8 * middle_n), rel=2e-3)
    assert guy.hanging_m - chord_m == pytest.approx((1.76586 * 40.0) ** 2 * chord_m / (24 * middle_n**2), rel=2e-3)
    assert guy.stretch_m == pytest.approx(middle_n * chord_m / (165e9 * 22.6558e-6), rel=1e-4)
    assert guy.unstressed_m == pytest.approx(guy.hanging_m - guy.stretch_m, abs=1e-12)
    assert guy.cut_m == pytest.approx(guy.unstressed_m + 2.0, abs=1e-12)
    assert guy.top_tension_kn - guy.set_tension_kn == pytest.approx(1.76586e-3 * 58.3, abs=1e-6)
    assert guy.chord_angle_deg - guy.anchor_angle_deg == pytest.approx(math.degrees(1.76586 * 40.0 / (2 * middle_n)), rel=0.03)


def test_the_hanging_length_solved_anew():
    """The rope equation with the tension at the foot as the unknown's target, by scipy."""
    for guy in listed().guys:
        strand = find_strand("A475 EHS 1/4 in", None, "test")
        weight, d, h = strand.mass_kg_per_m * 9.80665, guy.span_m, guy.rise_m

        def foot_n(c, w=weight, d=d, h=h):
            length = math.sqrt(h**2 + (2 * c * math.sinh(d / (2 * c))) ** 2)
            return 0.5 * w * (length / math.tanh(d / (2 * c)) - h)

        c = brentq(lambda c, foot_n=foot_n, asked_n=guy.set_tension_kn * 1000.0: foot_n(c) - asked_n, d, 1e5 * d, xtol=1e-9)
        assert guy.hanging_m == pytest.approx(math.sqrt(h**2 + (2 * c * math.sinh(d / (2 * c))) ** 2), abs=1e-7)


def test_cut_lengths_by_temperature():
    found = listed()
    assert found.temperatures_c == (-20.0, -10.0, 0.0, 10.0, 20.0, 30.0, 40.0)
    for guy in found.guys:
        for celsius, cut_m in zip(found.temperatures_c, guy.cut_at_m, strict=True):
            assert cut_m - guy.cut_m == pytest.approx(12e-6 * guy.unstressed_m * (celsius - 15.0), abs=1e-9)
        assert guy.cut_at_m[0] < guy.cut_m < guy.cut_at_m[-1]


def test_what_to_order():
    made = mast()
    other = (*rigs(made)[:2], *rigs(made, "A475 EHS 3/16 in")[:2])
    found = listed(made, rig=other)
    assert [(t.strand, t.pieces) for t in found.totals] == [("A475 EHS 1/4 in", 6), ("A475 EHS 3/16 in", 6)]
    for total in found.totals:
        cuts = [g.cut_m for g in found.guys if g.strand == total.strand]
        assert (total.total_m, total.longest_m) == pytest.approx((sum(cuts), max(cuts)))
        assert total.spare_m == pytest.approx(max(0.1 * sum(cuts), max(cuts)))
        assert total.order_m == math.ceil(total.total_m + total.spare_m)
    assert found.totals[0].mass_kg == pytest.approx(found.totals[0].order_m * 0.18006784, rel=1e-6)
    many = listed(made, options=GuyOptions(spare_ratio=0.5, termination_m=3.5))
    assert many.totals[0].spare_m == pytest.approx(0.5 * many.totals[0].total_m)
    assert all(g.cut_m - g.unstressed_m == pytest.approx(3.5) for g in many.guys)


def test_guys_that_cannot_be_worked_out_are_named_never_guessed():
    made = mast()
    found = listed(made, rig=(None, *rigs(made)[1:3], rigs(made, tension_kn=0.02)[0]))
    assert found.not_listed == (
        "A at 30 m: the mast file gives neither its strand nor its diameter_mm",
        "B at 30 m: the mast file gives neither its strand nor its diameter_mm",
        "C at 30 m: the mast file gives neither its strand nor its diameter_mm",
        "R at 58 m: 0.02 kN at the anchor does not hold its own weight up",
        "L at 58 m: 0.02 kN at the anchor does not hold its own weight up",
        "K at 58 m: 0.02 kN at the anchor does not hold its own weight up",
    )
    assert len(found.guys) == 6
    nothing = listed(made, rig=(None,) * 4)
    assert (nothing.guys, nothing.totals, nothing.strands, len(nothing.not_listed)) == ((), (), (), 12)


def test_an_assumed_strand_is_said_first():
    made = mast()
    rope = rig_level(find_strand(None, 4.0, "test"), OPTIONS)
    assert listed(made, rig=(rope,) * 4).notes[0].startswith("assumed: the mast file gives 4 mm and no strand")


def test_the_set_tension_and_where_it_comes_from():
    strand = find_strand("A475 EHS 1/4 in", None, "test")
    usual = rig_level(strand, OPTIONS)
    assert usual.set_tension_kn == pytest.approx(2.958, abs=5e-4)
    assert usual.tension_source == (
        "10 % of the breaking strength, inside ANSI/TIA-222 practice, 7 to 15 % of the breaking strength, as an industry planning notice quotes it"
    )
    assert rig_level(strand, OPTIONS, 4.0).tension_source == "mast file"
    assert rig_level(strand, GuyOptions(initial_tension_ratio=0.15)).tension_source == "mast file"
    outside = rig_level(strand, OPTIONS, 6.0)
    assert outside.set_tension_kn == 6.0
    assert outside.tension_source == (
        "mast file: 20.3 % of the breaking strength lies outside ANSI/TIA-222 practice, 7 to 15 % of the breaking strength, "
        "as an industry planning notice quotes it; the mast's analysis must cover it"
    )


def test_a_guy_rigged_for_the_lift_is_cut_for_the_lift_whatever_its_anchor():
    """B stands behind the hinge: a guy to it is longest while the mast lies, so that a lift's guy must reach so far."""
    made = mast(
        guys=(
            GuyLevel(58.0, ("B",), "temporary", 4.0),
            GuyLevel(58.0, ("B",), "permanent", 4.0),
            GuyLevel(58.0, ("K",), "permanent", 4.0),
        )
    )
    lifted, stays, back = guy_places(made, ground_m(made), HINGE_M, 0.05)
    assert lifted.at_rad == pytest.approx(0.05) and math.hypot(lifted.span_m, lifted.rise_m) > 95.0
    assert stays.at_rad == back.at_rad == math.pi / 2
    assert (stays.span_m, back.span_m) == pytest.approx((40.0, 66.0), abs=1e-12)


def test_the_plan_can_hold_it():
    kept = rounded(listed())
    assert kept.guys[0].chord_m == round(kept.guys[0].chord_m, 3)
    assert rounded(kept) == kept
