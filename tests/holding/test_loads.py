"""The pull at each anchor: by balance written anew, by general solvers, by a mast in catenary guys, by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from holding.load_cases import BASE_M, LAYDOWN_DEG, case
from scipy.optimize import brentq, root

from siting.errors import OutOfMethod
from siting.holding.lift_loads import base_loads, steepest_deg
from siting.holding.loads import anchor_loads, without_load
from siting.holding.pulls import FLAT_DEG, ROD_DEG, GuyAtAnchor, LiftPulls
from siting.holding.wind_loads import anchor_parts_n, level_guys, rig_guys, wind_screening
from siting.kernels.elastic_guy import elastic_at_tension, hang_elastic
from siting.kernels.guyed_mast import stand
from siting.kernels.level_guys import LevelGuys, chord_tension_n, share_push
from siting.kernels.mast_wind import GUY_DRAG_RATIO, level_forces_n, mast_slabs
from siting.kernels.wind_pressure import peak_pressure_pa
from siting.lift.standing import guys_at_tension, standing_mast
from siting.records.holding import BREAKING, LIFT, MAKER, SCREENING, WindInput
from siting.records.mast import Anchor, GuyLevel, Mast
from siting.records.rigging import Rigging, WinchGear
from siting.units import GRAVITY_M_S2

L60, L80 = case("lattice-60", side_m_s=8.0), case("lattice-80")
NO_WIND = WindInput()
STRONG = WindInput(26.0, "II", "a national annex")


def loads_of(made, wind=NO_WIND, lift=None, mast=None, guys=None):
    found = anchor_loads(
        mast or made.mast, made.guys if guys is None else guys, made.azimuth_deg, made.drop_m, wind, lift or made.lift
    )
    return {load.anchor: load for load in found}


def with_anchor(mast: Mast, name: str, **changes) -> Mast:
    return replace(mast, anchors=tuple(replace(a, **changes) if a.id == name else a for a in mast.anchors))


# --- the guys of one level ----------------------------------------------------------------------------------------


def made_up_guys(azimuth_deg, sag=1.0) -> LevelGuys:
    turn = np.radians(azimuth_deg)
    count = turn.size
    spread = 1.0 + 0.1 * np.arange(count)
    return LevelGuys(
        level=np.zeros(count, int), towards=np.stack([np.sin(turn), np.cos(turn)], -1), level_ratio=0.5 + 0.05 * np.arange(count),
        set_n=1000.0 * spread, spring_n_per_m=2e4 * spread, sag_n3=sag * 4e6 * spread,
    )  # fmt: skip


def reference(guys: LevelGuys, push):
    """Movement and tensions by scipy: each tension by bisection of its own cubic, the level by a general solver."""
    none = guys.set_n - guys.sag_n3 / guys.set_n**2

    def tension(moved):
        pull = none - guys.spring_n_per_m * guys.level_ratio * (guys.towards @ moved)
        high = 2.0 * (np.abs(pull) + np.cbrt(guys.sag_n3))
        return np.array([brentq(lambda t, p=p, s=s: t * t * (t - p) - s, 1e-9, h, xtol=1e-12, rtol=1e-14)
                         for p, s, h in zip(pull, guys.sag_n3, high, strict=True)])  # fmt: skip

    found = root(lambda moved: push + (tension(moved) * guys.level_ratio) @ guys.towards, [0.0, 0.0], tol=1e-13)
    assert found.success
    return found.x, tension(found.x)


@pytest.mark.parametrize("azimuths", [[10.0, 130.0, 250.0], [0.0, 90.0, 180.0, 270.0], [20.0, 150.0, 265.0]])
@pytest.mark.parametrize("push", [[0.0, 0.0], [300.0, -200.0], [-900.0, 1500.0], [4000.0, 2500.0]])
def test_a_level_moves_as_a_general_solver_says_and_balances(azimuths, push):
    guys = made_up_guys(np.array(azimuths))
    found = share_push(guys, np.array([[push]]))
    moved, tension = reference(guys, np.array(push))
    assert found.moved_m[0, 0] == pytest.approx(moved, abs=1e-8)
    assert found.tension_n[:, 0] == pytest.approx(tension, rel=1e-6)
    left = np.array(push) + (found.tension_n[:, 0] * guys.level_ratio) @ guys.towards
    assert np.abs(left).max() <= 1e-9 * (guys.set_n.sum() + np.hypot(*push))


def test_taut_guys_without_weight_are_linear_springs():
    guys = replace(made_up_guys(np.array([10.0, 130.0, 250.0])), sag_n3=np.zeros(3))
    push = np.array([120.0, -80.0])
    hold = guys.level_ratio[:, None] * guys.towards
    stiffness = (hold * guys.spring_n_per_m[:, None]).T @ hold
    moved = np.linalg.solve(stiffness, push + guys.set_n @ hold)
    found = share_push(guys, push[None, None])
    assert found.moved_m[0, 0] == pytest.approx(moved, rel=1e-3)
    assert found.tension_n[:, 0] == pytest.approx(guys.set_n - guys.spring_n_per_m * (hold @ moved), rel=1e-3)


@pytest.mark.parametrize("away_m", [-0.25, -0.1, -0.03, 0.0, 0.03, 0.1, 0.25])
def test_a_guy_tightens_and_slackens_as_an_elastic_catenary(away_m):
    """Every permanent guy of a mast, its level moved along its line: level pull by kernels/elastic_guy.py within 2 %."""
    permanent = tuple(g for g in L80.guys if not g.is_temporary)
    guys = level_guys(rig_guys(permanent, L80.azimuth_deg))
    span, rise = np.array([g.span_m for g in permanent]), np.array([g.rise_m for g in permanent])
    strand = L80.cuts.strands[0]
    weight, stiffness = strand.mass_kg_per_m * GRAVITY_M_S2, strand.stiffness_n
    set_n = np.array([g.set_kn for g in permanent]) * 1000.0
    length = elastic_at_tension(span, rise, weight, stiffness, set_n).unstressed_m
    pull = guys.set_n - guys.sag_n3 / guys.set_n**2 + guys.spring_n_per_m * guys.level_ratio * away_m
    found = chord_tension_n(pull, guys.sag_n3) * guys.level_ratio
    assert found == pytest.approx(hang_elastic(span + away_m, rise, weight, stiffness, length).horizontal_n, rel=0.02)


def test_lee_guys_go_slack_and_the_windward_one_holds_alone():
    """Straight from the side of one of three guys: the others keep what their weight gives them, it takes the rest."""
    turn = np.radians([0.0, 120.0, 240.0])
    guys = LevelGuys(np.zeros(3, int), np.stack([np.sin(turn), np.cos(turn)], -1), np.full(3, 0.6), np.full(3, 1000.0),
                     np.full(3, 2e4), np.full(3, 1e5))  # fmt: skip
    tension = share_push(guys, np.array([[[0.0, -9000.0]]])).tension_n[:, 0]
    assert tension[0] == pytest.approx(9000.0 / 0.6, rel=0.01) and tension[1:].max() < 20.0
    # Along a face one guy and its neighbour hold: 1 / cos 30 as much, by the triangle of forces.
    aslant = 9000.0 * np.array([-np.sin(np.radians(-30.0)), -np.cos(np.radians(-30.0))])
    tension = share_push(guys, aslant[None, None]).tension_n[:, 0]
    assert tension[0] == pytest.approx(9000.0 / 0.6 / math.cos(math.radians(30.0)), rel=0.01)


@pytest.mark.parametrize("pull", [-1e6, -300.0, -1e-6, 0.0, 1e-6, 300.0, 1e6])
@pytest.mark.parametrize("sag", [1.0, 1e6, 1e12])
def test_the_tension_is_the_root_of_its_cubic(pull, sag):
    roots = np.roots([1.0, -pull, 0.0, -sag])
    real = roots[np.argmin(np.abs(roots.imag) + np.where(roots.real > 0.0, 0.0, np.inf))].real
    assert chord_tension_n(np.array(pull), np.array(sag)) == pytest.approx(real, rel=1e-6)


# --- the whole mast in the wind -----------------------------------------------------------------------------------


@pytest.mark.parametrize("slope", [0.0, 10.0])
def test_every_level_balances_the_wind(slope):
    """Beam's reaction and half of the guys' drag, written anew, against the guys' level pulls, in every wind: 1e-9 of the pulls."""
    made, speed = case("lattice-80", slope), 11.0  # no guy is slack
    mast, permanent = made.mast, sorted((g for g in made.guys if not g.is_temporary), key=lambda g: g.attach_m)
    winds = np.array([0.0, 37.0, 75.0, 200.0, 311.0])
    level_n, upward_n = anchor_parts_n(rig_guys(tuple(permanent), made.azimuth_deg), mast, WindInput(speed), winds)
    assert level_n.min() > 0.0
    ends, levels = mast_slabs(mast.height_m), np.array(sorted({g.attach_m for g in permanent}))
    area = mast.rigging.drag_coefficient * mast.rigging.wind_area_m2_per_m
    pressure = peak_pressure_pa((ends[:-1] + ends[1:]) / 2.0 + mast.hinge_height_m, speed, "II")
    force = level_forces_n(levels, ends, pressure * area)
    for d, from_deg in enumerate(winds):
        blows = -np.array([math.sin(math.radians(from_deg)), math.cos(math.radians(from_deg)), 0.0])
        left, size = force[:, None] * blows[None, :2], np.zeros(levels.size)
        for i, guy in enumerate(permanent):
            turn, chord = math.radians(made.azimuth_deg[guy.anchor]), np.hypot(guy.span_m, guy.rise_m)
            out = np.array([math.sin(turn), math.cos(turn)])
            along = np.append(-guy.span_m * out, guy.rise_m) / chord
            aside = blows - (blows @ along) * along
            at = float(peak_pressure_pa(guy.attach_m + mast.hinge_height_m, speed, "II"))
            drag = GUY_DRAG_RATIO * at * guy.diameter_mm / 1000.0 * chord * math.sqrt(aside @ aside) * aside
            row = list(levels).index(guy.attach_m)
            left[row] += drag[:2] / 2.0 + (level_n[i, d] + drag[:2] @ out / 2.0) * out
            size[row] += level_n[i, d]
            # Upward at the anchor: the chord's slope, less half the weight, more half of what the wind lifts.
            sag = guy.set_kn * 1000.0 * (math.cos(math.radians(guy.angle_deg)) * guy.rise_m / guy.span_m
                                         - math.sin(math.radians(guy.angle_deg)))  # fmt: skip
            straight = (level_n[i, d] + drag[:2] @ out / 2.0) * guy.rise_m / guy.span_m
            assert upward_n[i, d] == pytest.approx(straight - sag + drag[2] / 2.0, rel=1e-9)
        assert (np.abs(left).max(axis=1) <= 1e-9 * size).all()


