"""The lift of a plan: guy lengths, tensions, every line stop by stop, the forces."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from siting.errors import OutOfMethod
from siting.geodesy.geodesic import place
from siting.lift.guy_lengths import cut_list, guy_places, require_set_tensions, rig_level
from siting.lift.kinematics import Mending, lift_guys
from siting.lift.line_clearance import PROFILE_STEP_M, WinchGround
from siting.lift.plumb import plumb_form
from siting.lift.standing import standing_mast
from siting.lift.standing_record import standing_record
from siting.lift.statics import StaticsCase, lift_statics
from siting.lift.strands import find_strands
from siting.lift.tension import tension_table
from siting.lift.transfer import transfer_order
from siting.planning.ground import Ground
from siting.records.guys import CutList, LevelRig, TensionTable
from siting.records.lift_guys import LiftGuys
from siting.records.plan import GuyChord, Laydown, WindStop
from siting.records.plumb import NO_PLUMB_FORM, PlumbForm, PlumbOptions, Standing, Transfer
from siting.records.site import LiftInputs, Site
from siting.records.statics import Statics

# The ground is looked at so far past the winch, for the case that it must stand farther out.
BEYOND_WINCH_M = 60.0


@dataclass(frozen=True, slots=True)
class LiftPlan:
    """What the crew's sheets say of guys and lift."""

    cut_list: CutList | None
    tensions: TensionTable | None
    lift_guys: LiftGuys | None
    statics: Statics | None
    transfer: Transfer | None
    plumb_form: PlumbForm | None
    standing: Standing | None
    warnings: tuple[str, ...]


def plan_lift(
    site: Site, ground: Ground, laydown: Laydown, anchor_m: dict[str, float], rest_rad: float, guys: tuple[GuyChord, ...]
) -> LiftPlan:
    """Guys and lift on the chosen laydown.

    Raises:
        InputError: a strand that no table has, or a set tension that it does not hold.
    """
    mast, options = site.mast, site.mast.guy_options
    hinge_m = ground.base_height_m + mast.hinge_height_m
    strands = find_strands(((g.strand, g.diameter_mm) for g in mast.guys), mast.shown)
    rigs = tuple(
        rig_level(strand, options, level.initial_tension_kn) if strand else None
        for strand, level in zip(strands, mast.guys, strict=True)
    )
    require_set_tensions(mast, rigs)
    places = guy_places(mast, anchor_m, hinge_m, rest_rad)
    mending = Mending(
        site.limits.side_guy_travel_max_m.value, laydown.azimuth_deg, laydown.candidates, _height_at(site, ground, laydown.azimuth_deg)
    )
    transfer, transfer_said = _or_warning("No order of moving the guys over", lambda: transfer_order(mast))
    standing, standing_said = _or_warning(NO_PLUMB_FORM, lambda: standing_mast(mast, anchor_m, hinge_m, rigs))
    statics, warnings = _statics(site, ground, laydown, anchor_m, rest_rad, guys, rigs)
    return LiftPlan(
        cut_list=cut_list(mast, places, rigs, options) if mast.guys else None,
        tensions=tension_table(mast, places, rigs, options) if any(g.use == "permanent" for g in mast.guys) else None,
        lift_guys=lift_guys(mast, anchor_m, hinge_m, rest_rad, mending) if mast.guys or mast.winch else None,
        statics=statics,
        transfer=transfer,
        plumb_form=plumb_form(standing, PlumbOptions()) if standing else None,
        standing=standing_record(standing) if standing else None,
        warnings=(*warnings, *transfer_said, *standing_said),
    )


def _or_warning(what: str, work: Callable[[], Any]) -> tuple[Any, tuple[str, ...]]:
    """What a stage gives, or None and why it cannot."""
    try:
        return work(), ()
    except OutOfMethod as fault:
        return None, tuple(f"{what}: {item.line()}" for item in fault.faults)


def wind_stop(lift: LiftInputs) -> WindStop | None:
    """The wind stop, None unless value, height and averaging time are all given."""
    if lift.wind_stop_m_s is None or lift.wind_stop_height_m is None or lift.wind_stop_averaging is None:
        return None
    return WindStop(lift.wind_stop_m_s, lift.wind_stop_height_m, lift.wind_stop_averaging)


def _statics(
    site: Site, ground: Ground, laydown: Laydown, anchor_m: dict[str, float], rest_rad: float,
    guys: tuple[GuyChord, ...], rigs: tuple[LevelRig | None, ...],
) -> tuple[Statics | None, tuple[str, ...]]:  # fmt: skip
    """The forces of the lift, or why there are none."""
    mast = site.mast
    if mast.winch is None:
        return None, ()
    masses = tuple(
        rig.strand.mass_kg_per_m if rig else None for level, rig in zip(mast.guys, rigs, strict=True) for _ in level.anchors
    )
    case = StaticsCase(
        mast, mast.rigging, anchor_m, ground.base_height_m + mast.hinge_height_m, rest_rad, laydown.slope_percent,
        site.limits.winch_arm_min_ratio.value, guys, masses, _winch_ground(site, ground, laydown.azimuth_deg),
        site.lift.cross_wind_m_s,
    )  # fmt: skip
    return _or_warning("No forces of the lift", lambda: lift_statics(case))


def _height_at(site: Site, ground: Ground, azimuth_deg: float) -> Callable[[np.ndarray, np.ndarray], np.ndarray]:
    """Ground heights (metres) at places in the lift's frame: x along the laydown, y to its right, metres."""

    def height_at(x: np.ndarray, y: np.ndarray) -> np.ndarray:
        azimuths = azimuth_deg + np.degrees(np.arctan2(y, x))
        lon, lat = place(site.base.lat, site.base.lon, azimuths, np.hypot(x, y), ground.base_height_m)
        return ground.surface.heights_m(*ground.surface.frame.colrow(lon, lat))

    return height_at


def _winch_ground(site: Site, ground: Ground, azimuth_deg: float) -> WinchGround | None:
    """The ground from the base along the winch line and past the winch, as far as the DEM knows it."""
    winch = site.mast.winch
    s_m = np.arange(0.0, winch.radius_m + BEYOND_WINCH_M + PROFILE_STEP_M / 2, PROFILE_STEP_M)
    s_m = np.union1d(s_m, [winch.radius_m])
    azimuths = np.full(s_m.size, azimuth_deg + winch.bearing_deg)
    lon, lat = place(site.base.lat, site.base.lon, azimuths, s_m, ground.base_height_m)
    heights = ground.surface.heights_m(*ground.surface.frame.colrow(lon, lat))
    known = int(np.argmax(~np.isfinite(heights))) if not np.isfinite(heights).all() else s_m.size
    if known == 0 or s_m[known - 1] < winch.radius_m:
        return None
    return WinchGround(s_m[:known], heights[:known])
