"""Parcels and obstacles against distances and areas that were laid out on the ground by hand.

Layers are made from ground metres about the base by geodesics; the plan reads them from files in many systems.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from strategies import as_json, box_en, ground_polygon, ground_ring, plan_of, ready_folder, write_layer
from synthetic import plane

LAT, LON, HEIGHT_M = 39.2, -105.5, 500.0  # where a US survey foot system is at hand
MAST_M, FALL_M = 60.0, 60.3
SETBACK_M = 1.1 * FALL_M
FIVE_MILLIMETRES = 0.005
SYSTEMS = ["EPSG:32613", "EPSG:4326", "EPSG:3857", "EPSG:2232", "EPSG:26913", "EPSG:5070"]


@pytest.fixture(scope="module")
def ground(tmp_path_factory):
    """DEM and mast of every test here: an even slope of 6 %, uphill at 40 degrees."""
    return ready_folder(tmp_path_factory.mktemp("land"), plane(6.0, 40.0, HEIGHT_M), lat=LAT, lon=LON)


@pytest.fixture
def folder(ground, tmp_path):
    for name in ("dem.tif", "mast.toml"):
        (tmp_path / name).write_bytes((ground / name).read_bytes())
    return tmp_path


def area(points_en_m, *holes):
    return ground_polygon(points_en_m, HEIGHT_M, holes, LAT, LON)


def line(*points_en_m):
    dense = shapely.get_coordinates(shapely.segmentize(shapely.LineString(points_en_m), 25.0)).tolist()
    return shapely.LineString(ground_ring([tuple(p) for p in dense], HEIGHT_M, LAT, LON))


def planned(folder, parcels: dict[str, object] | None = None, crs: str = "EPSG:32613", obstacles=None, **land):
    """plan.json of a site with these parcels (by id) and obstacles ((kind, geometry) pairs)."""
    table: dict[str, object] = {}
    if parcels is not None:
        write_layer(folder / "parcels.gpkg", parcels.values(), {"pin": list(parcels)}, crs)
        table |= {"parcels": "parcels.gpkg", "parcel_id_field": "pin", "own": ["own"]}
    if obstacles is not None:
        kinds, shapes = zip(*obstacles, strict=True)
        write_layer(folder / "lines.geojson", shapes, {"kind": list(kinds), "name": [f"{k} {i}" for i, k in enumerate(kinds)]})
        table |= {"obstacles": "lines.geojson"}
    return as_json(plan_of(folder, base={"lat": LAT, "lon": LON}, land=table | land))


def check(plan: dict, name: str) -> dict:
    (found,) = [c for c in plan["checks"] if c["id"] == name]
    return found


def checks(plan: dict, kind: str) -> dict[str, dict]:
    return {c["id"].partition(":")[2]: c for c in plan["checks"] if c["kind"] == kind}


OWN = {"own": area(box_en(-150, -90, 150, 150)), "south": area(box_en(-150, -300, 150, -90))}


@pytest.mark.parametrize("crs", SYSTEMS)
def test_distances_and_areas_are_those_of_the_ground_in_every_system(folder, crs):
    cut = {"own": area(box_en(-150, -50, 150, 150)), "south": area(box_en(-150, -300, 150, -50))}
    land = planned(folder, cut, crs)["land"]
    assert land["nearest_boundary_m"] == pytest.approx(50.0, abs=FIVE_MILLIMETRES)
    assert land["nearest_boundary_bearing_deg"] == pytest.approx(180.0, abs=0.01)
    assert land["nearest_neighbour"] == "south"
    (touched,) = land["parcels_touched"]
    # The circle's segment beyond a chord 50 m from its middle, by its formula.
    segment_m2 = FALL_M**2 * math.acos(50.0 / FALL_M) - 50.0 * math.sqrt(FALL_M**2 - 50.0**2)
    assert touched["id"] == "south"
    assert touched["area_m2"] == pytest.approx(segment_m2, abs=0.4)  # 0.005 m on a chord of 67 m
    assert touched["distance_m"] == pytest.approx(50.0, abs=FIVE_MILLIMETRES)
    point = land["nearest_boundary_point"]
    lon, lat = ground_ring([(0.0, -50.0)], HEIGHT_M, LAT, LON)[0]
    assert (point["lat"], point["lon"]) == (pytest.approx(lat, abs=1e-7), pytest.approx(lon, abs=2e-6))


def test_setback_and_fall_zone_by_hand(folder):
    plan = planned(folder, OWN)
    setback, fall = check(plan, "setback"), check(plan, "fall_zone")
    assert (setback["value"], setback["limit"]) == pytest.approx((90.0, SETBACK_M), abs=FIVE_MILLIMETRES)
    assert setback["utilisation"] == pytest.approx(SETBACK_M / 90.0, abs=1e-3)
    assert fall["limit"] == FALL_M and fall["utilisation"] == pytest.approx(FALL_M / 90.0, abs=1e-3)
    assert setback["verdict"] == fall["verdict"] == "pass"
    assert setback["limit_is_least"] is True and setback["place"] == "nearest line 180.0° true from the base"
    assert setback["source"] == ("1.1 × total height; Toquerville UT 10-26-6 (met towers), as an example: check your local code")
    assert plan["land"]["parcels_touched"] == []
    assert (plan["land"]["fall_radius_m"], plan["land"]["setback_m"]) == (FALL_M, pytest.approx(SETBACK_M))
    assert {c["verdict"] for c in checks(plan, "anchor_on_own_land").values()} == {"pass"}
    stakes = {s["id"]: s["verdict"] for s in plan["stakes"]}
    assert stakes["BASE"] == "pass"


def test_a_base_exactly_on_a_line_fails(folder):
    plan = planned(folder, {"own": area(box_en(-150, 0, 150, 150)), "south": area(box_en(-150, -300, 150, 0))})
    setback = check(plan, "setback")
    assert setback["value"] == pytest.approx(0.0, abs=FIVE_MILLIMETRES)
    assert (setback["utilisation"], setback["verdict"]) == (10.0, "fail")
    assert plan["verdict"] == "fail"
    assert [s["verdict"] for s in plan["stakes"] if s["id"] == "BASE"] == ["fail"]


def test_a_base_outside_the_own_land_is_as_far_outside(folder):
    plan = planned(folder, {"own": area(box_en(40, -150, 200, 150)), "mine not": area(box_en(-150, -150, 40, 150))})
    assert plan["land"]["nearest_boundary_m"] == pytest.approx(-40.0, abs=FIVE_MILLIMETRES)
    assert plan["land"]["nearest_boundary_bearing_deg"] == pytest.approx(90.0, abs=0.01)
    assert check(plan, "fall_zone")["verdict"] == "fail"
    anchors = checks(plan, "anchor_on_own_land")
    stakes = {s["id"]: s for s in plan["stakes"]}
    for name, found in anchors.items():
        turn = math.radians(stakes[name]["azimuth_deg"])
        east_m = stakes[name]["radius_m"] * math.sin(turn)
        assert found["value"] == pytest.approx(east_m - 40.0, abs=FIVE_MILLIMETRES)
        assert found["verdict"] == ("pass" if east_m > 40.0 else "fail")
    assert {c["verdict"] for c in anchors.values()} == {"fail", "pass"}


def test_guys_over_other_land_are_as_long_as_they_lie_there(folder):
    """Own land ends 30 m east of the base: of a guy's plan line the part beyond is counted."""
    plan = planned(folder, {"own": area(box_en(-150, -150, 30, 150)), "east": area(box_en(30, -150, 150, 150))}, own=["own"])
    stakes = {s["id"]: s for s in plan["stakes"]}
    over = checks(plan, "guy_on_own_land")
    assert len(over) == 7
    for name, found in over.items():
        radius_m, turn = stakes[name]["radius_m"], math.radians(stakes[name]["azimuth_deg"])
        beyond_m = max(0.0, radius_m - 30.0 / math.sin(turn)) if math.sin(turn) > 0 else 0.0
        assert found["value"] == pytest.approx(beyond_m, abs=2 * FIVE_MILLIMETRES), name
        assert found["verdict"] == ("fail" if beyond_m > 0.01 else "pass")


