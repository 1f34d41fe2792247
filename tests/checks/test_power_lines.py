"""Distances to overhead lines against a general minimiser and dense sampling; lines just inside and just outside the limit."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from lift.rigs import BASE_M, HINGE_M, ground_m, mast
from scipy.optimize import minimize
from strategies import LAT, LON, bearings, ground_ring, plan_of, ready_folder, seeds, surface_of, write_layer
from synthetic import plane

from siting.checks.power_lines import PARTLY, is_overhead_line, power_lines
from siting.geodesy.frames import frame_at
from siting.inputs.site_file import read_site
from siting.kernels.curtain import ANY_HEIGHT_M, curtain_distance
from siting.layout.footprint import GroundFeature
from siting.layout.line_distance import Conductors, line_distances
from siting.layout.reach import Stance, heights_around
from siting.planning.land import read_land
from siting.records.mast import Mast

FRAME = frame_at(LAT, LON, BASE_M, None, "test")
FOOT = 0.3048
FULL = mast()
TIP_M = FULL.total_height_m - FULL.hinge_height_m
# A mast whose anchors all lie inside its fall circle: the falling mast comes nearest to every line outside.
SHORT = Mast(
    "short", 60.0, 60.9, "tubular", 11.0, 2.5, 0.3, 10.0, tuple(replace(a, radius_m=36.0) for a in FULL.anchors), FULL.guys
)


def level(x, y):
    return np.full(np.shape(x), BASE_M)


def stance_of(made: Mast, laydown_deg: float = 0.0, rest_rad: float = 0.0, uphill: float = 0.0) -> Stance:
    return Stance(laydown_deg, rest_rad, BASE_M, ground_m(made, uphill))


def line(geometry, name="Line", kind="overhead_line", **given) -> GroundFeature:
    point = shapely.get_coordinates(shapely.shortest_line(shapely.Point(0, 0), geometry))[1]
    spans = geometry if given.get("conductor_m") is not None or geometry.has_z else None
    return GroundFeature(
        name,
        kind,
        name,
        shapely.force_2d(geometry),
        float(np.hypot(*point)),
        (float(point[0]), float(point[1])),
        spans=spans,
        **given,
    )


def east_west(north_m: float) -> shapely.LineString:
    return shapely.LineString([(-500.0, north_m), (500.0, north_m)])


def found_one(geometry, made=SHORT, stance=None, heights=level, error_m=0.0, **given):
    (finding,) = power_lines((line(geometry, **given),), made, stance or stance_of(made), heights, FRAME, error_m).findings
    return finding


# --- a straight piece and a curtain ---------------------------------------------------------------------------------


def curtain_by_scipy(a, b, p, q) -> float:
    """The least over both places, from many starts: a convex function that has no corner."""

    def square(place):
        on, edge = a + place[0] * (b - a), p + place[1] * (q - p)
        return (on[0] - edge[0]) ** 2 + (on[1] - edge[1]) ** 2 + max(0.0, edge[2] - on[2]) ** 2

    starts = [(0.1, 0.1), (0.9, 0.1), (0.5, 0.5), (0.1, 0.9), (0.9, 0.9)]
    return math.sqrt(min(minimize(square, s, bounds=[(0, 1)] * 2, tol=1e-14).fun for s in starts))


coordinate = st.one_of(st.floats(-60.0, 60.0), st.sampled_from([0.0, 10.0, -10.0]))
points = st.tuples(coordinate, coordinate, coordinate).map(np.array)


@given(points, points, points, points)
@settings(max_examples=300)
def test_a_piece_and_a_curtain_against_a_general_minimiser(a, b, p, q):
    distance, along = curtain_distance(a, b, p, q)
    assert 0.0 <= along <= 1.0
    assert distance == pytest.approx(curtain_by_scipy(a, b, p, q), abs=2e-4)


def test_a_piece_over_level_with_and_under_the_edge():
    edge = np.array([-50.0, 10.0, 8.0]), np.array([50.0, 10.0, 8.0])
    origin = np.zeros(3)
    assert curtain_distance(origin, np.array([5.0, 0, 0]), *edge)[0] == pytest.approx(math.hypot(10, 8))
    assert curtain_distance(origin, np.array([0, 0, 60.0]), *edge)[0] == pytest.approx(10.0)  # the mast passes the edge's height
    assert curtain_distance(origin, np.array([0, 30.0, 3.0]), *edge)[0] == pytest.approx(
        8 * math.cos(math.atan(0.1)) - 1 * math.cos(math.atan(0.1))
    )
    assert curtain_distance(origin, np.array([0, 30.0, 60.0]), *edge)[0] == 0.0  # over the conductor: others may hang there
    assert curtain_distance(origin, origin, *edge)[0] == pytest.approx(math.hypot(10, 8))


# --- the whole lift ---------------------------------------------------------------------------------------------------


def naive_parts(made: Mast, stance: Stance, angle: float):
    """Every moving part's ends, written from the definitions: lift frame turned by hand into grid east and north."""
    turn = math.radians(stance.laydown_deg - FRAME.convergence_deg)

    def place(along, right, height):
        return np.array([
            along * math.sin(turn) + right * math.cos(turn), along * math.cos(turn) - right * math.sin(turn), height
        ])  # fmt: skip

    def anchor(name):
        found = next(a for a in made.anchors if a.id == name)
        bearing = math.radians(found.bearing_deg)
        return place(found.radius_m * math.cos(bearing), found.radius_m * math.sin(bearing), stance.anchor_m[name])

    def on_mast(length):
        return place(length * math.cos(angle), 0.0, HINGE_M + length * math.sin(angle))

    pole = place(-made.gin_pole_length_m * math.sin(angle), 0.0, HINGE_M + made.gin_pole_length_m * math.cos(angle))
    hinge = place(0.0, 0.0, HINGE_M)
    yield hinge, on_mast(TIP_M)
    for guys in made.guys:
        if guys.use == "temporary":
            for name in guys.anchors:
                yield anchor(name), on_mast(guys.attach_m)
    yield hinge, pole
    yield anchor("W"), pole


