"""Checks of the land: setback, fall zone, anchors and guys on own ground, obstacles."""

from __future__ import annotations

import math

import numpy as np
import shapely

from siting.checks.columns import AT_LEAST, AT_MOST, Column
from siting.geodesy.frames import Frame
from siting.layout.footprint import GroundFeature, OwnLand, anchor_points_xy_m, boundary_distances_m, guy_lines
from siting.records.findings import Unchecked
from siting.records.mast import Mast
from siting.records.site import NO_SOURCE, LandSource, Limit

SETBACK, FALL_ZONE, FALL_ZONE_OBSTACLE = "setback", "fall_zone", "fall_zone_obstacle"
ANCHOR_ON_LAND, GUY_ON_LAND, LAYOUT_CLEAR = "anchor_on_own_land", "guy_on_own_land", "layout_clear"

# Things that stand on or in the ground without being struck by a fall; an anchor must not be dug into them.
GROUND_KINDS = ("water", "easement", "wetland", "protected_area", "buried_line", "pipeline", "stream", "river", "pond")
# What a planner must know of before a mast is raised, and the kinds by which a layer shows that it holds it.
MUST_BE_KNOWN = {
    "overhead_line": ("overhead_line", "power_line", "overhead_power_line", "overhead_wire"),
    "road": ("road", "highway", "street", "public_road", "railway", "track", "lane"),
    "building": ("building", "house", "dwelling", "barn"),
}
FALL_SOURCE = f"{NO_SOURCE}: the fall circle is the total height"
OWN_SOURCE = f"{NO_SOURCE}: anchors and guys stay on the applicant's land unless the neighbour consents"
CLEAR_SOURCE = f"{NO_SOURCE}: no anchor in, and no guy across, an obstacle"


def setback_columns(own: OwnLand, mast: Mast, source: LandSource, bearing_deg: float) -> list[Column]:
    """Setback and fall circle against the own land's exterior line: two things, neither makes the other smaller."""
    value = np.array([own.boundary_m])
    place = f"nearest line {bearing_deg:.1f}° true from the base"
    factor = source.setback_factor
    setback = Limit(factor.value * mast.total_height_m, f"{factor.value:g} × total height; {factor.source}")
    fall = Limit(mast.total_height_m, FALL_SOURCE)
    return [
        Column(
            SETBACK, SETBACK, "base to the nearest property line (setback)", "m", AT_LEAST, setback, value,
            uncertainty=source.boundary_error_m, by_azimuth=False, place=lambda k: place,
        ),
        Column(
            FALL_ZONE, FALL_ZONE, "base to the nearest property line (fall circle)", "m", AT_LEAST, fall, value,
            uncertainty=source.boundary_error_m, by_azimuth=False, place=lambda k: place,
        ),
    ]  # fmt: skip


def own_land_columns(
    own: OwnLand, mast: Mast, frame: Frame, anchor_azimuths_deg: np.ndarray, boundary_error_m: float
) -> list[Column]:
    """Each anchor and each guy's plan line on the applicant's land, for every azimuth (K, A)."""
    points = anchor_points_xy_m(frame, anchor_azimuths_deg, np.array([a.radius_m for a in mast.anchors]))
    inside_m = boundary_distances_m(own.area, points)
    limit = Limit(0.0, OWN_SOURCE)
    columns = [
        Column(
            f"{ANCHOR_ON_LAND}:{anchor.id}", ANCHOR_ON_LAND, f"anchor {anchor.id} inside the own land by", "m", AT_LEAST,
            limit, inside_m[:, i], uncertainty=boundary_error_m,
        )
        for i, anchor in enumerate(mast.anchors)
    ]  # fmt: skip
    outside_m = np.zeros(inside_m.shape)
    if mast.reach_m > own.boundary_m:  # else every guy lies inside the circle to the nearest line
        lines = guy_lines(points)
        crossing = ~shapely.covers(own.area, lines)
        outside_m[crossing] = shapely.length(shapely.difference(lines[crossing], own.area))
    columns += [
        Column(
            f"{GUY_ON_LAND}:{anchor.id}", GUY_ON_LAND, f"guys to {anchor.id} over other land, plan length", "m", AT_MOST,
            limit, outside_m[:, i],
        )
        for i, anchor in enumerate(mast.anchors)
    ]  # fmt: skip
    return columns


