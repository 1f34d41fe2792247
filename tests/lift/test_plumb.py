"""A mast pulled out of plumb is brought back by the instructions, solved anew by another solver; readings, checks, form."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import root

from siting.errors import InputError, OutOfMethod
from siting.figures import rounded
from siting.inputs.mast_file import find_mast, read_mast, shipped_masts
from siting.kernels.cable import hang_with_length
from siting.kernels.guyed_mast import STRAIGHT, stand
from siting.lift.guy_lengths import rig_level
from siting.lift.plumb import lean_m, plumb_form, plumb_report, read_tensions_n
from siting.lift.plumb_correction import correct_plumb
from siting.lift.plumb_lengths import plumb_guys
from siting.lift.standing import StandingMast, guys_at_tension, level_weights_n, stand_up, standing_mast
from siting.lift.strands import find_strand
from siting.records.mast import GuyLevel
from siting.records.plumb import LeanReading, PlumbOptions, TensionReading
from siting.records.rigging import Load, Rigging
from tests.lift import rigs

OPTIONS = PlumbOptions()
FIVE_MM, MASTS = 0.005, shipped_masts()


def on_a_slope(name: str, seed: int, changes=None) -> StandingMast:
    """A shipped mast, without its stiffness, on ground that falls off sideways too, every anchor up to 0.8 m off the even slope."""
    mast = read_mast(*find_mast(name, Path("."), "test"))
    mast = replace(mast, **({"rigging": replace(mast.rigging, stiffness_knm2=None)} | (changes or {})))
    found = tuple(
        rig_level(find_strand(g.strand, g.diameter_mm, "test"), mast.guy_options, g.initial_tension_kn) for g in mast.guys
    )
    rng = np.random.default_rng(seed)
    ground = {k: v + rng.uniform(-0.8, 0.8) for k, v in rigs.ground_m(mast, 0.12, -0.07).items()}
    return standing_mast(mast, ground, rigs.BASE_M + mast.hinge_height_m, found)


def plumb_lengths(made: StandingMast) -> np.ndarray:
    plumb = np.zeros((made.model.heights_m.size, 2))
    return plumb_guys(made, guys_at_tension(made, plumb, made.set_tension_n).unstressed_m, OPTIONS, 0.001).unstressed_m


def pulled(made: StandingMast, seed: int, reach_m: float) -> np.ndarray:
    """Unstressed lengths, every guy taken in or let out by up to `reach_m`."""
    return plumb_lengths(made) + np.random.default_rng(seed).uniform(-reach_m, reach_m, len(made.anchors))


def applied(correction, length: np.ndarray) -> np.ndarray:
    """The lengths after every step is done, one after the other, as the crew reads them."""
    length, index = length.copy(), {(g.anchor, g.attach_m): i for i, g in enumerate(correction.guys)}
    for step in correction.steps:
        length[index[step.anchor, step.attach_m]] += step.change_cm / 100.0
    return length


def of_breaking(made: StandingMast, tension_n: np.ndarray) -> np.ndarray:
    return tension_n / made.breaking_n


# --- the round trip -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("name", MASTS)
def test_the_instructions_bring_the_mast_back_to_plumb(name, seed):
    """From lean and tensions as read: the mast solved anew from plumb stands within 5 mm, every tension in its bounds."""
    made = on_a_slope(name, seed)
    length = pulled(made, seed + 50, 0.06)
    leaning = stand_up(made, length)
    lean = leaning.displacement_m
    assert np.hypot(*lean.T).max() > 0.05
    correction = correct_plumb(made, lean, leaning.tension_n, OPTIONS)
    assert correction.steps
    after = stand(made.model, applied(correction, length))
    assert after.why == ""
    assert np.hypot(*after.displacement_m.T).max() < FIVE_MM
    ratio = of_breaking(made, after.tension_n)
    assert ratio.min() >= 0.07 and ratio.max() <= 0.15
    assert correction.after_cm == pytest.approx(100.0 * np.hypot(*after.displacement_m.T), abs=0.05)
    assert [g.after_kn for g in correction.guys] == pytest.approx(after.tension_n / 1000.0, rel=0.01)
    assert all(c.verdict == "pass" for c in plumb_report(made.model.heights_m, after.displacement_m, OPTIONS).checks)


@pytest.mark.parametrize("name", MASTS)
def test_the_lean_alone_brings_it_within_a_centimetre_and_read_again_within_five_millimetres(name):
    made = on_a_slope(name, 9)
    length = pulled(made, 10, 0.04)
    unread, off = np.full(length.size, np.nan), []
    for _ in range(2):
        correction = correct_plumb(made, stand_up(made, length).displacement_m, unread, OPTIONS)
        length = applied(correction, length)
        off.append(np.hypot(*stand_up(made, length).displacement_m.T).max())
    assert off[0] < 0.01 and off[1] < FIVE_MM


class Anew:
    """The chain of straight pieces written anew: unknown angles of the pieces, moments about the joints, the other cable."""

    def __init__(self, made: StandingMast) -> None:
        self.made, self.model = made, made.model

    def pulls(self, angles: np.ndarray, length: np.ndarray):
        """Places of the levels, the guys' forces on them, and their tensions at the anchors."""
        slope = angles.reshape(-1, 2)
        piece = np.diff(self.model.heights_m, prepend=0.0)[:, None]
        upright = np.sqrt(1.0 - (slope**2).sum(axis=1, keepdims=True))
        places = np.cumsum(piece * np.hstack([slope, upright]), axis=0)
        reach = places[self.model.level] - self.model.anchors_m
        span = np.hypot(reach[:, 0], reach[:, 1])
        guy = hang_with_length(span, reach[:, 2], self.model.weight_n_per_m, self.model.stiffness_n, length)
        down = guy.top_tension_n * np.sin(guy.top_angle_rad)
        force = -np.column_stack([guy.horizontal_n[:, None] * reach[:, :2] / span[:, None], down])
        return places, force, guy.anchor_tension_n

    def moments(self, angles: np.ndarray, length: np.ndarray) -> np.ndarray:
        places, force, _ = self.pulls(angles, length)
        joints, weight = np.vstack([np.zeros(3), places]), np.zeros((places.shape[0], 3))
        weight[:, 2] = -self.model.weight_n
        found = []
        for joint in range(places.shape[0]):
            of = self.model.level >= joint
            moment = np.cross(places[self.model.level[of]] - joints[joint], force[of]).sum(axis=0)
            moment = moment + np.cross(places[joint:] - joints[joint], weight[joint:]).sum(axis=0)
            found.append(moment[:2] / 1e4)
        return np.concatenate(found)

    def stand(self, length: np.ndarray):
        found = root(self.moments, np.zeros(2 * self.model.heights_m.size), args=(length,), tol=1e-10)
        assert np.abs(self.moments(found.x, length)).max() < 1e-6
        places, _, tension = self.pulls(found.x, length)
        return places[:, :2], tension