def test_a_hole_in_the_own_land_is_somebody_elses(folder):
    well = box_en(28, -4, 36, 4)
    plan = planned(folder, {"own": area(box_en(-150, -150, 150, 150), well), "well": area(well)})
    assert plan["land"]["nearest_boundary_m"] == pytest.approx(28.0, abs=FIVE_MILLIMETRES)
    assert plan["land"]["nearest_neighbour"] == "well"
    (touched,) = plan["land"]["parcels_touched"]
    assert (touched["id"], touched["area_m2"]) == ("well", pytest.approx(64.0, abs=0.2))


def test_own_land_of_many_parts_is_one_land(folder):
    """A multipart parcel whose parts lie apart: the part with the base decides the distance, a far one an anchor's place."""
    parts = shapely.MultiPolygon([area(box_en(-50, -50, 50, 50)), area(box_en(52, -150, 150, 150))])
    plan = planned(folder, {"own": parts, "strip": area(box_en(50, -150, 52, 150))})
    assert plan["land"]["nearest_boundary_m"] == pytest.approx(50.0, abs=FIVE_MILLIMETRES)
    stakes = {s["id"]: s for s in plan["stakes"]}
    for name, found in checks(plan, "anchor_on_own_land").items():
        turn = math.radians(stakes[name]["azimuth_deg"])
        east, north = (stakes[name]["radius_m"] * f(turn) for f in (math.sin, math.cos))
        inside = (abs(east) < 50 and abs(north) < 50) or east > 52
        assert found["verdict"] == ("pass" if inside else "fail"), name


