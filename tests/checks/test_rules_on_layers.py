"""Rules on layers that were read from files: the demo's in many systems, across a zone's edge, and among 100,000 parcels."""

from __future__ import annotations

import math
from pathlib import Path

import geopandas
import numpy as np
import pytest
import shapely
from rule_lands import MAST, azimuths, rule, rules
from strategies import LAT, LON, box_en, ground_polygon, ground_ring, plan_of, ready_folder, write_layer, write_site
from synthetic import plane

from siting.checks.land import reach_deg
from siting.checks.rule_targets import LayerOnGround, RuleLand
from siting.checks.setbacks import judge_rules
from siting.geodesy.frames import frame_at
from siting.inputs.rule_file import find_rules, read_rules, shipped_rules
from siting.inputs.rule_layers import read_rule_layer
from siting.inputs.site_file import read_site
from siting.layout.footprint import features_on_ground, layer_frame
from siting.planning.ground import open_ground
from siting.planning.land import read_land
from siting.records.rules import RuleLayer, Waiver

DEMO = Path(__file__).parents[2] / "sample_dem"
SYSTEMS = ["EPSG:4326", "EPSG:32611", "EPSG:3857", "EPSG:2256", "EPSG:6514", "EPSG:5070"]  # 2256: Montana, international feet
FIVE_MILLIMETRES = 0.005
REACH_M = 300.0


def land_of(site, projected=None, reach_m: float = REACH_M):
    """The land of a site as rules see it, with its frame, as the planner brings it together."""
    frame = frame_at(site.base.lat, site.base.lon, open_ground(site).base_height_m, projected, "test")
    read = read_land(site, frame)
    obstacles = LayerOnGround(site.land.obstacles_shown, read.obstacles, read.obstacle_kinds, reach_m) if site.land.obstacles else None
    return RuleLand(read.own, read.parcels, obstacles, {}, site.land.boundary_error_m), frame


def demo_findings(folder: Path, crs: str | None, projected: str | None = None):
    """Every shipped rule on the demo, its layers in another system."""
    text = (DEMO / "site.toml").read_text(encoding="utf-8").replace('path = "curlew_bench.tif"', f'path = "{DEMO / "curlew_bench.tif"}"')
    for name in ("runways.csv", "heliports.csv"):
        (folder / name).write_bytes((DEMO / name).read_bytes())
    for name in ("parcels.gpkg", "lines.geojson"):
        frame = geopandas.read_file(DEMO / name)
        to = frame if crs is None else frame.to_crs(crs)
        to.to_file(folder / f"{name.split('.')[0]}.gpkg")
    (folder / "site.toml").write_text(text.replace("lines.geojson", "lines.gpkg"), encoding="utf-8")
    site = read_site(folder / "site.toml")
    land, frame = land_of(site, projected)
    sets = tuple(read_rules(*find_rules(n, folder, "x")) for n in shipped_rules())
    laydowns = np.arange(0.0, 360.0, 15.0)
    return judge_rules(sets, land, site.mast, frame, azimuths(laydowns, site.mast)), laydowns


@pytest.fixture(scope="module")
def plain(tmp_path_factory):
    result, _ = demo_findings(tmp_path_factory.mktemp("plain"), None)
    return [result.findings(k) for k in range(24)]


@pytest.mark.parametrize("crs", SYSTEMS)
def test_the_demo_in_another_system_gives_the_same(plain, crs, tmp_path):
    result, laydowns = demo_findings(tmp_path, crs)
    for k in range(laydowns.size):
        for one, other in zip(result.findings(k), plain[k], strict=True):
            assert (one.id, one.verdict, one.limit_m, one.to) == (other.id, other.verdict, other.limit_m, other.to)
            assert (one.value_m is None) == (other.value_m is None)
            if one.value_m is not None:
                assert one.value_m == pytest.approx(other.value_m, abs=FIVE_MILLIMETRES)
    assert {f.verdict for f in result.findings(0)} == {"pass", "fail", "unchecked"}


