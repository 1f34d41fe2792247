"""Checks of the lift proper, on the chosen laydown only: winch, bending, gin pole and winch line over the ground.

They need the full forces of a lift, so they are no part of the sweep's ranking (docs/decisions/0016).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from siting.checks.columns import AT_LEAST, AT_MOST, Column
from siting.lift.geometry import ARM_JUDGED_TO_DEG
from siting.records.findings import Check, Unchecked
from siting.records.mast import Mast
from siting.records.site import Limit, Limits
from siting.records.statics import LineClearance, Statics, WinchLine
from siting.verdict import UTILISATION_MAX

WINCH_USE, MAST_BENDING = "winch_use", "mast_bending"
POLE_CLEARANCE, LINE_CLEARANCE = "pole_clearance", "line_clearance"
LABELS = {
    WINCH_USE: "largest winch pull / the winch's limit on that layer",
    MAST_BENDING: "largest bending moment of the mast / its limit",
    POLE_CLEARANCE: "least height of the gin pole over the ground",
    LINE_CLEARANCE: "least height of the winch line over the ground",
}
FROM_MAST = {
    WINCH_USE: "mast file, [winch] limit_kn, less on higher layers",
    MAST_BENDING: "mast file, moment_limit_knm",
}


@dataclass(frozen=True, slots=True)
class LiftFindings:
    """What the lift's own checks found, the tightest first, and what could not be checked."""

    checks: tuple[Check, ...]
    unchecked: tuple[Unchecked, ...]


def judge_lift(mast: Mast, statics: Statics | None, limits: Limits, dem_error_m: float | None) -> LiftFindings:
    """The checks of the lift on one laydown; what the mast file or the DEM lacks is unchecked, with the key that mends it.

    Args:
        dem_error_m: one standard deviation of the DEM's heights as the user states it; None counts as 0.
    """
    if mast.winch is None:
        return LiftFindings((), ())  # `winch_arm` is unchecked already, and names the anchor that is missing
    if statics is None:
        missing = "the forces of the lift were not worked out (a warning says why)"
        return LiftFindings((), tuple(Unchecked(kind, missing, "mend what the warning names") for kind in LABELS))
    found = (
        winch_use(statics),
        mast_bending(statics),
        *clearances(statics, limits, dem_error_m or 0.0),
    )
    checks = sorted((f for f in found if isinstance(f, Check)), key=lambda c: (-c.utilisation, c.id))
    return LiftFindings(tuple(checks), tuple(f for f in found if isinstance(f, Unchecked)))


def winch_use(statics: Statics) -> Check | Unchecked:
    """Largest pull with friction on its drum layer / the winch's limit there, from the rest line to 80 degrees.

    A line that fails before that has no largest pull: it grows past every limit.
    """
    line, stage = statics.winch_line, statics.stages[-1]
    if line.rated_kn is None:
        return Unchecked(
            WINCH_USE, "the mast file does not say what the winch may pull", "add limit_kn under [winch] in the mast file"
        )
    if stage.largest_pull_kn is None:
        why = next((w for w in stage.no_number if w), "no pull lifts the mast to 80°")
        place = why if line.fails_at_deg is None else f"the line fails at {line.fails_at_deg:.1f}°"
        return _check(WINCH_USE, AT_MOST, Limit(1.0, FROM_MAST[WINCH_USE]), UTILISATION_MAX, place)
    uses = [
        (pull / rated, angle)
        for angle, pull, rated in zip(line.angles_deg, stage.winch_pull_kn, line.rated_kn, strict=True)
        if pull is not None and angle <= ARM_JUDGED_TO_DEG
    ]
    # The largest pull may lie between two angles of the table: held against the limit at the next one, which is no higher.
    uses.append((stage.largest_pull_kn / _rated_after(line, stage.largest_pull_at_deg), stage.largest_pull_at_deg))
    value, at = max(uses, key=lambda use: use[0])
    beyond = f"; the line fails at {line.fails_at_deg:.1f}°" if line.fails_at_deg is not None else ""
    place = f"mast at {at:.0f}°, between the rest line and {ARM_JUDGED_TO_DEG:.0f}°{beyond}"
    return _check(WINCH_USE, AT_MOST, Limit(1.0, FROM_MAST[WINCH_USE]), value, place)


