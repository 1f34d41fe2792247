"""The shortest move against cases worked by hand and against a search that leaves no place out (naive/nearest_place.py)."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from nearest_place import allowed_place_within

from siting.layout.minkowski import ARC_ERROR_M, grown, held, shrunk, swept
from siting.layout.moves import Constraint, allowed_region, shortest_move, worst_margin_m

ONE_MILLIMETRE, TWO_MILLIMETRES = 0.001, 0.002
REACH_M = 80.0
BASE = (0.0, 0.0)


def ring(dice, corners: int, low_m: float, high_m: float, at=(0.0, 0.0)) -> shapely.Polygon:
    """A star-shaped outline: concave where low and high lie apart."""
    turns = np.sort(dice.uniform(0, 2 * math.pi, corners)) + np.linspace(0, 1e-3, corners)
    radii = dice.uniform(low_m, high_m, corners)
    return shapely.make_valid(shapely.Polygon(np.stack([at[0] + radii * np.cos(turns), at[1] + radii * np.sin(turns)], axis=1)))


def land(kind: str, dice) -> shapely.Geometry:
    """Own land of a kind, its middle somewhere near the base."""
    at = dice.uniform(-45, 45, 2)
    if kind == "convex":
        return shapely.convex_hull(ring(dice, 9, 40, 75, at))
    if kind == "concave":
        return ring(dice, int(dice.integers(8, 30)), 30, 110, at)
    if kind == "parts":
        return shapely.union_all([ring(dice, 8, 25, 60, at), ring(dice, 8, 25, 60, at + (95, 10)), ring(dice, 5, 15, 40, at - (40, 90))])
    if kind == "holes":
        return ring(dice, 14, 60, 100, at).difference(shapely.union_all([ring(dice, 6, 4, 14, at + dice.uniform(-40, 40, 2)) for _ in range(3)]))
    if kind == "slivers":
        strips = [shapely.LineString(dice.uniform(-120, 120, (2, 2)) + at).buffer(w) for w in (0.01, 0.3, 0.6)]
        return ring(dice, 14, 60, 100, at).difference(shapely.union_all(strips[1:])).union(strips[0])
    width = dice.uniform(15.0, 24.0)  # a corridor little wider than the distances kept in it, or narrower
    return shapely.union_all([shapely.box(-150, at[1], 150, at[1] + width), shapely.box(at[0], -150, at[0] + width, 150)])


def obstacle(dice) -> shapely.Geometry:
    """A building, a road or a well, some way from the base."""
    at = dice.uniform(-60, 60, 2)
    return [
        lambda: shapely.box(*at, *(at + dice.uniform(3, 12, 2))),
        lambda: shapely.LineString(at + np.cumsum(dice.uniform(-25, 25, (6, 2)), axis=0)),
        lambda: shapely.Point(at),
        lambda: shapely.MultiLineString([[at, at + (9, 4)], [at + (12, 0), at + (20, 20)]]),
    ][int(dice.integers(4))]()


def rules(kind: str, seed: int) -> tuple[Constraint, ...]:
    """The base, three anchors and their guys on the land and clear of obstacles."""
    dice = np.random.default_rng(seed)
    own = land(kind, dice)
    obstacles = [obstacle(dice) for _ in range(int(dice.integers(0, 5)))]
    turn = dice.uniform(0, 2 * math.pi)
    anchors = [(r * math.cos(turn + a), r * math.sin(turn + a)) for r, a in zip(dice.uniform(8, 22, 3), (0, 2.1, 4.2), strict=True)]
    made = [Constraint("setback", BASE, BASE, dice.uniform(3, 10) * dice.choice([1, 1, 4]), inside=own)]
    for number, xy in enumerate(anchors):
        made.append(Constraint(f"anchor {number}", xy, xy, dice.choice([0.0, 1.5]), inside=own))
        made.append(Constraint(f"guy {number}", BASE, xy, dice.choice([0.0, 0.0, 1.0]), inside=own))
        made += [Constraint(f"guy {number} clear of {i}", BASE, xy, dice.choice([0.01, 2.0]), away=o) for i, o in enumerate(obstacles)]
    made += [Constraint(f"clear {i}", BASE, BASE, dice.uniform(5, 18), away=o) for i, o in enumerate(obstacles)]
    return tuple(made)


def margins_m(constraints, moves: np.ndarray) -> np.ndarray:
    """Worst margin at each move (n, 2), written anew for many moves at once."""
    worst = np.full(len(moves), np.inf)
    for rule in constraints:
        ends = moves[:, None, :] + np.array([rule.start_xy_m, rule.end_xy_m])[None, :, :]
        things = shapely.points(ends[:, 0]) if rule.start_xy_m == rule.end_xy_m else shapely.linestrings(ends)
        if rule.away is not None:
            found = shapely.distance(things, rule.away)
        else:
            found = shapely.distance(things, rule.inside.boundary) if not rule.inside.is_empty else np.zeros(len(moves))
            out = ~shapely.covers(rule.inside, things)
            found[out] = -depths_m(things[out], rule.inside)
        worst = np.minimum(worst, found - rule.least_m)
    return worst


def depths_m(things: np.ndarray, area) -> np.ndarray:
    """How far each thing lies outside an area where it lies farthest outside: by samples along the part that does."""
    outside = shapely.difference(things, area)
    samples = shapely.segmentize(outside, np.maximum(shapely.length(outside), 1e-9) / 64)
    points, number = shapely.get_coordinates(samples, return_index=True)
    depths = np.full(len(things), 1e-12)
    np.maximum.at(depths, number, shapely.distance(shapely.points(points), area))
    return depths


def nearer(constraints, radius_m: float, smallest_m: float = 0.0005):
    """An allowed move shorter than `radius_m`, or None."""
    for rule in constraints:
        shapely.prepare(rule.inside if rule.away is None else rule.away)
    return allowed_place_within(lambda moves: margins_m(constraints, moves), radius_m, smallest_m)


KINDS = ["convex", "concave", "parts", "holes", "slivers", "corridors"]

@pytest.mark.parametrize("seed", range(9))
@pytest.mark.parametrize("kind", KINDS)
def test_nothing_shorter_holds(kind, seed):
    constraints = rules(kind, 100 * KINDS.index(kind) + seed)
    move = shortest_move(constraints, REACH_M)
    if move is None:
        assert nearer(constraints, REACH_M, 0.01) is None
        return
    assert worst_margin_m(constraints, *move) >= -ONE_MILLIMETRE
    assert margins_m(constraints, np.array([move]))[0] >= -ONE_MILLIMETRE
    length = math.hypot(*move)
    assert length <= REACH_M
    assert nearer(constraints, length - TWO_MILLIMETRES) is None


def test_the_random_cases_hold_moves_and_places_without_any():
    moves = [shortest_move(rules(kind, 100 * k + seed), REACH_M) for k, kind in enumerate(KINDS) for seed in range(9)]
    assert sum(m is None for m in moves) >= 4
    assert sum(m is not None and m != (0.0, 0.0) for m in moves) >= 25


@pytest.mark.parametrize("kind", KINDS)
def test_the_region_allows_and_forbids_within_a_millimetre(kind):
    """Places strewn over the window and close to the region's own outline."""
    constraints = rules(kind, 7000 + KINDS.index(kind))
    region = allowed_region(constraints, shapely.box(-REACH_M, -REACH_M, REACH_M, REACH_M))
    dice = np.random.default_rng(5)
    places = [dice.uniform(-REACH_M, REACH_M, (1500, 2))]
    if not region.is_empty:
        on_line = shapely.line_interpolate_point(region.boundary, dice.uniform(0, region.boundary.length, 1500))
        places.append(shapely.get_coordinates(on_line) + dice.normal(0, 0.002, (1500, 2)))
    moves = np.clip(np.concatenate(places), -REACH_M, REACH_M)
    margin = margins_m(constraints, moves)
    inside = shapely.intersects_xy(region, moves[:, 0], moves[:, 1])
    assert margin[inside].min(initial=np.inf) >= -ONE_MILLIMETRE
    assert margin[~inside].max(initial=-np.inf) < 0
    assert (~inside).sum() > 100


