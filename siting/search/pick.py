"""Picks the best cells of a search one by one: the least utilisation first, outside of the circles closed so far."""

from __future__ import annotations

import heapq
from collections import OrderedDict
from collections.abc import Callable, Iterable
from typing import NamedTuple

import numpy as np

from siting.records.search import SearchGrid, Tile, TileResult, fails_in_lift

BLOCK = 64  # cells along a block's side
CACHE_BYTES = 12e6  # of tiles that are held to be looked into again; one is held whatever its size
# A circle farther from a rectangle than this times its radius is not measured cell by cell: room for distances that bend
# the triangle rule a little.
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


class Picker:
    """Gives the best open cell: of cells with the same utilisation the first row, then the first column.

    The same cells as from a sorted list of all cells, but only the best cell of each block of cells is held: a block is
    looked into again when its best cell turns out to lie in a closed circle. A cell without a finite utilisation, or that
    fails in the lift or on the base, is never picked.
    """

    def __init__(self, tiles: tuple[Tile, ...], load: Load, grid: SearchGrid, distance_m: Distance, at_most: float) -> None:
        """All cells are open.

        Args:
            load: gives a tile's result; a tile may be asked for several times.
            distance_m: (row, col, rows, cols) -> ground distances in metres from one cell's centre to others'.
            at_most: the largest utilisation of a cell that is picked.
        """
        self._tiles, self._cols, self._distance_m = tiles, grid.cols, distance_m
        self._cells = _Cells(tiles, load, at_most)
        self._blocks = [_Blocks(tile, self._cells.used(number), grid.cols) for number, tile in enumerate(tiles)]
        self.reopen(())

    def reopen(self, closed: Iterable[tuple[Pick, float]]) -> None:
        """Opens all cells again but those in these circles.

        Args:
            closed: middle and radius (metres) of each circle.
        """
        self._circles = _Circles(self._distance_m)
        for blocks in self._blocks:
            blocks.reset()
        self._heap = [entry for number, blocks in enumerate(self._blocks) for entry in blocks.entries(number)]
        heapq.heapify(self._heap)
        for pick, radius_m in closed:
            self.close(pick, radius_m)

    def close(self, pick: Pick, radius_m: float) -> None:
        """No cell nearer to this one than so many metres is picked any more, nor the cell itself."""
        self._circles.add(pick.row, pick.col, radius_m)

    def best(self) -> Pick | None:
        """The best open cell; the same one until it is closed. None where no cell is left."""
        while self._heap:
            used, at, number, block = self._heap[0]
            here = self._blocks[number]
            if here.at[block] != at:
                heapq.heappop(self._heap)  # it has another best cell by now, with an entry of its own
                continue
            row, col = divmod(at, self._cols)
            numbers = self._circles.reaching(row, col, 1, 1, int(here.checked[block]))
            if not self._circles.hold(np.array([row]), np.array([col]), numbers)[0]:
                tile = self._tiles[number]
                return Pick(row, col, used, int(self._cells.azimuth(number)[row - tile.row, col - tile.col]))
            heapq.heappop(self._heap)
            for again in here.look_again(block, self._cells.used(number), self._circles):
                heapq.heappush(self._heap, (*here.best(again), number, again))
        return None


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
        may = (result.used <= self._at_most) & ~fails_in_lift(result.fate)  # a NaN is not below anything
        used = np.where(may, result.used, np.inf)
        self._held[number] = (used, result.azimuth)
        return self._held[number]


