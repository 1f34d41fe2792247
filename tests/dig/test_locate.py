"""The ground for the notice against geodesics of its own: 4.99 m inside, 5.01 m outside, in every direction."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from dig.digs import CHOICES, HEIGHT_M, LAT, LON, STAKES, base_hold, case, choice, holding, place_on, plane, stake
from pyproj import Geod, Transformer
from scipy.spatial import cKDTree

from siting.dig.holes import DigSettings, openings_of
from siting.dig.locate import locate_area
from siting.dig.stage import dig_plan
from siting.errors import InputError
from siting.records.mast import WINCH

GEOD = Geod(ellps="WGS84")
TURNS = np.arange(0.0, 360.0, 3.0)


def opened(place):
    return openings_of(CHOICES, base_hold(), STAKES, place, DigSettings()).openings


def ellipsoid_m(ground_m, lat):
    """Ground metres at the base's height as metres of the ellipsoid, mean radius; at 300 m a direction changes this by 1e-7."""
    e2 = GEOD.es
    w2 = 1 - e2 * math.sin(math.radians(lat)) ** 2
    radius = GEOD.a * math.sqrt(1 - e2) / w2
    return ground_m * radius / (radius + HEIGHT_M)


def points_of(openings, lat, lon, a_side=5):
    """Each point of every outline, and points along its sides, as (lon, lat)."""
    xy = np.vstack([
        np.vstack([a + (b - a) * t for a, b in zip(line, np.roll(line, -1, axis=0)) for t in np.linspace(0, 1, a_side)])
        for opening in openings for line in opening.xy_m
    ])  # fmt: skip
    azimuth = np.degrees(np.arctan2(xy[:, 0], xy[:, 1]))
    far = ellipsoid_m(np.hypot(xy[:, 0], xy[:, 1]), lat)
    there = GEOD.fwd(np.full(len(xy), lon), np.full(len(xy), lat), azimuth, far)
    return np.column_stack(there[:2])


def around(points, distance_m, lat):
    """Points at a ground distance from each point, in every direction."""
    each = np.repeat(points, len(TURNS), axis=0)
    turns = np.tile(TURNS, len(points))
    lon_, lat_, _ = GEOD.fwd(each[:, 0], each[:, 1], turns, np.full(len(turns), ellipsoid_m(distance_m, lat)))
    return np.column_stack([lon_, lat_])


def union(area):
    return shapely.union_all([shapely.Polygon(ring) for ring in area.rings])


@pytest.mark.parametrize(("lat", "lon"), [(60.0, 9.0), (-33.0, 151.0)])
def test_five_metres_are_five_metres_in_every_direction(lat, lon):
    place = place_on(plane(0.05, 0.02), lat, lon)
    openings = opened(place)
    area = locate_area(openings, place, 5.0)
    whole = union(area)
    points = points_of(openings, lat, lon)
    for near_m in (4.99, 4.9995):  # a round corner is never cut
        inside = around(points, near_m, lat)
        assert len(inside) > 2000
        assert shapely.contains_xy(whole, inside[:, 0], inside[:, 1]).all()
    # A point 5.01 m from one place may be near another one: those that are 5.01 m from every place are outside. The
    # sides are cut so fine (some 2 cm) that a point between two of them is no nearer by more than 0.1 mm.
    outside = around(points, 5.01, lat)
    flat = Transformer.from_crs("EPSG:4326", f"+proj=aeqd +lat_0={lat} +lon_0={lon} +ellps=WGS84", always_xy=True)
    near = cKDTree(np.column_stack(flat.transform(*points_of(openings, lat, lon, 200).T)))
    far, _ = near.query(np.column_stack(flat.transform(*outside.T)))
    free = far >= ellipsoid_m(5.0097, lat)
    assert free.sum() > 300
    assert not shapely.contains_xy(whole, outside[free, 0], outside[free, 1]).any()


def test_a_single_point_has_the_area_of_its_circle():
    place = place_on(plane())
    lone = [o for o in opened(place) if o.anchor == "W"]
    area = locate_area(tuple(lone), place, 5.0)
    assert len(area.rings) == 1
    assert area.area_m2 == pytest.approx(math.pi * 25.0, rel=0.002)
    measured, _ = GEOD.geometry_area_perimeter(shapely.Polygon(area.rings[0]))
    assert measured == pytest.approx(math.pi * ellipsoid_m(5.0, LAT) ** 2, rel=0.002)
    assert measured > 0.0  # counter-clockwise


