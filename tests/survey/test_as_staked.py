"""The as-staked report: misses, verdicts, and what the staked places do to guys, the lift and the land."""

from __future__ import annotations

import json
import math
from dataclasses import fields, replace

import numpy as np
import pyproj
import pytest
from hypothesis import given
from hypothesis import strategies as st
from staked_files import (
    FOOT_M,
    base_of,
    demo_plan,
    in_unit,
    measured,
    plane_plan,
    report,
    shift,
    stakes_of,
    swap,
    travel_by_rotation,
    turn,
)

from siting.records.as_staked import AsStaked
from siting.records.survey import ControlPoint
from siting.writers.as_staked.files import FILES


def exact(plan, **changes):
    """The planned places, without any noise."""
    return measured(plan, noise_m=0.0, height_noise_m=0.0, **changes)


def by_id(made):
    return {p.id: p for p in made.points}


def check_of(made, name):
    return next(c for c in made.effects.checks if c.id == name)


# --- misses and verdicts ------------------------------------------------------------------------------------------


def test_the_keys_of_the_contract_come_first():
    made = json.loads(FILES["as_staked.json"](report(demo_plan(), exact(demo_plan()))))
    assert list(made)[:3] == ["points", "likely_cause", "verdict"]
    assert list(made["points"][0])[:6] == ["id", "d_north_m", "d_east_m", "d_height_m", "miss_m", "verdict"]
    assert list(made) == [f.name for f in fields(AsStaked)]


@pytest.mark.parametrize(("off_m", "verdict"), [(0.05, "pass"), (0.1, "pass"), (0.101, "marginal"), (0.5, "marginal"), (0.501, "fail"), (5.0, "fail")])
@pytest.mark.parametrize("azimuth", [0.0, 77.0, 225.0])
def test_synthetic_shifts_are_classed_right(off_m, verdict, azimuth):
    plan = demo_plan()
    a = math.radians(azimuth)
    rows = [(n, round(north + off_m * math.cos(a), 6), round(east + off_m * math.sin(a), 6), h) for n, north, east, h in exact(plan)]
    made = report(plan, rows)
    assert {p.verdict for p in made.points} == {verdict}
    assert made.verdict == verdict
    assert made.likely_cause == "shift"
    for point in made.points:
        assert point.miss_m == pytest.approx(off_m, abs=0.0006)
        assert point.miss_azimuth_grid_deg == pytest.approx(azimuth, abs=0.7 if off_m < 0.2 else 0.1) or azimuth == 0.0
        assert point.miss_azimuth_deg == pytest.approx((point.miss_azimuth_grid_deg + plan.crs.convergence_deg) % 360.0, abs=1e-5)


def test_differences_are_measured_minus_planned_and_heights_are_not_judged():
    plan = demo_plan()
    rows = [(n, north + (0.03 if n == "B1" else 0.0), east - (0.04 if n == "B1" else 0.0), h + 7.0) for n, north, east, h in exact(plan)]
    point = by_id(report(plan, rows))["B1"]
    assert (point.d_north_m, point.d_east_m, point.d_height_m, point.miss_m) == (0.03, -0.04, 7.0, 0.05)
    assert point.verdict == "pass"


def test_a_point_without_a_height_has_none():
    plan = demo_plan()
    rows = [(n, north, east, None if n == "A1" else h) for n, north, east, h in exact(plan)]
    made = report(plan, rows)
    assert by_id(made)["A1"].d_height_m is None and by_id(made)["A2"].d_height_m == 0.0
    assert "Without a measured elevation, the plan's height was taken: A1." in made.effects.notes
    assert max(abs(g.change_m) for g in made.effects.guys) < 0.002


def test_the_users_tolerances_count():
    plan = demo_plan()
    rows = exact(plan, bad={"A1": (0.3, 0.0)})
    assert report(plan, rows, 0.4, 0.6).verdict == "pass"
    assert report(plan, rows, 0.1, 0.2).verdict == "fail"


def test_misses_are_metres_where_the_plan_is_in_feet():
    plan = plane_plan(39.5, -105.2, 2000.0, "EPSG:2232")
    made = report(plan, exact(plan, bad={"A1": (0.3, 0.4)}))
    point = by_id(made)["A1"]
    assert (point.d_east_m, point.d_north_m, point.miss_m) == (pytest.approx(0.3, abs=0.001), pytest.approx(0.4, abs=0.001), pytest.approx(0.5, abs=0.001))
    assert max(p.miss_m for p in made.points if p.id != "A1") < 0.001
    assert made.likely_cause == "one_point"


