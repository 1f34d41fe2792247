"""What was staked, against the plan: points as measured, the likely cause of the misses, what they do to the layout.

Field names are the keys of as_staked.json, in its order. North and east are the plan's grid north and east.
"""

from __future__ import annotations

from dataclasses import dataclass

from siting.figures import quantity, words
from siting.records.plan import InputFile

NONE, ONE_POINT, SHIFT, SWAPPED_AXES = "none", "one_point", "shift", "swapped_axes"
FEET, WRONG_ZONE, ROTATED, SCALED = "feet", "wrong_zone", "rotated", "scaled"
CAUSES = (NONE, ONE_POINT, SHIFT, SWAPPED_AXES, FEET, WRONG_ZONE, ROTATED, SCALED)
BY_NAME, BY_PLACE = "name", "place"


@dataclass(frozen=True, slots=True)
class MeasuredPoint:
    """One point of the surveyor's file, as it stands there."""

    name: str
    northing: float
    easting: float
    elevation_m: float | None
    line: int


@dataclass(frozen=True, slots=True)
class MeasuredPoints:
    """The surveyor's file: its points, and how it was read."""

    shown: str
    points: tuple[MeasuredPoint, ...]
    layout: str


@dataclass(frozen=True, slots=True)
class Tolerance:
    """How far a stake may lie off. Horizontal, metres."""

    pass_m: float = quantity("coordinate", "up to here a stake passes")
    limit_m: float = quantity("coordinate", "up to here it is marginal, beyond it fails")
    source: str = words("where the two come from")


@dataclass(frozen=True, slots=True)
class StakedPoint:
    """A stake as it was measured. Differences are measured minus planned, along the plan's grid, in metres."""

    id: str = words("the stake's id in the plan")
    d_north_m: float = quantity("coordinate", "northing as measured minus planned")
    d_east_m: float = quantity("coordinate", "easting as measured minus planned")
    d_height_m: float | None = quantity("coordinate", "elevation as measured minus the DEM's; null without one; not judged")
    miss_m: float = quantity("coordinate", "horizontal distance from the planned to the measured place")
    verdict: str = words("of the miss: pass, marginal or fail")
    miss_azimuth_deg: float | None = quantity("bearing", "true azimuth from the planned to the measured place; null without a miss")
    miss_azimuth_grid_deg: float | None = quantity("bearing", "the same, from grid north")
    point: str = words("the name in the surveyor's file")
    matched_by: str = words("name; or place, where the name is none of the plan's and only one stake lies near")
    role: str = words("as in the plan; control or feature for the user's own points")
    northing: float = quantity("coordinate", "as measured, in the unit of the file")
    easting: float = quantity("coordinate", "as measured, in the unit of the file")
    elevation_m: float | None = quantity("coordinate", "as measured; null without one")
    lat: float | None = quantity("latlon", "WGS 84, of the measured place; null where it lies over a kilometre off")
    lon: float | None = quantity("latlon", "WGS 84, of the measured place; null where it lies over a kilometre off")
    planned_lat: float = quantity("latlon", "WGS 84, of the planned place")
    planned_lon: float = quantity("latlon", "WGS 84, of the planned place")
    note: str = words("what else this point shows; mostly empty")


@dataclass(frozen=True, slots=True)
class MissingPoint:
    """A stake that the surveyor's file does not hold: not checked, never a pass."""

    id: str = words("the stake's id")
    role: str = words("as in the plan")
    lat: float = quantity("latlon", "WGS 84, of the planned place")
    lon: float = quantity("latlon", "WGS 84, of the planned place")


@dataclass(frozen=True, slots=True)
class ExtraPoint:
    """A measured point that is no stake of the plan, as far as can be told."""

    point: str = words("its name in the file")
    northing: float = quantity("coordinate", "as measured")
    easting: float = quantity("coordinate", "as measured")
    nearest: str = words("the stake that lies nearest")
    distance_m: float | None = quantity("coordinate", "to that stake; null where it has no meaning")
    why: str = words("why it was not matched")


@dataclass(frozen=True, slots=True)
class Alternative:
    """What a cause leaves unexplained: the evidence for and against it."""

    cause: str = words("one of the causes")
    how: str = words("the explanation that was tried")
    left_m: float = quantity("coordinate", "root mean square of the misses that it leaves, the worst quarter of the points left out")


