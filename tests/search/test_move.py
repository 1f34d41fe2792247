"""The move that mends the land: on the demo, on land laid out by hand, and where there is none."""

from __future__ import annotations

import json
import math
import shutil
from dataclasses import replace
from pathlib import Path
from unittest.mock import patch

import geopandas
import numpy as np
import pytest
import shapely
from geographiclib.geodesic import Geodesic
from nearest_place import allowed_place_within
from pyproj import Proj
from strategies import box_en, ground_point, ground_polygon, plan_of, ready_folder, write_layer, write_site
from synthetic import plane

from siting.geodesy.frames import frame_at
from siting.inputs.site_file import read_site
from siting.planner import make_plan
from siting.search import move as search
from siting.search.move import with_move
from siting.search.spots import azimuth_in, failing_of_land

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "sample_dem"
LAT, LON, HEIGHT_M = 46.5, 7.5, 500.0
TOTAL_M, SETBACK_M = 60.3, 1.1 * 60.3  # the small mast of every made-up site
CLEAR_M, FIVE_MILLIMETRES = 0.02, 0.005
PRINTED_M = 0.008  # half of the last digit of latitude and longitude, both ways at once


def moved_plan(site):
    """The plan of a site, and the same with its move; the picture of the ground is small, to be quick."""
    with patch("siting.terrain.backdrop.SIDE_PX", 40):
        plan = make_plan(site)
        return plan, with_move(site, plan)


def replanned(site, move):
    """The plan at the place that a move names, typed in as it is printed."""
    lat, lon = float(f"{move.lat:.7f}"), float(f"{move.lon:.7f}")
    with patch("siting.terrain.backdrop.SIDE_PX", 40):
        return make_plan(replace(site, base=replace(site.base, lat=lat, lon=lon)))


# ---- the demo with one of its two parcels -----------------------------------------------------------------------------


@pytest.fixture(scope="module")
def north():
    """The demo's own parcel is the northern one only: the base stands south of it."""
    site = read_site(DEMO / "site.toml")
    site = replace(site, land=replace(site.land, own=("07-115",)))
    return site, *moved_plan(site)


def test_the_plan_at_the_new_base_of_the_demo_passes_every_check_of_the_land(north):
    site, plan, with_it = north
    assert {"setback", "fall_zone"} <= {c.id for c in failing_of_land(plan)}
    move = with_it.move
    there = replanned(site, move)
    assert failing_of_land(there) == ()
    assert {c.kind for c in there.checks} >= {"setback", "fall_zone", "anchor_on_own_land", "guy_on_own_land", "fall_zone_obstacle"}
    assert (there.verdict, there.laydown.azimuth_deg) == (move.verdict, move.azimuth_deg)
    assert there.base.easting == pytest.approx(move.easting, abs=0.001)
    assert there.base.northing == pytest.approx(move.northing, abs=0.001)
    setback = next(c for c in there.checks if c.id == "setback")
    assert setback.value - setback.limit == pytest.approx(CLEAR_M, abs=PRINTED_M + FIVE_MILLIMETRES)
    assert replace(with_it, move=None) == plan


def test_no_place_of_the_demo_is_nearer(north):
    """Setback, fall circle and obstacles in the layers' own files, on the grid of the parcels' zone; nothing of ours reads them."""
    _, plan, with_it = north
    parcels = geopandas.read_file(DEMO / "parcels.gpkg")
    own = parcels[parcels.pin == "07-115"].geometry.iloc[0]
    things = geopandas.read_file(DEMO / "lines.geojson").to_crs(parcels.crs)
    standing = shapely.union_all(things[things.kind != "water"].geometry.to_list())
    grid = plan.crs.combined_factor
    base = np.array([plan.base.easting, plan.base.northing])

    def margins_m(moves):
        at = shapely.points(base + moves * grid)
        deep = np.where(shapely.covers(own, at), 1, -1) * shapely.distance(at, own.boundary) / grid
        return np.minimum(deep - (1.1 * 82.5 + CLEAR_M), shapely.distance(at, standing) / grid - (82.5 + CLEAR_M))

    length = with_it.move.distance_m
    assert allowed_place_within(margins_m, length - PRINTED_M - FIVE_MILLIMETRES) is None
    assert allowed_place_within(margins_m, length + PRINTED_M + 0.05) is not None