def some_conductors(seed: int, near_m: float) -> Conductors:
    dice = np.random.default_rng(seed)
    turn = dice.uniform(0, 2 * math.pi)
    across = np.array([math.cos(turn), -math.sin(turn)])
    posts = (
        near_m * np.array([math.sin(turn), math.cos(turn)])
        + np.outer([-110.0, -20.0, 60.0, 150.0], across)
        + dice.normal(0, 4, (4, 2))
    )
    z = BASE_M + dice.uniform(6.0, 30.0, 4)
    xyz = np.column_stack([posts, z])
    return Conductors(xyz[:-1], xyz[1:], np.zeros(3, int))


@given(seeds, st.floats(2.0, 120.0), bearings, st.floats(-0.1, 0.2))
@settings(max_examples=25)
def test_the_lift_against_dense_sampling(seed, near_m, laydown, rest):
    """Every 0.05 degrees by parts written out anew: never less than what was found, and no farther than they can swing."""
    stance = stance_of(FULL, laydown, rest, uphill=rest)
    conductors = some_conductors(seed, near_m)
    (found,) = line_distances(FULL, stance, FRAME, conductors)
    angles = np.linspace(rest, math.pi / 2, 1 + int((math.pi / 2 - rest) / math.radians(0.05)))
    parts = [np.array([np.stack(ends) for ends in naive_parts(FULL, stance, t)]) for t in angles]
    ends = np.stack(parts)  # (angles, parts, 2, 3)
    sampled = curtain_distance(ends[:, :, None, 0], ends[:, :, None, 1], conductors.starts, conductors.ends)[0]
    least = float(sampled.min())
    assert found.lifting.distance_m <= least + 1e-9
    assert found.lifting.distance_m >= least - TIP_M * math.radians(0.025)
    at = math.radians(found.lifting.angle_deg)
    there = np.array([np.stack(ends) for ends in naive_parts(FULL, stance, at)])
    again = curtain_distance(there[:, None, 0], there[:, None, 1], conductors.starts, conductors.ends)[0].min()
    assert found.lifting.distance_m == pytest.approx(float(again), abs=1e-6)
    assert found.lying.distance_m == pytest.approx(float(sampled[0, 0].min()), abs=1e-9)


