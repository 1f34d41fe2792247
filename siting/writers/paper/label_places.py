"""Finds a free place beside each point for its label, so that no label covers a label, a symbol or a line."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import product

Point = tuple[float, float]
Segment = tuple[Point, Point]
Circle = tuple[Point, float]

DIRECTIONS = 16
# Distances from the symbol to the label that are tried, as multiples of the gap: from touching to far off.
STEPS = (1.0, 2.0, 3.0, 4.5, 6.0, 8.0, 10.0, 13.0, 16.0, 20.0, 25.0, 30.0)
LEADER_FROM_STEP = 2.5  # a label further off than this gets a line to its point
PUSHED = 1.5  # a label pushes others whose points lie within this many times its width and height
COVERS = 1000.0  # cost of a label on a label or on a symbol: only where there is no other place
STRIKES = 200.0  # cost of a leader through a label
MUDDLES = 40.0  # cost of a leader across a leader or a symbol
CROSSES = 14.0  # cost of each line under a label
PASSES = 3.0  # cost of each line that a leader passes over
TURNED = 1.5  # cost of a half turn away from the direction that leads outward
MAIN = 0.3  # cosine or sine below which a direction counts as straight up, down, left or right


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle, same unit as the points."""

    left: float
    bottom: float
    right: float
    top: float

    def covers(self, other: Box) -> bool:
        """True where the two share some area."""
        return self.left < other.right and other.left < self.right and self.bottom < other.top and other.bottom < self.top

    def is_crossed(self, segment: Segment) -> bool:
        """True where the segment runs through the inside (Liang and Barsky's clipping, from memory)."""
        (x0, y0), (x1, y1) = segment
        dx, dy, first, last = x1 - x0, y1 - y0, 0.0, 1.0
        sides = ((-dx, x0 - self.left), (dx, self.right - x0), (-dy, y0 - self.bottom), (dy, self.top - y0))
        for step, room in sides:
            if step == 0.0:
                if room <= 0.0:
                    return False
            elif step < 0.0:
                first = max(first, room / step)
            else:
                last = min(last, room / step)
        return first < last

    def is_cut(self, circle: Circle) -> bool:
        """True where the circle's line runs through the inside."""
        (x, y), radius = circle
        near = math.dist((x, y), self.nearest((x, y)))
        far = math.hypot(max(x - self.left, self.right - x), max(y - self.bottom, self.top - y))
        return near < radius < far

    def nearest(self, point: Point) -> Point:
        """The point of the rectangle that lies nearest to a point."""
        return min(max(point[0], self.left), self.right), min(max(point[1], self.bottom), self.top)


@dataclass(frozen=True, slots=True)
class Label:
    """A label to place: its point, its size with the free rim, and the direction (radians from x) it would best take."""

    point: Point
    width: float
    height: float
    outward_rad: float


@dataclass(frozen=True, slots=True)
class Place:
    """Where a label stands, the line from its point where it stands off, and what the place costs by itself."""

    box: Box
    leader: Segment | None
    cost: float

    def clash(self, other: Place) -> float:
        """The cost of two labels and their leaders getting in each other's way."""
        cost = COVERS * self.box.covers(other.box)
        if self.leader is not None:
            cost += STRIKES * other.box.is_crossed(self.leader)
        if other.leader is not None:
            cost += STRIKES * self.box.is_crossed(other.leader)
            cost += MUDDLES * (self.leader is not None and _cross(self.leader, other.leader))
        return cost


@dataclass(frozen=True, slots=True)
class Drawn:
    """What is drawn already and should stay free of labels."""

    symbols: tuple[Box, ...]
    lines: tuple[Segment, ...]
    circles: tuple[Circle, ...]

    def within(self, box: Box) -> Drawn:
        """What of it lies inside a rectangle or runs through it."""
        return Drawn(
            tuple(symbol for symbol in self.symbols if box.covers(symbol)),
            tuple(line for line in self.lines if box.is_crossed(line)),
            tuple(circle for circle in self.circles if box.is_cut(circle)),
        )

    def lines_under(self, box: Box) -> int:
        """How many lines and circles run under a rectangle."""
        return sum(box.is_crossed(line) for line in self.lines) + sum(box.is_cut(circle) for circle in self.circles)


def beside(point: Point, width: float, height: float, turn_rad: float, distance: float) -> Box:
    """A rectangle at this distance from a point in this direction: centred on its side, or hung on its corner."""
    across, up = math.cos(turn_rad), math.sin(turn_rad)
    middle_x = point[0] + distance * across + (math.copysign(width / 2.0, across) if abs(across) > MAIN else 0.0)
    middle_y = point[1] + distance * up + (math.copysign(height / 2.0, up) if abs(up) > MAIN else 0.0)
    left, bottom = middle_x - width / 2.0, middle_y - height / 2.0
    return Box(left, bottom, left + width, bottom + height)


