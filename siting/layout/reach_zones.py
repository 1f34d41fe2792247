"""Every zone that mast, guys and lift can reach, against parcels and obstacles: records for the plan."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from siting.figures import shown
from siting.geodesy.frames import Frame
from siting.layout.footprint import GroundFeature, circle
from siting.layout.lift_zones import SECTORS, LiftZoneSettings, lift_zones
from siting.layout.reach import (
    GUY_STEP_DEG,
    GUY_STEP_M,
    FallReach,
    Stance,
    fall_reach,
    ground_around,
    guy_whips,
    longest_guy_m,
    outline,
)
from siting.records.mast import Mast
from siting.records.reach import ReachZone, ZoneObstacle, ZoneParcel
from siting.records.site import NO_SOURCE
from siting.terrain.surface import Surface

FALL_CIRCLE = "fall_circle"
RULE_SOURCE = f"{NO_SOURCE}: the fall circle is the total height"
TERRAIN_SOURCE = "worked out on the DEM: docs/method/reach.md"
LENGTH_SOURCE = "worked out from the guys' straight lengths: docs/method/reach.md"
# Outlines are given to the plan with corners left out where that moves the line by less than this.
OUTLINE_KEPT_M = 0.02
# Less than this in no parcel is drawing error.
LEAST_AREA_M2 = 1.0


@dataclass(frozen=True, slots=True)
class ReachLand:
    """The land that zones are held against; `parcels` is None where no layer was given, and holds the own ones too."""

    parcels: tuple[GroundFeature, ...] | None
    own: tuple[str, ...]
    obstacles: tuple[GroundFeature, ...]


@dataclass(frozen=True, slots=True)
class _Drawn:
    """A zone with the area that is measured, and the outline that is drawn where that is another one."""

    id: str
    title: str
    what: str
    source: str
    radius_m: float | None
    area: Any
    line: Any = None


def farthest_zone_m(mast: Mast) -> float:
    """How far from the base a zone may reach, metres: what the land layers must be read to.

    A guy is no longer than its anchor's radius and its attachment's height together, unless the anchor lies deeper below
    the base than about half its radius.
    """
    radius_m = {a.id: a.radius_m for a in mast.anchors}
    whips = [2.0 * radius_m[a] + level.attach_m + mast.hinge_height_m for level in mast.guys for a in level.anchors]
    lines = [(1.0 + LiftZoneSettings().behind_ratio) * r for r in radius_m.values()]
    return max([mast.total_height_m, *whips, *lines])


def reach_zones(
    mast: Mast, stance: Stance, surface: Surface, frame: Frame, land: ReachLand, settings: LiftZoneSettings | None = None
) -> tuple[ReachZone, ...]:
    """The fall circle (the rule), what the fall reaches on this ground, the zones of the lift, and each anchor's guys.

    Areas and distances are on the ground, metres and square metres.
    """
    settings = settings or LiftZoneSettings()
    drawn = [_fall_circle(mast), *_falls(mast, stance, surface, frame)]
    lift = lift_zones(mast, stance.laydown_deg, frame, settings)
    drawn += [_Drawn(z.id, z.title, z.what, z.source, z.radius_m, z.area) for z in lift]
    # The sectors lie inside the circle: left out, so that arcs a hair apart leave no slivers.
    strips = [z.area for z in lift if z.id not in SECTORS]
    together = shapely.union_all([circle(mast.total_height_m + settings.margin_m), *strips])
    what = "the fall circle and every zone of the lift in one: nobody is in it while the mast moves"
    drawn.append(_Drawn("keep_out", "Keep-out, all together", what, f"{NO_SOURCE}: union of the zones", None, together))
    drawn += _whips(mast, stance, surface, frame)
    return _records(drawn, land, frame)


def _fall_circle(mast: Mast) -> _Drawn:
    what = "the whole mast falling in any direction: the rule, whatever the outlines beside it say"
    return _Drawn(FALL_CIRCLE, "Fall circle", what, RULE_SOURCE, mast.total_height_m, circle(mast.total_height_m))


def _falls(mast: Mast, stance: Stance, surface: Surface, frame: Frame) -> list[_Drawn]:
    """What a mast that falls in one piece reaches on this ground, and where its tip comes down."""
    found = fall_reach(ground_around(surface, stance.base_m, mast.total_height_m), stance.base_m, mast.total_height_m)
    missing = int((~found.is_known).sum())
    said = f"; no height is known on {missing} of {found.is_known.size} azimuths, where it is the whole circle" if missing else ""
    parts = (
        ("fall_on_ground", "Fall in one piece, on this ground", found.reach_m, _reach_words(found)),
        ("tip_lands", "Where the tip comes down", found.tip_m, _tip_words(found)),
    )
    azimuths, north = found.azimuths_true_deg, frame.convergence_deg
    return [
        _Drawn(
            name, title, words + said, TERRAIN_SOURCE, None,
            outline(radii, azimuths, north, is_same_area=True), outline(radii, azimuths, north),
        )
        for name, title, radii, words in parts
    ]  # fmt: skip


def _reach_words(found: FallReach) -> str:
    least, most = int(np.argmin(found.reach_m)), int(np.argmax(found.reach_m))
    return (
        f"ground within the mast's length of the base in space: {shown(float(found.reach_m[most]), 'length')} at "
        f"{found.azimuths_true_deg[most]:.0f}° true, {shown(float(found.reach_m[least]), 'length')} at "
        f"{found.azimuths_true_deg[least]:.0f}°. Information: parts that break off, slide or roll go farther, and no setback "
        "and no fall circle gets smaller by it"
    )


def _tip_words(found: FallReach) -> str:
    above = np.where(np.isfinite(found.tip_above_m), found.tip_above_m, 0.0)
    most = int(np.argmax(above))
    held = (
        f"; at {found.azimuths_true_deg[most]:.0f}° the ground holds the mast up with its tip {shown(float(above[most]), 'length')} over it"
        if above[most] >= 1.0
        else ""
    )
    return (
        f"the tip of a mast that falls in one piece: {shown(float(found.tip_m.min()), 'length')} to "
        f"{shown(float(found.tip_m.max()), 'length')} from the base{held}. Information"
    )


def _whips(mast: Mast, stance: Stance, surface: Surface, frame: Frame) -> list[_Drawn]:
    """What the guys of each anchor can sweep when one parts."""
    longest_m = longest_guy_m(mast, stance)
    if longest_m == 0.0:
        return []
    ground = ground_around(surface, stance.base_m, longest_m, every_deg=GUY_STEP_DEG, step_m=GUY_STEP_M)
    found = []
    for whip in guy_whips(mast, stance, ground, frame):
        what = (
            f"the guy from {whip.attach_m:g} m, {shown(whip.length_m, 'length')} long, parted at the mast turns about {whip.anchor}; "
            f"a guy parted at {whip.anchor} reaches ground up to {shown(whip.mast_reach_m, 'length')} from the base. Information"
        )
        area = shapely.union(whip.about_anchor, whip.about_mast)
        found.append(_Drawn(f"guy_whip:{whip.anchor}", f"Parted guys of {whip.anchor}", what, LENGTH_SOURCE, whip.length_m, area))
    return found


def _records(drawn: list[_Drawn], land: ReachLand, frame: Frame) -> tuple[ReachZone, ...]:
    """The zones against the land, their outlines in longitude and latitude."""
    areas = np.array([z.area for z in drawn], dtype=object)
    whole = shapely.area(areas)
    by_parcel = _by_parcel(areas, whole, land)
    obstacles = _obstacles(areas, land)
    rings = _rings([z.area if z.line is None else z.line for z in drawn], frame)
    return tuple(
        ReachZone(
            id=z.id,
            title=z.title,
            what=z.what,
            area_m2=float(whole[i]),
            radius_m=z.radius_m,
            by_parcel=by_parcel[i][0],
            no_parcel_m2=by_parcel[i][1],
            obstacles=obstacles[i],
            is_rule=z.id == FALL_CIRCLE,
            source=z.source,
            rings=rings[i],
        )
        for i, z in enumerate(drawn)
    )


def _by_parcel(areas: np.ndarray, whole: np.ndarray, land: ReachLand) -> list[tuple[tuple[ZoneParcel, ...], float | None]]:
    """For each zone the parcels that it reaches with their part of it, and the part in none of them."""
    if land.parcels is None:
        return [((), None)] * areas.size
    shapes = np.array([p.geometry for p in land.parcels], dtype=object)
    shapely.prepare(areas)
    shapely.prepare(shapes)
    zone, parcel = shapely.STRtree(shapes).query(areas, predicate="intersects")
    is_whole = shapely.covers(shapes[parcel], areas[zone])
    part = np.where(is_whole, whole[zone], 0.0)
    part[~is_whole] = shapely.area(shapely.intersection(areas[zone[~is_whole]], shapes[parcel[~is_whole]]))
    found: list[tuple[tuple[ZoneParcel, ...], float | None]] = []
    for i in range(areas.size):
        held: dict[str, tuple[str, float]] = {}
        for k in np.flatnonzero(zone == i):
            feature = land.parcels[parcel[k]]
            owner, area = held.get(feature.id, (feature.owner, 0.0))
            held[feature.id] = (owner or feature.owner, area + float(part[k]))
        rows = [ZoneParcel(name, owner, area, name in land.own) for name, (owner, area) in held.items() if area > 0.0]
        rows.sort(key=lambda row: (not row.is_own, -row.area_m2, row.id))
        left = float(whole[i]) - sum(row.area_m2 for row in rows)
        found.append((tuple(rows), left if left >= LEAST_AREA_M2 else 0.0))
    return found


def _obstacles(areas: np.ndarray, land: ReachLand) -> list[tuple[ZoneObstacle, ...]]:
    """For each zone the obstacles that it reaches, nearest to the base first."""
    near = sorted(land.obstacles, key=lambda o: o.distance_m)
    if not near:
        return [()] * areas.size
    hits = shapely.intersects(areas[:, None], np.array([o.geometry for o in near], dtype=object)[None, :])
    return [tuple(ZoneObstacle(near[k].kind, near[k].name, near[k].distance_m) for k in np.flatnonzero(row)) for row in hits]


def _rings(areas: list[Any], frame: Frame) -> list[tuple]:
    """Every area's outline and holes as (lon, lat) pairs, exterior counter-clockwise, all turned at once."""
    whole = np.array(areas, dtype=object)
    plain = shapely.simplify(whole, OUTLINE_KEPT_M, preserve_topology=False)
    is_spoilt = ~shapely.is_valid(plain) | shapely.is_empty(plain)
    plain = shapely.orient_polygons(np.where(is_spoilt, whole, plain))
    lines = [[ring for part in shapely.get_parts(area) for ring in (part.exterior, *part.interiors)] for area in plain]
    corners = [shapely.get_coordinates(ring) for rings in lines for ring in rings]
    xy = np.concatenate(corners)
    pairs = list(zip(*(values.tolist() for values in frame.lonlat(xy[:, 0], xy[:, 1])), strict=True))
    found, at, number = [], 0, 0
    for rings in lines:
        given = []
        for _ in rings:
            size = len(corners[number])
            given.append(tuple(pairs[at : at + size]))
            at, number = at + size, number + 1
        found.append(tuple(given))
    return found
