"""The scale of the site map: standard engineering scales, and the largest that shows what must be seen."""

from __future__ import annotations

from dataclasses import dataclass

from siting.records.permit import FEET, PermitFacts
from siting.units import METRES_PER_FOOT, METRES_PER_INCH

METRIC = (100, 200, 250, 500, 1000, 1250, 2000, 2500, 5000, 10_000, 20_000, 25_000, 50_000)
# An engineer's ruler: 10 to 60 feet an inch and their tenfold.
FEET_AN_INCH = (10, 20, 30, 40, 50, 60, 100, 200, 300, 400, 500, 600, 1000, 2000, 3000, 4000)
Extent = tuple[float, float, float, float]  # west, south, east, north of the base, metres on the ground


@dataclass(frozen=True, slots=True)
class Scale:
    """One to `ratio`, how it is written, whether everything that must be seen fits, and why it was taken."""

    ratio: float
    is_standard: bool
    fits: bool
    why: str

    @property
    def written(self) -> str:
        """The scale as a drawing office writes it, in the kind of unit that it is round in."""
        feet = feet_an_inch(self.ratio)
        if abs(feet - round(feet)) < 1e-6 and not (float(self.ratio).is_integer() and int(self.ratio) in METRIC):
            return f"1 in = {feet:.0f} ft"
        return f"1:{self.ratio:g}"

    @property
    def in_words(self) -> str:
        """The same in the other kind of unit."""
        if self.written.startswith("1:"):
            return f"1 in = {feet_an_inch(self.ratio):.2f} ft"
        return f"1:{self.ratio:g}"

    def mm(self, ground_m: float) -> float:
        """Length on the paper of a length on the ground, mm."""
        return 1000.0 * ground_m / self.ratio


def feet_an_inch(ratio: float) -> float:
    """Feet on the ground in an inch on the paper."""
    return ratio * METRES_PER_INCH / METRES_PER_FOOT


def standard_scales(units: str) -> tuple[float, ...]:
    """The ratios of the ruler in that unit, the largest scale first."""
    if units == FEET:
        return tuple(f * METRES_PER_FOOT / METRES_PER_INCH for f in FEET_AN_INCH)
    return tuple(float(m) for m in METRIC)


def is_standard(ratio: float) -> bool:
    """Whether a ratio stands on either ruler."""
    return any(abs(ratio / known - 1.0) < 1e-9 for units in ("m", FEET) for known in standard_scales(units))


def fits(extent: Extent, ratio: float, room_mm: tuple[float, float]) -> bool:
    """Whether the extent on the ground fits the room on the paper at this ratio."""
    west, south, east, north = extent
    return 1000.0 * (east - west) / ratio <= room_mm[0] and 1000.0 * (north - south) / ratio <= room_mm[1]


def choose_scale(extent: Extent, room_mm: tuple[float, float], facts: PermitFacts) -> Scale:
    """The applicant's scale, or the largest standard one at which the extent fits the room; the smallest where none does."""
    if facts.scale is not None:
        does_fit = fits(extent, facts.scale, room_mm)
        why = "The scale is the applicant's."
        if not does_fit:
            why += " At it the fall circle and the layout do not fit this paper: the overview shows them whole."
        return Scale(facts.scale, is_standard(facts.scale), does_fit, why)
    scales = standard_scales(facts.units)
    ratio = next((r for r in scales if fits(extent, r, room_mm)), scales[-1])
    why = "The largest standard scale at which layout, fall circle, setback and the nearest line fit this paper."
    return Scale(ratio, True, fits(extent, ratio, room_mm), why)
