"""Forces of the lift: balance of every body at every angle, closed forms, energy, take-over, what is refused."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rigged_masts import BACK, G_KN, GUYS, LOADS, SIDES, WINCH, mast, rod, towards, turned, unbalance

from siting.errors import OutOfMethod
from siting.figures import rounded
from siting.lift.forces import Lines, forces_at, line_pull_kn, moment_knm
from siting.lift.geometry import lift_table
from siting.lift.line_clearance import WinchGround
from siting.lift.loads import hanging_guys, mast_sections, mast_turning
from siting.lift.side_wind import side_wind, velocity_pressure_kpa
from siting.lift.slope_gain import even_ground, slope_gain
from siting.lift.stage import Stage, lift_stage, lines_of, takeover_deg
from siting.lift.statics import StaticsCase, lift_statics
from siting.records.mast import Anchor
from siting.records.plan import GuyChord
from siting.records.rigging import Load, Rigging, WinchGear

LEVEL = Lines(np.array([-64.0, 0.0, 0.0]))
BALANCED = 1e-9  # kN and kNm


def bodies(turning, lines, angle_rad):
    """Forces on what is raised, on its gin pole, and on both, from the results; places and directions by rotation."""
    found = forces_at(turning, lines, angle_rad)
    down = np.array([0.0, 0.0, -1.0])
    tip = turned([0.0, 0.0, turning.pole_m], angle_rad)
    raised = [(turned([a, 0, 0], angle_rad), w * down) for a, w in zip(turning.at_m, turning.weight_kn, strict=True)]
    for attach_m, anchor in lines.back:
        place = turned([attach_m, 0, 0], angle_rad)
        raised.append((place, found.back_kn * towards(place, anchor)))
    pole = [
        (turned([0, 0, turning.pole_m / 2], angle_rad), turning.pole_kn * down),
        (tip, found.line_kn * towards(tip, lines.winch)),
    ]
    between = []
    for attach_m, force in zip(turning.attach_m, found.lift_kn, strict=True):
        place = turned([attach_m, 0, 0], angle_rad)
        between.append(((place, force * towards(place, tip)), (tip, force * towards(tip, place))))
    return found, raised, pole, between


@settings(max_examples=60)
@given(
    st.floats(-15.0, 85.0), st.floats(165.0, 195.0), st.floats(-15.0, 0.0), st.floats(0.0, 400.0),
    st.lists(st.floats(3.0, 60.0), min_size=1, max_size=4, unique_by=lambda a: round(a)), st.booleans(),
)  # fmt: skip
def test_every_body_is_in_balance_at_every_angle(angle, bearing, winch_z, pole_kg, attach, equalised):
    rig = Rigging(
        loads=LOADS, gin_pole_mass_kg=pole_kg, lift_attach_m=tuple(attach), lift_lines="equalised" if equalised else "fixed"
    )
    turning = mast_turning(mast(section_m=7.0), rig)
    b = math.radians(bearing)
    lines = Lines(
        np.array([64.0 * math.cos(b), 64.0 * math.sin(b), winch_z]), ((58.0, np.array([65.0, 2.0, 1.0])), (58.0, np.array([65.0, -9.0, -1.0])))
    )
    found, raised, pole, between = bodies(turning, lines, math.radians(angle))
    hinge = (np.zeros(3), found.hinge_kn)
    # The frame is left-handed (x along the laydown, y to its right, z up): a cross product turns the other way round.
    assert found.hinge_knm[1] == pytest.approx(0.0, abs=BALANCED)
    moments = np.array([found.hinge_knm[0], 0.0, found.hinge_knm[2]])
    assert unbalance([*raised, *pole, hinge], moments) < BALANCED
    foot = (np.zeros(3), found.foot_kn)
    on_raised = [*raised, *(lift for lift, _ in between), foot]
    assert abs(sum(f for _, f in on_raised)).max() < BALANCED
    assert abs(np.cross([p for p, _ in on_raised], [f for _, f in on_raised]).sum(axis=0)[1]) < BALANCED
    # The pole: what its foot takes besides, and nothing turns it in the lift plane.
    on_pole = [*pole, *(pull for _, pull in between), (np.zeros(3), found.hinge_kn - found.foot_kn)]
    assert abs(sum(f for _, f in on_pole)).max() < BALANCED
    assert abs(np.cross([p for p, _ in on_pole], [f for _, f in on_pole]).sum(axis=0)[1]) < BALANCED
    axis = turned([0, 0, 1], math.radians(angle))
    assert found.pole_foot_kn == pytest.approx(float((found.hinge_kn - found.foot_kn) @ axis), abs=BALANCED)
    assert found.line_kn >= 0.0 and found.back_kn >= 0.0 and min(found.lift_kn) >= 0.0
    assert found.line_kn == 0.0 or found.back_kn == 0.0


def test_a_rod_on_level_ground_by_hand():
    """Rod of 20 m and 100 kg, pole 12 m, winch 35 m away at the hinge's height, lift line at 16 m: 12-35-37 and 12-16-20.

    Source: moments about the hinge and at the pole's tip, by hand; the pole weighs nothing.
    """
    found = forces_at(rod(20.0, 5.0, 12.0, lift_attach_m=(16.0,)), Lines(np.array([-35.0, 0.0, 0.0])), 0.0)
    weight = 100.0 * G_KN
    line = weight * 10.0 / (12.0 * 35.0 / 37.0)
    lift = weight * 10.0 / (16.0 * 12.0 / 20.0)
    assert found.arm_m == pytest.approx(12.0 * 35.0 / 37.0, abs=1e-12)
    assert found.line_kn == pytest.approx(line, abs=1e-12)
    assert found.lift_kn == (pytest.approx(lift, abs=1e-12),)
    assert line * 35.0 / 37.0 == pytest.approx(lift * 16.0 / 20.0, abs=1e-12)  # level at the tip
    assert found.pole_foot_kn == pytest.approx(line * 12.0 / 37.0 + lift * 12.0 / 20.0, abs=1e-12)
    assert found.hinge_kn == pytest.approx([line * 35.0 / 37.0, 0.0, weight + line * 12.0 / 37.0], abs=1e-12)
    assert found.foot_kn == pytest.approx([lift * 16.0 / 20.0, 0.0, weight - lift * 12.0 / 20.0], abs=1e-12)


def test_a_rod_held_square_to_itself():
    """A pull square to the gin pole has the pole as its arm: T p = m g (H/2) cos t, whatever else.

    Source: a ladder held by a rope square to it, as in any book of statics (Beer & Johnston, from memory: the method only).
    """
    t = math.radians(30.0)
    along = np.array([math.cos(t), 0.0, math.sin(t)])
    tip = 12.0 * np.array([-math.sin(t), 0.0, math.cos(t)])
    found = forces_at(rod(20.0, 5.0, 12.0), Lines(tip - 40.0 * along), t)
    assert found.arm_m == pytest.approx(12.0, abs=1e-12)
    assert found.line_kn == pytest.approx(100.0 * G_KN * 10.0 * math.cos(t) / 12.0, abs=1e-12)
    assert found.hinge_kn == pytest.approx(100.0 * G_KN * np.array([0, 0, 1]) + found.line_kn * along, abs=1e-12)


@given(st.floats(490.0, 504.0), st.floats(-0.2, 0.3), st.floats(6.0, 16.0))
def test_the_mast_alone_without_friction_is_the_plans_own_pull(winch_m, rest_rad, pole_m):
    made = mast(WINCH, pole_m=pole_m)
    table = lift_table(made, {"W": winch_m}, 500.3, rest_rad)
    lines = lines_of(made, {"W": winch_m}, 500.3)
    stage = lift_stage(Stage("mast", "", mast_turning(made, Rigging()), lines, table.angles_deg), 0.0)
    compared = 0
    for angle, ours, wanted, arm in zip(table.angles_deg, stage.winch_pull_kn, table.winch_pull_kn, table.winch_arm_m, strict=True):
        if arm > 0.01 * pole_m or (angle == 90.0 and arm > 1e-9):
            assert ours == pytest.approx(wanted, abs=1e-9), angle
            compared += 1
        else:
            assert ours is None
    assert compared >= 10
    assert stage.arm_m == pytest.approx(table.winch_arm_m, abs=1e-12)
    assert stage.start_pull_kn == stage.winch_pull_kn[0]


@pytest.mark.parametrize(("section_m", "count", "last_m"), [(2.5, 24, 2.5), (7.0, 9, 4.0), (61.0, 1, 60.0), (0.7, 86, 0.5)])
def test_sections_with_a_short_last_one(section_m, count, last_m):
    sections = mast_sections(mast(section_m=section_m), Rigging())
    assert sections.mass_kg.size == count
    assert sections.length_m[-1] == pytest.approx(last_m, abs=1e-9)
    assert sections.mass_kg.sum() == pytest.approx(660.0, abs=1e-9)
    turning = mast_turning(mast(section_m=section_m), Rigging())
    assert moment_knm(turning, 0.4) == pytest.approx(660.0 * G_KN * 30.0 * math.cos(0.4), abs=1e-9)


@pytest.mark.parametrize(
    ("base_m", "section_m", "count", "last_m"), [(2.0, 3.0, 21, 1.0), (1.0, 59.0, 2, 59.0), (6.0, 4.5, 13, 4.5), (60.0, 3.0, 1, 60.0), (59.5, 3.0, 2, 0.5)]
)  # fmt: skip
def test_a_base_section_comes_first_and_the_last_is_cut_at_the_height(base_m, section_m, count, last_m):
    made = replace(mast(section_m=section_m), base_section_m=base_m)
    sections = mast_sections(made, Rigging())
    assert sections.length_m.size == count and sections.length_m[0] == pytest.approx(base_m)
    assert sections.start_m[1:] == pytest.approx([base_m + section_m * k for k in range(count - 1)])
    assert sections.length_m[-1] == pytest.approx(last_m) and sections.length_m.sum() == pytest.approx(60.0)
    assert made.section_ends_m[0] == 0.0 and made.section_ends_m[-1] == 60.0
    assert moment_knm(mast_turning(made, Rigging()), 0.4) == pytest.approx(660.0 * G_KN * 30.0 * math.cos(0.4), abs=1e-9)


def test_section_masses_stand_where_the_base_section_puts_them():
    """A base of 30 m with 100 kg and two sections of 15 m with 10 kg each: middles at 15, 37.5 and 52.5 m."""
    made = replace(mast(section_m=15.0), base_section_m=30.0)
    turning = mast_turning(made, Rigging(section_mass_kg=(100.0, 10.0, 10.0)))
    assert moment_knm(turning, 0.0) == pytest.approx((100.0 * 15.0 + 10.0 * 37.5 + 10.0 * 52.5) * G_KN)


def test_the_weight_moment_is_that_of_thin_slices():
    """Sections of unlike mass, a load, a leaning gin pole: summed in slices of 3 mm that turn."""
    masses = (50.0, 40.0, 30.0, 20.0, 20.0, 20.0, 10.0, 10.0, 5.0)
    rig = Rigging(loads=LOADS, section_mass_kg=masses, gin_pole_mass_kg=120.0)
    turning = mast_turning(mast(section_m=7.0), rig)
    t = math.radians(35.0)
    along = (np.arange(20_000) + 0.5) * 0.003
    density = np.array([*(m / 7.0 for m in masses[:-1]), masses[-1] / 4.0])[(along // 7.0).astype(int)]
    pole = (np.arange(4000) + 0.5) * 10.0 / 4000
    wanted = np.sum(density * 0.003 * along) * math.cos(t) - 120.0 * np.mean(pole) * math.sin(t)
    wanted += sum(load.mass_kg * load.at_m for load in LOADS) * math.cos(t)
    assert moment_knm(turning, t) == pytest.approx(wanted * G_KN, rel=1e-5)


@given(st.floats(-12.0, 10.0), st.floats(-10.0, -2.0), st.floats(20.0, 300.0))
def test_the_winch_lines_work_is_the_height_gained(rest_deg, winch_z, pole_kg):
    """Force x line wound in, summed over the lift, against every mass x g x its rise; 0.1 % is asked."""
    turning = mast_turning(mast(), Rigging(loads=LOADS, gin_pole_mass_kg=pole_kg))
    winch = np.array([-64.0, 0.0, winch_z])
    end = takeover_deg(turning, rest_deg)
    t = np.radians(np.linspace(rest_deg, end, 601))
    length = np.array([np.linalg.norm(winch - turned([0, 0, 10.0], a)) for a in t])
    pull = np.array([line_pull_kn(turning, winch, a) for a in t[:-1]] + [0.0])
    work = float(np.sum(0.5 * (pull[1:] + pull[:-1]) * -np.diff(length)))
    rise = 0.0
    for mass, place in [(660.0, [30.0, 0, 0]), (pole_kg, [0, 0, 5.0]), *((c.mass_kg, [c.at_m, 0, 0]) for c in LOADS)]:
        rise += mass * G_KN * float(turned(place, t[-1])[2] - turned(place, t[0])[2])
    assert work == pytest.approx(rise, rel=1e-4)


def test_friction_loads_the_winch_only():
    made = mast(WINCH, BACK, guys=(GUYS[0].__class__(58.0, ("K",), "temporary"),))
    turning = mast_turning(made, Rigging(gin_pole_mass_kg=100.0, lift_attach_m=(40.0,)))
    lines = lines_of(made, {"W": 500.0, "K": 500.0}, 500.3)
    angles = (0.0, 40.0, 90.0)
    smooth, rough = (lift_stage(Stage("mast", "", turning, lines, angles), f) for f in (0.0, 0.15))
    assert rough.winch_pull_kn == pytest.approx([1.15 * p for p in smooth.winch_pull_kn], abs=1e-12)
    assert (rough.line_kn, rough.hinge_vertical_kn, rough.lift_lines) == (smooth.line_kn, smooth.hinge_vertical_kn, smooth.lift_lines)
    assert rough.largest_pull_kn == pytest.approx(1.15 * smooth.largest_pull_kn, abs=1e-12)


@given(st.floats(1.0, 500.0))
def test_the_take_over_is_where_the_moments_are_equal(pole_kg):
    """tan t = m_mast H / (m_pole p): 660 kg at 30 m against the pole at 5 m. Source: moments by hand."""
    turning = rod(60.0, 11.0, 10.0, pole_kg)
    over = takeover_deg(turning, 0.0)
    assert math.tan(math.radians(over)) == pytest.approx(660.0 * 60.0 / (pole_kg * 10.0), rel=1e-9)
    assert moment_knm(turning, math.radians(over - 0.01)) > 0.0 > moment_knm(turning, math.radians(over + 0.01))


def test_after_the_take_over_the_back_guys_hold():
    """At plumb the pole of 120 kg pulls 5 m to the winch's side; two guys at 60 m, 60 m out and 60 m down: 45 degrees."""
    turning = rod(60.0, 11.0, 10.0, 120.0)
    back = np.array([60.0, 0.0, 0.0])
    found = forces_at(turning, Lines(LEVEL.winch, ((60.0, back), (60.0, back))), math.pi / 2)
    assert found.line_kn == 0.0
    assert found.back_kn == pytest.approx(120.0 * G_KN * 5.0 / (60.0 * math.sqrt(0.5)) / 2.0, abs=1e-12)
    stage = lift_stage(Stage("mast", "", turning, Lines(LEVEL.winch, ((60.0, back),)), (0.0, 45.0, 90.0)), 0.1)
    assert stage.winch_pull_kn[-1] == 0.0 and stage.back_guy_kn[0] == 0.0 < stage.back_guy_kn[-1]
    assert stage.takeover.startswith(f"from {stage.takeover_deg:.2f}° on the weight pulls towards the winch")
    assert "the back guys must hold" in stage.takeover


