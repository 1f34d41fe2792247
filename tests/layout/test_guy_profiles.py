"""The ground along laydown and guys: exact on a plane, against heights worked out apart, guys against the cable's own formulas."""

from __future__ import annotations

import math
from dataclasses import FrozenInstanceError, replace

import numpy as np
import pyproj
import pytest
import rasterio
from strategies import ground_point, plan_of, ready_folder
from synthetic import plane, rough_ground

from siting.inputs.site_file import read_site
from siting.kernels.cable import hang_at_tension
from siting.layout.guy_profiles import NO_STRAND, NOT_HELD_UP, _joints, profiles_of
from siting.planning.ground import open_ground
from siting.units import GRAVITY_M_S2

SLOPE, UPHILL = 0.06, 40.0


def surface_of(folder):
    """The ground that the planner reads."""
    return open_ground(read_site(folder / "site.toml")).surface


def worked_out(folder, **tables):
    """The plan of a folder and its profiles, unrounded."""
    plan = plan_of(folder, **tables)
    return plan, profiles_of(plan, surface_of(folder))


@pytest.fixture(scope="module")
def even_folder(tmp_path_factory):
    return ready_folder(tmp_path_factory.mktemp("even"), plane(100 * SLOPE, UPHILL))


@pytest.fixture(scope="module")
def even(even_folder):
    return worked_out(even_folder)


@pytest.fixture(scope="module")
def rough_folder(tmp_path_factory):
    ground = rough_ground(11, amplitude_m=1.5, slope_percent=4.0, uphill_deg=200.0)
    return ready_folder(tmp_path_factory.mktemp("rough"), ground, cell_m=3.0)


@pytest.fixture(scope="module")
def rough(rough_folder):
    return worked_out(rough_folder)


def height_m(path, azimuth_deg: float, s_m: float, base_m: float) -> float:
    """Bilinear height at a stake's place, by geographiclib and a loop over four cells; NaN where a cell is missing."""
    with rasterio.open(path) as dem:
        lon, lat = ground_point(azimuth_deg, s_m, base_m)
        x, y = pyproj.Transformer.from_crs("EPSG:4326", dem.crs, always_xy=True).transform(lon, lat)
        col, row = ~dem.transform * (x, y)
        grid = dem.read(1)
    col, row, total = col - 0.5, row - 0.5, 0.0
    for i in (math.floor(row), math.floor(row) + 1):
        for j in (math.floor(col), math.floor(col) + 1):
            if not (0 <= i < grid.shape[0] and 0 <= j < grid.shape[1]) or grid[i, j] == -9999.0:
                return math.nan
            total += grid[i, j] * (1.0 - abs(row - i)) * (1.0 - abs(col - j))
    return total


def test_each_anchor_has_its_line_from_the_base_to_five_metres_past_it(even):
    plan, profiles = even
    stakes = {s.id: s for s in plan.stakes}
    assert [g.anchor for g in profiles.guys] == ["A1", "B1", "C1", "S1", "S2", "K1"]
    for guy in profiles.guys:
        s, radius = np.array(guy.s_m), stakes[guy.anchor].radius_m
        assert s[0] == 0.0 and radius in guy.s_m and abs(s[-1] - radius - 5.0) < 1e-9
        assert (np.diff(s) > 0.0).all() and np.diff(s).max() <= 1.0 + 1e-9
        assert len(guy.ground_m) == len(guy.s_m)
        assert [h.attach_m for h in guy.hangs] == [g.attach_m for g in plan.guys if g.anchor == guy.anchor]


def test_a_radius_that_is_no_whole_number_is_a_sample_too(tmp_path):
    anchors = (("A1", "permanent", 60.0, 33.37), ("B1", "permanent", 180.0, 40.0), ("C1", "permanent", 300.0, 0.8))
    folder = ready_folder(tmp_path, plane(0.0, 0.0), mast={"anchors": anchors, "guys": ((50.0, ("A1", "B1", "C1"), "permanent"),)})
    _, profiles = worked_out(folder)
    assert [len(g.s_m) for g in profiles.guys] == [34 + 1 + 5, 40 + 1 + 5, 1 + 1 + 5]
    assert 33.37 in profiles.guys[0].s_m and profiles.guys[2].s_m[:2] == (0.0, 0.8)


