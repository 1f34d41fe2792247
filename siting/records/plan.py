"""The plan: one immutable record that every writer prints and none can change.

Field names are the keys of plan.json (docs/files.md). A number's quantity gives its unit and its decimals.
"""

from __future__ import annotations

from dataclasses import dataclass

from siting.figures import quantity, words
from siting.records.air import AirScreening
from siting.records.dig import DigPlan, Ring
from siting.records.findings import Check, Unchecked
from siting.records.ground import Backdrop
from siting.records.guys import CutList, TensionTable
from siting.records.holding import HoldingPlan
from siting.records.lift_guys import LiftGuys
from siting.records.permit import PermitFacts, PermitGround
from siting.records.plumb import PlumbForm, Standing, Transfer
from siting.records.power import PowerLineFinding
from siting.records.profiles import Profiles
from siting.records.reach import ReachZone
from siting.records.rules import Move, PermitDates, RuleFinding
from siting.records.statics import Statics
from siting.records.survey import ControlPoint, GroundGrid, Localisation, PointList, Tie


@dataclass(frozen=True, slots=True)
class Base:
    """Centre of the base plate, where the hinge stands."""

    lat: float = quantity("latlon", "WGS 84 latitude")
    lon: float = quantity("latlon", "WGS 84 longitude")
    easting: float = quantity("coordinate", "in the plan's projected CRS")
    northing: float = quantity("coordinate", "in the plan's projected CRS")
    height_m: float = quantity("coordinate", "the DEM's height, metres")
    slope_percent: float | None = quantity("percent", "Horn slope of the DEM cell that holds the base")
    uphill_deg: float | None = quantity("bearing", "true azimuth that runs straight up that cell; null where it is level")
    dms: str = words("latitude and longitude as degrees, minutes, seconds, WGS 84")
    mgrs: str = words("MGRS to 1 m (truncated), WGS 84; empty outside its range")
    given_as: str = words("the base as the user gave it")


@dataclass(frozen=True, slots=True)
class PlanCrs:
    """The frame of eastings and northings, and how it lies against ground, true north and magnetic north."""

    epsg: int | None = words("EPSG code of the projected CRS; null where it has none")
    name: str = words("name of the projected CRS")
    datum: str = words("its geodetic datum; latitudes and longitudes are WGS 84, realisation not stated by the sources")
    epoch: str = words("epoch of the coordinates as the user states it, or that none is stated")
    unit: str = words("unit of eastings and northings")
    unit_m: float = quantity("unit_factor", "metres in that unit")
    convergence_deg: float = quantity("bearing", "positive where grid north lies east of true north")
    point_scale: float = quantity("factor", "grid length / ellipsoid length at the base")
    elevation_factor: float = quantity("factor", "R/(R+h), R = sqrt(M N) at the base, h the base's height")
    combined_factor: float = quantity("factor", "point scale x elevation factor: grid = ground x combined factor")
    declination_deg: float | None = quantity("bearing", "east positive; null where the model does not cover the date")
    declination_error_deg: float | None = quantity("bearing", "the model's own standard error at the base")
    declination_model: str = words("the magnetic model and the date it was asked for, or why there is none")
    transformation: str = words("how WGS 84 was turned into this CRS, with the stated accuracy")


@dataclass(frozen=True, slots=True)
class Terrain:
    """The DEM that the plan stands on."""

    dem: str = words("the DEM as the user named it")
    crs: str = words("its coordinate system")
    transformation: str = words("how WGS 84 was turned into that system, with the stated accuracy")
    cell_m: tuple[float, float] = quantity("length", "ground size of a cell at the base: along a row, along a column")
    unit: str = words("unit of its heights, and where that is stated")
    vertical_datum: str = words("its vertical datum, or that none is stated")
    geoid: str = words("the geoid grid for ellipsoidal heights, or that none was given: heights are the DEM's alone")
    blank_elevation: bool = words("true where the user wants no elevation in point files without a named vertical datum")


