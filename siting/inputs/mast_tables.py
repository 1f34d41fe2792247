"""The keys of a mast file: their kinds and their bounds."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from siting.inputs.toml_file import Table

Positive = Annotated[float, Field(gt=0)]
Length = Annotated[float, Field(gt=0, le=1000)]


class AnchorTable(Table):
    """[[anchors]] of a mast file."""

    id: Annotated[str, Field(min_length=1, max_length=40)]
    use: Literal["permanent", "temporary", "winch"]
    bearing_deg: Annotated[float, Field(ge=-360, le=360)]
    radius_m: Length
    design_load_kn: Annotated[float, Field(gt=0)] | None = None


class GuyTable(Table):
    """[[guys]] of a mast file."""

    attach_m: Length
    anchors: Annotated[list[str], Field(min_length=1)]
    use: Literal["permanent", "temporary"] = "permanent"
    diameter_mm: Annotated[float, Field(gt=0, le=100)] | None = None
    strand: Annotated[str, Field(min_length=1)] | None = None
    initial_tension_kn: Positive | None = None


class LoadTable(Table):
    """[[loads]] of a mast file: what the mast carries in the lift."""

    name: Annotated[str, Field(min_length=1)]
    at_m: Annotated[float, Field(ge=0, le=1000)]
    mass_kg: Positive


class GinPoleTable(Table):
    """[[gin_poles]] of a mast file: light poles that go up before the mast's own."""

    length_m: Length
    mass_kg: Positive
    raised_by: Literal["hand", "winch"] = "hand"


class WinchTable(Table):
    """[winch] of a mast file."""

    limit_kn: Positive | None = None
    line_diameter_mm: Positive | None = None
    drum_diameter_mm: Positive | None = None
    drum_width_m: Positive | None = None
    wound_m: Annotated[float, Field(ge=0)] = 0.0


class MastTable(Table):
    """A mast file."""

    name: Annotated[str, Field(min_length=1)]
    height_m: Annotated[float, Field(ge=5, le=400)]
    total_height_m: Annotated[float, Field(gt=0, le=500)] | None = None
    structure: Literal["lattice", "tubular"]
    mass_kg_per_m: Annotated[float, Field(gt=0, le=1000)]
    section_length_m: Length
    hinge_height_m: Annotated[float, Field(ge=0, le=10)]
    gin_pole_length_m: Length
    note: str = ""
    section_mass_kg: list[Positive] = []
    gin_pole_mass_kg: Positive | None = None
    lift_attach_m: list[Length] = []
    lift_lines: Literal["fixed", "equalised"] = "fixed"
    friction_ratio: Annotated[float, Field(ge=0, lt=1)] | None = None
    stiffness_knm2: Positive | None = None
    moment_limit_knm: Positive | None = None
    drag_coefficient: Positive | None = None
    wind_area_m2_per_m: Positive | None = None
    initial_tension_ratio: Annotated[float, Field(gt=0, lt=1)] | None = None
    reference_temperature_c: Annotated[float, Field(ge=-60, le=60)] | None = None
    termination_m: Annotated[float, Field(ge=0, le=50)] | None = None
    spare_ratio: Annotated[float, Field(ge=0, le=5)] | None = None
    pulse_returns: Annotated[int, Field(ge=1, le=100)] | None = None
    mast_expansion_ppm_per_k: Annotated[float, Field(ge=0, le=50)] | None = None
    winch: WinchTable = WinchTable()
    loads: list[LoadTable] = []
    gin_poles: list[GinPoleTable] = []
    anchors: Annotated[list[AnchorTable], Field(min_length=1)]
    guys: list[GuyTable] = []