def test_latitude_and_longitude_are_those_of_the_measured_place():
    plan = demo_plan()
    made = report(plan, measured(plan, bad={"A2": (30.0, -12.0)}, seed=5))
    to_lonlat = pyproj.Transformer.from_crs(32612, 4326, always_xy=True)
    geod = pyproj.Geod(ellps="WGS84")
    for p in made.points:
        lon, lat = to_lonlat.transform(p.easting, p.northing)
        assert geod.inv(lon, lat, p.lon, p.lat)[2] < 0.003
    assert all(p.lon is None for p in report(plan, measured(plan, swap)).points)


def test_the_bearing_is_that_of_the_miss_from_true_north():
    plan = demo_plan()
    made = report(plan, measured(plan, bad={"A2": (30.0, -12.0)}, noise_m=0.0))
    p = by_id(made)["A2"]
    azimuth, _, length = pyproj.Geod(ellps="WGS84").inv(p.planned_lon, p.planned_lat, p.lon, p.lat)
    assert azimuth % 360.0 == pytest.approx(p.miss_azimuth_deg, abs=0.002)
    factor = plan.crs.point_scale
    assert length * factor == pytest.approx(p.miss_m, abs=0.002)


def test_headlines_word_for_word():
    plan = demo_plan()
    assert report(plan, exact(plan)).headline == (
        "All 12 points that were measured lie within 0.10 m; the largest miss is 0.000 m at BASE."
    )
    assert report(plan, exact(plan, bad={"A1": (0.3, 0.0)})).headline == (
        "1 of 12 points off by more than 0.10 m, none by more than 0.50 m; the largest miss is 0.300 m at A1."
    )
    assert report(plan, exact(plan, bad={"SIDE-R": (1.0, 2.0)})).headline == (
        "1 of 12 points off by more than 0.50 m; the largest miss is 2.236 m at SIDE-R; as staked, failing checks (3 of 32): "
        "side_guy_travel:SIDE-R@78, side_guy_travel:SIDE-R@52, side_guy_travel:SIDE-R@26."
    )
    rows = [r for r in exact(plan) if r[0] in ("BASE", "A1")]
    assert report(plan, rows).headline == (
        "All 2 points that were measured lie within 0.10 m; the largest miss is 0.000 m at BASE; NOT measured: HEAD, A2, B1, B2, "
        "C1, C2, SIDE-R, SIDE-L and 2 more."
    )


# --- guys and the lift --------------------------------------------------------------------------------------------


def test_planned_places_give_the_plans_own_numbers():
    plan = demo_plan()
    made = report(plan, exact(plan))
    effects = made.effects
    assert len(effects.guys) == len(plan.guys) and len(effects.checks) >= 25
    assert max(abs(g.change_m) for g in effects.guys) <= 0.002
    for check in effects.checks:
        assert check.value == pytest.approx(check.planned_value, abs=0.004), check.id
        assert check.verdict == check.planned_verdict
    assert effects.changed == () and effects.base_moved_m == 0.0
    assert effects.laydown_azimuth_deg == pytest.approx(plan.laydown.azimuth_deg, abs=0.002)


@given(
    east=st.floats(-3.0, 3.0), north=st.floats(-3.0, 3.0), rise=st.floats(-2.0, 2.0),
    who=st.sampled_from(["SIDE-R", "SIDE-L", "BASE", "HEAD"]),
)  # fmt: skip
def test_travel_is_what_a_rotation_in_space_gives(east, north, rise, who):
    plan = demo_plan()
    rows = [(n, y + (north if n == who else 0), x + (east if n == who else 0), h + (rise if n == who else 0)) for n, y, x, h in exact(plan)]
    made = report(plan, rows)
    assert made.effects.why_not == ""
    for anchor, attach_m in (("SIDE-R", 78.0), ("SIDE-L", 26.0)):
        check = check_of(made, f"side_guy_travel:{anchor}@{attach_m:g}")
        assert check.value == pytest.approx(travel_by_rotation(plan, rows, anchor, attach_m), abs=0.002)
        assert check.verdict == ("pass" if check.value <= 1.0 else "fail")


