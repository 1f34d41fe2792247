"""The ground that a mast or a parted guy can reach on the real terrain. Information: the full circle stays the rule."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import shapely

from siting.geodesy.dem_frame import cell_size_m, trace_rays
from siting.geodesy.frames import Frame
from siting.laydown.profile import sample_distances_m
from siting.layout.footprint import anchor_points_xy_m
from siting.records.mast import Mast
from siting.terrain.surface import Surface

WHOLE_DEGREES = np.arange(360.0)
# A guy's sweep is drawn by every third degree and by steps of two metres: it is information.
GUY_STEP_DEG, GUY_STEP_M = 3, 2.0


@dataclass(frozen=True, slots=True)
class Stance:
    """The chosen layout: laydown (true azimuth), rest line, and the ground's heights (metres above datum)."""

    laydown_deg: float
    rest_rad: float
    base_m: float  # ground at the base
    anchor_m: dict[str, float]  # ground at each anchor, by its id


@dataclass(frozen=True, slots=True)
class RayGround:
    """Ground along K azimuths from the base: `s_m` (S,) from 0 upward, `ground_m` (K, S) above datum; NaN: not known."""

    azimuths_true_deg: np.ndarray
    s_m: np.ndarray
    ground_m: np.ndarray


@dataclass(frozen=True, slots=True)
class FallReach:
    """What a rigid pole that turns about its foot can reach along K azimuths, metres."""

    azimuths_true_deg: np.ndarray
    reach_m: np.ndarray  # farthest ground within the pole's length
    tip_m: np.ndarray  # where the tip comes down, in plan
    tip_above_m: np.ndarray  # the tip over the ground there: a hump may hold the pole up; NaN where not known
    is_known: np.ndarray  # false where ground is missing: then the reach is the whole length


def heights_around(surface: Surface, frame: Frame) -> Callable[[np.ndarray, np.ndarray], np.ndarray]:
    """Heights (metres above datum; NaN unknown) at ground metres from the base, grid east and grid north, as layers lie."""
    return lambda x, y: surface.heights_m(*surface.frame.colrow(*frame.lonlat(x, y)))


def ground_around(surface: Surface, base_m: float, reach_m: float, *, every_deg: int = 1, step_m: float = 0.0) -> RayGround:
    """Ground along every whole degree (or every third ...) out to `reach_m`.

    The step is the laydown's: no longer than half a cell nor than 1 m, or `step_m` where that is longer.
    """
    azimuths = WHOLE_DEGREES[::every_deg]
    s_m = sample_distances_m(reach_m, cell_size_m(surface.scale))
    if step_m > s_m[1]:
        s_m = np.linspace(0.0, reach_m, max(2, math.ceil(reach_m / step_m) + 1))
    col, row = trace_rays(surface.frame, azimuths, reach_m, base_m).at(np.arange(azimuths.size)[:, None], s_m)
    return RayGround(azimuths, s_m, surface.heights_m(col, row))


def fall_reach(ground: RayGround, pivot_m: float, length_m: float) -> FallReach:
    """The ground within a rigid pole's length of its pivot, along each azimuth, and where its tip comes down.

    With z(r) the ground's height above the pivot, the farthest ground reached is the largest r with
    r^2 + z(r)^2 <= length^2. So it never lies beyond the length in plan, on no slope. The pole comes to rest on the
    ground that it meets first: at the largest elevation angle, as seen from the pivot, of the ground within its length.
    Exact for ground that is straight between its samples. Where a height is missing the reach is the whole length.

    Args:
        pivot_m: height above datum of the point that the pole turns about.
        length_m: at most the ground's last sample; longer than the pivot stands over the ground at the base.
    Source: derived; held against formulas and brute force in tests/layout/test_reach.py.
    """
    s, z, known = _seen_from(ground, pivot_m, length_m)
    near, far = _within(s, z, length_m)
    tip, above = _tip(s, z, (near, far), length_m)
    return FallReach(
        ground.azimuths_true_deg,
        np.where(known, _farthest(far, length_m), length_m),
        np.where(known, tip, length_m),
        np.where(known, above, np.nan),
        known,
    )