@dataclass(frozen=True, slots=True)
class MastFacts:
    """The mast that the plan is for."""

    name: str = words("the mast's name")
    structure: str = words("lattice or tubular")
    height_m: float = quantity("length", "from the hinge along the mast")
    total_height_m: float = quantity("length", "ground to the tip of the air terminal")
    hinge_height_m: float = quantity("length", "hinge above the ground at the base")
    section_length_m: float = quantity("length", "length of a section")
    gin_pole_length_m: float = quantity("length", "hinge to the gin pole's tip")
    mass_kg: float = quantity("mass", "mast alone, mass per metre x height")
    is_generic: bool = words("true for a mast shipped with the package: use the maker's drawing")
    note: str = words("what the mast file says of itself")
    base_section_m: float | None = quantity(
        "length", "length of the first section from the hinge; null where it is as long as the others", None
    )


@dataclass(frozen=True, slots=True)
class Candidate:
    """One azimuth of the sweep."""

    azimuth_deg: float = quantity("bearing", "true azimuth from the base to the head on the ground")
    slope_percent: float = quantity("percent", "least-squares slope of the ground along it, uphill positive")
    rest_slope_percent: float = quantity("percent", "slope of the rest line")
    worst_utilisation: float = quantity("ratio", "largest utilisation of the checks that depend on the azimuth")
    verdict: str = words("worst verdict of those checks")
    worst_check: str = words("id of the check with that utilisation")
    max_gap_m: float = quantity("travel", "largest gap under the rest line")
    cross_fall_percent: float | None = quantity("percent", "ground square to it, rising to the right positive; null without data")
    max_anchor_slope_percent: float = quantity("percent", "steepest ground at an anchor")
    max_side_travel_m: float | None = quantity("travel", "largest travel of a side guy; null without side guys")
    winch_arm_min_ratio: float | None = quantity("ratio", "smallest winch arm between rest and 80 degrees / gin pole length")
    max_pull_kn: float | None = quantity("force", "largest pull between rest and 80 degrees, mast alone; null where the line cannot lift")


@dataclass(frozen=True, slots=True)
class Dropped:
    """An azimuth that could not be judged."""

    azimuth_deg: float = quantity("bearing", "true azimuth")
    reason: str = words("which point has no height, and why")


@dataclass(frozen=True, slots=True)
class RunnerUp:
    """The best laydown in another direction."""

    azimuth_deg: float = quantity("bearing", "true azimuth")
    slope_percent: float = quantity("percent", "slope of the ground along it")
    worst_utilisation: float = quantity("ratio", "as in candidates")
    verdict: str = words("pass, marginal or fail")
    why: str = words("what holds it back, in plain words")


@dataclass(frozen=True, slots=True)
class RuledOut:
    """A run of neighbouring azimuths that fail for one main reason."""

    from_deg: float = quantity("bearing", "first true azimuth, clockwise")
    to_deg: float = quantity("bearing", "last true azimuth, clockwise")
    check: str = words("kind of the check that fails worst")
    text: str = words("the reason in plain words")


@dataclass(frozen=True, slots=True)
class Profile:
    """Ground and rest line along the chosen laydown, at the contract's samples."""

    s_m: tuple[float, ...] = quantity("length", "horizontal ground distance from the base")
    ground_m: tuple[float, ...] = quantity("length", "height of the ground")
    rest_line_m: tuple[float, ...] = quantity("length", "height of the rest line")