def test_no_speck_of_the_region_breaks_a_rule():
    """Every corner of the region, for guys on lands with many corners: a union may leave specks of the last digit."""
    looked_at = 0
    for seed in range(150):
        dice = np.random.default_rng(seed)
        own = ring(dice, int(dice.integers(5, 60)), 200.0 - dice.choice([0.3, 3.0, 40.0, 150.0]), 200.0)
        guy = (Constraint("guy", BASE, tuple(dice.uniform(-80, 80, 2)), 0.0, inside=own),)
        corners = shapely.get_coordinates(allowed_region(guy, shapely.box(-220, -220, 220, 220)))
        looked_at += len(corners)
        assert margins_m(guy, corners).min(initial=np.inf) >= -ONE_MILLIMETRE, seed
    assert looked_at > 5000


# ---- by hand ----------------------------------------------------------------------------------------------------------

FIELD = shapely.box(-100, -100, 100, 100)


def test_out_of_the_way_of_a_straight_line():
    """Base 92 m east of the middle of a field of 100 m, 30 m asked for: 22 m west."""
    move = shortest_move((Constraint("setback", BASE, BASE, 30.0, inside=shapely.box(-192, -100, 8, 100)),), 200.0)
    assert move == pytest.approx((-22.0, 0.0), abs=TWO_MILLIMETRES)


