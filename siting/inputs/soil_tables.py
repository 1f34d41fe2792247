"""The tables [soil], [anchoring] and [wind] of a site file: their keys, and the records that they make."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import fields
from typing import Annotated, Literal

from pydantic import Field, field_validator

from siting.errors import Fault, InputError
from siting.inputs.toml_file import Table
from siting.records.holding import AnchorWants, WindInput
from siting.records.soil import SoilInput
from siting.soil.find import soil_faults

Text = Annotated[str, Field(min_length=1, max_length=200)]
NotNegative = Annotated[float, Field(ge=0)]
Positive = Annotated[float, Field(gt=0)]

NAMES = ("uscs", "plain_words", "rock")
PROBINGS = ("blow_count", "probe_nm")
MEASURES = ("friction_deg", "undrained_kpa", "unit_weight_kn_m3", "strength_source")
OF_THE_SITE = ("water_depth_m", "frost_depth_m", "excavation_type")
# Metres around every place where the ground is opened: common practice, no source.
LOCATE_BUFFER_M = 5.0
SCREW_DIAMETERS_M = (0.05, 1.0)
PLATE_SIDES_M = (0.1, 6.0)


class GroundTable(Table):
    """What may be said of the ground. Which words and which values are likely is told by siting.soil."""

    uscs: Text | None = None
    plain_words: Text | None = None
    blow_count: NotNegative | None = None
    probe_nm: NotNegative | None = None
    friction_deg: Positive | None = None
    undrained_kpa: NotNegative | None = None
    unit_weight_kn_m3: Positive | None = None
    rock: Text | None = None
    strength_source: Text | None = None
    water_depth_m: Annotated[float, Field(ge=0, le=100)] | None = None
    frost_depth_m: Annotated[float, Field(ge=0, le=5)] | None = None
    excavation_type: Literal["A", "B", "C", "rock"] | None = None


class AnchorGroundTable(GroundTable):
    """[[soil.anchors]]: the ground at one anchor."""

    id: Annotated[str, Field(min_length=1, max_length=40)]


class SoilTable(GroundTable):
    """[soil]: the ground of the whole site."""

    anchors: list[AnchorGroundTable] = []


class AnchoringTable(Table):
    """[anchoring]: what the user fixes of the anchors; what is left out keeps the default of AnchorWants."""

    kind: Literal["auto", "screw", "plate", "rock_bar"] | None = None
    safety_factor: Annotated[float, Field(ge=1, le=10)] | None = None
    proof_ratio: Annotated[float, Field(ge=1, le=2)] | None = None
    screw_diameters_m: Annotated[list[list[float]], Field(min_length=1)] | None = None
    screw_shaft: Text | None = None
    screw_torque_limit_knm: Positive | None = None
    screw_longest_m: Annotated[float, Field(ge=1, le=30)] | None = None
    plates_m: Annotated[list[list[float]], Field(min_length=1)] | None = None
    plate_deepest_m: Annotated[float, Field(gt=0, le=6)] | None = None
    bar_bond_longest_m: Annotated[float, Field(gt=0, le=15)] | None = None
    bar_diameter_m: Annotated[float, Field(ge=0.01, le=0.1)] | None = None
    bar_yield_mpa: Annotated[float, Field(ge=200, le=1200)] | None = None
    pins: Annotated[int, Field(ge=1, le=20)] | None = None
    pin_length_m: Annotated[float, Field(ge=0.3, le=5)] | None = None
    pin_diameter_m: Annotated[float, Field(ge=0.01, le=0.2)] | None = None
    buffer_m: Annotated[float, Field(gt=0, le=100)] = LOCATE_BUFFER_M

    @field_validator("screw_diameters_m")
    @classmethod
    def _screws(cls, value: list[list[float]] | None) -> list[list[float]] | None:
        least, most = SCREW_DIAMETERS_M
        for number, screw in enumerate(value or [], 1):
            if not screw or not all(least <= d <= most for d in screw):
                raise ValueError(
                    f"screw no. {number} is {screw}, but it must be a list of its plates' diameters in metres, "
                    f"each {least:g} to {most:g}, as in [[0.254], [0.254, 0.305]]"
                )
        return value

    @field_validator("plates_m")
    @classmethod
    def _plates(cls, value: list[list[float]] | None) -> list[list[float]] | None:
        least, most = PLATE_SIDES_M
        for number, plate in enumerate(value or [], 1):
            if len(plate) != 2 or not all(least <= side <= most for side in plate):
                raise ValueError(
                    f"plate no. {number} is {plate}, but it must be its length and its height in metres, "
                    f"each {least:g} to {most:g}, as in [[0.9, 0.3], [1.2, 0.3]]"
                )
        return value


class WindTable(Table):
    """[wind]: the wind of the screening estimate. No speed has a default."""

    basic_m_s: Annotated[float, Field(gt=0, le=80)] | None = None
    terrain: Literal["0", "I", "II", "III", "IV"] = "II"
    source: Text | None = None


def soil_inputs(
    table: SoilTable, where: str, anchor_ids: Iterable[str]
) -> tuple[SoilInput | None, dict[str, SoilInput]]:  # fmt: skip
    """The ground of the site (None where nothing is said of it) and of each anchor that has its own; no unit.

    An anchor takes water table, frost depth and excavation type from the site where it says none. A name of its own replaces
    all that the site says of the ground; a blow count, a probe or a measured strength of its own replaces the site's of all
    three kinds, and keeps the site's name.

    Args:
        where: the site file as shown; anchor_ids: the stakes that may have a ground of their own.
    Raises:
        InputError: a word, group or rock that is not known, a value in another unit, a measured strength without its
            source, an anchor that there is not, or one that stands twice; every fault, table by table.
    """
    known = tuple(anchor_ids)
    faults: list[Fault] = []
    place = f"{where}, [soil]"
    site = _given(table)
    faults.extend(_without_source(site, place))
    of_site = soil_faults(SoilInput(where=place, **site))
    faults.extend(of_site)
    told = {(f.code, f.what) for f in of_site}  # an anchor takes over what the site says: that is told once
    anchors: dict[str, SoilInput] = {}
    for number, row in enumerate(table.anchors, 1):
        here = f"{where}, [[soil.anchors]] no. {number}"
        if row.id not in known:
            near = difflib.get_close_matches(row.id, known, 1, 0.4)
            do = f"did you mean {near[0]}?" if near else f"anchors here: {', '.join(known)}"
            faults.append(Fault("soil_anchor", f"{here} id", f"there is no anchor '{row.id}'", do))
        if row.id in anchors:
            faults.append(Fault("soil_anchor", f"{here} id", f"the anchor '{row.id}' stands twice", "give each anchor one table"))
        own = _given(row)
        faults.extend(_without_source(own, here))
        anchors[row.id] = SoilInput(where=f"{here} ({row.id})", **_inherited(site, own))
        faults.extend(f for f in soil_faults(anchors[row.id]) if (f.code, f.what) not in told)
    if faults:
        raise InputError(tuple(faults))
    return (SoilInput(where=place, **site) if site else None), anchors


def _given(table: GroundTable) -> dict[str, object]:
    """The keys of a table that say something, without the anchors."""
    return {k: v for k in GroundTable.model_fields if (v := getattr(table, k)) is not None}


def _without_source(given: dict[str, object], place: str) -> list[Fault]:
    """The fault of a measured strength that nobody is named for."""
    if "strength_source" in given:
        return []
    return [
        Fault(
            "soil_source", f"{place} {key}", "is a measured strength without its source",
            'add strength_source = "report, laboratory, date"; where nothing was measured, leave the strength out',
        )
        for key in ("friction_deg", "undrained_kpa")
        if key in given
    ]  # fmt: skip


def _inherited(site: dict[str, object], own: dict[str, object]) -> dict[str, object]:
    """An anchor's ground: its own, and from the site what does not mix with it."""
    kept: tuple[str, ...] = OF_THE_SITE
    if not any(key in own for key in NAMES):
        kept = (*kept, *NAMES)
        if not any(key in own for key in (*PROBINGS, *MEASURES)):
            kept = (*kept, *PROBINGS, *MEASURES)
    return {k: v for k, v in site.items() if k in kept} | own


def anchor_wants(table: AnchoringTable) -> AnchorWants:
    """What the user fixes of the anchors, over the defaults; no unit."""
    given = {f.name: v for f in fields(AnchorWants) if (v := getattr(table, f.name)) is not None}
    for key in ("screw_diameters_m", "plates_m"):
        if key in given:
            given[key] = tuple(tuple(sizes) for sizes in given[key])
    return AnchorWants(**given)


def wind_input(table: WindTable, where: str) -> WindInput:
    """The wind of the screening estimate, no unit.

    Args:
        where: the site file as shown.
    Raises:
        InputError: a speed without the map or annex that it was read from.
    """
    if table.basic_m_s is not None and table.source is None:
        raise InputError.of(
            "wind_source", f"{where}, [wind] basic_m_s", "is a wind speed without its source",
            'add source = "national annex, map, place"',
        )  # fmt: skip
    return WindInput(**table.model_dump())
