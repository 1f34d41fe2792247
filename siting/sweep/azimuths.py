"""Every azimuth through the ground, the laydown and the lift; those without ground drop out with their reason."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from siting.checks.columns import Column
from siting.checks.ground import anchor_columns, laydown_columns, lift_columns
from siting.geodesy.dem_frame import cell_size_m, trace_rays
from siting.laydown.profile import Profiles, cross_fall_percent, sample_distances_m, sample_profiles
from siting.laydown.rest import RestLines, lay_mast
from siting.layout.anchors import AnchorGround, anchor_azimuths_deg, ground_at_anchors
from siting.layout.tables import layout_tables
from siting.lift.geometry import SideGuyTravel, largest_pulls_kn, least_arm_angle_rad, least_arms_m, side_guy_travels
from siting.records.ground import DemHeader, Rays
from siting.records.mast import Mast
from siting.records.plan import Dropped
from siting.records.site import Limits
from siting.terrain.surface import Surface

WHOLE_DEGREES = np.arange(360.0)


@dataclass(frozen=True, slots=True)
class Sweep:
    """What every azimuth with known ground gives. Arrays run over `azimuths_deg` (K,)."""

    azimuths_deg: np.ndarray
    dropped: tuple[Dropped, ...]
    profiles: Profiles
    rest: RestLines
    cross_fall_percent: np.ndarray
    anchors: AnchorGround
    travels: tuple[SideGuyTravel, ...]
    largest_pulls_kn: np.ndarray | None  # NaN where the winch line cannot lift; None without a winch
    columns: tuple[Column, ...]
    hinge_m: float


def azimuths_to_sweep(user_azimuth_deg: float | None) -> np.ndarray:
    """Every whole degree, and the user's own azimuth where it is none of them."""
    if user_azimuth_deg is None or user_azimuth_deg % 1.0 == 0.0:
        return WHOLE_DEGREES
    return np.sort(np.append(WHOLE_DEGREES, user_azimuth_deg))


def rays_for(surface: Surface, mast: Mast, azimuths_deg: np.ndarray, base_height_m: float) -> Rays:
    """The ground lines that a sweep needs: the laydowns, the anchors, and square to the laydowns."""
    wanted = np.concatenate(
        [azimuths_deg, azimuths_deg + 90.0, azimuths_deg - 90.0, anchor_azimuths_deg(mast, azimuths_deg).ravel()]
    )
    return trace_rays(surface.frame, wanted, mast.reach_m, base_height_m)


def sweep_azimuths(
    surface: Surface, rays: Rays, header: DemHeader, mast: Mast, limits: Limits, azimuths_deg: np.ndarray, base_height_m: float
) -> Sweep:
    """Lays the mast along every azimuth, stands its anchors on the ground and lifts it.

    The columns hold the checks that the terrain and the mast decide; those of the land come beside them.
    """
    base = rays.origin_colrow
    tables = layout_tables(rays, mast, azimuths_deg, sample_distances_m(mast.height_m, cell_size_m(surface.scale)))
    s_m = tables.s_m
    profiles = sample_profiles(surface, base, s_m, tables.samples)
    ground = ground_at_anchors(surface, base, mast, tables.anchor_azimuths_deg, tables.anchors)
    known = (
        np.isfinite(profiles.ground_m).all(axis=0)
        & np.isfinite(ground.heights_m).all(axis=1)
        & np.isfinite(ground.slopes_percent).all(axis=1)
    )
    dropped = tuple(
        Dropped(float(azimuths_deg[k]), _missing(k, azimuths_deg, profiles, ground, rays, header))
        for k in np.flatnonzero(~known)
    )
    azimuths = azimuths_deg[known]
    profiles = Profiles(s_m, profiles.ground_m[:, known])
    ground = AnchorGround(
        ground.anchors, *(a[known] for a in (ground.azimuths_deg, ground.heights_m, ground.slopes_percent, ground.uphill_deg))
    )
    hinge_m = base_height_m + mast.hinge_height_m
    rest = lay_mast(profiles, hinge_m)
    travels = side_guy_travels(mast, ground.heights_m, hinge_m, rest.rest_slope)
    least_m = least_arms_m(mast, ground.heights_m, hinge_m, rest.rest_slope)

    def least_at_rad(k: int) -> float:
        return float(least_arm_angle_rad(mast, ground.heights_m[k : k + 1], hinge_m, rest.rest_slope[k : k + 1])[0])

    half_width_m = max((a.radius_m for a in mast.side_anchors), default=mast.height_m / 2.0)
    columns = (
        *laydown_columns(rest, limits),
        *anchor_columns(ground, limits),
        *lift_columns(mast, travels, least_m, least_at_rad, limits),
    )
    cross_fall = cross_fall_percent(surface, rays, azimuths, half_width_m)
    pulls = largest_pulls_kn(mast, ground.heights_m, hinge_m, rest.rest_rad)
    return Sweep(azimuths, dropped, profiles, rest, cross_fall, ground, travels, pulls, columns, hinge_m)


def _missing(
    k: int, azimuths_deg: np.ndarray, profiles: Profiles, ground: AnchorGround, rays: Rays, header: DemHeader
) -> str:
    """Which point of an azimuth has no ground, in plain words."""
    for i, anchor in enumerate(ground.anchors):
        if not (np.isfinite(ground.heights_m[k, i]) and np.isfinite(ground.slopes_percent[k, i])):
            what = "height" if not np.isfinite(ground.heights_m[k, i]) else "slope"
            azimuth = ground.azimuths_deg[k, i]
            cause = _cause(rays, azimuth, anchor.radius_m, header)
            return f"anchor {anchor.id} ({anchor.radius_m:g} m at {azimuth:g}° true) has no {what}: {cause}"
    at = profiles.s_m[int(np.flatnonzero(~np.isfinite(profiles.ground_m[:, k]))[0])]
    return f"the ground under the lying mast has no height from {at:.1f} m on: {_cause(rays, azimuths_deg[k], at, header)}"


def _cause(rays: Rays, azimuth_deg: float, distance_m: float, header: DemHeader) -> str:
    """Whether a point without ground lies off the DEM or on a hole in it."""
    col, row = rays.at(rays.index_of(np.array([azimuth_deg])), np.array([distance_m]))
    inside = 1.0 <= col[0] <= header.cols - 1.0 and 1.0 <= row[0] <= header.rows - 1.0
    return f"{header.shown_path} has no data there" if inside else f"{header.shown_path} ends there"