@pytest.mark.parametrize("seed", range(3))
def test_a_solver_written_anew_finds_the_mast_plumb_after_the_instructions(seed):
    """Lean and tensions come from it, and so does the proof: it shares neither cable nor balance with the correction."""
    mast = rigs.mast()
    ground = rigs.ground_m(mast, 0.15, -0.08)
    made = standing_mast(
        mast, {k: v + 0.3 * (seed + 1) * math.sin(7.0 * v) for k, v in ground.items()}, rigs.HINGE_M, rigs.rigs(mast)
    )
    anew, length = Anew(made), pulled(made, seed, 0.06)
    lean, tension = anew.stand(length)
    assert np.hypot(*lean.T).max() > 0.03
    correction = correct_plumb(made, lean, tension, OPTIONS)
    after, carried = anew.stand(applied(correction, length))
    assert np.hypot(*after.T).max() < FIVE_MM
    assert (of_breaking(made, carried) > 0.069).all() and (of_breaking(made, carried) < 0.151).all()
    assert stand_up(made, length).displacement_m == pytest.approx(lean, abs=0.002)


@pytest.mark.parametrize("truth", [{"mast": STRAIGHT}, {"bending_nm2": 8e6}, {"bending_nm2": 4e5}])
@pytest.mark.parametrize("seed", range(2))
def test_a_mast_stiffer_than_assumed_comes_back_too(truth, seed):
    """The instructions take the chain; the mast that is solved anew is a rod or a beam. What was read tells every length."""
    made = on_a_slope("lattice-60", 4 + seed)
    assert made.model.bending_nm2 == 0.0
    stiff, length = replace(made.model, **truth), pulled(made, 21 + seed, 0.05)
    leaning = stand(stiff, length)
    correction = correct_plumb(made, leaning.displacement_m, leaning.tension_n, OPTIONS)
    assert correction.before_cm == pytest.approx(100.0 * np.hypot(*leaning.displacement_m.T), abs=1e-6)
    assert [g.before_kn for g in correction.guys] == pytest.approx(leaning.tension_n / 1000.0, rel=1e-6)
    # What the mast's own stiffness held is still held after the first step: the other levels stay where they were.
    first = correction.steps[0]
    moved = np.abs(np.subtract(first.lean_cm, correction.before_cm))[np.array(correction.levels_m) != first.attach_m]
    assert moved.max() < 1.0
    after = stand(stiff, applied(correction, length))
    assert after.why == "" and np.hypot(*after.displacement_m.T).max() < FIVE_MM
    ratio = of_breaking(made, after.tension_n)
    assert ratio.min() >= 0.068 and ratio.max() <= 0.152