def test_an_anchor_takes_the_vector_sum_of_its_guys():
    for wind in (NO_WIND, STRONG):
        for load in loads_of(L60, wind).values():
            level = sum(g.tension_kn * math.cos(math.radians(g.angle_deg)) for g in load.guys)
            upward = sum(g.tension_kn * math.sin(math.radians(g.angle_deg)) for g in load.guys)
            flat = math.degrees(math.atan2(upward, level)) < FLAT_DEG
            if flat:  # turned down over a beam, which bears upward only: the level part goes on
                assert load.anchor == "WINCH" and f"{ROD_DEG:.0f}° over a beam" in load.text
                upward = level * math.tan(math.radians(ROD_DEG))
            assert (load.level_kn, load.upward_kn) == pytest.approx((level, upward), rel=1e-12)
            assert load.load_kn == pytest.approx(math.hypot(level, upward), rel=1e-12)
            assert math.tan(math.radians(load.angle_deg)) == pytest.approx(upward / level, rel=1e-12)
            assert load.away_deg == L60.azimuth_deg[load.anchor] % 360.0
            assert load.text and load.source


def test_a_symmetric_mast_loads_its_anchors_alike():
    loads = loads_of(L60, STRONG)
    assert {loads[n].basis for n in ("A1", "B1", "C1", "A2", "B2", "C2")} == {SCREENING}
    for ring in ("1", "2"):
        pulls = [loads[f"{side}{ring}"].load_kn for side in "ABC"]
        assert max(pulls) - min(pulls) < 1e-6 * max(pulls)


