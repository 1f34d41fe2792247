"""A site as the user describes it: base, DEM, mast, land, limits. Paths, numbers and their sources."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, replace
from pathlib import Path

from siting.records.airfields import AirSource
from siting.records.holding import AnchorWants, WindInput
from siting.records.mast import Mast
from siting.records.permit import PermitFacts
from siting.records.rules import RuleInputs
from siting.records.soil import SoilInput

# What a column of a point list can hold. `none` leaves a column empty, for programs that want one there.
COLUMNS = ("point", "northing", "easting", "elevation", "code", "description", "lat", "lon", "none")
NO_SOURCE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Limit:
    """A value that a check holds against, and where it comes from."""

    value: float
    source: str


@dataclass(frozen=True, slots=True)
class Limits:
    """The limits of the ground, the laydown and the lift. Defaults: docs/limits.md."""

    laydown_slope_min_percent: Limit = Limit(-0.5, NO_SOURCE)
    laydown_slope_max_percent: Limit = Limit(15.0, NO_SOURCE)
    rest_slope_max_percent: Limit = Limit(20.0, NO_SOURCE)
    gap_max_m: Limit = Limit(3.0, NO_SOURCE)
    anchor_slope_max_percent: Limit = Limit(27.0, NO_SOURCE)
    side_guy_travel_max_m: Limit = Limit(1.0, NO_SOURCE)
    winch_arm_min_ratio: Limit = Limit(0.1, NO_SOURCE)
    pole_clear_min_m: Limit = Limit(0.0, NO_SOURCE)
    # Below 0: a line that bears on a hump is laid on timbers or a roller. 30 m from the pole's tip 0.5 m turns it by a degree.
    line_clear_min_m: Limit = Limit(-0.5, NO_SOURCE)


# Read in a public copy of the ordinance for met towers: 1.1 x total height from exterior project lines.
SETBACK_FACTOR = Limit(1.1, "Toquerville UT 10-26-6 (met towers), as an example: check your local code")


@dataclass(frozen=True, slots=True)
class BasePoint:
    """The base as given: WGS 84 degrees, and the words it was given in."""

    lat: float
    lon: float
    given_as: str


@dataclass(frozen=True, slots=True)
class DemSource:
    """Which DEM to read and what the user says of it."""

    path: Path
    shown_path: str  # as the user wrote it, never a machine's path
    vertical_unit: str | None = None
    vertical_datum: str | None = None
    vertical_error_m: float | None = None
    band: int | None = None
    geoid: Path | None = None
    geoid_shown: str = ""


@dataclass(frozen=True, slots=True)
class LandSource:
    """Which land layers to read and what the user says of them."""

    parcels: Path | None = None
    parcels_shown: str = ""
    parcels_layer: str | None = None
    parcel_id_field: str | None = None
    own: tuple[str, ...] = ()
    boundary_error_m: float = 0.0
    setback_factor: Limit = SETBACK_FACTOR
    obstacles: Path | None = None
    obstacles_shown: str = ""
    obstacles_layer: str | None = None
    owner_field: str | None = None


@dataclass(frozen=True, slots=True)
class PointOptions:
    """How point files are written. Lengths in metres."""

    blank_unknown_elevation: bool = False
    name_length: int = 8
    first_number: int | None = None  # points numbered from here on instead of named by their ids
    codes: tuple[tuple[str, str], ...] = ()  # (role, code) that replace the package's own
    # Outside a dug hole, near enough to measure back from: common practice, no source.
    offset_in_line_m: tuple[float, ...] = (3.0,)
    offset_square_m: tuple[float, ...] = (3.0,)
    lists: tuple[ListLayout, ...] = ()
    ground_scaled: bool = False


@dataclass(frozen=True, slots=True)
class LiftInputs:
    """Winds that the user sets for the lift; none has a default."""

    cross_wind_m_s: float | None = None
    keep_out_margin_m: float = 0.0  # added round the zones of the lift: the user's
    wind_stop_m_s: float | None = None
    wind_stop_height_m: float | None = None
    wind_stop_averaging: str | None = None


@dataclass(frozen=True, slots=True)
class GroundInputs:
    """What the user says of the ground under the anchors, and wants of them."""

    site: SoilInput | None = None  # None: nothing is said of it
    anchors: tuple[tuple[str, SoilInput], ...] = ()  # by stake id, where an anchor has its own
    wants: AnchorWants = AnchorWants()
    wind: WindInput = WindInput()
    locate_buffer_m: float = 5.0  # around every opening of the ground: common practice, no source

    @property
    def knows_soil(self) -> bool:
        """Whether anything is said of the ground: where nothing is, nothing that it holds is checked; no unit."""
        return self.site is not None or bool(self.anchors)


@dataclass(frozen=True, slots=True)
class ListLayout:
    """The one description of a point list's layout: which columns, in which order, written how."""

    name: str
    columns: tuple[str, ...]
    separator: str = "comma"
    has_header: bool = False
    unit: str = "m"
    decimals: int = 3


@dataclass(frozen=True, slots=True)
class GivenPoint:
    """A control point or a physical feature as the user gives it; eastings and northings in the plan's CRS."""

    name: str
    role: str  # control or feature
    easting: float | None = None
    northing: float | None = None
    lat: float | None = None
    lon: float | None = None
    height_m: float | None = None
    local_easting: float | None = None
    local_northing: float | None = None


@dataclass(frozen=True, slots=True)
class Site:
    """Everything a plan is made from, read and checked."""

    name: str
    where: str  # the site file's name, or "command line": how a fault names it
    date: datetime.date
    base: BasePoint
    dem: DemSource
    mast: Mast
    azimuth_deg: float | None  # None: the sweep recommends one
    land: LandSource
    limits: Limits
    projected_crs: str | None  # None: the UTM zone of the base
    points: PointOptions
    given_points: tuple[GivenPoint, ...]
    epoch: float | None  # of the coordinates, as the user states it
    accepts_null_shift: bool
    paper: str
    language: str  # of the printed sheets
    lift: LiftInputs
    soil: GroundInputs
    rules: RuleInputs
    air: AirSource
    permit: PermitFacts
    files: tuple[tuple[str, Path], ...]  # every file read, as shown and as found

    def options(self) -> str:
        """Everything that the user chose beside the files' content, as one text: part of the run id. No unit."""
        dem, land = self.dem, self.land
        return repr(
            (
                self.name, self.date, self.base, self.mast, self.azimuth_deg, self.limits, self.projected_crs,
                self.points, self.given_points, self.epoch, self.accepts_null_shift, self.paper, self.language,
                self.lift, self.soil, self.rules.sets, [(v.name, v.shown) for v in self.rules.layers],
                replace(self.air, runways=None, heliports=None), self.permit,
                (dem.shown_path, dem.vertical_unit, dem.vertical_datum, dem.vertical_error_m, dem.band, dem.geoid_shown),
                (land.parcels_shown, land.parcels_layer, land.parcel_id_field, land.own, land.boundary_error_m),
                (land.setback_factor, land.obstacles_shown, land.obstacles_layer, land.owner_field),
            )
        )  # fmt: skip
