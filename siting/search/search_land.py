"""The land of a whole search, read once: parcels, obstacles, the layers of rules, the area; and what of it lies near a tile."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import shapely

from siting.checks.land import reach_deg
from siting.checks.setbacks import reach_of_rules
from siting.errors import InputError
from siting.geodesy.dem_frame import DemFrame
from siting.geodesy.frames import Frame, wkt_crs
from siting.geodesy.links import link_at
from siting.inputs import layers
from siting.inputs.rule_layers import read_rule_layer
from siting.layout.footprint import GroundFeature, features_on_ground, layer_frame
from siting.planning.land import obstacle_reach_m, parcel_reach_m
from siting.records.ground import DemHeader
from siting.records.land import Layer
from siting.records.search import SearchGrid, SearchJob
from siting.records.site import LandSource
from siting.search.area import area_shape

# Places along each side of a window whose longitudes and latitudes bound it.
ALONG = 9
# Windows are read so much wider than asked for: their sides bend, and what is left out by a hair must be out of reach.
WIDER = 1.02


@dataclass(frozen=True, slots=True)
class GivenLayer:
    """A layer as it was read, the box of each feature in WGS 84 degrees (n, 4), and how far from a base it counts (metres)."""

    layer: Layer
    boxes_deg: np.ndarray
    reach_m: float

    def on_ground(self, frame: Frame, box_deg: tuple[float, ...] | None, also: np.ndarray | None = None) -> tuple[GroundFeature, ...]:
        """The features in a frame's ground metres: all, or those of a box and those of `also` (n,) bool."""
        features = self.layer.features
        if box_deg is not None:
            west, south, east, north = self.boxes_deg.T
            near = (west <= box_deg[2]) & (east >= box_deg[0]) & (south <= box_deg[3]) & (north >= box_deg[1])
            near = near if also is None else near | also
            features = tuple(features[i] for i in np.flatnonzero(near))
        lon, lat = (float(v) for v in frame.lonlat(np.array(0.0), np.array(0.0)))
        return features_on_ground(replace(self.layer, features=features), layer_frame(self.layer, frame, lat, lon))


@dataclass(frozen=True, slots=True)
class SearchLand:
    """What is known of the land of a search; None where a layer was not given. Every part can be pickled.

    `parcels.layer.own` is empty where the file names no own parcels: then every parcel is its own land.
    """

    parcels: GivenLayer | None
    obstacles: GivenLayer | None
    rule_layers: dict[str, GivenLayer]
    area: Any  # WGS 84 degrees; None: the whole DEM

    @property
    def is_empty(self) -> bool:
        """True where no layer was given, so that only heights and the area are asked."""
        return self.parcels is None and self.obstacles is None and not self.rule_layers


def read_search_land(job: SearchJob, header: DemHeader, frame: DemFrame, grid: SearchGrid) -> SearchLand:
    """The layers of a search around the window of cells that is searched.

    Raises:
        InputError: a layer cannot be read or used, or no parcel lies where the search looks.
        FrameError: its coordinate system cannot be reached.
    """
    site, source = job.site, job.site.land
    reach = reach_of_rules(site.rules.sets, site.mast)
    window = _Window.of(frame, grid)
    parcels = obstacles = None
    if source.parcels is not None:
        parcels = _parcels(source, window, parcel_reach_m(site, reach.parcels_m), header)
    if source.obstacles is not None:
        reach_m = obstacle_reach_m(site.mast, reach.obstacles_m)
        obstacles = _given(layers.read_obstacles(source, *window.around(reach_m)), window, reach_m)
    found = {}
    for layer in site.rules.layers:
        if layer.name in reach.layers_m:
            reach_m = reach.layers_m[layer.name]
            found[layer.name] = _given(read_rule_layer(layer, *window.around(reach_m)), window, reach_m)
    return SearchLand(parcels, obstacles, found, area_shape(job) if job.options.area is not None else None)