def test_only_the_highest_back_guys_hold_and_side_guys_never():
    made = mast(WINCH, BACK, *SIDES, guys=GUYS)
    lines = lines_of(made, {"W": 500.0, "K": 503.0, "R": 500.0, "L": 500.0}, 500.3)
    assert [attach_m for attach_m, _ in lines.back] == [58.0]
    assert lines.back[0][1] == pytest.approx([65.0, 0.0, 2.7], abs=1e-12)


def test_without_a_pole_mass_nothing_goes_over_and_it_is_said():
    stage = lift_stage(Stage("mast", "", rod(60.0, 11.0, 10.0), LEVEL, (0.0, 45.0, 80.0)), 0.0)
    assert stage.takeover_deg is None
    assert stage.takeover == (
        "the weight of the mast stays on the laydown's side up to 80° (the gin pole's weight is not known and not counted)"
    )


def test_guys_and_loads_only_put_the_take_over_later():
    made = mast(WINCH, BACK, *SIDES, guys=GUYS)
    heights = {"W": 500.0, "K": 503.0, "R": 500.0, "L": 500.0}
    case = StaticsCase(
        made, Rigging(loads=LOADS, gin_pole_mass_kg=150.0), heights, 500.3, 0.05, 5.0, 0.1,
        tuple(GuyChord(a, g.attach_m, "temporary", 4.0, 70.0, 50.0) for g in GUYS for a in g.anchors), (0.08,) * 6,
    )  # fmt: skip
    main = lift_statics(case).stages[-1]
    assert 80.0 < main.takeover_early_deg < main.takeover_deg < 90.0