@given(seeds, st.floats(30.0, 110.0), bearings)
@settings(max_examples=6)
def test_the_lift_against_a_general_minimiser(seed, near_m, laydown):
    """Over angle, place on the part and place on the span at once."""
    stance = stance_of(FULL, laydown, 0.05, uphill=0.05)
    conductors = some_conductors(seed, near_m)
    (found,) = line_distances(FULL, stance, FRAME, conductors)
    count = len(list(naive_parts(FULL, stance, 0.1)))
    best = math.inf
    for part in range(count):
        for p, q in zip(conductors.starts, conductors.ends, strict=True):

            def square(x, part=part, p=p, q=q):
                a, b = list(naive_parts(FULL, stance, x[0]))[part]
                on, edge = a + x[1] * (b - a), p + x[2] * (q - p)
                return (on[0] - edge[0]) ** 2 + (on[1] - edge[1]) ** 2 + max(0.0, edge[2] - on[2]) ** 2

            for start in ((0.3, 0.6, 0.5), (1.2, 0.6, 0.5), (0.06, 0.1, 0.9)):
                best = min(best, minimize(square, start, bounds=[(0.05, math.pi / 2), (0, 1), (0, 1)]).fun)
    assert found.lifting.distance_m == pytest.approx(math.sqrt(best), abs=2e-3)


@given(bearings, st.floats(3.0, 100.0), st.sampled_from([None, 9.0]))
def test_turning_laydown_and_line_together_changes_nothing(turn, north_m, conductor_m):
    straight = found_one(east_west(north_m), FULL, voltage_kv=20.0, conductor_m=conductor_m)
    turned_line = shapely.affinity.rotate(east_west(north_m), -turn, origin=(0, 0))
    turned = found_one(turned_line, FULL, stance_of(FULL, turn), voltage_kv=20.0, conductor_m=conductor_m)
    for name in ("lying_m", "lifting_m", "standing_m", "falling_m", "least_m"):
        assert getattr(turned, name) == pytest.approx(getattr(straight, name), abs=1e-5), name


@given(seeds, st.floats(5.0, 150.0), st.floats(4.0, 60.0))
def test_knowing_the_height_never_brings_a_line_nearer(seed, near_m, conductor_m):
    spans = some_conductors(seed, near_m)
    geometry = shapely.LineString(np.vstack([spans.starts[:, :2], spans.ends[-1:, :2]]))
    stance = stance_of(FULL, 33.0)
    plan = found_one(geometry, FULL, stance)
    known = found_one(geometry, FULL, stance, conductor_m=conductor_m)
    assert (plan.is_with_heights, known.is_with_heights) == (False, True)
    for name in ("lying_m", "lifting_m", "standing_m"):
        assert getattr(known, name) >= getattr(plan, name) - 1e-6, name
    assert known.falling_m == plan.falling_m  # the fall circle is measured in plan, whatever hangs how high
    flat = shapely.distance(
        geometry,
        shapely.LineString(
            [
                (0, 0),
                TIP_M
                * np.array(
                    [math.sin(math.radians(33.0 - FRAME.convergence_deg)), math.cos(math.radians(33.0 - FRAME.convergence_deg))]
                ),
            ]
        ),
    )
    assert plan.lying_m == pytest.approx(flat, abs=1e-6)


