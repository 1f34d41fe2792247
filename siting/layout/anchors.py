"""The ground at every anchor, for each azimuth of the sweep."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from siting.records.mast import Anchor, Mast
from siting.terrain.offsets import Offsets
from siting.terrain.surface import Surface


@dataclass(frozen=True, slots=True)
class AnchorGround:
    """Arrays (K azimuths, A anchors): true azimuth, height, slope and uphill direction at each anchor."""

    anchors: tuple[Anchor, ...]
    azimuths_deg: np.ndarray
    heights_m: np.ndarray
    slopes_percent: np.ndarray
    uphill_deg: np.ndarray


def anchor_azimuths_deg(mast: Mast, azimuths_deg: np.ndarray) -> np.ndarray:
    """True azimuth of each anchor (K, A), degrees: laydown azimuth + the anchor's bearing."""
    bearings = np.array([a.bearing_deg for a in mast.anchors])
    return np.mod(np.round(azimuths_deg[:, None] + bearings[None, :], 9), 360.0)


def ground_at_anchors(
    surface: Surface, base_colrow: tuple[float, float], mast: Mast, azimuths_deg: np.ndarray, places: Offsets
) -> AnchorGround:
    """Heights (metres) and slopes (percent) at every anchor; NaN where the DEM has none.

    Args:
        azimuths_deg, places: (K, A) true azimuth of each anchor, and where it stands from the base.
    """
    heights = surface.heights_at(base_colrow, places)
    slopes, uphill = surface.slopes_at(base_colrow, places)
    return AnchorGround(mast.anchors, azimuths_deg, heights, slopes, uphill)
