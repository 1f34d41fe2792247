"""Runs the stages in order and returns one Plan: read this page first.

inputs -> terrain -> laydown -> layout -> lift -> checks -> one immutable Plan -> writers
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from siting.checks.lift import judge_lift
from siting.figures import rounded
from siting.geodesy.frames import frame_at, require_known_shift
from siting.geodesy.north import declination
from siting.inputs.fingerprints import fingerprint_dem, fingerprint_files, run_id
from siting.layout.guy_profiles import profiles_of
from siting.layout.guys import guy_chords
from siting.layout.offsets import offset_stakes
from siting.layout.reach import Stance
from siting.layout.shapes import circle_shape, land_shapes, layout_shapes
from siting.layout.stakes import Setting, place_stakes, spots_of
from siting.lift.geometry import lift_table
from siting.planning import remarks
from siting.planning.air import read_air, screen_air
from siting.planning.choice import choose_laydown
from siting.planning.closing import base_record, crs_record, laydown_record, mast_record, terrain_record
from siting.planning.ground import open_ground, setback_m
from siting.planning.holding import plan_holding
from siting.planning.land import land_facts, lines_of, read_land, zones_of
from siting.planning.lift import plan_lift, wind_stop
from siting.planning.permit import plan_permit
from siting.planning.survey import survey_of, undulations
from siting.records.plan import Plan, Provenance, Shape
from siting.records.site import Site
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
    base_m, datum = ground.base_height_m, ground.header.vertical_datum
    frame = frame_at(lat, lon, base_m, site.projected_crs, f"{site.where}, [crs] projected")
    if not site.accepts_null_shift:
        require_known_shift(frame, f"{site.where}, [crs] projected")
    north = declination(lat, lon, base_m, site.date)

    say("reading the land layers")
    land = read_land(site, frame)

    say("sweeping the azimuths")
    choice = choose_laydown(site, ground, frame, land)
    laydown = laydown_record(choice, site, frame, north.deg)

    say("placing the stakes")
    setting = Setting(ground.surface, frame, base_m, north.deg, datum, undulations(site), site.points)
    spots = spots_of(mast, laydown.azimuth_deg, choice.rest_rad, offset_stakes(mast, site.points))
    stakes = place_stakes(spots, setting, choice.checks)
    survey = survey_of(site, stakes, frame, base_m, datum)

    say("lifting the mast")
    guys = guy_chords(mast, base_m, choice.anchor_m)
    lift = plan_lift(site, ground, laydown, choice.anchor_m, choice.rest_rad, guys)

    say("holding it in the ground")
    held = plan_holding(site, ground, frame, laydown, stakes, lift)

    say("looking at the land around")
    stance = Stance(laydown.azimuth_deg, choice.rest_rad, base_m, choice.anchor_m)
    lines = lines_of(site, ground, frame, land, stance)
    airfields = read_air(site)
    air, air_gaps, air_warnings = screen_air(site, ground, stakes, guys, airfields)

    say("closing the plan")
    judged = judge_lift(mast, lift.statics, site.limits, site.dem.vertical_error_m)
    checks = tuple(sorted((*choice.checks, *judged.checks, *held.checks, *lines.checks), key=lambda c: (-c.utilisation, c.id)))
    said = remarks.all_remarks(site, ground, frame, north, land, (*choice.warnings, *lift.warnings, *held.warnings, *air_warnings), (*choice.unchecked, *judged.unchecked, *held.unchecked, *lines.unchecked, *air_gaps))
    verdict = worst(c.verdict for c in checks)
    inputs = (
        *fingerprint_files((*site.files, *land.files, *(airfields.files if airfields else ()))),
        fingerprint_dem(site.dem.shown_path, site.dem.path, ground.surface.grid),
    )
    plan = Plan(
        name=site.name,
        verdict=verdict,
        headline=remarks.headline(verdict, checks, said.unchecked),
        base=base_record(site, frame, ground),
        crs=crs_record(site, frame, north),
        terrain=terrain_record(site, ground),
        mast=mast_record(site),
        laydown=laydown,
        stakes=stakes,
        guys=guys,
        lift=lift_table(mast, choice.anchor_m, choice.sweep.hinge_m, choice.rest_rad),
        land=land_facts(land, site, frame, choice.rules),
        checks=checks,
        unchecked=tuple(item.id for item in said.unchecked),
        unchecked_detail=said.unchecked,
        warnings=said.warnings,
        notes=said.notes,
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
        transfer=lift.transfer,
        plumb_form=lift.plumb_form,
        standing=lift.standing,
        reach=zones_of(site, ground, frame, land, stance),
        power_lines=lines.findings,
        air=air,
        permit=site.permit,
        permit_ground=plan_permit(site, land, stakes, frame),
        holding=held.holding,
        dig=held.dig,
        wind_stop=wind_stop(site.lift),
        paper=site.paper,
        language=site.language,
        provenance=Provenance(run_id(inputs, site.options()), VERSION, site.date.isoformat(), inputs, remarks.METHOD),
    )
    plan = replace(plan, profiles=profiles_of(plan, ground.surface))
    return replace(rounded(plan), backdrop=backdrop(ground.surface, ground.view_m))


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
