"""A mast as its file describes it: tube or lattice, its anchors, its guys, its gin pole."""

from __future__ import annotations

import math
from dataclasses import dataclass

from siting.records.guys import GuyOptions
from siting.records.rigging import Rigging

PERMANENT, TEMPORARY, WINCH = "permanent", "temporary", "winch"
# A temporary anchor this near to square (90 degrees) to the laydown is a side anchor (CONTRACT, geometry).
SIDE_ANCHOR_TOLERANCE_DEG = 30.0


@dataclass(frozen=True, slots=True)
class Anchor:
    """A place where a guy or the winch is held."""

    id: str
    use: str  # permanent, temporary or winch
    bearing_deg: float  # clockwise from the laydown azimuth
    radius_m: float  # horizontal ground distance from the base
    design_load_kn: float | None = None  # the maker's figure

    @property
    def is_side(self) -> bool:
        """True for a temporary anchor near the hinge axis."""
        off_deg = abs(abs((self.bearing_deg + 180.0) % 360.0 - 180.0) - 90.0)
        return self.use == TEMPORARY and off_deg <= SIDE_ANCHOR_TOLERANCE_DEG + 1e-9


@dataclass(frozen=True, slots=True)
class GuyLevel:
    """The guys that leave the mast at one height."""

    attach_m: float  # above the hinge, along the mast
    anchors: tuple[str, ...]
    use: str  # permanent or temporary
    diameter_mm: float | None = None
    strand: str | None = None  # by its standard's name
    initial_tension_kn: float | None = None


def section_ends_m(height_m: float, section_length_m: float, base_section_m: float | None) -> tuple[float, ...]:
    """Where the sections end along the mast, metres: 0 at the hinge, then each joint, last the height, where the last is cut.

    Args:
        base_section_m: the first section from the hinge, None where it is as long as the others.
    """
    short_m = section_length_m - (base_section_m or section_length_m)
    count = max(1, math.ceil((height_m + short_m) / section_length_m - 1e-9))
    return (0.0, *((number * section_length_m - short_m) for number in range(1, count)), height_m)


@dataclass(frozen=True, slots=True)
class Mast:
    """A tilt-up mast. Lengths in metres, from the hinge along the mast where not said otherwise."""

    name: str
    height_m: float
    total_height_m: float  # ground to the tip of the air terminal
    structure: str  # lattice or tubular
    mass_kg_per_m: float
    section_length_m: float
    hinge_height_m: float  # above the ground at the base
    gin_pole_length_m: float
    anchors: tuple[Anchor, ...]
    guys: tuple[GuyLevel, ...]
    note: str = ""
    is_generic: bool = False  # a mast shipped with the package
    guy_options: GuyOptions = GuyOptions()
    rigging: Rigging = Rigging()
    shown: str = "mast file"  # the file's name, for faults found later
    base_section_m: float | None = None  # the first section from the hinge where it differs

    @property
    def section_ends_m(self) -> tuple[float, ...]:
        """Where the sections end along the mast, metres: 0 at the hinge, last the height."""
        return section_ends_m(self.height_m, self.section_length_m, self.base_section_m)

    @property
    def side_anchors(self) -> tuple[Anchor, ...]:
        """Temporary anchors near the hinge axis."""
        return tuple(a for a in self.anchors if a.is_side)

    @property
    def winch(self) -> Anchor | None:
        """The anchor that takes the pull, None where the file names none."""
        return next((a for a in self.anchors if a.use == WINCH), None)

    @property
    def anchor_circle_m(self) -> float:
        """Radius of the circle through the outermost permanent anchors, metres."""
        return max((a.radius_m for a in self.anchors if a.use == PERMANENT), default=0.0)

    @property
    def reach_m(self) -> float:
        """The farthest ground that the layout uses from the base, metres."""
        return max([self.height_m, *(a.radius_m for a in self.anchors)])