def test_a_conductor_known_high_above_the_lying_mast():
    finding = found_one(east_west(30.0), conductor_m=50.0, voltage_kv=220.0)
    assert finding.lying_m == pytest.approx(50.0 - 0.3)
    assert finding.lifting_m == 0.0  # the mast goes up through the line
    # The guy from 58 m to K, 36 m out, passes inside and below the conductor: point to straight line.
    assert finding.standing_m == pytest.approx(abs(36.0 * (50.0 - 58.3) + 58.3 * 30.0) / math.hypot(36.0, 58.3), abs=0.05)
    assert finding.falling_m == pytest.approx(30.0 - 60.9)
    assert finding.verdict == "fail" and finding.text.startswith("DO NOT RAISE HERE.")


def test_the_angle_at_which_the_mast_comes_nearest():
    """A short line across the laydown, 40 m out and 40 m up: the mast passes it at 45 degrees, seen from the hinge."""
    short = shapely.LineString([(-1.0, 40.0), (1.0, 40.0)])
    finding = found_one(short, stance=stance_of(SHORT, FRAME.convergence_deg), conductor_m=40.3)
    assert finding.lifting_m < 1e-4
    assert finding.lifting_at_deg == pytest.approx(45.0, abs=0.01)  # the first: above the lowest conductor others may hang
    assert finding.lifting_part == "mast"
    beside = shapely.LineString([(8.0, 40.0), (9.0, 40.0)])
    finding = found_one(beside, without_guys(SHORT), stance_of(SHORT, FRAME.convergence_deg), conductor_m=40.3)
    assert finding.lifting_m == pytest.approx(8.0, abs=1e-4)


def without_guys(made: Mast) -> Mast:
    return replace(made, guys=())


# --- limits -------------------------------------------------------------------------------------------------------------


def test_a_line_at_the_height_and_9_feet_blocks_and_at_11_feet_does_not():
    near = found_one(east_west(SHORT.total_height_m + 9 * FOOT), voltage_kv=25.0)
    assert (near.verdict, near.needed_m) == ("fail", pytest.approx(10 * FOOT))
    assert near.least_m == near.falling_m == pytest.approx(9 * FOOT, abs=1e-9)
    assert near.text.startswith("DO NOT RAISE HERE. Line, 25 kV: the falling mast stays 2.74 m away; 3.05 m is asked for.")
    far = found_one(east_west(SHORT.total_height_m + 11 * FOOT), voltage_kv=25.0)
    assert far.verdict == "pass"
    assert "Nearer than 6.10 m: 29 CFR 1926.1407 to 1409 ask for steps with the line's owner" in far.text
    assert "sag" not in far.text and "as if it hung at every height" in far.text


def test_a_line_inside_the_circle_blocks_at_any_height_and_voltage():
    for kv, conductor in ((0.4, None), (25.0, 12.0), (400.0, 60.0), (None, 90.0)):
        finding = found_one(east_west(40.0), voltage_kv=kv, conductor_m=conductor)
        assert finding.verdict == "fail" and finding.least_m <= 40.0 - 60.9 + 1e-9
        assert "reaches it and 20.90 m more" in finding.text


@pytest.mark.parametrize(("feet", "verdict"), [(19.9, "fail"), (20.1, "marginal"), (49.9, "marginal"), (50.1, "pass")])
def test_an_unknown_voltage_is_held_against_the_trigger_distance_never_the_tables_least(feet, verdict):
    finding = found_one(east_west(SHORT.total_height_m + feet * FOOT))
    assert (finding.verdict, finding.needed_m) == (verdict, pytest.approx(20 * FOOT))
    assert "its voltage is not known: ask the owner" in finding.text
    assert "trigger distance up to 350 kV, for want of the voltage" in finding.source


def test_above_the_table_nothing_passes():
    result = power_lines((line(east_west(300.0), voltage_kv=1100.0),), SHORT, stance_of(SHORT), level, FRAME)
    assert result.checks == () and result.findings[0].verdict == "unchecked"
    assert result.unchecked[0].id == "power_line:Line" and "ends at 1000 kV" in result.unchecked[0].missing
    near = power_lines((line(east_west(70.0), voltage_kv=1100.0),), SHORT, stance_of(SHORT), level, FRAME)
    assert near.checks[0].verdict == near.findings[0].verdict == "fail" and near.unchecked == ()