def test_the_ground_of_a_plane_is_exact(even):
    plan, profiles = even
    stakes = {s.id: s for s in plan.stakes}
    for guy in profiles.guys:
        rise = SLOPE * math.cos(math.radians(stakes[guy.anchor].azimuth_deg - UPHILL))
        assert np.abs(np.array(guy.ground_m) - rise * np.array(guy.s_m)).max() < 2e-3, guy.anchor


def test_the_joints_of_a_plane_are_those_worked_out_by_hand(even):
    """Hinge 0.3 m up, ground 6 %, mast 60 m: the rest line rises 0.06 - 0.3 / 60 = 0.055, so a crib is 0.3 - 0.005 s."""
    plan, profiles = even
    assert plan.laydown.azimuth_deg == 40.0
    assert len(profiles.laydown_joints) == 20
    for number, joint in enumerate(profiles.laydown_joints, 1):
        s_m = 3.0 * number / math.hypot(1.0, 0.055)
        assert joint.along_m == pytest.approx(3.0 * number, abs=1e-12)
        assert joint.s_m == pytest.approx(s_m, abs=1e-4)
        assert joint.cribbing_m == pytest.approx(0.3 - 0.005 * s_m, abs=2e-3)
        assert joint.ground_m == pytest.approx(0.06 * s_m, abs=2e-3)
    assert [round(j.cribbing_m, 2) for j in profiles.laydown_joints[:4]] == [0.29, 0.27, 0.26, 0.24]


@pytest.mark.parametrize(("section_m", "count"), [(60.0, 1), (59.9, 1), (61.0, 0), (0.75, 80), (2.0, 30)])
def test_a_joint_stands_at_every_whole_number_of_sections(tmp_path, section_m, count):
    _, profiles = worked_out(ready_folder(tmp_path, plane(6.0, 40.0), mast={"section_length_m": section_m}))
    assert [j.along_m for j in profiles.laydown_joints] == pytest.approx([section_m * k for k in range(1, count + 1)])


@pytest.mark.parametrize(
    ("base_m", "section_m", "wanted"),
    [
        (2.0, 3.0, [2.0 + 3.0 * k for k in range(20)]),  # the last section is cut: 59 m is the last joint of a 60 m mast
        (3.0, 3.0, [3.0 * k for k in range(1, 21)]),
        (6.0, 4.5, [6.0 + 4.5 * k for k in range(13)]),  # a long base; the twelfth above it ends at the head
        (0.5, 59.5, [0.5, 60.0]),
        (60.0, 3.0, [60.0]),
        (58.0, 3.0, [58.0]),
    ],
)
def test_joints_above_a_base_section_of_another_length(tmp_path, base_m, section_m, wanted):
    mast = {"section_length_m": section_m, "base_section_m": base_m}
    plan, profiles = worked_out(ready_folder(tmp_path, plane(6.0, 40.0), mast=mast))
    assert [j.along_m for j in profiles.laydown_joints] == pytest.approx(wanted)
    assert plan.mast.base_section_m == base_m
    for joint in profiles.laydown_joints:
        s_m = joint.along_m / math.hypot(1.0, 0.055)
        assert joint.cribbing_m == pytest.approx(0.3 - 0.005 * s_m, abs=2e-3)


def test_cribs_on_rough_ground_are_the_rest_line_over_the_ground_and_never_negative(rough, rough_folder):
    plan, profiles = rough
    base_m, lay = plan.base.height_m, plan.laydown
    profile = lay.profile
    steepest = max((h - base_m - 0.3) / s for s, h in zip(profile.s_m[1:], profile.ground_m[1:], strict=True))
    cribs = [j.cribbing_m for j in profiles.laydown_joints]
    for joint in profiles.laydown_joints:
        ground = height_m(rough_folder / "dem.tif", lay.azimuth_deg, joint.s_m, base_m) - base_m
        assert joint.ground_m == pytest.approx(ground, abs=1.5e-3)
        assert joint.cribbing_m == pytest.approx(max(0.0, 0.3 + steepest * joint.s_m - ground), abs=2e-3)
    assert min(cribs) >= 0.0 and max(cribs) == pytest.approx(lay.max_gap_m, abs=0.15)
    assert len({round(c, 2) for c in cribs}) > 8


def test_ground_over_the_rest_line_gives_no_negative_crib_and_a_hole_the_ground_around_it(rough):
    plan, _ = rough
    high, hole = _joints(plan, np.array([3.0, 6.0]), np.array([3.0, 6.0]), np.array([9.0, np.nan]))
    assert high.cribbing_m == 0.0 and high.ground_m == 9.0
    between = np.interp(6.0, plan.laydown.profile.s_m, plan.laydown.profile.ground_m) - plan.base.height_m
    assert hole.ground_m == pytest.approx(between)