def test_the_guys_own_weight_hangs_at_their_attachments():
    guys = (GuyChord("A", 58.0, "permanent", 4.0, 70.0, 55.0), GuyChord("B", 58.0, "permanent", None, 70.0, 55.0),
            GuyChord("C", 29.0, "permanent", 5.0, 40.0, 45.0))  # fmt: skip
    hung, without = hanging_guys(guys, (0.081, None, None))
    assert hung == (Load("guy to A", 58.0, pytest.approx(70.0 * 0.081, abs=1e-12)),)
    assert without == ("weight of guys without a known strand: B at 58 m, C at 29 m",)
    assert hanging_guys(guys, ())[1] == ("weight of guys without a known strand: A at 58 m, B at 58 m, C at 29 m",)
    half, _ = hanging_guys(guys, (0.081, 0.2, 0.3), 0.5)
    assert half[0].mass_kg == pytest.approx(35.0 * 0.081, abs=1e-12)
    assert hanging_guys((), ()) == ((), ("guys: none given",))
    one = mast_turning(mast(), Rigging(), hung)
    assert moment_knm(one, 0.0) == pytest.approx((660.0 * 30.0 + 70.0 * 0.081 * 58.0) * G_KN, abs=1e-9)


def test_uplift_is_flagged():
    """Lift line below the mast's middle: its foot goes up by W (H/2a - 1). A winch high up lifts the whole hinge."""
    low = lift_stage(Stage("mast", "", rod(60.0, 11.0, 10.0, lift_attach_m=(20.0,)), LEVEL, (0.0, 30.0, 80.0)), 0.0)
    assert low.foot_vertical_kn[0] == pytest.approx(660.0 * G_KN * (1.0 - 30.0 / 20.0), abs=1e-9)
    assert low.uplift_at_deg[0] == 0.0 and min(low.hinge_vertical_kn) > 0.0
    high = lift_stage(Stage("mast", "", rod(60.0, 11.0, 10.0), Lines(np.array([-30.0, 0.0, 60.0])), (0.0, 10.0)), 0.0)
    assert high.hinge_vertical_kn[0] < 0.0 and high.uplift_at_deg[0] == 0.0
    none = lift_stage(Stage("mast", "", rod(60.0, 11.0, 10.0, lift_attach_m=(50.0,)), LEVEL, (0.0, 40.0)), 0.0)
    assert none.uplift_at_deg == ()


