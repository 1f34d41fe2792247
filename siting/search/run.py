"""`siting search` from the area file to the ranked spots: tiles, then the best cells, then their plans."""

from __future__ import annotations

import hashlib
import math
from pathlib import Path

import numpy as np

from siting.freed_memory import give_back
from siting.geodesy.dem_frame import DemFrame, cell_size_m, ground_scale
from siting.geodesy.geodesic import WGS84
from siting.inputs.fingerprints import fingerprint_files
from siting.planning.remarks import CAUTIONS
from siting.records.search import FATES, FULL, RULES, PlansTried, SearchGrid, SearchJob, SearchResult, Spot, Tile
from siting.search.finalists import Places
from siting.search.given_land import given_land
from siting.search.opening import SearchContext, frame_of, open_search
from siting.search.pick import Picker
from siting.search.progress import TileProgress
from siting.search.screened import IN_LIFT, OF_PLAN_ONLY, SCREENED, words_of
from siting.search.shares import shares_of
from siting.search.tile_plan import tiles_of
from siting.search.tile_store import load_tile, open_run_folder
from siting.search.tile_work import close_searches, work_tile
from siting.search.walk import plan_finalists
from siting.search.workers import run_tiles
from siting.version import VERSION

# Cells along a tile's side: the halo is then a small part of what is read, and a tile for each processor fits into a
# small computer's memory.
TILE_CELLS = 512
CELL_NOTE = "The screening of a cell stands on its centre; each spot was then planned exactly."
SCREENED_NOTES = (
    f"Screened in every cell and azimuth, as far as their data are given: {words_of(tuple(SCREENED))}.",
    f"Screened in the best azimuth of every cell that passes those, pass or fail: {words_of(tuple(IN_LIFT))}.",
    f"Held by the plans of the spots alone: {words_of(tuple(OF_PLAN_ONLY))}.",
)


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
    close_searches()  # their tables are not needed any more
    give_back()

    def load(tile: Tile):
        return load_tile(folder, tile)

    places = Places(job, frame, grid, context.azimuths_deg, distances(frame, grid))
    spots, tried = _finalists(places, tiles, load, progress)
    give_back()
    return SearchResult(
        job=job,
        grid=grid,
        azimuths_deg=context.azimuths_deg,
        tiles=tiles,
        folder=folder,
        spots=spots,
        tried=tried,
        screened=SCREENED,
        in_the_lift=IN_LIFT,
        of_plan_only=OF_PLAN_ONLY,
        land=given_land(context, frame, spots),
        shares=shares_of(tiles, load, grid),
        cell_m=_cell_m(context, frame),
        crs_name=context.header.crs_name,
        notes=(CELL_NOTE, *SCREENED_NOTES, f"Heights in {context.header.unit}, {context.header.unit_source}."),
        warnings=_warnings(spots, tried, job),
        cautions=CAUTIONS,
        run_id=hashlib.sha256(f"{mark} {job.options.spots} {job.options.apart_m} {VERSION}".encode()).hexdigest()[:12],
        version=VERSION,
    )


def _finalists(places: Places, tiles: tuple[Tile, ...], load, progress: TileProgress) -> tuple[tuple[Spot, ...], PlansTried]:
    """The spots, planned, and what was tried; the user sees how far it has come."""
    at_most = math.inf if places.job.options.mode == FULL else 1.0
    try:
        spots, tried = plan_finalists(places, Picker(tiles, load, places.grid, places.distance_m, at_most), progress)
        if tried.plans:
            progress.planned(tried.plans, tried.holding)
        return spots, tried
    finally:
        progress.stop()


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
        dem.name, stat and (stat.st_size, stat.st_mtime_ns), fingerprint_files((*site.files, *land)), FATES, RULES,
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


def _warnings(spots: tuple[Spot, ...], tried: PlansTried, job: SearchJob) -> tuple[str, ...]:
    """What a reader of the ranking must know."""
    said = []
    differing = [s.rank for s in spots if s.differs]
    if differing:
        said.append(f"Screening and plan differ at {', '.join(f'no. {n}' for n in differing)}: see there.")
    failing = [s.rank for s in spots if s.failing_unscreened]
    if failing:
        said.append(f"The plan fails on a check that is not screened at {', '.join(f'no. {n}' for n in failing)}: see there.")
    wanted, apart = job.options.spots, f"at least {job.options.apart_m:g} m apart"
    if 0 < len(spots) < wanted:
        said.append(f"Only {len(spots)} of the {wanted} spots asked for were found {apart}.")
    if 0 < tried.holding < wanted:
        why = f"after {tried.plans} plans, the most that are made" if tried.plans == tried.most else "where no more cells are left to try"
        said.append(f"Only {tried.holding} of the {wanted} spots asked for hold, {apart}, {why}.")
    return tuple(said)