@dataclass(frozen=True, slots=True)
class Laydown:
    """Where and how the mast lies before the lift."""

    azimuth_deg: float = quantity("bearing", "true azimuth from the base to the head on the ground")
    azimuth_grid_deg: float = quantity("bearing", "grid azimuth = true - convergence")
    azimuth_magnetic_deg: float | None = quantity("bearing", "magnetic azimuth = true - declination; null without it")
    slope_percent: float = quantity("percent", "least-squares slope of the ground along it, uphill positive")
    rest_slope_percent: float = quantity("percent", "slope of the rest line")
    rest_angle_deg: float = quantity("angle", "rest line above the horizontal")
    max_gap_m: float = quantity("travel", "largest gap under the rest line: cribbing height")
    max_gap_at_m: float = quantity("length", "where that gap is, from the base")
    cross_fall_percent: float | None = quantity("percent", "ground square to the laydown, rising to the right positive")
    worst_utilisation: float = quantity("ratio", "as in candidates")
    verdict: str = words("worst verdict of the checks that depend on the azimuth")
    chosen_by: str = words("recommended, or given by the user")
    ground: str = words("slope, level, summit or hollow: what the sweep shows around the base")
    summary: str = words("the laydown in one plain sentence")
    reasons: tuple[str, ...] = words("why this azimuth, in plain sentences")
    runners_up: tuple[RunnerUp, ...] = words("the best azimuths in other directions")
    ruled_out: tuple[RuledOut, ...] = words("which directions fail, and of what")
    dropped: tuple[Dropped, ...] = words("azimuths that could not be judged")
    profile: Profile = words("ground and rest line along the laydown")
    candidates: tuple[Candidate, ...] = words("the whole sweep, by azimuth")


@dataclass(frozen=True, slots=True)
class Stake:
    """A point to set out on the ground."""

    id: str = words("as in the mast file; BASE and HEAD for those two")
    point: str = words("the id in at most 8 ASCII characters, unique")
    role: str = words("base, permanent, temporary, winch, head or offset")
    code: str = words("short feature code")
    description: str = words("plain words without comma or quote")
    lat: float = quantity("latlon", "WGS 84 latitude")
    lon: float = quantity("latlon", "WGS 84 longitude")
    easting: float = quantity("coordinate", "in the plan's projected CRS")
    northing: float = quantity("coordinate", "in the plan's projected CRS")
    height_m: float = quantity("coordinate", "the DEM's height, metres: not for grade")
    ellipsoid_height_m: float | None = quantity("coordinate", "height + geoid undulation; null without a geoid grid")
    azimuth_deg: float = quantity("bearing", "true azimuth from the base; 0 for the base itself")
    azimuth_grid_deg: float = quantity("bearing", "grid azimuth from the base")
    azimuth_magnetic_deg: float | None = quantity("bearing", "magnetic azimuth from the base; null without declination")
    radius_m: float = quantity("coordinate", "horizontal ground distance from the base")
    grid_distance_m: float = quantity("coordinate", "ground distance x combined factor")
    above_base_m: float = quantity("coordinate", "height above the ground at the base")
    slope_percent: float | None = quantity("percent", "Horn slope of the DEM cell that holds it")
    verdict: str = words("worst verdict of the checks that name this stake; unchecked where none does")


@dataclass(frozen=True, slots=True)
class GuyChord:
    """A guy as the straight line from the plumb mast to the ground at its anchor."""

    anchor: str = words("stake id of the anchor")
    attach_m: float = quantity("length", "attachment above the hinge, along the mast")
    use: str = words("permanent, or temporary: rigged for the lift only")
    diameter_mm: float | None = quantity("diameter", "of the strand; null where the mast file has none")
    chord_m: float = quantity("coordinate", "straight line from the attachment on the plumb mast to the anchor")
    anchor_angle_deg: float = quantity("angle", "of that line above the horizontal at the anchor")


@dataclass(frozen=True, slots=True)
class SideGuy:
    """A guy to a side anchor while the mast goes up."""

    anchor: str = words("stake id of the side anchor")
    attach_m: float = quantity("length", "attachment above the hinge, along the mast")
    length_m: tuple[float, ...] = quantity("travel", "attachment to anchor at each of `angles_deg`")
    travel_m: float = quantity("travel", "largest minus smallest length over the whole lift")
    shortest_m: float = quantity("travel", "smallest length over the lift: the guy is slackest there")
    shortest_at_deg: float = quantity("angle", "mast angle of the smallest length")
    longest_m: float = quantity("travel", "largest length over the lift: the guy is tightest there")
    longest_at_deg: float = quantity("angle", "mast angle of the largest length")


@dataclass(frozen=True, slots=True)
class WindStop:
    """The wind at which the lift stops: the user's input, never a default."""

    value_m_s: float = quantity("speed", "stop at or above this")
    height_m: float = quantity("length", "measured at this height above ground")
    averaging: str = words("over which time, as the user says")


