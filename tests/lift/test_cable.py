"""The hanging guy against its own equation, quadrature and an elastic cable written anew; limits taut and slack."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq, fsolve

from siting.kernels.cable import (
    Catenary,
    hang_at_tension,
    hang_with_intercept,
    hang_with_length,
    pulse_round_trip_s,
    tension_from_pulses_n,
    thermal_change_m,
)

spans_m = st.floats(5.0, 150.0)
rises_m = st.floats(-20.0, 120.0)
weights = st.floats(0.2, 8.0)  # N/m
# Tension in multiples of the guy's own weight: from a deep sag to as good as straight.
pulls = st.floats(1.2, 300.0)
STIFFNESS_N = 3.7e6


def guy(span_m, rise_m, weight, pull):
    return hang_at_tension(span_m, rise_m, weight, pull * weight * math.hypot(span_m, rise_m))


@given(spans_m, rises_m, weights, pulls)
def test_the_guy_has_the_tension_asked_for_and_balances_at_both_ends(span_m, rise_m, weight, pull):
    cable = guy(span_m, rise_m, weight, pull)
    asked = pull * weight * math.hypot(span_m, rise_m)
    assert cable.anchor_tension_n == pytest.approx(asked, rel=1e-9)
    assert cable.top_tension_n - cable.anchor_tension_n == pytest.approx(weight * rise_m, abs=1e-9 * asked)
    # Forces: the ends' pulls carry the weight of the whole length, and nothing sideways.
    across = [
        t * math.cos(a) for t, a in ((cable.anchor_tension_n, cable.anchor_angle_rad), (cable.top_tension_n, cable.top_angle_rad))
    ]
    up = cable.top_tension_n * math.sin(cable.top_angle_rad) - cable.anchor_tension_n * math.sin(cable.anchor_angle_rad)
    assert across == pytest.approx([float(cable.horizontal_n)] * 2, rel=1e-9)
    assert up == pytest.approx(weight * cable.length_m, abs=1e-9 * asked)


@given(spans_m, rises_m, weights, pulls)
def test_the_taut_one_of_the_two_guys_with_that_tension_is_found(span_m, rise_m, weight, pull):
    """More tension, less length: the other, slack root has it the other way round."""
    cable, tighter = guy(span_m, rise_m, weight, pull), guy(span_m, rise_m, weight, 1.01 * pull)
    assert tighter.length_m < cable.length_m and tighter.sag_m < cable.sag_m
    assert cable.chord_m <= cable.length_m


@pytest.mark.parametrize(("span_m", "rise_m", "weight", "tension_n"), [(50, 60, 1.77, 2958.0), (28, 13, 0.6, 1000.0), (86, 8, 0.6, 90.0), (40, -9, 3.0, 400.0)])  # fmt: skip
def test_the_integrated_cable_equation_ends_at_the_attachment(span_m, rise_m, weight, tension_n):
    """y'' = w / H sqrt(1 + y'^2) from the anchor with the found direction and horizontal pull."""
    cable = hang_at_tension(span_m, rise_m, weight, tension_n)
    bend = weight / float(cable.horizontal_n)
    start = [0.0, math.tan(float(cable.anchor_angle_rad)), 0.0]
    course = solve_ivp(
        lambda x, s: [s[1], bend * math.hypot(1.0, s[1]), math.hypot(1.0, s[1])], (0.0, span_m), start,
        rtol=1e-11, atol=1e-12, dense_output=True,
    )  # fmt: skip
    assert course.y[0][-1] == pytest.approx(rise_m, abs=1e-8)
    assert course.y[1][-1] == pytest.approx(math.tan(float(cable.top_angle_rad)), abs=1e-9)
    assert course.y[2][-1] == pytest.approx(float(cable.length_m), abs=1e-8)
    x = np.linspace(0.0, span_m, 20_001)
    under = x * rise_m / span_m - course.sol(x)[0]
    assert float(cable.sag_m) == pytest.approx(under.max(), abs=1e-6)
    assert float(cable.sag_at_m) == pytest.approx(x[under.argmax()], abs=0.05)
    assert float(cable.intercept_m) == pytest.approx(rise_m - span_m * start[1], abs=1e-9)


@given(spans_m, rises_m, weights, pulls)
def test_the_stretch_is_the_integral_of_the_tension(span_m, rise_m, weight, pull):
    cable = guy(span_m, rise_m, weight, pull)
    horizontal, foot = float(cable.horizontal_n), float(cable.horizontal_n) * math.tan(float(cable.anchor_angle_rad))
    total, _ = quad(
        lambda s: math.hypot(horizontal, foot + weight * s), 0.0, float(cable.length_m), epsabs=0.0, epsrel=1e-10, limit=200
    )
    assert float(cable.stretch_m(STIFFNESS_N)) == pytest.approx(total / STIFFNESS_N, rel=1e-7)
    assert float(cable.unstressed_m(STIFFNESS_N)) == pytest.approx(float(cable.length_m) - total / STIFFNESS_N, abs=1e-9)


@given(spans_m, rises_m, weights, pulls)
def test_tension_to_length_and_back(span_m, rise_m, weight, pull):
    cable = guy(span_m, rise_m, weight, pull)
    back = hang_with_length(span_m, rise_m, weight, STIFFNESS_N, cable.unstressed_m(STIFFNESS_N))
    assert float(back.anchor_tension_n) == pytest.approx(float(cable.anchor_tension_n), rel=1e-7)


@given(spans_m, rises_m, weights, pulls)
def test_tension_to_intercept_and_back(span_m, rise_m, weight, pull):
    cable = guy(span_m, rise_m, weight, pull)
    assert cable.intercept_m > 0.0 and cable.anchor_angle_rad < math.atan2(rise_m, span_m)
    back = hang_with_intercept(span_m, rise_m, weight, cable.intercept_m)
    assert float(back.anchor_tension_n) == pytest.approx(float(cable.anchor_tension_n), rel=1e-7)


@given(spans_m, rises_m, weights, st.floats(0.9, 3.0), st.floats(1e-4, 0.2))
def test_a_longer_guy_is_never_tighter(span_m, rise_m, weight, part, more):
    """H falls all the way; the anchor's own tension may rise again once the guy hangs in a deep loop."""
    chord_m = math.hypot(span_m, rise_m)
    short, long = (hang_with_length(span_m, rise_m, weight, STIFFNESS_N, chord_m * p) for p in (part, part + more))
    assert 0.0 < float(long.horizontal_n) < float(short.horizontal_n)


@given(spans_m, rises_m, weights, st.floats(2e-3, 0.02))
def test_taut_limit_a_straight_spring(span_m, rise_m, weight, strain):
    """Strain by T / EA of the stretched length, once the weight no longer bends the guy."""
    chord_m = math.hypot(span_m, rise_m)
    tension_n = strain * STIFFNESS_N
    assume(tension_n > 60.0 * weight * chord_m)
    found = hang_with_length(span_m, rise_m, weight, STIFFNESS_N, chord_m * (1.0 - strain))
    middle_n = (float(found.anchor_tension_n) + float(found.top_tension_n)) / 2.0
    sag_part = (weight * span_m / tension_n) ** 2 / 24.0  # length that the sag takes, of the chord
    assert middle_n == pytest.approx(tension_n, abs=1.1 * sag_part * STIFFNESS_N + 1e-6 * tension_n)


@given(spans_m, rises_m, weights, st.floats(1.02, 6.0))
def test_slack_limit_the_rope_of_the_textbook(span_m, rise_m, weight, part):
    """sqrt(L^2 - h^2) = 2 c sinh(d / 2c), solved by scipy."""
    length_m = part * math.hypot(span_m, rise_m)
    sideways = math.sqrt(length_m**2 - rise_m**2)
    c = brentq(lambda c: 2.0 * c * math.sinh(span_m / (2.0 * c)) - sideways, span_m / 40.0, span_m * 1e3, xtol=1e-12)
    found = hang_with_length(span_m, rise_m, weight, math.inf, length_m)
    assert float(found.horizontal_n) == pytest.approx(weight * c, rel=1e-6)
    assert float(found.length_m) == pytest.approx(length_m, rel=1e-9)


def elastic_cable(span_m, rise_m, weight, stiffness_n, unstressed_m, guess):
    """(H, V at the anchor) of a cable whose strain and weight count on the unstressed length (Irvine's equations)."""

    def misses(forces):
        h, v = forces
        top = v + weight * unstressed_m
        x = h * unstressed_m / stiffness_n + h / weight * (math.asinh(top / h) - math.asinh(v / h))
        y = (top**2 - v**2) / (2.0 * weight * stiffness_n) + (math.hypot(h, top) - math.hypot(h, v)) / weight
        return [x - span_m, y - rise_m]

    return fsolve(misses, guess, xtol=1e-13)


@pytest.mark.parametrize(
    ("span_m", "rise_m", "weight", "stiffness_n", "tension_n"),
    [
        (50.0, 60.0, 1.766, 3.74e6, 2958.0), (28.0, 13.3, 0.6025, 6.9e5, 1017.0), (52.0, 78.3, 0.6025, 6.9e5, 1017.0),
        (86.0, 78.3, 0.6025, 6.9e5, 712.0), (52.0, 78.3, 0.6025, 6.9e5, 1525.0),
    ],
)  # fmt: skip
def test_accuracy_against_an_elastic_cable(span_m, rise_m, weight, stiffness_n, tension_n):
    """7 to 15 % of the breaking strength, as in the mast files: 0.1 % of tension where strain is under 0.1 %, else 0.3 %."""
    shape = hang_at_tension(span_m, rise_m, weight, tension_n)
    unstressed_m = float(shape.unstressed_m(stiffness_n))
    guess = [float(shape.horizontal_n), float(shape.horizontal_n) * math.tan(float(shape.anchor_angle_rad))]
    h, v = elastic_cable(span_m, rise_m, weight, stiffness_n, unstressed_m, guess)
    strain = tension_n / stiffness_n
    assert math.hypot(h, v) == pytest.approx(tension_n, rel=1e-3 if strain < 1e-3 else 3e-3)


def test_a_tension_too_small_for_the_weight_and_a_rope_too_short_are_nan():
    too_little = hang_at_tension(50.0, 60.0, 1.7, np.array([1.0, 20.0, 45.0, 0.0]))
    assert np.isnan(too_little.opening).tolist() == [True, True, False, True]
    assert np.isnan(too_little.length_m[0])
    too_short = hang_with_length(50.0, 60.0, 1.7, math.inf, np.array([70.0, 78.0, 78.2]))
    assert np.isnan(too_short.opening).tolist() == [True, True, False]
    assert np.isnan(hang_with_intercept(50.0, 60.0, 1.7, -0.1).opening)


def test_arrays_broadcast_and_each_guy_is_as_alone():
    span_m, tension_n = np.array([[30.0], [50.0]]), np.array([500.0, 1000.0, 2000.0])
    together = hang_at_tension(span_m, 40.0, 1.2, tension_n)
    assert together.opening.shape == (2, 3)
    for i in range(2):
        for k in range(3):
            assert together.length_m[i, k] == hang_at_tension(span_m[i, 0], 40.0, 1.2, tension_n[k]).length_m
    lengths = together.unstressed_m(1e6)
    assert hang_with_length(span_m, 40.0, 1.2, 1e6, lengths).anchor_tension_n == pytest.approx(
        np.broadcast_to(tension_n, (2, 3)), rel=1e-8
    )


def test_a_level_guy_has_its_sag_in_the_middle():
    cable: Catenary = hang_at_tension(60.0, 0.0, 5.0, 1500.0)
    assert float(cable.sag_at_m) == pytest.approx(30.0, abs=1e-9)
    assert float(cable.anchor_tension_n) == pytest.approx(float(cable.top_tension_n), rel=1e-12)
    assert float(cable.sag_m) == pytest.approx(
        float(cable.parameter_m) * (math.cosh(30.0 / float(cable.parameter_m)) - 1.0), abs=1e-9
    )


@given(st.floats(5.0, 200.0), st.floats(0.02, 2.0), st.floats(50.0, 20_000.0), st.integers(1, 20))
def test_pulses_there_and_back(length_m, mass, tension_n, returns):
    seconds = returns * pulse_round_trip_s(length_m, mass, tension_n)
    assert tension_from_pulses_n(length_m, mass, returns, seconds) == pytest.approx(tension_n, rel=1e-12)


def test_the_pulse_with_the_mean_tension_is_the_integral_along_the_guy():
    """A wave runs at sqrt(T / m), and T grows with height: twice the integral of ds / sqrt(T / m)."""
    mass, weight = 0.0614, 0.0614 * 9.80665
    cable = hang_at_tension(52.0, 78.3, weight, 1017.0)
    foot, horizontal = float(cable.horizontal_n) * math.tan(float(cable.anchor_angle_rad)), float(cable.horizontal_n)
    exact, _ = quad(lambda s: 2.0 * math.sqrt(mass / math.hypot(horizontal, foot + weight * s)), 0.0, float(cable.length_m))
    mean_n = float(cable.anchor_tension_n + cable.top_tension_n) / 2.0
    assert float(pulse_round_trip_s(cable.length_m, mass, mean_n)) == pytest.approx(exact, rel=2e-4)


def test_heat_makes_longer_and_cold_shorter():
    assert thermal_change_m(100.0, 12e-6, np.array([-10.0, 0.0, 10.0])).tolist() == pytest.approx([-0.012, 0.0, 0.012])
