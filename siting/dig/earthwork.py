"""The earth in a pit: where walls that are laid back meet the ground as it is, and how much is dug.

Frame of every function: u metres outward along the rod, v metres to its right, both from the stake on the level; heights
are metres above the ground at the stake. The floor is a level rectangle, its long side along v.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from siting.errors import OutOfMethod

HeightAt = Callable[[np.ndarray, np.ndarray], np.ndarray]
# From each corner of the floor and the middle of each side, in the order in which the rim runs round.
CORNERS = np.array([(1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1), (1, 0)], dtype=float)
RAY_STEPS, RAY_FARTHER, RAY_TRIES = 24, 3.0, 3
# Ground is asked for at this step, then taken as bilinear between: a DEM's cell is no smaller as a rule.
GROUND_STEP_M, GROUND_NODES_MIN, GROUND_NODES_MAX = 0.3, 8, 40
# Slices of each of the three strips of a side (wall, floor, wall); doubled until the volume rests.
SLICES, SLICES_MAX, VOLUME_RESTS = 8, 128, 0.002


@dataclass(frozen=True, slots=True)
class Floor:
    """A pit's level floor and how its walls lie."""

    u_m: float  # its middle outward from the stake
    width_m: float  # along u
    length_m: float  # along v
    z_m: float
    wall_h_per_v: float

    def wall_z_m(self, u: np.ndarray, v: np.ndarray) -> np.ndarray:
        """Height of the pit's surface, metres: the floor, then the walls, mitred at the corners; infinite past upright ones."""
        past = np.maximum(np.abs(u - self.u_m) - self.width_m / 2, np.abs(v) - self.length_m / 2)
        if self.wall_h_per_v > 0.0:
            return self.z_m + np.maximum(past, 0.0) / self.wall_h_per_v
        return np.where(past > 1e-12, np.inf, self.z_m)


def rim(floor: Floor, height_at: HeightAt) -> np.ndarray:
    """Corners and side middles of the opening at the ground, (8, 3) u, v and height in metres, counter-clockwise in (u, v).

    On a plane the corners are exact, and straight lines join them.

    Raises:
        OutOfMethod: the floor lies over the ground, the ground is not known, or rises as steeply as the walls.
    """
    foot = np.array([floor.u_m, 0.0]) + CORNERS * np.array([floor.width_m, floor.length_m]) / 2
    rise = height_at(foot[:, 0], foot[:, 1])
    if not np.isfinite(rise).all():
        raise _refusal("no ground height is known over the pit", "give a DEM that covers it")
    depth = rise - floor.z_m
    if depth.min() <= 0.0:
        raise _refusal("the pit's floor would lie over the ground: it falls away there", "choose another anchor or place")
    if floor.wall_h_per_v == 0.0:
        return np.column_stack([foot, rise])
    far = 2.0 * floor.wall_h_per_v * depth.max() + 0.5
    for _ in range(RAY_TRIES):
        found = _meet(floor, foot, height_at, far)
        if found is not None:
            return found
        far *= RAY_FARTHER
    raise _refusal(
        "the ground rises as steeply as the walls can be laid back, so they never meet it", "choose another anchor or place"
    )


def _meet(floor: Floor, foot: np.ndarray, height_at: HeightAt, far_m: float) -> np.ndarray | None:
    """Where rays from the floor's edge, up the walls, come out of the ground; None where one does not before `far_m`."""
    t = np.linspace(0.0, far_m, RAY_STEPS + 1)
    u = foot[:, :1] + CORNERS[:, :1] * t
    v = foot[:, 1:] + CORNERS[:, 1:] * t
    over = floor.z_m + t / floor.wall_h_per_v - height_at(u, v)
    if np.isnan(over).any():
        raise _refusal("no ground height is known around the pit", "give a DEM that covers it")
    out = over >= 0.0
    if not out.any(axis=1).all():
        return None
    i = out.argmax(axis=1)
    row = np.arange(len(foot))
    before, after = over[row, i - 1], over[row, i]
    run = t[i - 1] + (t[i] - t[i - 1]) * -before / (after - before)
    return np.column_stack([foot + CORNERS * run[:, None], floor.z_m + run / floor.wall_h_per_v])