@pytest.mark.parametrize("gap_m", [0.0, 0.05])
def test_own_parcels_that_adjoin_are_one_piece_of_land(folder, gap_m):
    halves = {
        "own": area(box_en(-150, -150, 20 - gap_m / 2, 150)), "own 2": area(box_en(20 + gap_m / 2, -150, 150, 150))
    }  # fmt: skip
    plan = planned(folder, halves, own=["own", "own 2"])
    assert plan["land"]["nearest_boundary_m"] == pytest.approx(150.0, abs=0.06)
    assert plan["land"]["own"] == ["own", "own 2"]
    said = [n for n in plan["notes"] if "adjoin" in n]
    assert said == (["Own parcels adjoin with gaps of up to 10 cm: taken as one piece of land."] if gap_m else [])


def test_a_wide_gap_between_own_parcels_is_somebodys_land(folder):
    halves = {"own": area(box_en(-150, -150, 20, 150)), "own 2": area(box_en(20.5, -150, 150, 150))}
    plan = planned(folder, halves, own=["own", "own 2"])
    assert plan["land"]["nearest_boundary_m"] == pytest.approx(20.0, abs=FIVE_MILLIMETRES)
    assert [n for n in plan["notes"] if "adjoin" in n] == []


def test_a_self_crossing_outline_is_repaired_and_said_so(folder):
    bow = area([(-200, -160), (200, -20), (200, -160), (-200, -20)])
    plan = planned(folder, {"own": area(box_en(-150, -20, 150, 150)), "bow": bow})
    (note,) = [n for n in plan["notes"] if "bow" in n and "outline" in n]
    assert note == (
        "parcels.gpkg, parcel bow: not a valid outline (self-intersection); it was repaired: check it against the record."
    )
    own_bow = shapely.Polygon(
        ground_ring([(-150, -150), (150, 150), (150, -150), (-150, 150)], HEIGHT_M, LAT, LON)
    )  # the base lies on the crossing
    crossed = planned(folder, {"own": own_bow})
    assert crossed["land"]["nearest_boundary_m"] == pytest.approx(0.0, abs=FIVE_MILLIMETRES)
    assert check(crossed, "setback")["verdict"] == "fail"


