"""Least distances from mast, guys, gin pole and winch line to an overhead line, while the mast lies, goes up and stands."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from siting.geodesy.frames import Frame
from siting.kernels.curtain import curtain_distance
from siting.kernels.moments import mast_direction, pole_direction
from siting.layout.footprint import anchor_points_xy_m
from siting.layout.reach import Stance
from siting.records.mast import TEMPORARY, Mast

# Mast angles at which every part is looked at first; around each least distance the angle is then narrowed down.
ANGLE_STEP_DEG = 1.0
NARROWED_BY, NARROWINGS = 8, 6
SAME_M = 1e-9


@dataclass(frozen=True, slots=True)
class Conductors:
    """The spans of one or more lines: (n, 3) ends of the lowest conductor, metres from the base, Z above datum.

    What hangs above the lowest conductor counts as the line too: other wires, up to the sky. `line` (n,) is the number of
    the line that a span belongs to. A Z of `ANY_HEIGHT_M` stands for a conductor at any height.
    """

    starts: np.ndarray
    ends: np.ndarray
    line: np.ndarray


@dataclass(frozen=True, slots=True)
class Nearest:
    """The least distance from a line to a group of parts."""

    distance_m: float
    part: str
    angle_deg: float  # mast angle; 90 for the standing mast
    point_xy_m: tuple[float, float]  # on the line


@dataclass(frozen=True, slots=True)
class LineDistances:
    """One line's least distances."""

    lying: Nearest
    lifting: Nearest
    standing: Nearest


@dataclass(frozen=True, slots=True)
class _Parts:
    """Straight parts: names, and the farthest that an end of each can swing (metres for each radian of the mast's turn)."""

    names: tuple[str, ...]
    swing_m: np.ndarray