def test_without_tensions_a_stiff_mast_comes_back_to_plumb_and_the_unread_tensions_are_a_warning():
    made = on_a_slope("lattice-60", 4)
    stiff, length = replace(made.model, mast=STRAIGHT), pulled(made, 21, 0.05)
    unread = np.full(length.size, np.nan)
    first = correct_plumb(made, stand(stiff, length).displacement_m, unread, OPTIONS)
    for _ in range(2):
        length = applied(correct_plumb(made, stand(stiff, length).displacement_m, unread, OPTIONS), length)
    after = stand(stiff, length)
    assert (np.hypot(*after.displacement_m.T) / stiff.heights_m).max() < 0.0025 / 4
    assert first.warnings[0].startswith("No tension was read: a stiff mast can stand plumb on guys that are far too tight")


def test_readings_with_their_errors_bring_the_mast_within_twice_what_was_misread():
    """Offsets off by 1 cm and tensions by 5 % (one standard deviation), read once."""
    rng, left = np.random.default_rng(11), []
    for seed in range(6):
        made = on_a_slope("lattice-60", seed)
        length = pulled(made, 70 + seed, 0.05)
        leaning = stand_up(made, length)
        lean = leaning.displacement_m + rng.normal(0.0, 0.01, leaning.displacement_m.shape)
        tension = leaning.tension_n * (1.0 + rng.normal(0.0, 0.05, length.size))
        after = stand_up(made, applied(correct_plumb(made, lean, tension, OPTIONS), length))
        left.append(np.hypot(*after.displacement_m.T))
    assert np.sqrt(np.mean(np.square(left))) < 0.02 * math.sqrt(2.0)


# --- the steps ------------------------------------------------------------------------------------------------------


def test_each_step_says_what_the_mast_solved_anew_carries_and_stays_in_bounds():
    made = on_a_slope("lattice-80", 2)
    length = pulled(made, 3, 0.02)
    leaning = stand_up(made, length)
    correction = correct_plumb(made, leaning.displacement_m, leaning.tension_n, OPTIONS)
    assert [s.number for s in correction.steps] == list(range(1, len(correction.steps) + 1))
    index = {(g.anchor, g.attach_m): i for i, g in enumerate(correction.guys)}
    total = np.zeros(length.size)
    for step in correction.steps:
        assert abs(step.change_cm) <= 100.0 * OPTIONS.largest_step_m + 1e-9
        total[index[step.anchor, step.attach_m]] += step.change_cm
        now = stand_up(made, length + total / 100.0)
        assert step.tension_kn == pytest.approx(now.tension_n / 1000.0, rel=2e-3)
        assert step.lean_cm == pytest.approx(100.0 * np.hypot(*now.displacement_m.T), abs=0.15)
        ratio = of_breaking(made, now.tension_n)
        assert step.outside or (ratio.min() > 0.0695 and ratio.max() < 0.151)
    assert total == pytest.approx([g.change_cm for g in correction.guys], abs=1e-9)
    assert correction.total_cm == pytest.approx(np.abs(total).sum())
    assert rounded(correction).guys[0].anchor == "A1"