def obstacle_columns(obstacles: tuple[GroundFeature, ...], mast: Mast, frame: Frame) -> list[Column]:
    """The nearest obstacle of each kind against the fall circle."""
    nearest: dict[str, GroundFeature] = {}
    for obstacle in sorted(obstacles, key=lambda o: o.distance_m):
        if obstacle.kind not in GROUND_KINDS:
            nearest.setdefault(obstacle.kind, obstacle)
    limit = Limit(mast.total_height_m, FALL_SOURCE)
    columns = []
    for kind, obstacle in nearest.items():
        place = f"{obstacle.name}, {frame.true_bearing_deg(*obstacle.nearest_xy_m):.1f}° true from the base"
        columns.append(
            Column(
                f"{FALL_ZONE_OBSTACLE}:{kind}", FALL_ZONE_OBSTACLE, f"base to the nearest {kind.replace('_', ' ')}", "m",
                AT_LEAST, limit, np.array([obstacle.distance_m]), by_azimuth=False, place=lambda k, place=place: place,
            )
        )  # fmt: skip
    return columns


def layout_clear_columns(
    obstacles: tuple[GroundFeature, ...], mast: Mast, frame: Frame, anchor_azimuths_deg: np.ndarray
) -> list[Column]:
    """How many obstacles each anchor stands in or its guys cross in plan, for every azimuth (K, A)."""
    near = [o for o in obstacles if o.distance_m <= mast.reach_m]
    points_xy = anchor_points_xy_m(frame, anchor_azimuths_deg, np.array([a.radius_m for a in mast.anchors]))
    hits = np.zeros(points_xy.shape[:-1])
    if near:
        lines, points = guy_lines(points_xy), shapely.points(points_xy)
        for obstacle in near:
            shapely.prepare(obstacle.geometry)
            hits += shapely.intersects(obstacle.geometry, points if obstacle.kind in GROUND_KINDS else lines)
    limit = Limit(0.0, CLEAR_SOURCE)
    return [
        Column(
            f"{LAYOUT_CLEAR}:{anchor.id}", LAYOUT_CLEAR, f"obstacles that {anchor.id} or its guys meet", "count", AT_MOST,
            limit, hits[:, i],
        )
        for i, anchor in enumerate(mast.anchors)
    ]  # fmt: skip


def unchecked_of_land(source: LandSource, kinds: tuple[str, ...]) -> list[Unchecked]:
    """What the missing layers leave unchecked. Never 'clear': a layer without a kind may just not have it drawn."""
    missing = []
    if source.parcels is None:
        for name, words in ((SETBACK, "the setback"), (FALL_ZONE, "the fall zone against neighbours"), (ANCHOR_ON_LAND, "anchors on own land")):
            missing.append(Unchecked(name, f"no parcels were given, so {words} could not be checked", "give [land] parcels"))
    for name, names in MUST_BE_KNOWN.items():
        plain = name.replace("_", " ")
        article = "an" if plain[0] in "aeiou" else "a"
        if source.obstacles is None:
            missing.append(Unchecked(name, f"no obstacle layer was given: whether {article} {plain} is near is not known", "give [land] obstacles"))
        elif not set(kinds) & set(names):
            missing.append(
                Unchecked(
                    name, f"{source.obstacles_shown} holds no {plain}: whether none is there or none was drawn cannot be told",
                    f"have the site looked at, and draw the nearest {plain} into the layer",
                )
            )  # fmt: skip
    return missing


def reach_deg(lat_deg: float, radius_m: float) -> tuple[float, float]:
    """Half width in longitude and latitude (degrees) of a window that holds a circle of this radius (metres)."""
    north = radius_m / 110_000.0
    return north / max(math.cos(math.radians(min(abs(lat_deg) + north, 89.9))), 1e-3), north