def test_the_pole_is_pulled_off_its_foot_once_winch_tip_and_lift_point_stand_in_line():
    """A weightless pole carries nothing where the two lines are one straight line; there compression turns to pull."""
    stage = lift_stage(Stage("mast", "", rod(60.0, 11.0, 10.0, lift_attach_m=(40.0,)), LEVEL, tuple(range(0, 85, 5))), 0.0)
    t = math.radians(stage.pole_pulled_from_deg)
    tip, lift = turned([0, 0, 10], t), turned([40, 0, 0], t)
    assert np.linalg.norm(np.cross(towards(LEVEL.winch, tip), towards(tip, lift))) < 1e-7
    assert stage.gin_pole_compression_kn[0] > 0.0 > stage.gin_pole_compression_kn[-1]


# --- slope, wind --------------------------------------------------------------------------------------------------


@given(st.floats(0.5, 20.0))
def test_uphill_never_needs_a_larger_largest_pull(slope):
    made = mast()
    gain = slope_gain(made, mast_turning(made, Rigging(loads=LOADS, gin_pole_mass_kg=80.0)), slope, 0.1)
    uphill, level, downhill = gain.cases
    assert [c.laid for c in gain.cases] == ["uphill", "level", "downhill"]
    assert (uphill.slope_percent, level.slope_percent, downhill.slope_percent) == (slope, 0.0, -slope)
    assert uphill.largest_pull_kn <= level.largest_pull_kn + 1e-9
    assert downhill.largest_pull_kn is None or level.largest_pull_kn <= downhill.largest_pull_kn * 1.001
    assert uphill.fails_at_deg is None and downhill.fails_at_deg < 90.0
    # Late in the lift, at the same angle of the mast, the lower winch always has the longer arm.
    at = {c.laid: dict(zip(c.angles_deg, c.winch_pull_kn, strict=True)) for c in gain.cases}
    assert at["uphill"][75.0] < at["level"][75.0] and (at["downhill"][75.0] is None or at["level"][75.0] < at["downhill"][75.0])
    same = slope_gain(made, mast_turning(made, Rigging(loads=LOADS, gin_pole_mass_kg=80.0)), -slope, 0.1)
    assert same == gain


