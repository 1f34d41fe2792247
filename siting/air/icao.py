"""Obstacle lights by height, as ICAO Annex 14 has them. What must be notified, each State says itself."""

from __future__ import annotations

# ICAO Annex 14 Vol. I chapter 6, read in a secondary source.
LOW_TO_M, MEDIUM_TO_M = 45.0, 150.0


def lights_text(height_m: float) -> str:
    """The kind of obstacle light by height above the ground in metres, in words."""
    if height_m <= LOW_TO_M:
        kind = "low intensity (night)"
    elif height_m <= MEDIUM_TO_M:
        kind = "medium intensity, type A, B or C"
    else:
        kind = "high intensity, type A, if a study says so"
    return f"where the State asks for lights: {kind}, by height"
