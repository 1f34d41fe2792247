"""The mast as a beam: closed forms, a numeric integration of its own, lift lines that go slack, what is refused."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from rigged_masts import G_KN, LOADS, mast, rod

from siting.errors import OutOfMethod
from siting.kernels.beam import BeamLoads, deflection, largest_moment, moment, shear, support_forces
from siting.lift.bending import beam_at, mast_bending
from siting.lift.forces import Lines, forces_at
from siting.lift.loads import mast_turning
from siting.records.rigging import Rigging

LEVEL = Lines(np.array([-64.0, 0.0, -0.3]))
W = 11.0 * G_KN  # kN/m of the rod
STIFF = 1e6


def even(length: float, held: tuple[float, ...], q: float = 1.0) -> BeamLoads:
    """An even load of -q on a beam held at 0 and at these places."""
    bare = BeamLoads(np.zeros(1), np.array([length]), np.array([-q]), np.zeros(0), np.zeros(0))
    forces = support_forces(bare, np.array(held))
    return replace(bare, place=np.array([*held, 0.0]), force=np.array([*forces, q * length - forces.sum()]))


# --- the beam itself ----------------------------------------------------------------------------------------------


def test_simple_beam_closed_forms():
    """q L^2/8 at the middle, 5 q L^4/(384 EI). Source: AISC Manual, beam diagrams, case 1, from memory."""
    loads = even(8.0, (8.0,), 2.0)
    assert largest_moment(loads) == (pytest.approx(2.0 * 64.0 / 8.0, abs=1e-9), pytest.approx(4.0, abs=1e-9))
    assert deflection(np.array([4.0]), loads, 50.0, (0.0, 8.0))[0] == pytest.approx(-5 * 2.0 * 8.0**4 / (384 * 50.0), abs=1e-9)
    assert shear(np.array([1e-9, 7.999999999]), loads) == pytest.approx([8.0, -8.0], abs=1e-6)


def test_overhanging_beam_closed_forms():
    """Span l, overhang a: R = q(l+a)^2/(2l), M = -q a^2/2 there, tip q a(4 a^2 l - l^3 + 3 a^3)/(24 EI).

    Source: AISC Manual, beam overhanging one support, even load, from memory.
    """
    span, a, q, ei = 6.0, 2.5, 3.0, 70.0
    loads = even(span + a, (span,), q)
    assert loads.force[0] == pytest.approx(q * (span + a) ** 2 / (2 * span), abs=1e-9)
    assert moment(np.array([span]), loads)[0] == pytest.approx(-q * a**2 / 2, abs=1e-9)
    largest = q / (8 * span**2) * (span + a) ** 2 * (span - a) ** 2
    assert largest_moment(loads) == (pytest.approx(max(largest, q * a**2 / 2, key=abs) if largest > q * a**2 / 2 else -q * a**2 / 2, abs=1e-9),
                                     pytest.approx(span / 2 * (1 - a**2 / span**2) if largest > q * a**2 / 2 else span, abs=1e-9))  # fmt: skip
    tip = q * a * (4 * a**2 * span - span**3 + 3 * a**3) / (24 * ei)
    assert deflection(np.array([span + a]), loads, ei, (0.0, span))[0] == pytest.approx(-tip, abs=1e-9)


@pytest.mark.parametrize(
    ("spans", "shares"),
    [(2, (3 / 8, 10 / 8, 3 / 8)), (3, (0.4, 1.1, 1.1, 0.4)), (4, (11 / 28, 32 / 28, 26 / 28, 32 / 28, 11 / 28))],
)
def test_continuous_beam_closed_forms(spans, shares):
    """Supports of equal spans as parts of q l. Source: three-moment equation; tables of continuous beams, from memory."""
    loads = even(5.0 * spans, tuple(5.0 * i for i in range(1, spans + 1)))
    assert loads.force / 5.0 == pytest.approx([*shares[1:], shares[0]], abs=1e-9)


def test_moment_and_deflection_against_a_sum_of_thin_slices():
    """Loads in slices of 1 mm, curvature integrated twice by the trapezium rule: no formula shared."""
    bare = BeamLoads(np.array([0.0, 3.0]), np.array([3.0, 10.0]), np.array([-2.0, -0.7]), np.array([6.3]), np.array([-4.0]))
    held = np.array([4.0, 9.0])
    loads = replace(bare, place=np.array([6.3, *held]), force=np.array([-4.0, *support_forces(bare, held)]))
    x = np.linspace(0.0, 10.0, 10_001)
    mid = 0.5 * (x[1:] + x[:-1])
    slices = np.where(mid < 3.0, -2.0, -0.7) * 0.001
    hinge = -(slices.sum() + loads.force.sum())
    grid = x[::100]
    sliced = np.array([np.sum(slices[mid < s] * (s - mid[mid < s])) + hinge * s for s in grid])
    sliced += sum(f * np.maximum(grid - c, 0.0) for c, f in zip(loads.place, loads.force, strict=True))
    whole = replace(loads, place=np.append(loads.place, 0.0), force=np.append(loads.force, hinge))
    assert moment(grid, whole) == pytest.approx(sliced, abs=1e-5)
    assert sliced[-1] == pytest.approx(0.0, abs=1e-5)
    fine = np.interp(x, grid, moment(grid, whole)) / 900.0
    turn = np.concatenate([[0.0], np.cumsum(0.5 * (fine[1:] + fine[:-1]) * 0.001)])
    sag = np.concatenate([[0.0], np.cumsum(0.5 * (turn[1:] + turn[:-1]) * 0.001)])
    sag -= x / 9.0 * sag[9000]
    assert deflection(grid, whole, 900.0, (0.0, 9.0)) == pytest.approx(sag[::100], abs=2e-5)
    assert deflection(held, whole, 900.0, (0.0, 9.0)) == pytest.approx([0.0, 0.0], abs=1e-12)
    peak, at = largest_moment(whole)
    dense = moment(x, whole)
    assert abs(peak) >= np.abs(dense).max() - 1e-12 and abs(peak) == pytest.approx(np.abs(dense).max(), abs=1e-6)
    assert moment(np.array([at]), whole)[0] == pytest.approx(peak, abs=1e-12)


# --- the mast -----------------------------------------------------------------------------------------------------


def test_a_mast_on_one_lift_line_by_hand():
    """60 m of 11 kg/m held at 45 m, level: the overhanging beam's moment q/(8 l^2) (l+a)^2 (l-a)^2 of 60 and 15 m."""
    turning = rod(60.0, 11.0, 10.0, lift_attach_m=(45.0,))
    made = mast_bending(Rigging(stiffness_knm2=STIFF, moment_limit_knm=50.0), turning, LEVEL, (0.0, 30.0, 80.0))
    wanted = W / (8 * 45.0**2) * 60.0**2 * 30.0**2
    assert made.angle_deg == 0.0
    assert (made.largest_knm, made.largest_at_m) == (pytest.approx(wanted, abs=1e-9), pytest.approx(22.5 * (1 - 1 / 9), abs=1e-9))
    assert made.use_ratio == pytest.approx(wanted / 50.0, abs=1e-12)
    assert (made.moment_knm[0], made.moment_knm[-1]) == (pytest.approx(0.0, abs=1e-9), pytest.approx(0.0, abs=1e-9))
    assert made.growth_ratio == 1.0
    x = np.linspace(0.0, 45.0, 4501)
    # Source: AISC Manual, the same case between the supports, from memory.
    shape = W * x / (24 * STIFF * 45.0) * (45.0**4 - 2 * 45.0**2 * x**2 + 45.0 * x**3 - 2 * 15.0**2 * 45.0**2 + 2 * 15.0**2 * x**2)
    assert -made.largest_deflection_m == pytest.approx(shape.max(), rel=1e-5)
    assert made.largest_deflection_at_m == pytest.approx(x[shape.argmax()], abs=0.2)


