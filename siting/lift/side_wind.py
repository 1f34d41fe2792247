"""Side guys against a wind square to the laydown, while the mast goes up. The wind is the user's: no default."""

from __future__ import annotations

import numpy as np

from siting.figures import shown
from siting.kernels.moments import line_between, mast_direction
from siting.kernels.wind_pressure import AIR_KG_M3
from siting.lift.geometry import seen_from_hinge
from siting.records.mast import TEMPORARY, Mast
from siting.records.rigging import Rigging
from siting.records.statics import SideGuyLoad, SideWind


def velocity_pressure_kpa(wind_m_s: float) -> float:
    """Velocity pressure of a wind, kPa: half the air's density x speed squared.

    Source: EN 1991-1-4, 4.5, air of 1.25 kg/m3.
    """
    return 0.5 * AIR_KG_M3 * wind_m_s**2 / 1000.0


def side_wind(
    mast: Mast, rigging: Rigging, wind_m_s: float | None, places: dict[str, np.ndarray], angles_deg: tuple[float, ...]
) -> SideWind:
    """Load (kN) of the highest guy to each side anchor against an even wind from its own side.

    The mast is a stiff bar whose hinge takes no moment sideways, and one guy a side holds: an upper bound for it.

    Args:
        places: (3,) of each side anchor seen from the hinge, metres.
    Source:
        moments about the mast's foot: line load x H^2 / 2 = sideways force x attachment.
    """
    per_m = None
    pressure = None if wind_m_s is None else velocity_pressure_kpa(wind_m_s)
    if pressure is not None and rigging.drag_coefficient is not None and rigging.wind_area_m2_per_m is not None:
        per_m = pressure * rigging.drag_coefficient * rigging.wind_area_m2_per_m
    loads = () if per_m is None else _guy_loads(mast, per_m, places, angles_deg)
    return SideWind(
        wind_m_s=wind_m_s,
        pressure_kpa=pressure,
        line_load_kn_per_m=per_m,
        force_kn=None if per_m is None else per_m * mast.height_m,
        angles_deg=angles_deg,
        guys=loads,
        text=_words(rigging, wind_m_s, per_m, loads),
    )


def side_places(mast: Mast, anchor_heights_m: dict[str, float], hinge_m: float) -> dict[str, np.ndarray]:
    """(3,) place of each side anchor seen from the hinge, metres."""
    return {
        a.id: np.array([float(v) for v in seen_from_hinge(a, np.array(anchor_heights_m[a.id]), hinge_m)]) for a in mast.side_anchors
    }


def _guy_loads(
    mast: Mast, per_m_kn: float, places: dict[str, np.ndarray], angles_deg: tuple[float, ...]
) -> tuple[SideGuyLoad, ...]:
    """Load of the highest guy to each side anchor, angle by angle."""
    highest: dict[str, float] = {}
    for level in mast.guys:
        for anchor in level.anchors:
            if anchor in places and level.use == TEMPORARY:
                highest[anchor] = max(level.attach_m, highest.get(anchor, 0.0))
    loads = []
    for anchor, attach_m in highest.items():
        sideways_kn = per_m_kn * mast.height_m**2 / (2.0 * attach_m)
        points = attach_m * mast_direction(np.radians(angles_deg))
        units, _ = line_between(points, places[anchor])
        load = sideways_kn / np.abs(units[:, 1])
        index = int(load.argmax())
        loads.append(SideGuyLoad(anchor, attach_m, tuple(float(v) for v in load), float(load[index]), angles_deg[index]))
    return tuple(loads)


def _words(rigging: Rigging, wind_m_s: float | None, per_m: float | None, loads: tuple[SideGuyLoad, ...]) -> str:
    """What the load rests on, or what is missing."""
    if wind_m_s is None:
        return "NOT SET: no wind is given, so the side guys' load is not worked out; there is no default"
    if per_m is None:
        keys = {"drag_coefficient": rigging.drag_coefficient, "wind_area_m2_per_m": rigging.wind_area_m2_per_m}
        return f"not worked out: the mast file does not give {' and '.join(k for k, v in keys.items() if v is None)}"
    if not loads:
        return "not worked out: the mast has no temporary guys to side anchors"
    worst = max(loads, key=lambda g: g.largest_kn)
    return (
        f"even wind of {wind_m_s:g} m/s square to the laydown on the bare mast (air {AIR_KG_M3:g} kg/m³, EN 1991-1-4, 4.5): "
        f"{shown(worst.largest_kn, 'force')} in the guy to {worst.anchor} at {worst.largest_at_deg:.0f}°. The highest side guy "
        "alone holds its side; guys, instruments, ice, gusts and the guy's own tightening are not in it"
    )