def test_a_guy_outside_its_bounds_on_the_way_is_named_in_step_and_warning():
    made = on_a_slope("lattice-60", 1)
    length = plumb_lengths(made)
    length[15:18] -= 0.06
    leaning = stand_up(made, length)
    assert of_breaking(made, leaning.tension_n).max() > 0.151
    correction = correct_plumb(made, leaning.displacement_m, leaning.tension_n, OPTIONS)
    assert correction.steps[0].outside
    assert any("outside its bounds on the way" in w for w in correction.warnings)
    assert not correction.steps[-1].outside


def test_one_guy_taken_in_too_far_is_let_out_again_and_nothing_else_moves_much():
    made = on_a_slope("lattice-60", 6)
    length = plumb_lengths(made)
    length[16] -= 0.03
    leaning = stand_up(made, length)
    guys = correct_plumb(made, leaning.displacement_m, leaning.tension_n, OPTIONS).guys
    moved = np.array([g.change_cm for g in guys])
    assert int(np.abs(moved).argmax()) == 16 and 1.5 < moved[16] <= 3.05
    # The least sum of squares: no worse than undoing it on that guy alone.
    assert (moved**2).sum() <= 3.05**2


def test_a_mast_that_stands_plumb_needs_no_step():
    made = on_a_slope("lattice-60", 7)
    standing = stand_up(made, plumb_lengths(made))
    correction = correct_plumb(made, standing.displacement_m, standing.tension_n, OPTIONS)
    assert correction.steps == () and correction.total_cm == 0.0 and correction.warnings == ()
    assert correction.after_cm == pytest.approx(correction.before_cm, abs=1e-4)


def test_tensions_alone_are_evened_out_and_the_missing_lean_is_said():
    made = on_a_slope("lattice-60", 8)
    read = made.set_tension_n.copy()
    read[0:3] *= 1.45
    correction = correct_plumb(made, None, read, OPTIONS)
    assert "No lean was read" in correction.warnings[0]
    after = np.array([g.after_kn for g in correction.guys]) * 1000.0
    assert of_breaking(made, after).max() <= 0.15 and {s.attach_m for s in correction.steps} >= {9.5}


def test_a_misread_tension_is_named():
    made = on_a_slope("lattice-60", 8)
    standing = stand_up(made, plumb_lengths(made))
    read = standing.tension_n.copy()
    read[4] *= 1.5
    said = correct_plumb(made, standing.displacement_m, read, OPTIONS).warnings
    assert any(w.startswith("B1 at 19 m: ") and "would balance the other readings" in w for w in said)


def test_other_bounds_are_kept_and_bounds_that_cannot_be_are_refused():
    made = on_a_slope("lattice-60", 3)
    length = pulled(made, 3, 0.01)
    leaning = stand_up(made, length)
    tight = replace(OPTIONS, least_tension_ratio=0.11, greatest_tension_ratio=0.16)
    after = stand_up(made, applied(correct_plumb(made, leaning.displacement_m, leaning.tension_n, tight), length))
    assert of_breaking(made, after.tension_n).min() >= 0.11 and of_breaking(made, after.tension_n).max() <= 0.16
    with pytest.raises(OutOfMethod) as found:
        correct_plumb(made, leaning.displacement_m, leaning.tension_n, replace(OPTIONS, least_tension_ratio=0.1, greatest_tension_ratio=0.101))  # fmt: skip
    assert "no tensions between 10 and 10.1 % of the breaking strength hold it plumb" in str(found.value)


def test_four_guys_a_level_come_back_too():
    anchors = tuple(a for a in rigs.ANCHORS if a.use != "permanent")
    four = tuple(rigs.Anchor(f"P{b:.0f}", "permanent", b, 40.0) for b in (30.0, 120.0, 210.0, 300.0))
    names = tuple(a.id for a in four)
    mast = rigs.mast((*four, *anchors), (GuyLevel(30.0, names, "permanent"), GuyLevel(58.0, names, "permanent"), *rigs.GUYS[2:]))
    made = standing_mast(mast, rigs.ground_m(mast, 0.1, 0.05), rigs.HINGE_M, rigs.rigs(mast))
    length = pulled(made, 5, 0.05)
    leaning = stand_up(made, length)
    after = stand_up(made, applied(correct_plumb(made, leaning.displacement_m, leaning.tension_n, OPTIONS), length))
    assert np.hypot(*after.displacement_m.T).max() < FIVE_MM
    assert of_breaking(made, after.tension_n).min() >= 0.07 and of_breaking(made, after.tension_n).max() <= 0.15


