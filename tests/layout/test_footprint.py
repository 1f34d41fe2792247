"""Circles, signed distances to outlines, and guys in plan, against shapely and against formulas."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from siting.geodesy.frames import frame_at
from siting.layout.footprint import GroundFeature, anchor_points_xy_m, boundary_distances_m, circle, guy_lines, own_land

points_m = st.tuples(st.floats(-120.0, 120.0), st.floats(-120.0, 120.0))
RING = shapely.Polygon([(-100, -80), (90, -100), (110, 60), (0, 100), (-90, 70)], [[(20, 20), (50, 20), (50, 50), (20, 50)]])
TWO = shapely.MultiPolygon([RING, shapely.box(111, -100, 119, -50)])


@given(st.floats(1.0, 500.0))
def test_the_polygon_of_a_circle_has_the_circles_area(radius_m):
    made = circle(radius_m)
    assert made.area == pytest.approx(math.pi * radius_m**2, rel=1e-12)
    away = np.hypot(*np.array(made.exterior.coords).T)
    assert (away.min(), away.max()) == pytest.approx((radius_m, radius_m), rel=2e-5)


@pytest.mark.parametrize("area", [RING, TWO], ids=["with a hole", "of two parts"])
@given(st.lists(points_m, min_size=1, max_size=30))
def test_signed_distances_are_shapelys(area, points):
    found = boundary_distances_m(area, np.array(points))
    for (x, y), distance in zip(points, found, strict=True):
        point = shapely.Point(x, y)
        assert abs(distance) == pytest.approx(area.boundary.distance(point), abs=1e-9)
        if abs(distance) > 1e-9:
            assert (distance > 0) == area.contains(point)


def test_distances_keep_the_shape_of_azimuths_and_anchors():
    points = np.random.default_rng(1).uniform(-120, 120, (36, 7, 2))
    found = boundary_distances_m(TWO, points)
    assert found.shape == (36, 7)
    assert found[20, 3] == boundary_distances_m(TWO, points[20, 3][None, :])[0]


def feature(name: str, geometry) -> GroundFeature:
    return GroundFeature(name, "parcel", name, geometry, 0.0, (0.0, 0.0))


def test_own_land_is_dissolved_and_measured():
    parcels = tuple(
        feature(n, g) for n, g in [("a", shapely.box(-50, -50, 0, 50)), ("b", shapely.box(0, -50, 30, 50)), ("c", TWO)]
    )
    land, notes = own_land(parcels, ("a", "b"))
    assert land.area.area == pytest.approx(8000.0) and land.area.geom_type == "Polygon"
    assert (land.boundary_m, land.nearest_xy_m, notes) == (30.0, (30.0, 0.0), ())


@given(st.floats(0.001, 0.0999))
def test_a_gap_that_is_closed_adds_no_land(gap_m):
    """A drawing error is no strip of land, and closing it does not move the other lines."""
    parcels = (feature("a", shapely.box(-50, -50, 10, 50)), feature("b", shapely.box(10 + gap_m, -50, 60, 50)))
    land, notes = own_land(parcels, ("a", "b"))
    assert land.boundary_m == pytest.approx(50.0, abs=1e-6)
    assert land.area.bounds == pytest.approx((-50, -50, 60, 50), abs=1e-6)
    assert land.area.geom_type == "Polygon" and land.area.area == pytest.approx(11_000.0, abs=1e-6)
    assert notes == ("Own parcels adjoin with gaps of up to 10 cm: taken as one piece of land.",)


@given(st.floats(0.101, 5.0))
def test_a_wider_gap_stays_open(gap_m):
    parcels = (feature("a", shapely.box(-50, -50, 10, 50)), feature("b", shapely.box(10 + gap_m, -50, 60, 50)))
    land, notes = own_land(parcels, ("a", "b"))
    assert (land.boundary_m, notes) == (pytest.approx(10.0, abs=1e-9), ())


def test_anchors_and_guys_in_plan_follow_true_azimuths():
    frame = frame_at(46.5, 10.5, 1000.0, None, "x")  # 1.09 degrees of convergence
    azimuths = np.array([[0.0, 90.0, 211.0]])
    points = anchor_points_xy_m(frame, azimuths, np.array([10.0, 20.0, 30.0]))
    for k in range(3):
        x, y = points[0, k]
        assert math.hypot(x, y) == pytest.approx(10.0 * (k + 1))
        assert abs((frame.true_bearing_deg(x, y) - azimuths[0, k] + 180) % 360 - 180) < 1e-9
    assert points[0, 0, 0] < -0.1  # true north lies west of grid north here
    lines = guy_lines(points)
    assert lines.shape == (1, 3)
    assert [shapely.length(line) for line in lines[0]] == pytest.approx([10.0, 20.0, 30.0])
