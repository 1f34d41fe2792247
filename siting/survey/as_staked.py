"""The as-staked report: measured points against the plan, the likely cause of the misses, and a fresh verdict."""

from __future__ import annotations

import math

import numpy as np

from siting.errors import InputError
from siting.figures import rounded, shown
from siting.geodesy.geodesic import place
from siting.records.as_staked import (
    AsStaked,
    Effects,
    ExtraPoint,
    MeasuredPoints,
    MissingPoint,
    StakedPoint,
    StakedSource,
    Tolerance,
)
from siting.records.plan import InputFile, Plan
from siting.survey.causes import FAR_M, Diagnosis, recognise
from siting.survey.matching import Matching, Pair, grid_m, match_points, targets_of
from siting.survey.misreadings import misreadings
from siting.survey.staked_effects import effects_of
from siting.units import wrap_bearing_deg
from siting.verdict import FAIL, MARGINAL, PASS, worst
from siting.version import VERSION

TOLERANCE_SOURCE = "own proposal, not a standard"
# Stake out within the first; up to the second, look at the checks again instead of staking again.
PASS_M, LIMIT_M = 0.10, 0.50
# Latitude and longitude of a measured place are taken from its stake: to the millimetre within this.
LONLAT_WITHIN_M = 1000.0
# A point that misses its own stake but lies this near to another's has the wrong name: common practice, no source.
EXCHANGED_M = 0.30
# For files without a known name: shifts are tried that bring at least these many points, and this part of all, to a stake.
VOTES_LEAST, VOTES_RATIO, VOTES_MAX_POINTS = 4, 0.6, 200
NAMES_SHOWN = 8


def report_as_staked(
    plan: Plan, measured: MeasuredPoints, tolerance: Tolerance, inputs: tuple[InputFile, ...], run_id: str
) -> AsStaked:
    """The report, rounded as it is printed.

    Raises:
        InputError: no point of the file is a stake of the plan, by name or by place.
    """
    matching, diagnosis = _match(plan, measured, tolerance)
    pairs = matching.pairs
    miss_m = np.abs(grid_m(tuple(p.measured for p in pairs), plan) - grid_m(tuple(p.target for p in pairs), plan))
    points = tuple(_point(pair, plan, diagnosis, tolerance) for pair in pairs)
    effects = effects_of(plan, pairs, diagnosis.cause, float(np.median(miss_m)))
    missing = tuple(MissingPoint(t.id, t.role, t.lat, t.lon) for t in matching.missing)
    verdict = worst([*(p.verdict for p in points), *(c.verdict for c in effects.checks)])
    return rounded(
        AsStaked(
            points=points,
            likely_cause=diagnosis.name,
            verdict=verdict,
            headline=_headline(points, effects, missing, tolerance),
            cause=diagnosis.cause,
            missing=missing,
            extra=tuple(
                ExtraPoint(e.measured.name, e.measured.northing, e.measured.easting, e.nearest.id, e.distance_m, e.why)
                for e in matching.extra
            ),
            tolerance=tolerance,
            effects=effects,
            source=_source(plan, measured, inputs, run_id),
        )
    )


def _match(plan: Plan, measured: MeasuredPoints, tolerance: Tolerance) -> tuple[Matching, Diagnosis]:
    """Points to stakes by name; then, with what the named ones show taken away, the others by place.

    Raises:
        InputError: nothing fits.
    """
    matching = match_points(plan, measured.points)
    if not any(p.matched_by == "name" for p in matching.pairs):
        matching = _match_nameless(plan, measured, matching)
    if not matching.pairs:
        names = ", ".join(p.name for p in measured.points[:3]) + (", …" if len(measured.points) > 3 else "")
        wanted = ", ".join(t.point for t in targets_of(plan)[:3])
        raise InputError.of(
            "staked_no_match", measured.shown, f"none of its points ({names}) is a stake of this plan, by name or by place",
            f"name the points as in the plan ({wanted}, …), or check that plan and file belong together",
        )  # fmt: skip
    diagnosis = _recognise(plan, matching, tolerance)
    if matching.extra:
        again = match_points(plan, measured.points, diagnosis.undo)
        if len(again.pairs) > len(matching.pairs):
            return again, _recognise(plan, again, tolerance)
    return matching, diagnosis