def test_a_side_anchor_off_the_axis_fails_the_travel_and_the_verdict():
    plan = demo_plan()
    made = report(plan, exact(plan, bad={"SIDE-R": (0.1, 0.45)}))  # 0.46 m ahead: marginal by its miss
    assert by_id(made)["SIDE-R"].verdict == "marginal"
    check = check_of(made, "side_guy_travel:SIDE-R@78")
    assert (check.verdict, check.planned_verdict) == ("fail", "pass") and check.value > 1.0
    assert "side_guy_travel:SIDE-R@78" in made.effects.changed and made.verdict == "fail"


def test_chords_are_to_the_staked_place_and_its_measured_height():
    plan = demo_plan()
    rows = [(n, y, x + (2.0 if n == "A2" else 0.0), h + (1.5 if n == "A2" else 0.0)) for n, y, x, h in exact(plan)]
    made = report(plan, rows)
    at = {n: (x, y, h) for n, y, x, h in rows}
    ground = 1.0 / plan.crs.combined_factor
    flat_m = math.hypot(at["A2"][0] - at["BASE"][0], at["A2"][1] - at["BASE"][1]) * ground
    for guy in made.effects.guys:
        if guy.anchor == "A2":
            rise_m = at["BASE"][2] + plan.mast.hinge_height_m + guy.attach_m - at["A2"][2]
            assert guy.chord_m == pytest.approx(math.hypot(flat_m, rise_m), abs=0.001)
            assert guy.change_m == pytest.approx(guy.chord_m - guy.planned_chord_m, abs=0.0011)
        else:
            assert abs(guy.change_m) <= 0.002


def test_another_vertical_datum_changes_nothing():
    plan = demo_plan()
    rows = [(n, y, x, h - 17.3) for n, y, x, h in exact(plan)]
    made = report(plan, rows)
    assert made.effects.height_offset_m == -17.3
    assert max(abs(g.change_m) for g in made.effects.guys) <= 0.002 and made.verdict == "pass"
    assert any("The elevations lie -17.30 m from the DEM's" in n for n in made.effects.notes)
    without_base = [(n, y, x, None if n == "BASE" else h) for n, y, x, h in rows]
    made = report(plan, without_base)
    assert max(abs(g.change_m) for g in made.effects.guys) <= 0.002
    assert any(n.startswith("The base has no measured elevation") for n in made.effects.notes)


def test_heights_in_feet_are_not_used():
    plan = demo_plan()
    made = report(plan, [(n, y, x, h / FOOT_M) for n, y, x, h in exact(plan)])
    assert max(abs(g.change_m) for g in made.effects.guys) <= 0.002
    assert any("look like feet" in n for n in made.effects.notes)


def test_a_base_height_out_of_step_is_said():
    plan = demo_plan()
    made = report(plan, [(n, y, x, h + (4.0 if n == "BASE" else 0.0)) for n, y, x, h in exact(plan)])
    assert any(n.startswith("The base's elevation is +4.00 m out of step") for n in made.effects.notes)
    assert made.verdict == "fail"  # 4 m on every anchor's height: the side guys' travel shows it


def test_a_turned_layout_keeps_its_lift():
    """All stakes turned about the base: the mast is laid toward the head as staked, so the lift is the same."""
    plan = demo_plan()
    made = report(plan, exact(plan, fault=turn(plan.crs.convergence_deg, base_of(plan))))
    assert made.effects.laydown_azimuth_deg == pytest.approx(plan.laydown.azimuth_deg + plan.crs.convergence_deg, abs=0.002)
    for guy in plan.lift.side_guys:
        assert check_of(made, f"side_guy_travel:{guy.anchor}@{guy.attach_m:g}").value == pytest.approx(guy.travel_m, abs=0.004)


def test_a_moved_head_turns_the_hinge_axis():
    plan = demo_plan()
    rows = exact(plan, bad={"HEAD": (4.0, -1.0)})
    made = report(plan, rows)
    check = check_of(made, "side_guy_travel:SIDE-L@78")
    assert check.value == pytest.approx(travel_by_rotation(plan, rows, "SIDE-L", 78.0), abs=0.002)
    assert abs(check.value - check.planned_value) > 0.5


