"""The fall zone and the layout on the land: own ground, neighbours and obstacles in ground metres from the base."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from siting.geodesy.frames import Frame, wkt_crs
from siting.geodesy.links import Link, link_at
from siting.records.land import Layer

# Gaps between own parcels that adjoin are drawing errors, not somebody's land, up to this width:
# common practice, no source. A gap is closed only where that takes away more than a metre of boundary.
GAP_CLOSED_M = 0.10
LEAST_BOUNDARY_SAVED_M = 1.0
CIRCLE_SIDES = 720


@dataclass(frozen=True, slots=True)
class GroundFeature:
    """A parcel or an obstacle in the plan's ground frame (metres from the base, grid east and north)."""

    id: str
    kind: str
    name: str
    geometry: Any
    distance_m: float
    nearest_xy_m: tuple[float, float]
    voltage_kv: float | None = None
    conductor_m: float | None = None  # lowest conductor above the ground
    owner: str = ""
    spans: Any = None  # a line with a known height, vertex by vertex as drawn; its Z, where it has one, in metres above datum


@dataclass(frozen=True, slots=True)
class OwnLand:
    """The applicant's parcels as one area; `boundary_m` is negative where the base lies outside it."""

    ids: tuple[str, ...]
    area: Any
    boundary_m: float
    nearest_xy_m: tuple[float, float]


@dataclass(frozen=True, slots=True)
class LayerFrame:
    """Brings a layer's coordinates into the ground frame."""

    link: Link
    frame: Frame

    def ground(self, geometry: Any) -> Any:
        """The geometry in ground metres from the base."""
        step = 0.001 if self.link.crs.is_geographic else 100.0 / self.link.crs.axis_info[0].unit_conversion_factor
        dense = shapely.segmentize(geometry, step)  # a straight side of the layer bends a little in another system
        return shapely.transform(dense, self._xy, interleaved=False)

    def vertices(self, geometry: Any) -> Any:
        """The geometry's own vertices in ground metres from the base, none added between them; Z as it is."""

        def moved(x: np.ndarray, y: np.ndarray, *z: np.ndarray) -> tuple[np.ndarray, ...]:
            return (*self._xy(x, y), *z)

        return shapely.transform(geometry, moved, include_z=bool(geometry.has_z), interleaved=False)

    def _xy(self, x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        return self.frame.ground_xy(*self.link.inverse(x, y))


def layer_frame(layer: Layer, frame: Frame, lat_deg: float, lon_deg: float) -> LayerFrame:
    """The way from a layer into the ground frame.

    Raises:
        FrameError: the layer's CRS cannot be reached from WGS 84.
    """
    return LayerFrame(link_at(wkt_crs(layer.crs_wkt), lat_deg, lon_deg, layer.shown_path), frame)


def features_on_ground(layer: Layer, into: LayerFrame) -> tuple[GroundFeature, ...]:
    """Every feature in the ground frame with its distance (metres) from the base."""
    base = shapely.Point(0.0, 0.0)
    found = []
    for feature in layer.features:
        geometry = into.ground(feature.geometry)
        if not geometry.is_valid:
            geometry = shapely.make_valid(geometry)
        tie = shapely.get_coordinates(shapely.shortest_line(base, geometry))[1]
        drawn = feature.spans
        if drawn is None and feature.conductor_m is not None and feature.geometry.geom_type in ("LineString", "MultiLineString"):
            drawn = feature.geometry
        found.append(
            GroundFeature(
                feature.id, feature.kind, feature.name, geometry, float(math.hypot(*tie)), (float(tie[0]), float(tie[1])),
                feature.voltage_kv, feature.conductor_m, feature.owner, None if drawn is None else into.vertices(drawn),
            )
        )  # fmt: skip
    return tuple(found)


def own_land(parcels: tuple[GroundFeature, ...], ids: tuple[str, ...]) -> tuple[OwnLand, tuple[str, ...]]:
    """The applicant's parcels dissolved, the base's distance (metres) to their outline, and notes."""
    mine = [p.geometry for p in parcels if p.id in ids]
    area = shapely.union_all(mine)
    notes: tuple[str, ...] = ()
    if len(mine) > 1:
        closed = area.buffer(GAP_CLOSED_M / 2, join_style="mitre").buffer(-GAP_CLOSED_M / 2, join_style="mitre")
        if area.length - closed.length > LEAST_BOUNDARY_SAVED_M:
            area = closed
            notes = (f"Own parcels adjoin with gaps of up to {GAP_CLOSED_M * 100:.0f} cm: taken as one piece of land.",)
    base = shapely.Point(0.0, 0.0)
    tie = shapely.get_coordinates(shapely.shortest_line(base, area.boundary))[1]
    distance_m = float(math.hypot(*tie))
    inside = area.covers(base)
    return OwnLand(ids, area, distance_m if inside else -distance_m, (float(tie[0]), float(tie[1]))), notes


def circle(radius_m: float) -> Any:
    """A polygon with the area of the circle of this radius around the base (metres)."""
    turn = 2.0 * math.pi / CIRCLE_SIDES
    reach_m = radius_m * math.sqrt(turn / math.sin(turn))
    angles = np.arange(CIRCLE_SIDES) * turn
    return shapely.Polygon(np.column_stack([reach_m * np.sin(angles), reach_m * np.cos(angles)]))


def anchor_points_xy_m(frame: Frame, azimuths_true_deg: np.ndarray, radii_m: np.ndarray) -> np.ndarray:
    """Anchors in the ground frame: (..., 2) metres, from true azimuths and ground radii."""
    grid = np.radians(azimuths_true_deg - frame.convergence_deg)
    radius = np.broadcast_to(radii_m, grid.shape)
    return np.stack([radius * np.sin(grid), radius * np.cos(grid)], axis=-1)


def boundary_distances_m(area: Any, points_xy_m: np.ndarray) -> np.ndarray:
    """Signed distance (metres) of points to an area's outline, positive inside; any leading shape."""
    flat = points_xy_m.reshape(-1, 2)
    lines = shapely.get_parts(area.boundary)
    starts = [shapely.get_coordinates(line) for line in lines]
    segments = shapely.linestrings(np.concatenate([np.stack([c[:-1], c[1:]], axis=1) for c in starts]))
    tree = shapely.STRtree(segments)
    _, distance = tree.query_nearest(shapely.points(flat), return_distance=True, all_matches=False)
    shapely.prepare(area)
    inside = shapely.intersects_xy(area, flat[:, 0], flat[:, 1])
    return np.where(inside, distance, -distance).reshape(points_xy_m.shape[:-1])


def guy_lines(points_xy_m: np.ndarray) -> np.ndarray:
    """Straight plan lines from the base to each point, an array of shapely lines of the leading shape."""
    return shapely.linestrings(np.stack([np.zeros_like(points_xy_m), points_xy_m], axis=-2))
