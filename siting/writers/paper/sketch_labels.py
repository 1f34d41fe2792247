"""Where the names on a drawing go: beside their marks, on no other name or mark, off the lines where that is possible."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from siting.writers.paper.canvas import Point

Box = tuple[float, float, float, float]  # left, top, right, bottom
Segment = tuple[Point, Point]

# How far from its mark a name may stand, mm: nearest first. Beyond the third a thin line leads to it.
RINGS_MM = (0.7, 1.6, 2.8, 4.5, 6.5, 9.0, 12.0, 16.0, 21.0)
LEADER_FROM_MM = 4.0
DIRECTIONS = 24
GAP_MM = 0.5
CROSSED_LINE, LEADER, AWAY_FROM_OUTWARD, PER_MM = 2.2, 1.0, 0.5, 0.35
ROUNDS = 2


@dataclass(frozen=True, slots=True)
class Label:
    """A name to place, mm: its mark's place and half size, its own size, and the direction that it would best go."""

    at: Point
    reach_mm: float
    width_mm: float
    height_mm: float
    outward_rad: float  # on the paper: 0 to the right, clockwise
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Placed:
    """Where a name stands: its box, and the line that leads from the mark to it where it is not beside it."""

    label: Label
    box: Box
    leader: Segment | None


def overlap(a: Box, b: Box, gap_mm: float = 0.0) -> bool:
    """Whether two boxes come nearer than this gap."""
    return a[0] < b[2] + gap_mm and b[0] < a[2] + gap_mm and a[1] < b[3] + gap_mm and b[1] < a[3] + gap_mm


def crosses(segment: Segment, box: Box) -> bool:
    """Whether a line touches a box (Liang and Barsky's clipping, from memory)."""
    (x0, y0), (x1, y1) = segment
    dx, dy = x1 - x0, y1 - y0
    first, last = 0.0, 1.0
    for step, room in ((-dx, x0 - box[0]), (dx, box[2] - x0), (-dy, y0 - box[1]), (dy, box[3] - y0)):
        if step == 0.0:
            if room < 0.0:
                return False
            continue
        t = room / step
        if step < 0.0:
            first = max(first, t)
        else:
            last = min(last, t)
        if first > last:
            return False
    return True


def place_labels(labels: Sequence[Label], marks: Sequence[Box], lines: Sequence[Segment], area: Box) -> list[Placed] | None:
    """A place for every name, in the given order; None where one finds no room.

    Args:
        marks: boxes that no name may cover.
        lines: lines that a name had better not cover.
        area: every name stays inside it.
    """
    crowd = [sum(math.dist(a.at, b.at) < 15.0 for b in labels) for a in labels]
    order = sorted(range(len(labels)), key=lambda i: (-crowd[i], -labels[i].width_mm, i))
    placed: dict[int, Placed] = {}
    for turn in range(ROUNDS):
        for i in order:
            others = [p for k, p in placed.items() if k != i]
            found = _best(labels[i], others, marks, lines, area)
            if found is None and turn == 0:
                return None
            placed[i] = found or placed[i]
    return [placed[i] for i in range(len(labels))]


def _best(
    label: Label, others: Sequence[Placed], marks: Sequence[Box], lines: Sequence[Segment], area: Box
) -> Placed | None:
    """The cheapest free place of one name."""
    best, least = None, math.inf
    taken = [p.box for p in others]
    leaders = [p.leader for p in others if p.leader]
    for ring_mm in RINGS_MM:
        if ring_mm * PER_MM >= least:
            break
        near = _reached(lines, label, ring_mm)
        for k in range(DIRECTIONS):
            turn = label.outward_rad + 2 * math.pi * ((k + 1) // 2 * (1 if k % 2 else -1)) / DIRECTIONS
            box = _box(label, turn, label.reach_mm + ring_mm)
            cost = ring_mm * PER_MM + AWAY_FROM_OUTWARD * (1 - math.cos(turn - label.outward_rad))
            if cost >= least or not _inside(box, area) or any(overlap(box, m, 0.2) for m in marks):
                continue
            if any(overlap(box, t, GAP_MM) for t in taken) or any(crosses(s, box) for s in leaders):
                continue
            leader = _leader(label, box) if ring_mm > LEADER_FROM_MM else None
            if leader and (any(crosses(leader, t) for t in taken) or _through_marks(leader, label, marks)):
                continue
            cost += LEADER * (leader is not None) + CROSSED_LINE * sum(crosses(s, _grown(box, GAP_MM)) for s in near)
            if cost < least:
                best, least = Placed(label, box, leader), cost
    return best


def _reached(lines: Sequence[Segment], label: Label, ring_mm: float) -> list[Segment]:
    """The lines that a name on this ring can touch at all: few of a map's thousands."""
    wide = label.reach_mm + ring_mm + label.width_mm + 2 * GAP_MM
    high = label.reach_mm + ring_mm + label.height_mm + 2 * GAP_MM
    left, right, top, low = label.at[0] - wide, label.at[0] + wide, label.at[1] - high, label.at[1] + high
    return [
        s for s in lines
        if (s[0][0] <= right or s[1][0] <= right) and (s[0][0] >= left or s[1][0] >= left)
        and (s[0][1] <= low or s[1][1] <= low) and (s[0][1] >= top or s[1][1] >= top)
    ]  # fmt: skip


def _box(label: Label, turn_rad: float, distance_mm: float) -> Box:
    """The name's box in this direction: its nearest edge or corner at about that distance from the mark's centre."""
    x, y = math.cos(turn_rad), math.sin(turn_rad)
    centre_x = label.at[0] + x * distance_mm + label.width_mm / 2 * max(-1.0, min(1.0, 1.6 * x))
    centre_y = label.at[1] + y * distance_mm + label.height_mm / 2 * max(-1.0, min(1.0, 1.6 * y))
    half_x, half_y = label.width_mm / 2, label.height_mm / 2
    return centre_x - half_x, centre_y - half_y, centre_x + half_x, centre_y + half_y


def _grown(box: Box, by_mm: float) -> Box:
    return box[0] - by_mm, box[1] - by_mm, box[2] + by_mm, box[3] + by_mm


def _inside(box: Box, area: Box) -> bool:
    return area[0] <= box[0] and area[1] <= box[1] and box[2] <= area[2] and box[3] <= area[3]


def _leader(label: Label, box: Box) -> Segment:
    """From the mark's edge to the nearest point of the name's box."""
    near = (min(max(label.at[0], box[0]), box[2]), min(max(label.at[1], box[1]), box[3]))
    long = math.dist(label.at, near) or 1.0
    part = label.reach_mm / long
    return (label.at[0] + (near[0] - label.at[0]) * part, label.at[1] + (near[1] - label.at[1]) * part), near


def _through_marks(leader: Segment, label: Label, marks: Sequence[Box]) -> bool:
    """Whether the leading line runs through the mark of another."""
    own = [m for m in marks if m[0] <= label.at[0] <= m[2] and m[1] <= label.at[1] <= m[3]]
    return any(crosses(leader, m) for m in marks if m not in own)