def test_the_slope_cases_are_the_lift_on_that_plane():
    made = mast(WINCH, BACK, guys=(GUYS[0].__class__(58.0, ("K",), "temporary"),))
    turning = mast_turning(made, Rigging(gin_pole_mass_kg=80.0))
    gain = slope_gain(made, turning, 8.0, 0.0)
    lines, rest_rad = even_ground(made, 8.0)
    assert lines.winch == pytest.approx([-64.0, 0.0, -0.08 * 64.0 - 0.3], abs=1e-12)
    assert math.tan(rest_rad) == pytest.approx(0.08 - 0.3 / 60.0, abs=1e-12)
    stage = lift_stage(Stage("mast", "", turning, lines, gain.cases[0].angles_deg), 0.0)
    assert gain.cases[0].winch_pull_kn == stage.winch_pull_kn
    assert "uphill" in gain.text and "% less uphill than downhill" in gain.text
    assert slope_gain(made, turning, 0.0, 0.0).text == "the ground is level along the laydown: the three cases are one"


def test_the_side_guys_load_by_hand():
    """12 m/s: q = 1.25 * 144 / 2 = 90 Pa; 1.2 * 0.2 m2/m: 21.6 N/m; times 60^2 / (2 * 48) at 48 m: 810 N sideways.

    Anchor 36 m out on the hinge axis at its height: the guy is 60 m long, 36/60 of it sideways: 1350 N at each angle.
    """
    made = mast(WINCH, *SIDES, guys=(replace(GUYS[0], attach_m=48.0, anchors=("R", "L")),))
    rig = Rigging(drag_coefficient=1.2, wind_area_m2_per_m=0.2)
    places = {"R": np.array([0.0, 36.0, 0.0]), "L": np.array([0.0, -36.0, 0.0])}
    found = side_wind(made, rig, 12.0, places, (0.0, 45.0, 90.0))
    assert velocity_pressure_kpa(12.0) == pytest.approx(0.09, abs=1e-12)
    assert found.line_load_kn_per_m == pytest.approx(0.0216, abs=1e-12)
    assert found.force_kn == pytest.approx(1.296, abs=1e-12)
    assert [g.anchor for g in found.guys] == ["R", "L"]
    for guy in found.guys:
        assert guy.load_kn == pytest.approx([1.35, 1.35, 1.35], abs=1e-12)
    twice = side_wind(made, rig, 24.0, places, (0.0,))
    assert twice.guys[0].largest_kn == pytest.approx(4 * 1.35, abs=1e-12)


