"""Masts with gin pole, loads and lines for the tests of the lift's forces, and the balance of a body by cross products."""

from __future__ import annotations

import math

import numpy as np
from scipy.spatial.transform import Rotation

from siting.lift.loads import mast_turning
from siting.records.mast import Anchor, GuyLevel, Mast
from siting.records.rigging import Load, Rigging

G_KN = 9.80665 / 1000.0
WINCH = Anchor("W", "winch", 180.0, 64.0)
BACK = Anchor("K", "temporary", 0.0, 65.0)
SIDES = (Anchor("R", "temporary", 90.0, 35.0), Anchor("L", "temporary", 270.0, 35.0))
GUYS = (GuyLevel(58.0, ("R", "L", "K"), "temporary", 4.0), GuyLevel(29.0, ("R", "L", "K"), "temporary", 4.0))


def mast(*anchors: Anchor, guys: tuple[GuyLevel, ...] = (), pole_m: float = 10.0, section_m: float = 2.5) -> Mast:
    return Mast("test", 60.0, 60.9, "tubular", 11.0, section_m, 0.3, pole_m, anchors or (WINCH,), guys)


def rod(height_m: float, kg_per_m: float, pole_m: float, pole_kg: float | None = None, **rigging):
    """An even rod with its gin pole: what turns about the hinge."""
    made = Mast("rod", height_m, height_m, "tubular", kg_per_m, 3.0, 0.3, pole_m, (WINCH,), ())
    return mast_turning(made, Rigging(gin_pole_mass_kg=pole_kg, **rigging))


def turned(point, angle_rad: float) -> np.ndarray:
    """A point of the lying mast (along x) raised by an angle about the hinge axis."""
    return Rotation.from_rotvec([0.0, -angle_rad, 0.0]).apply(np.asarray(point, float))


def towards(start, end) -> np.ndarray:
    reach = np.asarray(end, float) - np.asarray(start, float)
    return reach / math.sqrt(float(reach @ reach))


def unbalance(forces: list[tuple[np.ndarray, np.ndarray]], moments=(0.0, 0.0, 0.0)) -> float:
    """The largest component of the sum of forces and of moments about the hinge; 0 in balance."""
    total = sum(force for _, force in forces)
    turning = sum(np.cross(place, force) for place, force in forces) + np.asarray(moments)
    return float(max(np.abs(total).max(), np.abs(turning).max()))


LOADS = (Load("boom", 58.0, 20.0), Load("cabinet", 4.0, 35.0))
