"""Searches made by hand for the writers' tests: every fate, every class, spots of every kind; the tiles stand in the memory."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from pyproj import CRS

from siting.inputs.site_file import read_site
from siting.records.plan import Shape
from siting.records.search import (
    FATES,
    FULL,
    NO_AZIMUTH,
    PASSING,
    RULES,
    GivenLand,
    PlansTried,
    SearchGrid,
    SearchJob,
    SearchOptions,
    SearchResult,
    Shares,
    Spot,
    Tile,
    TileResult,
    fails_in_lift,
)
from siting.records.site import BasePoint
from siting.search.screened import IN_LIFT, OF_PLAN_ONLY, SCREENED

DEMO = Path(__file__).parents[2] / "sample_dem"
ROWS, COLS, TILE = 70, 90, 40
CAUTIONS = ("This is a calculation, not a survey.", "The maker's drawing comes first.", "Look at the ground.")


@dataclass(frozen=True)
class Made:
    """A result and what its tiles hold, whole."""

    result: SearchResult
    whole: TileResult

    def load(self, tile: Tile) -> TileResult:
        """A tile cut out of the whole."""
        cut = np.s_[tile.row : tile.row + tile.rows, tile.col : tile.col + tile.cols]
        return TileResult(self.whole.used[cut], self.whole.azimuth[cut], self.whole.fate[cut], self.whole.sample[:0], self.whole.lost[:0])


def cells(mode: str) -> TileResult:
    """Every fate in stripes, utilisations of every class where a cell passes; in mode full an azimuth on all ground."""
    row, col = np.mgrid[:ROWS, :COLS]
    fate = (col // 6 % len(FATES)).astype(np.uint8)
    passes = fate == FATES.index("passes")
    used = np.where(passes | fails_in_lift(fate), np.array([0.2, 0.5, 0.75, 0.9, 1.0, 0.95])[row % 6], np.nan)
    if mode == FULL:
        used = np.where(fate == FATES.index("no azimuth"), 1.0 + (row + 1) * 1e-9, used)
    azimuth = np.where(np.isnan(used), NO_AZIMUTH, (row * 7 + col) % 72).astype(np.int16)
    return TileResult(used, azimuth, fate, np.zeros((0, len(RULES))), np.zeros(0, np.uint8))


def shares(fate: np.ndarray, sample: int = 200) -> Shares:
    """Shares of cells by fate; half of the sampled cells pass, the rest is lost to three rules."""
    counts = np.bincount(fate.ravel(), minlength=len(FATES)).tolist()
    lost = dict.fromkeys(RULES, 0.0) | {"anchor slope": 0.3, "side guy travel": 0.15, "winch arm": 0.05}
    ratios = tuple(k / 10 for k in range(5, 21))
    curves = tuple((name, ratios, tuple(min(1.0, 0.5 * r**0.5) for r in ratios)) for name in RULES[1:-1])
    return Shares(tuple(zip(FATES, counts)), sample, tuple(lost.items()) if sample else tuple((r, 0.0) for r in RULES), curves)


def spot(rank: int, verdict: str | None, **changes) -> Spot:
    """A spot; without a verdict no plan could be made."""
    has_plan = verdict is not None
    made = Spot(
        rank, f"spot_{rank:02d}.toml", 47.0280 + rank * 1e-4, -109.8500 + rank * 1e-4, *((587400.5, 5208900.5, 1427.234) if has_plan else (float("nan"),) * 3),
        15.0, 0.71, 14.0 if has_plan else None, 0.72 + rank / 100 if has_plan else None, verdict, "slope at anchor A1" if has_plan else "",
        ("21 of 360 azimuths pass.",) if has_plan else (), "", (), (), ("setback", "anchor_slope") if has_plan else (), ("anchor_holding",) if has_plan else (),
        ("overhead_lines",),
    )  # fmt: skip
    return replace(made, **changes)


SPOTS = (
    spot(1, "pass"),
    spot(2, "marginal"),
    spot(3, "fail", differs="Screening passes, the plan fails: <b>push</b>: 2.00 ratio, limit 1.00.", failing=("<b>push</b>: 2.00 ratio, limit 1.00",)),
    spot(4, None, differs="No plan can be made there: dem.tif: no height."),
)


UNSCREENED = spot(3, "fail", failing=("<i>push</i>: 2.89, at most 1.00",), failing_unscreened=("<i>push</i>: 2.89, at most 1.00",))
TRIED = PlansTried(plans=6, most=12, holding=2, failing_unscreened=2, failing_screened=1, without_plan=1, by_check=(("anchor_holding", 2),))
# Around the cells of `made`, longitudes and latitudes.
LAND = GivenLand(
    (
        Shape("parcel", "<b>12</b>", "parcel <b>12</b>", "Polygon", (((-109.8542, 47.03030), (-109.8536, 47.03030), (-109.8536, 47.03090), (-109.8542, 47.03030)),)),
        Shape("own_land", "07-1", "own land 07-1", "Polygon", (((-109.8536, 47.03020), (-109.8528, 47.03020), (-109.8528, 47.03090), (-109.8536, 47.03090), (-109.8536, 47.03020)),)),
        Shape("obstacle", "road-1", "road: County road", "LineString", (((-109.8543, 47.03020), (-109.8525, 47.03025)),)),
        Shape("obstacle", "well-1", "well: old", "Point", (((-109.8530, 47.03050),),)),
        Shape("area", "area", "searched area", "Polygon", (((-109.8541, 47.03020), (-109.8529, 47.03020), (-109.8529, 47.03080), (-109.8541, 47.03080), (-109.8541, 47.03020)),)),
    ),
    ("The map draws 2 of the 104213 parcels near the searched area: the own ones and those nearest to the spots.",),
)


def job(mode: str = PASSING, name: str = "Curlew <search> & more") -> SearchJob:
    site = replace(read_site(DEMO / "site.toml"), base=BasePoint(float("nan"), float("nan"), ""))
    return SearchJob(name, "area.toml", DEMO, {}, site, SearchOptions(None, "", 5.0, 4, 40.0, mode))


def made(mode: str = PASSING, spots: tuple[Spot, ...] = SPOTS, **changes) -> Made:
    """A whole search of 70 x 90 cells of 1 m in six tiles, no file behind it."""
    whole = cells(mode)
    tiles = tuple(
        Tile(f"r{r:05d}_c{c:05d}", r, c, min(TILE, ROWS - r), min(TILE, COLS - c)) for r in range(0, ROWS, TILE) for c in range(0, COLS, TILE)
    )
    result = SearchResult(
        job=job(mode),
        grid=SearchGrid(10, 20, ROWS, COLS, (1.0, 0.0, 587070.0, 0.0, -1.0, 5209240.0), CRS("EPSG:32612").to_wkt()),
        azimuths_deg=tuple(5.0 * k for k in range(72)),
        tiles=tiles,
        folder=Path("nowhere"),
        spots=spots,
        tried=TRIED if spots else replace(TRIED, plans=0, holding=0, failing_unscreened=0, failing_screened=0, without_plan=0, by_check=()),
        screened=SCREENED,
        in_the_lift=IN_LIFT,
        of_plan_only=OF_PLAN_ONLY,
        land=LAND,
        shares=shares(whole.fate),
        cell_m=(1.0, 1.0),
        crs_name="WGS 84 / UTM zone 12N",
        notes=("Heights in m, as the file says.",),
        warnings=("Screening and plan differ at no. 3: see there.",) if spots else (),
        cautions=CAUTIONS,
        run_id="abc123def456",
        version="0.1.0",
    )
    return Made(replace(result, **changes), whole)