def place_labels(
    labels: Sequence[Label], symbol_radius: float, gap: float, lines: Iterable[Segment], circles: Iterable[Circle]
) -> tuple[Place, ...]:
    """A place for each label, found one by one; a label that stands badly may then push its neighbours aside.

    Args:
        symbol_radius: of every point's symbol; the labels keep off all of them.
        gap: smallest distance between a symbol and its label.
        lines, circles: what labels should rather not stand on.
    """
    r = symbol_radius
    symbols = tuple(Box(x - r, y - r, x + r, y + r) for x, y in (label.point for label in labels))
    drawn = Drawn(symbols, tuple(lines), tuple(circles))
    choices = [_choices(label, r, gap, drawn) for label in labels]
    everything = range(len(labels))
    reach = [_reach(label, r, gap) for label in labels]
    near = [[j for j in everything if j != i and _apart(labels[i], labels[j]) < reach[i] + reach[j]] for i in everything]
    places: dict[int, Place] = {}
    _settle(everything, places, choices, near)
    _settle(everything, places, choices, near)
    for number in everything:
        if _cost([number], places, near) < CROSSES:
            continue
        pushed = [j for j in near[number] if _apart(labels[number], labels[j]) < PUSHED * (labels[number].width + labels[number].height)]
        group = [number, *pushed]
        trial = {i: place for i, place in places.items() if i not in group}
        _settle(group, trial, choices, near)
        _settle(group, trial, choices, near)
        if _cost(group, trial, near) < _cost(group, places, near):
            places = trial
    return tuple(places[number] for number in everything)


def _reach(label: Label, symbol_radius: float, gap: float) -> float:
    """How far from its point any part of a label can lie."""
    return symbol_radius + gap * STEPS[-1] + label.width + label.height


def _apart(first: Label, second: Label) -> float:
    return math.dist(first.point, second.point)


def _choices(label: Label, symbol_radius: float, gap: float, drawn: Drawn) -> list[Place]:
    """Every place that is tried for a label, the cheapest first."""
    x, y = label.point
    reach = _reach(label, symbol_radius, gap)
    near = drawn.within(Box(x - reach, y - reach, x + reach, y + reach))
    places = []
    for step, number in product(STEPS, range(DIRECTIONS)):
        turn = 2.0 * math.pi * number / DIRECTIONS
        box = beside(label.point, label.width, label.height, turn, symbol_radius + gap * step)
        leader = (label.point, box.nearest(label.point)) if step > LEADER_FROM_STEP else None
        cost = step + TURNED * abs(math.remainder(turn - label.outward_rad, 2.0 * math.pi)) / math.pi
        cost += CROSSES * near.lines_under(box) + COVERS * sum(box.covers(s) for s in near.symbols)
        if leader is not None:
            cost += PASSES * sum(_cross(leader, line) for line in near.lines)
            cost += MUDDLES * (sum(s.is_crossed(leader) for s in near.symbols) - 1)  # its own symbol is one of them
        places.append(Place(box, leader, cost))
    return sorted(places, key=lambda place: place.cost)


def _settle(numbers: Iterable[int], places: dict[int, Place], choices: list[list[Place]], near: list[list[int]]) -> None:
    """Gives each of these labels its cheapest place among the others, one after the other."""
    for number in numbers:
        others = [places[i] for i in near[number] if i in places]
        best, best_cost = None, math.inf
        for place in choices[number]:
            if place.cost >= best_cost:
                break
            cost = place.cost
            for other in others:
                cost += place.clash(other)
                if cost >= best_cost:
                    break
            else:
                best, best_cost = place, cost
        if best is not None:
            places[number] = best


def _cost(numbers: Iterable[int], places: dict[int, Place], near: list[list[int]]) -> float:
    """The cost of these labels' places; a clash between two of them counts twice."""
    return sum(places[i].cost + sum(places[i].clash(places[j]) for j in near[i]) for i in numbers)


def _cross(first: Segment, second: Segment) -> bool:
    """True where two segments cross each other."""
    (a, b), (c, d) = first, second
    return _side(a, b, c) * _side(a, b, d) < 0.0 and _side(c, d, a) * _side(c, d, b) < 0.0


def _side(a: Point, b: Point, p: Point) -> float:
    return (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])
