"""stakes.gpkg read back with GDAL and, without it, as the SQLite file that it is."""

from __future__ import annotations

import sqlite3
import struct
import time
from dataclasses import replace

import numpy as np
import pyogrio
import pytest
from pyproj import Transformer
from shapely import Point
from writers.plan_by_hand import make_plan
from writers.rover_plans import HOSTILE, INTERNATIONAL_FOOT, METRE, US_FOOT, blank, demo, hostile, without_code

from siting.writers.paper.grid_drawing import CIRCLE_KINDS, LINE_KINDS
from siting.writers.points.gpkg import gpkg

LAYERS = {"stakes", "lines", "zones"}


@pytest.fixture
def written(tmp_path):
    def write(plan):
        path = tmp_path / "stakes.gpkg"
        path.write_bytes(gpkg(plan))
        return path

    return write


@pytest.mark.parametrize("projected", [None, METRE, US_FOOT, INTERNATIONAL_FOOT])
def test_stakes_come_back_in_the_plans_own_system(written, projected):
    plan = demo(projected)
    table = pyogrio.read_dataframe(written(plan), layer="stakes")
    assert table.crs.to_epsg() == plan.crs.epsg
    assert table.crs.axis_info[0].unit_conversion_factor == pytest.approx(plan.crs.unit_m, abs=1e-12)
    assert list(table["point"]) == [s.point for s in plan.stakes]
    for row, stake in zip(table.itertuples(), plan.stakes, strict=True):
        assert not row.geometry.has_z
        assert (row.geometry.x, row.geometry.y) == pytest.approx((stake.easting, stake.northing), abs=1e-6)
        assert (row.easting, row.northing, row.height_m) == (stake.easting, stake.northing, stake.height_m)
        assert (row.lat, row.lon, row.ground_distance_m) == (stake.lat, stake.lon, stake.radius_m)
        assert (row.id, row.role, row.code, row.description) == (stake.id, stake.role, stake.code, stake.description)
        assert (row.run_id, row.crs, row.epoch) == (plan.provenance.run_id, plan.crs.name, plan.crs.epoch)
        assert row.vertical_datum == plan.terrain.vertical_datum
    if projected is None:  # the datum is WGS 84 itself: the way back is exact
        lon, lat = Transformer.from_crs(table.crs, "OGC:CRS84", always_xy=True).transform(table.geometry.x, table.geometry.y)
        assert np.max(np.abs(lon - table["lon"])) < 1e-8
        assert np.max(np.abs(lat - table["lat"])) < 1e-8


def test_the_unit_says_which_foot(written):
    for projected, words in ((US_FOOT, "US survey feet (1200/3937 m)"), (INTERNATIONAL_FOOT, "international feet (0.3048 m)")):
        path = written(demo(projected))
        assert set(pyogrio.read_dataframe(path, layer="stakes")["unit"]) == {words}


def test_a_system_whose_first_axis_is_north_is_not_turned_over(written):
    plan = make_plan()
    table = pyogrio.read_dataframe(written(replace(plan, crs=replace(plan.crs, epsg=2193))), layer="stakes")
    assert [axis.direction for axis in table.crs.axis_info] == ["north", "east"]
    assert [point.x for point in table.geometry] == [s.easting for s in plan.stakes]


def test_lines_and_zones_lie_where_the_plan_has_them(written):
    plan = demo()
    path = written(plan)
    assert {name for name, _ in pyogrio.list_layers(path)} == LAYERS
    to_grid = Transformer.from_crs("OGC:CRS84", f"EPSG:{plan.crs.epsg}", always_xy=True)
    shapes = {(s.kind, s.id): s for s in plan.shapes}
    for name in ("lines", "zones"):
        table = pyogrio.read_dataframe(path, layer=name)
        assert table.crs.to_epsg() == plan.crs.epsg
        wanted = [s for s in plan.shapes if s.kind in (CIRCLE_KINDS if name == "zones" else LINE_KINDS)]
        assert len(table) == len(wanted) == (3 if name == "zones" else 11)
        for row in table.itertuples():
            shape = shapes[row.kind, row.id]
            assert (row.label, row.run_id) == (shape.label, plan.provenance.run_id)
            drawn = row.geometry.boundary if name == "zones" else row.geometry
            for lon, lat in shape.rings[0]:
                # The plan's corners lie on the circle; the file's sides up to 1 mm inside it.
                assert drawn.distance(Point(to_grid.transform(lon, lat))) < 2e-3


