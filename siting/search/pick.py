"""Picks the best spots of a search: the least utilisation first, each far enough from those before."""

from __future__ import annotations

import heapq
from collections import OrderedDict
from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from siting.records.search import SearchGrid, Tile, TileResult

BLOCK = 64  # cells along a block's side
CACHE_BYTES = 24e6  # of tiles that are held to be looked into again; one is held whatever its size
# A spot farther from a rectangle than this times the distance asked for is not measured cell by cell: room for distances
# that bend the triangle rule a little.
ROOM = 1.02
NO_CELL = -1

Load = Callable[[Tile], TileResult]
Distance = Callable[[int, int, np.ndarray, np.ndarray], np.ndarray]


class Pick(NamedTuple):
    """A cell that was picked. Row and column of the grid."""

    row: int
    col: int
    used: float
    azimuth: int  # index of its best azimuth


def pick_spots(
    tiles: tuple[Tile, ...], load: Load, grid: SearchGrid, distance_m: Distance, apart_m: float, count: int, at_most: float
) -> list[Pick]:
    """The best spots, the best first: of cells with the same utilisation the first row, then the first column.

    The same spots as from a sorted list of all cells, but only the best cell of each block of cells is held: a block is
    looked into again when its best cell turns out to lie too near to a spot. A cell without a finite utilisation is no
    spot.

    Args:
        load: gives a tile's result; a tile may be asked for several times.
        distance_m: (row, col, rows, cols) -> ground distances in metres from one cell's centre to others'.
        apart_m: the least distance between two spots; they are different cells also where it is 0.
        at_most: the largest utilisation of a spot.
    """
    cells = _Cells(tiles, load, at_most)
    blocks = [_Blocks(tile, cells.used(number), grid.cols) for number, tile in enumerate(tiles)]
    heap = [entry for number, tile_blocks in enumerate(blocks) for entry in tile_blocks.entries(number)]
    heapq.heapify(heap)
    spots, found = _Spots(distance_m, apart_m), []
    while heap and len(found) < count:
        used, at, number, block = heapq.heappop(heap)
        here = blocks[number]
        if here.at[block] != at:
            continue  # it has another best cell by now, with an entry of its own
        row, col = divmod(at, grid.cols)
        if spots.are_near(np.array([row]), np.array([col]), spots.reaching(row, col, 1, 1, int(here.checked[block])))[0]:
            for again in here.look_again(block, cells.used(number), spots):
                heapq.heappush(heap, (*here.best(again), number, again))
            continue
        tile = tiles[number]
        found.append(Pick(row, col, used, int(cells.azimuth(number)[row - tile.row, col - tile.col])))
        spots.add(row, col)
        heapq.heappush(heap, (used, at, number, block))  # now too near to itself: its block is looked into again
    return found


class _Cells:
    """The tiles' rasters, a few of them held; what is no candidate has an infinite utilisation."""

    def __init__(self, tiles: tuple[Tile, ...], load: Load, at_most: float) -> None:
        self._tiles, self._load, self._at_most = tiles, load, at_most
        self._held: OrderedDict[int, tuple[np.ndarray, np.ndarray]] = OrderedDict()

    def used(self, number: int) -> np.ndarray:
        """Utilisations of a tile's cells, no unit."""
        return self._rasters(number)[0]

    def azimuth(self, number: int) -> np.ndarray:
        """Indices of their best azimuths, no unit."""
        return self._rasters(number)[1]

    def _rasters(self, number: int) -> tuple[np.ndarray, np.ndarray]:
        if number in self._held:
            self._held.move_to_end(number)
            return self._held[number]
        tile = self._tiles[number]
        size = 10 * tile.rows * tile.cols
        while self._held and sum(10 * used.size for used, _ in self._held.values()) + size > CACHE_BYTES:
            self._held.popitem(last=False)
        result = self._load(tile)
        used = np.where(result.used <= self._at_most, result.used, np.inf)  # a NaN is not below anything
        self._held[number] = (used, result.azimuth)
        return self._held[number]


