"""Where everything stands as staked, in ground metres from the base as staked; what was not measured stands as planned."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from siting.records.plan import Plan
from siting.survey.matching import Pair
from siting.units import METRES_PER_FOOT, wrap_bearing_deg

# A rover's heights that differ from the DEM's by more than this all alike are on another vertical datum:
# common practice, no source.
DATUM_M = 1.0
# Elevations of this size against the plan's are feet; told apart from metres only well above the datum.
FEET_WITHIN_RATIO, FEET_LEAST_M = 0.05, 30.0


@dataclass(frozen=True, slots=True)
class StakedGround:
    """Places of the stakes: complex grid east + i north in ground metres, and heights above the ground at the base.

    `places` and `above_m` are seen from the base as staked; `base_moved` leads there from the planned base.
    """

    places: dict[str, complex]
    planned: dict[str, complex]  # from the planned base
    above_m: dict[str, float]
    measured: frozenset[str]
    base_id: str
    head_id: str
    base_moved: complex
    height_offset_m: float | None
    notes: tuple[str, ...]

    def seen_along(self, anchor: str, azimuth_grid_deg: float, hinge_height_m: float) -> tuple[np.ndarray, ...]:
        """An anchor in the lift's frame, metres: along the laydown, to its right, above the hinge; arrays of one."""
        ahead = self.places[anchor] * np.exp(1j * math.radians(azimuth_grid_deg))  # turns that azimuth to grid north
        return tuple(np.array([v]) for v in (ahead.imag, ahead.real, self.above_m[anchor] - hinge_height_m))

    def laydown_grid_deg(self, plan: Plan) -> float:
        """Grid azimuth of the laydown: from the base to the head as they stand, which the hinge is set square to."""
        if self.head_id not in self.measured and self.base_id not in self.measured:
            return plan.laydown.azimuth_grid_deg
        head = self.places[self.head_id]
        return wrap_bearing_deg(math.degrees(math.atan2(head.real, head.imag)))


def staked_ground(plan: Plan, pairs: tuple[Pair, ...]) -> StakedGround:
    """The stakes as they stand. The file's numbers are taken as they are, in the plan's CRS."""
    metres = plan.crs.unit_m / plan.crs.combined_factor
    base = next(s for s in plan.stakes if s.role == "base")
    head = next(s for s in plan.stakes if s.role == "head")
    origin = complex(base.easting, base.northing)
    places = {s.id: (complex(s.easting, s.northing) - origin) * metres for s in plan.stakes}
    planned = dict(places)
    found = {p.target.id: p.measured for p in pairs if p.target.role not in ("control", "feature")}
    for name, point in found.items():
        places[name] = (complex(point.easting, point.northing) - origin) * metres
    moved = places[base.id]
    heights, offset_m, notes = _heights(plan, found, base.id)
    return StakedGround(
        places={name: place - moved for name, place in places.items()},
        planned=planned,
        above_m=heights,
        measured=frozenset(found),
        base_id=base.id,
        head_id=head.id,
        base_moved=moved,
        height_offset_m=offset_m,
        notes=notes,
    )


def _heights(plan: Plan, found: dict, base_id: str) -> tuple[dict[str, float], float | None, tuple[str, ...]]:
    """Heights above the ground at the base, the median difference from the DEM (metres), and what was assumed."""
    planned = {s.id: s.height_m for s in plan.stakes}
    above = {s.id: s.above_base_m for s in plan.stakes}
    measured = {name: p.elevation_m for name, p in found.items() if p.elevation_m is not None}
    if not measured:
        return above, None, ("No elevations were measured: heights are the plan's, off the DEM.",)
    ratio = np.median([v / planned[n] for n, v in measured.items() if abs(planned[n]) > FEET_LEAST_M] or [1.0])
    if abs(ratio * METRES_PER_FOOT - 1.0) < FEET_WITHIN_RATIO:
        text = "The elevations look like feet (3.28 times the plan's): they were NOT used, heights are the plan's. Give metres."
        return above, None, (text,)
    offset_m = float(np.median([v - planned[n] for n, v in measured.items()]))
    notes = []
    if abs(offset_m) > DATUM_M:
        notes.append(
            f"The elevations lie {offset_m:+.2f} m from the DEM's in the middle: another vertical datum, or ellipsoidal heights. "
            "Only differences between measured elevations were used."
        )
    if base_id in measured:
        zero_m = measured[base_id]
        off_m = zero_m - planned[base_id] - offset_m
        if abs(off_m) > DATUM_M:
            notes.append(f"The base's elevation is {off_m:+.2f} m out of step with the other points': check it, every guy hangs on it.")
    else:
        zero_m = planned[base_id] + (offset_m if abs(offset_m) > DATUM_M else 0.0)
        notes.append("The base has no measured elevation: measured heights were tied to the DEM's height there.")
    above |= {name: value - zero_m for name, value in measured.items()}
    lacking = [s.id for s in plan.stakes if s.id in found and s.id not in measured]
    if lacking:
        notes.append(f"Without a measured elevation, the plan's height was taken: {', '.join(lacking)}.")
    return above, offset_m, tuple(notes)
