"""The table [air] of a site file: its keys, and the record that it makes."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from pydantic import Field

from siting.errors import Fault, InputError
from siting.inputs.toml_file import Table
from siting.records.airfields import OPEN, AirSource


class AirTable(Table):
    """[air]: runways and heliports, the ground above sea level, what marking laws ask about."""

    runways: Annotated[str, Field(min_length=1)] | None = None
    heliports: Annotated[str, Field(min_length=1)] | None = None
    vertical_datum_offset_m: Annotated[float, Field(ge=-200, le=200)] | None = None
    site_elevation_ft_amsl: Annotated[float, Field(ge=-2000, le=30_000)] | None = None
    base_width_m: Annotated[float, Field(gt=0, le=50)] | None = None
    rural: bool | None = None
    state: Annotated[str, Field(pattern=r"^[A-Z]{2}(-[A-Z0-9]{1,3})?$")] | None = None


def air_source(table: AirTable, folder: Path, where: str) -> AirSource:
    """What the table says, with files that are there; lengths in metres, the surveyed elevation in feet.

    Raises:
        InputError: a file is missing, or the ground's height is given twice.
    """
    faults = []
    for key in ("runways", "heliports"):
        given = getattr(table, key)
        if given and not (key == "runways" and given == OPEN) and not (folder / given).exists():
            faults.append(Fault("layer_missing", given, "no such file", f"check [air] {key}: it is relative to the site file"))
    if table.vertical_datum_offset_m is not None and table.site_elevation_ft_amsl is not None:
        faults.append(
            Fault("air_elevation", f"{where}, [air]", "gives site_elevation_ft_amsl and vertical_datum_offset_m", "give one of them")
        )
    if faults:
        raise InputError(tuple(faults))
    is_open = table.runways == OPEN
    return AirSource(
        runways=folder / table.runways if table.runways and not is_open else None,
        runways_shown="" if is_open or not table.runways else _shown(table.runways),
        is_open=is_open,
        heliports=folder / table.heliports if table.heliports else None,
        heliports_shown=_shown(table.heliports or ""),
        vertical_datum_offset_m=table.vertical_datum_offset_m,
        site_elevation_ft_amsl=table.site_elevation_ft_amsl,
        base_width_m=table.base_width_m,
        is_rural=table.rural,
        state=table.state,
    )


def _shown(path: str) -> str:
    """A path as the packet names it: as written, but never a machine's own folders."""
    return Path(path).name if Path(path).is_absolute() else path
