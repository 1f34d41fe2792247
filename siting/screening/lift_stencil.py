"""Where the ground of the lift lies from a base, for every azimuth: anchors, winch line, the ground around the base plate."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from siting.holding.ground_places import ACROSS_M, LINE_M, POINTS_ON_RING, RINGS_M
from siting.layout.anchors import anchor_azimuths_deg
from siting.records.ground import Rays
from siting.records.mast import Mast
from siting.screening.stencil import Taps, taps_of
from siting.terrain.offsets import offsets_along

RING_STEP_DEG = 360.0 / POINTS_ON_RING
DECIMALS = 9  # of a degree: azimuths that are alike to that are one
FARTHEST_M = float(max(np.abs(LINE_M).max(), RINGS_M.max()))  # that the ground around a base is looked at


class LiftStencil(NamedTuple):
    """Bilinear samples from the base's cell on a grid of a given width: K azimuths, A anchors, n places under the winch line.

    Azimuths a ring's step apart share their rings: `rings` holds R different ones.
    """

    anchor_count: int
    line_count: int
    around_count: int
    ring_count: int
    ring_points: int
    anchors: Taps  # (K, A)
    winch_line: Taps  # (K, n), from the base to the winch
    around: Taps  # (K, m): the profile along the laydown, then to its left and to its right
    rings: Taps  # (R, p, q): p rings of q points around the base
    ring_of: np.ndarray  # (K,) which of the R


def lift_azimuths_deg(mast: Mast, azimuths_deg: np.ndarray) -> np.ndarray:
    """Every azimuth (degrees) that `lift_stencil_of` needs a ray for."""
    winch = [azimuths_deg + mast.winch.bearing_deg] if mast.winch else []
    sides = [azimuths_deg + turn for turn in (0.0, 90.0, 180.0, 270.0)]
    firsts, _ = _ring_firsts(azimuths_deg)
    rings = firsts[:, None] + np.arange(POINTS_ON_RING) * RING_STEP_DEG
    return np.concatenate([anchor_azimuths_deg(mast, azimuths_deg).ravel(), *winch, *sides, rings.ravel()])


def lift_stencil_of(rays: Rays, mast: Mast, azimuths_deg: np.ndarray, winch_s_m: np.ndarray, width: int) -> LiftStencil:
    """The samples of a base at a cell's centre, on a grid that is `width` cells wide.

    Args:
        rays: hold every azimuth of `lift_azimuths_deg`; winch_s_m: (n,) radii towards the winch, none without one.
    """
    firsts, ring_of = _ring_firsts(azimuths_deg)
    line, turns = azimuths_deg[:, None], np.arange(POINTS_ON_RING) * RING_STEP_DEG
    to_winch = mast.winch.bearing_deg if mast.winch else 0.0
    along = np.concatenate([np.where(LINE_M < 0.0, 180.0, 0.0), [270.0, 90.0]])
    away_m = np.concatenate([np.abs(LINE_M), [ACROSS_M, ACROSS_M]])
    anchors = offsets_along(rays, anchor_azimuths_deg(mast, azimuths_deg), np.array([a.radius_m for a in mast.anchors])[None, :])
    return LiftStencil(
        len(mast.anchors), winch_s_m.size, away_m.size, RINGS_M.size, POINTS_ON_RING,
        taps_of(anchors, width),
        taps_of(offsets_along(rays, line + to_winch, winch_s_m[None, :]), width),
        taps_of(offsets_along(rays, line + along, away_m[None, :]), width),
        taps_of(offsets_along(rays, firsts[:, None, None] + turns, RINGS_M[None, :, None]), width),
        np.ascontiguousarray(ring_of, dtype=np.int64),
    )  # fmt: skip


def _ring_firsts(azimuths_deg: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The different first points (degrees) of rings around bases that are laid towards these azimuths, and each azimuth's."""
    first = np.mod(np.round(np.mod(azimuths_deg, RING_STEP_DEG), DECIMALS), RING_STEP_DEG)
    return np.unique(first, return_inverse=True)