def test_the_winch_line_is_worked_out_again():
    plan = demo_plan()
    rows = [(n, y, x, h + (6.0 if n == "WINCH" else 0.0)) for n, y, x, h in exact(plan)]
    check = check_of(report(plan, rows), "winch_arm")
    assert check.value < check.planned_value - 0.03
    pole, at = plan.mast.gin_pole_length_m, {n: (x, y, h) for n, y, x, h in rows}
    flat_m = math.hypot(at["WINCH"][0] - at["BASE"][0], at["WINCH"][1] - at["BASE"][1]) / plan.crs.combined_factor
    winch = np.array([-flat_m, at["WINCH"][2] - at["BASE"][2] - plan.mast.hinge_height_m])  # straight behind the hinge
    angles = np.linspace(math.radians(plan.laydown.rest_angle_deg), math.radians(80.0), 5001)
    tips = pole * np.column_stack([-np.sin(angles), np.cos(angles)])
    lines = winch - tips
    arms = np.abs(tips[:, 0] * lines[:, 1] - tips[:, 1] * lines[:, 0]) / np.hypot(*lines.T)
    assert check.value == pytest.approx(arms.min() / pole, abs=0.002)


# --- land ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("east", "north"), [(0.0, -3.0), (3.0, -12.0), (-8.0, 2.0), (0.0, -100.0), (5.0, 40.0)])
def test_a_moved_base_has_another_distance_to_the_line(east, north):
    """Against the demo's parcels themselves, read with geopandas and measured with PROJ: nothing of siting."""
    import geopandas
    import shapely

    plan = demo_plan()
    made = report(plan, [(n, y + north, x + east, h) for n, y, x, h in exact(plan)])
    from staked_files import ROOT

    parcels = geopandas.read_file(ROOT / "sample_dem" / "parcels.gpkg").to_crs(32612)
    own = shapely.union_all(parcels[parcels["pin"].isin(plan.land.own)].geometry.values)
    base = shapely.Point(base_of(plan).real + east, base_of(plan).imag + north)
    wanted = own.boundary.distance(base) / plan.crs.combined_factor * (1 if own.covers(base) else -1)
    for kind in ("setback", "fall_zone"):
        check = check_of(made, kind)
        assert check.value == pytest.approx(wanted, abs=0.02) or (check.is_bound and check.value <= wanted)
        limit = next(c for c in plan.checks if c.id == kind)
        assert check.limit == limit.limit
        expected = "fail" if check.value < limit.limit else "marginal" if check.value < limit.limit + limit.uncertainty else "pass"
        assert check.verdict == expected


def test_a_base_too_near_the_line_fails_the_report():
    plan = demo_plan()
    made = report(plan, [(n, y - 12.0, x + 3.0, h) for n, y, x, h in exact(plan)])
    assert check_of(made, "setback").verdict == "fail" and check_of(made, "fall_zone").verdict == "pass"
    assert made.effects.changed == ("setback",) and made.effects.base_moved_m == pytest.approx(12.369, abs=0.01)


def test_an_anchor_over_the_line_fails():
    plan = demo_plan()
    made = report(plan, exact(plan, bad={"WINCH": (0.0, -20.0)}))  # it stood 15.6 m inside
    check = check_of(made, "anchor_on_own_land:WINCH")
    assert check.value < -3.0 and check.verdict == "fail" and check.planned_verdict == "pass"
    guy = check_of(made, "guy_on_own_land:WINCH")
    assert 3.0 < guy.value < 6.0 and guy.verdict == "fail"


def test_a_base_nearer_the_overhead_line_is_seen():
    plan = demo_plan()
    made = report(plan, [(n, y - 50.0, x, h) for n, y, x, h in exact(plan)])
    check = check_of(made, "fall_zone_obstacle:overhead_line")
    assert check.value == pytest.approx(check.planned_value - 50.0, abs=1.5) and check.verdict == "fail"
    road = check_of(made, "fall_zone_obstacle:road")
    assert road.planned_value - 50.1 <= road.value <= road.planned_value and road.is_bound


def test_without_a_base_the_land_stands_as_planned():
    plan = demo_plan()
    made = report(plan, [r for r in exact(plan) if r[0] != "BASE"])
    ids = {c.id for c in made.effects.checks}
    assert "setback" not in ids and "anchor_on_own_land:A1" in ids
    assert made.effects.base_moved_m is None and made.effects.laydown_azimuth_deg is None
    assert any(n.startswith("The base was NOT measured") for n in made.effects.notes)


def test_slopes_are_said_to_stand_as_planned():
    made = report(demo_plan(), exact(demo_plan()))
    assert made.effects.not_recomputed[0].startswith("Slopes at the anchors, along the laydown and of the rest line: they need the DEM.")
    assert not any(c.id.startswith(("anchor_slope", "laydown_slope", "rest_slope", "gap")) for c in made.effects.checks)


