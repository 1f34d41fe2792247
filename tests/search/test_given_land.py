"""The land that is drawn under the spots: what lies near the area, not more than a page can hold, and it says so."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
import shapely
from pyproj import CRS, Transformer
from writers.search_results import made

from siting.records.land import Feature, Layer
from siting.records.search import SearchGrid
from siting.search import given_land as module
from siting.search.given_land import MOST_POINTS, MOST_THINGS, given_land
from siting.search.search_land import GivenLayer, SearchLand
from siting.writers.search.html import search_html
from siting.writers.search.overview import Overview

UTM = CRS("EPSG:32612")
E0, N0, REACH_M = 587_000.0, 5_209_000.0, 130.0
TO_LONLAT = Transformer.from_crs(UTM, "OGC:CRS84", always_xy=True)


class Frame:
    """A frame of a DEM of 1 m cells with its upper left corner at E0, N0."""

    def lonlat(self, col, row):
        return TO_LONLAT.transform(E0 + np.asarray(col), N0 - np.asarray(row))


def layer(geometries, ids=None, own=(), kind="parcel") -> GivenLayer:
    features = tuple(Feature(ids[k] if ids else f"P{k}", kind, f"thing {k}", g) for k, g in enumerate(geometries))
    lonlat = shapely.transform(np.array(geometries, dtype=object), TO_LONLAT.transform, interleaved=False)
    return GivenLayer(Layer("parcels.gpkg", UTM.to_wkt(), features, own=own), shapely.bounds(lonlat), REACH_M)


def drawn(monkeypatch, parcels=None, obstacles=None, area=None, size=2000, spots=()):
    land = SearchLand(parcels, obstacles, {}, None if area is None else shapely.transform(area, TO_LONLAT.transform, interleaved=False))
    monkeypatch.setattr(module, "opened", lambda context: SimpleNamespace(land=land))
    context = SimpleNamespace(grid=SearchGrid(0, 0, size, size, (1.0, 0.0, E0, 0.0, -1.0, N0), UTM.to_wkt()))
    return given_land(context, Frame(), spots)


def metres(shape):
    """Corners of a shape's first ring from the DEM's corner, metres east and south."""
    x, y = TO_LONLAT.transform(*np.array(shape.rings[0]).T, direction="INVERSE")
    return np.column_stack([x - E0, N0 - y])


def square(x, y, size):
    """x metres east, y metres south of the DEM's corner."""
    return shapely.box(E0 + x, N0 - y - size, E0 + x + size, N0 - y)


def test_what_is_near_the_area_is_drawn_where_it_lies(monkeypatch):
    area = shapely.Polygon([(E0 + 200, N0 - 200), (E0 + 900, N0 - 200), (E0 + 900, N0 - 400), (E0 + 400, N0 - 400), (E0 + 400, N0 - 900), (E0 + 200, N0 - 900)])
    parcels = layer([square(210, 210, 100), square(600, 460, 100), square(700, 700, 100), square(950, 250, 50)], ["a", "b", "corner", "d"], own=("a",))
    roads = layer([shapely.LineString([(E0 - 900, N0 - 150), (E0 + 2900, N0 - 150)]), shapely.Point(E0 + 300, N0 - 300)], kind="overhead_line")
    land = drawn(monkeypatch, parcels, roads, area)
    assert land.notes == ()
    shapes = {(s.kind, s.id): s for s in land.shapes}
    # "corner" lies in the area's box, but too far from the area itself
    assert set(shapes) == {("area", "area"), ("own_land", "a"), ("parcel", "b"), ("parcel", "d"), ("obstacle", "P0"), ("obstacle", "P1")}
    assert np.allclose(sorted(map(tuple, metres(shapes["own_land", "a"]).round(1)))[:1], [(210.0, 210.0)], atol=0.1)
    assert shapes["own_land", "a"].label == "own land a" and shapes["obstacle", "P0"].label == "overhead line: thing 0"
    line = metres(shapes["obstacle", "P0"])
    assert line[:, 0].min() == pytest.approx(200.0 - REACH_M, abs=30.0) and line[:, 0].max() == pytest.approx(900.0 + REACH_M, abs=30.0)
    assert shapes["obstacle", "P1"].geometry == "Point"
    assert np.allclose(metres(shapes["area", "area"])[:, 0].max(), 900.0, atol=0.1)


