"""What every surveyor's file says of itself, in the same words: frame, unit, heights, epoch, run."""

from __future__ import annotations

from siting.figures import shown
from siting.records.plan import Plan
from siting.units import UNIT_NAMES, VERTICAL_UNITS_M

# The two feet differ by 2e-6 of their length; a plan keeps twelve decimals of a unit's metres.
SAME_UNIT = 1e-9


def unit_key(unit_m: float) -> str:
    """`m`, `ft` (international) or `us-ft` (US survey) for metres in a unit; empty for any other unit."""
    return next((key for key, metres in VERTICAL_UNITS_M.items() if abs(unit_m / metres - 1.0) < SAME_UNIT), "")


def unit_words(unit_m: float, name: str) -> str:
    """A unit's name with its factor, so that no foot is taken for another."""
    return UNIT_NAMES.get(unit_key(unit_m)) or f"{name} ({unit_m:.12g} m)"


def crs_words(plan: Plan) -> str:
    """The projected CRS by name, with its EPSG code where it has one."""
    return f"{plan.crs.name} (EPSG:{plan.crs.epsg})" if plan.crs.epsg else f"{plan.crs.name} (no EPSG code)"


def height_words(plan: Plan, unit: str = "metres") -> str:
    """What the heights of a file in this unit are, or that the file holds none."""
    datum = plan.terrain.vertical_datum
    if plan.terrain.blank_elevation:
        return f"left out: the DEM's vertical datum is {datum}"
    return f"the DEM's, in {unit}, not for grade; vertical datum: {datum}"


def frame_rows(plan: Plan, height_unit: str = "metres") -> tuple[tuple[str, str], ...]:
    """Title and text of each thing that must be known before a coordinate is used; units stand in the texts."""
    crs = plan.crs
    return (
        ("Site", plan.name),
        ("Run", plan.provenance.run_id),
        ("Verdict", f"{plan.verdict}. {plan.headline}"),
        ("Coordinate system", crs_words(plan)),
        ("Datum", crs.datum),
        ("Epoch of the coordinates", crs.epoch),
        ("From WGS 84", crs.transformation),
        ("Unit of the coordinate system", unit_words(crs.unit_m, crs.unit)),
        ("Scale", "grid coordinates, not scaled to ground; grid distance = ground distance x combined factor"),
        ("Combined factor", f"{shown(crs.combined_factor, 'factor')} at the base"),
        ("Convergence", f"{shown(crs.convergence_deg, 'bearing')} at the base; grid azimuth = true azimuth - convergence"),
        ("Heights", height_words(plan, height_unit)),
        ("Geoid", plan.terrain.geoid),
        ("Made by", f"siting {plan.provenance.version}, for {plan.provenance.plan_date}"),
        ("Caution", plan.cautions[0]),
        *(("Warning", text) for text in plan.warnings),
    )


def frame_text(plan: Plan, height_unit: str = "metres", separator: str = ". ") -> str:
    """The same as one text."""
    return separator.join(f"{title}: {text.rstrip('.')}" for title, text in frame_rows(plan, height_unit))