def _match_nameless(plan: Plan, measured: MeasuredPoints, plain: Matching) -> Matching:
    """Where no name is known: the reading of the file, or the shift, that brings the most points to a stake."""
    points_m, stakes_m = grid_m(measured.points, plan), grid_m(targets_of(plan), plan)
    is_far = bool(np.median(np.abs(points_m - complex(np.median(stakes_m.real), np.median(stakes_m.imag)))) > FAR_M)
    undoings = [reading.undo for reading in misreadings(plan, is_far)]
    shift = _voted_shift(points_m, stakes_m)
    if shift is not None:
        undoings.append(lambda z: z - shift)
    # By chance a wrong reading may bring a point or two near a stake: it must do so for most of them.
    least, best = max(len(plain.pairs) + 1, _votes_needed(len(points_m))), plain
    for undo in undoings:
        tried = match_points(plan, measured.points, undo)
        if len(tried.pairs) >= max(least, len(best.pairs) + 1):
            best = tried
    return best


def _votes_needed(points: int) -> int:
    """How many points must agree on where they are, no unit."""
    return max(VOTES_LEAST, math.ceil(VOTES_RATIO * points))


def _voted_shift(points_m: np.ndarray, stakes_m: np.ndarray) -> complex | None:
    """The shift (complex metres) on which most pairs of a point and a stake agree, None where few do."""
    if len(points_m) > VOTES_MAX_POINTS:
        return None
    shifts = (points_m[:, None] - stakes_m[None, :]).ravel()
    votes = np.array([np.count_nonzero(np.abs(shifts - s) < EXCHANGED_M) for s in shifts])
    if votes.max() < _votes_needed(len(points_m)):
        return None
    middle = shifts[int(votes.argmax())]
    return complex(np.mean(shifts[np.abs(shifts - middle) < EXCHANGED_M]))


def _recognise(plan: Plan, matching: Matching, tolerance: Tolerance) -> Diagnosis:
    pairs = matching.pairs
    stakes_m, points_m = grid_m(tuple(p.target for p in pairs), plan), grid_m(tuple(p.measured for p in pairs), plan)
    return recognise(plan, tuple(p.target.id for p in pairs), stakes_m, points_m, tolerance.pass_m)


def _point(pair: Pair, plan: Plan, diagnosis: Diagnosis, tolerance: Tolerance) -> StakedPoint:
    """One stake with its miss."""
    target, found = pair.target, pair.measured
    north_m = (found.northing - target.northing) * plan.crs.unit_m
    east_m = (found.easting - target.easting) * plan.crs.unit_m
    miss_m = math.hypot(north_m, east_m)
    grid_deg = wrap_bearing_deg(math.degrees(math.atan2(east_m, north_m))) if miss_m >= 0.0005 else None
    true_deg = None if grid_deg is None else wrap_bearing_deg(grid_deg + plan.crs.convergence_deg)
    lon, lat = _lonlat(target, true_deg, miss_m / plan.crs.combined_factor, plan.base.height_m)
    has_height = found.elevation_m is not None and target.height_m is not None
    verdict = _verdict(miss_m, tolerance)
    return StakedPoint(
        id=target.id,
        d_north_m=north_m,
        d_east_m=east_m,
        d_height_m=found.elevation_m - target.height_m if has_height else None,
        miss_m=miss_m,
        verdict=verdict,
        miss_azimuth_deg=true_deg,
        miss_azimuth_grid_deg=grid_deg,
        point=found.name,
        matched_by=pair.matched_by,
        role=target.role,
        northing=found.northing,
        easting=found.easting,
        elevation_m=found.elevation_m,
        lat=lat,
        lon=lon,
        planned_lat=target.lat,
        planned_lon=target.lon,
        note="" if verdict == PASS else _exchanged(pair, plan, diagnosis),
    )