@given(st.floats(-15.0, 70.0), st.booleans())
def test_the_beam_is_in_balance_and_carries_the_lift_lines(angle, equalised):
    rig = Rigging(loads=LOADS, gin_pole_mass_kg=90.0, lift_attach_m=(18.0, 37.0, 56.0), lift_lines="equalised" if equalised else "fixed")
    turning = mast_turning(mast(section_m=7.0), rig)
    case = beam_at(turning, LEVEL, angle)
    ends = moment(np.array([0.0, 60.0]), case.loads)
    assert ends == pytest.approx([0.0, 0.0], abs=1e-9)
    lift = forces_at(turning, LEVEL, math.radians(angle)).lift_kn
    if equalised:
        assert max(lift) - min(lift) < 1e-12
    else:
        held = deflection(np.array([18.0, 37.0, 56.0]), case.loads, STIFF, (0.0, 56.0))
        assert held == pytest.approx([0.0, 0.0, 0.0], abs=1e-9)
    square = sum(f * a * 10.0 / math.hypot(a, 10.0) for f, a in zip(lift, turning.attach_m, strict=True))
    wanted = (660.0 * 30.0 + sum(c.mass_kg * c.at_m for c in LOADS)) * G_KN * math.cos(math.radians(angle))
    assert square == pytest.approx(wanted, abs=1e-9)