@pytest.mark.parametrize("name", ["lattice-60", "lattice-80", "lattice-100"])
def test_the_worst_wind_comes_from_the_anchors_own_side(name):
    """Straight from it while every guy is tight; once lee guys are slack, at most 30 degrees beside it (along a face)."""
    made = case(name)
    for speed, most in ((8.0, 1e-9), (26.0, 30.0)):
        found = wind_screening(made.mast, made.guys, made.azimuth_deg, WindInput(speed)).anchors
        assert len(found) == 6
        for anchor, screened in found.items():
            off = (screened.wind_from_deg - made.azimuth_deg[anchor] + 180.0) % 360.0 - 180.0
            assert abs(off) <= most, (anchor, speed)


@pytest.mark.parametrize("slope", [0.0, 12.0])
def test_more_wind_and_rougher_sea_never_load_an_anchor_less(slope):
    made = case("lattice-80", slope)
    last = dict.fromkeys(("A1", "B1", "C1", "A2", "B2", "C2"), 0.0)
    for speed in (1.0, 8.0, 14.0, 20.0, 26.0, 40.0):
        now = {n: a.load_kn for n, a in loads_of(made, WindInput(speed)).items() if n in last}
        assert all(now[n] > last[n] for n in last), speed
        last = now
    by_terrain = [loads_of(made, WindInput(22.0, t))["A2"].load_kn for t in ("IV", "III", "II", "I", "0")]
    assert by_terrain == sorted(by_terrain)