@dataclass(frozen=True, slots=True)
class _Rig:
    """The mast in the ground frame: everything that moves with it."""

    mast: Mast
    hinge: np.ndarray
    turn: np.ndarray  # (3, 3): lift frame (along, right, up) to ground frame (grid east, grid north, up)
    anchor: dict[str, np.ndarray]

    def lifted(self) -> _Parts:
        """The parts that move: mast to its tip, guys of the lift, gin pole, winch line."""
        mast, guys = self.mast, _guys(self.mast, only_lift=True)
        names = ["mast", *(f"guy from {attach:g} m to {anchor}" for attach, anchor in guys)]
        swing = [_length_m(mast), *(attach for attach, _ in guys)]
        if mast.winch is not None:
            names += ["gin pole", "winch line"]
            swing += [mast.gin_pole_length_m] * 2
        return _Parts(tuple(names), np.array(swing))

    def ends(self, angles_rad: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Both ends (..., parts, 3) of the parts that move, at mast angles of any shape."""
        along = mast_direction(angles_rad) @ self.turn.T
        pole = pole_direction(angles_rad) @ self.turn.T * self.mast.gin_pole_length_m
        still = np.broadcast_to(self.hinge, along.shape)
        starts, ends = [still], [self.hinge + _length_m(self.mast) * along]
        for attach, anchor in _guys(self.mast, only_lift=True):
            starts.append(np.broadcast_to(self.anchor[anchor], along.shape))
            ends.append(self.hinge + attach * along)
        if self.mast.winch is not None:
            starts += [still, np.broadcast_to(self.anchor[self.mast.winch.id], along.shape)]
            ends += [self.hinge + pole, self.hinge + pole]
        return np.stack(starts, axis=-2), np.stack(ends, axis=-2)

    def standing(self) -> tuple[tuple[str, ...], np.ndarray, np.ndarray]:
        """Names and ends of the plumb mast and every guy, permanent and temporary."""
        guys, up = _guys(self.mast, only_lift=False), np.array([0.0, 0.0, 1.0])
        names = ("mast", *(f"guy from {attach:g} m to {anchor}" for attach, anchor in guys))
        starts = [self.hinge, *(self.anchor[anchor] for _, anchor in guys)]
        ends = [self.hinge + _length_m(self.mast) * up, *(self.hinge + attach * up for attach, _ in guys)]
        return names, np.array(starts), np.array(ends)


def line_distances(mast: Mast, stance: Stance, frame: Frame, conductors: Conductors) -> tuple[LineDistances, ...]:
    """Least distances (metres) of each line to the lying mast, to the lift at any angle, and to the standing mast.

    The mast is the straight line from the hinge to the tip of the air terminal; guys and winch line are straight. The
    distance to the mast alone has one least over the lift; for guys every least of the table of whole degrees is
    narrowed down, to a hundredth of a millimetre.

    Source: derived; held against dense sampling and a general minimiser in tests/checks/test_power_lines.py.
    """
    rig = _rig(mast, stance, frame)
    parts = rig.lifted()
    count = max(2, math.ceil(math.degrees(math.pi / 2 - stance.rest_rad) / ANGLE_STEP_DEG) + 1)
    angles = np.linspace(stance.rest_rad, math.pi / 2, count)
    starts, ends = rig.ends(angles)
    table, along = curtain_distance(starts[:, :, None], ends[:, :, None], conductors.starts, conductors.ends)
    names, standing_starts, standing_ends = rig.standing()
    still, still_along = curtain_distance(standing_starts[:, None], standing_ends[:, None], conductors.starts, conductors.ends)
    found = []
    for number in range(int(conductors.line.max()) + 1):
        of_line = np.flatnonzero(conductors.line == number)
        lying = _least(table[0, :1, of_line].T, along[0, :1, of_line].T, conductors, of_line)
        standing = _least(still[:, of_line], still_along[:, of_line], conductors, of_line)
        found.append(
            LineDistances(
                Nearest(lying[0], "mast", math.degrees(stance.rest_rad), lying[2]),
                _lifting(rig, parts, angles, table[:, :, of_line], (conductors, of_line)),
                Nearest(standing[0], names[standing[1]], 90.0, standing[2]),
            )
        )
    return tuple(found)


def _lifting(
    rig: _Rig, parts: _Parts, angles: np.ndarray, table: np.ndarray, line: tuple[Conductors, np.ndarray]
) -> Nearest:
    """The least over the lift: the table's leasts (angles, parts, spans) narrowed down between their neighbours."""
    conductors, of_line = line
    first = np.concatenate([np.ones_like(table[:1], dtype=bool), table[1:] < table[:-1] - SAME_M])
    last = np.concatenate([table[:-1] <= table[1:] + SAME_M, np.ones_like(table[:1], dtype=bool)])
    # Between two angles a part comes no nearer than its end can swing.
    could = table - parts.swing_m[None, :, None] * (angles[1] - angles[0]) <= table.min()
    at, part, span = np.nonzero(first & last & could)
    low, high = angles[np.maximum(at - 1, 0)], angles[np.minimum(at + 1, angles.size - 1)]
    best = (math.inf, 0, 0.0, (0.0, 0.0))
    rows = np.arange(at.size)
    for _ in range(NARROWINGS):
        tried = low[:, None] + (high - low)[:, None] * np.linspace(0.0, 1.0, NARROWED_BY + 1)
        starts, ends = rig.ends(tried)
        of_part = (rows[:, None], np.arange(NARROWED_BY + 1)[None, :], part[:, None])
        p, q = conductors.starts[of_line[span]][:, None], conductors.ends[of_line[span]][:, None]
        distance, along = curtain_distance(starts[of_part], ends[of_part], p, q)
        pick = distance.argmin(axis=1)
        least = int(distance[rows, pick].argmin())
        if distance[least, pick[least]] < best[0] - SAME_M:
            point = p[least, 0] + along[least, pick[least]] * (q[least, 0] - p[least, 0])
            best = (float(distance[least, pick[least]]), int(part[least]), float(tried[least, pick[least]]), (float(point[0]), float(point[1])))
        low, high = tried[rows, np.maximum(pick - 1, 0)], tried[rows, np.minimum(pick + 1, NARROWED_BY)]
    return Nearest(best[0], parts.names[best[1]], math.degrees(best[2]), best[3])


def _least(
    table: np.ndarray, along: np.ndarray, conductors: Conductors, of_line: np.ndarray
) -> tuple[float, int, tuple[float, float]]:
    """The least of (parts, spans): metres, which part, and the line's point there."""
    part, span = np.unravel_index(int(table.argmin()), table.shape)
    start, end = conductors.starts[of_line[span]], conductors.ends[of_line[span]]
    point = start + along[part, span] * (end - start)
    return float(table[part, span]), int(part), (float(point[0]), float(point[1]))


def _rig(mast: Mast, stance: Stance, frame: Frame) -> _Rig:
    azimuths = np.array([(stance.laydown_deg + a.bearing_deg) % 360.0 for a in mast.anchors])
    xy = anchor_points_xy_m(frame, azimuths, np.array([a.radius_m for a in mast.anchors])).reshape(-1, 2)
    grid = math.radians(stance.laydown_deg - frame.convergence_deg)
    sine, cosine = math.sin(grid), math.cos(grid)
    return _Rig(
        mast,
        np.array([0.0, 0.0, stance.base_m + mast.hinge_height_m]),
        np.array([[sine, cosine, 0.0], [cosine, -sine, 0.0], [0.0, 0.0, 1.0]]),
        {a.id: np.array([*point, stance.anchor_m[a.id]]) for a, point in zip(mast.anchors, xy, strict=True)},
    )


def _guys(mast: Mast, *, only_lift: bool) -> list[tuple[float, str]]:
    """(attachment, anchor) of every guy, or of those that are rigged for the lift."""
    return [
        (level.attach_m, anchor) for level in mast.guys for anchor in level.anchors if level.use == TEMPORARY or not only_lift
    ]


def _length_m(mast: Mast) -> float:
    """Hinge to the tip of the air terminal, metres."""
    return max(mast.total_height_m - mast.hinge_height_m, mast.height_m)
