"""Signed distances of points and guys to outlines, and waived lines, against shapely and against sampling, on hard shapes."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import GeometryCollection, LineString, MultiPoint, MultiPolygon, Point, Polygon, box

from siting.layout.footprint import GroundFeature, OwnLand, own_land
from siting.layout.targets import (
    ON_THE_LINE_M,
    Spots,
    guy_distances_m,
    land_target,
    nearest_pair_m,
    pieces_of,
    point_distances_m,
    things_target,
)
from siting.layout.waived_line import SAME_LINE_M, line_that_counts

HOLED = Polygon([(-100, -80), (90, -100), (110, 60), (0, 100), (-90, 70)], [[(20, 20), (50, 20), (50, 50), (20, 50)]])
BOWTIE = shapely.make_valid(Polygon([(-60, -60), (60, 60), (60, -60), (-60, 60)]))
AREAS = {
    "with a hole": HOLED,
    "of two parts": MultiPolygon([HOLED, box(111, -100, 119, -50)]),
    "a sliver": Polygon([(-100, -0.02), (100, -0.01), (100, 0.01), (-100, 0.02)]),
    "self-crossing": BOWTIE,
    "overlapping": shapely.union_all([box(-50, -50, 20, 50), box(10, -60, 80, 40)]),
    "base on its line": box(0, -50, 80, 50),
    "base at its corner": box(0, 0, 80, 50),
    "narrow neck": shapely.union_all([box(-60, -60, -5, 60), box(-5, -0.5, 40, 0.5), box(40, -30, 90, 30)]),
}  # fmt: skip
ENDS = st.lists(st.tuples(st.floats(-120.0, 120.0), st.floats(-120.0, 120.0)), min_size=1, max_size=25)


def land_of(area) -> OwnLand:
    return OwnLand(("x",), area, 0.0, (0.0, 0.0))


@pytest.mark.parametrize("name", AREAS)
@given(ENDS)
def test_points_against_shapely(name, ends):
    area, spots = AREAS[name], Spots.of(np.array(ends))
    inside = point_distances_m(land_target(land_of(area), area.boundary), spots)
    outside = point_distances_m(things_target([area]), spots)
    for end, own, thing in zip(ends, inside, outside, strict=True):
        away = area.boundary.distance(Point(end))
        assert abs(own) == pytest.approx(away, abs=2e-6)  # points that differ by less than a micrometre are one
        assert abs(thing) == pytest.approx(away, abs=2e-6)
        if away > 1e-5:
            assert (own > 0) == area.contains(Point(end)) == (thing < 0)


@pytest.mark.parametrize("name", AREAS)
@given(ENDS)
def test_guys_against_sampling(name, ends):
    """5 cm steps along each guy: what lies outside the own land, or how near the line comes at best."""
    area = AREAS[name]
    found = guy_distances_m(land_target(land_of(area), area.boundary), Spots.of(np.array(ends)))
    for (x, y), value in zip(ends, found, strict=True):
        length = math.hypot(x, y)
        t = np.linspace(0.0, 1.0, max(int(length / 0.05), 2) + 1)
        points = shapely.points(np.stack([x * t, y * t], axis=1))
        outside = ~shapely.covers(area.buffer(ON_THE_LINE_M, join_style="mitre"), points)
        nearest = shapely.distance(area.boundary, points).min()
        step = length / (t.size - 1)
        if value < 0:
            assert -value <= (outside.sum() + 2 * 12) * step + 1e-6  # each crossing may fall inside a step
            assert -value >= (outside.sum() - 12) * step - 1e-6
        else:
            assert not outside.any() or outside.sum() * step < 12 * step
            assert nearest - step <= value <= nearest + 1e-6


@given(ENDS)
def test_guys_to_lines_and_areas_of_others(ends):
    things = [LineString([(-120, 35), (0, 60), (120, 35)]), box(60, -80, 80, 20), MultiPoint([(-50, -50), (-60, 10)])]
    found = guy_distances_m(things_target(things), Spots.of(np.array(ends)))
    every = shapely.union_all(things)
    for end, value in zip(ends, found, strict=True):
        guy = LineString([(0, 0), end])
        inside = shapely.intersection(guy, things[1]).length
        assert value == pytest.approx(-inside if inside > 1e-9 else guy.distance(every), abs=3e-6)


def test_shapes_are_taken_to_pieces():
    nested = GeometryCollection([Point(1, 1), GeometryCollection([LineString([(0, 0), (1, 0), (1, 1)]), HOLED]), Polygon()])
    assert len(pieces_of(nested)) == 1 + 2 + 5 + 4
    assert len(pieces_of(MultiPoint([(0, 0), (1, 1)]))) == 2
    assert pieces_of(Polygon()).size == 0


def test_nothing_to_measure_to_is_infinitely_far():
    spots = Spots.of(np.zeros((1, 1, 2)))
    target = things_target([])
    assert target.is_empty and math.isinf(point_distances_m(target, spots)[0, 0]) and math.isinf(guy_distances_m(target, spots)[0, 0])


def test_values_keep_the_shape_of_azimuths_and_anchors():
    points = np.random.default_rng(1).uniform(-120, 120, (36, 7, 2))
    target = land_target(land_of(HOLED), HOLED.boundary)
    found = point_distances_m(target, Spots.of(points))
    assert found.shape == (36, 7)
    assert found[20, 3] == point_distances_m(target, Spots.of(points[20, 3][None, :]))[0]
    twice = Spots.of(np.concatenate([points, points]))
    assert len(twice.xy_m) == 36 * 7


def test_the_nearest_pair_belongs_together():
    target = things_target([LineString([(50, -10), (50, 10)]), Point(0, 30)])
    assert nearest_pair_m(target, Point(0, 0)) == ((0.0, 0.0), (0.0, 30.0), 1)
    here, there, owner = nearest_pair_m(target, LineString([(0, 0), (40, 0)]))
    assert (here, there, owner) == ((40.0, 0.0), (50.0, 0.0), 0)


# --- waived lines -----------------------------------------------------------------------------------------------------

OWN = box(0, 0, 100, 60)


def remaining(*waived, own=OWN):
    return line_that_counts(own, list(waived))


@pytest.mark.parametrize("gap_m", [0.0, 0.2, 0.45, -0.2, -0.45], ids="gap {}".format)
def test_the_shared_line_is_cut_out_and_the_corners_stay(gap_m):
    """Also where the two records differ by less than half a metre, with a gap or an overlap."""
    line, shares = remaining(box(100 + gap_m, 0, 200, 60))
    assert shares == [True]
    assert line.length == pytest.approx(320.0 - 60.0, abs=2 * abs(gap_m) + 1e-6)
    for point in ((99.0, 0.0), (99.0, 60.0), (99.5, 0.0), (0.0, 30.0)):
        assert line.distance(Point(point)) < 1e-6
    assert line.distance(Point(100.0, 30.0)) > 29.0


@pytest.mark.parametrize("gap_m", [0.55, 2.0, -0.55, -2.0])
def test_a_line_farther_off_is_not_shared(gap_m):
    line, shares = remaining(box(100 + gap_m, -20, 200, 80))
    assert line.length == pytest.approx(320.0, abs=1e-6) and line.distance(Point(100.0, 30.0)) < 1e-9
    assert SAME_LINE_M == 0.5
    assert shares == [False]


def test_a_neighbour_at_the_corner_only_shares_no_line():
    line, shares = remaining(box(100, 60, 200, 100))
    assert shares == [False] and line.length == pytest.approx(320.0)


def test_a_neighbour_who_waives_a_part_leaves_the_rest():
    line, _ = remaining(box(100, 20, 200, 60))
    assert line.length == pytest.approx(320.0 - 40.0, abs=1e-6)
    assert line.distance(Point(100, 10)) < 1e-6 and line.distance(Point(100, 21)) == pytest.approx(1.0, abs=1e-6)


def test_the_other_side_of_a_narrow_strip_is_not_waived():
    """A flag lot's neck of 40 cm: both its sides lie within half a metre of the neighbour, one is his."""
    own = shapely.union_all([OWN, box(100, 29.8, 160, 30.2)])
    line, _ = remaining(box(100, 30.2, 200, 60), own=own)
    assert line.distance(Point(130, 29.8)) < 1e-6
    assert line.distance(Point(130, 30.2)) == pytest.approx(0.4, abs=1e-6)