def test_the_move_is_said_in_distance_and_true_bearing(north):
    _, plan, with_it = north
    move = with_it.move
    line = Geodesic.WGS84.Inverse(plan.base.lat, plan.base.lon, move.lat, move.lon)
    on_ground_m = line["s12"] * (1 + plan.base.height_m / 6.38e6)
    assert move.distance_m == pytest.approx(on_ground_m, abs=0.002)
    assert move.bearing_deg == pytest.approx(line["azi1"] % 360, abs=1e-3)
    assert move.text.startswith(
        f"Move the base {move.distance_m:.2f} m towards {move.bearing_deg:.2f}° (NNW), to {move.lat:.7f}, {move.lon:.7f}: "
        "every rule of the land that is checked then holds. No shorter move does it. Planned anew there: lay towards "
    )
    assert move.text.endswith("Where the base stands no height of mast holds.")
    assert "but the plan fails there: " in move.text and "No other place was looked for." in move.text
    assert move.tallest_m is None


def test_land_that_is_too_small_for_the_mast():
    """The southern parcel alone: its deepest place is found by a grid; 51.17 m from its line 46.52 m hold 1.1 times."""
    site = read_site(DEMO / "site.toml")
    site = replace(site, land=replace(site.land, own=("07-112",)))
    plan, with_it = moved_plan(site)
    move = with_it.move
    parcels = geopandas.read_file(DEMO / "parcels.gpkg")
    own = parcels[parcels.pin == "07-112"].geometry.iloc[0]
    x, y = np.meshgrid(*(np.arange(a, b, 0.5) for a, b in zip(own.bounds[:2], own.bounds[2:], strict=True)))
    at = shapely.points(x, y)
    deepest = (shapely.distance(at, own.boundary) * shapely.covers(own, at)).max()
    assert deepest < 1.1 * 82.5 - 1
    assert (move.distance_m, move.lat, move.azimuth_deg, move.verdict) == (None, None, None, "unchecked")
    said = float(move.text.split("deepest place lies ")[1].split(" m")[0])
    assert said == pytest.approx(deepest, abs=0.3)
    nearest = plan.land.nearest_boundary_m
    assert move.tallest_m == math.floor(100 * nearest / 1.1) / 100
    assert f"hold up to {move.tallest_m:.2f} m total height instead of 82.50 m" in move.text
    assert move.text.endswith("Guys and anchors are the mast file's: another mast brings its own.")


def test_the_command_prints_the_move_and_writes_it(run_siting, tmp_path):
    demo = shutil.copytree(DEMO, tmp_path / "demo")
    text = (demo / "site.toml").read_text(encoding="utf-8").replace('["07-112", "07-115"]', '["07-115"]')
    (demo / "site.toml").write_text(text, encoding="utf-8")
    status, out, _ = run_siting("plan", str(demo / "site.toml"), "--out", str(tmp_path / "out"))
    assert status == 1
    written = json.loads((tmp_path / "out" / "plan.json").read_text(encoding="utf-8"))["move"]
    assert written["distance_m"] > 0
    said = " ".join(out[out.index("MOVE  ") :].split("\n\n")[0].split())
    assert said == f"MOVE {written['text']}"


# ---- by hand ----------------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def ground(tmp_path_factory):
    """An even slope of 6 %, uphill at 40 degrees, on a DEM that reaches 240 m from the base."""
    return ready_folder(tmp_path_factory.mktemp("move"), plane(6.0, 40.0, HEIGHT_M), half_width_m=240.0, cell_m=4.0)


@pytest.fixture
def folder(ground, tmp_path):
    for name in ("dem.tif", "mast.toml"):
        (tmp_path / name).write_bytes((ground / name).read_bytes())
    return tmp_path


def area(west, south, east, north, *holes):
    return ground_polygon(box_en(west, south, east, north), HEIGHT_M, holes, LAT, LON)


