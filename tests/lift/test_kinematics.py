"""The lines of the lift against rotations by scipy; instructions that add up; mends and errors asked anew."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from lift.rigs import ANCHORS, GUYS, HINGE_M, ground_m, mast
from scipy.optimize import brentq
from scipy.spatial.transform import Rotation

from siting.figures import rounded
from siting.lift.anchor_errors import anchor_errors
from siting.lift.geometry import lift_table
from siting.lift.kinematics import Line, Mending, follow_line, lift_guys, longest_between_m, stop_angles_deg
from siting.lift.side_mends import ACROSS, ALONG, HEIGHT, NEAREST_RATIO, azimuth_mends, mend_side, side_cases
from siting.records.mast import Anchor, GuyLevel
from siting.records.plan import Candidate

LIMIT_M = 1.0
MENDING = Mending(LIMIT_M, 0.0)
slopes = st.floats(-0.12, 0.2)
rests_rad = st.floats(-0.1, 0.2)


def turned(point, angles_rad) -> np.ndarray:
    """(n, 3): a point given at mast angle 0, raised by angles about the hinge axis."""
    return Rotation.from_rotvec(np.outer(-np.atleast_1d(angles_rad), [0.0, 1.0, 0.0])).apply(np.asarray(point, float))


def spot(anchor: Anchor, height_m: float) -> np.ndarray:
    turn = math.radians(anchor.bearing_deg)
    return np.array([anchor.radius_m * math.cos(turn), anchor.radius_m * math.sin(turn), height_m - HINGE_M])


def travel_m(attach_m, place, rest_rad) -> float:
    sampled = np.linalg.norm(turned([attach_m, 0.0, 0.0], np.linspace(rest_rad, math.pi / 2, 20_001)) - place, axis=1)
    return float(sampled.max() - sampled.min())


# --- lengths ------------------------------------------------------------------------------------------------------


@given(slopes, slopes, rests_rad)
def test_every_line_against_a_rotation_in_space(uphill, right, rest_rad):
    made = mast()
    heights = ground_m(made, uphill, right)
    anchors = {a.id: a for a in made.anchors}
    found = lift_guys(made, heights, HINGE_M, rest_rad, MENDING)
    assert [(g.anchor, g.attach_m, g.role) for g in found.lines] == [
        ("R", 30.0, "side"), ("L", 30.0, "side"), ("K", 30.0, "back"),
        ("R", 58.0, "side"), ("L", 58.0, "side"), ("K", 58.0, "back"), ("W", None, "winch"),
    ]  # fmt: skip
    for line in found.lines:
        point = [0.0, 0.0, 10.0] if line.role == "winch" else [line.attach_m, 0.0, 0.0]
        place = spot(anchors[line.anchor], heights[line.anchor])
        stops = np.radians([s.angle_deg for s in line.stops])
        stops[0] = rest_rad
        wanted = np.linalg.norm(turned(point, stops) - place, axis=1)
        assert [s.length_m for s in line.stops] == pytest.approx(wanted, abs=1e-9)
        dense = np.linspace(rest_rad, math.pi / 2, 4001)
        sampled = np.linalg.norm(turned(point, dense) - place, axis=1)
        assert sampled.max() - 1e-9 <= line.tightest_m <= sampled.max() + 1e-4
        assert sampled.min() - 1e-4 <= line.slackest_m <= sampled.min() + 1e-9
        assert line.travel_m == pytest.approx(line.tightest_m - line.slackest_m, abs=1e-12)
        for angle_deg, length in ((line.tightest_at_deg, line.tightest_m), (line.slackest_at_deg, line.slackest_m)):
            assert np.linalg.norm(turned(point, math.radians(angle_deg))[0] - place) == pytest.approx(length, abs=1e-9)


def test_the_travel_is_the_lift_tables():
    made = mast()
    heights = ground_m(made, 0.08, 0.03)
    table = {(g.anchor, g.attach_m): g for g in lift_table(made, heights, HINGE_M, 0.07).side_guys}
    for line in lift_guys(made, heights, HINGE_M, 0.07, MENDING).lines:
        if line.role == "side":
            kept = table[line.anchor, line.attach_m]
            assert line.travel_m == pytest.approx(kept.travel_m, abs=1e-12) and line.tightest_at_deg == kept.longest_at_deg


@given(rests_rad, st.floats(5.0, 60.0))
def test_an_anchor_on_the_hinge_axis_never_moves_its_guy(rest_rad, attach_m):
    made = mast(guys=(GuyLevel(attach_m, ("R", "L"), "temporary"),))
    found = lift_guys(made, {a.id: HINGE_M for a in made.anchors}, HINGE_M, rest_rad, MENDING)
    for line in found.lines[:2]:
        assert line.travel_m < 1e-9
        assert {s.instruction for s in line.stops[1:]} == {"leave it"}
    assert found.mends == ()


@pytest.mark.parametrize(
    ("rest_deg", "stops"),
    [
        (-0.3, (-0.3, 0.0, 10.0, 20.0, 30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 90.0)),
        (0.0, (0.0, 10.0, 20.0, 30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 90.0)),
        (4.6, (4.6, 10.0, 20.0, 30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 90.0)),
        (10.0, (10.0, 20.0, 30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 90.0)),
        (-12.0, (-12.0, -10.0, 0.0, 10.0, 20.0, 30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 90.0)),
    ],
)
def test_the_stops(rest_deg, stops):
    assert stop_angles_deg(rest_deg) == stops


# --- instructions -------------------------------------------------------------------------------------------------


@given(slopes, slopes, rests_rad)
def test_whole_centimetres_add_up_to_the_length_within_half_a_centimetre(uphill, right, rest_rad):
    made = mast()
    for line in lift_guys(made, ground_m(made, uphill, right), HINGE_M, rest_rad, MENDING).lines:
        let_out = 0.0
        for stop in line.stops:
            let_out += stop.change_cm
            assert stop.change_cm == round(stop.change_cm) and stop.since_rest_cm == let_out
            assert let_out / 100.0 == pytest.approx(stop.length_m - line.stops[0].length_m, abs=0.005 + 1e-9)


def test_the_words_follow_the_sign():
    made = mast()
    lines = lift_guys(made, ground_m(made, 0.0, 0.05), HINGE_M, 0.0, MENDING).lines
    high = next(x for x in lines if (x.anchor, x.attach_m) == ("R", 58.0))  # its ground is 1.8 m up: the guy goes slack
    low = next(x for x in lines if (x.anchor, x.attach_m) == ("L", 58.0))
    winch = lines[-1]
    assert high.stops[-1].length_m < high.stops[0].length_m and high.tightest_at_deg < high.slackest_at_deg == 90.0
    assert low.stops[-1].length_m > low.stops[0].length_m and low.slackest_at_deg < low.tightest_at_deg == 90.0
    for stop in high.stops[1:-1]:
        assert stop.instruction == f"take in {-stop.change_cm:.0f} cm" and stop.change_cm < 0.0
    for stop in low.stops[1:-1]:
        assert stop.instruction == f"let out {stop.change_cm:.0f} cm" and stop.change_cm > 0.0
    assert all(s.instruction.startswith("take in ") for s in winch.stops[1:])
    firsts = {x.role: x.stops[0].instruction for x in lines}
    assert firsts == {
        "side": "make it fast at this length",
        "back": "lead it to its anchor, in hand",
        "winch": "draw it straight",
    }


def test_a_guy_that_is_longest_between_two_stops_is_given_line_on_the_way():
    """The point turns away from an anchor at 205 degrees in the lift plane: longest at a mast angle of 25."""
    turn = math.radians(205.0)
    line = Line("X", 58.0, "back", 58.0, 0.0, (30.0 * math.cos(turn), 0.0, 30.0 * math.sin(turn)))
    assert longest_between_m(line, math.radians(20.0), math.radians(30.0)) == pytest.approx(88.0, abs=1e-12)
    assert longest_between_m(line, math.radians(30.0), math.radians(40.0)) < 88.0
    stops = {s.angle_deg: s for s in follow_line(line, 0.0).stops}
    end_m = math.sqrt(58.0**2 + 30.0**2 + 2 * 58.0 * 30.0 * math.cos(math.radians(5.0)))
    assert stops[20.0].length_m == pytest.approx(end_m, abs=1e-9) and stops[30.0].length_m == pytest.approx(end_m, abs=1e-9)
    assert stops[30.0].peak_cm == math.ceil((88.0 - end_m) * 100.0) == 8.0
    assert stops[30.0].instruction == "let out 8 cm on the way, then take in 8 cm"
    assert stops[30.0].change_cm == 0.0
    assert stops[20.0].peak_cm == stops[40.0].peak_cm == 0.0


def test_line_given_on_the_way_counts_from_the_last_stop():
    """Longest at a mast angle of 27: 7 degrees after the stop at 20, 3 before that at 30."""
    turn = math.radians(207.0)
    line = Line("X", 58.0, "back", 58.0, 0.0, (30.0 * math.cos(turn), 0.0, 30.0 * math.sin(turn)))
    length = lambda off_deg: math.sqrt(58.0**2 + 30.0**2 + 2 * 58.0 * 30.0 * math.cos(math.radians(off_deg)))  # noqa: E731
    stop = next(s for s in follow_line(line, math.radians(20.0)).stops if s.angle_deg == 30.0)
    assert (math.ceil((88.0 - length(7.0)) * 100.0), round((length(3.0) - length(7.0)) * 100.0)) == (15, 12)
    assert (stop.peak_cm, stop.change_cm, stop.instruction) == (15.0, 12.0, "let out 15 cm on the way, then take in 3 cm")


# --- mends --------------------------------------------------------------------------------------------------------


def steep_side(right=0.06, height_at=None, limit_m=LIMIT_M):
    made = mast()
    heights = ground_m(made, 0.08, right)
    return made, heights, side_cases(made, heights, HINGE_M, math.atan(0.08), limit_m, height_at)


def test_every_move_just_meets_the_limit_by_dense_sampling():
    rest_rad = math.atan(0.08)
    made, heights, cases = steep_side()
    met = 0
    for case in cases:
        mend = mend_side(case)
        assert (
            mend.travel_m == pytest.approx(travel_m(mend.attach_m, np.array(case.place), rest_rad), abs=1e-5)
            and mend.travel_m > LIMIT_M
        )
        for move in mend.moves:
            if move.move_m is None:
                continue
            met += 1

            def after(step_m, way=move.way, place=case.place):
                x, y, z = place
                outward = math.copysign(step_m, y)
                moved = {ALONG: (x + step_m, y, z), ACROSS: (x, y + outward, z), HEIGHT: (x, y, z + step_m)}[way]
                return max(travel_m(a, np.array(moved), rest_rad) for a in (30.0, 58.0))

            assert move.travel_m == pytest.approx(after(move.move_m), abs=1e-5) and move.travel_m <= LIMIT_M
            assert after(move.move_m - math.copysign(0.011, move.move_m)) > LIMIT_M
            assert move.move_m * 100.0 == pytest.approx(round(move.move_m * 100.0), abs=1e-6)
            assert after(move.best_move_m) == pytest.approx(move.best_travel_m, abs=1e-5)
    assert met == 4  # along and height for both


def test_the_height_that_is_enough_solved_by_scipy():
    """L^2 is a wave in the angle, so for an anchor square to the laydown the travel is |L(rest) - L(plumb)|."""
    _, _, cases = steep_side()
    for case in cases:
        x, y, z = case.place
        rest = case.rest_rad

        def over(dz, y=y, z=z, rest=rest):
            at = lambda t: math.sqrt((58.0 * math.cos(t)) ** 2 + y**2 + (58.0 * math.sin(t) - z - dz) ** 2)  # noqa: E731
            return abs(at(rest) - at(math.pi / 2)) - LIMIT_M

        exact = brentq(over, 0.0, -z, xtol=1e-10)
        move = next(m for m in mend_side(case).moves if m.way == HEIGHT)
        assert math.copysign(1.0, move.move_m) == math.copysign(1.0, exact)
        assert abs(exact) <= abs(move.move_m) <= abs(exact) + 0.01 + 1e-9
        assert (move.bearing_deg, move.radius_m) == pytest.approx((case.anchor.bearing_deg, 36.0))


def test_an_anchor_that_is_moved_takes_its_new_ground():
    flat, sloped = steep_side()[2], steep_side(height_at=lambda x, y: 500.0 + 0.08 * x + 0.06 * y)[2]
    for level, case in zip(flat, sloped, strict=True):
        on_level = next(m for m in mend_side(level).moves if m.way == ALONG)
        move = next(m for m in mend_side(case).moves if m.way == ALONG)
        x, y, _ = case.place
        z = 500.0 + 0.08 * (x + move.move_m) + 0.06 * y - HINGE_M
        assert move.travel_m == pytest.approx(travel_m(58.0, np.array([x + move.move_m, y, z]), case.rest_rad), abs=1e-5)
        # R is too high and goes towards the head, which is uphill here: farther than on the level. L goes the other way.
        assert abs(move.move_m) > abs(on_level.move_m) and "on its ground" in move.text and "on level ground" in on_level.text
        assert move.radius_m == pytest.approx(math.hypot(move.move_m, 36.0))
        assert math.cos(math.radians(move.bearing_deg)) * move.radius_m == pytest.approx(move.move_m, abs=1e-9)


def test_outward_is_away_from_the_mast_on_either_side():
    """On level ground a guy that goes farther out changes less: L and R both go outward, and by hand to a length."""
    for name in ("R", "L"):
        case = next(c for c in steep_side()[2] if c.anchor.id == name)
        now_m = mend_side(case).travel_m
        tight = next(c for c in steep_side(limit_m=0.9 * now_m)[2] if c.anchor.id == name)
        move = next(m for m in mend_side(tight).moves if m.way == ACROSS)
        assert 5.0 < move.move_m < 15.0 and move.radius_m == pytest.approx(36.0 + move.move_m)
        assert move.bearing_deg == pytest.approx(case.anchor.bearing_deg)
        x, y, z = case.place
        there = np.array([x, math.copysign(36.0 + move.move_m, y), z])
        assert travel_m(58.0, there, case.rest_rad) == pytest.approx(0.9 * now_m, abs=1e-3)
        assert move.text.startswith(f"Move {name} {move.move_m:.2f} m outward, on level ground;")


def test_a_side_anchor_stays_one_and_off_ground_without_data():
    right = steep_side(right=0.35)[2][0]  # R stands 12.3 m above the hinge
    moves = {m.way: m for m in mend_side(right).moves}
    assert moves[ACROSS].move_m is None and moves[ACROSS].bearing_deg is None
    assert moves[ACROSS].text == (
        f"No place across the laydown, on level ground, within 30 m that leaves R a side anchor meets 1 m; "
        f"the best, {moves[ACROSS].best_move_m:+.2f} m, has {moves[ACROSS].best_travel_m:.2f} m."
    )
    assert abs(moves[ALONG].best_move_m) <= 36.0 * math.tan(math.radians(30.0)) + 1e-9
    assert moves[ACROSS].best_move_m >= -(1.0 - NEAREST_RATIO) * 36.0 - 1e-9
    # The height is out of reach: 12.3 m up, and 10 m is as far as is looked.
    assert moves[HEIGHT].best_move_m == pytest.approx(-10.0)
    blind = side_cases(
        mast(),
        ground_m(mast(), 0.08, 0.06),
        HINGE_M,
        0.08,
        LIMIT_M,
        lambda x, y: np.where(x > 0.3, np.nan, 500.0 + 0.08 * x + 0.06 * y),
    )
    along = next(m for m in mend_side(blind[0]).moves if m.way == ALONG)
    assert along.best_move_m <= 0.3 + 1e-9 and along.move_m is None


def test_the_words_of_the_moves():
    mends = {c.anchor.id: mend_side(c) for c in steep_side()[2]}
    texts = {(name, m.way): m.text for name, mend in mends.items() for m in mend.moves}
    moves = {(name, m.way): m for name, mend in mends.items() for m in mend.moves}
    right = moves["R", ALONG]
    assert right.move_m > 0.0 > moves["L", ALONG].move_m and moves["R", HEIGHT].move_m < 0.0 < moves["L", HEIGHT].move_m
    assert texts["R", ALONG] == (
        f"Move R {right.move_m:.2f} m towards the head, on level ground; the least travel, {right.best_travel_m:.2f} m, is at {right.best_move_m:+.2f} m."
    )
    assert texts["L", ALONG].startswith(f"Move L {-moves['L', ALONG].move_m:.2f} m towards the winch, on level ground;")
    assert texts["R", HEIGHT] == f"Lower the point that holds the guys of R by {-moves['R', HEIGHT].move_m:.2f} m where it is."
    assert texts["L", HEIGHT].startswith("Raise the point that holds the guys of L by ")


def test_under_the_limit_there_is_nothing_to_mend():
    made = mast()
    assert [mend_side(c) for c in side_cases(made, ground_m(made), HINGE_M, 0.0, LIMIT_M)] == [None, None]
    bare = mast(guys=GUYS[:2])  # side anchors that hold no guy
    assert side_cases(bare, ground_m(bare), HINGE_M, 0.0, LIMIT_M) == ()


def candidate(azimuth_deg, travel, verdict="pass"):
    return Candidate(azimuth_deg, 5.0, 6.0, 0.9, verdict, "x", 0.5, 0.0, 5.0, travel, 0.3, 20.0)


def test_azimuths_that_would_do():
    sweep = [
        candidate(float(a), abs((a - 340 + 180) % 360 - 180) * 0.1, "fail" if a in (349, 350) else "pass") for a in range(0, 360)
    ]
    found = azimuth_mends(tuple(sweep), 10.0, 1.0)
    # 340 +- 10 are under the limit, 350 itself fails of something else; nearest by each way round, and the best.
    assert [(m.azimuth_deg, m.turn_deg) for m in found] == [(348.0, -22.0), (340.0, -30.0)]
    assert [m.verdict for m in found] == ["pass", "pass"]
    assert azimuth_mends((candidate(20.0, 2.0), candidate(21.0, None)), 10.0, 1.0) == ()
    only = azimuth_mends((candidate(20.0, 0.5, "fail"), candidate(0.0, 0.7, "fail")), 10.0, 1.0)
    assert [(m.azimuth_deg, m.turn_deg, m.travel_m, m.verdict) for m in only] == [
        (20.0, 10.0, 0.5, "fail"),
        (0.0, -10.0, 0.7, "fail"),
    ]


# --- errors -------------------------------------------------------------------------------------------------------


def test_errors_of_the_side_anchors_asked_anew():
    made = mast()
    heights, rest_rad = ground_m(made, 0.05, 0.04), math.atan(0.05)
    anchors = {a.id: a for a in made.anchors}
    errors = [e for e in anchor_errors(made, heights, HINGE_M, rest_rad) if e.value == "travel"]
    assert [(e.anchor, e.way) for e in errors] == [(a, w) for a in ("R", "L") for w in ("height", ALONG, ACROSS)]
    for e in errors:
        place = spot(anchors[e.anchor], heights[e.anchor])
        step = {"height": [0, 0, 0.3], ALONG: [0.3, 0, 0], ACROSS: [0, math.copysign(0.3, place[1]), 0]}[e.way]
        sampled = [max(travel_m(a, place + s * np.array(step), rest_rad) for a in (30.0, 58.0)) for s in (0, 1, -1)]
        assert [e.planned, e.plus, e.minus] == pytest.approx(sampled, abs=1e-5)
        assert e.per_metre == pytest.approx((e.plus - e.minus) / 0.6, abs=1e-12)
        assert e.worst_rise == pytest.approx(max(e.plus, e.minus, e.planned) - e.planned, abs=1e-12)
        assert (e.error_m, e.unit) == (0.3, "m")
    height = {e.anchor: e for e in errors if e.way == "height"}
    assert height["R"].per_metre > 0.5 and height["L"].per_metre < -0.5  # R is high, L low: up is worse, up is better


def test_at_its_best_place_both_errors_raise_the_travel_and_the_central_difference_hides_it():
    made = mast()
    on_axis = {a.id: HINGE_M for a in made.anchors}
    error = next(e for e in anchor_errors(made, on_axis, HINGE_M, 0.0) if (e.anchor, e.way) == ("R", "height"))
    assert error.planned < 1e-9 and abs(error.per_metre) < 0.02
    assert error.worst_rise == pytest.approx(0.255, abs=0.002) and min(error.plus, error.minus) > 0.25


def test_errors_of_the_winch_anchor_are_the_lift_tables_pulls():
    made = mast()
    heights = ground_m(made, 0.05)
    errors = {e.way: e for e in anchor_errors(made, heights, HINGE_M, 0.05) if e.value == "pull"}
    assert set(errors) == {"height", ALONG, ACROSS}
    pull = lambda h: max(p for p in lift_table(made, h, HINGE_M, 0.05).winch_pull_kn[:-2])  # noqa: E731
    # The table has every fifth degree, the largest pull 62 steps of 1.2: near the rest line both have the same.
    assert errors["height"].planned == pytest.approx(pull(heights), rel=1e-9)
    assert errors["height"].plus == pytest.approx(pull(heights | {"W": heights["W"] + 0.3}), rel=1e-9)
    assert errors["height"].minus == pytest.approx(pull(heights | {"W": heights["W"] - 0.3}), rel=1e-9)
    assert errors["height"].unit == "kN"
    assert errors[ACROSS].plus == pytest.approx(errors[ACROSS].minus, abs=1e-9)
    nearer = mast(anchors=tuple(a if a.id != "W" else Anchor("W", "winch", 180.0, 63.7) for a in ANCHORS))
    at_63_7 = max(p for p in lift_table(nearer, heights, HINGE_M, 0.05).winch_pull_kn[:-2])
    assert errors[ALONG].plus == pytest.approx(at_63_7, rel=1e-9)


def test_a_winch_whose_line_cannot_lift_has_no_error_and_one_that_nearly_cannot_has_null():
    made = mast()
    heights = ground_m(made) | {"W": 560.0}
    assert [e for e in anchor_errors(made, heights, HINGE_M, 0.0) if e.value == "pull"] == []
    # At 80 degrees the line of a 10 m pole, 64 m away, runs through the hinge where the winch is 11.3 m above it.
    through = HINGE_M + 64.0 * math.tan(math.radians(10.0))
    error = next(
        e for e in anchor_errors(made, heights | {"W": through - 0.1}, HINGE_M, 0.0) if (e.value, e.way) == ("pull", "height")
    )
    assert error.plus is None and error.per_metre is None and error.worst_rise is None and error.minus > 0.0


def test_without_temporary_guys_and_winch_there_is_nothing_to_follow():
    bare = mast(anchors=ANCHORS[:3], guys=GUYS[:2])
    found = lift_guys(bare, ground_m(bare), HINGE_M, 0.0, MENDING)
    assert (found.lines, found.mends, found.azimuths, found.errors) == ((), (), (), ())


def test_the_whole_record_with_mends_and_azimuths_can_stand_in_a_plan():
    made = mast()
    mending = Mending(LIMIT_M, 10.0, (candidate(20.0, 0.5), candidate(10.0, 2.0)), lambda x, y: 500.0 + 0.08 * x + 0.06 * y)
    found = lift_guys(made, ground_m(made, 0.08, 0.06), HINGE_M, math.atan(0.08), mending)
    assert [m.anchor for m in found.mends] == ["R", "L"] and [a.azimuth_deg for a in found.azimuths] == [20.0]
    kept = rounded(found)
    assert rounded(kept) == kept
    assert lift_guys(made, ground_m(made), HINGE_M, 0.0, mending).azimuths == ()