@dataclass(frozen=True, slots=True)
class Lift:
    """The lift from the rest line to plumb. Angles: mast above the horizontal."""

    angles_deg: tuple[float, ...] = quantity("angle", "from the rest line to 90")
    side_guys: tuple[SideGuy, ...] = words("one for each guy to a side anchor")
    winch_pull_kn: tuple[float | None, ...] = quantity("force", "mast alone at H/2; null where the arm is not positive")
    winch_arm_m: tuple[float | None, ...] = quantity("travel", "winch line's lever arm about the hinge; null without a winch")
    winch_arm_min_ratio: float | None = quantity("ratio", "smallest arm between rest and 80 degrees / gin pole length")
    winch_arm_min_at_deg: float | None = quantity("angle", "mast angle of that smallest arm")


@dataclass(frozen=True, slots=True)
class ParcelTouched:
    """A parcel that is not the applicant's and that the fall zone reaches."""

    id: str = words("the parcel's id")
    area_m2: float = quantity("area", "ground area of it inside the fall circle")
    distance_m: float = quantity("length", "from the base to its nearest point")
    bearing_deg: float = quantity("bearing", "true azimuth to that point")


@dataclass(frozen=True, slots=True)
class ObstacleTouched:
    """An obstacle inside the fall circle."""

    kind: str = words("the layer's `kind`")
    distance_m: float = quantity("length", "from the base to its nearest point")
    bearing_deg: float = quantity("bearing", "true azimuth to that point")
    name: str = words("its name or number in the layer")


@dataclass(frozen=True, slots=True)
class BoundaryPoint:
    """The nearest point of the land's exterior line."""

    lat: float = quantity("latlon", "WGS 84 latitude")
    lon: float = quantity("latlon", "WGS 84 longitude")
    easting: float = quantity("coordinate", "in the plan's projected CRS")
    northing: float = quantity("coordinate", "in the plan's projected CRS")


@dataclass(frozen=True, slots=True)
class Land:
    """Fall zone and setback against the land. Distances and areas are on the ground."""

    fall_radius_m: float = quantity("length", "total height")
    setback_m: float = quantity("length", "setback factor x total height")
    setback_factor: float = quantity("ratio", "the factor")
    anchor_circle_m: float = quantity("length", "radius of the circle through the outermost permanent anchors")
    own: tuple[str, ...] = words("ids of the applicant's parcels; empty where no parcels were given")
    nearest_boundary_m: float | None = quantity("length", "base to the exterior line of the own land; negative outside it")
    nearest_boundary_bearing_deg: float | None = quantity("bearing", "true azimuth to that point")
    nearest_boundary_point: BoundaryPoint | None = words("that point")
    nearest_neighbour: str = words("id of the parcel across the line there; empty where none is known")
    boundary_error_m: float = quantity("length", "how well the lines are known, as the user says")
    parcels_touched: tuple[ParcelTouched, ...] = words("neighbours that the fall circle reaches")
    obstacles_touched: tuple[ObstacleTouched, ...] = words("obstacles that the fall circle reaches")
    rules: tuple[RuleFinding, ...] = words("what each rule of the site's rule files found", ())
    permit_dates: tuple[PermitDates, ...] = words("how long a permit would last by those rule files", ())


@dataclass(frozen=True, slots=True)
class Shape:
    """A line or an area to draw, in WGS 84. Polygons: rings closed, exterior counter-clockwise."""

    kind: str = words("laydown, guy, side_guy, winch_line, fall_zone, setback, anchor_circle, parcel, own_land, obstacle, boundary_tie")
    id: str = words("what it belongs to")
    label: str = words("what to call it on a map")
    geometry: str = words("Polygon or LineString")
    rings: tuple[Ring, ...] = quantity("latlon", "(lon, lat) pairs: one line, or exterior and holes")


@dataclass(frozen=True, slots=True)
class InputFile:
    """A file that the plan was made from."""

    path: str = words("as the user wrote it")
    sha256: str = words("hash of what `covers` names")
    covers: str = words("the whole file, or for a large DEM the heights that were read")


