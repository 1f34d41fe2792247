"""Reads a site file, and makes the same from command-line options."""

from __future__ import annotations

import datetime
import os
from pathlib import Path
from typing import Any

from siting.errors import Fault, InputError, SitingError
from siting.inputs.air_tables import air_source
from siting.inputs.base_point import base_from_degrees, base_from_grid, base_from_text
from siting.inputs.fault_order import in_file_order
from siting.inputs.mast_file import find_mast, read_mast
from siting.inputs.permit_tables import permit_facts
from siting.inputs.site_rules import read_rule_inputs
from siting.inputs.site_tables import BaseTable, DemTable, LandTable, LimitsTable, MastUseTable, PointsTable, SiteTable
from siting.inputs.soil_tables import anchor_wants, soil_inputs, wind_input
from siting.inputs.toml_file import read_table
from siting.records.mast import Mast
from siting.records.site import (
    SETBACK_FACTOR,
    BasePoint,
    DemSource,
    GivenPoint,
    GroundInputs,
    LandSource,
    LiftInputs,
    Limit,
    Limits,
    ListLayout,
    PointOptions,
    Site,
)

Files = tuple[tuple[str, Path], ...]  # as shown and as found


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


def site_without_base(table: Any, folder: Path, where: str, own_files: Files) -> Site:
    """The site of tables that name no base: latitude and longitude of its base are not a number.

    Args:
        table: the tables of a site file but [base]; folder: what their paths are relative to; where: the file as shown.
        own_files: the file itself, as shown and as found.
    Raises:
        InputError: every fault of the tables, of the mast file and of the rule files.
    """
    return _site(table, folder, where, own_files, BasePoint(float("nan"), float("nan"), ""))


def _site(table: SiteTable, folder: Path, where: str, own_files: Files, base: BasePoint | None = None) -> Site:
    """Brings the tables together; gathers the faults of every part before it gives up.

    Args:
        base: instead of the table's own.
    """
    faults: list[Fault] = []

    def attempt(make: Any, *arguments: Any) -> Any:
        try:
            return make(*arguments)
        except SitingError as fault:
            faults.extend(fault.faults)
            return None

    base = base or attempt(_base, table.base, where)
    dem_path, geoid = folder / table.dem.path, table.dem.geoid
    attempt(_require_dem, table.dem, dem_path, bool(own_files))
    attempt(_require_geoid, geoid, folder)
    found = attempt(find_mast, table.mast.use, folder, f"{where}, [mast] use")
    mast = attempt(read_mast, *found) if found else None
    land = attempt(_land, table.land, folder, where)
    rules = attempt(read_rule_inputs, table.land, folder, where)
    limits = attempt(_limits, table.limits, where)
    points = attempt(_points, table.points, where)
    given = attempt(_given_points, table, where)
    soil = attempt(_ground, table, where, mast)
    air = attempt(air_source, table.air, folder, where)
    permit = attempt(permit_facts, table.permit, where)
    if faults:
        raise InputError(in_file_order(faults, own_files[0][1] if own_files else None, where))
    azimuth = table.laydown.azimuth_deg
    return Site(
        name=table.name,
        where=where,
        date=table.date or _today(),
        base=base,
        dem=DemSource(
            dem_path,
            shown_path(table.dem.path),
            table.dem.vertical_unit,
            table.dem.vertical_datum,
            table.dem.vertical_error_m,
            table.dem.band,
            folder / geoid if geoid else None,
            shown_path(geoid or ""),
        ),
        mast=mast,
        azimuth_deg=None if azimuth == "auto" else float(azimuth) % 360.0,
        land=land,
        limits=limits,
        projected_crs=table.crs.projected,
        points=points,
        given_points=given,
        epoch=table.crs.epoch,
        accepts_null_shift=table.crs.accept_null_shift,
        paper=table.sheet.paper,
        language=table.sheet.language,
        lift=LiftInputs(**table.lift.model_dump()),
        soil=soil,
        rules=rules,
        air=air,
        permit=permit,
        files=(*own_files, (found[1], found[0]), *rules.files, *(((shown_path(geoid), folder / geoid),) if geoid else ())),
    )


def _require_dem(table: DemTable, path: Path, has_site_file: bool) -> None:
    """Refuses a DEM that is no file and no address."""
    if path.exists() or "://" in table.path or table.path.startswith("/vsi"):
        return
    do = "check [dem] path: it is relative to the site file" if has_site_file else "check --dem"
    raise InputError.of("dem_missing", table.path, "no such file", do)