def test_areas_that_touch_are_one_and_a_hole_in_one_is_filled():
    place = place_on(plane())
    apart = locate_area(opened(place), place, 5.0)
    merged = locate_area(opened(place), place, 14.0)
    assert len(apart.rings) == 5  # A with its neighbour R, B, C, W, the base
    assert len(merged.rings) == 1
    for ring in (*apart.rings, *merged.rings):
        assert ring[0] == ring[-1]
        assert shapely.Polygon(ring).is_valid
    assert shapely.contains_xy(union(merged), LON, LAT)


def test_across_the_date_line_the_ring_does_not_run_round_the_world():
    place = place_on(plane(), -17.0, 179.99995)
    area = locate_area(opened(place), place, 5.0)
    lons = np.array([lon for ring in area.rings for lon, _ in ring])
    assert np.ptp(lons) < 0.01
    assert lons.max() > 180.0


@pytest.mark.parametrize("buffer_m", [0.0, -1.0, 501.0, math.nan])
def test_a_buffer_that_is_none_is_refused(buffer_m):
    place = place_on(plane())
    with pytest.raises(InputError, match="Give one from 0.1 m to 500 m"):
        locate_area(opened(place), place, buffer_m)


def test_the_rod_trench_is_looked_at_from_the_stake_on():
    """A flat rod of 7.5 m ends 7.4 m out in an upright pit: 4.9 m behind the stake is in the area only for the trench's sake."""
    place = place_on(plane())
    flat = openings_of(
        (choice("A", 0.0, holding(rod_m=7.5), angle_deg=10.0),), base_hold(), (stake("A", 0.0, 20.0),), place, DigSettings()
    )
    pit = next(o for o in flat.openings if o.anchor == "A")
    assert pit.hole.wall_h_per_v == 0.0
    lon, lat, _ = GEOD.fwd(LON, LAT, 0.0, ellipsoid_m(20.0 - 4.9, LAT))
    assert shapely.contains_xy(union(locate_area((pit,), place, 5.0)), lon, lat)


def test_the_deepest_of_all_is_named():
    plan = dig_plan(case())
    assert plan.locate.deepest_m == max(hole.depth_m for hole in plan.holes)
    uphill = dig_plan(case(plane(0.2, 0.0))).locate
    assert uphill.deepest_m > max(h.depth_m for h in dig_plan(case(plane(0.2, 0.0))).holes)  # the highest wall of a pit


def test_the_notice_has_every_field_and_leaves_the_applicant_s_blank():
    area = dig_plan(case()).locate
    fields = dict(area.fields)
    blank = [name for name, text in area.fields if not text]
    assert blank == [
        "Name of the person who gives notice", "Company, address, telephone", "Field telephone",
        "County, township, range, section, nearest road", "Date and time of start", "Duration",
        "Marked in white on the ground: yes or no",
    ]  # fmt: skip
    assert fields["Explosives"] == "no"
    assert "60.0000000, 9.0000000 WGS 84" in fields["Precise location, mast base"]
    assert "UTM zone 32N" in fields["Precise location, mast base"]
    assert "2 dug by machine, 1 turned in" in fields["Type of work"] and "1 more that are not" in fields["Type of work"]
    assert set(fields) >= {hole.id for hole in dig_plan(case()).holes}


def test_the_notice_never_says_clear():
    area = dig_plan(case()).locate
    text = " ".join([*area.words_on_it, *(value for pair in area.fields for value in pair)])
    assert area.words_on_it[0] == "This notice does not say that the ground is free of buried lines."
    assert " clear" not in text.lower()
    assert "216D.04" in text and "48 hours" in text and "4216.2" in text and "two working days" in text


def test_the_winch_s_stake_without_an_anchor_is_in_the_area():
    assert any(a.use == WINCH for a in case().mast.anchors)
    whole = union(dig_plan(case()).locate)
    lon, lat, _ = GEOD.fwd(LON, LAT, 180.0, ellipsoid_m(34.0, LAT))
    assert shapely.contains_xy(whole, lon, lat)
