"""Reads a site file, and makes the same from command-line options."""

from __future__ import annotations

import datetime
import os
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field, field_validator

from siting.errors import Fault, InputError, SitingError
from siting.inputs.base_point import base_from_degrees, base_from_grid, base_from_text
from siting.inputs.mast_file import find_mast, read_mast
from siting.inputs.toml_file import Table, read_table
from siting.records.site import SETBACK_FACTOR, BasePoint, DemSource, LandSource, Limit, Limits, Site

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


class LandTable(Table):
    """[land]."""

    parcels: str | None = None
    parcels_layer: str | None = None
    parcel_id_field: str | None = None
    own: list[str | int] = []
    boundary_error_m: Annotated[float, Field(ge=0, le=100)] = 0.0
    setback_factor: Annotated[float, Field(gt=0, le=20)] | None = None
    obstacles: str | None = None
    obstacles_layer: str | None = None


class LimitsTable(Table):
    """[limits]."""

    laydown_slope_min_percent: Percent | None = None
    laydown_slope_max_percent: Annotated[float, Field(gt=0, le=200)] | None = None
    rest_slope_max_percent: Annotated[float, Field(gt=0, le=200)] | None = None
    gap_max_m: Annotated[float, Field(gt=0, le=100)] | None = None
    anchor_slope_max_percent: Annotated[float, Field(gt=0, le=200)] | None = None
    side_guy_travel_max_m: Annotated[float, Field(gt=0, le=100)] | None = None
    winch_arm_min_ratio: Annotated[float, Field(gt=0, le=1)] | None = None


class CrsTable(Table):
    """[crs]."""

    projected: str | None = None


class PointsTable(Table):
    """[points]: how point files are written."""

    blank_unknown_elevation: bool = False


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


def read_site(path: Path) -> Site:
    """The site of a file, with its mast; the DEM and the layers are only named.

    Raises:
        InputError: every fault of the site file and of the mast file.
    """
    table = read_table(path, path.name, SiteTable, "the site file's name")
    return _site(table, path.parent, path.name, ((path.name, path),))


def site_from_options(dem: str, base: str, mast: str) -> Site:
    """A site without a site file, from the command line's options.

    Raises:
        InputError: the base cannot be read, or the mast is unknown.
    """
    table = SiteTable(
        name=f"{mast.removesuffix('.toml')} at {' '.join(base.split())}",
        base=BaseTable(text=base),
        dem=DemTable(path=dem),
        mast=MastUseTable(use=mast),
    )
    return _site(table, Path(), "command line", ())


def _site(table: SiteTable, folder: Path, where: str, own_files: tuple[tuple[str, Path], ...]) -> Site:
    """Brings the tables together; gathers the faults of every part before it gives up."""
    faults: list[Fault] = []

    def attempt(make: Any, *arguments: Any) -> Any:
        try:
            return make(*arguments)
        except SitingError as fault:
            faults.extend(fault.faults)
            return None

    base = attempt(_base, table.base, where)
    dem_path = folder / table.dem.path
    if not dem_path.exists() and "://" not in table.dem.path and not table.dem.path.startswith("/vsi"):
        faults.append(
            Fault("dem_missing", table.dem.path, "no such file", "check [dem] path: it is relative to the site file")
        )
    found = attempt(find_mast, table.mast.use, folder, f"{where}, [mast] use")
    mast = attempt(read_mast, *found) if found else None
    land = attempt(_land, table.land, folder, where)
    limits = attempt(_limits, table.limits, where)
    if faults:
        raise InputError(tuple(faults))
    azimuth = table.laydown.azimuth_deg
    return Site(
        name=table.name,
        where=where,
        date=table.date or _today(),
        base=base,
        dem=DemSource(
            dem_path,
            _shown(table.dem.path),
            table.dem.vertical_unit,
            table.dem.vertical_datum,
            table.dem.vertical_error_m,
            table.dem.band,
        ),
        mast=mast,
        azimuth_deg=None if azimuth == "auto" else float(azimuth) % 360.0,
        land=land,
        limits=limits,
        projected_crs=table.crs.projected,
        blank_unknown_elevation=table.points.blank_unknown_elevation,
        files=(*own_files, (found[1], found[0])),
    )


def _shown(path: str) -> str:
    """A path as the packet names it: as written, but never a machine's own folders."""
    return Path(path).name if Path(path).is_absolute() else path


def _base(table: BaseTable, where: str) -> BasePoint:
    """The base in the one form that the table uses."""
    where = f"{where}, [base]"
    forms = {"lat and lon": (table.lat, table.lon), "text": (table.text,)}
    forms["easting, northing and crs"] = (table.easting, table.northing, table.crs)
    used = [name for name, values in forms.items() if any(v is not None for v in values)]
    if len(used) != 1:
        found = "has no point" if not used else f"gives the point in {len(used)} forms ({'; '.join(used)})"
        raise InputError.of("base_form", where, found, "give exactly one of: lat and lon; easting, northing and crs; text")
    if any(v is None for v in forms[used[0]]):
        raise InputError.of("base_form", where, f"is incomplete: it needs {used[0]}", "add what is missing")
    if table.text is not None:
        return base_from_text(table.text, where)
    if table.lat is not None:
        return base_from_degrees(table.lat, table.lon, where)
    return base_from_grid(table.easting, table.northing, table.crs, where)


def _land(table: LandTable, folder: Path, where: str) -> LandSource:
    """The land layers, with files that are there."""
    faults = []
    for key in ("parcels", "obstacles"):
        given = getattr(table, key)
        if given and not (folder / given).exists():
            faults.append(Fault("layer_missing", given, "no such file", f"check [land] {key}: it is relative to the site file"))
    if table.own and not table.parcels:
        faults.append(Fault("land_own", f"{where}, [land] own", "is given without parcels", "add [land] parcels"))
    if table.own and table.parcels and not table.parcel_id_field:
        faults.append(
            Fault("land_own", f"{where}, [land] own", "is given without the field that holds the ids", "add [land] parcel_id_field")
        )
    if faults:
        raise InputError(tuple(faults))
    factor = SETBACK_FACTOR if table.setback_factor is None else Limit(table.setback_factor, f"user ({where})")
    return LandSource(
        parcels=folder / table.parcels if table.parcels else None,
        parcels_shown=_shown(table.parcels or ""),
        parcels_layer=table.parcels_layer,
        parcel_id_field=table.parcel_id_field,
        own=tuple(str(v) for v in table.own),
        boundary_error_m=table.boundary_error_m,
        setback_factor=factor,
        obstacles=folder / table.obstacles if table.obstacles else None,
        obstacles_shown=_shown(table.obstacles or ""),
        obstacles_layer=table.obstacles_layer,
    )


def _limits(table: LimitsTable, where: str) -> Limits:
    """The limits: the user's, with the user as their source, over the defaults."""
    given = {k: v for k, v in table.model_dump().items() if v is not None}
    limits = Limits(**{k: Limit(v, f"user ({where})") for k, v in given.items()})
    if limits.laydown_slope_min_percent.value >= limits.laydown_slope_max_percent.value:
        raise InputError.of(
            "limits_order", f"{where}, [limits]", "laydown_slope_min_percent is not below laydown_slope_max_percent",
            "correct one of them",
        )  # fmt: skip
    return limits


def _today() -> datetime.date:
    """The day of the plan: SOURCE_DATE_EPOCH where it is set (repeatable builds), else today."""
    epoch = os.environ.get("SOURCE_DATE_EPOCH")
    if epoch and epoch.isdigit():
        return datetime.datetime.fromtimestamp(int(epoch), datetime.UTC).date()
    return datetime.date.today()