def test_the_lines_own_error_makes_a_small_margin_marginal():
    geometry = east_west(SHORT.total_height_m + 11 * FOOT)
    assert found_one(geometry, voltage_kv=25.0, error_m=0.2).verdict == "pass"
    assert found_one(geometry, voltage_kv=25.0, error_m=0.5).verdict == "marginal"


def test_a_guy_or_the_winch_line_outside_the_circle_may_come_nearer_than_the_falling_mast():
    finding = found_one(shapely.LineString([(-30.0, 70.0), (30.0, 70.0)]), FULL, voltage_kv=25.0)
    assert (finding.lifting_part, finding.least_m) == ("guy from 30 m to K", pytest.approx(70.0 - 66.0, abs=0.05))
    assert finding.falling_m == pytest.approx(9.1)
    south = found_one(shapely.LineString([(-30.0, -70.0), (30.0, -70.0)]), FULL, voltage_kv=25.0)
    assert south.lifting_part == "winch line" and south.least_m == pytest.approx(6.0, abs=0.05)


def test_the_check_and_the_finding_say_the_same():
    lines = (line(east_west(-90.0), voltage_kv=110.0), line(east_west(80.0)), line(east_west(200.0), kind="road"))
    result = power_lines(lines, SHORT, stance_of(SHORT), level, FRAME)
    assert [c.id for c in result.checks] == ["power_line:Line", "power_line:Line (2)"]  # the nearest first
    for check, finding in zip(result.checks, result.findings, strict=True):
        assert (check.value, check.limit, check.verdict) == (finding.least_m, finding.needed_m, finding.verdict)
        assert check.limit_is_least and check.unit == "m" and check.source == finding.source
        assert finding.least_m == min(finding.lying_m, finding.lifting_m, finding.standing_m, finding.falling_m)
    x, y = (float(v) for v in FRAME.ground_xy(np.array(result.findings[0].lon), np.array(result.findings[0].lat)))
    assert (x, y) == pytest.approx((0.0, 80.0), abs=1e-4)
    assert result.findings[0].bearing_deg == pytest.approx(FRAME.convergence_deg % 360.0, abs=1e-6)
    assert power_lines((lines[2],), SHORT, stance_of(SHORT), level, FRAME).findings == ()


def test_kinds_that_are_overhead_lines():
    over = ("overhead_line", "power_line", "overhead_wire", "powerline", "power_pole", "telephone_wire")
    assert all(map(is_overhead_line, over))
    assert not any(map(is_overhead_line, ("road", "buried_power_line", "underground_power", "fence", "pipeline")))


# --- heights of conductors --------------------------------------------------------------------------------------------


def hillside(x, y):
    return BASE_M + 0.2 * np.asarray(y)


def test_the_conductor_hangs_over_the_ground_at_the_vertices():
    """Ground that rises 20 %: 8 m over it at 50 m north is 18 m over the base."""
    finding = found_one(east_west(50.0), without_guys(SHORT), stance_of(SHORT, 180.0), heights=hillside, conductor_m=8.0)
    assert finding.lying_m == pytest.approx(math.hypot(50.0, 18.0 - 0.3))
    assert finding.is_with_heights and "sag and swing are not worked out" in finding.text


def test_spans_are_straight_between_the_vertices_not_along_the_ground():
    def ridge(x, y):
        return BASE_M + 40.0 * (np.abs(x) < 1.0)  # a rock in mid span

    finding = found_one(east_west(50.0), without_guys(SHORT), stance_of(SHORT, 180.0), heights=ridge, conductor_m=8.0)
    assert finding.lying_m == pytest.approx(math.hypot(50.0, 8.0 - 0.3))