def _verdict(miss_m: float, tolerance: Tolerance) -> str:
    """By the millimetre that the files carry, so that 0.500 is 0.500."""
    miss_m = round(miss_m, 3)
    return PASS if miss_m <= tolerance.pass_m else MARGINAL if miss_m <= tolerance.limit_m else FAIL


def _lonlat(target, true_deg: float | None, ground_m: float, height_m: float) -> tuple[float | None, float | None]:
    """Longitude and latitude of the measured place from its stake's."""
    if true_deg is None:
        return target.lon, target.lat
    if ground_m > LONLAT_WITHIN_M:
        return None, None
    lon, lat = place(target.lat, target.lon, np.array([true_deg]), np.array([ground_m]), height_m)
    return float(lon[0]), float(lat[0])


def _exchanged(pair: Pair, plan: Plan, diagnosis: Diagnosis) -> str:
    """Says where a point lies at another stake's place, once the cause is taken away."""
    targets = targets_of(plan)
    away = np.abs(grid_m(targets, plan) - diagnosis.undo(grid_m((pair.measured,), plan))[0])
    nearest = int(np.argmin(away))
    if targets[nearest].id == pair.target.id or away[nearest] > EXCHANGED_M:
        return ""
    return f"lies {shown(float(away[nearest]), 'coordinate')} from the place of {targets[nearest].id}: measured under the wrong name?"


def _headline(points: tuple[StakedPoint, ...], effects: Effects, missing: tuple[MissingPoint, ...], tolerance: Tolerance) -> str:
    """The verdict in one plain sentence."""
    count = {v: sum(p.verdict == v for p in points) for v in (PASS, MARGINAL, FAIL)}
    worst_point = max(points, key=lambda p: p.miss_m)
    largest = f"the largest miss is {shown(worst_point.miss_m, 'coordinate')} at {worst_point.id}"
    near, far = shown(tolerance.pass_m, "length"), shown(tolerance.limit_m, "length")
    if count[FAIL]:
        text = f"{count[FAIL]} of {len(points)} points off by more than {far}; {largest}"
    elif count[MARGINAL]:
        text = f"{count[MARGINAL]} of {len(points)} points off by more than {near}, none by more than {far}; {largest}"
    elif len(points) == 1:
        text = f"The one point that was measured lies within {near}; {largest}"
    else:
        text = f"All {len(points)} points that were measured lie within {near}; {largest}"
    failing = [c.id for c in effects.checks if c.verdict == FAIL]
    if failing:
        some = ", ".join(failing[:3]) + (f" and {len(failing) - 3} more" if len(failing) > 3 else "")
        text += f"; as staked, failing checks ({len(failing)} of {len(effects.checks)}): {some}"
    elif effects.changed:
        text += f"; as staked, checks with another verdict than in the plan: {len(effects.changed)} of {len(effects.checks)}"
    if effects.why_not:
        text += "; what that does to guys, lift and fall zone was NOT worked out"
    absent = [m.id for m in missing if m.role not in ("offset", "control", "feature")]
    if absent:
        some = ", ".join(absent[:NAMES_SHOWN]) + (f" and {len(absent) - NAMES_SHOWN} more" if len(absent) > NAMES_SHOWN else "")
        text += f"; NOT measured: {some}"
    return f"{text}."


def _source(plan: Plan, measured: MeasuredPoints, inputs: tuple[InputFile, ...], run_id: str) -> StakedSource:
    code = f" (EPSG:{plan.crs.epsg})" if plan.crs.epsg else ""
    return StakedSource(
        plan=plan.name,
        plan_run_id=plan.provenance.run_id,
        plan_verdict=plan.verdict,
        plan_date=plan.provenance.plan_date,
        crs=f"{plan.crs.name}{code}",
        unit=plan.crs.unit,
        vertical_datum=plan.terrain.vertical_datum,
        layout=measured.layout,
        inputs=inputs,
        run_id=run_id,
        version=VERSION,
    )