def test_out_of_a_circle_around_a_post():
    """A post 3 m east and 4 m north: 20 m from it is 15 m to the south-west, straight away from it."""
    x, y = shortest_move((Constraint("post", BASE, BASE, 20.0, away=shapely.Point(3, 4)),), 50.0)
    assert math.hypot(x, y) == pytest.approx(15.0, abs=ONE_MILLIMETRE)
    assert math.hypot(x - 3, y - 4) == pytest.approx(20.0, abs=ONE_MILLIMETRE)
    assert (x, y) == pytest.approx((-9.0, -12.0), abs=0.2)  # along the circle the length hardly changes


def test_a_base_outside_the_own_land_comes_in_over_the_corner():
    move = shortest_move((Constraint("setback", BASE, BASE, 10.0, inside=shapely.box(20, 30, 120, 130)),), 100.0)
    assert move == pytest.approx((30.0, 40.0), abs=TWO_MILLIMETRES)


def test_an_anchor_over_the_line_and_a_guy_over_a_notch():
    """The anchor alone could stay: a ditch between it and the base is crossed until the base has moved past it."""
    anchor = (40.0, 0.0)
    ditch = shapely.box(10, -100, 12, 5)
    field = shapely.box(-100, -100, 100, 100).difference(ditch)
    on_land = (Constraint("anchor", anchor, anchor, 0.0, inside=field), Constraint("base", BASE, BASE, 0.0, inside=field))
    assert shortest_move(on_land, 60.0) == (0.0, 0.0)
    over = (*on_land, Constraint("guy", BASE, anchor, 0.0, inside=field))
    assert shortest_move(over, 60.0) == pytest.approx((0.0, 5.0), abs=TWO_MILLIMETRES)  # the ditch ends 5 m to the north


def test_what_holds_already_stays():
    constraints = (Constraint("setback", BASE, BASE, 100.0, inside=FIELD), Constraint("post", BASE, BASE, 5.0, away=shapely.Point(5, 0)))
    assert shortest_move(constraints, 10.0) == (0.0, 0.0)


def test_no_place_and_no_place_within_reach():
    asked = (Constraint("setback", BASE, BASE, 100.01, inside=FIELD),)
    assert shortest_move(asked, 500.0) is None
    far = (Constraint("setback", BASE, BASE, 5.0, inside=shapely.box(50, -10, 70, 10)),)
    assert shortest_move(far, 54.9) is None
    assert shortest_move(far, 55.1) == pytest.approx((55.0, 0.0), abs=TWO_MILLIMETRES)
    assert shortest_move((Constraint("base", BASE, BASE, 0.0, inside=shapely.Polygon()),), 100.0) is None


