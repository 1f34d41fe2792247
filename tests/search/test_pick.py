"""The cells that are picked are those of a greedy walk over the sorted list of all cells, whatever is closed around each."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from siting.records.search import SearchGrid, TileResult
from siting.search.pick import Pick, Picker
from siting.search.tile_plan import tiles_of

NO_SAMPLE = np.zeros((0, 8)), np.zeros(0, dtype=np.uint8)


def crow_m(row, col, rows, cols):
    """Cells of 3 m by 4 m."""
    return np.hypot(4.0 * (np.asarray(rows) - row), 3.0 * (np.asarray(cols) - col))


def loader(used, azimuth, counter=None):
    def load(tile):
        if counter is not None:
            counter[tile.name] += 1
        cells = slice(tile.row, tile.row + tile.rows), slice(tile.col, tile.col + tile.cols)
        return TileResult(used[cells], azimuth[cells], np.zeros((tile.rows, tile.cols), np.uint8), *NO_SAMPLE)

    return load


def brute(used, azimuth, distance_m, apart_m, count, at_most, closed=()):
    """Picks one after the other; `apart_m` is closed around each, or in turn each of several distances."""
    cells = sorted((used[r, c], r, c) for r, c in np.ndindex(used.shape) if np.isfinite(used[r, c]) and used[r, c] <= at_most)
    radii, found, circles = np.atleast_1d(apart_m), [], list(closed)
    while len(found) < count:
        for value, r, c in cells:
            if all(distance_m(fr, fc, np.array([r]), np.array([c]))[0] >= radius and (fr, fc) != (r, c) for fr, fc, radius in circles):
                circles.append((r, c, radii[len(found) % radii.size]))
                found.append((r, c, value, azimuth[r, c]))
                break
        else:
            return found
    return found


def picker(used, azimuth, size, at_most, distance_m=crow_m, counter=None, order=1):
    rows, cols = used.shape
    grid = SearchGrid(0, 0, rows, cols, (1.0, 0.0, 0.0, 0.0, -1.0, 0.0), "")
    return Picker(tiles_of(rows, cols, size)[::order], loader(used, azimuth, counter), grid, distance_m, at_most)


def walk(made, apart_m, count):
    radii, found = np.atleast_1d(apart_m), []
    while len(found) < count and (pick := made.best()) is not None:
        assert made.best() == pick  # the same one until it is closed
        made.close(pick, float(radii[len(found) % radii.size]))
        found.append(pick)
    return found


def picked(used, azimuth, size, apart_m, count, at_most, **how):
    return walk(picker(used, azimuth, size, at_most, **how), apart_m, count)


@settings(max_examples=80)
@given(
    seed=st.integers(0, 10**6), rows=st.integers(1, 150), cols=st.integers(1, 150), size=st.integers(30, 200),
    levels=st.sampled_from([1, 3, 40, 10**6]), apart_m=st.sampled_from([0.0, 3.0, 5.0, 37.0, 150.0, 2000.0, (37.0, 9.0, 150.0), (0.0, 80.0)]),
    count=st.integers(0, 25), at_most=st.sampled_from([0.3, 1.0, np.inf]), holes=st.sampled_from([0.0, 0.5, 1.0]),
)  # fmt: skip
def test_as_the_greedy_walk_with_ties_holes_and_rims(seed, rows, cols, size, levels, apart_m, count, at_most, holes):
    random = np.random.default_rng(seed)
    used = random.integers(0, levels, (rows, cols)) / levels * 1.4
    used[random.random((rows, cols)) < holes] = np.nan
    used[random.random((rows, cols)) < 0.01] = np.inf
    azimuth = random.integers(0, 360, (rows, cols)).astype(np.int16)
    found = picked(used, azimuth, size, apart_m, count, at_most)
    assert found == brute(used, azimuth, crow_m, apart_m, count, at_most)
    assert all(type(v) in (int, float) for pick in found for v in pick)


@settings(max_examples=40)
@given(seed=st.integers(0, 10**6), size=st.integers(30, 150), first=st.integers(0, 8), again=st.sampled_from([0.0, 20.0, 90.0]))
def test_opened_again_the_walk_is_that_of_the_circles_given(seed, size, first, again):
    random = np.random.default_rng(seed)
    used, azimuth = random.integers(0, 50, (90, 110)) / 40.0, random.integers(0, 360, (90, 110)).astype(np.int16)
    made = picker(used, azimuth, size, 1.0)
    before = walk(made, 60.0, first)
    made.reopen((pick, again) for pick in before)
    closed = [(pick.row, pick.col, again) for pick in before]
    assert walk(made, 45.0, 7) == brute(used, azimuth, crow_m, 45.0, 7, 1.0, closed)


def test_many_spots_on_smooth_ground_read_few_tiles(monkeypatch):
    """Blocks that lie wholly about a spot, several tiles, a cache of one tile."""
    monkeypatch.setattr("siting.search.pick.CACHE_BYTES", 1.0)
    row, col = np.mgrid[:400, :400]
    used = 0.5 + 0.4 * np.sin(row / 70.0) * np.cos(col / 90.0)
    azimuth = ((row + col) % 72).astype(np.int16)
    counter = Counter()
    found = picked(used, azimuth, 200, 260.0, 12, 1.0, counter=counter)
    assert found == brute(used, azimuth, crow_m, 260.0, 12, 1.0)
    assert len(found) == 12 and max(counter.values()) <= 40


def test_spots_exactly_that_far_apart_are_kept():
    used, azimuth = np.ones((1, 30)), np.zeros((1, 30), dtype=np.int16)
    assert [p.col for p in picked(used, azimuth, 30, 6.0, 5, 1.0)] == [0, 2, 4, 6, 8]
    assert [p.col for p in picked(used, azimuth, 30, 6.1, 5, 1.0)] == [0, 3, 6, 9, 12]


def test_a_distance_that_rounds_otherwise_each_time_ends():
    """The same distance from other arrays may differ in its last bit: picking must not go round in a circle."""
    used, azimuth = np.ones((70, 70)), np.zeros((70, 70), dtype=np.int16)
    flip = iter(np.tile([-1e-9, 1e-9, 2e-9], 10**6))

    def wavering_m(row, col, rows, cols):
        return crow_m(row, col, rows, cols) + next(flip)

    assert len(picked(used, azimuth, 40, 60.0, 8, 1.0, distance_m=wavering_m)) == 8


def test_no_more_spots_than_there_are():
    used, azimuth = np.full((5, 5), np.nan), np.full((5, 5), -1, dtype=np.int16)
    assert picked(used, azimuth, 4, 10.0, 3, 1.0) == []
    used[2, 3], azimuth[2, 3] = 0.25, 17
    assert picked(used, azimuth, 4, 10.0, 3, 1.0) == [(2, 3, 0.25, 17)]


def test_the_order_of_the_tiles_does_not_matter():
    random = np.random.default_rng(5)
    used, azimuth = random.integers(0, 4, (90, 90)) / 4.0, random.integers(0, 72, (90, 90)).astype(np.int16)
    ways = [picked(used, azimuth, size, (50.0, 12.5), 9, 1.0, order=order) for size, order in ((33, 1), (33, -1), (90, 1))]
    assert ways[0] == ways[1] == ways[2] and len(ways[0]) == 9


def test_a_pick_is_a_cell_with_its_utilisation_and_azimuth():
    used, azimuth = np.full((5, 5), np.nan), np.full((5, 5), -1, dtype=np.int16)
    used[2, 3], azimuth[2, 3] = 0.25, 17
    assert picker(used, azimuth, 4, 1.0).best() == Pick(2, 3, 0.25, 17)


@pytest.mark.parametrize("count", [0, 1])
def test_as_many_as_asked_for(count):
    used, azimuth = np.zeros((3, 3)), np.zeros((3, 3), dtype=np.int16)
    assert len(picked(used, azimuth, 3, 0.0, count, 1.0)) == count