def test_the_wind_has_no_default_and_what_is_missing_is_said():
    made = mast(WINCH, *SIDES, guys=GUYS)
    full = Rigging(drag_coefficient=1.2, wind_area_m2_per_m=0.2)
    places = {"R": np.array([0.0, 36.0, 0.0]), "L": np.array([0.0, -36.0, 0.0])}
    none = side_wind(made, full, None, places, (0.0,))
    assert none.text.startswith("NOT SET: no wind is given") and (none.guys, none.force_kn) == ((), None)
    bare = side_wind(made, Rigging(drag_coefficient=1.2), 8.0, places, (0.0,))
    assert bare.text == "not worked out: the mast file does not give wind_area_m2_per_m" and bare.guys == ()
    alone = side_wind(mast(), full, 8.0, {}, (0.0,))
    assert alone.text == "not worked out: the mast has no temporary guys to side anchors"


# --- what is refused ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("winch_z", "word"), [(0.0, "through or close by"), (0.5, "through or close by"), (20.0, "under")])
def test_a_line_through_or_under_the_hinge_gives_no_number(winch_z, word):
    """Near plumb the pole lies level towards a winch at the hinge's height; one higher than that passes under."""
    turning = mast_turning(mast(), Rigging(loads=LOADS))
    with pytest.raises(OutOfMethod, match=rf"lift at 89\.8°: the winch line passes {word} the hinge .*it does not lift\. Stand the"):
        forces_at(turning, Lines(np.array([-64.0, 0.0, winch_z])), math.radians(89.8))