def swept_by_guy_m(ground: RayGround, attach_m: float, length_m: float) -> np.ndarray:
    """Farthest ground (metres, along each azimuth) within a guy's length of its attachment, this high above datum.

    The whole length where a height is missing.
    """
    s, z, known = _seen_from(ground, attach_m, length_m)
    return np.where(known, _farthest(_within(s, z, length_m)[1], length_m), length_m)


def _seen_from(ground: RayGround, pivot_m: float, length_m: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Samples up to the first one at or past the length, heights there above the pivot (0 where unknown), and known rays."""
    needed = max(2, int(np.searchsorted(ground.s_m, length_m)) + 1)
    z = ground.ground_m[:, :needed] - pivot_m
    known = np.isfinite(z).all(axis=1)
    return ground.s_m[:needed], z if known.all() else np.where(known[:, None], z, 0.0), known


def _farthest(far: np.ndarray, length_m: float) -> np.ndarray:
    """The last piece of each ray that is within the length: where it ends, metres; 0 where none is."""
    return np.minimum(np.where(np.isfinite(far), far, 0.0).max(axis=1), length_m)


def _within(s: np.ndarray, z: np.ndarray, length_m: float) -> tuple[np.ndarray, np.ndarray]:
    """Where, between two samples, the ground first and last lies within the length, (K, S-1) metres; NaN where nowhere.

    Between samples s^2 + z^2 - length^2 is a parabola, open upward: it is 0 or below from its smaller root to its larger.
    """
    run, rise = np.diff(s), np.diff(z, axis=1)
    square = run**2 + rise**2
    half = s[:-1] * run + z[:, :-1] * rise
    root = half**2 - square * (s[:-1] ** 2 + z[:, :-1] ** 2 - length_m**2)
    is_there = root >= 0.0
    root = np.sqrt(np.where(is_there, root, 0.0))
    low, high = (-half - root) / square, (-half + root) / square
    is_there &= (high >= 0.0) & (low <= 1.0)
    near = np.where(is_there, s[:-1] + np.clip(low, 0.0, 1.0) * run, np.nan)
    far = np.where(is_there, s[:-1] + np.clip(high, 0.0, 1.0) * run, np.nan)
    return near, far


def _tip(s: np.ndarray, z: np.ndarray, within: tuple[np.ndarray, np.ndarray], length_m: float) -> tuple[np.ndarray, np.ndarray]:
    """Plan distance of the tip of a pole that has come to rest, and the tip's height over the ground there, metres.

    Along a straight piece of ground the elevation angle from the pivot rises or falls throughout: its largest is at an end
    of the piece within the length.
    """
    slope = np.diff(z, axis=1) / np.diff(s)
    steepest = np.full(z.shape[0], -np.inf)
    for at in within:
        height = z[:, :-1] + (at - s[:-1]) * slope
        with np.errstate(invalid="ignore", divide="ignore"):
            # At the pivot itself only the ground's own slope counts where the ground starts there; else it is straight below.
            seen = np.where(at > 0.0, height / at, np.where(height == 0.0, slope, -np.inf))
        steepest = np.maximum(steepest, np.where(np.isfinite(seen), seen, -np.inf).max(axis=1))
    angle = np.arctan(steepest)
    tip = length_m * np.cos(angle)
    piece = np.clip(np.searchsorted(s, tip, side="right") - 1, 0, s.size - 2)
    rows = np.arange(z.shape[0])
    ground = z[rows, piece] + (tip - s[piece]) * slope[rows, piece]
    return tip, length_m * np.sin(angle) - ground


def outline(radii_m: np.ndarray, azimuths_true_deg: np.ndarray, convergence_deg: float, *, is_same_area: bool = False) -> object:
    """A polygon of a radius for each azimuth around the base, in the ground frame (metres, grid east and north).

    Its corners lie on the radii; with `is_same_area` they are moved out by some hundred-thousandths, so that a circle's
    polygon has the circle's area.
    """
    if is_same_area:
        turn = 2.0 * math.pi / azimuths_true_deg.size
        radii_m = radii_m * math.sqrt(turn / math.sin(turn))
    turned = np.radians(azimuths_true_deg - convergence_deg)
    return shapely.Polygon(np.column_stack([radii_m * np.sin(turned), radii_m * np.cos(turned)]))


@dataclass(frozen=True, slots=True)
class GuyWhip:
    """What the parted guys of one anchor can sweep."""

    anchor: str
    length_m: float  # the longest guy's straight line, plumb mast to anchor
    attach_m: float  # where that guy leaves the mast, above the hinge
    about_anchor: object  # polygon: parted at the mast, the guy turns about its anchor
    about_mast: object  # polygon: parted at the anchor, the guy turns about its attachment on the plumb mast
    mast_reach_m: float  # the farthest of that from the base


def guy_whips(mast: Mast, stance: Stance, ground: RayGround, frame: Frame) -> tuple[GuyWhip, ...]:
    """The ground that each anchor's guys can sweep when one parts, metres in the ground frame.

    Parted at the mast: the circle about the anchor with the longest guy's straight length; no ground lies nearer in space
    than in plan, so none beyond it is reached. Parted at the anchor: the ground within the guy's length of its attachment,
    r^2 + (z - attachment)^2 <= length^2; on level ground that is the circle through the anchor about the base. Of all guys
    of an anchor the highest reaches most where the ground lies above the anchor, the lowest where it lies below; between
    them nothing reaches farther, since the condition is linear in the attachment's height.

    Args:
        ground: out to the longest guy (`longest_guy_m`).
    Source: derived; held against brute force in tests/layout/test_reach.py. No stretch, no wind, no end fitting that flies.
    """
    whips = []
    hinge_m = stance.base_m + mast.hinge_height_m
    for anchor in mast.anchors:
        levels = sorted(level.attach_m for level in mast.guys if anchor.id in level.anchors)
        if not levels:
            continue
        at_m = stance.anchor_m[anchor.id]
        lengths = [math.hypot(anchor.radius_m, hinge_m + attach - at_m) for attach in (levels[0], levels[-1])]
        ends = zip((levels[0], levels[-1]), lengths, strict=True)
        reach = np.maximum.reduce([swept_by_guy_m(ground, hinge_m + attach, length) for attach, length in ends])
        longest = int(np.argmax(lengths))
        azimuth = np.array([(stance.laydown_deg + anchor.bearing_deg) % 360.0])
        xy = anchor_points_xy_m(frame, azimuth, np.array([anchor.radius_m]))[0]
        circle = outline(np.full(ground.azimuths_true_deg.size, lengths[longest]), ground.azimuths_true_deg, 0.0, is_same_area=True)
        whips.append(
            GuyWhip(
                anchor.id, lengths[longest], (levels[0], levels[-1])[longest],
                shapely.transform(circle, lambda points, xy=xy: points + xy),
                outline(reach, ground.azimuths_true_deg, frame.convergence_deg, is_same_area=True),
                float(reach.max()),
            )
        )  # fmt: skip
    return tuple(whips)


def longest_guy_m(mast: Mast, stance: Stance) -> float:
    """The longest straight line from the plumb mast to an anchor, metres; 0 without guys."""
    hinge_m = stance.base_m + mast.hinge_height_m
    radius_m = {a.id: a.radius_m for a in mast.anchors}
    return max(
        (
            math.hypot(radius_m[anchor], hinge_m + level.attach_m - stance.anchor_m[anchor])
            for level in mast.guys
            for anchor in level.anchors
        ),
        default=0.0,
    )
