"""Tiles cover the grid once, in row-major order, named after their first cell."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from siting.records.search import Tile
from siting.search.tile_plan import tiles_of


@given(st.integers(1, 60), st.integers(1, 60), st.integers(1, 70))
def test_every_cell_lies_in_one_tile(rows, cols, size):
    covered = np.zeros((rows, cols), dtype=int)
    tiles = tiles_of(rows, cols, size)
    for tile in tiles:
        assert 1 <= tile.rows <= size and 1 <= tile.cols <= size
        covered[tile.row : tile.row + tile.rows, tile.col : tile.col + tile.cols] += 1
    assert (covered == 1).all()
    assert [(t.row, t.col) for t in tiles] == sorted((t.row, t.col) for t in tiles)
    assert len({t.name for t in tiles}) == len(tiles)


def test_names_and_rims():
    assert tiles_of(5, 7, 4) == (
        Tile("r00000_c00000", 0, 0, 4, 4), Tile("r00000_c00004", 0, 4, 4, 3),
        Tile("r00004_c00000", 4, 0, 1, 4), Tile("r00004_c00004", 4, 4, 1, 3),
    )  # fmt: skip


@pytest.mark.parametrize("sizes", [(0, 5, 4), (5, 0, 4), (5, 5, 0)])
def test_no_cells_are_no_tiles(sizes):
    with pytest.raises(ValueError, match="no tiles"):
        tiles_of(*sizes)
