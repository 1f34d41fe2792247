"""Offsets, ties, control, localisation, ground coordinates, geoid and datum of a plan, against independent geometry."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from pyproj import Transformer

from siting.errors import FrameError, InputError, OutOfMethod
from siting.inputs.site_file import read_site
from siting.planner import make_plan
from siting.records.site import GivenPoint, PointOptions
from siting.survey.localisation import fit_similarity, localise

MILLIMETRE = 0.001
DEMO = Path(__file__).parents[2] / "sample_dem" / "site.toml"
GIVEN = (
    GivenPoint("CP1", "control", easting=587500.0, northing=5208900.0, height_m=1430.0),
    GivenPoint("gate post", "feature", lat=47.0270, lon=-109.8490),
    GivenPoint("well", "feature", lat=47.0285, lon=-109.8500),
)


@pytest.fixture(scope="module")
def site():
    return read_site(DEMO)


@pytest.fixture(scope="module")
def plan(site):
    options = replace(site.points, offset_in_line_m=(3.0,), offset_square_m=(2.5, -2.5), ground_scaled=True)
    return make_plan(replace(site, points=options, given_points=GIVEN))


def stake(plan, name):
    return next(s for s in plan.stakes if s.id == name)


def on_grid_m(a, b) -> tuple[float, float]:
    return b.easting - a.easting, b.northing - a.northing


def test_offset_stakes_lie_in_line_and_square_at_their_distances(plan):
    base, factor = stake(plan, "BASE"), plan.crs.combined_factor
    anchors = [s for s in plan.stakes if s.role in ("permanent", "temporary", "winch")]
    assert sum(s.role == "offset" for s in plan.stakes) == 3 * len(anchors)
    for anchor in anchors:
        east, north = on_grid_m(base, anchor)
        length = math.hypot(east, north)
        along, right = np.array([east, north]) / length, np.array([north, -east]) / length
        for number, (in_line_m, square_m) in enumerate(((3.0, 0.0), (0.0, 2.5), (0.0, -2.5)), 1):
            off = np.array(on_grid_m(anchor, stake(plan, f"{anchor.id}-{number}"))) / factor
            assert off @ along == pytest.approx(in_line_m, abs=2 * MILLIMETRE), anchor.id
            assert off @ right == pytest.approx(square_m, abs=2 * MILLIMETRE), anchor.id


def test_an_offset_stake_is_placed_like_any_stake(plan):
    base = stake(plan, "BASE")
    for offset in (s for s in plan.stakes if s.role == "offset"):
        line = Geodesic.WGS84.Inverse(base.lat, base.lon, offset.lat, offset.lon)
        radius_m = line["s12"] / plan.crs.elevation_factor
        assert radius_m == pytest.approx(offset.radius_m, abs=MILLIMETRE)
        assert math.radians(line["azi1"] % 360 - offset.azimuth_deg) * radius_m == pytest.approx(0.0, abs=MILLIMETRE)


def test_empty_lists_leave_the_offset_stakes_out(site):
    plan = make_plan(replace(site, points=PointOptions(offset_in_line_m=(), offset_square_m=())))
    assert {s.role for s in plan.stakes} == {"base", "head", "permanent", "temporary", "winch"}


def test_every_tie_agrees_with_geographiclib_and_the_grid(plan):
    at = {p.id: p for p in (*plan.stakes, *plan.control)}
    assert {t.kind for t in plan.ties} == {"base", "neighbour", "diagonal", "feature"}
    assert len(plan.ties) > 30
    for tie in plan.ties:
        a, b = at[tie.start], at[tie.end]
        line = Geodesic.WGS84.Inverse(a.lat, a.lon, b.lat, b.lon)
        ground_m = line["s12"] / plan.crs.elevation_factor
        assert tie.ground_m == pytest.approx(ground_m, abs=2 * MILLIMETRE)
        assert tie.grid_m == pytest.approx(math.hypot(*on_grid_m(a, b)), abs=2 * MILLIMETRE)
        assert tie.grid_m / tie.ground_m == pytest.approx(plan.crs.combined_factor, abs=2e-6 + 3 * MILLIMETRE / tie.ground_m)
        if a.height_m is None or b.height_m is None:
            assert tie.slope_distance_m is None
        else:
            rise_m = b.height_m - a.height_m
            assert tie.slope_distance_m == pytest.approx(math.hypot(ground_m, rise_m), abs=3 * MILLIMETRE)
        turn = math.radians((tie.azimuth_grid_deg - math.degrees(math.atan2(*on_grid_m(a, b))) + 180) % 360 - 180)
        assert turn * tie.grid_m == pytest.approx(0.0, abs=2 * MILLIMETRE)


def test_a_base_moved_by_a_metre_changes_the_ties_to_features(site, plan):
    base = replace(site.base, lat=site.base.lat + 1.0 / 111_200)
    moved = make_plan(replace(site, base=base, points=plan_options(site), given_points=GIVEN))
    ties = lambda p: {(t.start, t.end): t.ground_m for t in p.ties if t.kind == "feature"}  # noqa: E731
    changes = [abs(ties(moved)[key] - length) for key, length in ties(plan).items() if key in ties(moved)]
    assert len(changes) > 10 and max(changes) > 0.5
    inner = {(t.start, t.end): t.ground_m for t in plan.ties if t.kind == "base"}
    for tie in moved.ties:
        if tie.kind == "base" and tie.end != "HEAD":
            assert tie.ground_m == pytest.approx(inner[(tie.start, tie.end)], abs=2 * MILLIMETRE)


def plan_options(site):
    return replace(site.points, offset_in_line_m=(3.0,), offset_square_m=(2.5, -2.5), ground_scaled=True)


def test_ground_coordinates_are_undone_to_a_millimetre_and_look_like_no_grid(plan):
    grid = plan.ground_grid
    for point in grid.points:
        s = stake(plan, point.id)
        easting = grid.origin_easting + (point.x_m - grid.x_origin_m) / grid.factor
        northing = grid.origin_northing + (point.y_m - grid.y_origin_m) / grid.factor
        assert (easting, northing) == pytest.approx((s.easting, s.northing), abs=MILLIMETRE)
        assert abs(point.x_m - s.easting) > 100_000 and abs(point.y_m - s.northing) > 100_000
    base, anchor = grid.points[0], next(p for p in grid.points if p.id == "A2")
    distance_m = math.hypot(anchor.x_m - base.x_m, anchor.y_m - base.y_m)
    assert distance_m == pytest.approx(stake(plan, "A2").radius_m, abs=2 * MILLIMETRE)


def test_control_points_come_along_in_both_coordinates(plan):
    to_grid = Transformer.from_crs("EPSG:4326", f"EPSG:{plan.crs.epsg}", always_xy=True)
    assert [c.id for c in plan.control] == ["CP1", "gate post", "well"]
    for point in plan.control:
        assert to_grid.transform(point.lon, point.lat) == pytest.approx((point.easting, point.northing), abs=MILLIMETRE)
    assert plan.control[0].height_m == 1430.0 and plan.control[1].height_m is None


def test_a_control_point_in_another_zone_is_refused(site):
    far = GivenPoint("CP9", "control", easting=5208900.0, northing=587500.0)
    with pytest.raises(InputError, match="control point CP9: lies .* Check zone, axis order and unit"):
        make_plan(replace(site, given_points=(far,)))


def similarity(points, scale, turn_deg, shift):
    t = math.radians(turn_deg)
    clockwise = np.array([[math.cos(t), math.sin(t)], [-math.sin(t), math.cos(t)]])
    return scale * points @ clockwise.T + shift


PAIRS = np.array([(-310.0, 120.0), (250.0, 290.0), (330.0, -260.0), (-180.0, -240.0), (20.0, 400.0)])
NAMES = ("P1", "P2", "P3", "P4", "P5")


@pytest.mark.parametrize(("ppm", "turn", "shift"), [(20.0, 0.01, (0.3, -0.2)), (-400.0, 1.5, (5.0, 9.0)), (0.0, 0.0, (0.0, 0.0))])
def test_a_known_shift_turn_and_scale_are_recovered(ppm, turn, shift):
    local = similarity(PAIRS, 1 + ppm * 1e-6, turn, np.array(shift))
    scale, found, moved = fit_similarity(PAIRS, local)
    assert (scale - 1) * 1e6 == pytest.approx(ppm, abs=1e-6)
    assert found == pytest.approx(turn, abs=1e-9)
    assert moved == pytest.approx(shift, abs=1e-9)
    fitted = localise(NAMES, PAIRS, local)
    assert fitted.rms_m == pytest.approx(0.0, abs=1e-9) and fitted.suspect == ""


@pytest.mark.parametrize("bad", range(5))
def test_one_bad_pair_stands_out(bad):
    local = similarity(PAIRS, 1.00002, 0.02, np.array([0.3, -0.1]))
    local[bad] += (0.5, 0.3)
    fitted = localise(NAMES, PAIRS, local)
    assert fitted.suspect == NAMES[bad]
    assert fitted.verdict.startswith(f"{NAMES[bad]} does not fit the others")


def test_scattered_pairs_name_nobody_and_too_few_are_refused():
    noise = np.random.default_rng(5).normal(0, 0.2, PAIRS.shape)
    assert localise(NAMES, PAIRS, PAIRS + noise).suspect == ""
    with pytest.raises(OutOfMethod, match="fewer than two pairs"):
        fit_similarity(PAIRS[:1], PAIRS[:1])
    with pytest.raises(OutOfMethod, match="all lie in one place"):
        fit_similarity(PAIRS[[0, 0]], PAIRS[[0, 0]])


def test_another_datum_without_a_real_shift_is_refused_until_accepted(site):
    named = replace(site, projected_crs="EPSG:26912")  # NAD83: WGS 84 taken as one, stated as good to 4 m
    with pytest.raises(FrameError, match=r"NAD83 / UTM zone 12N: WGS 84 and its datum .* may be off by about 4 m"):
        make_plan(named)
    plan = make_plan(replace(named, accepts_null_shift=True))
    assert plan.crs.datum == "North American Datum 1983"
    assert any("may be off by about 4 m" in warning for warning in plan.warnings)


def test_epoch_and_datum_are_said_in_every_file(site):
    from siting.writers.points.geojson import geojson
    from siting.writers.points.kml import kml
    from siting.writers.points.points_csv import points_csv

    plan = make_plan(replace(site, epoch=2027.36))
    for content in (geojson(plan), kml(plan), points_csv(plan)):
        assert b"2027.36" in content
    assert b"World Geodetic System 1984" in geojson(plan) and b"World Geodetic System 1984" in kml(plan)


def test_a_geoid_grid_gives_ellipsoidal_heights(site, tmp_path):
    """A GTX grid of one undulation (NOAA's format: origin, step, size, then big-endian float32), read by PROJ."""
    header = np.array([46.0, -111.0, 0.5, 0.5], ">f8").tobytes() + np.array([5, 5], ">i4").tobytes()
    grid = tmp_path / "level.gtx"
    grid.write_bytes(header + np.full((5, 5), -17.25, ">f4").tobytes())
    plan = make_plan(replace(site, dem=replace(site.dem, geoid=grid, geoid_shown="level.gtx")))
    assert plan.terrain.geoid == "level.gtx"
    for s in plan.stakes:
        assert s.ellipsoid_height_m == pytest.approx(s.height_m - 17.25, abs=MILLIMETRE)
    assert make_plan(site).stakes[0].ellipsoid_height_m is None
    (tmp_path / "broken.gtx").write_bytes(b"no grid")
    with pytest.raises(FrameError, match=r"\[dem\] geoid, broken.gtx: is no geoid grid"):
        make_plan(replace(site, dem=replace(site.dem, geoid=tmp_path / "broken.gtx", geoid_shown="broken.gtx")))