def test_an_angle_without_a_number_says_why():
    stage = lift_stage(Stage("mast", "", rod(60.0, 11.0, 10.0, 80.0), Lines(np.array([-64.0, 0.0, 15.0])), (0.0, 40.0, 80.0, 90.0)), 0.0)
    assert stage.winch_pull_kn[1] > 0.0 and stage.winch_pull_kn[2:] == (None, None)
    assert stage.no_number[:2] == ("", "") and "passes under the hinge" in stage.no_number[2]
    assert stage.no_number[3] == "the weight has passed over the hinge: no back guy is named, so nothing holds it"
    assert (stage.largest_pull_kn, stage.end_pull_kn) == (None, None)


def test_what_does_not_fit_is_refused():
    with pytest.raises(OutOfMethod, match="no back guy is named: nothing holds it"):
        forces_at(rod(60.0, 11.0, 10.0, 80.0), LEVEL, math.pi / 2)
    with pytest.raises(OutOfMethod, match=r"back guys have no arm about the hinge \(-"):
        forces_at(rod(60.0, 11.0, 10.0, 80.0), Lines(LEVEL.winch, ((50.0, np.array([-60.0, 0, 0])),)), math.pi / 2)
    with pytest.raises(OutOfMethod, match="has no winch anchor"):
        lines_of(mast(Anchor("A", "permanent", 60.0, 40.0)), {"A": 500.0}, 500.3)
    with pytest.raises(OutOfMethod, match="boom: stands at 61 m of a mast of 60 m"):
        mast_turning(mast(), Rigging(loads=(Load("boom", 61.0, 5.0),)))
    with pytest.raises(OutOfMethod, match="section_mass_kg: has 2 masses for 24 sections"):
        mast_turning(mast(), Rigging(section_mass_kg=(1.0, 2.0)))
    with pytest.raises(OutOfMethod, match="a lift line holds at the hinge"):
        forces_at(rod(60.0, 11.0, 10.0, lift_attach_m=(0.0, 30.0)), LEVEL, 0.0)
    with pytest.raises(OutOfMethod, match=r"lift from 60\.0°: the weight stands over the hinge at 45\.0° already"):
        takeover_deg(rod(60.0, 11.0, 60.0, 660.0), 60.0)