def test_hardly_any_wind_leaves_the_set_tensions():
    """Vector sum of the set tensions at the guys' hanging angles, from the cut list alone."""
    loads = loads_of(L80, WindInput(0.01))
    for name in ("A1", "C2"):
        own = [g for g in L80.cuts.guys if g.anchor == name]
        level = sum(g.set_tension_kn * math.cos(math.radians(g.anchor_angle_deg)) for g in own)
        upward = sum(g.set_tension_kn * math.sin(math.radians(g.anchor_angle_deg)) for g in own)
        assert (loads[name].level_kn, loads[name].upward_kn) == pytest.approx((level, upward), rel=1e-4)


@pytest.mark.parametrize(
    ("name", "slope", "speed"), [("lattice-60", 0.0, 26.0), ("lattice-80", 10.0, 22.0), ("lattice-100", 0.0, 26.0)]
)
def test_within_a_few_percent_of_the_mast_as_a_beam_in_catenary_guys(name, slope, speed):
    """kernels/guyed_mast.py: levels that give, guys that hang, weights that tip; same level forces by hand, guys without drag."""
    made = case(name, slope)
    guys = tuple(replace(g, diameter_mm=1e-9) for g in made.guys)
    screened = wind_screening(made.mast, guys, made.azimuth_deg, WindInput(speed)).anchors
    full = standing_mast(made.mast, made.heights_m, made.hinge_m, made.rigs)
    plumb = np.zeros((full.model.heights_m.size, 2))
    lengths = guys_at_tension(full, plumb, full.set_tension_n).unstressed_m
    mast, ends = made.mast, mast_slabs(made.mast.height_m)
    area = mast.rigging.drag_coefficient * mast.rigging.wind_area_m2_per_m
    pressure = peak_pressure_pa((ends[:-1] + ends[1:]) / 2.0 + mast.hinge_height_m, speed, "II")
    force = level_forces_n(full.model.heights_m, ends, pressure * area)
    for anchor, found in screened.items():
        turn = math.radians(found.wind_from_deg - LAYDOWN_DEG)
        stood = stand(full.model, lengths, -force[:, None] * np.array([math.cos(turn), math.sin(turn)]))
        assert not stood.why
        own = [i for i, other in enumerate(full.anchors) if other == anchor]
        pull = stood.balance.guys.horizontal_n[own].sum(), stood.balance.guys.anchor_up_n[own].sum()
        mine = loads_of(made, WindInput(speed), guys=guys)[anchor].load_kn
        assert mine == pytest.approx(math.hypot(*pull) / 1000.0, rel=0.07), anchor


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"rigging": Rigging(drag_coefficient=1.2)}, "the mast file does not give wind_area_m2_per_m"),
        ({"height_m": 199.9}, "EN 1991-1-4 ends at 200 m above the ground"),
        ({"guys": (GuyLevel(26.0, ("A1", "B1", "C1"), "temporary"),)}, "the mast has no permanent guys"),
        ({"guys": (GuyLevel(27.0, ("A1", "B1", "C1"), "permanent"),)}, "the guy from 27 m to A1 has no length or strand"),
    ],
)
def test_where_the_wind_cannot_be_screened_the_breaking_strength_says_why(changes, words):
    load = loads_of(L80, STRONG, mast=replace(L80.mast, **changes))["A1"]
    assert load.basis == BREAKING and words in load.text