def _require_geoid(geoid: str | None, folder: Path) -> None:
    """Refuses a geoid grid that is no file."""
    if geoid and not (folder / geoid).exists():
        raise InputError.of("geoid_missing", geoid, "no such file", "check [dem] geoid: it is relative to the site file")


def shown_path(path: str) -> str:
    """A path as the packet names it: as written, but never a machine's own folders; no unit."""
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
        parcels_shown=shown_path(table.parcels or ""),
        parcels_layer=table.parcels_layer,
        parcel_id_field=table.parcel_id_field,
        own=tuple(str(v) for v in table.own),
        boundary_error_m=table.boundary_error_m,
        setback_factor=factor,
        obstacles=folder / table.obstacles if table.obstacles else None,
        obstacles_shown=shown_path(table.obstacles or ""),
        obstacles_layer=table.obstacles_layer,
        owner_field=table.owner_field,
    )


def _ground(table: SiteTable, where: str, mast: Mast | None) -> GroundInputs:
    """The ground that the anchors stand in, the wind on them, and what the user wants of them."""
    ids = (a.id for a in mast.anchors) if mast else (row.id for row in table.soil.anchors)
    found, faults = [], []
    for read, arguments in ((soil_inputs, (table.soil, where, ids)), (wind_input, (table.wind, where))):
        try:
            found.append(read(*arguments))
        except InputError as error:
            faults.extend(error.faults)
    if faults:
        raise InputError(tuple(faults))
    (site, anchors), wind = found
    return GroundInputs(site, tuple(anchors.items()), anchor_wants(table.anchoring), wind, table.anchoring.buffer_m)


def _points(table: PointsTable, where: str) -> PointOptions:
    """How point files are written."""
    faults, names = [], set()
    for number, row in enumerate(table.lists, 1):
        place = f"{where}, [[points.lists]] no. {number}"
        if row.name.lower() in names:
            faults.append(Fault("point_list", place, f"the name '{row.name}' stands twice", "give each list its own name"))
        names.add(row.name.lower())
        gaps = [c for c in row.columns if c == "none" or (c == "elevation" and table.blank_unknown_elevation)]
        if row.separator == "space" and gaps:
            faults.append(
                Fault(
                    "point_list", place, f"the column {gaps[0]} may be empty, and an empty field between blanks moves the rest",
                    "use another separator, or leave the column out",
                )
            )  # fmt: skip
    if faults:
        raise InputError(tuple(faults))
    return PointOptions(
        blank_unknown_elevation=table.blank_unknown_elevation,
        name_length=table.name_length,
        first_number=table.first_number,
        codes=tuple((role, code) for role, code in table.codes.model_dump().items() if code),
        offset_in_line_m=tuple(v for v in table.offset_in_line_m if v),
        offset_square_m=tuple(v for v in table.offset_square_m if v),
        ground_scaled=table.ground_scaled,
        lists=tuple(
            ListLayout(v.name, tuple(v.columns), v.separator, v.header, v.unit, v.decimals) for v in table.lists
        ),
    )


def _given_points(table: SiteTable, where: str) -> tuple[GivenPoint, ...]:
    """Control points and features, each in one form and under its own name."""
    faults, points, names = [], [], set()
    for role, rows in (("control", table.control), ("feature", table.features)):
        for number, row in enumerate(rows, 1):
            place = f"{where}, [[{role if role == 'control' else 'features'}]] no. {number}"
            grid, degrees = (row.easting, row.northing), (row.lat, row.lon)
            used = [pair for pair in (grid, degrees) if pair != (None, None)]
            if len(used) != 1 or None in used[0]:
                faults.append(
                    Fault("given_point", place, "needs easting and northing, or lat and lon", "give exactly one of the two pairs")
                )
            if (row.local_easting is None) != (row.local_northing is None):
                faults.append(Fault("given_point", place, "has half a local pair", "give local_easting and local_northing"))
            if row.name.upper() in names:
                faults.append(Fault("given_point", place, f"the name '{row.name}' stands twice", "give each point its own name"))
            names.add(row.name.upper())
            points.append(
                GivenPoint(
                    row.name, role, row.easting, row.northing, row.lat, row.lon, row.height_m, row.local_easting, row.local_northing
                )
            )  # fmt: skip
    if faults:
        raise InputError(tuple(faults))
    return tuple(points)


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