def test_a_lift_line_that_would_have_to_push_goes_slack():
    """Held at 20 m with 40 m beyond, the mast lifts off a line at 5 m: it carries nothing."""
    turning = rod(60.0, 11.0, 10.0, lift_attach_m=(5.0, 20.0))
    slack = forces_at(turning, LEVEL, 0.0).lift_kn
    alone = forces_at(replace(turning, attach_m=(20.0,)), LEVEL, 0.0).lift_kn
    assert slack[0] == 0.0 and slack[1] == pytest.approx(alone[0], abs=1e-9)


def test_the_worst_angle_is_level_where_the_mast_passes_through_it():
    turning = rod(60.0, 11.0, 10.0, lift_attach_m=(25.0, 50.0))
    made = mast_bending(Rigging(), turning, LEVEL, (-7.0, -5.0, 5.0, 80.0))
    assert made.angle_deg == 0.0
    uphill = mast_bending(Rigging(), turning, LEVEL, (6.0, 10.0, 80.0))
    assert uphill.angle_deg == 6.0
    assert abs(uphill.largest_knm) == pytest.approx(abs(made.largest_knm) * math.cos(math.radians(6.0)), abs=1e-9)


def test_more_lift_lines_bend_it_less():
    moments = [
        abs(mast_bending(Rigging(), rod(60.0, 11.0, 10.0, lift_attach_m=a), LEVEL, (0.0,)).largest_knm)
        for a in ((50.0,), (25.0, 50.0), (18.0, 36.0, 54.0), (14.0, 28.0, 42.0, 56.0))
    ]
    assert moments == sorted(moments, reverse=True) and moments[0] > 8 * moments[-1]


def test_without_stiffness_or_limit_it_is_said():
    made = mast_bending(Rigging(), rod(60.0, 11.0, 10.0, lift_attach_m=(45.0,)), LEVEL, (0.0,))
    assert (made.deflection_m, made.largest_deflection_m, made.euler_ratio, made.use_ratio) == (None, None, None, None)
    assert "no limit given (moment_limit_knm)" in made.text
    assert "deflection, and what the push along the mast adds, not worked out: stiffness_knm2 is not given" in made.text