def test_a_level_that_is_open_on_one_side_is_not_screened():
    turned = {**L80.azimuth_deg, "B1": L80.azimuth_deg["A1"] + 50.0}
    found = wind_screening(L80.mast, L80.guys, turned, STRONG)
    assert found.anchors == {} and found.refused == "the guys at 13 m do not hold the mast on every side"


@pytest.mark.parametrize(
    ("wind", "line"),
    [
        (WindInput(26.0, "V"), "[wind] terrain: 'V' is no terrain category. Give one of 0, I, II, III, IV."),
        (WindInput(0.0), "[wind] basic_m_s: 0 m/s is no wind. Give the national annex's basic wind, m/s."),
        (WindInput(float("nan")), "[wind] basic_m_s: nan m/s is no wind. Give the national annex's basic wind, m/s."),
    ],
)
def test_a_wind_that_is_none_is_refused(wind, line):
    with pytest.raises(OutOfMethod) as refused:
        loads_of(L80, wind)
    assert str(refused.value) == line and refused.value.faults[0].code == "holding_range"


def test_a_wind_that_breaks_guys_says_so():
    load = loads_of(L80, WindInput(50.0))["A2"]
    over = [g for g in load.guys if g.tension_kn > 10.17]
    assert over and f"{over[0].attach_m:g} m ({100 * over[0].tension_kn / L80.guys[0].breaking_kn:.0f} %)" in load.text


def test_the_words_of_a_screening_say_what_it_is_and_leaves_out():
    load = loads_of(L80, STRONG)["A1"]
    for words in ("Screening, not design", "26 m/s", "terrain II", "ice", "gust response", "hill or ridge", "partial factor"):
        assert words in load.text
    assert load.source.startswith("EN 1991-1-4") and load.source.endswith("wind: a national annex")


# --- maker, breaking strength -------------------------------------------------------------------------------------


def test_without_maker_and_wind_every_guy_breaks_at_once():
    load = loads_of(L80)["B2"]
    own = [g for g in L80.guys if g.anchor == "B2"]
    assert [g.tension_kn for g in load.guys] == [g.breaking_kn for g in own] and load.basis == BREAKING
    turns = [math.radians(g.angle_deg) for g in own]
    pull = math.hypot(*(sum(g.breaking_kn * f(t) for g, t in zip(own, turns, strict=True)) for f in (math.cos, math.sin)))
    assert load.load_kn == pytest.approx(pull, rel=1e-12)
    assert "FM 5-125" in load.source and "no wind is given" in load.text


def test_the_makers_figure_comes_first_and_is_shared_as_the_set_tensions():
    mast = with_anchor(L80.mast, "A2", design_load_kn=24.0)
    load = loads_of(L80, STRONG, mast=mast)["A2"]
    assert (load.basis, load.source) == (MAKER, "mast file, design_load_kn") and load.load_kn == pytest.approx(24.0, rel=1e-12)
    own = [g for g in L80.guys if g.anchor == "A2"]
    ratios = [a.tension_kn / g.set_kn for a, g in zip(load.guys, own, strict=True)]
    assert max(ratios) == pytest.approx(min(ratios)) and "LESS" not in load.text


