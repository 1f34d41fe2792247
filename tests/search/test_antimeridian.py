"""A search across 180 degrees: its area, its spots, its GeoJSON and its map lie in one place, as they do anywhere else."""

from __future__ import annotations

import json
import re

import geopandas
import numpy as np
import pytest
import rasterio
import shapely
from pyproj import Geod, Transformer
from rasterio.transform import from_origin

from siting.inputs.area_file import read_area
from siting.search.run import search
from siting.search.tile_store import load_tile
from siting.writers.search.packet import write_search

LAT, CELLS, CELL_M = 52.0, 260, 2.0
AREA_M = 200.0  # half of the searched square
AREA = """name = "Across"
date = 2027-05-10
[dem]
path = "dem.tif"
vertical_unit = "m"
[mast]
use = "lattice-60"
[land]
parcels = "parcels.geojson"
parcel_id_field = "pin"
own = ["W"]
[search]
area = "area.geojson"
spots = 4
apart_m = 110.0
azimuth_step_deg = 15
"""
# The DEM's system, and its first longitude in it where it is in degrees.
SYSTEMS = {"zone 60": "EPSG:32660", "zone 1": "EPSG:32601", "degrees to 180 and on": "EPSG:4326", "degrees from -180 down": "EPSG:4326"}


def cut_at_180(ring):
    """A polygon as RFC 7946, section 3.1.9, wants it; longitudes of the ring go beyond 180."""
    whole = shapely.Polygon(ring)
    west = whole.intersection(shapely.box(170.0, -90.0, 180.0, 90.0))
    east = shapely.transform(whole.intersection(shapely.box(180.0, -90.0, 190.0, 90.0)), lambda xy: xy - [360.0, 0.0])
    return shapely.MultiPolygon([part for part in (west, east) if not part.is_empty])


def square(half_m, shift_m=0.0):
    """Corners around 180 degrees; longitudes go beyond it."""
    geod, corners = Geod(ellps="WGS84"), []
    for x, y in ((-half_m, -half_m), (half_m, -half_m), (half_m, half_m), (-half_m, half_m)):
        lon, lat, _ = geod.fwd(180.0, LAT, 90.0, x + shift_m)
        lon, lat, _ = geod.fwd(lon, lat, 0.0, y)
        corners.append(((lon + 360.0) % 360.0, lat))
    return corners


@pytest.fixture(params=SYSTEMS)
def found(request, tmp_path):
    """The result of a search and the folder of its files; a slope to the north, the own land all around."""
    epsg = SYSTEMS[request.param]
    row, col = np.mgrid[:CELLS, :CELLS]
    heights = 100.0 + 0.06 * CELL_M * (CELLS - row) + 0.5 * np.sin(col / 15.0)
    if epsg == "EPSG:4326":
        cell = CELL_M / 111_000.0
        lon = (180.0 if "to 180" in request.param else -180.0) - cell * 1.6 * CELLS / 2
        place = rasterio.Affine(cell * 1.6, 0.0, lon, 0.0, -cell, LAT + cell * CELLS / 2)
    else:
        x, y = Transformer.from_crs("EPSG:4326", epsg, always_xy=True).transform(180.0, LAT)
        place = from_origin(x - CELL_M * CELLS / 2, y + CELL_M * CELLS / 2, CELL_M, CELL_M)
    with rasterio.open(tmp_path / "dem.tif", "w", driver="GTiff", width=CELLS, height=CELLS, count=1, dtype="float64", crs=epsg, transform=place) as raster:
        raster.write(heights, 1)
    geopandas.GeoDataFrame({"a": [1]}, geometry=[cut_at_180(square(AREA_M))], crs="OGC:CRS84").to_file(tmp_path / "area.geojson")
    parcels = [cut_at_180(square(280.0)), cut_at_180(square(100.0, 380.0))]
    geopandas.GeoDataFrame({"pin": ["W", "E"]}, geometry=parcels, crs="OGC:CRS84").to_file(tmp_path / "parcels.geojson")
    (tmp_path / "area.toml").write_text(AREA, encoding="utf-8")
    job, out = read_area(tmp_path / "area.toml"), tmp_path / "out"
    result = search(job, out, workers=1)
    write_search(result, lambda tile: load_tile(result.folder, tile), {}, out, "out")
    return result, out


def test_everything_lies_in_one_place(found):
    result, out = found
    cells = dict(result.shares.cells)
    whole = sum(count for name, count in cells.items() if name != "outside the area")
    assert whole * result.cell_m[0] * result.cell_m[1] == pytest.approx((2 * AREA_M) ** 2, rel=0.02)
    assert [s.verdict for s in result.spots] == ["pass"] * 4
    sides = {spot.lon > 0.0 for spot in result.spots}
    assert sides == {True, False}  # spots on both sides of 180 degrees
    geod = Geod(ellps="WGS84")
    for spot in result.spots:
        assert -180.0 <= spot.lon <= 180.0
        assert geod.inv(180.0, LAT, spot.lon, spot.lat)[2] < AREA_M * 1.5

    features = json.loads((out / "spots.geojson").read_text(encoding="utf-8"))["features"]
    assert [f["geometry"]["type"] for f in features] == ["Point"] * 4  # no geometry that could cross
    assert [f["geometry"]["coordinates"] for f in features] == [[s.lon, s.lat] for s in result.spots]

    page = (out / "search.html").read_text(encoding="utf-8")
    (south, west), (north, east) = json.loads(re.search(r'"bounds":(\[\[[^\]]*\],\[[^\]]*\]\])', page)[1])
    assert 0.0 < east - west < 0.01 and 0.0 < north - south < 0.006
    layers = json_layers(page)
    assert set(layers) == {"parcels", "area", "spots"}
    for at in layers["spots"] + layers["area"]:
        assert west <= at[0] <= east and south <= at[1] <= north
    assert max(abs(at[0] - (west + east) / 2) for at in layers["parcels"]) < 0.015
    assert len(layers["spots"]) == 4


def test_a_parcel_cut_at_180_degrees_is_drawn_in_one_piece(found):
    result, _ = found
    drawn = [s for s in result.land.shapes if s.id == "W"]
    assert [s.geometry for s in drawn] == ["Polygon"] and len(drawn[0].rings) == 1
    lons = [lon for lon, _ in drawn[0].rings[0]]
    assert 560.0 / 69_000.0 < max(lons) - min(lons) < 560.0 / 68_000.0
    assert {s.kind for s in result.land.shapes} == {"own_land", "parcel", "area"}


def json_layers(page: str) -> dict[str, list]:
    """Every coordinate of each layer of the page."""
    found = {}
    for match in re.finditer(r'layers\["(\w+)"\] = listed\["[^"]*"\] = L\.geoJson\(', page):
        features = json.JSONDecoder().raw_decode(page, match.end())[0]["features"]
        found[match[1]] = np.concatenate([np.array(flat(f["geometry"]["coordinates"])).reshape(-1, 2) for f in features]).tolist()
    return found


def flat(item) -> list[float]:
    return [item] if isinstance(item, float) else [number for inner in item for number in flat(inner)]