@pytest.mark.parametrize("projected", ["EPSG:32611", "EPSG:32613", "EPSG:2256"])
def test_the_plans_own_system_moves_no_distance_and_no_point(plain, projected, tmp_path):
    """A neighbouring zone's grid is turned by degrees and its scale is off by a part in a thousand; the ground is not."""
    result, _ = demo_findings(tmp_path, None, projected)
    for one, other in zip(result.findings(5), plain[5], strict=True):
        if one.value_m is None:
            continue
        assert one.value_m == pytest.approx(other.value_m, abs=0.02) and one.verdict == other.verdict
        if one.lat is not None:
            assert (one.lat, one.lon) == (pytest.approx(other.lat, abs=3e-7), pytest.approx(other.lon, abs=4e-7))
            assert abs((one.bearing_deg - other.bearing_deg + 180.0) % 360.0 - 180.0) < 0.05


def test_a_site_on_the_edge_of_two_zones(tmp_path):
    """Base 40 m east of 12° E: parcels and road run across into zone 32, and are read from files in that zone."""
    lat, lon = 47.0, 12.0 + 40.0 / (111_320.0 * math.cos(math.radians(47.0)))
    folder = ready_folder(tmp_path, plane(6.0, 40.0, 500.0), lat=lat, lon=lon)
    own = ground_polygon(box_en(-100, -150, 130, 150), 500.0, (), lat, lon)
    west = ground_polygon(box_en(-300, -150, -100, 150), 500.0, (), lat, lon)
    write_layer(folder / "parcels.gpkg", [own, west], {"pin": ["own", "west"]}, "EPSG:32632")
    dense = [(-110.0, y) for y in range(-200, 201, 20)]
    road = shapely.LineString(ground_ring(dense, 500.0, lat, lon))
    write_layer(folder / "lines.gpkg", [road], {"kind": ["road"], "name": ["Lane"]}, "EPSG:32632")
    table = {"parcels": "parcels.gpkg", "parcel_id_field": "pin", "own": ["own"], "obstacles": "lines.gpkg"}
    land, frame = land_of(read_site(write_site(folder, base={"lat": lat, "lon": lon}, land=table)))
    assert frame.epsg == 32633
    result = judge_rules((rules(rule(id="l", least_m=90.0), rule("road", id="r", least_m=90.0)),), land, MAST, frame, azimuths())
    line, lane = result.findings(0)
    assert (line.value_m, lane.value_m) == (pytest.approx(100.0, abs=FIVE_MILLIMETRES), pytest.approx(110.0, abs=FIVE_MILLIMETRES))
    assert (line.to, lane.to) == ("line to parcel west", "Lane")
    assert line.bearing_deg == pytest.approx(270.0, abs=0.02) and line.lon < 12.0 < lon


