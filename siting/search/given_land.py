"""What the area file names, to be drawn under the spots: the searched area, parcels and obstacles, so many at most."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from siting.geodesy.dem_frame import DemFrame
from siting.geodesy.frames import wkt_crs
from siting.geodesy.geodesic import principal_radii_m
from siting.geodesy.links import link_at
from siting.records.land import Feature
from siting.records.plan import Shape
from siting.records.search import GivenLand, SearchGrid, Spot
from siting.search.opening import SearchContext
from siting.search.search_land import GivenLayer
from siting.search.tile_work import opened

# So much is drawn at most, of each of the layers: a page then stays within some 3 MB, however large the county is.
MOST_THINGS, MOST_POINTS = 2000, 30_000
# Lines are drawn to within the first where they have few points, and rather left out than drawn to within more than the second;
# but what is one thing alone, as the area, is drawn however coarsely.
FINEST_M, COARSEST_M = 0.05, 0.5
TOGETHER_M = 0.001  # parts of one feature that touch are one
DECIMALS = 7  # of longitude and latitude: a centimetre
ALONG = 33  # places along each side of the grid: its sides bend on the ellipsoid
STEP_M = 250.0  # a straight side of a layer bends a little in another system


@dataclass(frozen=True, slots=True)
class _Plane:
    """Longitude and latitude as metres around a place: near enough to choose and to thin by, not to measure."""

    lon: float
    lat: float

    def put(self, geometry: Any) -> Any:
        """Geometries in degrees as metres east and north."""
        return shapely.transform(geometry, lambda lon, lat: (self._turned(lon) * self._size[0], (lat - self.lat) * self._size[1]), interleaved=False)

    def lonlat(self, geometry: Any) -> Any:
        """Geometries in metres as degrees again, longitudes in one piece around the place."""
        return shapely.transform(geometry, lambda x, y: (x / self._size[0] + self.lon, y / self._size[1] + self.lat), interleaved=False)

    def _turned(self, lon: np.ndarray) -> np.ndarray:
        """Degrees east of the place, within half a turn."""
        return lon - self.lon - 360.0 * np.round((lon - self.lon) / 360.0)

    @property
    def _size(self) -> tuple[float, float]:
        """Metres in a degree of longitude and of latitude."""
        meridian_m, prime_m = principal_radii_m(self.lat)
        return float(np.radians(prime_m) * np.cos(np.radians(self.lat))), float(np.radians(meridian_m))


def given_land(context: SearchContext, frame: DemFrame, spots: tuple[Spot, ...]) -> GivenLand:
    """The land to be drawn: what lies so near to the searched area that it counts for a base in it.

    Where there is more than a page can hold, the own parcels and what lies nearest to the spots is drawn, and a note says so.
    """
    land = opened(context).land
    outline = _grid_outline(frame, context.grid) if land.area is None else land.area
    lon, lat = shapely.get_coordinates(shapely.envelope(outline)).mean(axis=0)
    plane = _Plane(float(lon), float(lat))
    area = plane.put(outline)
    drawing = _Drawing(plane, area, _places(plane, spots, area))
    shapes, notes = drawing.area_shapes()
    for layer, words, own in ((land.parcels, "parcels", True), (land.obstacles, "obstacles", False)):
        if layer is not None:
            more, said = drawing.layer_shapes(layer, words, frozenset(layer.layer.own) if own else None)
            shapes, notes = shapes + more, notes + said
    return GivenLand(tuple(shapes), tuple(notes))


def _grouped(count: int) -> str:
    """A number of things in groups of three."""
    return f"{count:,}".replace(",", " ")


def _grid_outline(frame: DemFrame, grid: SearchGrid) -> Any:
    """The edge of the searched window of the DEM, degrees."""
    turn = np.linspace(0.0, 1.0, ALONG)[:-1]
    still = np.zeros(ALONG - 1)
    cols = np.concatenate([turn, still + 1.0, 1.0 - turn, still]) * grid.cols + grid.col0
    rows = np.concatenate([still, turn, still + 1.0, 1.0 - turn]) * grid.rows + grid.row0
    lon, lat = frame.lonlat(cols, rows)
    known = np.isfinite(lon) & np.isfinite(lat)
    return shapely.Polygon(np.column_stack([lon[known], lat[known]]))


def _places(plane: _Plane, spots: tuple[Spot, ...], area: Any) -> Any:
    """What is most worth drawing lies near these: the spots, or without one the area's middle."""
    if not spots:
        return shapely.centroid(area)
    return plane.put(shapely.multipoints([(spot.lon, spot.lat) for spot in spots]))


