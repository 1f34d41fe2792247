"""Runs the stages in order and returns one Plan: read this page first.

inputs -> terrain -> laydown -> layout -> lift -> checks -> one immutable Plan -> writers
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from siting.checks.ground import unchecked_of_mast
from siting.checks.land import unchecked_of_land
from siting.errors import TerrainGap
from siting.figures import rounded
from siting.geodesy.frames import frame_at, require_known_shift
from siting.geodesy.north import declination
from siting.inputs.fingerprints import fingerprint_dem, fingerprint_files, run_id
from siting.layout.guys import guy_chords
from siting.layout.offsets import offset_stakes
from siting.layout.shapes import circle_shape, land_shapes, layout_shapes
from siting.layout.stakes import Setting, place_stakes, spots_of
from siting.lift.geometry import lift_table
from siting.planning import remarks
from siting.planning.closing import base_record, crs_record, laydown_record, mast_record, terrain_record
from siting.planning.ground import cell_m, open_ground, setback_m
from siting.planning.land import columns_by_azimuth, columns_of_base, land_facts, read_land
from siting.planning.lift import plan_lift, wind_stop
from siting.planning.survey import survey_of, undulations
from siting.records.plan import Plan, Provenance, Shape
from siting.records.site import Site
from siting.sweep.azimuths import Sweep, azimuths_to_sweep, rays_for, sweep_azimuths
from siting.sweep.choose import rank_azimuths
from siting.terrain.backdrop import backdrop
from siting.verdict import worst
from siting.version import VERSION


def make_plan(site: Site, say: Callable[[str], None] = lambda step: None) -> Plan:
    """The plan of a site.

    Args:
        say: is told the name of each step as it starts.
    Raises:
        InputError, FrameError, TerrainGap: no plan can be made; every fault says what to do.
    """
    mast, lat, lon = site.mast, site.base.lat, site.base.lon

    say(f"reading {site.dem.shown_path}")
    ground = open_ground(site)
    base_m, surface = ground.base_height_m, ground.surface
    frame = frame_at(lat, lon, base_m, site.projected_crs, f"{site.where}, [crs] projected")
    if not site.accepts_null_shift:
        require_known_shift(frame, f"{site.where}, [crs] projected")
    north = declination(lat, lon, base_m, site.date)

    say("reading the land layers")
    land = read_land(site, frame)

    say("sweeping the azimuths")
    azimuths = azimuths_to_sweep(site.azimuth_deg)
    rays = rays_for(surface, mast, azimuths, base_m)
    sweep = sweep_azimuths(surface, rays, ground.header, mast, site.limits, azimuths, base_m)
    _require_ground(sweep, site)
    by_azimuth = [*sweep.columns, *columns_by_azimuth(land, site, frame, sweep.anchors.azimuths_deg)]
    ranking = rank_azimuths(sweep.azimuths_deg, by_azimuth)
    chosen = int(ranking.order[0])
    if site.azimuth_deg is not None:
        chosen = int(np.argmin(np.abs(sweep.azimuths_deg - site.azimuth_deg)))

    say("closing the plan")
    columns = [*by_azimuth, *columns_of_base(land, site, frame)]
    checks = tuple(sorted((c.check(chosen) for c in columns), key=lambda c: (-c.utilisation, c.id)))
    verdict = worst(c.verdict for c in checks)
    laydown = laydown_record(sweep, ranking, by_azimuth, chosen, site, frame, north.deg)
    anchor_m = {a.id: float(sweep.anchors.heights_m[chosen, i]) for i, a in enumerate(mast.anchors)}
    rest_rad = float(sweep.rest.rest_rad[chosen])
    datum = ground.header.vertical_datum
    setting = Setting(surface, frame, base_m, north.deg, datum, undulations(site), site.points)
    offsets = offset_stakes(mast, site.points)
    stakes = place_stakes(spots_of(mast, laydown.azimuth_deg, rest_rad, offsets), setting, checks)
    survey = survey_of(site, stakes, frame, base_m, datum)
    guys = guy_chords(mast, base_m, anchor_m)
    lift = plan_lift(site, ground, laydown, anchor_m, rest_rad, guys)
    coarse, coarse_warnings = remarks.coarse_ground(cell_m(ground), mast)
    unchecked = (*coarse, *unchecked_of_mast(mast), *unchecked_of_land(site.land, land.obstacle_kinds))
    frame_warnings, frame_notes = remarks.frame_remarks(surface.frame.link, ground.header, frame)
    mast_warnings, mast_notes = remarks.mast_remarks(mast)
    inputs = (
        *fingerprint_files((*site.files, *land.files)),
        fingerprint_dem(site.dem.shown_path, site.dem.path, surface.grid),
    )
    plan = Plan(
        name=site.name,
        verdict=verdict,
        headline=remarks.headline(verdict, checks, unchecked),
        base=base_record(site, frame, ground),
        crs=crs_record(site, frame, north),
        terrain=terrain_record(site, ground),
        mast=mast_record(site),
        laydown=laydown,
        stakes=stakes,
        guys=guys,
        lift=lift_table(mast, anchor_m, sweep.hinge_m, rest_rad),
        land=land_facts(land, site, frame),
        checks=checks,
        unchecked=tuple(item.id for item in unchecked),
        unchecked_detail=unchecked,
        warnings=(*coarse_warnings, *frame_warnings, *land.warnings, *north.warnings, *lift.warnings, *mast_warnings),
        notes=(*frame_notes, *ground.notes, *land.notes, *mast_notes),
        cautions=remarks.CAUTIONS,
        shapes=(
            *land_shapes(land.parcels, land.obstacles, land.own, frame, ground.view_m),
            *_circles(site, base_m),
            *layout_shapes(stakes, mast),
        ),
        ties=survey.ties,
        control=survey.control,
        localisation=survey.localisation,
        ground_grid=survey.ground_grid,
        point_lists=survey.point_lists,
        cut_list=lift.cut_list,
        tensions=lift.tensions,
        lift_guys=lift.lift_guys,
        statics=lift.statics,
        wind_stop=wind_stop(site.lift),
        paper=site.paper,
        provenance=Provenance(run_id(inputs, site.options()), VERSION, site.date.isoformat(), inputs, remarks.METHOD),
    )
    return replace(rounded(plan), backdrop=backdrop(surface, ground.view_m))


def _require_ground(sweep: Sweep, site: Site) -> None:
    """Gives up where the user's azimuth, or every azimuth, needs ground that the DEM does not have."""
    wanted = site.azimuth_deg
    reasons = [d.reason for d in sweep.dropped if wanted is None or d.azimuth_deg == wanted]
    if wanted is not None and reasons:
        raise TerrainGap.of(
            "ground_missing", f"{site.where}, [laydown] azimuth_deg = {wanted:g}", reasons[0],
            "choose another azimuth or base, or give a DEM that covers the layout",
        )  # fmt: skip
    if wanted is None and sweep.azimuths_deg.size == 0:
        reason, count = Counter(r.partition(" (")[0].partition(" from")[0] for r in reasons).most_common(1)[0]
        raise TerrainGap.of(
            "ground_missing", f"base {site.base.lat:.6f}, {site.base.lon:.6f}",
            f"no azimuth has ground under the whole layout; most often ({count} of {len(reasons)}) {reason}, "
            f"first at {sweep.dropped[0].azimuth_deg:g}°: {sweep.dropped[0].reason}",
            "move the base away from the gap, or give a DEM that covers the layout",
        )  # fmt: skip


def _circles(site: Site, base_height_m: float) -> tuple[Shape, ...]:
    """Fall circle, setback and the circle of the permanent anchors."""
    mast, base = site.mast, site.base
    radii = (
        ("fall_zone", "fall circle", mast.total_height_m),
        ("setback", "setback", setback_m(site)),
        ("anchor_circle", "outermost permanent anchors", mast.anchor_circle_m),
    )
    return tuple(
        circle_shape(kind, f"{label}: {radius_m:.2f} m", base.lat, base.lon, radius_m, base_height_m)
        for kind, label, radius_m in radii
        if radius_m > 0
    )