@dataclass(frozen=True, slots=True)
class Provenance:
    """What made this plan."""

    run_id: str = words("the same in every file of the packet; changes with any input")
    version: str = words("of siting")
    plan_date: str = words("the day the plan is for")
    inputs: tuple[InputFile, ...] = words("every file read")
    method: tuple[str, ...] = words("how the numbers are defined, in short")


@dataclass(frozen=True, slots=True)
class Plan:
    """Everything a packet says."""

    name: str = words("the site's name")
    verdict: str = words("worst verdict of the checked items: pass, marginal or fail")
    headline: str = words("the verdict in one plain sentence")
    base: Base = words("where the mast stands")
    crs: PlanCrs = words("the frame of the coordinates")
    terrain: Terrain = words("the DEM")
    mast: MastFacts = words("the mast")
    laydown: Laydown = words("where it lies before the lift")
    stakes: tuple[Stake, ...] = words("every point to set out")
    guys: tuple[GuyChord, ...] = words("every guy")
    lift: Lift = words("the lift")
    land: Land = words("fall zone and setback")
    checks: tuple[Check, ...] = words("every check, the tightest first")
    unchecked: tuple[str, ...] = words("ids of what could not be checked: never a pass")
    unchecked_detail: tuple[Unchecked, ...] = words("what is missing for each of them")
    warnings: tuple[str, ...] = words("what must be read before use")
    notes: tuple[str, ...] = words("what was assumed, repaired or left out")
    cautions: tuple[str, ...] = words("the usual cautions")
    shapes: tuple[Shape, ...] = words("lines and areas to draw")
    provenance: Provenance = words("what made this plan")
    ties: tuple[Tie, ...] = words("check distances between the points", ())
    control: tuple[ControlPoint, ...] = words("the user's control points and physical features", ())
    localisation: Localisation | None = words("the user's control pairs against the grid, for comparison; null without pairs", None)
    ground_grid: GroundGrid | None = words("coordinates scaled to the ground, where the user asks for them; else null", None)
    point_lists: tuple[PointList, ...] = words("point lists in the layouts that the user asks for", ())
    cut_list: CutList | None = words("every guy's length and what to order; null where the mast file has no guys", None)
    tensions: TensionTable | None = words("how tight to set the permanent guys, by temperature; null without them", None)
    lift_guys: LiftGuys | None = words("every line through the lift, stop by stop; null without lines", None)
    statics: Statics | None = words("forces of the lift; null without a winch", None)
    transfer: Transfer | None = words("the order in which the guys go over to the permanent anchors; null where none holds", None)
    plumb_form: PlumbForm | None = words("a form for the readings of lean and tension; null without levels to read", None)
    standing: Standing | None = words("the mast in its permanent guys, to plumb it by; null where it cannot be plumbed by calculation", None)
    reach: tuple[ReachZone, ...] = words("the ground that mast, guys and lift can reach, and whose it is", ())
    power_lines: tuple[PowerLineFinding, ...] = words("how near the mast comes to each overhead line that is drawn", ())
    air: AirScreening | None = words("the mast held against rules of air navigation: a screening, the authority alone decides", None)
    profiles: Profiles | None = words("ground under the lying mast's joints and along every guy; null without them", None)
    permit: PermitFacts | None = words("what the applicant says for the permit's site map", None)
    permit_ground: PermitGround | None = words("what that map draws of the land around", None)
    holding: HoldingPlan | None = words("what holds the guys and the base in the ground; null where it is not worked out", None)
    dig: DigPlan | None = words("the digging, the notice before it and what to bring; null where the hold is not worked out", None)
    wind_stop: WindStop | None = words("the wind at which the lift stops, as the user set it; null: NOT SET, nothing is raised", None)
    paper: str = words("paper of the sheets: A4, Letter, A3 or Tabloid", "A4")
    language: str = words("language of the sheets: en, de, es or fr", "en")
    backdrop: Backdrop | None = words("shaded ground for the map; not written to plan.json", None, in_json=False)
    move: Move | None = words("the shortest move of the base that mends the land; null where nothing of the land fails", None)