# --- the model ------------------------------------------------------------------------------------------------------


def test_the_weights_of_the_levels_add_up_to_mast_and_moments():
    mast = replace(rigs.mast(), rigging=Rigging(loads=(Load("boom", 59.0, 20.0), Load("cabinet", 4.0, 35.0))))
    heights = np.array([30.0, 58.0])
    weight = level_weights_n(mast, heights)
    moment = 9.80665 * (11.0 * 60.0 * 30.0 + 20.0 * 59.0 + 35.0 * 4.0)
    assert weight @ heights == pytest.approx(moment, rel=1e-9)


def test_how_the_mast_is_taken_is_said():
    assert on_a_slope("lattice-60", 1).assumes.startswith(
        "The mast file gives no stiffness, and the mast is taken as straight pieces"
    )
    soft = on_a_slope("lattice-100", 1)
    assert "the softest straight beam that stands twice its load" in soft.assumes and soft.model.bending_nm2 > 0.0
    assert stand_up(soft, plumb_lengths(soft)).balance.tipping_ratio == pytest.approx(2.0, rel=0.05)
    given = on_a_slope("lattice-60", 1, {"rigging": Rigging(stiffness_knm2=4000.0)})
    assert given.model.bending_nm2 == 4e6 and "4000 kNm²" in given.assumes


def test_a_mast_that_cannot_be_worked_out_is_refused():
    def why(mast, found):
        with pytest.raises(OutOfMethod) as said:
            standing_mast(mast, rigs.ground_m(mast), rigs.HINGE_M, found)
        return str(said.value)

    mast = rigs.mast()
    assert "gives neither strand nor diameter_mm for the guys at 30 m" in why(mast, (None, *rigs.rigs(mast)[1:]))
    assert "has no permanent guys" in why(rigs.mast(guys=rigs.GUYS[2:]), rigs.rigs(mast)[2:])
    two = rigs.mast(guys=(GuyLevel(30.0, ("A", "B"), "permanent", 4.0), *rigs.GUYS[1:]))
    assert "is not held at 30 m: A, B hold it on 2 sides only" in why(two, rigs.rigs(two))
    heavy = replace(mast, mass_kg_per_m=30000.0)
    assert "tips in its guys even when it is stiff" in why(heavy, rigs.rigs(heavy))
    made = on_a_slope("lattice-60", 1)
    with pytest.raises(OutOfMethod, match="in its permanent guys: every guy at|no shape in which|leans"):
        stand_up(made, plumb_lengths(made) * 1.03)


def test_a_lean_that_leaves_a_guy_slack_is_refused_with_its_name():
    made = on_a_slope("lattice-60", 1)
    lean = np.zeros((6, 2))
    lean[2] = (1.5, 0.0)
    with pytest.raises(OutOfMethod) as found:
        correct_plumb(made, lean, np.full(18, np.nan), OPTIONS)
    assert "a guy carries nothing" in str(found.value) and "at 28.5 m" in str(found.value)


# --- readings, checks, form -----------------------------------------------------------------------------------------


def test_two_directions_that_are_not_square_give_the_place():
    place = np.array([[0.06, -0.11]])
    for a, b in ((90.0, 0.0), (120.0, 10.0), (300.0, 200.0)):
        offsets = [float(place[0] @ [math.cos(math.radians(t)), math.sin(math.radians(t))]) for t in (a, b)]
        assert lean_m([58.0], [LeanReading(58.0, *offsets, a, b)], "test") == pytest.approx(place, abs=1e-12)


