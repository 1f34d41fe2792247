"""The land of a plan: layers read, brought to the ground, checked, and put into the plan's words."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from siting.checks import land as checks
from siting.checks.columns import Column
from siting.geodesy.frames import Frame
from siting.geodesy.links import hidden_shift_words
from siting.layout.footprint import GroundFeature, LayerFrame, OwnLand, circle, features_on_ground, layer_frame, own_land
from siting.planning.ground import setback_m
from siting.records.mast import Mast
from siting.records.plan import BoundaryPoint, Land, ObstacleTouched, ParcelTouched
from siting.records.site import Site

# Obstacles are read within this many fall radii, and at least this far: beyond it nothing of the mast can reach.
OBSTACLE_REACH_FACTOR, OBSTACLE_REACH_LEAST_M = 3.0, 300.0
# Two lines closer than this are the same line when the neighbour across the nearest line is looked for.
TOUCH_M = 0.5


@dataclass(frozen=True, slots=True)
class LandOnGround:
    """Parcels and obstacles in the ground frame; `own` is None where no parcels were given."""

    own: OwnLand | None
    parcels: tuple[GroundFeature, ...]  # neighbours
    obstacles: tuple[GroundFeature, ...]
    obstacle_kinds: tuple[str, ...]
    files: tuple
    notes: tuple[str, ...]
    warnings: tuple[str, ...]


def read_land(site: Site, frame: Frame) -> LandOnGround:
    """The land layers of a site around its base.

    Raises:
        InputError: a layer cannot be read or used.
        FrameError: its coordinate system cannot be reached.
    """
    lat, lon, source, mast = site.base.lat, site.base.lon, site.land, site.mast
    own, parcels, obstacles = None, (), ()
    kinds: tuple[str, ...] = ()
    files, notes, warnings = [], [], []
    if source.parcels is not None:
        from siting.inputs.layers import read_parcels

        reach_m = max(mast.reach_m, setback_m(site), mast.total_height_m) * 1.5 + source.boundary_error_m
        layer = read_parcels(source, lon, lat, checks.reach_deg(lat, reach_m))
        into = layer_frame(layer, frame, lat, lon)
        on_ground = features_on_ground(layer, into)
        own, gap_notes = own_land(on_ground, layer.own)
        parcels = tuple(p for p in on_ground if p.id not in layer.own)
        files += layer.files
        notes += [*layer.notes, *gap_notes, *_transformation_note(layer.shown_path, into)]
        warnings += _transformation_warning(layer.shown_path, into)
        notes += _overlap_notes(own, parcels)
    if source.obstacles is not None:
        from siting.inputs.layers import read_obstacles

        reach_m = max(OBSTACLE_REACH_FACTOR * mast.total_height_m, OBSTACLE_REACH_LEAST_M, 1.2 * mast.reach_m)
        layer = read_obstacles(source, lon, lat, checks.reach_deg(lat, reach_m))
        into = layer_frame(layer, frame, lat, lon)
        obstacles, kinds = features_on_ground(layer, into), layer.kinds
        files += layer.files
        notes += [*layer.notes, *_transformation_note(layer.shown_path, into)]
        warnings += _transformation_warning(layer.shown_path, into)
    return LandOnGround(own, parcels, obstacles, kinds, tuple(files), tuple(dict.fromkeys(notes)), tuple(warnings))


def columns_by_azimuth(land: LandOnGround, site: Site, frame: Frame, anchor_azimuths_deg: np.ndarray) -> list[Column]:
    """The checks of the land that depend on where the anchors stand, for every azimuth."""
    columns: list[Column] = []
    if land.own is not None:
        columns += checks.own_land_columns(land.own, site.mast, frame, anchor_azimuths_deg, site.land.boundary_error_m)
    if land.obstacles:
        columns += checks.layout_clear_columns(land.obstacles, site.mast, frame, anchor_azimuths_deg)
    return columns


def columns_of_base(land: LandOnGround, site: Site, frame: Frame) -> list[Column]:
    """The checks of the land that only the base decides."""
    columns: list[Column] = []
    if land.own is not None:
        bearing = frame.true_bearing_deg(*land.own.nearest_xy_m)
        columns += checks.setback_columns(land.own, site.mast, site.land, bearing)
    columns += checks.obstacle_columns(land.obstacles, site.mast, frame)
    return columns


def land_facts(land: LandOnGround, site: Site, frame: Frame) -> Land:
    """Fall zone and setback in the plan's words."""
    mast, own = site.mast, land.own
    point = neighbour = bearing = None
    if own is not None:
        bearing = frame.true_bearing_deg(*own.nearest_xy_m)
        point, neighbour = _boundary_point(own, frame), _neighbour_at(own, land.parcels)
    return Land(
        fall_radius_m=mast.total_height_m,
        setback_m=setback_m(site),
        setback_factor=site.land.setback_factor.value,
        anchor_circle_m=mast.anchor_circle_m,
        own=own.ids if own else (),
        nearest_boundary_m=own.boundary_m if own else None,
        nearest_boundary_bearing_deg=bearing,
        nearest_boundary_point=point,
        nearest_neighbour=neighbour or "",
        boundary_error_m=site.land.boundary_error_m,
        parcels_touched=_touched(land.parcels, mast, frame),
        obstacles_touched=tuple(
            ObstacleTouched(o.kind, o.distance_m, frame.true_bearing_deg(*o.nearest_xy_m), o.name)
            for o in sorted(land.obstacles, key=lambda o: o.distance_m)
            if o.distance_m <= mast.total_height_m
        ),
    )


