"""Tension by temperature solved anew, its units, its measures, its tolerance."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from lift.rigs import HINGE_M, ground_m, mast, rigs
from scipy.optimize import brentq

from siting.figures import rounded
from siting.kernels.cable import hang_with_intercept, tension_from_pulses_n
from siting.lift.guy_lengths import cut_list, guy_places
from siting.lift.tension import measuring_methods, tension_table
from siting.records.guys import GuyOptions

REFERENCE_AMONG = GuyOptions(temperatures_c=(-20.0, 0.0, 15.0, 40.0))
G = 9.80665
EA, WEIGHT, ALPHA = 165e9 * 7 * math.pi / 4 * 2.03e-3**2, 0.121 * 0.45359237 / 0.3048 * G, 12e-6


def tables(uphill=0.0, right=0.0, options=REFERENCE_AMONG):
    made = mast()
    places = guy_places(made, ground_m(made, uphill, right), HINGE_M, 0.0)
    return tension_table(made, places, rigs(made), options), cut_list(made, places, rigs(made), options)


def foot_n_of(length_m, span_m, rise_m):
    """Tension at the anchor of a stretched rope of an unstressed length, by scipy from the rope equation."""

    def unstressed(c):
        u = span_m / (2 * c)
        middle = math.asinh(rise_m / (2 * c * math.sinh(u)))
        a, b = middle - u, middle + u
        arc = c * (math.sinh(b) - math.sinh(a))
        pull, _ = WEIGHT * c**2 * ((b - a) / 2 + (math.sinh(2 * b) - math.sinh(2 * a)) / 4), None
        return arc - pull / EA

    c = brentq(lambda c: unstressed(c) - length_m, span_m / 2, span_m * 1e6, xtol=1e-9, rtol=1e-14)
    middle = math.asinh(rise_m / (2 * c * math.sinh(span_m / (2 * c))))
    return WEIGHT * c * math.cosh(middle - span_m / (2 * c))


@given(st.floats(-0.1, 0.2), st.floats(-0.1, 0.1))
def test_tensions_solved_anew_on_real_ground(uphill, right):
    found, cut = tables(uphill, right)
    lengths = {(g.anchor, g.attach_m): g for g in cut.guys if g.use == "permanent"}
    assert [(g.anchor, g.attach_m) for g in found.guys] == list(lengths)
    for guy in found.guys:
        place = lengths[guy.anchor, guy.attach_m]
        for k, celsius in enumerate(found.temperatures_c):
            warming = celsius - 15.0
            length_m = place.unstressed_m * (1 + ALPHA * warming)
            taller = foot_n_of(length_m, place.span_m, place.rise_m + ALPHA * warming * guy.attach_m)
            assert guy.tension_kn[k] * 1000.0 == pytest.approx(taller, rel=1e-6)
            assert guy.fixed_mast_kn[k] * 1000.0 == pytest.approx(foot_n_of(length_m, place.span_m, place.rise_m), rel=1e-6)


def test_at_the_reference_temperature_the_guys_have_their_set_tension():
    found, _ = tables(0.1)
    for guy in found.guys:
        assert guy.tension_kn[2] == pytest.approx(guy.set_tension_kn, rel=1e-9)
        assert guy.fixed_mast_kn[2] == pytest.approx(guy.set_tension_kn, rel=1e-9)
        assert guy.of_breaking_ratio == pytest.approx(0.10)


def test_cold_is_tighter_and_a_mast_of_fixed_height_makes_more_of_it():
    found, _ = tables(0.1)
    for guy in found.guys:
        assert list(guy.tension_kn) == sorted(guy.tension_kn, reverse=True)
        assert guy.fixed_mast_kn[0] > guy.tension_kn[0] > guy.set_tension_kn > guy.tension_kn[3] > guy.fixed_mast_kn[3]


def test_the_change_by_hand():
    """A stiff straight guy: E A alpha a kelvin; with the mast as warm, the part across only, cos^2 of its angle."""
    found, cut = tables()
    steep = next(g for g in found.guys if (g.anchor, g.attach_m) == ("A", 58.0))
    place = next(g for g in cut.guys if (g.anchor, g.attach_m, g.use) == ("A", 58.0, "permanent"))
    per_k = (steep.fixed_mast_kn[1] - steep.fixed_mast_kn[2]) / 15.0 * 1000.0
    # Sag takes a part: 1 + E A (w d)^2 / (12 T^3), with the tension in the middle of the guy and of the warming.
    middle_n = (steep.fixed_mast_kn[1] + steep.fixed_mast_kn[2]) * 500.0 + WEIGHT * 58.3 / 2.0
    assert per_k == pytest.approx(EA * ALPHA / (1.0 + EA * (WEIGHT * 40.0) ** 2 / (12.0 * middle_n**3)), rel=0.005)
    grows = (steep.tension_kn[1] - steep.tension_kn[2]) / 15.0 * 1000.0
    # Not the whole rise grows with the mast: 0.3 m of it is the hinge's height.
    assert grows / per_k == pytest.approx(1.0 - 58.0 * 58.3 / (place.chord_m**2), abs=0.01)


def test_kilogram_force_and_pound_force():
    found, _ = tables()
    for guy in found.guys:
        assert guy.tension_kgf == pytest.approx(np.array(guy.tension_kn) * 1000.0 / 9.80665)
        assert guy.tension_lbf == pytest.approx(np.array(guy.tension_kn) * 1000.0 / 4.4482216152605)


def test_a_watch_and_a_sight_give_the_table_back():
    found, cut = tables(0.05)
    lengths = {(g.anchor, g.attach_m): g for g in cut.guys if g.use == "permanent"}
    for guy in found.guys:
        place = lengths[guy.anchor, guy.attach_m]
        k = 2  # the reference temperature: the place is as cut
        middle_n = tension_from_pulses_n(place.hanging_m, WEIGHT / G, found.pulse_returns, guy.pulse_s[k])
        assert middle_n - WEIGHT * place.rise_m / 2.0 == pytest.approx(guy.set_tension_kn * 1000.0, rel=1e-9)
        sighted = hang_with_intercept(place.span_m, place.rise_m, WEIGHT, guy.intercept_m[k])
        assert float(sighted.anchor_tension_n) == pytest.approx(guy.set_tension_kn * 1000.0, rel=1e-8)
        # The sheet's short formula for the sight, m g L sqrt(C^2 + (R - I)^2) / (2 I).
        low = guy.intercept_m[k]
        short_n = WEIGHT * place.hanging_m * math.hypot(place.span_m, place.rise_m - low) / (2.0 * low)
        assert short_n == pytest.approx(guy.set_tension_kn * 1000.0, rel=0.01)
    assert all(a > b for a, b in zip(found.guys[0].intercept_m[1:], found.guys[0].intercept_m, strict=False))


def test_levels_hold_their_guys_between_least_and_greatest():
    found, _ = tables(0.1, 0.05)
    assert [(level.attach_m, level.strand) for level in found.levels] == [(30.0, "A475 EHS 1/4 in"), (58.0, "A475 EHS 1/4 in")]
    for level in found.levels:
        rows = np.array([g.tension_kn for g in found.guys if g.attach_m == level.attach_m])
        assert level.least_kn == pytest.approx(rows.min(axis=0)) and level.greatest_kn == pytest.approx(rows.max(axis=0))
        assert level.greatest_lbf == pytest.approx(rows.max(axis=0) * 1000.0 / 4.4482216152605)
        assert level.greatest_kgf == pytest.approx(rows.max(axis=0) * 1000.0 / 9.80665)
        assert level.greatest_kn[0] - level.least_kn[0] > 0.001


def test_only_permanent_guys_with_a_strand_are_set():
    made = mast()
    places = guy_places(made, ground_m(made), HINGE_M, 0.0)
    found = tension_table(made, places, (None, *rigs(made)[1:]), GuyOptions())
    assert [(g.anchor, g.attach_m) for g in found.guys] == [("A", 58.0), ("B", 58.0), ("C", 58.0)]
    nothing = tension_table(made, places, (None,) * 4, GuyOptions())
    assert (nothing.guys, nothing.levels, nothing.tension_source) == ((), (), ())


def test_the_words_on_the_table():
    found, _ = tables()
    assert (
        found.tolerance_source
        == "ANSI/TIA-222 13.3.2: within 10 %, 5 % for guys over 1 inch; as an industry planning notice quotes it"
    )
    assert {g.tolerance_ratio for g in found.guys} == {0.10}
    assert found.tension_source == ("test",)
    methods = measuring_methods(10)
    assert found.methods == methods
    for words in ("time 10 returns", "T = 4 m L² N² / P²", "m g L √(C² + (R − I)²) / (2 I)", "dynamometer"):
        assert words in " ".join(methods)
    assert "12 millionths" in found.notes[1]


def test_the_plan_can_hold_it():
    found, _ = tables()
    kept = rounded(found)
    assert rounded(kept) == kept