def test_a_hole_in_the_own_land_can_be_waived():
    own = OWN.difference(box(40, 20, 60, 40))
    line, shares = remaining(box(40, 20, 60, 40), own=own)
    assert shares == [True] and line.equals(OWN.boundary)


def test_a_parcel_drawn_over_the_whole_own_land_waives_nothing():
    line, shares = remaining(box(-50, -50, 150, 110))
    assert shares == [False] and line.equals(OWN.boundary)


def test_several_neighbours_waive_one_after_the_other():
    around = [box(100, 0, 200, 60), box(0, 60, 100, 90), box(-50, 0, 0, 60), box(0, -30, 100, 0)]
    line, shares = remaining(*around)
    assert shares == [True] * 4 and line.length == pytest.approx(0.0, abs=1e-6)


@given(st.floats(0.0, 360.0), st.floats(20.0, 80.0), st.floats(-0.3, 0.3))
def test_a_turned_land_and_a_wavy_line(turn_deg, split, wave_m):
    """The neighbour's record has corners that the own one has not; the result is that of sampling both lines."""
    own = shapely.affinity.rotate(OWN, turn_deg, origin=(0, 0))
    x = np.linspace(0, 60, 13)
    side = [(100 + wave_m * (-1) ** i, v) for i, v in enumerate(x)]
    east = Polygon([*side, (200, 60), (200, 0)])
    line, shares = remaining(shapely.affinity.rotate(east, turn_deg, origin=(0, 0)), own=own)
    assert shares == [True]
    at = shapely.affinity.rotate(Point(100, split * 0.7 + 2), turn_deg, origin=(0, 0))
    assert line.distance(at) > 1.5
    for corner in ((98.9, 0), (98.9, 60), (0, split * 0.7)):
        assert line.distance(shapely.affinity.rotate(Point(corner), turn_deg, origin=(0, 0))) < 1e-6


def test_participating_parcels_are_dissolved_before_the_line_is_taken():
    parcels = tuple(GroundFeature(n, "parcel", n, g, 0.0, (0.0, 0.0)) for n, g in (("a", box(0, -50, 40, 50)), ("b", box(40, -50, 90, 50))))
    held, _ = own_land(parcels, ("a", "b"))
    assert point_distances_m(land_target(held, held.area.boundary), Spots.of(np.array([[40.0, 0.0]])))[0] == pytest.approx(40.0)
