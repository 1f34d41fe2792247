"""`siting search` from the area file to the ranked spots: tiles, then the best cells, then their plans."""

from __future__ import annotations

import hashlib
import math
from pathlib import Path

import numpy as np

from siting.geodesy.dem_frame import DemFrame, cell_size_m, ground_scale
from siting.geodesy.geodesic import WGS84
from siting.inputs.fingerprints import fingerprint_files
from siting.planning.remarks import CAUTIONS
from siting.records.search import FULL, SearchGrid, SearchJob, SearchResult, Tile
from siting.search.finalists import MORE_PLANS, plan_finalists
from siting.search.opening import SearchContext, frame_of, open_search
from siting.search.pick import pick_spots
from siting.search.progress import TileProgress
from siting.search.shares import shares_of
from siting.search.tile_plan import tiles_of
from siting.search.tile_store import load_tile, open_run_folder
from siting.search.tile_work import work_tile
from siting.search.workers import run_tiles
from siting.version import VERSION

# Cells along a tile's side: the halo is then a small part of what is read, and a tile for each processor fits into a
# small computer's memory.
TILE_CELLS = 1024
LAND_NOTE = "The screening of a cell stands on its centre; each spot was then planned exactly."


def search(
    job: SearchJob, out: Path, workers: int | None = None, scheduler: str | None = None, progress: TileProgress | None = None, tile_cells: int = TILE_CELLS
) -> SearchResult:
    """The whole search; finished tiles are kept in the output folder, and a search that was stopped goes on from them.

    Args:
        workers: threads on this machine; None: one for each processor.
        scheduler: address of a Dask scheduler; None: on this machine.
    Raises:
        SitingError: the DEM, the land or the folder cannot be used; every fault says what to do.
        KeyboardInterrupt: stopped by the user; the finished tiles are kept.
    """
    progress = progress or TileProgress()
    mark = fingerprint(job)
    context = open_search(job, mark)
    frame, grid = frame_of(context), context.grid
    tiles = tiles_of(grid.rows, grid.cols, tile_cells)
    if scheduler is not None:
        from siting.search.cluster import check_scheduler

        check_scheduler(scheduler)  # before anything is written
    folder = open_run_folder(out, mark, tiles, progress.say)
    run_tiles(work_tile, context, tiles, folder, workers, scheduler, progress)

    def load(tile: Tile):
        return load_tile(folder, tile)

    wanted = job.options.spots * (1 + MORE_PLANS)
    at_most = math.inf if job.options.mode == FULL else 1.0
    picks = pick_spots(tiles, load, grid, distances(frame, grid), job.options.apart_m, wanted, at_most)
    azimuths = np.array(context.azimuths_deg)
    spots = plan_finalists(job, frame, grid, azimuths, picks)
    return SearchResult(
        job=job,
        grid=grid,
        azimuths_deg=context.azimuths_deg,
        tiles=tiles,
        folder=folder,
        spots=spots,
        shares=shares_of(tiles, load, grid),
        cell_m=_cell_m(context, frame),
        crs_name=context.header.crs_name,
        notes=(LAND_NOTE, f"Heights in {context.header.unit}, {context.header.unit_source}."),
        warnings=_warnings(spots, job),
        cautions=CAUTIONS,
        run_id=hashlib.sha256(f"{mark} {job.options.spots} {job.options.apart_m} {VERSION}".encode()).hexdigest()[:12],
        version=VERSION,
    )


def fingerprint(job: SearchJob) -> str:
    """What the results of a search depend on, as one short text: its files' content, its options; of a DEM its name, size and date.

    Raises:
        InputError: a file cannot be read.
    """
    site, dem = job.site, job.site.dem.path
    land = [(shown, path) for shown, path in ((site.land.parcels_shown, site.land.parcels), (site.land.obstacles_shown, site.land.obstacles)) if path]
    land += [(job.options.area_shown, job.options.area)] if job.options.area else []
    stat = dem.stat() if dem.exists() else None
    known = (
        site.options(), job.options.area_shown, job.options.azimuth_step_deg, job.options.mode,
        dem.name, stat and (stat.st_size, stat.st_mtime_ns), fingerprint_files((*site.files, *land)),
    )  # fmt: skip
    return hashlib.sha256(repr(known).encode()).hexdigest()


def distances(frame: DemFrame, grid: SearchGrid):
    """A function that gives the ground distance (metres, on the ellipsoid) from one cell's centre to others'."""

    def distance_m(row: int, col: int, rows: np.ndarray, cols: np.ndarray) -> np.ndarray:
        rows, cols = np.atleast_1d(rows), np.atleast_1d(cols)
        lon, lat = frame.lonlat(np.append(cols, col) + (grid.col0 + 0.5), np.append(rows, row) + (grid.row0 + 0.5))
        count = rows.size
        return np.asarray(WGS84.inv(np.full(count, lon[-1]), np.full(count, lat[-1]), lon[:-1], lat[:-1])[2])

    return distance_m


def _cell_m(context: SearchContext, frame: DemFrame) -> tuple[float, float]:
    """Ground length of a cell in the middle of the DEM, metres."""
    return cell_size_m(ground_scale(frame, context.job.site.mast.reach_m))


def _warnings(spots: tuple, job: SearchJob) -> tuple[str, ...]:
    """What a reader of the ranking must know."""
    said = []
    differing = [s.rank for s in spots if s.differs]
    if differing:
        said.append(f"Screening and plan differ at {', '.join(f'no. {n}' for n in differing)}: see there.")
    if 0 < len(spots) < job.options.spots:
        said.append(f"Only {len(spots)} of the {job.options.spots} spots asked for were found at least {job.options.apart_m:g} m apart.")
    return tuple(said)