@dataclass(frozen=True, slots=True)
class _Window:
    """The searched cells in WGS 84 degrees."""

    box_deg: tuple[float, float, float, float]  # west, south, east, north

    @classmethod
    def of(cls, frame: DemFrame, grid: SearchGrid) -> _Window:
        cols = grid.col0 + np.linspace(0.0, grid.cols, ALONG)
        rows = grid.row0 + np.linspace(0.0, grid.rows, ALONG)
        lon, lat = frame.lonlat(*np.meshgrid(cols, rows))
        known = np.isfinite(lon) & np.isfinite(lat)
        return cls(box_of(lon[known], lat[known]))

    @property
    def middle(self) -> tuple[float, float]:
        west, south, east, north = self.box_deg
        return (west + east) / 2.0, (south + north) / 2.0

    def around(self, reach_m: float) -> tuple[float, float, tuple[float, float]]:
        """Longitude, latitude and half widths (degrees) of the window widened on every side, as readers take it."""
        west, south, east, north = wider(self.box_deg, reach_m)
        return (west + east) / 2.0, (south + north) / 2.0, ((east - west) / 2.0, (north - south) / 2.0)


def box_of(lon_deg: np.ndarray, lat_deg: np.ndarray) -> tuple[float, float, float, float]:
    """West, south, east and north of points, degrees."""
    return float(lon_deg.min()), float(lat_deg.min()), float(lon_deg.max()), float(lat_deg.max())


def wider(box_deg: tuple[float, ...], reach_m: float) -> tuple[float, float, float, float]:
    """A box widened by a distance on every side, and a little more; degrees."""
    west, south, east, north = box_deg
    lon, lat = reach_deg(max(abs(south), abs(north)), WIDER * reach_m)
    bend = 0.01 * (north - south)
    return west - lon - bend, south - lat - bend, east + lon + bend, north + lat + bend


def _given(layer: Layer, window: _Window, reach_m: float) -> GivenLayer:
    """A layer with the boxes of its features."""
    if not layer.features:
        return GivenLayer(layer, np.empty((0, 4)), reach_m)
    lon, lat = window.middle
    link = link_at(wkt_crs(layer.crs_wkt), lat, lon, layer.shown_path)
    xy, feature = shapely.get_coordinates([f.geometry for f in layer.features], return_index=True)
    lon, lat = link.inverse(xy[:, 0], xy[:, 1])
    first = np.flatnonzero(np.r_[True, feature[1:] != feature[:-1]])
    sides = [reduce.reduceat(v, first) for reduce, v in ((np.minimum, lon), (np.minimum, lat), (np.maximum, lon), (np.maximum, lat))]
    return GivenLayer(layer, np.column_stack(sides), reach_m)


def _parcels(source: LandSource, window: _Window, reach_m: float, header: DemHeader) -> GivenLayer:
    """The parcels around the window; where the file names none of its own, `own` stays empty."""
    lon, lat, half_deg = window.around(reach_m)
    if source.own:
        return _given(layers.read_parcels(source, lon, lat, half_deg, source.owner_field), window, reach_m)
    path, shown = source.parcels, source.parcels_shown
    name = layers.layer_name(path, shown, source.parcels_layer, "[land] parcels_layer", wants_areas=True)
    fields, _, crs = layers.layer_info(path, shown, name)
    for field in (source.parcel_id_field, source.owner_field):
        if field is not None and field not in fields:
            raise InputError.of("layer_field", f"{shown}, field '{field}'", "is not in the file", f"its fields: {', '.join(fields)}")
    box = shapely.box(lon - half_deg[0], lat - half_deg[1], lon + half_deg[0], lat + half_deg[1])
    rows = layers.read_rows(path, shown, name, window=box)
    features = layers.parcels_of(rows, shown, (source.parcel_id_field, source.owner_field), [])
    if not features:
        raise InputError.of(
            "layer_empty", shown, f"holds no parcel where the search looks ({header.shown_path})",
            "give the parcels around the searched land, or leave [land] parcels out",
        )  # fmt: skip
    return _given(Layer(shown, crs, tuple(features), files=layers.layer_files(path, shown)), window, reach_m)
