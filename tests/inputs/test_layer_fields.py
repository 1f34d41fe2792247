"""Voltage, conductor's height, owner and drawn heights as layers carry them; a wrong one is named in plain words."""

from __future__ import annotations

import json
import math

import geopandas
import pytest
import shapely
from strategies import LAT, LON

from siting.errors import InputError
from siting.inputs.layers import read_obstacles, read_parcels
from siting.records.site import LandSource

WINDOW = (0.01, 0.01)
LINE = [[LON - 0.002, LAT + 0.001], [LON + 0.002, LAT + 0.001]]


def obstacles(folder, *properties: dict, coordinates=LINE, name: str = "lines.geojson"):
    """The layer's features after writing these lines, each with its own properties, as GeoJSON by hand."""
    features = [
        {
            "type": "Feature",
            "properties": {"kind": "overhead_line"} | p,
            "geometry": {"type": "LineString", "coordinates": coordinates},
        }
        for p in properties
    ]
    (folder / name).write_text(json.dumps({"type": "FeatureCollection", "features": features}), encoding="utf-8")
    return read_obstacles(LandSource(obstacles=folder / name, obstacles_shown=name), LON, LAT, WINDOW)


def fault_lines(folder, *properties: dict) -> list[str]:
    with pytest.raises(InputError) as caught:
        obstacles(folder, *properties)
    return [fault.line() for fault in caught.value.faults]


def test_what_a_line_carries(tmp_path):
    full, bare = obstacles(
        tmp_path, {"name": "Supply", "voltage_kv": 25, "conductor_m": 7.5, "owner": " Grid  Co "}, {"voltage_kv": None}
    ).features
    assert (full.voltage_kv, full.conductor_m, full.owner, full.name) == (25.0, 7.5, "Grid Co", "Supply")
    assert (bare.voltage_kv, bare.conductor_m, bare.owner, bare.spans) == (None, None, "", None)
    assert bare.name == "overhead_line 2"  # and not the word for an empty field


def test_numbers_written_as_text_and_names_in_capitals_are_read(tmp_path):
    (found,) = obstacles(tmp_path, {"Voltage_kV": "25", "CONDUCTOR_M": "7.5"}).features
    assert (found.voltage_kv, found.conductor_m) == (25.0, 7.5)


@pytest.mark.parametrize(
    ("properties", "line"),
    [
        (
            {"name": "Supply", "voltage_kv": "25 kV"},
            "lines.geojson, Supply, voltage_kv: is '25 kV', which is no number. Give kilovolts as a plain number, like 25, "
            "or leave it empty where it is not known.",
        ),
        (
            {"name": "Supply", "voltage_kv": -25},
            "lines.geojson, Supply, voltage_kv: is -25, but must lie above 0 and be at most 1500. Give kilovolts as a plain "
            "number, like 25, or leave it empty where it is not known.",
        ),
        (
            {"name": "Supply", "voltage_kv": 25000.0},
            "lines.geojson, Supply, voltage_kv: is 25000.0, but must lie above 0 and be at most 1500. Give kilovolts as a plain "
            "number, like 25, or leave it empty where it is not known.",
        ),
        (
            {"conductor_m": 0.0},
            "lines.geojson, overhead_line 1, conductor_m: is 0.0, but must lie above 0 and be at most 200. Give the lowest "
            "conductor's height above the ground in metres, or leave it empty where it is not known.",
        ),
    ],
)  # fmt: skip
def test_a_wrong_value_is_named(tmp_path, properties, line):
    assert fault_lines(tmp_path, properties) == [line]


def test_all_wrong_values_are_named_at_once(tmp_path):
    lines = fault_lines(tmp_path, {"name": "a", "voltage_kv": "high"}, {"name": "b", "voltage_kv": "25 kV", "conductor_m": "8 m"})
    assert [line.split(":")[0] for line in lines] == [
        "lines.geojson, a, voltage_kv", "lines.geojson, b, voltage_kv", "lines.geojson, b, conductor_m"
    ]  # fmt: skip


def test_a_shapefile_cuts_the_name_and_it_is_still_known(tmp_path):
    import geopandas

    frame = geopandas.GeoDataFrame(
        {"kind": ["overhead_line"], "conductor_": [8.25], "voltage_kv": [11.0]},
        geometry=[shapely.LineString(LINE)],
        crs="EPSG:4326",
    )
    frame.to_file(tmp_path / "lines.shp")
    layer = read_obstacles(LandSource(obstacles=tmp_path / "lines.shp", obstacles_shown="lines.shp"), LON, LAT, WINDOW)
    assert (layer.features[0].conductor_m, layer.features[0].voltage_kv) == (8.25, 11.0)


