"""stakes.gpx read back with GDAL and with lxml."""

from __future__ import annotations

from dataclasses import replace

import pyogrio
import pytest
from lxml import etree
from writers.plan_by_hand import make_plan
from writers.rover_plans import HOSTILE, blank, demo, hostile

from siting.writers.points.geojson import SHAPE_KINDS
from siting.writers.points.gpx import NAMESPACE, gpx

N = f"{{{NAMESPACE}}}"
# The schema's order of what a waypoint, the metadata and a track may hold.
ORDER = {
    "wpt": ["ele", "time", "magvar", "geoidheight", "name", "cmt", "desc", "src", "link", "sym", "type", "fix", "sat", "hdop", "vdop", "pdop", "extensions"],
    "metadata": ["name", "desc", "author", "copyright", "link", "time", "keywords", "bounds", "extensions"],
    "trk": ["name", "cmt", "desc", "src", "link", "number", "type", "extensions", "trkseg"],
}


def read(tmp_path, data: bytes, layer: str):
    path = tmp_path / "stakes.gpx"
    path.write_bytes(data)
    return pyogrio.read_dataframe(path, layer=layer)


@pytest.mark.parametrize("make", [make_plan, demo, lambda: demo(given=True)], ids=["by hand", "demo", "with control"])
def test_waypoints_come_back(tmp_path, make):
    plan = make()
    table = read(tmp_path, gpx(plan), "waypoints")
    points = (*plan.stakes, *plan.control)
    assert len(table) == len(points) >= 10
    assert table.crs.to_epsg() == 4326
    for row, point in zip(table.itertuples(), points, strict=True):
        assert (row.name, row.type) == (point.point, point.role)
        assert row.geometry.x == pytest.approx(point.lon, abs=1e-9)
        assert row.geometry.y == pytest.approx(point.lat, abs=1e-9)
        assert point.code in row.desc and plan.provenance.run_id in row.desc
        assert f"E {point.easting:.3f} N {point.northing:.3f}" in row.desc
        if point.height_m is not None:
            assert row.ele == pytest.approx(point.height_m, abs=5e-4)
    assert set(table["sym"].dropna()) == set()


def test_lines_and_zones_are_tracks(tmp_path):
    plan = demo()
    drawn = [s for s in plan.shapes if s.kind in SHAPE_KINDS]
    table = read(tmp_path, gpx(plan), "tracks")
    assert list(table["name"]) == [s.label for s in drawn]
    for row, shape in zip(table.itertuples(), drawn, strict=True):
        (line,) = row.geometry.geoms
        assert len(line.coords) == len(shape.rings[0])
        assert line.coords[-1] == pytest.approx(shape.rings[0][-1], abs=1e-9)
        assert plan.provenance.run_id in row.desc


def test_order_of_elements_is_the_schemas():
    root = etree.fromstring(gpx(demo(given=True)))
    assert (root.tag, root.get("version")) == (N + "gpx", "1.1")
    tags = [child.tag.removeprefix(N) for child in root]
    assert tags == sorted(tags, key=["metadata", "wpt", "rte", "trk"].index)
    for tag, order in ORDER.items():
        found = root.findall(N + tag)
        assert found
        for element in found:
            inner = [child.tag.removeprefix(N) for child in element]
            assert inner == sorted(inner, key=order.index)


def test_the_metadata_say_what_the_coordinates_are():
    plan = demo()
    text = etree.fromstring(gpx(plan)).findtext(f"{N}metadata/{N}desc")
    for words in ("WGS 84", "EPSG:32612", plan.terrain.vertical_datum, "Epoch of the coordinates: not stated",
                  plan.provenance.run_id, "not scaled to ground", plan.headline.rstrip("."), "the DEM's"):  # fmt: skip
        assert words in text


def test_elevations_are_left_out_where_the_user_wants_none():
    root = etree.fromstring(gpx(blank()))
    assert root.findall(f".//{N}ele") == []
    assert "left out" in root.findtext(f"{N}metadata/{N}desc")
    assert len(etree.fromstring(gpx(make_plan())).findall(f".//{N}ele")) == len(make_plan().stakes)


def test_hostile_names_survive(tmp_path):
    plan = replace(hostile(), name=HOSTILE + "\x00\x1b\ufffe")
    data = gpx(plan)
    assert etree.fromstring(data).findtext(f"{N}metadata/{N}name") == HOSTILE
    assert HOSTILE in read(tmp_path, data, "waypoints")["cmt"].iloc[1]


def test_longitudes_stay_inside_the_format_at_the_antimeridian():
    plan = make_plan()
    shapes = tuple(replace(s, rings=(((180.0005, 10.0), (180.0, 10.1), (-180.5, 10.0)),)) for s in plan.shapes)
    root = etree.fromstring(gpx(replace(plan, shapes=shapes)))
    found = {float(e.get("lon")) for e in root.iter(N + "trkpt")}
    assert found == {-179.9995, -180.0, 179.5}


def test_bytes_repeat():
    assert gpx(demo()) == gpx(demo())
    assert gpx(hostile()) == gpx(hostile())
