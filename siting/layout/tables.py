"""Where the samples of the laydown and the anchors stand from the base, for every azimuth: one definition for plan and search."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from siting.layout.anchors import anchor_azimuths_deg
from siting.records.ground import Rays
from siting.records.mast import Mast
from siting.terrain.offsets import Offsets, offsets_along


@dataclass(frozen=True, slots=True)
class LayoutTables:
    """The layout of a mast over K azimuths, counted from the base on the DEM's grid.

    `s_m` (n+1,) sample distances; `samples` (n+1, K); `anchor_azimuths_deg` and `anchors` (K, A), A in the mast's order.
    """

    azimuths_deg: np.ndarray
    s_m: np.ndarray
    samples: Offsets
    anchor_azimuths_deg: np.ndarray
    anchors: Offsets


def layout_tables(rays: Rays, mast: Mast, azimuths_deg: np.ndarray, s_m: np.ndarray) -> LayoutTables:
    """The tables of a mast on these azimuths; no unit of its own.

    Args:
        rays: hold every laydown and every anchor's azimuth.
        s_m: sample distances from 0 to the mast's height.
    """
    anchor_azimuths = anchor_azimuths_deg(mast, azimuths_deg)
    radii_m = np.array([a.radius_m for a in mast.anchors])
    return LayoutTables(
        azimuths_deg,
        s_m,
        offsets_along(rays, azimuths_deg[None, :], s_m[:, None]),
        anchor_azimuths,
        offsets_along(rays, anchor_azimuths, radii_m[None, :]),
    )