def test_neighbours_drawn_over_each_other_and_over_the_own_land(folder):
    over = {
        "own": area(box_en(-150, -40, 150, 150)),
        "south": area(box_en(-150, -300, 150, -40)),
        "south again": area(box_en(-150, -300, 150, -38)),
    }
    plan = planned(folder, over)
    assert [n for n in plan["notes"] if "drawn over" in n] == [
        "Parcel south again is drawn over 600 m² of the own land: check the record."
    ]
    touched = {p["id"]: p["area_m2"] for p in plan["land"]["parcels_touched"]}
    circle = shapely.Point(0, 0).buffer(FALL_M, quad_segs=4000)
    assert touched == {
        "south": pytest.approx(circle.intersection(shapely.box(-150, -300, 150, -40)).area, abs=0.5),
        "south again": pytest.approx(circle.intersection(shapely.box(-150, -300, 150, -38)).area, abs=0.5),
    }
    assert plan["land"]["nearest_boundary_m"] == pytest.approx(40.0, abs=FIVE_MILLIMETRES)


def test_areas_of_ragged_neighbours_against_shapely(folder):
    """Neighbours with holes and parts; the circle and the cut are made by shapely in ground metres."""
    dice = np.random.default_rng(11)
    angles = np.sort(dice.uniform(0.0, 2 * math.pi, 40))
    star = [(70 + r * math.sin(a), 10 + r * math.cos(a)) for a, r in zip(angles, dice.uniform(35, 60, 40), strict=True)]
    hole = box_en(50, 6, 57, 16)
    far = box_en(-60, -60, -40, -20)
    wanted = shapely.MultiPolygon([shapely.Polygon(star, [hole]), shapely.Polygon(far)])
    written = shapely.MultiPolygon([area(star, hole), area(far)])
    assert wanted.is_valid
    plan = planned(folder, {"own": area(box_en(-12, -12, 12, 12)), "ragged": written}, crs="EPSG:3857")
    circle = shapely.Point(0, 0).buffer(FALL_M, quad_segs=4000)
    (touched,) = plan["land"]["parcels_touched"]
    assert touched["area_m2"] == pytest.approx(circle.intersection(wanted).area, abs=1.0)
    assert touched["distance_m"] == pytest.approx(wanted.distance(shapely.Point(0, 0)), abs=2 * FIVE_MILLIMETRES)


def test_an_own_parcel_far_larger_than_the_window(folder):
    """A ranch of 20 km: only the outline far away is its line, and it is measured there."""
    ranch = {"own": area(box_en(-9000, -10_000, 11_000, 10_500, 250.0)), "far": area(box_en(11_000, -100, 12_000, 100))}
    plan = planned(folder, ranch)
    assert plan["land"]["nearest_boundary_m"] == pytest.approx(9000.0, abs=6.0)  # the scale is the base's own
    assert plan["land"]["nearest_boundary_bearing_deg"] == pytest.approx(270.0, abs=1.0)
    assert plan["land"]["nearest_neighbour"] == ""
    assert check(plan, "setback")["verdict"] == "pass"


@pytest.mark.parametrize(
    ("south_m", "error_m", "setback", "fall"),
    [
        (67.0, 0.0, "pass", "pass"), (67.0, 0.5, "pass", "pass"), (67.0, 1.0, "marginal", "pass"),
        (67.0, 8.0, "marginal", "marginal"), (66.0, 8.0, "fail", "marginal"), (60.0, 8.0, "fail", "fail"),
    ],
)  # fmt: skip
def test_a_margin_below_the_error_of_the_lines_is_marginal(folder, south_m, error_m, setback, fall):
    parcels = {"own": area(box_en(-150, -south_m, 150, 150))}
    plan = planned(folder, parcels, boundary_error_m=error_m)
    assert (check(plan, "setback")["verdict"], check(plan, "fall_zone")["verdict"]) == (setback, fall)
    assert check(plan, "setback")["uncertainty"] == error_m
    if setback == "marginal" and fall != "fail":
        assert plan["verdict"] in ("marginal", "fail")
        assert plan["verdict"] == "marginal" or "fail" in {c["verdict"] for c in plan["checks"]}


