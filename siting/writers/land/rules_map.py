"""The picture of the rules: own land, neighbours, the circles, every rule's nearest point with its distance, the move."""

from __future__ import annotations

import math

from siting.figures import shown
from siting.records.plan import Plan
from siting.records.rules import Move
from siting.verdict import FAIL, MARGINAL
from siting.writers.land.map_drawing import NEIGHBOUR_DASH, OBSTACLE_DASH, OWN_DASH, OWN_MM, LandMap, draw_key
from siting.writers.land.places import tie_of
from siting.writers.paper.canvas import Point, Sheet
from siting.writers.paper.sketch_labels import Box

FALL_MM, SETBACK_DASH = 0.45, (1.6, 1.0)
FAR = 1.7  # a rule's point further off than this many fall radii does not widen the picture
MOST_TIES, SAME_M = 10, 0.5
ARROW_MM, ARROW_HEAD_MM = 0.9, (2.6, 1.0)
TITLE = "Land, rules and the move: on each line the rule's number and the distance found (!: fails or is marginal)"


def draw_rules_map(sheet: Sheet, plan: Plan, box: Box) -> int:
    """Draws it inside the box, mm; returns the scale."""
    ties = ties_of(plan)
    move = _move_place(plan)
    largest_m = max([plan.land.fall_radius_m, plan.land.setback_m, *(r.limit_m for r in plan.land.rules)])
    reach_m = max(plan.land.fall_radius_m, plan.land.setback_m, min(largest_m, FAR * plan.land.fall_radius_m))
    near = [p for _, pair, _ in ties for p in pair if math.hypot(*p) <= FAR * plan.land.fall_radius_m]
    drawn = LandMap(sheet, plan, box, reach_m * 1.04, (*near, *((move,) if move else ())))
    drawn.land()
    drawn.circle(plan.land.fall_radius_m, FALL_MM)
    drawn.circle(plan.land.setback_m, 0.3, SETBACK_DASH)
    for text, (foot, there), is_loud in ties:
        _tie(drawn, text, (foot, there), is_loud)
    if move:
        _arrow(drawn, move, plan.move)
    for radius_m, text in ((plan.land.fall_radius_m, "fall circle"), (plan.land.setback_m, "setback")):
        drawn.name(_on_circle(radius_m, ties), f"{text} {shown(radius_m, 'length')}", (-1.0, 1.0))
    drawn.land_names()
    drawn.finish(TITLE)
    items = (
        ("own land", OWN_MM, OWN_DASH), ("neighbours", 0.2, NEIGHBOUR_DASH), ("obstacles", 0.35, OBSTACLE_DASH), ("fall circle", FALL_MM, ()),
        ("setback of the site file", 0.3, SETBACK_DASH),
    )  # fmt: skip
    draw_key(sheet, (box[0] + 52.0, drawn.area[3] + 3.2), items, box[2])
    return drawn.scale


def ties_of(plan: Plan) -> list[tuple[str, tuple[Point, Point], bool]]:
    """Each distance to draw, once: the rules' numbers with the figure, its two ends (metres), and whether it fails or is marginal.

    The failing and marginal ones first; of the others only as many as the picture holds.
    """
    found: list[tuple[list[int], tuple[Point, Point], bool, str]] = []
    for number, rule in enumerate(plan.land.rules, 1):
        tie = tie_of(plan, rule)
        if tie is None:
            continue
        alike = next((f for f in found if all(math.dist(a, b) < SAME_M for a, b in zip(f[1], tie, strict=True))), None)
        is_loud = rule.verdict in (FAIL, MARGINAL)
        if alike is None:
            found.append(([number], tie, is_loud, shown(rule.value_m, "length")))
        else:
            alike[0].append(number)
            found[found.index(alike)] = (alike[0], alike[1], alike[2] or is_loud, alike[3])
    found.sort(key=lambda f: (not f[2], math.dist(*f[1])))
    return [(f"{_numbers(n)}: {value}", tie, is_loud) for n, tie, is_loud, value in found[:MOST_TIES]]


def _numbers(numbers: list[int]) -> str:
    told = ", ".join(str(n) for n in numbers[:4])
    return f"{told} +{len(numbers) - 4}" if len(numbers) > 4 else told


def _tie(drawn: LandMap, text: str, ends: tuple[Point, Point], is_loud: bool) -> None:
    """A dimension line from the mast's part to the nearest point, its figure beside it."""
    drawn.path(ends, 0.5 if is_loud else 0.16)
    for end in ends:
        if drawn.is_inside(end, 0.5):
            x, y = drawn.drawing.at(end)
            drawn.sheet.line((x - 0.7, y + 0.7), (x + 0.7, y - 0.7), 0.35)
    foot, there = ends
    part = 0.62 if drawn.is_inside(there) else _seen_part(drawn, ends)
    middle = foot[0] + (there[0] - foot[0]) * part, foot[1] + (there[1] - foot[1]) * part
    across = there[1] - foot[1], there[0] - foot[0]
    drawn.name(middle, f"{text}!" if is_loud else text, across, 0.4)


def _seen_part(drawn: LandMap, ends: tuple[Point, Point]) -> float:
    """Where along a line that leaves the frame its figure stands."""
    foot, there = ends
    for part in (0.5, 0.35, 0.25, 0.15, 0.08):
        if drawn.is_inside((foot[0] + (there[0] - foot[0]) * part, foot[1] + (there[1] - foot[1]) * part)):
            return part
    return 0.04


def _move_place(plan: Plan) -> Point | None:
    """The new base, metres east and north of the old one; None where there is none."""
    move = plan.move
    if move is None or move.distance_m is None or move.bearing_deg is None:
        return None
    turn = math.radians(move.bearing_deg)
    return move.distance_m * math.sin(turn), move.distance_m * math.cos(turn)


def _arrow(drawn: LandMap, to: Point, move: Move) -> None:
    """A bold arrow from the base to where it is to stand."""
    a, b = drawn.drawing.at((0.0, 0.0)), drawn.drawing.at(to)
    long = math.dist(a, b)
    if long > 0.5:
        ux, uy = (b[0] - a[0]) / long, (b[1] - a[1]) / long
        head = min(ARROW_HEAD_MM[0], long * 0.8)
        foot = b[0] - ux * head, b[1] - uy * head
        drawn.sheet.line(a, foot, ARROW_MM)
        half = ARROW_HEAD_MM[1] + 0.3
        drawn.sheet.polygon([b, (foot[0] - uy * half, foot[1] + ux * half), (foot[0] + uy * half, foot[1] - ux * half)], 0.1, 0.0)
        drawn.drawing.lines.append((a, b))
    drawn.name(to, f"move {shown(move.distance_m, 'length')}, {shown(move.bearing_deg, 'bearing')}", (b[0] - a[0] or 0.1, b[1] - a[1]), 1.0)


def _on_circle(radius_m: float, ties: list[tuple[str, tuple[Point, Point], bool]]) -> Point:
    """A place on a circle that is far from every tie."""
    turns = [math.atan2(there[0], there[1]) for _, (_, there), _ in ties]
    best = max((k * math.pi / 12 for k in range(24)), key=lambda t: min([abs(math.remainder(t - u, 2 * math.pi)) for u in turns] or [1.0]))
    return radius_m * math.sin(best), radius_m * math.cos(best)