def site_of(folder, own=None, obstacles=(), azimuth="auto", **land):
    """A site with these parcels as its own and obstacles as (kind, geometry)."""
    if own is not None:
        write_layer(folder / "parcels.gpkg", own, {"pin": [f"own {i}" for i in range(len(own))]}, "EPSG:32632")
        land |= {"parcels": "parcels.gpkg", "parcel_id_field": "pin", "own": [f"own {i}" for i in range(len(own))]}
    if obstacles:
        kinds, shapes = zip(*obstacles, strict=True)
        write_layer(folder / "lines.geojson", shapes, {"kind": list(kinds), "name": [f"{k} {i}" for i, k in enumerate(kinds)]})
        land |= {"obstacles": "lines.geojson"}
    return read_site(write_site(folder, laydown={"azimuth_deg": azimuth}, land=land))


def en_m(move) -> tuple[float, float]:
    """A move in ground metres east and north."""
    turn = math.radians(move.bearing_deg)
    return move.distance_m * math.sin(turn), move.distance_m * math.cos(turn)


def test_nothing_is_looked_for_where_the_land_holds(folder):
    site = site_of(folder, [area(-150, -150, 150, 150)])
    plan = plan_of(folder, base={"lat": LAT, "lon": LON}, land={"parcels": "parcels.gpkg", "parcel_id_field": "pin", "own": ["own 0"]})
    with patch.object(search, "_case", side_effect=AssertionError("looked for a move")):
        assert with_move(site, plan) is plan


def test_away_from_a_line_in_the_east(folder):
    """The line lies 50 m east: 66.33 m are asked for, so 16.33 m and 2 cm to the west."""
    site = site_of(folder, [area(-200, -150, 50, 150)])
    _, with_it = moved_plan(site)
    assert en_m(with_it.move) == pytest.approx((-(SETBACK_M - 50 + CLEAR_M), 0.0), abs=PRINTED_M + FIVE_MILLIMETRES)
    assert with_it.move.tallest_m == 45.45  # 50 m / 1.1, rounded down
    assert "No shorter move does it." in with_it.move.text
    there = replanned(site, with_it.move)
    assert failing_of_land(there) == () and there.verdict == with_it.move.verdict


def test_in_from_outside_past_a_house(folder):
    """Own land begins 40 m to the east; a house keeps the straight way in short of its fall circle."""
    house = area(100, 60, 110, 70)
    site = site_of(folder, [area(40, -150, 300, 150)], [("building", house), ("water", area(90, -20, 95, -10))])
    plan, with_it = moved_plan(site)
    assert "building" in {o.kind for o in plan.land.obstacles_touched} or plan.land.nearest_boundary_m < 0
    east, north = en_m(with_it.move)
    assert east == pytest.approx(40 + SETBACK_M + CLEAR_M, abs=0.02)
    # From there 60.32 m below the house's lower edge: it lies over 100 to 110 m, and the base stands at 106.35 m.
    assert north == pytest.approx(60 - TOTAL_M - CLEAR_M, abs=0.02)
    assert failing_of_land(replanned(site, with_it.move)) == ()


def test_an_anchor_out_of_a_pond(folder):
    """The head's anchor K1 stands 66 m off at 40 degrees, in a pond: its nearest bank is 3 m to the west."""
    e, n = 66 * math.sin(math.radians(40)), 66 * math.cos(math.radians(40))
    site = site_of(folder, [area(-200, -200, 200, 200)], [("pond", area(e - 3, n - 20, e + 9, n + 12))], azimuth=40)
    plan, with_it = moved_plan(site)
    assert [c.id for c in failing_of_land(plan)] == ["layout_clear:K1"]
    assert en_m(with_it.move) == pytest.approx((-3 - CLEAR_M, 0.0), abs=PRINTED_M + FIVE_MILLIMETRES)
    assert "No shorter one was found for the laydowns looked at." in with_it.move.text
    assert with_it.move.tallest_m is None and "height" not in with_it.move.text
    assert failing_of_land(replanned(site, with_it.move)) == ()