def test_a_makers_figure_below_what_is_found_says_so():
    screened = loads_of(L80, STRONG)["A2"].load_kn
    as_set = loads_of(L80, WindInput(0.01))["A2"].load_kn
    load = loads_of(L80, STRONG, mast=with_anchor(L80.mast, "A2", design_load_kn=2.0))["A2"]
    assert load.load_kn == pytest.approx(2.0)
    assert f"It is LESS than the guys pull at their set tensions, {as_set:.2f} kN" in load.text
    assert f"It is LESS than a screening in a basic wind of 26 m/s gives, {screened:.2f} kN" in load.text
    load = loads_of(L80, STRONG, mast=with_anchor(L80.mast, "A2", design_load_kn=12.0))["A2"]
    assert "set tensions, " not in load.text and f"{screened:.2f} kN" in load.text


def test_anchors_of_unknown_guys_are_named_not_guessed():
    guys = tuple(g for g in L80.guys if g.anchor != "C1")
    loads = loads_of(L80, STRONG, guys=guys)
    assert "C1" not in loads and loads["A1"].basis == BREAKING and "to C1 has no length or strand" in loads["A1"].text
    said = without_load(L80.mast, tuple(loads.values()))
    assert said == (
        "C1: the pull on it is not known; give design_load_kn (the maker's figure), or strand or diameter_mm of its guys",
    )


# --- the lift -----------------------------------------------------------------------------------------------------


def test_side_and_back_anchors_take_the_lifts_pull_or_the_set_tensions():
    loads = loads_of(L60)
    top = max(g.attach_m for g in L60.guys if g.anchor == "BACK")
    assert L60.lift.side_kn == {g.anchor: g.largest_kn for g in L60.statics.side_wind.guys} and L60.lift.side_kn
    assert L60.lift.back_kn == {"BACK": max(v for v in L60.statics.stages[-1].back_guy_kn if v is not None)}
    assert "that is taken" in loads["SIDE-R"].text and len(loads["SIDE-R"].guys) == 3
    hard = replace(L60.lift, side_kn={"SIDE-R": 9.0, "SIDE-L": 9.0}, back_kn={"BACK": 7.0})
    loads = loads_of(L60, lift=hard)
    for name, pull in (("SIDE-R", 9.0), ("SIDE-L", 9.0), ("BACK", 7.0)):
        assert loads[name].basis == LIFT and loads[name].load_kn == pytest.approx(pull, rel=1e-12)
        assert [g.attach_m for g in loads[name].guys] == [top]
        assert "not let out in time" in loads[name].text


def test_without_a_side_wind_a_side_anchor_holds_what_its_guys_break_at():
    loads = loads_of(L80)
    assert L80.lift.side_kn == {}
    assert loads["SIDE-R"].basis == BREAKING and len(loads["SIDE-R"].guys) == 3
    assert "No side wind is given" in loads["SIDE-R"].text and "swings by" in loads["SIDE-R"].text
    assert loads["BACK"].basis == LIFT


def line_kn(loads) -> float:
    """Pull of the winch line at its anchor."""
    return loads["WINCH"].guys[0].tension_kn


