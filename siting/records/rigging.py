"""What the mast file says of the lift beyond the mast's own sizes: loads, gin poles, winch, stiffness, wind area.

Everything is optional. What is missing is left out of the numbers, and the numbers say so.
"""

from __future__ import annotations

from dataclasses import dataclass

BY_HAND, BY_WINCH = "hand", "winch"
FIXED, EQUALISED = "fixed", "equalised"


@dataclass(frozen=True, slots=True)
class Load:
    """A mass that the mast carries at one place: an instrument, a boom, a cabinet, a guy's own weight."""

    name: str
    at_m: float  # above the hinge, along the mast
    mass_kg: float


@dataclass(frozen=True, slots=True)
class LightPole:
    """A light gin pole that goes up first and raises the next one."""

    length_m: float  # hinge to tip
    mass_kg: float
    raised_by: str  # hand or winch


@dataclass(frozen=True, slots=True)
class WinchGear:
    """The winch and its line, as its maker gives them."""

    limit_kn: float | None = None  # rated line pull on the drum's first layer
    line_diameter_mm: float | None = None
    drum_diameter_mm: float | None = None  # bare drum
    drum_width_m: float | None = None  # between the flanges
    wound_m: float = 0.0  # line that lies on the drum before the lift


@dataclass(frozen=True, slots=True)
class Rigging:
    """How the mast is lifted."""

    loads: tuple[Load, ...] = ()
    section_mass_kg: tuple[float, ...] = ()  # from the hinge up; empty: mass per metre
    gin_pole_mass_kg: float | None = None
    gin_poles: tuple[LightPole, ...] = ()  # in the order in which they go up; the mast's own gin pole comes after
    lift_attach_m: tuple[float, ...] = ()  # where the lift lines hold the mast, along it
    lift_lines: str = FIXED  # fixed: each of its own length, the mast set straight; equalised: led over a block
    friction_ratio: float | None = None  # what sheaves and the dragging line add to the pull
    winch: WinchGear = WinchGear()
    stiffness_knm2: float | None = None  # E I of the mast
    moment_limit_knm: float | None = None
    drag_coefficient: float | None = None
    wind_area_m2_per_m: float | None = None  # seen from the side, for each metre of mast