def test_guys_that_leave_the_land_come_in(folder):
    """A narrow strip that only the layout finds too narrow: the setback factor is small, and the fall circle lies inside."""
    turn = math.radians(40 + 60)  # A1 stands 40 m off at 100 degrees
    line = 40 * math.sin(turn) - 5  # 5 m short of it
    hole = box_en(line, -12, 200, -4)  # somebody's drive from the east, under A1 and its guys only
    own = ground_polygon(box_en(-200, -200, 200, 200), HEIGHT_M, (), LAT, LON).difference(ground_polygon(hole, HEIGHT_M, (), LAT, LON))
    site = site_of(folder, [own], azimuth=40, setback_factor=0.3)
    plan, with_it = moved_plan(site)
    assert {"anchor_on_own_land:A1", "guy_on_own_land:A1", "fall_zone"} <= {c.id for c in failing_of_land(plan)}
    assert "setback" not in {c.id for c in failing_of_land(plan)}
    assert with_it.move.tallest_m == pytest.approx(plan.land.nearest_boundary_m, abs=0.011)
    assert ", but these fail at any height: " in with_it.move.text
    assert failing_of_land(replanned(site, with_it.move)) == ()


def test_no_land_is_wide_enough(folder):
    """100 m wide: 50 m from either line, 45.45 m of total height; a house 44 m to the north leaves 44 m."""
    for obstacles, tallest in (((), 45.45), ([("building", area(-5, 44, 5, 50))], 44.0)):
        site = site_of(folder, [area(-50, -200, 50, 200)], obstacles)
        _, with_it = moved_plan(site)
        move = with_it.move
        assert move.distance_m is None and move.verdict == "unchecked"
        assert move.tallest_m == pytest.approx(tallest, abs=0.011)
        assert move.text.startswith(
            "No move of the base mends this: the own land's deepest place lies 50.0 m from its line, and 66.33 m are asked for."
        )


def test_houses_leave_no_place(folder):
    houses = [("building", area(e, n, e + 4, n + 4)) for e in (-90, -30, 30, 90) for n in (-90, -30, 30, 90)]
    site = site_of(folder, [area(-160, -160, 160, 160)], houses)
    _, with_it = moved_plan(site)
    assert with_it.move.distance_m is None
    assert with_it.move.text.startswith("No place on the own land within 227 m of the base was found where every rule of the land holds")
    assert with_it.move.tallest_m == pytest.approx(math.hypot(26, 26), abs=0.02)  # the nearest corner of a house


def test_a_place_off_the_dem_is_said_to_have_no_plan(folder):
    site = site_of(folder, [area(230, -100, 500, 100)])
    _, with_it = moved_plan(site)
    move = with_it.move
    assert move.distance_m == pytest.approx(230 + SETBACK_M + CLEAR_M, abs=0.02)
    assert (move.azimuth_deg, move.verdict) == (None, "unchecked")
    assert "can hold there, but no plan can be made there: base " in move.text and "lies outside dem.tif" in move.text


def test_without_parcels_obstacles_alone_move_the_base(folder):
    """A house 20 m north, its side 200 m long: 40.3 m and 2 cm to the south."""
    site = site_of(folder, None, [("building", area(-100, 20, 100, 30))])
    _, with_it = moved_plan(site)
    assert en_m(with_it.move) == pytest.approx((0.0, -(TOTAL_M - 20 + CLEAR_M)), abs=PRINTED_M + FIVE_MILLIMETRES)
    assert with_it.move.tallest_m == 20.0 or with_it.move.tallest_m == pytest.approx(20.0, abs=0.011)
    assert "on the own land" not in with_it.move.text


def test_a_thing_beyond_the_first_window_is_seen(folder):
    """The move leads 200 m north, next to a line that lies 380 m from the base as it stands."""
    lon, lat = ground_point(0.0, 380.0, HEIGHT_M, LAT, LON)
    line = shapely.LineString([(lon - 0.004, lat), (lon + 0.004, lat)])
    site = site_of(folder, [area(-150, 120, 150, 600)], [("overhead_line", line)])
    case = search._case(site, moved_plan(site)[0])
    assert [o.kind for o in case.land.obstacles] == ["overhead_line"]
    base = case.rules(0.0)[0]
    assert {rule.id for rule in base} == {"setback", "fall_zone", "fall_zone_obstacle:overhead_line"}