def test_without_an_area_the_edge_of_the_dem_is_drawn(monkeypatch):
    land = drawn(monkeypatch, size=500)
    assert [s.kind for s in land.shapes] == ["area"]
    corners = metres(land.shapes[0])
    assert np.allclose([corners.min(axis=0), corners.max(axis=0)], [[0, 0], [500, 500]], atol=0.1)


def test_a_parcel_that_reaches_out_has_no_line_where_it_is_cut(monkeypatch):
    land = drawn(monkeypatch, layer([square(-4000, -4000, 5000)], own=("P0",)), size=500)
    assert [(s.kind, s.geometry) for s in land.shapes] == [("area", "Polygon")]  # its own lines lie far outside
    land = drawn(monkeypatch, layer([square(-4000, -4000, 4300)]), size=500)
    lines = np.concatenate([metres(s) for s in land.shapes if s.kind == "parcel"])
    assert np.all(np.isclose(lines, 300.0, atol=0.2).any(axis=1))  # only its right and its lower side


def test_a_county_of_parcels_makes_no_large_page(monkeypatch):
    """100,000 parcels with wriggling sides around 30 km of ground, of which all lie near: few are drawn, the page stays small."""
    along, turn = 317, np.linspace(0.0, 2.0 * np.pi, 41)[:-1]
    x, y = np.meshgrid(np.arange(along) * 95.0, np.arange(along) * 95.0)
    radius = 44.0 + 3.0 * np.sin(7.0 * turn)
    rings = np.stack([E0 + x.ravel()[:, None] + radius * np.sin(turn), N0 - y.ravel()[:, None] + radius * np.cos(turn)], axis=-1)
    parcels = layer(shapely.polygons(rings)[:100_000], own=("P99000", "P3"))
    road = shapely.LineString(np.column_stack([E0 + np.arange(300_000) * 0.1, N0 - 15_000.0 + 40.0 * np.sin(np.arange(300_000) / 50.0)]))
    search = made()
    lon, lat = TO_LONLAT.transform(E0 + 20_000.0, N0 - 9_000.0)
    spots = tuple(replace(s, lon=lon + s.rank * 1e-4, lat=lat) for s in search.result.spots)
    land = drawn(monkeypatch, parcels, layer([road], kind="road"), size=30_000, spots=spots)
    shapes = [s for s in land.shapes if s.kind in ("own_land", "parcel")]
    assert [s.id for s in shapes if s.kind == "own_land"] == ["P3", "P99000"]
    assert 500 < len(shapes) <= MOST_THINGS
    assert sum(len(ring) for s in shapes for ring in s.rings) <= MOST_POINTS
    away = np.array([np.hypot(*(metres(s).mean(axis=0) - [20_000.0, 9_000.0])) for s in shapes if s.kind == "parcel"])
    assert away.max() < 3_500.0  # those around the spots
    assert sum(len(ring) for s in land.shapes for ring in s.rings if s.kind == "obstacle") > 100
    said = " ".join(land.notes)
    many = f"{len(shapes):,}".replace(",", " ")
    assert f"The map draws {many} of the 100 000 parcels near the searched area: the own ones and those nearest to the spots." in said
    assert "Outlines of" in said
    overview = Overview(search.result.grid)
    for tile in search.result.tiles:
        overview.add(tile, search.load(tile))
    page = search_html(replace(search.result, land=land), overview)
    print(f"{len(page) / 1e6:.2f} MB, {len(shapes)} parcels: {land.notes}")
    assert len(page) < 5e6


def test_a_layer_with_nothing_near_draws_nothing(monkeypatch):
    land = drawn(monkeypatch, layer([square(5000, 5000, 100)]), size=500)
    assert [s.kind for s in land.shapes] == ["area"] and land.notes == ()