def test_it_is_a_geopackage_with_the_system_by_its_code(written):
    plan = demo(US_FOOT)
    with sqlite3.connect(written(plan)) as base:
        assert base.execute("PRAGMA application_id").fetchone() == (0x47504B47,)
        assert base.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        contents = base.execute("SELECT table_name, description, srs_id, last_change FROM gpkg_contents").fetchall()
        assert {name for name, *_ in contents} == LAYERS
        for _, about, code, change in contents:
            assert code == 4432
            assert change == f"{plan.provenance.plan_date}T00:00:00.000Z"
            for words in (plan.provenance.run_id, "US survey feet (1200/3937 m)", "EPSG:4432", "not scaled to ground", plan.crs.datum):
                assert words in about
        blobs = base.execute("SELECT geom FROM stakes ORDER BY fid").fetchall()
    for (blob,), stake in zip(blobs, plan.stakes, strict=True):
        # GeoPackage header of a point: "GP", version, flags, srs_id, then plain WKB.
        assert blob[:2] == b"GP" and struct.unpack("<i", blob[4:8]) == (4432,)
        assert struct.unpack("<BIdd", blob[-21:]) == (1, 1, stake.easting, stake.northing)


def test_elevations_are_null_where_the_user_wants_none(written):
    table = pyogrio.read_dataframe(written(blank()), layer="stakes")
    assert table["height_m"].isna().all() and table["ellipsoid_height_m"].isna().all()
    assert not pyogrio.read_dataframe(written(make_plan()), layer="stakes")["height_m"].isna().any()


def test_a_system_without_a_code_is_written_as_wgs84_degrees(written):
    plan = without_code()
    path = written(plan)
    table = pyogrio.read_dataframe(path, layer="stakes")
    assert table.crs.to_epsg() == 4326
    for row, stake in zip(table.itertuples(), plan.stakes, strict=True):
        assert (row.geometry.x, row.geometry.y) == (stake.lon, stake.lat)
        assert (row.easting, row.northing, row.crs) == (stake.easting, stake.northing, plan.crs.name)
    assert len(pyogrio.read_dataframe(path, layer="zones")) == 3


def test_control_points_have_a_layer_of_their_own(written):
    plan = demo(given=True)
    table = pyogrio.read_dataframe(written(plan), layer="control")
    assert list(table["id"]) == [c.id for c in plan.control] == ["BM 7 <&> ü", "gate post"]
    assert list(table["role"]) == ["control", "feature"]
    assert table["height_m"].iloc[0] == 1430.125 and np.isnan(table["height_m"].iloc[1])


def test_hostile_names_survive(written):
    plan = hostile()
    path = written(plan)
    table = pyogrio.read_dataframe(path, layer="stakes")
    assert table["id"].iloc[1] == table["description"].iloc[1] == table["vertical_datum"].iloc[1] == HOSTILE
    assert HOSTILE in set(pyogrio.read_dataframe(path, layer="lines")["label"])


def test_bytes_repeat_and_gdals_clock_is_given_back():
    before = pyogrio.get_gdal_config_option("OGR_CURRENT_DATE")
    first = gpkg(make_plan())
    time.sleep(0.02)  # GDAL stamps milliseconds where its clock runs
    assert gpkg(make_plan()) == first
    assert pyogrio.get_gdal_config_option("OGR_CURRENT_DATE") == before