def test_a_hundred_thousand_parcels_give_what_the_near_ones_give(tmp_path):
    """Nothing is timed here: benchmarks/rules.py does that."""
    folder = ready_folder(tmp_path, plane(6.0, 40.0, 500.0))
    own, east = (ground_polygon(box_en(*b), 500.0) for b in ((-100, -80, 75, 100), (75, -80, 200, 100)))
    i = np.arange(100_000)
    west, south = LON + 0.01 + (i % 400) * 0.0012, LAT - 0.1 + (i // 400) * 0.001
    many = shapely.box(west, south, west + 0.0011, south + 0.0009)
    write_layer(folder / "parcels.gpkg", [own, east, *many], {"pin": ["own", "east", *(f"p{k}" for k in i)]})
    table = {"parcels": "parcels.gpkg", "parcel_id_field": "pin", "own": ["own"]}
    land, frame = land_of(read_site(write_site(folder, land=table)))
    assert len(land.parcels) < 10
    waived = (Waiver("east", "X", "y"),)
    made = rules(rule(id="a", factor=1.1), rule(id="b", factor=1.1, waivable=True, waivers=waived), rule(id="c", measured="guy_anchors", least_m=12.192))
    a, b, c = judge_rules((made,), land, MAST, frame, azimuths()).findings(0)
    assert (a.value_m, a.to) == (pytest.approx(75.0, abs=FIVE_MILLIMETRES), "line to parcel east")
    assert (b.value_m, b.verdict) == (pytest.approx(80.0, abs=FIVE_MILLIMETRES), "pass")
    assert c.value_m == pytest.approx(35.0, abs=FIVE_MILLIMETRES)


def test_a_repaired_parcel_is_measured_by_what_it_became(tmp_path):
    """A self-crossing outline is made valid when it is read; the rule measures to that."""
    folder = ready_folder(tmp_path, plane(6.0, 40.0, 500.0))
    ring = ground_ring([(-100, -100), (100, 100), (100, -100), (-100, 100)], 500.0)
    write_layer(folder / "parcels.gpkg", [shapely.Polygon(ring)], {"pin": ["own"]})
    table = {"parcels": "parcels.gpkg", "parcel_id_field": "pin", "own": ["own"]}
    land, frame = land_of(read_site(write_site(folder, base={"lat": LAT, "lon": LON}, land=table)))
    finding = judge_rules((rules(rule(least_m=5.0)),), land, MAST, frame, azimuths()).findings(0)[0]
    assert abs(finding.value_m) < 0.01 and finding.verdict == "fail"


def test_a_layer_of_the_users_on_the_ground(tmp_path):
    folder = ready_folder(tmp_path, plane(6.0, 40.0, 500.0))
    zone = ground_polygon(box_en(150, -500, 400, 500), 500.0)
    path = write_layer(folder / "zones.gpkg", [zone], {"name": ["R-1"]}, "EPSG:3857")
    site = read_site(write_site(folder))
    frame = frame_at(LAT, LON, open_ground(site).base_height_m, None, "test")
    read = read_rule_layer(RuleLayer("residential", path, "zones.gpkg"), LON, LAT, reach_deg(LAT, 300.0))
    zones = features_on_ground(read, layer_frame(read, frame, LAT, LON))
    land = RuleLand(None, layers={"residential": LayerOnGround("zones.gpkg", zones, read.kinds, 300.0)})
    finding = judge_rules((rules(rule("layer", layer="residential", least_m=100.0)),), land, MAST, frame, azimuths()).findings(0)[0]
    assert (finding.value_m, finding.to, finding.verdict) == (pytest.approx(150.0, abs=FIVE_MILLIMETRES), "R-1", "pass")


def test_rule_and_setback_agree_where_they_ask_the_same(tmp_path):
    """The plan's own setback and a rule of the same factor are one number by two ways."""
    folder = ready_folder(tmp_path, plane(6.0, 40.0, 500.0))
    parcels = [ground_polygon(box_en(*b), 500.0) for b in ((-150, -67, 150, 150), (-150, -300, 150, -67))]
    write_layer(folder / "parcels.gpkg", parcels, {"pin": ["own", "south"]})
    table = {"parcels": "parcels.gpkg", "parcel_id_field": "pin", "own": ["own"], "boundary_error_m": 8.0}
    plan = plan_of(folder, land=table)
    site = read_site(folder / "site.toml")
    land, frame = land_of(site)
    finding = judge_rules((rules(rule(factor=1.1)),), land, site.mast, frame, azimuths(mast=site.mast)).findings(0)[0]
    (setback,) = [c for c in plan.checks if c.id == "setback"]
    assert (finding.value_m, finding.limit_m) == (pytest.approx(setback.value, abs=1e-4), pytest.approx(setback.limit, abs=1e-4))
    assert finding.verdict == setback.verdict
    point = plan.land.nearest_boundary_point
    assert (finding.lat, finding.lon) == (pytest.approx(point.lat, abs=1e-8), pytest.approx(point.lon, abs=1e-8))
    assert finding.to == f"line to parcel {plan.land.nearest_neighbour}"
