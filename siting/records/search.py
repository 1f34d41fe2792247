"""A search over a property or a county: what is asked, what every cell got, and the spots that were found."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from siting.records.plan import Shape
from siting.records.site import Site

PASSING, FULL = "passing", "full"
NO_AZIMUTH = -1


@dataclass(frozen=True, slots=True)
class SearchOptions:
    """The [search] table of an area file."""

    area: Path | None  # polygons; None: the whole DEM
    area_shown: str
    azimuth_step_deg: float
    spots: int
    apart_m: float
    mode: str  # passing or full


@dataclass(frozen=True, slots=True)
class SearchJob:
    """Everything that a search is made from, read and checked.

    `site` is the template of every spot's plan: all of a site file but its base, which is not a number there.
    """

    name: str
    where: str  # the area file's name: how a fault names it
    folder: Path  # of the area file: its paths are relative to it
    table: dict  # the area file as it was read, for the spots' site files
    site: Site
    options: SearchOptions


@dataclass(frozen=True, slots=True)
class SearchGrid:
    """The cells that are searched: a window of the DEM. `affine` is the window's own (x = a*col + b*row + c, ...)."""

    row0: int
    col0: int
    rows: int
    cols: int
    affine: tuple[float, float, float, float, float, float]
    crs_wkt: str


@dataclass(frozen=True, slots=True)
class Tile:
    """A rectangle of the grid's cells, worked on as one. Rows and columns count from the grid's first."""

    name: str  # r0000_c0000
    row: int
    col: int
    rows: int
    cols: int


@dataclass(frozen=True, slots=True)
class TileResult:
    """What every cell of a tile got.

    `used` (rows, cols) float64: worst utilisation of the best azimuth, with the checks of the base; NaN where there is
    none (mode passing: where nothing passes). `azimuth` int16: index of the best azimuth, -1 where there is none. Both
    without the checks of IN_THE_LIFT. `fate` uint8: what became of the cell, an index into FATES. `sample` (S, 2 + R) float64: row, column (of the grid)
    and critical utilisations of the cells that are looked at rule by rule, and `lost` (S,) uint8 the rule that removed
    them, an index into RULES, or len(RULES) where they pass.
    """

    used: np.ndarray
    azimuth: np.ndarray
    fate: np.ndarray
    sample: np.ndarray
    lost: np.ndarray


# What became of a cell that passes all else, where its plan's own laydown fails in the lift or on the base, in this order.
IN_THE_LIFT = ("winch pull", "bending of the mast", "gin pole over the ground", "winch line over the ground", "level push on the base", "upward pull on the base")
# What became of a cell, in this order: the first that is true.
FATES = (
    "outside the area", "no ground under the base", "off the own land", "setback or fall circle", "obstacle in the fall circle", "rule of the land",
    "no azimuth", *IN_THE_LIFT, "passes",
)  # fmt: skip
# The checks that an azimuth must pass, in the order in which a cell's loss is put down to one of them.
RULES = ("ground known under the layout", "anchor slope", "laydown slope", "rest slope", "gap under the mast", "side guy travel", "winch arm", "anchors and guys on the land")


def fails_in_lift(fate: np.ndarray) -> np.ndarray:
    """Which cells pass all else and fail in the lift or on the base, by their fates; no unit."""
    return (fate >= FATES.index(IN_THE_LIFT[0])) & (fate <= FATES.index(IN_THE_LIFT[-1]))


@dataclass(frozen=True, slots=True)
class Spot:
    """A spot that was found, as screened and as planned. Azimuths true, degrees."""

    rank: int
    site_file: str
    lat: float
    lon: float
    easting: float
    northing: float
    height_m: float
    screened_azimuth_deg: float
    screened_utilisation: float
    azimuth_deg: float | None  # of the plan; None where no plan could be made
    worst_utilisation: float | None
    verdict: str | None
    worst_check: str  # in words
    reasons: tuple[str, ...]
    differs: str  # how screening and plan differ in what is screened, empty where they agree
    failing: tuple[str, ...]  # checks of the plan that fail, in words
    failing_unscreened: tuple[str, ...]  # those of them that no search screens: no difference, the plan alone knows them
    checks_screened: tuple[str, ...]  # kinds of the plan's checks that the search screened
    checks_of_plan_only: tuple[str, ...]  # kinds that the plan alone holds
    unchecked: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PlansTried:
    """The plans that were made to find spots that hold; the four counts under `plans` add up to it."""

    plans: int
    most: int  # so many would have been made at most
    holding: int
    failing_unscreened: int  # fail, but only checks that no search screens
    failing_screened: int  # fail a check that the search screens
    without_plan: int
    by_check: tuple[tuple[str, int], ...]  # kinds of checks that no search screens, and how many plans fail each


@dataclass(frozen=True, slots=True)
class GivenLand:
    """What the area file names, to be drawn: the searched area, parcels and obstacles in it and near it.

    `shapes` in WGS 84, longitudes in one piece around the area's middle (beyond 180 where it lies on the antimeridian);
    kinds area, parcel, own_land, obstacle. `notes`: what was left out or drawn less finely.
    """

    shapes: tuple[Shape, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Shares:
    """What the rules leave of the area. `cells`: (name, cells) for each of FATES; they add up to the whole.

    `lost`: (name, share) for each of RULES of the cells that reach them, from a regular sample of `sample_count` cells.
    `curves`: (name, utilisations, shares): the share of those cells that would pass if this rule's limit were that many
    times itself, the others as they are.
    """

    cells: tuple[tuple[str, int], ...]
    sample_count: int
    lost: tuple[tuple[str, float], ...]
    curves: tuple[tuple[str, tuple[float, ...], tuple[float, ...]], ...]


@dataclass(frozen=True, slots=True)
class SearchResult:
    """A finished search, for the writers. Tiles are read one by one: a county's rasters do not fit into memory."""

    job: SearchJob
    grid: SearchGrid
    azimuths_deg: tuple[float, ...]
    tiles: tuple[Tile, ...]
    folder: Path  # where the tiles' results lie
    spots: tuple[Spot, ...]
    tried: PlansTried
    screened: dict[str, str]  # the kinds of a plan's checks that every cell is screened by, in words
    in_the_lift: dict[str, str]  # those that every cell that passes them is held against in its best azimuth, pass or fail
    of_plan_only: dict[str, str]  # those that the plans of the spots alone hold
    land: GivenLand
    shares: Shares
    cell_m: tuple[float, float]
    crs_name: str
    notes: tuple[str, ...]
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
    run_id: str
    version: str