def test_rules_of_a_file_move_the_base_too(folder):
    """Laid to the north the head's anchor stands 66 m off, 4 m from the line; a rule file asks for 40 ft."""
    own = [area(-150, -150, 150, 70)]
    site = site_of(folder, own, azimuth=0, rules=["guys-40-ft"])
    plan, with_it = moved_plan(site)
    assert [c.id for c in failing_of_land(plan)] == ["rule:guys-40-ft:property-line"]
    assert en_m(with_it.move) == pytest.approx((0.0, -(40 * 0.3048 - 4 + CLEAR_M)), abs=PRINTED_M + FIVE_MILLIMETRES)
    assert failing_of_land(replanned(site, with_it.move)) == ()


def test_a_greatest_height_is_mended_by_no_move(folder):
    rules = 'name = "Low"\nheight_most_m = 50.0\nsource = "made up"\n[[rules]]\nid = "line"\ntitle = "line"\ntarget = "property_line"\nfactor = 0.5\n'
    (folder / "low.toml").write_text(rules, encoding="utf-8")
    site = site_of(folder, [area(-150, -150, 150, 150)], rules=["low.toml"])
    plan, with_it = moved_plan(site)
    assert [c.id for c in failing_of_land(plan)] == ["rule:low:height"]
    assert (with_it.move.distance_m, with_it.move.tallest_m) == (None, 50.0)
    assert with_it.move.text.startswith("No move of the base mends this: total height, ground to the tip. ")


def test_a_move_that_leaves_the_mast_too_tall_says_so(folder):
    rules = 'name = "Low"\nheight_most_m = 50.0\nsource = "made up"\n[[rules]]\nid = "line"\ntitle = "line"\ntarget = "property_line"\nfactor = 0.5\n'
    (folder / "low.toml").write_text(rules, encoding="utf-8")
    site = site_of(folder, [area(-200, -150, 50, 150)], rules=["low.toml"])
    _, with_it = moved_plan(site)
    assert ": every rule of the land that a move can mend then holds." in with_it.move.text
    assert "but the plan fails there: total height, ground to the tip" in with_it.move.text
    assert (with_it.move.verdict, with_it.move.tallest_m) == ("fail", 45.45)


def test_a_laydown_elsewhere_is_seen_turned_by_the_convergence(folder):
    site = site_of(folder, azimuth=70)
    plan = plan_of(folder, base={"lat": LAT, "lon": LON}, laydown={"azimuth_deg": 70.0})
    frame = frame_at(LAT, LON, HEIGHT_M, None, site.where)
    assert azimuth_in(frame, plan) == pytest.approx(70.0, abs=1e-4)
    east = replace(plan, base=replace(plan.base, lon=LON + 0.02))
    turned = Proj("EPSG:32632").get_factors(LON + 0.02, LAT).meridian_convergence - frame.convergence_deg
    assert turned > 0.01
    assert azimuth_in(frame, east) == pytest.approx(70.0 - turned, abs=2e-4)


def test_where_the_ground_wants_one_laydown_and_the_land_another(tmp_path):
    """A steep even slope is laid up only; the land is a strip across it, in which the head's anchor must lie along."""
    folder = ready_folder(tmp_path, plane(13.0, 0.0, HEIGHT_M), half_width_m=160.0, cell_m=4.0)
    site = site_of(folder, [area(-150, -67, 150, 67)], rules=["guys-40-ft"])
    plan, with_it = moved_plan(site)
    assert {c.kind for c in failing_of_land(plan)} == {"rule"}
    move = with_it.move
    assert move.distance_m < CLEAR_M and move.verdict == "fail"
    assert move.text.startswith("The base need not move, the laydown must: every rule of the land that is checked then holds. ")
    assert move.tallest_m is None and "height" not in move.text
    assert f"(set [laydown] azimuth_deg = {move.azimuth_deg:g}: " in move.text and "but the plan fails there: " in move.text
    held = replace(site, azimuth_deg=move.azimuth_deg)
    assert failing_of_land(replanned(held, move)) == ()
