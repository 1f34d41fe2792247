"""Parcels and obstacles that cannot serve: the file, the field or the id is named with the nearest known one."""

from __future__ import annotations

import json

import pytest
import shapely
from strategies import box_en, ground_polygon, ground_ring, write_layer, write_site

PLAN = ["plan", "site.toml", "--out", "out"]
HEIGHT_M = 500.0
OWN = ground_polygon(box_en(-150, -150, 150, 150), HEIGHT_M)
EAST = ground_polygon(box_en(150, -150, 400, 150), HEIGHT_M)
FAR = ground_polygon(box_en(300, 300, 500, 500), HEIGHT_M)
LINE = shapely.LineString(ground_ring([(-200, 60), (200, 70)], HEIGHT_M))
LAND = {"parcels": "parcels.gpkg", "parcel_id_field": "pin", "own": ["12-004"]}


def parcels(geometries=(OWN, EAST), pins=("12-004", "12-005"), crs="EPSG:4326", file="parcels.gpkg", **land):
    """A maker of a parcel layer and of a site file that uses it; a key of [land] set to None is left out."""

    def make(folder):
        write_site(folder, land=LAND | {"parcels": file} | land)
        write_layer(folder / file, geometries, {"pin": list(pins)}, crs)

    return make


def two_layers(folder):
    write_site(folder, land=LAND)
    write_layer(folder / "parcels.gpkg", [OWN, EAST], {"pin": ["12-004", "12-005"]}, layer="2026")
    write_layer(folder / "parcels.gpkg", [OWN, EAST], {"pin": ["12-004", "12-005"]}, layer="2027", mode="a")


def layer_that_is_not_there(folder):
    two_layers(folder)
    write_site(folder, land=LAND | {"parcels_layer": "2028"})


def obstacles(fields=None, file="lines.geojson", geometries=(LINE,), crs="EPSG:4326", **land):
    """A maker of an obstacle layer."""

    def make(folder):
        write_site(folder, land={"obstacles": file} | land)
        write_layer(folder / file, geometries, fields or {"type": ["road"]}, crs)

    return make


def file_of(name: str, data: bytes, **land):
    """A maker of a layer file with these bytes."""

    def make(folder):
        write_site(folder, land=land)
        (folder / name).write_bytes(data)

    return make


def empty_geojson() -> bytes:
    return json.dumps({"type": "FeatureCollection", "features": []}).encode()


def no_prj(folder):
    parcels(file="parcels.shp")(folder)
    (folder / "parcels.prj").unlink()


def empty_gpkg(folder):
    write_site(folder, land=LAND)
    write_layer(folder / "parcels.gpkg", [], {"pin": []}, geometry_type="Polygon")


CASES = {
    "empty parcels": (
        empty_gpkg,
        ["parcels.gpkg: holds no parcel. Give the parcels around the base, or leave [land] parcels out."],
    ),
    "empty parcels as GeoJSON": (
        file_of("p.geojson", empty_geojson(), parcels="p.geojson"),
        ["p.geojson: holds no parcel. Give the parcels around the base, or leave [land] parcels out."],
    ),
    "parcels without CRS": (
        parcels(crs=None),
        [
            "parcels.gpkg: carries no coordinate system, so nobody knows where it lies. Add its .prj file, or export it again with its coordinate system."
        ],
    ),
    "shapefile without its .prj": (
        no_prj,
        [
            "parcels.shp: carries no coordinate system, so nobody knows where it lies. Add its .prj file, or export it again with its coordinate system."
        ],
    ),
    "parcels that are lines": (
        parcels([LINE], ["12-004"]),
        ["parcels.gpkg: holds LineString, but parcels are areas. Give polygons."],
    ),
    "parcels that are points": (
        parcels([OWN.centroid], ["12-004"]),
        ["parcels.gpkg: holds Point, but parcels are areas. Give polygons."],
    ),
    "a line among the parcels": (
        parcels([OWN, LINE], file="p.geojson"),
        ["p.geojson, parcel 12-005: is a LineString, but parcels are areas. Give polygons."],
    ),
    "own id not there": (parcels(own=["12-04"]), ["[land] own, '12-04': is no parcel of parcels.gpkg. Did you mean 12-004?"]),
    "own id not there and none near": (
        parcels(own=["zzz"]),
        ["[land] own, 'zzz': is no parcel of parcels.gpkg. Ids there look like 12-004, 12-005."],
    ),
    "one of two own ids not there": (
        parcels(own=["12-004", "12-006"]),
        ["[land] own, '12-006': is no parcel of parcels.gpkg. Did you mean 12-005?"],
    ),
    "own id of a number field not there": (
        parcels(pins=(4, 5), own=[6]),
        ["[land] own, '6': is no parcel of parcels.gpkg. Ids there look like 4, 5."],
    ),
    "id field not there": (parcels(parcel_id_field="pni"), ["parcels.gpkg, field 'pni': is not in the file. Did you mean pin?"]),
    "id field not there and none near": (
        parcels(parcel_id_field="owner"),
        ["parcels.gpkg, field 'owner': is not in the file. Its fields: pin."],
    ),
    "own without the field": (
        parcels(parcel_id_field=None),
        ["site.toml, [land] own: is given without the field that holds the ids. Add [land] parcel_id_field."],
    ),
    "no parcel holds the base": (
        parcels([FAR], ["12-009"], own=None),
        [
            "parcels.gpkg: no parcel holds the base 46.500000, 7.500000. Check the base, or name the applicant's parcels under [land] own."
        ],
    ),
    "no parcel holds the base, none near": (
        parcels([ground_polygon(box_en(9000, 0, 9100, 100), HEIGHT_M)], ["12-009"], own=None),
        [
            "parcels.gpkg: no parcel holds the base 46.500000, 7.500000. Check the base, or name the applicant's parcels under [land] own."
        ],
    ),
    "several layers": (
        two_layers,
        ["parcels.gpkg: holds 2 layers that may be meant. Name one under [land] parcels_layer: 2026, 2027."],
    ),
    "a layer that is not there": (layer_that_is_not_there, ["parcels.gpkg: has no layer '2028'. Its layers: 2026, 2027."]),
    "not a layer": (
        file_of("parcels.gpkg", b"not a GeoPackage", **LAND),
        ["parcels.gpkg: cannot be read as a map layer. Give a GeoPackage, Shapefile, GeoJSON or the like."],
    ),
    "obstacles without kind": (
        obstacles(),
        [
            "lines.geojson, field 'kind': is not in the file. Give each obstacle a kind: road, overhead_line, building, easement, water …"
        ],
    ),
    "obstacles without CRS": (
        obstacles({"kind": ["road"]}, file="lines.gpkg", crs=None),
        [
            "lines.gpkg: carries no coordinate system, so nobody knows where it lies. Add its .prj file, or export it again with its coordinate system."
        ],
    ),
    "obstacles that are no layer": (
        file_of("lines.geojson", b"{}", obstacles="lines.geojson"),
        ["lines.geojson: cannot be read as a map layer. Give a GeoPackage, Shapefile, GeoJSON or the like."],
    ),
    "obstacles missing": (
        lambda f: write_site(f, land={"obstacles": "lines/roads.gpkg"}),
        ["lines/roads.gpkg: no such file. Check [land] obstacles: it is relative to the site file."],
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_layer(name, assert_refused, site_folder):
    make, lines = CASES[name]
    make(site_folder)
    assert_refused(PLAN, *lines)
