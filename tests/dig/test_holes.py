"""The list of holes: where they lie by an independent geodesic, ground and way, water, what has no hole."""

from __future__ import annotations

import math
from dataclasses import fields

import numpy as np
import pytest
from dig.digs import CHOICES, HEIGHT_M, LAT, LON, STAKES, base_hold, case, choice, holding, place_on, plane, soil, stake
from geographiclib.geodesic import Geodesic
from pyproj import Transformer

from siting.dig.ground import DigGround, access_slope_percent
from siting.dig.holes import DigSettings, holes_of, openings_of
from siting.dig.stage import dig_plan
from siting.figures import rounded


def holes(ground=None, choices=CHOICES, settings=None):
    found = holes_of(choices, base_hold(), STAKES, place_on(ground or plane()), settings or DigSettings())
    return {hole.id: hole for hole in found}


def test_every_place_is_listed_once_and_rounds_into_a_plan():
    found = dig_plan(case()).holes
    assert [h.id for h in found] == ["A pit", "B screw", "C pit", "R drill", "BASE pins", "BASE earth rod"]
    assert [h.work for h in found] == ["pit", "screw", "pit", "drill", "pin", "pin"]
    plan = rounded(dig_plan(case()))
    assert all(getattr(plan, item.name) for item in fields(plan))


@pytest.mark.parametrize(("name", "azimuth", "radius"), [("A pit", 60.0, 20.0), ("C pit", 300.0, 20.0), ("B screw", 180.0, 20.0)])
def test_a_hole_lies_outward_on_the_geodesic_of_its_stake(name, azimuth, radius):
    hole = holes()[name]
    out_m = 0.0 if "screw" in name else 2.5 * math.cos(math.radians(40.0))
    assert hole.out_m == pytest.approx(out_m)
    # R of Euler by hand, so that ground metres at 300 m become metres of the ellipsoid.
    a, e2 = 6378137.0, 0.0066943799901413165
    w2 = 1 - e2 * math.sin(math.radians(LAT)) ** 2
    meridian, prime = a * (1 - e2) / w2**1.5, a / math.sqrt(w2)
    bend = 1 / (math.cos(math.radians(azimuth)) ** 2 / meridian + math.sin(math.radians(azimuth)) ** 2 / prime)
    there = Geodesic.WGS84.Direct(LAT, LON, azimuth, (radius + out_m) * bend / (bend + HEIGHT_M))
    assert (hole.lat, hole.lon) == (pytest.approx(there["lat2"], abs=2e-9), pytest.approx(there["lon2"], abs=4e-9))
    east, north = Transformer.from_crs("EPSG:4326", "EPSG:32632", always_xy=True).transform(there["lon2"], there["lat2"])
    assert (hole.easting, hole.northing) == (pytest.approx(east, abs=1e-3), pytest.approx(north, abs=1e-3))


def test_the_depth_of_a_screw_and_a_bar_is_that_of_their_ends():
    found = holes()
    named = holding("screw", "two plates", 3.0, end_m=3.4)
    told = holes(choices=(choice("B", 180.0, named),))["B screw"]
    assert told.depth_m == pytest.approx(3.4 * math.sin(math.radians(40.0)))
    bar = holding("rock_bar", "bar", 4.6, end_m=6.1)
    drilled = holes(choices=(choice("R", 90.0, bar, angle_deg=50.0),))["R drill"]
    assert drilled.depth_m == pytest.approx(6.1 * math.sin(math.radians(50.0)))
    assert found["BASE pins"].depth_m == 1.5
    assert {found[name].dug_m3 for name in ("B screw", "R drill", "BASE pins")} == {0.0}


def test_spoil_is_the_earth_loosened_and_the_trench_is_in_it():
    hole = holes()["A pit"]
    assert hole.spoil_m3 == pytest.approx(1.40 * hole.dug_m3)
    depth = hole.depth_m
    assert hole.wall_h_per_v == 1.0
    run = depth * 1.0
    pit = depth / 6 * (0.6 * 1.8 + (0.6 + 2 * run) * (1.8 + 2 * run) + 4 * (0.6 + run) * (1.8 + run))
    assert hole.dug_m3 > pit
    assert hole.dug_m3 == pytest.approx(pit, rel=0.1)
    assert any("NOBODY GOES INTO IT" in words for words in hole.warnings)


def test_a_wall_laid_back_on_the_base_s_side_is_said_to_hold_less():
    words = "THE PLATE BEARS AGAINST THE WALL"
    assert any(words in w for w in holes()["A pit"].warnings)
    upright = holes(choices=(choice("A", 60.0, holding(rod_m=1.8)),))["A pit"]
    assert upright.wall_h_per_v == 0.0
    assert not any(words in w for w in upright.warnings)