@pytest.mark.parametrize("factor", [0.5, 1.1, 1.5, 3.0])
def test_setback_and_fall_zone_are_two_things(folder, factor):
    """A small factor shrinks the setback and nothing else; a computed fall never makes a setback smaller."""
    plan = planned(
        folder, {"own": area(box_en(-150, -55, 150, 150)), "south": area(box_en(-150, -300, 150, -55))}, setback_factor=factor
    )
    assert plan["land"]["setback_m"] == pytest.approx(factor * FALL_M, abs=0.001)
    assert plan["land"]["fall_radius_m"] == FALL_M
    fall = check(plan, "fall_zone")
    assert (fall["limit"], fall["verdict"]) == (FALL_M, "fail")
    assert check(plan, "setback")["limit"] == pytest.approx(factor * FALL_M, abs=1e-4)
    assert check(plan, "setback")["verdict"] == ("pass" if factor * FALL_M < 55.0 else "fail")
    assert check(plan, "setback")["source"].startswith(f"{factor:g} × total height; ")
    assert [p["id"] for p in plan["land"]["parcels_touched"]] == ["south"]
    assert plan["verdict"] == "fail"
    circles = {s["kind"]: s["label"] for s in plan["shapes"] if s["kind"] in ("fall_zone", "setback")}
    assert circles["fall_zone"] == "fall circle: 60.30 m"
    assert circles["setback"] == f"setback: {factor * FALL_M:.2f} m"


def test_the_parcel_that_holds_the_base_is_the_own_one_where_none_is_named(folder):
    plan = planned(folder, OWN, own=None)
    assert plan["land"]["own"] == ["own"]
    assert plan["land"]["nearest_boundary_m"] == pytest.approx(90.0, abs=FIVE_MILLIMETRES)
    overlap = {"wide": area(box_en(-150, -150, 150, 150)), "narrow": area(box_en(-30, -150, 150, 150))}
    plan = planned(folder, overlap, own=None)
    assert plan["land"]["own"] == ["narrow"]
    assert (
        "parcels.gpkg: the base lies in more than one parcel; narrow, whose line is nearest, is taken as the applicant's, "
        "and wide as a neighbour. Name [land] own to decide."
    ) in plan["notes"]


def test_ids_that_are_numbers(folder):
    write_layer(folder / "parcels.gpkg", OWN.values(), {"pin": [4.0, 5.0]}, "EPSG:32613")
    table = {"parcels": "parcels.gpkg", "parcel_id_field": "pin", "own": [4]}
    land = as_json(plan_of(folder, base={"lat": LAT, "lon": LON}, land=table))["land"]
    assert (land["own"], land["nearest_neighbour"]) == (["4"], "5")
    assert land["nearest_boundary_m"] == pytest.approx(90.0, abs=FIVE_MILLIMETRES)


def test_an_id_with_a_quote_is_read_as_it_stands(folder):
    parcels = {"O'Brien's": OWN["own"], "south": OWN["south"]}
    land = planned(folder, parcels, own=["O'Brien's"])["land"]
    assert land["own"] == ["O'Brien's"] and land["nearest_neighbour"] == "south"


def test_without_parcels_nothing_of_the_land_is_clear(folder):
    plan = planned(folder)
    assert {"setback", "fall_zone", "anchor_on_own_land"} <= set(plan["unchecked"])
    detail = {u["id"]: u for u in plan["unchecked_detail"]}
    assert detail["setback"] == {
        "id": "setback", "missing": "no parcels were given, so the setback could not be checked", "do": "give [land] parcels"
    }  # fmt: skip
    assert detail["overhead_line"]["missing"] == ("no obstacle layer was given: whether an overhead line is near is not known")
    assert [c for c in plan["checks"] if c["kind"] in ("setback", "fall_zone", "anchor_on_own_land", "fall_zone_obstacle")] == []
    assert plan["land"]["nearest_boundary_m"] is None
    assert "could NOT be checked" in plan["headline"]
    assert "clear" not in str(plan["unchecked_detail"]).lower()