def test_heights_drawn_into_a_line(tmp_path):
    (found,) = obstacles(tmp_path, {}, coordinates=[[*LINE[0], 510.0], [*LINE[1], 512.0]]).features
    assert shapely.get_coordinates(found.spans, include_z=True)[:, 2].tolist() == [510.0, 512.0]
    assert not found.geometry.has_z
    (flat,) = obstacles(tmp_path, {}, coordinates=[[*LINE[0], 0.0], [*LINE[1], 0.0]]).features
    assert flat.spans is None


def drawn_in(folder, crs: str, z: float):
    import geopandas

    frame = geopandas.GeoDataFrame({"kind": ["overhead_line"]}, geometry=[shapely.LineString(LINE)], crs="EPSG:4326").to_crs(crs)
    raised = [shapely.LineString([(x, y, z) for x, y in shapely.get_coordinates(g)]) for g in frame.geometry]
    frame.set_geometry(geopandas.GeoSeries(raised, crs=frame.crs)).to_file(folder / "lines.gpkg")
    return read_obstacles(LandSource(obstacles=folder / "lines.gpkg", obstacles_shown="lines.gpkg"), LON, LAT, WINDOW)


def test_heights_in_a_system_in_feet_without_a_height_unit_are_left_out_with_a_note(tmp_path):
    layer = drawn_in(tmp_path, "+proj=utm +zone=32 +datum=WGS84 +units=us-ft", 1680.0)
    assert layer.features[0].spans is None
    assert layer.notes == (
        "lines.gpkg, overhead_line 1: its layer does not say in which unit its heights are: they are left out.",
    )
    metric = drawn_in(tmp_path, "EPSG:32632", 512.0)
    assert math.isclose(shapely.get_coordinates(metric.features[0].spans, include_z=True)[0, 2], 512.0) and metric.notes == ()


def test_the_owner_of_a_parcel(tmp_path):
    import geopandas

    around = shapely.box(LON - 0.003, LAT - 0.003, LON + 0.003, LAT + 0.003)
    beside = shapely.box(LON + 0.003, LAT - 0.003, LON + 0.006, LAT + 0.003)
    frame = geopandas.GeoDataFrame({"pin": ["1", "2"], "holder": ["Aunt May", None]}, geometry=[around, beside], crs="EPSG:4326")
    frame.to_file(tmp_path / "p.gpkg")
    source = LandSource(parcels=tmp_path / "p.gpkg", parcels_shown="p.gpkg", parcel_id_field="pin")
    layer = read_parcels(source, LON, LAT, WINDOW, "holder")
    assert [(f.id, f.owner) for f in layer.features] == [("1", "Aunt May"), ("2", "")]
    assert [f.owner for f in read_parcels(source, LON, LAT, WINDOW).features] == ["", ""]
    with pytest.raises(InputError) as caught:
        read_parcels(source, LON, LAT, WINDOW, "holders")
    assert caught.value.faults[0].line() == "p.gpkg, field 'holders': is not in the file. Did you mean holder?"


@pytest.mark.parametrize("lon", [179.9999, -179.9999])
@pytest.mark.parametrize("crs", ["OGC:CRS84", "beyond 180", "EPSG:32660", "EPSG:32601"])
def test_what_lies_beyond_180_degrees_is_near_and_read_once(tmp_path, lon, crs):
    """A base beside the antimeridian: roads 40 m away on both sides of it, whatever the layer counts its longitudes in."""
    lons = [179.9993, 180.0006, 180.05]  # the third is 3 km away
    if crs == "OGC:CRS84":
        lons = [(v + 180.0) % 360.0 - 180.0 for v in lons]
    lines = [shapely.LineString([(v, 52.0), (v, 52.001)]) for v in lons]
    frame = geopandas.GeoDataFrame({"kind": ["road"] * 3, "name": ["west", "east", "far"]}, geometry=lines, crs="OGC:CRS84")
    (frame if crs in ("OGC:CRS84", "beyond 180") else frame.to_crs(crs)).to_file(tmp_path / "roads.gpkg")
    layer = read_obstacles(LandSource(obstacles=tmp_path / "roads.gpkg", obstacles_shown="roads.gpkg"), lon, 52.0, (0.004, 0.003))
    assert sorted(f.name for f in layer.features) == ["east", "west"]
