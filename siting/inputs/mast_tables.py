"""The keys of a mast file: their kinds and their bounds."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from siting.inputs.toml_file import Table

# The widest values that any mast could have, so that a slip of the keyboard is told by its line and not by a sum that
# breaks: common practice, no source.
Length = Annotated[float, Field(ge=0.1, le=1000)]
Kilograms = Annotated[float, Field(gt=0, le=1e5)]
Kilonewtons = Annotated[float, Field(gt=0, le=1e4)]
Millimetres = Annotated[float, Field(gt=0, le=5000)]


class AnchorTable(Table):
    """[[anchors]] of a mast file."""

    id: Annotated[str, Field(min_length=1, max_length=40)]
    use: Literal["permanent", "temporary", "winch"]
    bearing_deg: Annotated[float, Field(ge=-360, le=360)]
    radius_m: Length
    design_load_kn: Kilonewtons | None = None


class GuyTable(Table):
    """[[guys]] of a mast file."""

    attach_m: Length
    anchors: Annotated[list[str], Field(min_length=1)]
    use: Literal["permanent", "temporary"] = "permanent"
    diameter_mm: Annotated[float, Field(ge=0.5, le=100)] | None = None
    strand: Annotated[str, Field(min_length=1)] | None = None
    initial_tension_kn: Kilonewtons | None = None


class LoadTable(Table):
    """[[loads]] of a mast file: what the mast carries in the lift."""

    name: Annotated[str, Field(min_length=1)]
    at_m: Annotated[float, Field(ge=0, le=1000)]
    mass_kg: Kilograms


class GinPoleTable(Table):
    """[[gin_poles]] of a mast file: light poles that go up before the mast's own."""

    length_m: Length
    mass_kg: Kilograms
    raised_by: Literal["hand", "winch"] = "hand"


class WinchTable(Table):
    """[winch] of a mast file."""

    limit_kn: Kilonewtons | None = None
    line_diameter_mm: Annotated[float, Field(gt=0, le=200)] | None = None
    drum_diameter_mm: Millimetres | None = None
    drum_width_m: Annotated[float, Field(gt=0, le=10)] | None = None
    wound_m: Annotated[float, Field(ge=0, le=10_000)] = 0.0


class MastTable(Table):
    """A mast file."""

    name: Annotated[str, Field(min_length=1)]
    height_m: Annotated[float, Field(ge=5, le=400)]
    total_height_m: Annotated[float, Field(gt=0, le=500)] | None = None
    structure: Literal["lattice", "tubular"]
    mass_kg_per_m: Annotated[float, Field(gt=0, le=1000)]
    section_length_m: Length
    base_section_m: Length | None = None
    hinge_height_m: Annotated[float, Field(ge=0, le=10)]
    gin_pole_length_m: Length
    note: str = ""
    section_mass_kg: list[Kilograms] = []
    gin_pole_mass_kg: Kilograms | None = None
    lift_attach_m: list[Length] = []
    lift_lines: Literal["fixed", "equalised"] = "fixed"
    friction_ratio: Annotated[float, Field(ge=0, lt=1)] | None = None
    stiffness_knm2: Annotated[float, Field(gt=0, le=1e9)] | None = None
    moment_limit_knm: Annotated[float, Field(gt=0, le=1e6)] | None = None
    drag_coefficient: Annotated[float, Field(gt=0, le=10)] | None = None
    wind_area_m2_per_m: Annotated[float, Field(gt=0, le=50)] | None = None
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