def test_the_ground_along_the_guys_is_the_bilinear_ground_of_the_dem(rough, rough_folder):
    plan, profiles = rough
    stakes = {s.id: s for s in plan.stakes}
    for guy in profiles.guys:
        for k in (0, 1, len(guy.s_m) // 2, len(guy.s_m) - 6, len(guy.s_m) - 1):
            wanted = height_m(rough_folder / "dem.tif", stakes[guy.anchor].azimuth_deg, guy.s_m[k], plan.base.height_m)
            assert guy.ground_m[k] + plan.base.height_m == pytest.approx(wanted, abs=1.5e-3), (guy.anchor, k)


def test_a_guy_hangs_from_its_anchors_ground_to_its_attachment(rough):
    plan, profiles = rough
    stakes = {s.id: s for s in plan.stakes}
    for guy in profiles.guys:
        for hang in guy.hangs:
            assert len(hang.x_m) == len(hang.z_m) == 24
            assert hang.x_m[0] == pytest.approx(stakes[guy.anchor].radius_m) and hang.x_m[-1] == 0.0
            assert hang.z_m[0] == pytest.approx(stakes[guy.anchor].above_base_m, abs=1.5e-3)
            assert hang.z_m[-1] == pytest.approx(plan.mast.hinge_height_m + hang.attach_m, abs=2e-3)
            assert hang.straight_because == ""


def test_tangents_and_length_are_those_of_the_cable(rough):
    plan, profiles = rough
    lengths = {(g.anchor, g.attach_m, g.use): g for g in plan.cut_list.guys}
    mass = {s.name: s.mass_g_per_m / 1000.0 for s in plan.cut_list.strands}
    seen = 0
    for guy in profiles.guys:
        for hang in guy.hangs:
            known = lengths[guy.anchor, hang.attach_m, hang.use]
            x, z = np.array(hang.x_m)[0] - np.array(hang.x_m), np.array(hang.z_m)
            cable = hang_at_tension(x[-1], z[-1] - z[0], mass[known.strand] * GRAVITY_M_S2, known.set_tension_kn * 1000.0)
            slopes = np.diff(z) / np.diff(x)
            ends = 1.5 * slopes[0] - 0.5 * slopes[1], 1.5 * slopes[-1] - 0.5 * slopes[-2]
            assert ends[0] == pytest.approx(math.tan(cable.anchor_angle_rad), abs=2e-5)
            assert ends[1] == pytest.approx(math.tan(cable.top_angle_rad), abs=2e-5)
            assert float(np.hypot(np.diff(x), np.diff(z)).sum()) == pytest.approx(float(cable.length_m), abs=1e-3)
            assert float((z[0] + (z[-1] - z[0]) * x / x[-1] - z).max()) == pytest.approx(float(cable.sag_m), rel=5e-3)
            if hang.use == "permanent":
                assert float(cable.length_m) == pytest.approx(known.hanging_m, abs=3e-3)
                seen += 1
    assert seen == 6


def test_the_least_height_is_the_least_from_three_metres_off_the_anchor(rough):
    _, profiles = rough
    for guy in profiles.guys:
        for hang in guy.hangs:
            radius = hang.x_m[0]
            z = np.interp(guy.s_m, hang.x_m[::-1], hang.z_m[::-1])
            clear = {s: h - g for s, h, g in zip(guy.s_m, z, guy.ground_m, strict=True) if s <= radius - 3.0 + 1e-9}
            at = min(clear, key=clear.get)
            assert hang.clear_m == pytest.approx(clear[at], abs=5e-3)
            assert hang.clear_at_m == pytest.approx(at, abs=1.01)


def knoll(peak_m: float, away_m: float, spread_m: float):
    """Level ground with a knoll towards azimuth 60."""
    turn = math.radians(60.0)
    return lambda e, n: 500.0 + peak_m * np.exp(
        -((e - away_m * math.sin(turn)) ** 2 + (n - away_m * math.cos(turn)) ** 2) / (2.0 * spread_m**2)
    )


def test_a_knoll_under_a_guy_puts_it_below_the_ground(tmp_path):
    folder = ready_folder(tmp_path, knoll(20.0, 18.0, 4.0), cell_m=1.0)
    _, profiles = worked_out(folder, laydown={"azimuth_deg": 0.0})
    low = next(h for g in profiles.guys if g.anchor == "A1" for h in g.hangs if h.attach_m == 30.0)
    assert -8.0 < low.clear_m < -2.0 and 15.0 <= low.clear_at_m <= 21.0
    other = next(h for g in profiles.guys if g.anchor == "B1" for h in g.hangs if h.attach_m == 30.0)
    assert other.clear_m > 1.0


def test_a_guy_that_runs_into_the_ground_right_at_its_anchor_is_seen(tmp_path):
    folder = ready_folder(tmp_path, knoll(6.0, 38.6, 0.55), cell_m=0.5, half_width_m=90.0)
    _, profiles = worked_out(folder, laydown={"azimuth_deg": 0.0})
    low = next(h for g in profiles.guys if g.anchor == "A1" for h in g.hangs if h.attach_m == 30.0)
    assert low.clear_m < -1.0 and 37.0 < low.clear_at_m < 40.0


def test_a_hole_in_the_dem_is_a_gap_and_no_guess(tmp_path):
    turn = math.radians(60.0)
    hole = (22.0 * math.sin(turn), 22.0 * math.cos(turn), 4.0)
    _, profiles = worked_out(ready_folder(tmp_path, plane(3.0, 0.0), hole=hole), laydown={"azimuth_deg": 0.0})
    line = next(g for g in profiles.guys if g.anchor == "A1")
    missing = [s for s, h in zip(line.s_m, line.ground_m, strict=True) if h is None]
    assert 6 <= len(missing) <= 14 and min(missing) >= 15.0 and max(missing) <= 29.0
    assert all(h.clear_m > 0.0 for h in line.hangs)
    assert all(h is not None for g in profiles.guys if g.anchor != "A1" for h in g.ground_m)


def test_the_end_of_the_dem_past_an_anchor_is_a_gap(tmp_path):
    folder = ready_folder(tmp_path, plane(2.0, 0.0), half_width_m=69.0)
    _, profiles = worked_out(folder, laydown={"azimuth_deg": 0.0})
    back = next(g for g in profiles.guys if g.anchor == "K1")
    known = [s for s, h in zip(back.s_m, back.ground_m, strict=True) if h is not None]
    assert known == [s for s in back.s_m if s <= known[-1]] and 66.0 <= known[-1] < 71.0


def test_a_guy_of_an_unknown_strand_is_straight_and_says_so(tmp_path):
    folder = ready_folder(tmp_path, plane(6.0, 40.0))
    mast = folder / "mast.toml"
    mast.write_text(mast.read_text(encoding="utf-8").replace("diameter_mm = 4.0\n", "", 1), encoding="utf-8")
    _, profiles = worked_out(folder)
    straight = [(g.anchor, h) for g in profiles.guys for h in g.hangs if h.straight_because]
    assert [(name, h.attach_m) for name, h in straight] == [("A1", 58.0), ("B1", 58.0), ("C1", 58.0)]
    for _, hang in straight:
        assert hang.straight_because == NO_STRAND
        slopes = np.diff(hang.z_m) / np.diff(hang.x_m)
        assert np.ptp(slopes) < 1e-9 and hang.clear_m > 1.0


def test_a_guy_that_its_tension_does_not_hold_up_is_straight_and_says_so(even, even_folder):
    """In the cut list's own words where it leaves the guy out; also where only the plumb mast is too far for it."""
    plan, _ = even
    slack = replace(plan.cut_list.guys[0], anchor="B1", attach_m=58.0, use="permanent", set_tension_kn=0.002)
    listed = replace(plan.cut_list, guys=(slack,), not_listed=("A1 at 58 m: 0.00 kN at the anchor does not hold its own weight up",))
    found = profiles_of(replace(plan, cut_list=listed), surface_of(even_folder))
    why = {(g.anchor, h.attach_m): h.straight_because for g in found.guys for h in g.hangs}
    assert why["A1", 58.0] == "0.00 kN at the anchor does not hold its own weight up"
    assert (why["B1", 58.0], why["C1", 58.0]) == (NOT_HELD_UP, NO_STRAND)


def test_without_guys_there_are_joints_alone_and_records_are_frozen(tmp_path):
    anchors = (("A1", "permanent", 60.0, 40.0),)
    _, profiles = worked_out(ready_folder(tmp_path, plane(6.0, 40.0), mast={"guys": (), "anchors": anchors}))
    assert profiles.guys == () and len(profiles.laydown_joints) == 20
    with pytest.raises(FrozenInstanceError):
        profiles.guys = ()
