"""The shares of a summary against a count cell by cell."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from fake_tiles import LIMITED, TILES, fake_result

from siting.records.search import FATES, RULES, SearchGrid
from siting.search.shares import LIMIT_RATIOS, shares_of

GRID = SearchGrid(0, 0, 70, 90, (1.0, 0.0, 0.0, 0.0, -1.0, 0.0), "")


def test_the_counts_add_up_and_are_those_of_the_cells():
    shares = shares_of(TILES, fake_result, GRID)
    every = np.concatenate([fake_result(tile).fate.ravel() for tile in TILES])
    assert dict(shares.cells) == {name: int((every == n).sum()) for n, name in enumerate(FATES)}
    assert sum(count for _, count in shares.cells) == 70 * 90
    assert min(count for _, count in shares.cells) > 0


def test_cells_in_no_tile_are_outside_the_area():
    shares, whole = shares_of(TILES[1:], fake_result, GRID), shares_of(TILES, fake_result, GRID)
    first = np.bincount(fake_result(TILES[0]).fate.ravel(), minlength=len(FATES))
    assert sum(count for _, count in shares.cells) == 70 * 90
    assert shares.cells[0][1] == whole.cells[0][1] + 400 - first[0]
    assert [c for _, c in shares.cells[1:]] == [c - f for (_, c), f in zip(whole.cells[1:], first[1:])]


def test_lost_and_passing_shares_make_one():
    shares = shares_of(TILES, fake_result, GRID)
    lost = np.concatenate([fake_result(tile).lost for tile in TILES])
    assert shares.sample_count == lost.size > 300
    assert tuple(name for name, _ in shares.lost) == RULES
    assert [share for _, share in shares.lost] == pytest.approx([(lost == n).mean() for n in range(len(RULES))], abs=1e-12)
    assert sum(share for _, share in shares.lost) + (lost == len(RULES)).mean() == pytest.approx(1.0, abs=1e-12)


def test_curves_count_what_a_limit_times_a_ratio_would_let_pass():
    shares = shares_of(TILES, fake_result, GRID)
    critical = np.concatenate([fake_result(tile).sample[:, 2:] for tile in TILES])
    assert tuple(name for name, _, _ in shares.curves) == RULES[1:-1]
    assert pytest.approx([0.5, 0.6, 0.7, 0.8, 0.9, 1.0, 1.1, 1.2, 1.3, 1.4, 1.5, 1.6, 1.7, 1.8, 1.9, 2.0]) == LIMIT_RATIOS
    for number, (_, ratios, found) in enumerate(shares.curves):
        assert ratios == LIMIT_RATIOS
        assert found == pytest.approx([(critical[:, number] <= ratio).mean() for ratio in ratios], abs=1e-12)
        assert list(found) == sorted(found) and found[0] < found[-1]


def test_a_value_at_the_limit_passes_and_no_azimuth_never_does():
    sample = np.array([[0.0, 0.0, *[1.0] * LIMITED], [0.0, 1.0, *[np.inf] * LIMITED]])
    result = replace(fake_result(TILES[0]), sample=sample, lost=np.array([len(RULES), 1], dtype=np.uint8))
    for _, ratios, found in shares_of(TILES[:1], lambda tile: result, GRID).curves:
        assert dict(zip(ratios, found))[0.9] == 0.0
        assert dict(zip(ratios, found))[1.0] == dict(zip(ratios, found))[2.0] == 0.5


def test_no_sampled_cell_gives_shares_of_nothing():
    result = replace(fake_result(TILES[0]), sample=np.zeros((0, 2 + LIMITED)), lost=np.zeros(0, dtype=np.uint8))
    shares = shares_of(TILES[:1], lambda tile: result, GRID)
    assert shares.sample_count == 0
    assert {share for _, share in shares.lost} == {0.0}
    assert {share for _, _, found in shares.curves for share in found} == {0.0}