class _Spots:
    """The spots so far, and which cells lie too near to one."""

    def __init__(self, distance_m: Distance, apart_m: float) -> None:
        self._distance_m, self._apart_m = distance_m, apart_m
        self.rows, self.cols = np.zeros(0, dtype=np.int64), np.zeros(0, dtype=np.int64)

    def add(self, row: int, col: int) -> None:
        """One more spot."""
        self.rows, self.cols = np.append(self.rows, row), np.append(self.cols, col)

    def reaching(self, row: int, col: int, rows: int, cols: int, since: int = 0) -> np.ndarray:
        """Numbers of the spots, from the number `since` on, that may lie too near to a cell of a rectangle of cells."""
        numbers = np.arange(since, self.rows.size)
        if not numbers.size:
            return numbers
        last_row, last_col = row + rows - 1, col + cols - 1
        to_rows = np.concatenate([[row, row, last_row, last_row], self.rows[numbers]])
        to_cols = np.concatenate([[col, last_col, col, last_col], self.cols[numbers]])
        distance_m = self._distance_m((row + last_row) // 2, (col + last_col) // 2, to_rows, to_cols)
        return numbers[distance_m[4:] <= ROOM * (self._apart_m + distance_m[:4].max())]

    def are_near(self, rows: np.ndarray, cols: np.ndarray, numbers: np.ndarray) -> np.ndarray:
        """Which of the cells lie too near to one of these spots, or are one."""
        near = np.zeros(rows.size, dtype=bool)
        for number in numbers:
            row, col = int(self.rows[number]), int(self.cols[number])
            near |= (self._distance_m(row, col, rows, cols) < self._apart_m) | ((rows == row) & (cols == col))
        return near


class _Blocks:
    """The best cell of each block of a tile: its utilisation, its number in the grid, and how many spots it was kept clear of."""

    def __init__(self, tile: Tile, used: np.ndarray, grid_cols: int) -> None:
        self._tile, self._grid_cols = tile, grid_cols
        self._along = -(-tile.cols // BLOCK)
        count = -(-tile.rows // BLOCK) * self._along
        self.used, self.at = np.full(count, np.inf), np.full(count, NO_CELL, dtype=np.int64)
        self.checked = np.zeros(count, dtype=np.int32)
        for block in range(count):
            top, left = self._corner(block)
            self._set_best(block, used[top : top + BLOCK, left : left + BLOCK])

    def entries(self, number: int) -> list[tuple[float, int, int, int]]:
        """(utilisation, cell, number of the tile, block) of the blocks that have a candidate."""
        return [(*self.best(int(block)), number, int(block)) for block in np.flatnonzero(self.at != NO_CELL)]

    def best(self, block: int) -> tuple[float, int]:
        """Utilisation and number in the grid of a block's best cell."""
        return float(self.used[block]), int(self.at[block])

    def look_again(self, block: int, used: np.ndarray, spots: _Spots) -> list[int]:
        """Finds new best cells away from the spots, and gives the blocks that have one.

        With the block that is asked for come all blocks of the tile whose best cell lies too near to a spot: the tile is
        at hand now, and may have to be read again later.
        """
        reaching = spots.reaching(self._tile.row, self._tile.col, self._tile.rows, self._tile.cols)
        alive = np.flatnonzero(self.at != NO_CELL)
        rows, cols = np.divmod(self.at[alive], self._grid_cols)
        wrong = {block, *alive[spots.are_near(rows, cols, reaching)].tolist()}
        for one in sorted(wrong):
            self._clear_of(one, used, spots)
        return [one for one in sorted(wrong) if self.at[one] != NO_CELL]

    def _clear_of(self, block: int, used: np.ndarray, spots: _Spots) -> None:
        """A block's best cell among those that are far enough from all spots."""
        top, left = self._corner(block)
        values = used[top : top + BLOCK, left : left + BLOCK].copy()
        i, j = np.nonzero(np.isfinite(values))
        row, col = self._tile.row + top, self._tile.col + left
        numbers = spots.reaching(row, col, *values.shape)
        near = spots.are_near(i + row, j + col, numbers)
        values[i[near], j[near]] = np.inf
        self._set_best(block, values)
        self.checked[block] = spots.rows.size

    def _corner(self, block: int) -> tuple[int, int]:
        """First row and column of a block in its tile."""
        return block // self._along * BLOCK, block % self._along * BLOCK

    def _set_best(self, block: int, values: np.ndarray) -> None:
        """The first of the least values, row by row."""
        top, left = self._corner(block)
        row, col = divmod(int(values.argmin()), values.shape[1])
        self.used[block] = least = values[row, col]
        is_one = np.isfinite(least)
        self.at[block] = (self._tile.row + top + row) * self._grid_cols + self._tile.col + left + col if is_one else NO_CELL