class _Circles:
    """The circles that are closed so far, and which cells lie in one."""

    def __init__(self, distance_m: Distance) -> None:
        self._distance_m = distance_m
        self.rows, self.cols = np.zeros(0, dtype=np.int64), np.zeros(0, dtype=np.int64)
        self._radius_m = np.zeros(0)

    def add(self, row: int, col: int, radius_m: float) -> None:
        """One more circle."""
        self.rows, self.cols = np.append(self.rows, row), np.append(self.cols, col)
        self._radius_m = np.append(self._radius_m, radius_m)

    def reaching(self, row: int, col: int, rows: int, cols: int, since: int = 0) -> np.ndarray:
        """Numbers of the circles, from the number `since` on, that may hold a cell of a rectangle of cells."""
        numbers = np.arange(since, self.rows.size)
        if not numbers.size:
            return numbers
        last_row, last_col = row + rows - 1, col + cols - 1
        to_rows = np.concatenate([[row, row, last_row, last_row], self.rows[numbers]])
        to_cols = np.concatenate([[col, last_col, col, last_col], self.cols[numbers]])
        distance_m = self._distance_m((row + last_row) // 2, (col + last_col) // 2, to_rows, to_cols)
        return numbers[distance_m[4:] <= ROOM * (self._radius_m[numbers] + distance_m[:4].max())]

    def hold(self, rows: np.ndarray, cols: np.ndarray, numbers: np.ndarray) -> np.ndarray:
        """Which of the cells lie in one of these circles, or are the middle of one."""
        held = np.zeros(rows.size, dtype=bool)
        for number in numbers:
            row, col = int(self.rows[number]), int(self.cols[number])
            held |= (self._distance_m(row, col, rows, cols) < self._radius_m[number]) | ((rows == row) & (cols == col))
        return held


class _Blocks:
    """The best open cell of each block of a tile: its utilisation, its number in the grid, and how many circles it was kept out of."""

    def __init__(self, tile: Tile, used: np.ndarray, grid_cols: int) -> None:
        self._tile, self._grid_cols = tile, grid_cols
        self._along = -(-tile.cols // BLOCK)
        count = -(-tile.rows // BLOCK) * self._along
        self.used, self.at = np.full(count, np.inf), np.full(count, NO_CELL, dtype=np.int64)
        for block in range(count):
            top, left = self._corner(block)
            self._set_best(block, used[top : top + BLOCK, left : left + BLOCK])
        self._first = self.used.copy(), self.at.copy()

    def reset(self) -> None:
        """The best cells are those of all cells again."""
        self.used, self.at = (values.copy() for values in self._first)
        self.checked = np.zeros(self.at.size, dtype=np.int32)

    def entries(self, number: int) -> list[tuple[float, int, int, int]]:
        """(utilisation, cell, number of the tile, block) of the blocks that have a candidate."""
        return [(*self.best(int(block)), number, int(block)) for block in np.flatnonzero(self.at != NO_CELL)]

    def best(self, block: int) -> tuple[float, int]:
        """Utilisation and number in the grid of a block's best cell."""
        return float(self.used[block]), int(self.at[block])

    def look_again(self, block: int, used: np.ndarray, circles: _Circles) -> list[int]:
        """Finds new best cells outside of the circles, and gives the blocks that have one.

        With the block that is asked for come all blocks of the tile whose best cell lies in a circle: the tile is at hand
        now, and may have to be read again later.
        """
        reaching = circles.reaching(self._tile.row, self._tile.col, self._tile.rows, self._tile.cols)
        alive = np.flatnonzero(self.at != NO_CELL)
        rows, cols = np.divmod(self.at[alive], self._grid_cols)
        wrong = {block, *alive[circles.hold(rows, cols, reaching)].tolist()}
        for one in sorted(wrong):
            self._clear_of(one, used, circles)
        return [one for one in sorted(wrong) if self.at[one] != NO_CELL]

    def _clear_of(self, block: int, used: np.ndarray, circles: _Circles) -> None:
        """A block's best cell among those outside of all circles."""
        top, left = self._corner(block)
        values = used[top : top + BLOCK, left : left + BLOCK].copy()
        i, j = np.nonzero(np.isfinite(values))
        row, col = self._tile.row + top, self._tile.col + left
        held = circles.hold(i + row, j + col, circles.reaching(row, col, *values.shape))
        values[i[held], j[held]] = np.inf
        self._set_best(block, values)
        self.checked[block] = circles.rows.size

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