def test_the_push_along_the_mast_grows_moment_and_deflection():
    """Push N of the lift line, Euler's load pi^2 EI / l^2: EI chosen so that the ratio is 0.25, growth 1/(1 - 0.25)."""
    turning = rod(60.0, 11.0, 10.0, lift_attach_m=(45.0,))
    push = forces_at(turning, LEVEL, 0.0).lift_kn[0] * 45.0 / math.hypot(45.0, 10.0)
    stiff = push * 45.0**2 / (math.pi**2 * 0.25)
    plain = mast_bending(Rigging(stiffness_knm2=STIFF, moment_limit_knm=50.0), turning, LEVEL, (0.0,))
    grown = mast_bending(Rigging(stiffness_knm2=stiff, moment_limit_knm=50.0), turning, LEVEL, (0.0,))
    assert grown.euler_ratio == pytest.approx(0.25, abs=1e-12) and grown.axial_kn == pytest.approx(push, abs=1e-12)
    assert grown.growth_ratio == pytest.approx(4.0 / 3.0, abs=1e-12)
    assert grown.largest_knm == pytest.approx(plain.largest_knm * 4 / 3, abs=1e-9)
    assert grown.use_ratio == pytest.approx(plain.use_ratio * 4 / 3, abs=1e-12)
    with pytest.raises(OutOfMethod, match=r"is 0\.50 of Euler's load of its span of 45\.0 m, the straight beam's formula holds to 0\.33"):
        mast_bending(Rigging(stiffness_knm2=stiff / 2), turning, LEVEL, (0.0,))


def test_the_span_nearest_to_buckling_carries_only_the_push_from_above_it():
    """Lines at 10, 20 and 55 m: the span of 35 m with the top line's push alone, not the short lower ones with all three."""
    turning = rod(60.0, 11.0, 10.0, lift_attach_m=(10.0, 20.0, 55.0))
    case = beam_at(turning, LEVEL, 20.0)
    top = forces_at(turning, LEVEL, math.radians(20.0)).lift_kn[2] * 55.0 / math.hypot(55.0, 10.0)
    assert case.span_m == 35.0
    assert case.axial_kn == pytest.approx(top + W * 40.0 * math.sin(math.radians(20.0)), rel=0.03)  # the sections above 20 m


def test_at_plumb_nothing_bends():
    low = Lines(np.array([-64.0, 0.0, -4.0]))
    made = mast_bending(Rigging(stiffness_knm2=STIFF), rod(60.0, 11.0, 10.0, lift_attach_m=(25.0, 50.0)), low, (89.0, 90.0))
    assert made.angle_deg == 89.0
    alone = mast_bending(Rigging(stiffness_knm2=STIFF), rod(60.0, 11.0, 10.0, lift_attach_m=(25.0, 50.0)), low, (90.0,))
    assert alone.largest_knm == pytest.approx(0.0, abs=1e-9)


def test_a_deflection_that_is_not_small_is_no_number():
    """A weak long mast hardly pushed: a very long gin pole keeps the push low while the sag grows."""
    turning = rod(60.0, 11.0, 400.0, lift_attach_m=(45.0,))
    far = Lines(np.array([-4000.0, 0.0, 0.0]))
    made = mast_bending(Rigging(stiffness_knm2=1500.0), turning, far, (0.0,))
    assert (made.deflection_m, made.largest_deflection_m, made.largest_deflection_at_m) == (None, None, None)
    assert "deflection out of the method: the straight beam's formula gives 0." in made.text
    assert made.largest_knm == pytest.approx(W / (8 * 45.0**2) * 60.0**2 * 30.0**2 * made.growth_ratio, abs=1e-9)


def test_what_cannot_be_a_beam_is_refused():
    with pytest.raises(OutOfMethod, match="lift_attach_m: is not given"):
        beam_at(rod(60.0, 11.0, 10.0), LEVEL, 0.0)
    with pytest.raises(OutOfMethod, match="the weight has passed over the hinge"):
        beam_at(rod(60.0, 11.0, 10.0, 80.0, lift_attach_m=(45.0,)), LEVEL, 90.0)
    with pytest.raises(OutOfMethod, match="it does not lift"):
        mast_bending(Rigging(), rod(60.0, 11.0, 10.0, lift_attach_m=(45.0,)), Lines(np.array([64.0, 0.0, 0.0])), (0.0, 40.0))