# --- the whole ----------------------------------------------------------------------------------------------------


def whole_case(rig: Rigging, wind_m_s: float | None = 8.0) -> StaticsCase:
    made = mast(WINCH, BACK, *SIDES, guys=GUYS)
    heights = {"W": 495.0, "K": 504.0, "R": 500.0, "L": 500.2}
    s = np.linspace(0.0, 70.0, 141)
    return StaticsCase(made, rig, heights, 500.3, 0.06, 7.0, 0.1, (), (), WinchGround(s, 500.0 - s * 5.0 / 64.0), wind_m_s)


def test_the_whole_record_is_finite_and_rounds():
    rig = Rigging(
        loads=LOADS, gin_pole_mass_kg=120.0, lift_attach_m=(20.0, 40.0, 58.0), friction_ratio=0.1,
        winch=WinchGear(30.0, 10.0, 200.0, 0.3), stiffness_knm2=50_000.0, moment_limit_knm=40.0,
        drag_coefficient=1.2, wind_area_m2_per_m=0.2,
    )  # fmt: skip
    made = rounded(lift_statics(whole_case(rig)))
    main = made.stages[-1]
    assert made.remarks == () and main.no_number == ("",) * len(main.angles_deg)
    assert made.loads.mast_kg == 660.0 and made.loads.loads_kg == 55.0 and made.loads.sections == 24
    assert main.winch_pull_kn[0] == pytest.approx(1.1 * main.line_kn[0], abs=0.001)
    assert made.winch_line.largest_use_ratio == pytest.approx(max(main.winch_pull_kn) / 30.0, abs=0.001)
    assert made.bending.use_ratio is not None and made.clearance is not None and made.side_wind.guys
    assert made.loads.left_out == ("guys: none given", "jerks, ice, and the pull of guys that are held tight")


def test_a_bare_mast_file_gives_what_it_can_and_says_the_rest():
    made = rounded(lift_statics(replace(whole_case(Rigging(), None), winch_ground=None)))
    assert (made.bending, made.clearance, made.first_pole, len(made.stages)) == (None, None, None, 1)
    assert made.stages[0].lift_lines == () and set(made.stages[0].gin_pole_compression_kn) == {None}
    for key in ("[[loads]]", "gin_pole_mass_kg", "lift_attach_m", "friction_ratio"):
        assert any(key in text for text in made.loads.left_out), key
    assert any("the ground towards the winch was not given" in text for text in made.remarks)
    assert any(text.startswith("bending of the mast: not worked out: mast file, lift_attach_m") for text in made.remarks)
    assert made.side_wind.text.startswith("NOT SET") and "limit_kn" in made.winch_line.drum_text