def test_ground_height_slope_and_the_way_there_on_a_plane():
    hole = holes(plane(0.1, 0.05))["A pit"]
    x = (20.0 + hole.out_m) * math.sin(math.radians(60.0))
    y = (20.0 + hole.out_m) * math.cos(math.radians(60.0))
    assert hole.ground_m == pytest.approx(HEIGHT_M + 0.1 * x + 0.05 * y)
    assert hole.ground_slope_percent == pytest.approx(100 * math.hypot(0.1, 0.05))
    along = 0.1 * math.sin(math.radians(60.0)) + 0.05 * math.cos(math.radians(60.0))
    assert hole.access_slope_percent == pytest.approx(100 * along)
    assert holes(plane(-0.1, -0.05))["A pit"].access_slope_percent == pytest.approx(100 * along)  # downhill is as steep
    assert not any("machine" in words for words in hole.warnings)


def test_a_steep_bank_on_the_way_is_said():
    def bank(x, y):
        far = np.hypot(x, y)
        return HEIGHT_M + np.interp(far, [0.0, 8.0, 12.0, 100.0], [0.0, 0.0, 2.0, 2.0])

    ground = DigGround(bank, lambda x, y: np.zeros(np.shape(x)))
    assert access_slope_percent(ground, 0.0, 20.0) == pytest.approx(50.0)
    hole = holes(ground)["A pit"]
    assert hole.access_slope_percent == pytest.approx(50.0, rel=0.02)
    assert any("machine may not stand there" in words for words in hole.warnings)
    assert holes(plane(0.28, 0.0))["A pit"].access_slope_percent < 30.0
    # A step of 0.3 m from one sample to the next is 10 % over 3 m.
    step = DigGround(lambda x, y: HEIGHT_M + 0.3 * (np.hypot(x, y) > 10.4), lambda x, y: np.zeros(np.shape(x)))
    assert access_slope_percent(step, 0.0, 20.0) == pytest.approx(10.0)


def test_a_gap_on_the_way_is_no_number():
    def torn(x, y):
        return np.where(np.abs(np.hypot(x, y) - 10.0) < 1.5, np.nan, HEIGHT_M)

    hole = holes(DigGround(torn, lambda x, y: np.zeros(np.shape(x))))["A pit"]
    assert hole.access_slope_percent is None
    assert any("not known all along" in words for words in hole.warnings)


@pytest.mark.parametrize(
    ("water_m", "words"),
    [(0.8, "WATER STANDS OVER THE PIT'S BOTTOM: the pit fills"), (None, "water table is not known"), (5.0, None)],
)
def test_water_over_the_bottom_is_said(water_m, words):
    found = holes(choices=(choice("A", 60.0, holding(), ground=soil("B", water_m=water_m)),))["A pit"].warnings
    assert [w for w in found if "drain it or choose another anchor" in w] == [w for w in found if words and words in w]
    assert bool(words) == any("drain it" in w for w in found)


def test_an_anchor_that_holds_nowhere_and_a_pit_that_cannot_be_are_said_and_kept_in_the_notice():
    hanging = (choice("A", 60.0, holding(rod_m=2.0), angle_deg=20.0), choice("W", 180.0, None))
    opened = openings_of(hanging, base_hold(), STAKES, place_on(plane(-0.5, 0.0)), DigSettings())
    assert [text.split(":")[0] for text in opened.refused] == ["A", "W"]
    assert "floor would lie over the ground" in opened.refused[0]
    assert "no kind of anchor holds" in opened.refused[1]
    assert [o.anchor for o in opened.openings if o.hole is None] == ["A", "W"]
    plan = dig_plan(case(plane(-0.5, 0.0), choices=hanging))
    assert plan.cautions[:2] == opened.refused
    assert "give notice anew" in plan.locate.words_on_it[-1]


def test_a_rod_without_a_length_gives_no_hole():
    opened = openings_of((choice("A", 60.0, holding(rod_m=None)),), base_hold(), STAKES, place_on(plane()), DigSettings())
    assert opened.openings[0].hole is None
    assert "its rod has no length" in opened.refused[0]


def test_a_deep_pit_stands_loud_among_the_cautions():
    deep = [words for words in dig_plan(case()).cautions if "IS A DEEP PIT" in words]
    assert [words.split()[0] for words in deep] == ["A", "C"]


def test_no_pins_are_listed_where_none_hold():
    found = holes_of((), base_hold(None), STAKES, place_on(plane()), DigSettings())
    assert [hole.id for hole in found] == ["BASE earth rod"]


def test_the_earth_rod_stands_in_the_widest_gap():
    """Stakes at 60, 90, 180 and 300: the two gaps of 120 are equal, and the first one wins."""
    assert holes()["BASE earth rod"].azimuth_deg == pytest.approx(240.0)
    gap = holes_of((), base_hold(), (stake("A", 10.0, 5.0), stake("B", 350.0, 5.0)), place_on(plane()), DigSettings())
    assert gap[-1].azimuth_deg == pytest.approx(180.0)
    fixed = holes(settings=DigSettings(earth_rod_azimuth_deg=33.0))["BASE earth rod"]
    assert fixed.azimuth_deg == 33.0


def test_a_hole_where_no_ground_is_known_is_refused():
    nothing = DigGround(lambda x, y: np.full(np.shape(x), np.nan), lambda x, y: np.full(np.shape(x), np.nan))
    opened = openings_of(CHOICES, base_hold(), STAKES, place_on(nothing), DigSettings())
    assert [o.hole for o in opened.openings] == [None] * 7
    assert len(opened.refused) == 7