@dataclass(frozen=True, slots=True)
class _Drawing:
    """Draws layers in and around an area; everything in metres of the plane."""

    plane: _Plane
    area: Any
    places: Any

    def area_shapes(self) -> tuple[list[Shape], list[str]]:
        """The searched area's outline, and whether it is drawn less finely."""
        thinned, within_m = self._thinned(np.array([self.area]))
        shapes = self._shapes("area", "area", "searched area", thinned[0])
        return shapes, [f"The searched area's outline is drawn to within {within_m:.2g} m."] if within_m > FINEST_M else []

    def layer_shapes(self, layer: GivenLayer, words: str, own: frozenset[str] | None) -> tuple[list[Shape], list[str]]:
        """A layer's features near the area, and what was left out of them.

        Args:
            words: what they are, for the notes; own: ids of the own parcels, None of a layer of obstacles.
        """
        near = self._near(layer)
        features = [layer.layer.features[i] for i in near]
        is_own = np.array([own is not None and f.id in own for f in features], dtype=bool)
        chosen = self._nearest(layer.boxes_deg[near], is_own)[:MOST_THINGS]
        features, is_own = [features[i] for i in chosen], is_own[chosen]
        drawn = self._clipped(self._put(layer, features), layer.reach_m)
        drawn, within_m = self._thinned(drawn)
        fits = int(np.searchsorted(np.cumsum(shapely.get_num_coordinates(drawn)), MOST_POINTS, side="right"))
        shapes = [shape for i in range(fits) for shape in self._feature_shapes(features[i], own is not None, bool(is_own[i]), drawn[i])]
        notes = []
        if min(fits, chosen.size) < near.size:
            first = "the own ones and " if own else ""
            notes.append(f"The map draws {_grouped(fits)} of the {_grouped(near.size)} {words} near the searched area: {first}those nearest to the spots.")
        if within_m > FINEST_M:
            notes.append(f"Outlines of {words} are drawn to within {within_m:.2g} m.")
        return shapes, notes

    def _near(self, layer: GivenLayer) -> np.ndarray:
        """Numbers of the features whose boxes lie so near to the area that they count for a base in it."""
        if not layer.layer.features:
            return np.zeros(0, dtype=np.int64)
        shapely.prepare(self.area)
        return np.flatnonzero(shapely.dwithin(self._boxes(layer.boxes_deg), self.area, layer.reach_m))

    def _nearest(self, boxes_deg: np.ndarray, is_own: np.ndarray) -> np.ndarray:
        """The order in which features are worth drawing: the own ones, then by the distance to the nearest place."""
        if not boxes_deg.size:
            return np.zeros(0, dtype=np.int64)
        return np.lexsort((np.round(shapely.distance(self._boxes(boxes_deg), self.places), 3), ~is_own))

    def _boxes(self, boxes_deg: np.ndarray) -> np.ndarray:
        return self.plane.put(shapely.box(*boxes_deg.T))

    def _put(self, layer: GivenLayer, features: list[Feature]) -> np.ndarray:
        """Features out of their layer's own system, in metres of the plane."""
        link = link_at(wkt_crs(layer.layer.crs_wkt), self.plane.lat, self.plane.lon, layer.layer.shown_path)
        size = 1e5 if link.crs.is_geographic else link.crs.axis_info[0].unit_conversion_factor
        geometries = shapely.segmentize(np.array([f.geometry for f in features], dtype=object), STEP_M / size)
        found = self.plane.put(shapely.transform(shapely.force_2d(geometries), link.inverse, interleaved=False))
        for i in np.flatnonzero(shapely.get_type_id(found) == shapely.GeometryType.MULTIPOLYGON):
            found[i] = shapely.union_all(shapely.get_parts(found[i]), grid_size=TOGETHER_M)  # a file may cut it at 180 degrees
        return found

    def _clipped(self, geometries: np.ndarray, reach_m: float) -> np.ndarray:
        """What of them lies in a box around the area; an area that reaches out of it becomes its outline in the box.

        Cut as an area, it would be drawn with a line where the box ends, which is nobody's boundary.
        """
        west, south, east, north = shapely.bounds(self.area)
        window = (west - reach_m, south - reach_m, east + reach_m, north + reach_m)
        out = geometries.copy()
        for i in np.flatnonzero(~shapely.within(geometries, shapely.box(*window))):
            lines = shapely.boundary(geometries[i]) if geometries[i].geom_type in ("Polygon", "MultiPolygon") else geometries[i]
            out[i] = shapely.clip_by_rect(lines, *window)
        return out

    def _thinned(self, geometries: np.ndarray) -> tuple[np.ndarray, float]:
        """The geometries with so few points that they can be drawn, and within how many metres of the given ones they lie."""
        west, south, east, north = shapely.bounds(self.area)
        within_m, coarsest_m = FINEST_M, max(east - west, north - south) / 1000.0
        while True:
            thinned = shapely.simplify(geometries, within_m)
            points = shapely.get_num_coordinates(thinned)
            are_many = points.sum() > MOST_POINTS and within_m < COARSEST_M
            is_one_too_many = points.max(initial=0) > MOST_POINTS / 2 and within_m < coarsest_m
            if not (are_many or is_one_too_many):
                return thinned, within_m
            within_m *= 2.0

    def _feature_shapes(self, feature: Feature, is_parcel: bool, is_own: bool, geometry: Any) -> list[Shape]:
        """A parcel or an obstacle as it is drawn and called."""
        if is_parcel:
            return self._shapes("own_land" if is_own else "parcel", feature.id, f"{'own land' if is_own else 'parcel'} {feature.id}", geometry)
        return self._shapes("obstacle", feature.id, f"{feature.kind.replace('_', ' ')}: {feature.name}", geometry)

    def _shapes(self, kind: str, name: str, label: str, geometry: Any) -> list[Shape]:
        """The parts of a geometry as shapes in degrees; a geometry that is empty gives none."""
        shapes = []
        for part in shapely.get_parts(shapely.get_parts(self.plane.lonlat(geometry))):
            if part.is_empty:
                continue
            is_area = part.geom_type == "Polygon"
            part = shapely.orient_polygons(part) if is_area else part
            rings = [part.exterior, *part.interiors] if is_area else [part]
            lines = tuple(tuple(map(tuple, np.round(shapely.get_coordinates(ring), DECIMALS).tolist())) for ring in rings)
            shapes.append(Shape(kind, name, label, "LineString" if part.geom_type == "LinearRing" else part.geom_type, lines))
        return shapes