def test_heights_drawn_into_the_line_count_only_where_a_conductor_may_hang():
    def drawn(above):
        z = BASE_M + above
        return found_one(shapely.LineString([(-500, 50, z), (500, 50, z)]), without_guys(SHORT), stance_of(SHORT, 180.0))

    assert drawn(8.0).lying_m == pytest.approx(math.hypot(50.0, 7.7)) and drawn(8.0).is_with_heights
    for wrong in (0.0, 2.5, 150.0, -48.0):  # draped over the ground; another datum
        assert drawn(wrong).lying_m == pytest.approx(50.0) and "taken for no conductor's" in drawn(wrong).text


def test_without_ground_under_a_vertex_the_height_is_not_known_there():
    def hole(x, y):
        return np.where(np.asarray(x) > 0, np.nan, BASE_M)

    finding = found_one(east_west(50.0), without_guys(SHORT), stance_of(SHORT, 180.0), heights=hole, conductor_m=30.0)
    assert not finding.is_with_heights and PARTLY in finding.text
    assert finding.lying_m == pytest.approx(50.0, abs=0.01)


def test_poles_and_corridors_count_as_well_as_lines():
    pole = found_one(shapely.Point(0.0, 70.0), stance=stance_of(SHORT, FRAME.convergence_deg), kind="power_pole", voltage_kv=25.0)
    assert pole.falling_m == pytest.approx(9.1) and pole.lying_m == pytest.approx(70.0 - TIP_M, abs=0.01)
    corridor = found_one(shapely.box(-100.0, 64.0, 100.0, 80.0), voltage_kv=25.0)
    assert corridor.least_m == pytest.approx(64.0 - 60.9)
    around = found_one(shapely.box(-100.0, -100.0, 100.0, 100.0), voltage_kv=25.0)
    assert (around.lying_m, around.falling_m, around.verdict) == (0.0, -60.9, "fail")


def test_above_any_height_there_is_no_edge_to_be_under():
    a, b = np.array([0.0, 0.0, -3000.0]), np.array([0.0, 0.0, 9000.0])
    p, q = np.array([-5.0, 7.0, ANY_HEIGHT_M]), np.array([5.0, 7.0, ANY_HEIGHT_M])
    assert curtain_distance(a, a, p, q)[0] == pytest.approx(7.0) and curtain_distance(b, b, p, q)[0] == pytest.approx(7.0)


# --- from a file to the finding -----------------------------------------------------------------------------------------


def test_a_line_read_from_a_layer(tmp_path):
    folder = ready_folder(tmp_path, plane(6.0, 40.0), half_width_m=200.0)
    shape = shapely.LineString(ground_ring([(-150, 90), (0, 90), (150, 90)], 500.0))
    fields = {"kind": ["overhead_line"], "name": ["Supply"], "voltage_kv": [132.0], "conductor_m": [7.5], "owner": ["Grid Co"]}
    write_layer(folder / "lines.geojson", [shape], fields)
    plan = plan_of(folder, land={"obstacles": "lines.geojson"})
    site, surface = read_site(folder / "site.toml"), surface_of(folder / "dem.tif")
    frame = frame_at(LAT, LON, plan.base.height_m, None, "test")
    near = read_land(site, frame)
    stance = Stance(
        plan.laydown.azimuth_deg,
        math.radians(plan.laydown.rest_angle_deg),
        plan.base.height_m,
        {s.id: s.height_m for s in plan.stakes},
    )
    (finding,) = power_lines(near.obstacles, site.mast, stance, heights_around(surface, frame), frame).findings
    assert (finding.name, finding.owner, finding.voltage_kv, finding.conductor_m) == ("Supply", "Grid Co", 132.0, 7.5)
    assert finding.is_with_heights and finding.needed_m == pytest.approx(15 * FOOT)
    assert finding.falling_m == pytest.approx(90.0 - site.mast.total_height_m, abs=0.01)