def test_readings_that_cannot_serve_are_named_in_order():
    with pytest.raises(InputError) as found:
        lean_m([30.0, 58.0], [LeanReading(31.0, 0.1, 0.1), LeanReading(58.0, 0.1, 0.1, 90.0, 250.0), LeanReading(30.0, math.nan, 0.0)], "readings")  # fmt: skip
    assert str(found.value).splitlines() == [
        "readings, level at 31 m: no permanent guys leave the mast there. Read it at 30, 58 m.",
        "readings, level at 58 m: the two directions, 90° and 250°, lie within 30° of one line. Read in two directions nearly "
        "square to each other.",
        "readings, level at 30 m: an offset or a bearing is no number. Give both offsets and both bearings.",
    ]
    with pytest.raises(InputError, match="readings: no lean is given at 58 m. Read every level of permanent guys."):
        lean_m([30.0, 58.0], [LeanReading(30.0, 0.1, 0.1)], "readings")
    with pytest.raises(InputError, match="level at 30 m: is read twice"):
        lean_m([30.0], [LeanReading(30.0, 0.1, 0.1)] * 2, "readings")
    made = on_a_slope("lattice-60", 1)
    with pytest.raises(InputError) as found:
        read_tensions_n(made, [TensionReading("Q", 58.0, 1.0), TensionReading("A2", 58.0, 0.0)], "readings")
    assert str(found.value).splitlines() == [
        "readings, tension of Q at 58 m: the mast has no such permanent guy. Correct the anchor or the level.",
        "readings, tension of A2 at 58 m: is 0 kN. Take a slack guy in by hand first; a tension is above 0.",
    ]
    read = read_tensions_n(made, [TensionReading("A2", 58.0, 1.2)], "readings")
    assert read[15] == 1200.0 and np.isnan(np.delete(read, 15)).all()


@pytest.mark.parametrize(("offset_m", "verdict"), [(0.07, "pass"), (0.09, "marginal"), (0.11, "fail")])
def test_plumb_is_held_against_a_quarter_percent_with_the_readings_error(offset_m, verdict):
    """40 m: the limit is 10 cm; readings within 2 cm."""
    report = plumb_report([40.0], np.array([[0.0, offset_m]]), replace(OPTIONS, reading_error_m=0.02))
    (check,) = report.checks
    assert (check.id, check.verdict, check.unit, check.limit) == ("plumb", verdict, "%", 0.25)
    assert check.value == pytest.approx(offset_m / 40.0 * 100.0) and check.utilisation == pytest.approx(offset_m / 0.1)
    assert "1:400" in check.source
    (level,) = report.levels
    assert (level.limit_cm, level.bearing_deg) == (10.0, 90.0)
    assert level.margin_cm == pytest.approx(10.0 - 100.0 * offset_m) and level.out_of_line_cm is None


def test_straightness_is_held_against_one_in_a_thousand_between_any_two_levels():
    straight = np.outer([20.0, 39.0, 58.0], [0.002, -0.001])
    level = plumb_report([20.0, 39.0, 58.0], straight, OPTIONS).checks[1]
    assert (level.id, level.verdict) == ("straightness", "pass") and level.value == pytest.approx(0.0, abs=1e-12)
    bowed = straight + np.array([[0.0, 0.0], [0.06, 0.0], [0.0, 0.0]])
    report = plumb_report([20.0, 39.0, 58.0], bowed, OPTIONS)
    found = report.checks[1]
    assert found.verdict == "fail" and found.value == pytest.approx(100.0 * 0.06 / 38.0)
    assert found.place == "level at 39 m, between 20 m and 58 m" and "1:1000" in found.source
    assert report.levels[1].out_of_line_cm == pytest.approx(6.0)


def test_the_form_has_every_level_its_guys_and_where_the_instruments_stand():
    made = on_a_slope("lattice-60", 1)
    form = plumb_form(made, OPTIONS)
    assert [r.attach_m for r in form.levels] == [58.0, 48.0, 38.0, 28.5, 19.0, 9.5]
    assert form.levels[0].limit_cm == pytest.approx(14.5)
    guy = form.levels[0].guys[0]
    assert [g.anchor for g in form.levels[0].guys] == ["A2", "B2", "C2"]
    assert guy.least_kn == pytest.approx(0.7 * guy.set_kn) and guy.greatest_kn == pytest.approx(1.5 * guy.set_kn)
    # Right of an observer: a quarter turn clockwise from where he looks.
    for direction, reading_deg in zip(
        form.directions, (LeanReading(1, 0, 0).bearing_a_deg, LeanReading(1, 0, 0).bearing_b_deg), strict=True
    ):
        looks = math.radians(direction.stand_deg + 180.0)
        right = (math.sin(looks) * -1.0, math.cos(looks))
        assert right == pytest.approx(
            (math.cos(math.radians(direction.positive_deg)), math.sin(math.radians(direction.positive_deg))), abs=1e-12
        )
        assert direction.positive_deg == reading_deg
    assert rounded(form).levels[0].limit_cm == 14.5