@dataclass(frozen=True, slots=True)
class Cause:
    """The likely cause of the misses. Numbers that do not belong to it are null."""

    sentence: str = words("the cause with its evidence, in plain words")
    do: str = words("what to do about it")
    as_measured_m: float = quantity("coordinate", "root mean square miss as measured")
    left_m: float = quantity("coordinate", "root mean square miss once the cause is taken away, bad points left out")
    scatter_m: float = quantity("coordinate", "the noise that was assumed, one standard deviation of an axis")
    bad_points: tuple[str, ...] = words("points that do not follow the others even then")
    shift_north_m: float | None = quantity("coordinate", "constant shift, measured minus planned", None)
    shift_east_m: float | None = quantity("coordinate", "constant shift, measured minus planned", None)
    turn_deg: float | None = quantity("bearing", "turn of the measured points, clockwise positive", None)
    turn_error_deg: float | None = quantity("bearing", "its standard error", None)
    scale_ppm: float | None = quantity("none", "measured length / planned length - 1, parts per million", None)
    scale_error_ppm: float | None = quantity("none", "its standard error", None)
    about: str = words("what stays in place under a turn or a scale; empty without one", "")
    reading: str = words("how the file's numbers have to be read; empty where they are what the plan expects", "")
    is_file_fault: bool = words("true where the file's numbers, not the stakes, are off", False)
    alternatives: tuple[Alternative, ...] = words("every cause that was tried, the best of each kind", ())


@dataclass(frozen=True, slots=True)
class GuyStaked:
    """A guy's chord to its anchor as staked."""

    anchor: str = words("stake id of the anchor")
    attach_m: float = quantity("length", "attachment above the hinge, along the mast")
    use: str = words("permanent or temporary")
    chord_m: float = quantity("coordinate", "straight line from the attachment on the plumb mast to the anchor as staked")
    planned_chord_m: float = quantity("coordinate", "the same in the plan")
    change_m: float = quantity("coordinate", "as staked minus planned")


@dataclass(frozen=True, slots=True)
class CheckStaked:
    """A check of the plan that the staked places change."""

    id: str = words("as in the plan's checks")
    label: str = words("the check in plain words")
    value: float = quantity("none", "as staked, in `unit`")
    planned_value: float = quantity("none", "in the plan")
    limit: float = quantity("none", "what both are held against")
    unit: str = words("m or ratio")
    limit_is_least: bool = words("true where the value must reach the limit")
    utilisation: float = quantity("ratio", "as in the plan's checks, as staked")
    verdict: str = words("as staked: pass, marginal or fail")
    planned_verdict: str = words("in the plan")
    is_bound: bool = words("true where only a bound on the safe side is known, since the plan holds the land near the base only")
    source: str = words("where the limit comes from")


@dataclass(frozen=True, slots=True)
class Effects:
    """What the staked places do to the layout."""

    why_not: str = words("why this was not worked out; empty where it was")
    base_moved_m: float | None = quantity("coordinate", "the base from its planned place, ground metres; null where not measured")
    laydown_azimuth_deg: float | None = quantity("bearing", "true azimuth from the base to the head, both as staked; null without both")
    height_offset_m: float | None = quantity("coordinate", "median of the height differences: the DEM's datum against the rover's")
    guys: tuple[GuyStaked, ...] = words("every guy whose anchor or base was measured")
    checks: tuple[CheckStaked, ...] = words("checks worked out again, the tightest first")
    changed: tuple[str, ...] = words("ids of those whose verdict is another than in the plan")
    not_recomputed: tuple[str, ...] = words("what stands as planned, and why")
    notes: tuple[str, ...] = words("what was assumed")


@dataclass(frozen=True, slots=True)
class StakedSource:
    """What the report was made from."""

    plan: str = words("the plan's name")
    plan_run_id: str = words("the plan's run id")
    plan_verdict: str = words("the plan's own verdict")
    plan_date: str = words("the day the plan is for")
    crs: str = words("the plan's projected CRS: what the file's coordinates are held to be in")
    unit: str = words("its unit")
    vertical_datum: str = words("of the plan's heights")
    layout: str = words("how the surveyor's file was read")
    inputs: tuple[InputFile, ...] = words("the files read")
    run_id: str = words("of this report; changes with any input")
    version: str = words("of siting")


@dataclass(frozen=True, slots=True)
class AsStaked:
    """The as-staked report."""

    points: tuple[StakedPoint, ...] = words("every stake that was measured, in the plan's order")
    likely_cause: str = words("none, one_point, shift, swapped_axes, feet, wrong_zone, rotated or scaled")
    verdict: str = words("worst of the points and of the checks that were worked out again")
    headline: str = words("the verdict in one plain sentence")
    cause: Cause = words("the likely cause with its evidence")
    missing: tuple[MissingPoint, ...] = words("stakes that were not measured")
    extra: tuple[ExtraPoint, ...] = words("measured points that are no stake")
    tolerance: Tolerance = words("what the misses are held against")
    effects: Effects = words("what the staked places do to guys, lift and land")
    source: StakedSource = words("what the report was made from")