def pit_volume_m3(floor: Floor, opening: np.ndarray, height_at: HeightAt) -> float:
    """Earth between the pit's floor and walls and the ground over them, cubic metres in place.

    The sum over slices that do not cut a wall's foot; doubled until it rests within 0.2 %.

    Args:
        opening: as `rim` gives it.
    Raises:
        OutOfMethod: the ground over the pit is not known.
    """
    ends = [(opening[:, k].min(), opening[:, k].max()) for k in (0, 1)]
    ground = _bilinear_ground(ends, height_at)
    feet = ((floor.u_m - floor.width_m / 2, floor.u_m + floor.width_m / 2), (-floor.length_m / 2, floor.length_m / 2))
    slices, last = SLICES, None
    while True:
        (u, du), (v, dv) = (_slices(end, foot, slices) for end, foot in zip(ends, feet, strict=True))
        deep = np.maximum(ground(u, v) - floor.wall_z_m(u[:, None], v[None, :]), 0.0)
        volume = float(du @ deep @ dv)
        slices *= 2
        if slices > SLICES_MAX or (last is not None and abs(volume - last) <= VOLUME_RESTS * volume):
            return volume
        last = volume


def slot_m3(floor: Floor, slope_tan: float, width_m: float, height_at: HeightAt) -> tuple[float, float, float]:
    """Rod trench from the stake to the pit's floor: earth not yet in the pit (m3), level length (m), largest depth (m).

    Args:
        slope_tan: fall of the rod for each metre outward.
    """
    end_m = floor.u_m - floor.width_m / 2
    if end_m <= 0.0:
        return 0.0, 0.0, 0.0
    count = max(24, int(np.ceil(end_m / 0.05)))
    u = (np.arange(count) + 0.5) * end_m / count
    bottom = -u * slope_tan
    top = np.minimum(height_at(u, np.zeros_like(u)), floor.wall_z_m(u, np.zeros_like(u)))
    deep = np.maximum(top - bottom, 0.0)
    return float(deep.sum() * end_m / count * width_m), end_m, float(deep.max())


def _slices(end: tuple[float, float], foot: tuple[float, float], count: int) -> tuple[np.ndarray, np.ndarray]:
    """Middles and widths (metres) of slices of the two walls and the floor of one side."""
    edges = np.concatenate(
        [np.linspace(a, b, count + 1)[:-1] for a, b in ((end[0], foot[0]), foot, (foot[1], end[1]))] + [[end[1]]]
    )
    return (edges[:-1] + edges[1:]) / 2, np.diff(edges)


def _bilinear_ground(ends: list[tuple[float, float]], height_at: HeightAt) -> Callable[[np.ndarray, np.ndarray], np.ndarray]:
    """The ground over the opening, asked for once on a grid."""
    axes = []
    for low, high in ends:
        count = int(np.clip(np.ceil((high - low) / GROUND_STEP_M), GROUND_NODES_MIN, GROUND_NODES_MAX))
        axes.append(np.linspace(low, high, count + 1))
    known = height_at(*np.meshgrid(*axes, indexing="ij"))
    if not np.isfinite(known).all():
        raise _refusal("no ground height is known over the pit", "give a DEM that covers it")

    def at(u: np.ndarray, v: np.ndarray) -> np.ndarray:
        along = np.empty((u.size, known.shape[1]))
        for column in range(known.shape[1]):
            along[:, column] = np.interp(u, axes[0], known[:, column])
        place = np.clip(np.searchsorted(axes[1], v, side="right") - 1, 0, known.shape[1] - 2)
        part = (v - axes[1][place]) / (axes[1][place + 1] - axes[1][place])
        return along[:, place] * (1.0 - part) + along[:, place + 1] * part

    return at


def _refusal(what: str, do: str) -> OutOfMethod:
    """Why there is no such pit."""
    return OutOfMethod.of("dig_range", "the anchor's pit", what, do)