def test_a_corridor_exactly_as_wide_as_asked_is_found():
    corridor = shapely.box(-500, 40, 500, 60)
    move = shortest_move((Constraint("setback", BASE, BASE, 10.0, inside=corridor),), 100.0)
    assert move == pytest.approx((0.0, 50.0), abs=TWO_MILLIMETRES)
    guy = (Constraint("guy", (0.0, -10.0), (0.0, 10.0), 0.0, inside=corridor),)
    assert shortest_move(guy, 100.0) == pytest.approx((0.0, 50.0), abs=TWO_MILLIMETRES)


def test_a_cut_of_a_centimetre_is_a_line_like_any_other():
    """Somebody's strip of 1 cm runs through the field 3 m east of the base: 30 m from it is 27 m to the west."""
    field = FIELD.difference(shapely.box(3.0, -100, 3.01, 100))
    assert shortest_move((Constraint("setback", BASE, BASE, 30.0, inside=field),), 100.0) == pytest.approx((-27.0, 0.0), abs=0.002)
    guy = Constraint("guy", BASE, (8.0, 0.0), 0.0, inside=field)
    assert shortest_move((guy,), 100.0) == pytest.approx((3.01, 0.0), abs=TWO_MILLIMETRES)


def test_a_land_of_many_corners_is_not_rounded_off():
    """An outline with a wide shallow bay: a buffer that leaves such bays out is decimetres off."""
    edge = [(x, 100.0 - 0.8 * math.sin(math.pi * (x + 200) / 400) ** 2) for x in np.linspace(-200, 200, 41)]
    field = shapely.Polygon([(-200, -300), *edge, (200, -300)])
    for least_m in (60.0, 95.0, 120.0):
        (x, y) = shortest_move((Constraint("setback", BASE, BASE, least_m, inside=field),), 100.0)
        assert shapely.distance(shapely.Point(x, y), field.boundary) >= least_m - ONE_MILLIMETRE
        assert nearer((Constraint("s", BASE, BASE, least_m, inside=field),), math.hypot(x, y) - TWO_MILLIMETRES) is None


@pytest.mark.parametrize(
    "given_wrong",
    [dict(least_m=1.0), dict(least_m=1.0, inside=FIELD, away=FIELD), dict(least_m=0.0, away=FIELD), dict(least_m=-1.0, inside=FIELD)],
)
def test_a_constraint_that_asks_for_nothing_is_refused(given_wrong):
    with pytest.raises(ValueError, match="constraint c: "):
        Constraint("c", BASE, BASE, **given_wrong)


# ---- sums of shapes ---------------------------------------------------------------------------------------------------


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 10**6), radius_m=st.floats(0.5, 150.0), spread_m=st.sampled_from([0.3, 3.0, 60.0]))
def test_outlines_of_grown_and_shrunk_areas_lie_at_the_distance(seed, radius_m, spread_m):
    dice = np.random.default_rng(seed)
    area = ring(dice, int(dice.integers(4, 50)), 200.0 - spread_m, 200.0)
    for made in (grown(area, radius_m), shrunk(area, radius_m)):
        for line in shapely.get_parts(made.boundary) if not made.is_empty else []:
            points = shapely.line_interpolate_point(line, dice.uniform(0, 1, 100), normalized=True)
            off = shapely.distance(points, area.boundary) - radius_m
            assert (off.min(), off.max()) == pytest.approx((0, 0), abs=ARC_ERROR_M + 1e-6)


def test_a_swept_box_and_a_segment_held_in_one():
    box = shapely.box(0, 0, 10, 4)
    assert swept(box, (0, 0), (6, 0)).equals(shapely.box(0, 0, 16, 4))
    assert swept(box, (1, 1), (4, 5)).area == pytest.approx(40 + 3 * 4 + 4 * 10)  # the box, and what its sides sweep
    assert held(box, (0, 0), (6, 0)).area == pytest.approx(4 * 4)
    assert swept(shapely.Point(1, 2), (0, 0), (3, 4)).length == pytest.approx(5.0)
    along = swept(shapely.LineString([(0, 0), (2, 0)]), (0, 0), (5, 0))
    assert along.length == pytest.approx(7.0)  # a line swept along itself by more than its length has no gap
