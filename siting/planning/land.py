"""The land of a plan: layers read, brought to the ground, checked, and put into the plan's words."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from siting.checks import land as checks
from siting.checks.columns import Column
from siting.checks.permit_dates import permit_dates
from siting.checks.power_lines import PowerLines, power_lines
from siting.checks.rule_targets import LayerOnGround, RuleLand
from siting.checks.setbacks import reach_of_rules
from siting.geodesy.frames import Frame
from siting.geodesy.links import hidden_shift_words
from siting.layout.footprint import GroundFeature, LayerFrame, OwnLand, circle, features_on_ground, layer_frame, own_land
from siting.layout.lift_zones import LiftZoneSettings
from siting.layout.reach import Stance, heights_around
from siting.layout.reach_zones import ReachLand, farthest_zone_m, reach_zones
from siting.planning.ground import Ground, setback_m
from siting.records.mast import Mast
from siting.records.plan import BoundaryPoint, Land, ObstacleTouched, ParcelTouched
from siting.records.reach import ReachZone
from siting.records.rules import RuleFinding
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
    own_parcels: tuple[GroundFeature, ...]
    obstacles: tuple[GroundFeature, ...]
    obstacle_kinds: tuple[str, ...]
    rules: RuleLand
    files: tuple
    notes: tuple[str, ...]
    warnings: tuple[str, ...]

    @property
    def counted(self) -> tuple[GroundFeature, ...]:
        """The obstacles as far as they are known all around: a circle about the base, not the corners of the window that was read."""
        read = self.rules.obstacles
        return () if read is None else tuple(o for o in self.obstacles if o.distance_m < read.reach_m)


def parcel_reach_m(site: Site, rules_m: float) -> float:
    """How far around the base neighbours are read, metres; `rules_m` is what rules ask for (checks.setbacks.reach_of_rules)."""
    mast = site.mast
    wanted = max(1.5 * max(mast.reach_m, setback_m(site), mast.total_height_m), rules_m, farthest_zone_m(mast))
    return wanted + site.land.boundary_error_m


def obstacle_reach_m(mast: Mast, rules_m: float) -> float:
    """How far around the base obstacles are read, metres; `rules_m` is what rules ask for."""
    return max(OBSTACLE_REACH_FACTOR * mast.total_height_m, OBSTACLE_REACH_LEAST_M, 1.2 * mast.reach_m, rules_m, farthest_zone_m(mast))


def read_land(site: Site, frame: Frame) -> LandOnGround:
    """The land layers of a site around its base.

    Raises:
        InputError: a layer cannot be read or used.
        FrameError: its coordinate system cannot be reached.
    """
    lat, lon, source, mast = site.base.lat, site.base.lon, site.land, site.mast
    own, own_parcels, parcels, obstacles = None, (), (), ()
    reach, rule_obstacles = reach_of_rules(site.rules.sets, mast), None
    kinds: tuple[str, ...] = ()
    files, notes, warnings = [], [], []
    if source.parcels is not None:
        from siting.inputs.layers import read_parcels

        reach_m = parcel_reach_m(site, reach.parcels_m)
        layer = read_parcels(source, lon, lat, checks.reach_deg(lat, reach_m), source.owner_field)
        into = layer_frame(layer, frame, lat, lon)
        on_ground = features_on_ground(layer, into)
        own, gap_notes = own_land(on_ground, layer.own)
        own_parcels = tuple(p for p in on_ground if p.id in layer.own)
        parcels = tuple(p for p in on_ground if p.id not in layer.own)
        files += layer.files
        notes += [*layer.notes, *gap_notes, *_transformation_note(layer.shown_path, into)]
        warnings += _transformation_warning(layer.shown_path, into)
        notes += _overlap_notes(own, parcels)
    if source.obstacles is not None:
        from siting.inputs.layers import read_obstacles

        reach_m = obstacle_reach_m(mast, reach.obstacles_m)
        layer = read_obstacles(source, lon, lat, checks.reach_deg(lat, reach_m))
        into = layer_frame(layer, frame, lat, lon)
        obstacles, kinds = features_on_ground(layer, into), layer.kinds
        rule_obstacles = LayerOnGround(layer.shown_path, obstacles, kinds, reach_m)
        files += layer.files
        notes += [*layer.notes, *_transformation_note(layer.shown_path, into)]
        warnings += _transformation_warning(layer.shown_path, into)
    rule_layers, more = _rule_layers(site, frame, reach.layers_m)
    files += more
    rules = RuleLand(own, parcels, rule_obstacles, rule_layers, source.boundary_error_m)
    return LandOnGround(own, parcels, own_parcels, obstacles, kinds, rules, tuple(files), tuple(dict.fromkeys(notes)), tuple(warnings))


def _rule_layers(site: Site, frame: Frame, reach_m: dict[str, float]) -> tuple[dict[str, LayerOnGround], list]:
    """The user's own layers that rules measure to, and their files; a layer that no rule names is not read."""
    found, files = {}, []
    lat, lon = site.base.lat, site.base.lon
    for source in site.rules.layers:
        if source.name not in reach_m:
            continue
        from siting.inputs.rule_layers import read_rule_layer

        layer = read_rule_layer(source, lon, lat, checks.reach_deg(lat, reach_m[source.name]))
        on_ground = features_on_ground(layer, layer_frame(layer, frame, lat, lon))
        found[source.name] = LayerOnGround(layer.shown_path, on_ground, layer.kinds, reach_m[source.name])
        files += layer.files
    return found, files


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
    columns += checks.obstacle_columns(land.counted, site.mast, frame)
    return columns


def zones_of(site: Site, ground: Ground, frame: Frame, land: LandOnGround, stance: Stance) -> tuple[ReachZone, ...]:
    """The ground that mast, guys and lift can reach, and whose it is."""
    own = land.own.ids if land.own else ()
    known = (*land.own_parcels, *land.parcels) if land.own else None
    settings = LiftZoneSettings(margin_m=site.lift.keep_out_margin_m)
    return reach_zones(site.mast, stance, ground.surface, frame, ReachLand(known, own, land.obstacles), settings)


def lines_of(site: Site, ground: Ground, frame: Frame, land: LandOnGround, stance: Stance) -> PowerLines:
    """Overhead lines against mast, guys and winch line, lying, going up, standing and falling."""
    return power_lines(land.obstacles, site.mast, stance, heights_around(ground.surface, frame), frame)


def land_facts(land: LandOnGround, site: Site, frame: Frame, rules: tuple[RuleFinding, ...]) -> Land:
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
        rules=rules,
        permit_dates=tuple(d for v in site.rules.sets if (d := permit_dates(v, site.date))),
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
