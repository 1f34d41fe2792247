"""How many wire rope clips hold the end of a rope, by its diameter."""

from __future__ import annotations

from types import MappingProxyType

from siting.errors import OutOfMethod
from siting.units import METRES_PER_INCH

# Largest rope (inches) and the clips of an end, forged clips. 1/2 to 7/8 read in a public copy of the clips' table of a
# Canadian safety authority (WorkSafeNB, wire rope: cable clips); 1 in, and that Table H-20 agrees, from memory. Up to 7/16 in
# printed tables say two (that copy, and a rigging supplier's); three are counted here, as below.
FORGED_CLIPS = MappingProxyType({0.5: 3, 0.625: 3, 0.75: 4, 0.875: 4, 1.0: 5})
# "at least a 3 bolt clamp or three U-bolt clips": Washington WAC 296-24-29401(5)(c).
LEAST_CLIPS = 3
CLIPS_SOURCE = (
    "forged clips: printed clip tables (WorkSafeNB, wire rope; 29 CFR 1926.251 Table H-20 from memory), three at least (WAC "
    "296-24-29401); clips that are not forged: one more (from memory)"
)


def clips_per_end(diameter_mm: float) -> int:
    """Forged wire rope clips that an end of a rope takes, no unit. Source: see CLIPS_SOURCE.

    Raises:
        OutOfMethod: no diameter, or one over 1 inch.
    """
    inches = diameter_mm / 1000.0 / METRES_PER_INCH
    # A millimetre rope is put with the inch size next above it; half a per cent is the rounding of a name such as 12.7 mm.
    size = next((size for size in FORGED_CLIPS if inches <= size * 1.005), None)
    if inches <= 0.0 or size is None:
        raise OutOfMethod.of(
            "dig_range", f"a rope of {diameter_mm:g} mm", "is not in the table of wire rope clips (up to 25.4 mm)",
            "ask the maker of its ends",
        )  # fmt: skip
    return max(FORGED_CLIPS[size], LEAST_CLIPS)
