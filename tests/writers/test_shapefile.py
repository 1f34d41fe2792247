"""stakes_shp.zip read back with GDAL and by its bytes."""

from __future__ import annotations

import io
import struct
import zipfile
from dataclasses import replace

import pyogrio
import pytest
from pyproj import CRS
from writers.plan_by_hand import make_plan
from writers.rover_plans import HOSTILE, INTERNATIONAL_FOOT, US_FOOT, blank, demo, hostile, without_code

from siting.writers.points.gis_layers import CONTROL_FIELDS, PLAN_FIELDS, SHAPE_FIELDS, STAKE_FIELDS
from siting.writers.points.shapefile import shapefile

PARTS = (".cpg", ".dbf", ".prj", ".shp", ".shx")


def read(tmp_path, data: bytes, layer: str):
    path = tmp_path / "stakes_shp.zip"
    path.write_bytes(data)
    return pyogrio.read_dataframe(f"/vsizip/{path}/{layer}.shp")


def unzipped(data: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        return {name: packed.read(name) for name in packed.namelist()}


@pytest.mark.parametrize("projected", [None, US_FOOT, INTERNATIONAL_FOOT])
def test_stakes_come_back_in_the_plans_own_system(tmp_path, projected):
    plan = demo(projected)
    table = read(tmp_path, shapefile(plan), "stakes")
    assert table.crs.axis_info[0].unit_conversion_factor == pytest.approx(plan.crs.unit_m, abs=1e-12)
    assert table.crs.to_epsg(min_confidence=60) == plan.crs.epsg
    for row, stake in zip(table.itertuples(), plan.stakes, strict=True):
        assert (row.geometry.x, row.geometry.y) == pytest.approx((stake.easting, stake.northing), abs=1e-6)
        assert (row.easting, row.northing) == pytest.approx((stake.easting, stake.northing), abs=1e-6)
        assert row.height_m == pytest.approx(stake.height_m, abs=1e-6)
        assert (row.lat, row.lon) == pytest.approx((stake.lat, stake.lon), abs=1e-9)
        assert (row.id, row.point, row.role, row.code) == (stake.id, stake.point, stake.role, stake.code)
        assert (row.descript, row.run_id, row.crs) == (stake.description, plan.provenance.run_id, plan.crs.name)


def test_the_points_are_plain_points_in_the_file_itself():
    plan = demo()
    data = unzipped(shapefile(plan))["stakes.shp"]
    assert struct.unpack(">i", data[:4]) == (9994,)
    assert struct.unpack("<i", data[32:36]) == (1,)  # Point: no Z
    for number, stake in enumerate(plan.stakes):
        start = 100 + number * 28
        assert struct.unpack("<idd", data[start + 8 : start + 28]) == (1, stake.easting, stake.northing)


def test_every_layer_has_its_parts_and_says_its_letters():
    plan = demo(US_FOOT)
    files = unzipped(shapefile(plan))
    assert list(files) == sorted(files)
    assert set(files) == {f"{layer}{part}" for layer in ("stakes", "lines", "zones") for part in PARTS} | {"readme.txt"}
    for layer in ("stakes", "lines", "zones"):
        assert files[f"{layer}.cpg"] == b"UTF-8"
        assert CRS.from_wkt(files[f"{layer}.prj"].decode()).axis_info[0].unit_conversion_factor == pytest.approx(1200 / 3937)
        year, month, day = files[f"{layer}.dbf"][1:4]
        assert f"{1900 + year}-{month:02d}-{day:02d}" == plan.provenance.plan_date


def test_field_names_are_short_by_design_not_by_chance():
    for fields in (STAKE_FIELDS, CONTROL_FIELDS, SHAPE_FIELDS):
        names = [short for _, short, _ in fields] + [short for _, short in PLAN_FIELDS]
        assert len(set(names)) == len(names)
        assert max(map(len, names)) <= 10
    readme = unzipped(shapefile(make_plan()))["readme.txt"].decode()
    for name, short, _ in STAKE_FIELDS:
        assert f"  {short:<10}  {name}\r\n" in readme


def test_the_text_beside_says_the_frame():
    for projected, unit in ((US_FOOT, "US survey feet (1200/3937 m)"), (INTERNATIONAL_FOOT, "international feet (0.3048 m)")):
        plan = demo(projected)
        readme = unzipped(shapefile(plan))["readme.txt"].decode()
        for words in (plan.crs.name, f"EPSG:{plan.crs.epsg}", unit, plan.provenance.run_id, plan.crs.datum, "not scaled to ground"):
            assert words in readme
        for warning in plan.warnings:
            assert f"Warning: {warning}" in readme


def test_lines_and_zones(tmp_path):
    plan = demo()
    data = shapefile(plan)
    zones = read(tmp_path, data, "zones")
    assert list(zones["kind"]) == ["fall_zone", "setback", "anchor_circle"]
    radius = plan.land.fall_radius_m * plan.crs.combined_factor
    for x, y in zones.geometry.iloc[0].exterior.coords:
        assert (x - plan.base.easting) ** 2 + (y - plan.base.northing) ** 2 == pytest.approx(radius**2, abs=0.1 * radius * 1e-3)
    lines = read(tmp_path, data, "lines")
    at = {s.id: (s.easting, s.northing) for s in plan.stakes}
    for row in lines.itertuples():
        assert row.geometry.coords[0] == (plan.base.easting, plan.base.northing)
        assert row.geometry.coords[-1] == at[row.id]


def test_elevations_are_null_where_the_user_wants_none(tmp_path):
    assert read(tmp_path, shapefile(blank()), "stakes")["height_m"].isna().all()
    assert not read(tmp_path, shapefile(make_plan()), "stakes")["height_m"].isna().any()


def test_a_system_without_a_code_is_written_as_wgs84_degrees(tmp_path):
    plan = without_code()
    data = shapefile(plan)
    table = read(tmp_path, data, "stakes")
    assert table.crs.to_epsg() == 4326
    assert table.geometry.iloc[1].coords[0] == (plan.stakes[1].lon, plan.stakes[1].lat)
    assert "WGS 84 longitude and latitude" in unzipped(data)["readme.txt"].decode()


def test_hostile_names_survive(tmp_path):
    table = read(tmp_path, shapefile(hostile()), "stakes")
    assert table["id"].iloc[1] == table["descript"].iloc[1] == table["vert_datum"].iloc[1] == HOSTILE


def test_control_points_have_a_layer_of_their_own(tmp_path):
    plan = demo(given=True)
    assert list(read(tmp_path, shapefile(plan), "control")["id"]) == [c.id for c in plan.control]


def test_bytes_repeat_on_another_day(monkeypatch):
    first = shapefile(make_plan())
    monkeypatch.setenv("TZ", "Pacific/Kiritimati")
    assert shapefile(make_plan()) == first
    other = make_plan()
    later = replace(other, provenance=replace(other.provenance, plan_date="2028-01-31"))
    assert shapefile(later) != first
