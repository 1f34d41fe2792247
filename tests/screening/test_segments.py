"""Compiled distances, inside or outside, and crossings against shapely's; and what is left out never changes an answer."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from siting.screening import segments as module
from siting.screening.guy_lines import guys_meet, lines_meet, parts_nearest_m
from siting.screening.segments import is_inside, nearest_m, segments_of


def net_of_parcels(seed: int, columns: int = 10, rows: int = 6, side_m: float = 120.0) -> list[shapely.Polygon]:
    """Parcels beside each other with crooked corners, around the origin."""
    dice = np.random.default_rng(seed)
    x, y = np.meshgrid((np.arange(columns + 1) - columns / 2) * side_m, (np.arange(rows + 1) - rows / 2) * side_m)
    at = np.stack([x, y], axis=-1) + dice.uniform(-0.25, 0.25, (*x.shape, 2)) * side_m
    return [shapely.Polygon([at[i, j], at[i, j + 1], at[i + 1, j + 1], at[i + 1, j]]) for i in range(rows) for j in range(columns)]


def cells(rows: int, cols: int, cell_m: float, turn: float = 0.03, dx: float = 0.0, dy: float = 0.0):
    x, y = np.meshgrid((np.arange(cols) - cols / 2) * cell_m, (np.arange(rows) - rows / 2) * -cell_m)
    return x + turn * y + dx, y - turn * x + dy


MANY = net_of_parcels(1)
LANDS = {
    "60 parcels": shapely.union_all([p for i, p in enumerate(MANY) if i % 7]),
    "one parcel": shapely.box(-80, -40, 90, 200),
    "with a hole": shapely.box(-200, -200, 200, 200).difference(shapely.Point(10, 20).buffer(70, quad_segs=40)),
    "far away": shapely.affinity.translate(MANY[0], 5000.0, -3000.0),
}


@pytest.mark.parametrize("name", LANDS)
@pytest.mark.parametrize("shape", [(90, 70), (1, 900), (5, 3)])
def test_distance_and_inside_as_shapely_finds_them(name, shape):
    land = LANDS[name]
    outline = segments_of([land])
    x, y = cells(*shape, 7.3)
    wanted = shapely.distance(land.boundary, shapely.points(x, y))
    found = nearest_m(outline, x, y)
    np.testing.assert_allclose(found, wanted, atol=1e-9)
    for reach in (0.5, 40.0, 400.0):
        np.testing.assert_array_equal(nearest_m(outline, x, y, reach), np.where(found < reach, found, np.inf))
    np.testing.assert_array_equal(is_inside(outline, x, y), shapely.intersects_xy(land, x, y))


def test_no_answer_depends_on_what_is_asked_together(monkeypatch):
    outline = segments_of(LANDS["60 parcels"])
    x, y = cells(150, 130, 5.0, dx=0.37, dy=-0.21)
    near, inside = nearest_m(outline, x, y), is_inside(outline, x, y)
    order = np.random.default_rng(2).permutation(x.size)
    assert np.array_equal(nearest_m(outline, x.ravel()[order], y.ravel()[order]), near.ravel()[order])
    assert np.array_equal(is_inside(outline, x.ravel()[order], y.ravel()[order]), inside.ravel()[order])
    monkeypatch.setattr(module, "SQUARES", ((10, 200), (3, 5)))
    assert np.array_equal(nearest_m(outline, x, y), near) and np.array_equal(is_inside(outline, x, y), inside)
    assert nearest_m(outline, x[40:41, 7:9], y[40:41, 7:9]).tobytes() == near[40:41, 7:9].tobytes()


def test_cells_on_corners_and_on_level_lines_are_inside_once():
    """Whole-metre cells on a whole-metre land: rays run along lines and through corners."""
    land = shapely.Polygon([(0, 0), (10, 0), (10, 5), (15, 5), (15, 0), (20, 0), (20, 10), (12, 10), (12, 8), (8, 8), (8, 10), (0, 10)])
    x, y = np.meshgrid(np.arange(-2.0, 23.0), np.arange(-2.0, 13.0))
    off_line = shapely.distance(land.boundary, shapely.points(x, y)) > 0
    assert np.array_equal(is_inside(segments_of(land), x, y)[off_line], shapely.contains_xy(land, x, y)[off_line])


def test_points_lines_and_collections_become_segments():
    things = shapely.GeometryCollection(
        [shapely.Point(3, 4), shapely.MultiLineString([[(10, 0), (10, 5), (12, 5)], [(0, 9), (1, 9)]]),
         shapely.GeometryCollection([shapely.box(20, 0, 21, 1), shapely.Polygon()])]
    )  # fmt: skip
    found = segments_of([things])
    assert found.x0.size == 1 + 3 + 4
    assert nearest_m(found, np.array([0.0, 10.5, 20.5]), np.array([0.0, 3.0, 0.5])) == pytest.approx([5.0, 0.5, 0.5])
    nothing = segments_of([])
    assert np.isinf(nearest_m(nothing, np.zeros(3), np.zeros(3))).all() and not is_inside(nothing, np.zeros(3), np.zeros(3)).any()


def test_places_without_coordinates_have_no_distance():
    x, y = cells(20, 20, 3.0)
    x[3, 4] = np.nan
    found = nearest_m(segments_of(LANDS["one parcel"]), x, y)
    assert np.isinf(found[3, 4]) and np.isfinite(found).sum() == 399


def test_lines_meet_where_they_cross_or_touch():
    line = (0.0, 0.0, 10.0, 0.0)
    for other, wanted in {
        (5.0, -1.0, 5.0, 1.0): True, (5.0, 0.0, 5.0, 3.0): True, (10.0, 0.0, 12.0, 4.0): True, (5.0, 0.1, 5.0, 3.0): False,
        (4.0, 0.0, 20.0, 0.0): True, (10.5, 0.0, 20.0, 0.0): False, (3.0, 0.0, 3.0, 0.0): True, (3.0, 0.5, 3.0, 0.5): False,
        (-5.0, 5.0, 3.0, -9.0): False,
    }.items():  # fmt: skip
        assert lines_meet(line, other) is wanted and lines_meet(other, line) is wanted, other


def test_guys_and_anchors_of_many_bases_as_shapely_finds_them():
    dice = np.random.default_rng(5)
    land = LANDS["60 parcels"]
    outline = segments_of(land)
    x, y = dice.uniform(-500, 500, 150), dice.uniform(-300, 300, 150)
    angles, radii = np.radians(np.arange(0, 360, 20.0)), np.array([28.0, 86.0])
    ends = np.stack([np.outer(radii, np.sin(angles)), np.outer(radii, np.cos(angles))], axis=-1).reshape(-1, 2)
    tips = np.stack([x + ends[:, :1], y + ends[:, 1:]], axis=-1)
    guys = shapely.linestrings(np.stack([np.broadcast_to(np.stack([x, y], axis=-1), tips.shape), tips], axis=-2))
    met = guys_meet(outline, x, y, ends)
    assert np.array_equal(met, shapely.intersects(land.boundary, guys)) and 0.1 < met.mean() < 0.9
    shapely.prepare(land.boundary)
    np.testing.assert_allclose(parts_nearest_m(outline, x, y, ends, np.inf, True), shapely.distance(land.boundary, guys), atol=1e-9)
    anchors_m = shapely.distance(land.boundary, shapely.points(tips))
    np.testing.assert_allclose(parts_nearest_m(outline, x, y, ends, np.inf, False), anchors_m, atol=1e-9)
    np.testing.assert_allclose(parts_nearest_m(outline, x, y, ends, 30.0, False), np.where(anchors_m < 30.0, anchors_m, np.inf), atol=1e-9)