def test_the_nearest_obstacle_of_each_kind_is_held_against_the_fall_circle(folder):
    obstacles = [
        ("road", line((-200, 75), (200, 75))),
        ("Overhead Line", line((52, -200), (52, 200))),
        ("overhead-line", line((90, -200), (90, 200))),
        ("building", area(box_en(-70, -70, -50, -50))),
        ("water", area(box_en(-20, -20, -10, -10))),
    ]
    plan = planned(folder, obstacles=obstacles)
    found = checks(plan, "fall_zone_obstacle")
    assert {k: (c["value"], c["verdict"]) for k, c in found.items()} == {
        "road": (pytest.approx(75.0, abs=0.01), "pass"),
        "overhead_line": (pytest.approx(52.0, abs=0.01), "fail"),
        "building": (pytest.approx(math.hypot(50, 50), abs=0.01), "pass"),
    }
    assert found["overhead_line"]["place"] == "Overhead Line 1, 90.0° true from the base"
    touched = [(o["kind"], o["distance_m"]) for o in plan["land"]["obstacles_touched"]]
    assert touched == [("water", pytest.approx(math.hypot(10, 10), abs=0.01)), ("overhead_line", pytest.approx(52.0, abs=0.01))]
    assert set(plan["unchecked"]) & {"overhead_line", "road", "building"} == set()


def test_a_layer_without_a_kind_leaves_it_unchecked(folder):
    plan = planned(folder, obstacles=[("water", area(box_en(80, 80, 90, 90)))])
    detail = {u["id"]: u["missing"] for u in plan["unchecked_detail"]}
    assert detail["overhead_line"] == (
        "lines.geojson holds no overhead line: whether none is there or none was drawn cannot be told"
    )
    assert {"road", "building", "overhead_line"} <= set(plan["unchecked"])


def test_a_kind_far_away_counts_as_drawn(folder):
    """A line 5 km off shows that the layer holds lines, and no check speaks of it."""
    plan = planned(folder, obstacles=[("power_line", line((5000, -200), (5000, 200))), ("road", line((-200, 75), (200, 75)))])
    assert "overhead_line" not in plan["unchecked"] and "building" in plan["unchecked"]
    assert set(checks(plan, "fall_zone_obstacle")) == {"road"}


def test_guys_do_not_cross_a_line_and_anchors_do_not_stand_in_water(folder):
    """A stream may be crossed by a guy in the air, a fence line may not; both are looked at on every azimuth."""
    wall = line((-200, 34), (200, 34))
    stream = area(box_en(-200, -38, 200, -30))
    write_layer(folder / "lines.geojson", [wall, stream], {"kind": ["wall", "stream"]})
    site = as_json(
        plan_of(folder, base={"lat": LAT, "lon": LON}, land={"obstacles": "lines.geojson"}, laydown={"azimuth_deg": 40.0})
    )
    stakes = {s["id"]: s for s in site["stakes"]}
    for name, found in checks(site, "layout_clear").items():
        turn = math.radians(stakes[name]["azimuth_deg"])
        north = stakes[name]["radius_m"] * math.cos(turn)
        wanted = int(north > 34.0) + int(-38.0 < north < -30.0)
        assert (found["value"], found["verdict"]) == (wanted, "fail" if wanted else "pass"), name
    assert {c["value"] for c in checks(site, "layout_clear").values()} == {0, 1}


def test_twenty_thousand_parcels_give_what_the_near_ones_give(folder):
    """A county's layer: only what lies near is looked at, and nothing changes."""
    near = {"own": area(box_en(-100, -50, 100, 100)), "south": area(box_en(-100, -300, 100, -50))}
    lon0, lat0 = ground_ring([(900.0, 900.0)], HEIGHT_M, LAT, LON)[0]
    i = np.arange(20_000)
    west, south = lon0 + (i % 200) * 0.0012, lat0 + (i // 200) * 0.001
    many = shapely.box(west, south, west + 0.0011, south + 0.0009)
    small = planned(folder, near)
    write_layer(folder / "parcels.gpkg", [*near.values(), *many], {"pin": [*near, *(f"p{k}" for k in i)]}, "EPSG:4326")
    table = {"parcels": "parcels.gpkg", "parcel_id_field": "pin", "own": ["own"]}
    large = as_json(plan_of(folder, base={"lat": LAT, "lon": LON}, land=table))
    assert large["checks"] == [
        c | {"value": pytest.approx(c["value"], abs=1e-3), "utilisation": pytest.approx(c["utilisation"], abs=1e-3)}
        for c in small["checks"]
    ]
    assert [p["id"] for p in large["land"]["parcels_touched"]] == ["south"]
    assert len([s for s in large["shapes"] if s["kind"] == "parcel"]) < 10
