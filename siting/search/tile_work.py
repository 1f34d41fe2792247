"""Works out one tile of a search: ground, land, the kernels, and what became of every cell."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from siting.geodesy.frames import Frame, frame_at
from siting.inputs.dem import fill_window, read_window
from siting.layout.anchors import anchor_azimuths_deg
from siting.layout.footprint import anchor_points_xy_m
from siting.records.search import FATES, FULL, NO_AZIMUTH, Tile, TileResult
from siting.screening.stencil import Rules, Stencil, rules_of, stencil_of
from siting.search.land_cells import UNDECIDED, TileGround, azimuths_on_land, land_of_tile
from siting.search.lift_work import LiftWork
from siting.search.opening import SearchContext, frame_of, land_of
from siting.search.patches import Patches, patches_of
from siting.search.search_land import SearchLand

# Room behind a raster's last cell for the kernels, which read up to 64 cells from where they stand.
PAD = 256
KEPT_STENCILS, KEPT_FRAMES = 8, 64
PIECE_ROWS = 128  # of a piece at most: what is known of its cells takes more than the tile's own rasters; a power of two, as a patch's side
AT_ONCE = 4096  # cells whose azimuths are asked of the land together: what is known of them takes 9 bytes an azimuth
NO_GROUND, NO_LAYDOWN, PASSES = (FATES.index(v) for v in ("no ground under the base", "no azimuth", "passes"))


@dataclass
class Opened:
    """A search as a process holds it open: what does not change from tile to tile."""

    context: SearchContext
    patches: Patches
    rules: Rules
    land: SearchLand
    lift: LiftWork
    stencils: OrderedDict = field(default_factory=OrderedDict)
    lift_stencils: OrderedDict = field(default_factory=OrderedDict)
    frames: OrderedDict = field(default_factory=OrderedDict)
    heights_m: dict[tuple[int, int], float] = field(default_factory=dict)  # of the patches' middles
    lock: threading.Lock = field(default_factory=threading.Lock)


@dataclass(frozen=True, slots=True)
class Piece:
    """The part of a tile that lies in one patch; rows and columns of the window that the tile is read with."""

    patch: tuple[int, int]
    rows: tuple[int, int]
    cols: tuple[int, int]

    @property
    def cells(self) -> tuple[slice, slice]:
        """Its cells in the window."""
        return slice(*self.rows), slice(*self.cols)


@dataclass(frozen=True, slots=True)
class Window:
    """The ground of a tile with a halo all round, flat with room behind it."""

    heights: np.ndarray
    slopes: np.ndarray
    steps: np.ndarray  # what the slope uses up for an anchor, in steps of one byte (screening.grades)
    shape: tuple[int, int]

    def square(self, flat: np.ndarray) -> np.ndarray:
        """A raster of the window as rows and columns."""
        rows, cols = self.shape
        return flat[: rows * cols].reshape(rows, cols)


_OPEN: dict[str, Opened] = {}
_OPENING = threading.Lock()


def opened(context: SearchContext) -> Opened:
    """The search as this process holds it open; only the last one is kept."""
    with _OPENING:
        if context.fingerprint not in _OPEN:
            frame, site = frame_of(context), context.job.site
            patches = patches_of(context.header, frame, site.mast, np.array(context.azimuths_deg))
            _OPEN.clear()
            _OPEN[context.fingerprint] = Opened(context, patches, rules_of(site.mast, site.limits), land_of(context), LiftWork.of(context.job))
        return _OPEN[context.fingerprint]


def close_searches() -> None:
    """Lets go of what this process holds open."""
    with _OPENING:
        _OPEN.clear()


def work_tile(context: SearchContext, tile: Tile) -> TileResult:
    """What every cell of a tile gets: the same numbers whatever tile it lies in.

    Raises:
        InputError: the DEM cannot be read there.
    """
    search = opened(context)
    halo = search.patches.halo
    top, left = context.grid.row0 + tile.row - halo, context.grid.col0 + tile.col - halo
    window = _read(search, (top, left), (tile.rows + 2 * halo, tile.cols + 2 * halo))
    used, azimuth = np.full((tile.rows, tile.cols), np.nan), np.full((tile.rows, tile.cols), NO_AZIMUTH, dtype=np.int16)
    fate = np.full((tile.rows, tile.cols), UNDECIDED, dtype=np.uint8)
    samples = []
    for piece in _pieces(tile, halo, (top, left), search.patches.size):
        here = slice(piece.rows[0] - halo, piece.rows[1] - halo), slice(piece.cols[0] - halo, piece.cols[1] - halo)
        work = _PieceWork(search, window, piece, (top, left))
        used[here], azimuth[here], fate[here] = work.searched()
        samples.append(work.sampled())
    sample, lost = (np.concatenate(parts) for parts in zip(*samples, strict=True))
    order = np.lexsort((sample[:, 1], sample[:, 0]))
    return TileResult(used, azimuth, fate, sample[order], lost[order])


def _read(search: Opened, corner: tuple[int, int], shape: tuple[int, int]) -> Window:
    """Heights, slopes and what these use up for an anchor, for a window of the DEM with its first cell at a corner."""
    from siting.screening import grades
    from siting.screening.slopes import ground_metric, slopes_of

    context, patches = search.context, search.patches
    size = shape[0] * shape[1]
    heights, slopes, steps = np.empty(size + PAD), np.empty(size + PAD), np.empty(size + PAD, dtype=np.uint8)
    heights[size:], slopes[size:], steps[size:] = np.nan, np.inf, grades.NO_GROUND
    window = Window(heights, slopes, steps, shape)
    fill_window(context.job.site.dem, context.header, corner, window.square(heights))
    first = corner[0] // patches.size, corner[1] // patches.size
    rows = range(first[0], (corner[0] + shape[0] - 1) // patches.size + 1)
    cols = range(first[1], (corner[1] + shape[1] - 1) // patches.size + 1)
    slopes_of(
        window.square(heights), ground_metric(patches.nodes(rows, cols)), patches.size,
        (corner[0] - first[0] * patches.size, corner[1] - first[1] * patches.size),
        search.rules.anchor_most, window.square(slopes), window.square(steps),
    )  # fmt: skip
    return window


def _pieces(tile: Tile, halo: int, corner: tuple[int, int], size: int) -> Iterator[Piece]:
    """The tile cut along the patches' borders."""
    for rows in _cuts(halo, tile.rows, corner[0], min(size, PIECE_ROWS)):
        for cols in _cuts(halo, tile.cols, corner[1], size):
            yield Piece(((corner[0] + rows[0]) // size, (corner[1] + cols[0]) // size), rows, cols)


def _cuts(begin: int, count: int, corner: int, size: int) -> list[tuple[int, int]]:
    """Parts of a row of cells that lie in one patch each, counted in the window."""
    found, at = [], begin
    while at < begin + count:
        end = min(begin + count, ((corner + at) // size + 1) * size - corner)
        found.append((at, end))
        at = end
    return found


def _parts(chosen: np.ndarray) -> Iterator[tuple[np.ndarray, np.ndarray]]:
    """Rows and columns of the chosen cells, so many at a time."""
    i, j = np.nonzero(chosen)
    for begin in range(0, i.size, AT_ONCE):
        yield i[begin : begin + AT_ONCE], j[begin : begin + AT_ONCE]


class _PieceWork:
    """The work on one piece: its stencil, its frame on the ground, its land."""

    def __init__(self, search: Opened, window: Window, piece: Piece, corner: tuple[int, int]) -> None:
        self.search, self.window, self.piece, self.corner = search, window, piece, corner
        height_m = _patch_height_m(search, piece.patch)
        self.stencil = _stencil(search, piece.patch, height_m, window.shape[1])
        self.frame = _kept(search, search.frames, piece.patch, KEPT_FRAMES, lambda: self._ground_frame(height_m))
        self.x_m, self.y_m = self._ground_xy()
        self.ground = TileGround(search.land, self.frame, search.context.job, self.x_m, self.y_m)
        self.land = land_of_tile(self.ground, self.x_m, self.y_m)

    def searched(self) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Utilisation, azimuth and fate of the piece's cells."""
        from siting.screening.eight import search_rows

        cells = self.piece.cells
        heights = self.window.square(self.window.heights)[cells]
        fate = self.land.fate.copy()
        has_ground = np.isfinite(heights)
        fate[~has_ground & ((fate == UNDECIDED) | (fate > NO_GROUND))] = NO_GROUND
        is_full = self.search.context.job.options.mode == FULL
        asked = has_ground & (fate > 0 if is_full else fate == UNDECIDED)
        runs = 2 if is_full else 1
        best, azimuth = np.full(asked.shape, np.nan), np.full(asked.shape, NO_AZIMUTH, dtype=np.int16)
        wanted = np.zeros(self.window.heights.size, dtype=np.uint8)
        self.window.square(wanted)[cells] = asked & ~self.land.near
        shape = (self.window.shape[1], *self.piece.rows, *self.piece.cols)
        search_rows(self._raster(wanted), shape, self.stencil, runs, best, azimuth)
        self._search_near(asked & self.land.near, runs, best, azimuth)
        self._take_land((azimuth >= 0) & ~self.land.near & (self.land.by_azimuth > best), best, azimuth)
        used = np.where(azimuth >= 0, np.fmax(best, self.land.used), np.nan)
        undecided = fate == UNDECIDED
        fate[undecided] = np.where(used[undecided] <= 1.0, PASSES, NO_LAYDOWN)
        self._lift(fate, azimuth)
        return used, azimuth, fate

    def sampled(self) -> tuple[np.ndarray, np.ndarray]:
        """The piece's cells of the regular net, rule by rule (records.search.TileResult)."""
        from siting.screening.alone import USES, look_into

        context, (rows, cols) = self.search.context, (self.piece.rows, self.piece.cols)
        row = np.arange(*rows) + self.corner[0] - context.grid.row0
        col = np.arange(*cols) + self.corner[1] - context.grid.col0
        down, along = context.sample_steps
        chosen = np.logical_and.outer(row % down == down // 2, col % along == along // 2)
        heights = self.window.square(self.window.heights)[self.piece.cells]
        chosen &= (self.land.fate == UNDECIDED) & np.isfinite(heights)
        i, j = np.nonzero(chosen)
        critical, lost = np.empty((i.size, USES)), np.empty(i.size, dtype=np.uint8)
        if i.size:
            look_into(self._raster(self.window.steps), self._flat((i, j)), self._azimuths((i, j))[0], self.stencil, critical, lost)
        return np.column_stack([row[i], col[j], critical]).reshape(i.size, 2 + USES), lost

    def _lift(self, fate: np.ndarray, azimuth: np.ndarray) -> None:
        """Holds the cells that pass against the lift and the base, in their best azimuth."""
        i, j = np.nonzero(fate == PASSES)
        if i.size:
            search, width = self.search, self.window.shape[1]
            lift_stencil = _kept(
                search, search.lift_stencils, (self.piece.patch, width), KEPT_STENCILS,
                lambda: search.lift.stencil(search.patches, self.piece.patch, _patch_height_m(search, self.piece.patch), width),
            )  # fmt: skip
            fate[i, j] = search.lift.fates(self.window.heights, self._flat((i, j)), azimuth[i, j], self.stencil, lift_stencil)

    def _search_near(self, chosen: np.ndarray, runs: int, best: np.ndarray, azimuth: np.ndarray) -> None:
        """Best utilisation and azimuth of the chosen cells, to which the land does not leave every azimuth."""
        from siting.screening.alone import search_cells
        from siting.screening.with_land import take_land

        for some in _parts(chosen):
            allowed, land_used = self._azimuths(some)
            found, which = np.full(some[0].size, np.nan), np.full(some[0].size, NO_AZIMUTH, dtype=np.int16)
            search_cells(self._raster(self.window.steps), self._flat(some), allowed, self.stencil, runs, found, which)
            take_land(self._raster(self.window.steps), self._flat(some), allowed, land_used, self.stencil, found, which)
            best[some], azimuth[some] = found, which

    def _take_land(self, chosen: np.ndarray, best: np.ndarray, azimuth: np.ndarray) -> None:
        """The same for cells whose best azimuth by ground and lift is known, where the land may use an azimuth more than that."""
        from siting.screening.with_land import take_land

        for some in _parts(chosen):
            found, which = best[some], azimuth[some]
            take_land(self._raster(self.window.steps), self._flat(some), *self._azimuths(some), self.stencil, found, which)
            best[some], azimuth[some] = found, which

    def _raster(self, wanted: np.ndarray) -> tuple[np.ndarray, ...]:
        """The rasters as the kernels take them."""
        return self.window.heights, self.window.slopes, self.window.steps, wanted

    def _flat(self, chosen: tuple[np.ndarray, np.ndarray]) -> np.ndarray:
        """Flat indices in the window of cells of the piece: their rows and columns in it."""
        return (chosen[0] + self.piece.rows[0]) * self.window.shape[1] + chosen[1] + self.piece.cols[0]

    def _azimuths(self, chosen: tuple[np.ndarray, np.ndarray]) -> tuple[np.ndarray, np.ndarray]:
        """(m, K) uint8: the azimuths that the land leaves to cells of the piece; (m, K): how far it uses each up, no unit."""
        mast = self.search.context.job.site.mast
        azimuths = anchor_azimuths_deg(mast, self.search.patches.azimuths_deg)
        anchors = anchor_points_xy_m(self.frame, azimuths, np.array([a.radius_m for a in mast.anchors]))
        allowed, used = azimuths_on_land(self.ground, self.x_m[chosen], self.y_m[chosen], anchors)
        return allowed.view(np.uint8), used

    def _ground_frame(self, height_m: float) -> Frame:
        """The plan's frame of a base in the middle of the patch."""
        job = self.search.context.job
        lon, lat = self.search.patches.middle(*self.piece.patch)
        return frame_at(lat, lon, height_m, job.site.projected_crs, f"{job.where}, [crs] projected")

    def _ground_xy(self) -> tuple[np.ndarray, np.ndarray]:
        """Ground metres from the patch's middle of every cell's centre: a quadratic through 3 x 3 nodes of the patch."""
        patches, (row, col) = self.search.patches, self.piece.patch
        step = patches.size / 2.0
        nodes = np.arange(3) * step
        cols, rows = np.meshgrid(col * patches.size + nodes, row * patches.size + nodes)
        x, y = self.frame.ground_xy(*patches.frame.lonlat(cols, rows))
        v = (np.arange(*self.piece.rows) + (self.corner[0] + 0.5 - row * patches.size)) / patches.size
        u = (np.arange(*self.piece.cols) + (self.corner[1] + 0.5 - col * patches.size)) / patches.size
        return _between(x, v, u), _between(y, v, u)


def _between(nodes: np.ndarray, v: np.ndarray, u: np.ndarray) -> np.ndarray:
    """(rows, cols) between 3 x 3 nodes at 0, 1/2 and 1: v down, u along. Added up in one order, whatever the shape.

    A product of matrices may round otherwise in another shape, and a cell would then lie elsewhere in another tile.
    """
    down, along = _quadratic(v), _quadratic(u)
    rows = down[0][:, None] * nodes[0] + down[1][:, None] * nodes[1] + down[2][:, None] * nodes[2]
    return rows[:, :1] * along[0] + rows[:, 1:2] * along[1] + rows[:, 2:] * along[2]


def _quadratic(t: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Weights of three nodes at 0, 1/2 and 1."""
    return (2.0 * t - 1.0) * (t - 1.0), 4.0 * t * (1.0 - t), t * (2.0 * t - 1.0)


def _stencil(search: Opened, patch: tuple[int, int], height_m: float, width: int) -> Stencil:
    """The stencil of a patch on a window of a width; the last few are kept."""

    def make() -> Stencil:
        return stencil_of(search.patches.tables(*patch, height_m), search.context.job.site.mast, search.rules, width)

    return _kept(search, search.stencils, (patch, width), KEPT_STENCILS, make)


def _kept(search: Opened, kept: OrderedDict, key: tuple, most: int, make: Callable[[], Any]) -> Any:
    """What is kept under a key, made where it is not; the last used are kept. Two threads may make the same."""
    with search.lock:
        if key in kept:
            kept.move_to_end(key)
            return kept[key]
    made = make()
    with search.lock:
        kept[key] = made
        while len(kept) > most:
            kept.popitem(last=False)
    return made


def _patch_height_m(search: Opened, patch: tuple[int, int]) -> float:
    """Height of the ground at a patch's middle, looked up once."""
    if patch not in search.heights_m:
        search.heights_m[patch] = _read_patch_height_m(search, patch)
    return search.heights_m[patch]


def _read_patch_height_m(search: Opened, patch: tuple[int, int]) -> float:
    """Height at a patch's middle, or at the first of nine places in it that has one; 0 where none has."""
    size, header = search.patches.size, search.context.header
    for down, along in ((0.5, 0.5), (0.25, 0.25), (0.25, 0.75), (0.75, 0.25), (0.75, 0.75), (0.05, 0.05), (0.05, 0.95), (0.95, 0.05), (0.95, 0.95)):
        row, col = int((patch[0] + down) * size), int((patch[1] + along) * size)
        if 0 <= row < header.rows and 0 <= col < header.cols:
            grid, _ = read_window(search.context.job.site.dem, header, (col, row, col + 1, row + 1))
            if np.isfinite(grid.heights_m[0, 0]):
                return float(grid.heights_m[0, 0])
    return 0.0


