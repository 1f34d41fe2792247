"""The ground at every anchor, for each azimuth of the sweep."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from siting.records.ground import Rays
from siting.records.mast import Anchor, Mast
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


def ground_at_anchors(surface: Surface, rays: Rays, mast: Mast, azimuths_deg: np.ndarray) -> AnchorGround:
    """Heights (metres) and slopes (percent) at every anchor; NaN where the DEM has none."""
    azimuths = anchor_azimuths_deg(mast, azimuths_deg)
    radii_m = np.array([a.radius_m for a in mast.anchors])
    col, row = rays.at(rays.index_of(azimuths), radii_m[None, :])
    heights = surface.heights_m(col, row)
    slopes, uphill = surface.slopes(col, row)
    return AnchorGround(mast.anchors, azimuths, heights, slopes, uphill)
