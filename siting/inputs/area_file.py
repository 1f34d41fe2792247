"""Reads an area file: a site file's tables without a base, and what `siting search` is to do with them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Annotated, Any, ClassVar, Literal

from pydantic import Field, create_model, field_validator

from siting.errors import Fault, InputError
from siting.inputs.air_tables import AirTable
from siting.inputs.layers import layer_name
from siting.inputs.site_file import shown_path, site_without_base
from siting.inputs.site_tables import LaydownTable, SiteTable
from siting.inputs.toml_file import Table, read_table
from siting.records.search import FULL, PASSING, SearchJob, SearchOptions

LEAST_STEP_DEG = 0.5


class SearchTable(Table):
    """[search]."""

    area: Annotated[str, Field(min_length=1)] | None = None
    azimuth_step_deg: Annotated[float, Field(ge=LEAST_STEP_DEG, le=360)] = 5.0
    spots: Annotated[int, Field(ge=1, le=200)] = 10
    apart_m: Annotated[float, Field(ge=0, le=1_000_000)] = 200.0
    mode: Literal[PASSING, FULL] = PASSING

    @field_validator("azimuth_step_deg")
    @classmethod
    def _whole_turn(cls, value: float) -> float:
        turns = 360.0 / value
        if abs(turns - round(turns)) > 1e-9:
            near = 360.0 / round(turns)
            raise ValueError(f"is {value:g}, which does not divide 360 degrees; the nearest that does is {near:g}")
        return value


class EveryAzimuthTable(LaydownTable):
    """[laydown] of an area file: a search looks in every azimuth."""

    @field_validator("azimuth_deg")
    @classmethod
    def _auto_only(cls, value: float | str) -> float | str:
        if value != "auto":
            raise ValueError(f'is {value:g}, but a search looks in every azimuth: write "auto", or leave [laydown] out')
        return value


class EveryPlaceTable(AirTable):
    """[air] of an area file: no surveyed height, which would be that of one place."""

    @field_validator("site_elevation_ft_amsl")
    @classmethod
    def _not_of_one_place(cls, value: float | None) -> float | None:
        if value is not None:
            raise ValueError(f"is {value:g}, the ground at one base, but every spot has its own: take it out, or give vertical_datum_offset_m")
        return value


_OWN = {"laydown": (EveryAzimuthTable, EveryAzimuthTable()), "air": (EveryPlaceTable, EveryPlaceTable())}
_SHARED: dict[str, Any] = {
    name: _OWN.get(name, (field.annotation, field)) for name, field in SiteTable.model_fields.items() if name != "base"
}


class AreaTable(create_model("SharedTables", __base__=Table, **_SHARED)):
    """An area file: every table of a site file but [base], and [search]."""

    search: SearchTable = SearchTable()
    ELSEWHERE: ClassVar[dict[str, tuple[str, str]]] = {
        "base": ("does not belong into an area file: the search finds the bases", "take the table [base] out, or use siting plan"),
    }


def read_area(path: Path) -> SearchJob:
    """The search that an area file asks for, with the template of its spots' sites; the DEM and the layers are only named.

    Raises:
        InputError: every fault of the area file, of the mast file and of the rule files.
    """
    where, folder = path.name, path.parent
    table = read_table(path, where, AreaTable, "the area file's name")
    faults: list[Fault] = []
    try:
        site = site_without_base(table, folder, where, ((where, path),))
    except InputError as fault:
        faults += [replace(f, do=f.do.replace("relative to the site file", "relative to the area file")) for f in fault.faults]
    try:
        options = _options(table.search, folder)
    except InputError as fault:
        faults += fault.faults
    if faults:
        raise InputError(tuple(faults))
    # The area file itself is no source of a cell's result: whoever asks for more spots keeps the tiles that are there.
    site = replace(site, files=tuple(item for item in site.files if item[1] != path))
    return SearchJob(table.name, where, folder, table.model_dump(exclude_unset=True), site, options)


def _options(table: SearchTable, folder: Path) -> SearchOptions:
    """What [search] asks for, with an area that can be opened."""
    area, shown = None, ""
    if table.area is not None:
        area, shown = folder / table.area, shown_path(table.area)
        if not area.exists():
            raise InputError.of("layer_missing", shown, "no such file", "check [search] area: it is relative to the area file")
        _require_polygons(area, shown)
    return SearchOptions(area, shown, float(table.azimuth_step_deg), table.spots, float(table.apart_m), table.mode)


def _require_polygons(area: Path, shown: str) -> None:
    """Refuses a file that is no map layer, has no areas, or more than one layer of them."""
    try:
        layer_name(area, shown, None, "[search] area", wants_areas=True)
    except InputError as fault:
        own = {"layer_name": "keep the one layer that is the area in a file of its own", "layer_no_areas": "give polygons"}
        what = {"layer_no_areas": "holds no polygons, but an area is made of polygons"}
        raise InputError(tuple(replace(f, what=what.get(f.code, f.what), do=own.get(f.code, f.do)) for f in fault.faults)) from None
