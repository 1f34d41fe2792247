"""Everything that the stages found, as one Plan: checks in order, what must be said, every key in its place."""

from __future__ import annotations

from dataclasses import dataclass

from siting.checks.lift import judge_lift
from siting.checks.power_lines import PowerLines
from siting.geodesy.frames import Frame
from siting.geodesy.north import Declination
from siting.inputs.fingerprints import fingerprint_dem, fingerprint_files, run_id
from siting.layout.reach import Stance
from siting.layout.shapes import circle_shape, land_shapes, layout_shapes
from siting.lift.geometry import lift_table
from siting.planning import remarks
from siting.planning.choice import Choice
from siting.planning.closing import base_record, crs_record, mast_record, terrain_record
from siting.planning.ground import Ground, setback_m
from siting.planning.holding import Held
from siting.planning.land import LandOnGround, land_facts, zones_of
from siting.planning.lift import LiftPlan, wind_stop
from siting.planning.permit import plan_permit
from siting.planning.survey import Survey
from siting.records.air import AirScreening
from siting.records.airfields import Airfields
from siting.records.findings import Check, Unchecked
from siting.records.plan import GuyChord, Laydown, Plan, Provenance, Shape, Stake
from siting.records.site import Site
from siting.verdict import worst
from siting.version import VERSION


@dataclass(frozen=True, slots=True)
class Found:
    """What the stages found, in their order."""

    ground: Ground
    frame: Frame
    north: Declination
    land: LandOnGround
    choice: Choice
    laydown: Laydown
    stakes: tuple[Stake, ...]
    survey: Survey
    guys: tuple[GuyChord, ...]
    lift: LiftPlan
    held: Held
    stance: Stance
    lines: PowerLines
    airfields: Airfields | None
    air: tuple[AirScreening | None, tuple[Unchecked, ...], tuple[str, ...]]  # what could not be screened, warnings


@dataclass(frozen=True, slots=True)
class _Judged:
    """Every check, the tightest first, and what must be said beside the numbers."""

    checks: tuple[Check, ...]
    said: remarks.Remarks
    verdict: str


def whole_plan(site: Site, found: Found) -> Plan:
    """The plan without profiles and backdrop, its numbers as they were worked out."""
    judged, base_m = _judge(site, found), found.ground.base_height_m
    choice, survey, lift = found.choice, found.survey, found.lift
    return Plan(
        name=site.name,
        verdict=judged.verdict,
        headline=remarks.headline(judged.verdict, judged.checks, judged.said.unchecked),
        base=base_record(site, found.frame, found.ground),
        crs=crs_record(site, found.frame, found.north),
        terrain=terrain_record(site, found.ground),
        mast=mast_record(site),
        laydown=found.laydown,
        stakes=found.stakes,
        guys=found.guys,
        lift=lift_table(site.mast, choice.anchor_m, choice.sweep.hinge_m, choice.rest_rad),
        land=land_facts(found.land, site, found.frame, choice.rules),
        checks=judged.checks,
        unchecked=tuple(item.id for item in judged.said.unchecked),
        unchecked_detail=judged.said.unchecked,
        warnings=judged.said.warnings,
        notes=judged.said.notes,
        cautions=remarks.CAUTIONS,
        shapes=_shapes(site, found, base_m),
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
        reach=zones_of(site, found.ground, found.frame, found.land, found.stance),
        power_lines=found.lines.findings,
        air=found.air[0],
        permit=site.permit,
        permit_ground=plan_permit(site, found.land, found.stakes, found.frame),
        holding=found.held.holding,
        dig=found.held.dig,
        wind_stop=wind_stop(site.lift),
        paper=site.paper,
        language=site.language,
        provenance=_provenance(site, found),
    )


def _judge(site: Site, found: Found) -> _Judged:
    """The checks of every stage together, and all that must be said."""
    choice, held, lines, (_, air_gaps, air_warnings) = found.choice, found.held, found.lines, found.air
    of_lift = judge_lift(site.mast, found.lift.statics, site.limits, site.dem.vertical_error_m)
    checks = (*choice.checks, *of_lift.checks, *held.checks, *lines.checks)
    said = remarks.all_remarks(
        site, found.ground, found.frame, found.north, found.land,
        (*choice.warnings, *found.lift.warnings, *held.warnings, *air_warnings),
        (*choice.unchecked, *of_lift.unchecked, *held.unchecked, *lines.unchecked, *air_gaps),
    )  # fmt: skip
    ordered = tuple(sorted(checks, key=lambda c: (-c.utilisation, c.id)))
    return _Judged(ordered, said, worst(c.verdict for c in ordered))


def _provenance(site: Site, found: Found) -> Provenance:
    """The files that the plan was made from, and the run's id."""
    airfields = found.airfields.files if found.airfields else ()
    inputs = (
        *fingerprint_files((*site.files, *found.land.files, *airfields)),
        fingerprint_dem(site.dem.shown_path, site.dem.path, found.ground.surface.grid),
    )
    return Provenance(run_id(inputs, site.options()), VERSION, site.date.isoformat(), inputs, remarks.METHOD)


def _shapes(site: Site, found: Found, base_height_m: float) -> tuple[Shape, ...]:
    """Land, circles and layout as the map and the files draw them."""
    land = found.land
    return (
        *land_shapes(land.parcels, land.obstacles, land.own, found.frame, found.ground.view_m),
        *_circles(site, base_height_m),
        *layout_shapes(found.stakes, site.mast),
    )


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
