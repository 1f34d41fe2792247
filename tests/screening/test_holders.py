"""Whose land a point lies on, against looking at every area by itself, and against shapely's."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from siting.screening.holders import NOBODY, holders_of, lands_of, windows_of
from siting.screening.segments import is_inside, nearest_m, segments_of

HOLED = shapely.box(-300, -300, -40, 260) - shapely.box(-200, -200, -100, 100)
TWO_PARTS = shapely.MultiPolygon([shapely.box(60, 60, 200, 200), shapely.box(230, 60, 330, 210)])
OVERLAPPING = [shapely.box(0, -260, 160, -40), shapely.Point(140, -100).buffer(90), shapely.box(20, -120, 40, -100)]
WAVY = shapely.Polygon([(330 + 20 * np.sin(i), -330 + 2 * i) for i in range(150)] + [(600, 0), (600, -330)])


def net(step_m: float) -> list[shapely.Polygon]:
    """Parcels side by side with crooked lines between them."""
    dice = np.random.default_rng(2)
    at = np.stack(np.meshgrid(np.arange(-320, 321, step_m), np.arange(-320, 321, step_m)), axis=-1) + dice.uniform(-9, 9, (*[int(640 // step_m) + 1] * 2, 2))
    n = at.shape[0] - 1
    return [shapely.Polygon([at[i, j], at[i, j + 1], at[i + 1, j + 1], at[i + 1, j]]) for i in range(n) for j in range(n)]


AREAS = {
    "one": [HOLED],
    "apart": [HOLED, TWO_PARTS, WAVY],
    "overlapping": OVERLAPPING,
    "twice the same": [OVERLAPPING[0], OVERLAPPING[0]],
    "side by side": net(64.0),
    "elsewhere": [shapely.box(9000, 9000, 9100, 9100)],
    "none": [],
}


def points(shape=(150, 131)):
    """Neighbours beside each other, a little askew as cells on the ground are."""
    x, y = np.meshgrid(np.linspace(-333.3, 341.7, shape[1]), np.linspace(339.1, -344.9, shape[0]))
    return x + 0.01 * y, y - 0.013 * x + 1e-6 * x * y


def one_by_one(areas, x, y):
    """The same by the kernels that look at one area at a time."""
    number, away = np.full(x.shape, NOBODY), np.full(x.shape, np.inf)
    for n, area in enumerate(areas):
        own_m = nearest_m(segments_of([area]), x, y)
        mine = is_inside(segments_of([area]), x, y) & (own_m < away)
        number[mine], away[mine] = n, own_m[mine]
    return number, away


@pytest.mark.parametrize("name", AREAS)
def test_as_one_area_after_the_other(name):
    segments, (x, y) = [segments_of([a]) for a in AREAS[name]], points()
    lands = lands_of(segments, segments)
    number, away = holders_of(lands, x, y)
    wanted, wanted_m = one_by_one(AREAS[name], x, y)
    assert np.array_equal(number, wanted) and away.tobytes() == wanted_m.tobytes()
    some = np.random.default_rng(1).choice(x.size, 1500, replace=False)  # a list, and other squares
    in_list = holders_of(lands, x.ravel()[some], y.ravel()[some])
    assert np.array_equal(in_list[0], wanted.ravel()[some]) and in_list[1].tobytes() == wanted_m.ravel()[some].tobytes()
    part = np.s_[37:105, 66:67]
    assert holders_of(lands, x[part], y[part])[1].tobytes() == np.ascontiguousarray(wanted_m[part]).tobytes()


@pytest.mark.parametrize("name", ["apart", "overlapping", "side by side"])
def test_as_shapely(name):
    x, y = points((61, 59))
    segments = [segments_of([a]) for a in AREAS[name]]
    number, away = holders_of(lands_of(segments, segments), x, y)
    at = shapely.points(x, y)
    inside = np.array([shapely.contains(a, at) for a in AREAS[name]])
    lines_m = np.where(inside, [shapely.distance(a.boundary, at) for a in AREAS[name]], np.inf)
    assert np.array_equal(number >= 0, inside.any(axis=0)) and (number >= 0).mean() > 0.05
    np.testing.assert_allclose(away, lines_m.min(axis=0), atol=1e-9)
    held = number >= 0
    np.testing.assert_allclose(np.take_along_axis(lines_m, np.maximum(number, 0)[None], axis=0)[0][held], away[held], atol=1e-9)


def test_the_line_that_is_measured_to_need_not_be_the_outline():
    """Two parts of one area that overlap: inside either is inside, and the line between them counts."""
    x, y = points()
    parts = [shapely.box(-100, -50, 20, 50), shapely.box(0, -50, 100, 50)]
    number, away = holders_of(lands_of([segments_of(parts)], [segments_of([shapely.union_all(parts)])]), x, y)
    assert np.array_equal(number == 0, is_inside(segments_of([shapely.box(-100, -50, 100, 50)]), x, y))
    at = int(np.argmin(np.hypot(x - 10, y)))
    assert away.ravel()[at] == pytest.approx(10.0 - abs(x.ravel()[at] - 10), abs=1e-6)


def test_the_windows_hold_each_number_and_no_more():
    number = np.full((9, 8), -1, dtype=np.int32)
    number[2:5, 3] = 1
    number[4, 1:7] = 3
    number[8, 0] = 0
    assert windows_of(number, 5).tolist() == [[8, 9, 0, 1], [2, 4, 3, 4], [0] * 4, [4, 5, 1, 7], [0] * 4]