def test_what_was_unchecked_stays_unchecked():
    plan = plane_plan(46.5, 11.9, 800.0)
    made = report(plan, exact(plan))
    assert not any(c.id in ("setback", "fall_zone") for c in made.effects.checks)
    assert any(n.startswith("Not checked in the plan, and not here: setback, fall_zone") for n in made.effects.notes)


@pytest.mark.parametrize("fault", [swap, in_unit(FOOT_M), shift(0.0, 10_000_000.0), shift(-500_000.0, -5_200_000.0)])
def test_effects_of_numbers_that_are_not_the_stakes_are_not_made_up(fault):
    made = report(demo_plan(), measured(demo_plan(), fault))
    assert made.verdict == "fail" and made.effects.why_not.startswith("Not worked out: ")
    assert (made.effects.guys, made.effects.checks) == ((), ())
    assert "NOT worked out" in made.headline


def test_control_points_are_check_points_and_move_nothing():
    plan = demo_plan()
    control = ControlPoint(
        id="Monument 7", point="Monument", role="control", code="MCTRL", lat=47.0275, lon=-109.849, easting=587460.0,
        northing=5208860.0, height_m=None, azimuth_deg=117.0, distance_m=57.0,
    )  # fmt: skip
    plan = replace(plan, control=(control,))
    rows = [*exact(plan, fault=shift(1.0, 0.0)), ("MONUMENT", 5208860.0, 587461.0, 1421.0)]
    made = report(plan, rows)
    point = by_id(made)["Monument 7"]
    assert (point.role, point.d_east_m, point.d_height_m, point.verdict) == ("control", 1.0, None, "fail")
    assert made.likely_cause == "shift" and made.cause.bad_points == ()
    made = report(plan, exact(plan))
    assert [m.id for m in made.missing if m.role == "control"] == ["Monument 7"] and "NOT measured" not in made.headline


# --- files --------------------------------------------------------------------------------------------------------


def test_the_text_says_the_verdict_first_and_fits_the_width():
    plan = demo_plan()
    for fault in (lambda z: z, shift(3.0, -4.0), turn(5.0, base_of(plan))):
        lines = FILES["as_staked.txt"](report(plan, measured(plan, fault, bad={"SIDE-R": (1.0, 2.0)}))).decode().splitlines()
        assert lines[2].startswith("FAIL. ") and max(map(len, lines)) <= 100
        assert any(line.startswith("LIKELY CAUSE  ") for line in lines)


def test_geojson_holds_points_misses_and_what_was_not_measured():
    plan = demo_plan()
    rows = [r for r in measured(plan, bad={"A1": (2.0, 1.0)}) if r[0] != "WINCH"]
    made = report(plan, rows)
    read = json.loads(FILES["as_staked.geojson"](made))
    found = {f["id"]: f for f in read["features"]}
    assert len(found) == len(read["features"])
    assert found["WINCH"]["properties"]["verdict"] == "unchecked"
    line = found["miss:A1"]["geometry"]["coordinates"]
    assert pyproj.Geod(ellps="WGS84").line_length(*zip(*line, strict=True)) == pytest.approx(2.236, abs=0.05)
    assert [i for i in found if i.startswith("miss:")] == ["miss:A1"]
    a1 = next(s for s in plan.stakes if s.id == "A1")
    assert line[0] == [a1.lon, a1.lat]
    far = json.loads(FILES["as_staked.geojson"](report(plan, measured(plan, swap))))
    assert {f["geometry"] is None for f in far["features"] if f["id"] in {s.id for s in stakes_of(plan)}} == {True}


def test_the_csv_reads_back_as_an_as_staked_file(tmp_path):
    from siting.inputs.staked_csv import read_staked

    plan = demo_plan()
    rows = [("Süd 1" if n == "B1" else n, y, x, h) for n, y, x, h in measured(plan, bad={"A1": (0.2, 0.1)})]
    made = report(plan, rows)
    path = tmp_path / "as_staked.csv"
    path.write_bytes(FILES["as_staked.csv"](made))
    again = read_staked(path, "as_staked.csv")
    assert [(p.name, p.northing, p.easting, p.elevation_m) for p in again.points] == [
        (n, round(y, 3), round(x, 3), round(h, 3)) for n, y, x, h in rows
    ]
