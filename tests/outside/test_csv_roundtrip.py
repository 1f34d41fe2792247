"""stakes.csv read back by other libraries, and the five files of a packet against one another.

Sources: RFC 4180 for the form of the file; Python's csv module and geopandas as second readers; pyproj for the way
from latitude and longitude to eastings and northings. Lengths in metres; degrees of WGS 84.
"""

import csv
import hashlib
import io
import json
import re

import geopandas
import pandas
import pytest
from lxml import etree
from pyproj import Transformer

ONE_MM = 1e-3
HEADER = "point,northing,easting,elevation,code,lat,lon,description"
KML = "{http://www.opengis.net/kml/2.2}"


def test_the_form_is_the_plainest_that_a_rover_takes(packet):
    data = (packet.folder / "stakes.csv").read_bytes()
    text = data.decode("ascii")
    assert text.startswith(f"{HEADER}\r\n")
    assert text.endswith("\r\n")
    assert text.count("\n") == text.count("\r\n")
    assert not set(text) & set("\"'\t\x00")
    # No field holds a separator, so splitting at commas and reading by the rules of RFC 4180 agree.
    lines = text.removesuffix("\r\n").split("\r\n")
    assert [line.split(",") for line in lines] == list(csv.reader(io.StringIO(text, newline=""), strict=True))
    assert {line.count(",") for line in lines} == {7}


def test_point_names_are_short_and_unique(packet):
    names = [row["point"] for row in packet.csv_rows()]
    assert len(names) >= 12
    assert len({name.upper() for name in names}) == len(names)
    assert all(re.fullmatch(r"[A-Za-z0-9_\-]{1,8}", name) for name in names)


def test_each_row_is_the_plans_stake(packet):
    plan, rows = packet.json("plan.json"), packet.csv_rows()
    by_point = {row["point"]: row for row in rows}
    for stake in plan["stakes"]:
        row = by_point[stake["point"]]
        assert float(row["northing"]) == stake["northing"]
        assert float(row["easting"]) == stake["easting"]
        assert float(row["elevation"]) == stake["height_m"]
        assert (float(row["lat"]), float(row["lon"])) == (stake["lat"], stake["lon"])
        assert row["code"] == stake["code"]
    assert len(rows) == len(plan["stakes"]) + len(plan.get("control", []))


def test_latitude_and_longitude_give_the_eastings_and_northings(packet):
    to_grid = Transformer.from_crs("EPSG:4326", f"EPSG:{packet.json('plan.json')['crs']['epsg']}", always_xy=True)
    for row in packet.csv_rows():
        east, north = to_grid.transform(float(row["lon"]), float(row["lat"]))
        assert (float(row["easting"]), float(row["northing"])) == pytest.approx((east, north), abs=ONE_MM), row["point"]


def test_a_spreadsheet_library_reads_the_same_points(packet):
    table = pandas.read_csv(packet.folder / "stakes.csv")
    points = geopandas.GeoSeries(geopandas.points_from_xy(table["easting"], table["northing"]), crs=packet.plan.crs.epsg)
    second = geopandas.read_file(packet.folder / "stakes.geojson").to_crs(packet.plan.crs.epsg)
    second = second[second.geom_type == "Point"].set_index("point").loc[table["point"]]
    assert len(second) == len(table) >= 12
    assert points.distance(second.geometry.reset_index(drop=True)).max() <= ONE_MM * 2**0.5


def test_every_file_of_the_packet_carries_the_one_run_id(packet):
    run_id = packet.json("plan.json")["provenance"]["run_id"]
    assert re.fullmatch(r"[0-9a-f]{8,64}", run_id)
    files = sorted(path.name for path in packet.folder.iterdir())
    assert {"plan.json", "stakes.geojson", "stakes.kml", "stakes.csv", "map.html"} <= set(files)
    for name in files:
        assert run_id in (packet.folder / name).read_text(encoding="utf-8"), name
    collection = packet.json("stakes.geojson")
    assert {f["properties"]["run_id"] for f in collection["features"]} == {run_id} == {collection["run_id"]}
    assert all(row["description"].endswith(f"run {run_id}") for row in packet.csv_rows())
    kml = etree.parse(packet.folder / "stakes.kml")
    ids = [d.findtext(f"{KML}value") for d in kml.iter(f"{KML}Data") if d.get("name") == "run_id"]
    assert len(ids) >= 12
    assert set(ids) == {run_id}


def test_the_list_of_files_names_each_with_its_hash(packet):
    listed = packet.json("packet.json")["files"]
    assert {item["name"] for item in listed} == {p.name for p in packet.folder.iterdir()} - {"packet.json"}
    for item in listed:
        assert hashlib.sha256((packet.folder / item["name"]).read_bytes()).hexdigest() == item["sha256"], item["name"]


def test_every_file_gives_a_stake_the_same_latitude_and_longitude(packet):
    plan = {s["id"]: (s["lon"], s["lat"]) for s in packet.json("plan.json")["stakes"]}
    names = {s["point"]: s["id"] for s in packet.json("plan.json")["stakes"]}
    from_csv = {names[r["point"]]: (float(r["lon"]), float(r["lat"])) for r in packet.csv_rows() if r["point"] in names}
    features = packet.json("stakes.geojson")["features"]
    from_geojson = {f["id"]: tuple(f["geometry"]["coordinates"]) for f in features if f["id"] in plan}
    kml = etree.parse(packet.folder / "stakes.kml")
    from_kml = {
        p.findtext(f"{KML}name"): tuple(float(v) for v in p.findtext(f"{KML}Point/{KML}coordinates").split(","))
        for p in kml.findall(f".//{KML}Placemark[{KML}Point]")
        if p.findtext(f"{KML}name") in plan
    }
    assert from_csv == from_geojson == from_kml == plan
    assert from_map(packet) >= set(plan.values())


def from_map(packet):
    """The (lon, lat) of every point that map.html draws."""
    html = (packet.folder / "map.html").read_text(encoding="utf-8")
    found = re.findall(r'\{"coordinates": (\[[^\[\]]+\]), "type": "Point"\}', html)
    assert found
    return {tuple(json.loads(text)) for text in found}


def test_the_map_says_each_stakes_easting_and_northing(packet):
    html = (packet.folder / "map.html").read_text(encoding="utf-8")
    for stake in packet.json("plan.json")["stakes"]:
        for key in ("easting", "northing"):
            assert f"{stake[key]:.3f}" in html, (stake["id"], key)