def _rated_after(line: WinchLine, angle_deg: float) -> float:
    """The winch's limit (kN) at the table's first angle that is not before this one."""
    return next((r for a, r in zip(line.angles_deg, line.rated_kn, strict=True) if a >= angle_deg - 1e-9), line.rated_kn[-1])


def mast_bending(statics: Statics) -> Check | Unchecked:
    """Largest bending moment of the mast in the lift / the mast file's limit."""
    found = statics.bending
    if found is None:
        said = next((r for r in statics.remarks if r.startswith("bending")), "bending of the mast: not worked out")
        do = "give lift_attach_m in the mast file" if "lift_attach_m" in said else "mend what is named, or ask the mast's maker"
        return Unchecked(MAST_BENDING, said.split(". ")[0], do)
    if found.use_ratio is None:
        return Unchecked(
            MAST_BENDING, "the mast file does not say what moment the mast takes", "give moment_limit_knm in the mast file"
        )
    place = f"{found.largest_at_m:.1f} m from the hinge, mast at {found.angle_deg:.0f}°"
    if found.growth_ratio is None:
        place += "; what the push along the mast adds is not in it (stiffness_knm2 is not given)"
    return _check(MAST_BENDING, AT_MOST, Limit(1.0, FROM_MAST[MAST_BENDING]), found.use_ratio, place)


def clearances(statics: Statics, limits: Limits, dem_error_m: float) -> tuple[Check | Unchecked, ...]:
    """Gin pole over the ground to plumb, winch line to 80 degrees: beyond that the weight is nearly over the hinge. Metres."""
    clear = statics.clearance
    if clear is None:
        said = next((r for r in statics.remarks if r.startswith("gin pole and winch line")), "their ground is not known")
        do = "give a DEM that covers the ground to the winch, and a winch anchor on the laydown's line"
        return tuple(Unchecked(kind, said.split(". ")[0], do) for kind in (POLE_CLEARANCE, LINE_CLEARANCE))
    pole = _least(clear, clear.pole_clear_m, clear.pole_at_m, 90.0)
    line = _least(clear, clear.line_clear_m, clear.line_at_m, ARM_JUDGED_TO_DEG)
    return (
        _check(POLE_CLEARANCE, AT_LEAST, limits.pole_clear_min_m, *pole, unit="m", uncertainty=dem_error_m),
        _check(LINE_CLEARANCE, AT_LEAST, limits.line_clear_min_m, *line, unit="m", uncertainty=dem_error_m),
    )


def _least(clear: LineClearance, heights_m: tuple[float, ...], at_m: tuple[float, ...], to_deg: float) -> tuple[float, str]:
    """The least height (metres) up to a mast angle, and where."""
    rows = [row for row in zip(heights_m, clear.angles_deg, at_m, strict=True) if row[1] <= to_deg]
    height_m, angle_deg, radius_m = min(rows)
    return height_m, f"{radius_m:.1f} m from the base towards the winch, mast at {angle_deg:.0f}°, looked at to {to_deg:.0f}°"


def _check(
    kind: str, sense: str, limit: Limit, value: float, place: str, *, unit: str = "ratio", uncertainty: float = 0.0
) -> Check:
    """One value against its limit, by the rules that every check goes by."""
    column = Column(
        kind, kind, LABELS[kind], unit, sense, limit, np.array([float(value)]), uncertainty=uncertainty, by_azimuth=False,
        place=lambda k: place,
    )  # fmt: skip
    return column.check(0)
