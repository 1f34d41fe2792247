"""Made-up ground and loads for the tests of holding."""

from __future__ import annotations

import math

from siting.records.holding import AnchorLoad, GroundAt
from siting.records.soil import COHESIVE, GRANULAR, ROCK, Soil

RADII_M = (1.0, 2.0, 3.0, 5.0, 8.0, 12.0, 16.0, 20.0, 25.0)


def soil(kind=GRANULAR, **changes):
    values = {
        "description": "made up", "kind": kind, "basis": "measured", "is_presumptive": False,
        "friction_deg": 32.0 if kind == GRANULAR else None, "undrained_kpa": 50.0 if kind == COHESIVE else None,
        "unit_weight_kn_m3": 24.0 if kind == ROCK else 18.0, "buoyant_kn_m3": 14.0 if kind == ROCK else 9.0,
        "water_depth_m": 99.0, "frost_depth_m": 0.8, "rock": "sandstone" if kind == ROCK else "", "has_cobbles": False,
        "is_organic": False, "excavation_type": "C", "excavation_source": "", "sources": (), "warnings": (),
    }  # fmt: skip
    return Soil(**{**values, **changes})


def sand(friction_deg=32.0, **changes):
    return soil(GRANULAR, friction_deg=friction_deg, **changes)


def clay(undrained_kpa=50.0, **changes):
    return soil(COHESIVE, undrained_kpa=undrained_kpa, **changes)


def rock(name="sandstone", **changes):
    return soil(ROCK, rock=name, **changes)


def load(kn=20.0, angle_deg=45.0):
    angle = math.radians(angle_deg)
    return AnchorLoad("A1", "maker", kn, angle_deg, 60.0, kn * math.sin(angle), kn * math.cos(angle), (), "", "")


def ground(outward=0.0, across=0.0, rise=None):
    """Even ground with slopes in percent (outward: uphill away from the base), or a profile rise(s) level across it."""
    s = tuple(i * 0.5 for i in range(-50, 51))
    height = rise or (lambda x: outward * x / 100.0)
    fine = [i * 0.05 for i in range(-500, 501)]
    if rise:
        low = tuple(min(rise(x) for x in fine if abs(x) <= r) for r in RADII_M)
    else:
        low = tuple(-math.hypot(outward, across) * r / 100.0 for r in RADII_M)
    return GroundAt(s, tuple(height(x) for x in s), across, math.hypot(outward, across), low, RADII_M)