def test_the_winchs_anchor_takes_the_pull_or_a_jammed_line():
    """The pull or half the limit, then the limit, then breaking strength of the line, then nothing."""
    base = L80.mast
    largest = max(v for s in L80.statics.stages for v in s.winch_pull_kn if v is not None)
    assert L80.lift.winch_kn == largest
    weak = replace(base, rigging=replace(base.rigging, winch=WinchGear(limit_kn=20.0)))
    none = replace(base, rigging=replace(base.rigging, winch=WinchGear()))
    nothing = LiftPulls()
    strong = replace(base, rigging=replace(base.rigging, winch=WinchGear(limit_kn=4.0 * largest)))
    assert line_kn(loads_of(L80)) == pytest.approx(largest)
    assert base.rigging.winch.limit_kn / 2.0 < largest
    assert line_kn(loads_of(L80, mast=strong)) == pytest.approx(2.0 * largest)
    assert line_kn(loads_of(L80, lift=nothing)) == base.rigging.winch.limit_kn
    load = loads_of(L80, mast=weak)["WINCH"]
    assert load.guys[0].tension_kn == pytest.approx(largest) and "more than the winch's limit of 20.00 kN" in load.text
    assert line_kn(loads_of(L80, mast=none)) == pytest.approx(largest)
    assert line_kn(loads_of(L80, mast=none, lift=LiftPulls(winch_line_breaking_kn=120.0))) == pytest.approx(120.0)
    left = loads_of(L80, mast=none, lift=nothing)
    assert "WINCH" not in left
    assert without_load(none, tuple(left.values())) == (
        "WINCH: the pull on it is not known; give design_load_kn, or [winch] limit_kn",
    )
    made = with_anchor(weak, "WINCH", design_load_kn=10.0)
    assert "It is LESS than" in loads_of(L80, mast=made)["WINCH"].text


def test_the_steepest_angle_of_each_line_by_hand():
    mast = replace(L60.mast, gin_pole_length_m=10.0)
    winch, back = Anchor("W", "winch", 180.0, 65.0), Anchor("K", "temporary", 0.0, 65.0)
    side, lift = Anchor("R", "temporary", 90.0, 34.0), LiftPulls(takeover_deg=80.0)
    # The line to the gin pole's tip is steepest near the lift's start: the pole upright, or a little over.
    tip = max(math.atan2(10.0 * math.cos(t) + 0.3, 65.0 - 10.0 * math.sin(t)) for t in np.radians(np.linspace(0, 90, 91)))
    assert steepest_deg(mast, winch, 0.3, 10.0, LiftPulls()) == pytest.approx(math.degrees(tip))
    assert steepest_deg(mast, side, 0.3, 58.0, lift) == pytest.approx(math.degrees(math.atan2(58.3, 34.0)))
    t = math.radians(80.0)
    by_hand = math.degrees(math.atan2(58.0 * math.sin(t) + 2.0, 65.0 - 58.0 * math.cos(t)))
    assert steepest_deg(mast, back, 2.0, 58.0, lift) == pytest.approx(by_hand)
    assert steepest_deg(mast, back, 2.0, 58.0, LiftPulls()) == pytest.approx(math.degrees(math.atan2(60.0, 65.0)))


def test_the_bases_loads_are_the_largest_of_all_stages():
    last = L60.statics.stages[-1]
    push, uplift = base_loads(L60.statics)
    pairs = list(zip(last.hinge_along_kn, last.hinge_side_kn, strict=True))
    assert push == max(math.hypot(a, s) for a, s in pairs if a is not None) and uplift == 0.0
    up = replace(last, hinge_vertical_kn=(3.0, -1.5, None), foot_vertical_kn=(2.0, -4.0, None), hinge_along_kn=(3.0, None, 0.0),
                 hinge_side_kn=(-4.0, 9.0, 1.0))  # fmt: skip
    assert base_loads(replace(L60.statics, stages=(up,))) == (5.0, 4.0)
    unknown = replace(last, hinge_vertical_kn=(None,), foot_vertical_kn=(None,), hinge_along_kn=(None,), hinge_side_kn=(None,))
    assert base_loads(replace(L60.statics, stages=(unknown,))) == (None, None)


def test_a_guy_at_its_anchor_is_the_cut_lists():
    guy, cut = L60.guys[0], L60.cuts.guys[0]
    strand = next(s for s in L60.cuts.strands if s.name == cut.strand)
    assert guy == GuyAtAnchor(
        cut.anchor, cut.attach_m, cut.use, cut.span_m, cut.rise_m, cut.set_tension_kn, strand.breaking_kn, strand.stiffness_n,
        cut.diameter_mm, cut.unstressed_m, cut.anchor_angle_deg,
    )  # fmt: skip
    assert guy.span_m == pytest.approx(22.0) and guy.rise_m == pytest.approx(9.5 + L60.hinge_m - BASE_M)
