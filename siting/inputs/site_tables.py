"""The keys of a site file: their kinds and their bounds."""

from __future__ import annotations

import datetime
from typing import Annotated, Literal

from pydantic import Field, field_validator

from siting.inputs.air_tables import AirTable
from siting.inputs.permit_tables import PermitTable
from siting.inputs.rule_tables import RulesTable
from siting.inputs.soil_tables import AnchoringTable, SoilTable, WindTable
from siting.inputs.toml_file import Table
from siting.records.site import COLUMNS

Code = Annotated[str, Field(pattern=r"^[A-Za-z0-9_\-.]{1,16}$")]
Offset = Annotated[float, Field(ge=-50, le=50)]
Percent = Annotated[float, Field(ge=-100, le=200)]


class BaseTable(Table):
    """[base]: lat and lon; or easting, northing and crs; or text."""

    lat: float | None = None
    lon: float | None = None
    easting: float | None = None
    northing: float | None = None
    crs: str | None = None
    text: str | None = None


class DemTable(Table):
    """[dem]."""

    path: Annotated[str, Field(min_length=1)]
    vertical_unit: Literal["m", "ft", "us-ft"] | None = None
    vertical_datum: str | None = None
    vertical_error_m: Annotated[float, Field(ge=0, le=100)] | None = None
    band: Annotated[int, Field(ge=1)] | None = None
    geoid: str | None = None


class MastUseTable(Table):
    """[mast]."""

    use: Annotated[str, Field(min_length=1)]


class LaydownTable(Table):
    """[laydown]."""

    azimuth_deg: float | str = "auto"

    @field_validator("azimuth_deg")
    @classmethod
    def _number_or_auto(cls, value: float | str) -> float | str:
        if isinstance(value, str) and value != "auto":
            raise ValueError(f"is '{value}', but it must be \"auto\" or a number of degrees from true north")
        if isinstance(value, float | int) and not 0 <= value <= 360:
            raise ValueError(f"is {value:g}, but it must lie between 0 and 360 degrees from true north")
        return value


class LandTable(RulesTable):
    """[land]."""

    parcels: str | None = None
    parcels_layer: str | None = None
    parcel_id_field: str | None = None
    own: list[str | int] = []
    boundary_error_m: Annotated[float, Field(ge=0, le=100)] = 0.0
    setback_factor: Annotated[float, Field(gt=0, le=20)] | None = None
    obstacles: str | None = None
    obstacles_layer: str | None = None
    owner_field: str | None = None


class LimitsTable(Table):
    """[limits]."""

    laydown_slope_min_percent: Percent | None = None
    laydown_slope_max_percent: Annotated[float, Field(gt=0, le=200)] | None = None
    rest_slope_max_percent: Annotated[float, Field(gt=0, le=200)] | None = None
    gap_max_m: Annotated[float, Field(gt=0, le=100)] | None = None
    anchor_slope_max_percent: Annotated[float, Field(gt=0, le=200)] | None = None
    side_guy_travel_max_m: Annotated[float, Field(gt=0, le=100)] | None = None
    winch_arm_min_ratio: Annotated[float, Field(gt=0, le=1)] | None = None
    pole_clear_min_m: Annotated[float, Field(ge=-5, le=20)] | None = None
    line_clear_min_m: Annotated[float, Field(ge=-5, le=20)] | None = None


class CrsTable(Table):
    """[crs]."""

    projected: str | None = None
    epoch: Annotated[float, Field(ge=1900, le=2200)] | None = None
    accept_null_shift: bool = False


class PointListTable(Table):
    """[[points.lists]]: the layout of one more point list."""

    name: Annotated[str, Field(pattern=r"^[A-Za-z0-9_\-]{1,40}$")]
    columns: Annotated[list[Literal[COLUMNS]], Field(min_length=1)]
    separator: Literal["comma", "tab", "semicolon", "space"] = "comma"
    header: bool = False
    unit: Literal["m", "ft", "us-ft"] = "m"
    decimals: Annotated[int, Field(ge=0, le=6)] = 3


class CodesTable(Table):
    """[points.codes]: the office's own feature codes."""

    base: Code | None = None
    head: Code | None = None
    permanent: Code | None = None
    temporary: Code | None = None
    winch: Code | None = None
    offset: Code | None = None
    control: Code | None = None
    feature: Code | None = None


class PointsTable(Table):
    """[points]: how point files are written."""

    blank_unknown_elevation: bool = False
    name_length: Annotated[int, Field(ge=4, le=32)] = 8
    first_number: Annotated[int, Field(ge=1, le=9_999_000)] | None = None
    codes: CodesTable = CodesTable()
    offset_in_line_m: list[Offset] = [3.0]
    offset_square_m: list[Offset] = [3.0]
    ground_scaled: bool = False
    lists: list[PointListTable] = []


class GivenTable(Table):
    """[[control]] or [[features]]: a point of the user's own, in the plan's CRS or in WGS 84 degrees."""

    name: Annotated[str, Field(min_length=1, max_length=40)]
    easting: float | None = None
    northing: float | None = None
    lat: Annotated[float, Field(ge=-90, le=90)] | None = None
    lon: Annotated[float, Field(ge=-180, le=180)] | None = None
    height_m: float | None = None
    local_easting: float | None = None
    local_northing: float | None = None


class LiftTable(Table):
    """[lift]: what the crew decides before lift day. No wind has a default."""

    keep_out_margin_m: Annotated[float, Field(ge=0, le=200)] = 0.0
    cross_wind_m_s: Annotated[float, Field(gt=0, le=60)] | None = None
    wind_stop_m_s: Annotated[float, Field(gt=0, le=60)] | None = None
    wind_stop_height_m: Annotated[float, Field(gt=0, le=300)] | None = None
    wind_stop_averaging: Annotated[str, Field(min_length=1, max_length=60)] | None = None


class SheetTable(Table):
    """[sheet]: the printed sheets."""

    paper: Literal["A4", "Letter", "A3", "Tabloid"] = "A4"
    language: Literal["en", "de", "es", "fr"] = "en"


class SiteTable(Table):
    """A site file."""

    name: Annotated[str, Field(min_length=1, max_length=200)]
    date: datetime.date | None = None
    base: BaseTable
    dem: DemTable
    mast: MastUseTable
    laydown: LaydownTable = LaydownTable()
    land: LandTable = LandTable()
    limits: LimitsTable = LimitsTable()
    crs: CrsTable = CrsTable()
    points: PointsTable = PointsTable()
    lift: LiftTable = LiftTable()
    soil: SoilTable = SoilTable()
    anchoring: AnchoringTable = AnchoringTable()
    wind: WindTable = WindTable()
    air: AirTable = AirTable()
    permit: PermitTable = PermitTable()
    sheet: SheetTable = SheetTable()
    control: list[GivenTable] = []
    features: list[GivenTable] = []
