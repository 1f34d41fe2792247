"""Files whose numbers are not what the plan expects: swapped columns, feet, another zone. Each can be undone."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from siting.records.as_staked import FEET, SCALED, SWAPPED_AXES, WRONG_ZONE
from siting.records.plan import Plan
from siting.survey.zones import Zone, neighbouring_zones, other_systems
from siting.units import METRES_PER_FOOT, METRES_PER_US_SURVEY_FOOT, UNIT_NAMES, VERTICAL_UNITS_M

# How much a misreading must explain to be believed, in squared standard deviations (survey/causes.py weighs them).
ONE_FAULT, TWO_FAULTS, SCANNED = 10.0, 20.0, 15.0


@dataclass(frozen=True, slots=True)
class Misreading:
    """A way in which a file's numbers can be meant. `undo` takes complex grid metres as they stand."""

    cause: str  # empty: the numbers are what the plan expects
    how: str  # completes "in the file …"
    label: str
    cost: float
    undo: Callable[[np.ndarray], np.ndarray]


AS_EXPECTED = Misreading("", "", "", 0.0, lambda z: z)


def misreadings(plan: Plan, is_far: bool) -> tuple[Misreading, ...]:
    """Every misreading that is known without looking at the points; zones only where the points lie far off."""
    found = [*_units(plan), *_ground_coordinates(plan)]
    if is_far:
        found += [_of_zone(zone, plan, ONE_FAULT) for zone in neighbouring_zones(plan)]
    swapped = [_swapped_too(m) for m in found]
    swap = Misreading(SWAPPED_AXES, "northing and easting are exchanged", "exchanged", ONE_FAULT, _swap)
    return (AS_EXPECTED, swap, *found, *swapped)


def scanned_systems(plan: Plan, points_m: np.ndarray, stakes_m: np.ndarray) -> tuple[Misreading, ...]:
    """Other coordinate systems of the region that bring the points near their stakes: slow, the last resort."""
    median = complex(np.median(points_m.real), np.median(points_m.imag)) / plan.crs.unit_m
    found = [_of_zone(zone, plan, SCANNED) for zone in other_systems(plan, median.real, median.imag)]
    return tuple(m for m in found if _comes_near(m, points_m, stakes_m))


def _comes_near(found: Misreading, points_m: np.ndarray, stakes_m: np.ndarray) -> bool:
    """Within a few metres: systems on other datums differ by as much."""
    away = np.abs(found.undo(points_m) - stakes_m)
    return bool(np.isfinite(away).all() and np.median(away) < 5.0)


def _swap(z: np.ndarray) -> np.ndarray:
    return z.imag + 1j * z.real


def _swapped_too(second: Misreading) -> Misreading:
    how = f"northing and easting are exchanged, and {second.how}"
    return replace(second, cause=SWAPPED_AXES, how=how, cost=TWO_FAULTS, undo=lambda z: second.undo(_swap(z)))


def _units(plan: Plan) -> list[Misreading]:
    """The file in another unit than the plan, and metres that were made with the other foot."""
    unit_m, found = plan.crs.unit_m, []
    for name, other_m in VERTICAL_UNITS_M.items():
        if abs(other_m / unit_m - 1.0) > 1e-9:
            how = f"the numbers are {UNIT_NAMES[name]}; the plan's unit is the {plan.crs.unit}"
            found.append(_times(other_m / unit_m, how, UNIT_NAMES[name]))
    if unit_m == 1.0:
        mixed = METRES_PER_US_SURVEY_FOOT / METRES_PER_FOOT
        for ratio, one, other in ((mixed, "US survey", "international"), (1.0 / mixed, "international", "US survey")):
            how = f"{one} feet were turned into metres as if they were {other} feet"
            found.append(_times(ratio, how, f"{one} feet"))
    return found


def _times(ratio: float, how: str, label: str) -> Misreading:
    return Misreading(FEET, how, label, ONE_FAULT, lambda z: z * ratio)


def _ground_coordinates(plan: Plan) -> list[Misreading]:
    """The plan's own coordinates scaled to the ground, where it holds them."""
    ground = plan.ground_grid
    if ground is None:
        return []
    origin_m = complex(ground.origin_easting, ground.origin_northing) * plan.crs.unit_m
    cut_m = complex(ground.x_origin_m, ground.y_origin_m)
    unit_m = plan.crs.unit_m
    how = "the numbers are the plan's coordinates scaled to the ground, not its grid coordinates"
    return [Misreading(SCALED, how, "ground coordinates", ONE_FAULT, lambda z: origin_m + (z / unit_m - cut_m) / ground.factor)]


def _of_zone(zone: Zone, plan: Plan, cost: float) -> Misreading:
    unit_m = plan.crs.unit_m

    def undo(z: np.ndarray) -> np.ndarray:
        easting, northing = zone.into_plan(z.real / unit_m, z.imag / unit_m)
        moved = np.full(z.shape, complex(np.inf, np.inf))
        inside = np.isfinite(easting) & np.isfinite(northing)
        moved[inside] = (easting[inside] + 1j * northing[inside]) * unit_m
        return moved

    how = f"the numbers are those of {zone.name}; the plan's are those of {plan.crs.name}"
    return Misreading(WRONG_ZONE, how, zone.name, cost, undo)