def _touched(parcels: tuple[GroundFeature, ...], mast: Mast, frame: Frame) -> tuple[ParcelTouched, ...]:
    """Neighbours inside the fall circle, with the ground area (m2) of each that lies in it."""
    zone = circle(mast.total_height_m)
    by_id: dict[str, tuple[float, GroundFeature]] = {}
    for parcel in sorted(parcels, key=lambda p: p.distance_m):
        if parcel.distance_m < mast.total_height_m:
            area = float(shapely.area(shapely.intersection(parcel.geometry, zone)))
            known = by_id.get(parcel.id)
            by_id[parcel.id] = (area + (known[0] if known else 0.0), known[1] if known else parcel)
    return tuple(
        ParcelTouched(name, area, p.distance_m, frame.true_bearing_deg(*p.nearest_xy_m))
        for name, (area, p) in by_id.items()
        if area > 0
    )


def _boundary_point(own: OwnLand, frame: Frame) -> BoundaryPoint:
    lon, lat = (float(v) for v in frame.lonlat(*(np.array(v) for v in own.nearest_xy_m)))
    grid = frame.combined_factor / frame.unit_m
    return BoundaryPoint(
        lat, lon, frame.easting + own.nearest_xy_m[0] * grid, frame.northing + own.nearest_xy_m[1] * grid
    )


def _neighbour_at(own: OwnLand, parcels: tuple[GroundFeature, ...]) -> str:
    """Id of the parcel across the nearest line, empty where none is drawn there."""
    point = shapely.Point(own.nearest_xy_m)
    near = [(p.geometry.distance(point), p.id) for p in parcels]
    return min(near)[1] if near and min(near)[0] <= TOUCH_M else ""


def _overlap_notes(own: OwnLand, parcels: tuple[GroundFeature, ...]) -> list[str]:
    """Neighbours drawn over the own land: the record should say whose it is."""
    notes = []
    for parcel in parcels:
        over = float(shapely.area(shapely.intersection(parcel.geometry, own.area)))
        if over > 1.0:
            notes.append(f"Parcel {parcel.id} is drawn over {over:.0f} m² of the own land: check the record.")
    return notes


def _transformation_note(shown: str, into: LayerFrame) -> list[str]:
    link = into.link
    if link.is_ballpark or link.is_null_shift or link.accuracy_m == 0:
        return []
    size = "of unknown accuracy" if link.accuracy_m is None else f"good to about {link.accuracy_m:g} m"
    return [f"{shown}: reached from WGS 84 by '{link.operation}', {size}."]


def _transformation_warning(shown: str, into: LayerFrame) -> list[str]:
    hidden = hidden_shift_words(into.link)
    return [f"{shown}: {hidden}."] if hidden else []
