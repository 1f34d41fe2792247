"""Puts what the stages found into the plan's own words and keys."""

from __future__ import annotations

import math

import numpy as np

from siting.checks.columns import Column
from siting.checks.ground import WINCH_ARM
from siting.geodesy.frames import Frame
from siting.geodesy.north import Declination
from siting.inputs.dem import unit_text
from siting.planning.choice import Choice
from siting.planning.ground import Ground, cell_m
from siting.records.plan import Base, Candidate, Laydown, MastFacts, PlanCrs, Profile, Terrain
from siting.records.site import Site
from siting.sweep import words
from siting.sweep.azimuths import Sweep
from siting.sweep.choose import Ranking
from siting.units import dms_text


def base_record(site: Site, frame: Frame, ground: Ground) -> Base:
    """The base in every form that a reader may want."""
    lat, lon = site.base.lat, site.base.lon
    return Base(
        lat=lat,
        lon=lon,
        easting=frame.easting,
        northing=frame.northing,
        height_m=ground.base_height_m,
        slope_percent=ground.base_slope_percent,
        uphill_deg=ground.base_uphill_deg,
        dms=f"{dms_text(lat, 'N', 'S')} {dms_text(lon, 'E', 'W')}",
        mgrs=_mgrs(lat, lon),
        given_as=site.base.given_as,
    )


def _mgrs(lat: float, lon: float) -> str:
    """MGRS to 1 m, empty outside its range."""
    if not -80.0 <= lat < 84.0:
        return ""
    import mgrs

    return mgrs.MGRS().toMGRS(lat, lon, MGRSPrecision=5)


def crs_record(site: Site, frame: Frame, north: Declination) -> PlanCrs:
    """The frame of the coordinates."""
    return PlanCrs(
        epsg=frame.epsg,
        name=frame.name,
        datum=frame.link.datum,
        epoch="not stated" if site.epoch is None else f"{site.epoch:.2f}, stated by the user",
        unit=frame.unit,
        unit_m=frame.unit_m,
        convergence_deg=frame.convergence_deg,
        point_scale=frame.point_scale,
        elevation_factor=frame.elevation_factor,
        combined_factor=frame.combined_factor,
        declination_deg=north.deg,
        declination_error_deg=north.error_deg,
        declination_model=north.model,
        transformation=frame.link.text,
    )


def terrain_record(site: Site, ground: Ground) -> Terrain:
    """The DEM that the plan stands on."""
    header = ground.header
    return Terrain(
        dem=header.shown_path,
        crs=header.crs_name,
        transformation=ground.surface.frame.link.text,
        cell_m=cell_m(ground),
        unit=unit_text(header),
        vertical_datum=header.vertical_datum or "not stated",
        geoid=site.dem.geoid_shown or "none given: heights are the DEM's alone, not ellipsoidal",
        blank_elevation=site.points.blank_unknown_elevation and not header.vertical_datum,
    )


def mast_record(site: Site) -> MastFacts:
    """The mast that the plan is for."""
    mast = site.mast
    return MastFacts(
        name=mast.name,
        structure=mast.structure,
        height_m=mast.height_m,
        total_height_m=mast.total_height_m,
        hinge_height_m=mast.hinge_height_m,
        section_length_m=mast.section_length_m,
        gin_pole_length_m=mast.gin_pole_length_m,
        mass_kg=mast.mass_kg_per_m * mast.height_m,
        is_generic=mast.is_generic,
        note=mast.note,
        base_section_m=mast.base_section_m,
    )


def laydown_record(choice: Choice, site: Site, frame: Frame, declination_deg: float | None) -> Laydown:
    """The chosen laydown and the whole sweep around it."""
    sweep, ranking, columns, chosen = choice.sweep, choice.ranking, choice.by_azimuth, choice.index
    azimuth = float(sweep.azimuths_deg[chosen])
    rest, slopes = sweep.rest, sweep.rest.slope_percent
    form = words.ground_form(slopes)
    verdict = ranking.verdict(chosen)
    is_given = site.azimuth_deg is not None
    profile = Profile(
        s_m=tuple(sweep.profiles.s_m.tolist()),
        ground_m=tuple(sweep.profiles.ground_m[:, chosen].tolist()),
        rest_line_m=tuple((sweep.hinge_m + rest.rest_slope_percent[chosen] / 100.0 * sweep.profiles.s_m).tolist()),
    )
    return Laydown(
        azimuth_deg=azimuth,
        azimuth_grid_deg=(azimuth - frame.convergence_deg) % 360.0,
        azimuth_magnetic_deg=None if declination_deg is None else (azimuth - declination_deg) % 360.0,
        slope_percent=float(slopes[chosen]),
        rest_slope_percent=float(rest.rest_slope_percent[chosen]),
        rest_angle_deg=math.degrees(float(rest.rest_rad[chosen])),
        max_gap_m=float(rest.gap_m[chosen]),
        max_gap_at_m=float(rest.gap_at_m[chosen]),
        cross_fall_percent=_finite(sweep.cross_fall_percent[chosen]),
        worst_utilisation=float(ranking.worst_utilisation[chosen]),
        verdict=verdict,
        chosen_by="given by the user" if is_given else "recommended by the sweep",
        ground=form,
        summary=words.summary(azimuth, float(slopes[chosen]), form, verdict),
        reasons=words.reasons(sweep.azimuths_deg, ranking, columns, slopes, chosen, is_given),
        runners_up=words.runners_up(sweep.azimuths_deg, ranking, columns, slopes, chosen),
        ruled_out=words.ruled_out(sweep.azimuths_deg, columns),
        dropped=sweep.dropped,
        profile=profile,
        candidates=_candidates(sweep, ranking, columns),
    )


def _candidates(sweep: Sweep, ranking: Ranking, columns: list[Column]) -> tuple[Candidate, ...]:
    """Every azimuth of the sweep in the plan's words."""
    rest = sweep.rest
    travel_m = np.max([t.travel_m for t in sweep.travels], axis=0) if sweep.travels else None
    arms = next((c.values for c in columns if c.kind == WINCH_ARM), None)
    return tuple(
        Candidate(
            azimuth_deg=float(azimuth),
            slope_percent=float(rest.slope_percent[k]),
            rest_slope_percent=float(rest.rest_slope_percent[k]),
            worst_utilisation=float(ranking.worst_utilisation[k]),
            verdict=ranking.verdict(k),
            worst_check=columns[int(ranking.worst_column[k])].id,
            max_gap_m=float(rest.gap_m[k]),
            cross_fall_percent=_finite(sweep.cross_fall_percent[k]),
            max_anchor_slope_percent=float(sweep.anchors.slopes_percent[k].max()),
            max_side_travel_m=None if travel_m is None else float(travel_m[k]),
            winch_arm_min_ratio=None if arms is None else float(arms[k]),
            max_pull_kn=None if sweep.largest_pulls_kn is None else _finite(sweep.largest_pulls_kn[k]),
        )
        for k, azimuth in enumerate(sweep.azimuths_deg)
    )


def _finite(value: float) -> float | None:
    """The number, None where it is not known."""
    return float(value) if math.isfinite(value) else None
