"""Rules measured from anchors or guys in a search: the best azimuth is the one with the least of ground, lift and land together."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from rule_lands import rule, rules
from search.search_jobs import brute_force, hills, job, same_bytes, search_of, whole, write_dem
from search.test_land_cells import write_layer
from search.test_search_and_plan import plan
from shapely.affinity import translate

from siting.checks.setbacks import judge_rules
from siting.geodesy.frames import frame_at
from siting.layout.anchors import anchor_azimuths_deg
from siting.planning.land import columns_by_azimuth, columns_of_base, read_land
from siting.records.rules import RuleInputs, RuleLayer, Waiver
from siting.records.search import FATES, FULL, PASSING, Tile, fails_in_lift
from siting.records.site import BasePoint, LandSource, Limit
from siting.search import tile_work
from siting.search.finalists import place_of
from siting.search.land_cells import UNDECIDED

E0, N0, SIZE = 590_200.0, 5_209_800.0, 400  # the middle of a DEM of 1 m cells
PARCELS = {"west": (-170, -160, 10, 150), "east": (10, -160, 150, 150), "beyond": (150, -160, 199, 199), "north": (-170, 150, 150, 199), "south": (-170, -199, 150, -160)}
THINGS = {
    "road": shapely.LineString([(-199, -148), (0, -140), (199, -155)]),
    "dwelling": shapely.box(60, 90, 72, 99),
    "house": shapely.box(160, 10, 172, 22),
    "water": shapely.Point(-90, 60).buffer(12),
}
FROM_ANCHORS = (
    rule("property_line", "guy_anchors", id="anchors", least_m=17.0),
    rule("property_line", "nearest_part", id="parts", least_m=9.0, base_radius_m=1.5, waivers=(Waiver("north", "the neighbour", "book 4"),)),
    rule("road", "guys", id="road", least_m=25.0),
    rule("dwelling", "guy_anchors", id="others", least_m=30.0, off_own_land=True, anchors="all"),
    rule("water", "base_centre", id="of the base", least_m=40.0),
    rule("layer", "guys", id="district", layer="residential_district", least_m=8.0),
)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    made = tmp_path_factory.mktemp("land")
    heights = hills((SIZE, SIZE), 0.05, 9, forms=1.2)
    heights[150:153, 220:226] = np.nan
    write_dem(made / "dem.tif", heights)
    write_layer(made / "parcels.gpkg", [translate(shapely.box(*v), E0, N0) for v in PARCELS.values()], {"pin": list(PARCELS)})
    write_layer(made / "things.gpkg", [translate(g, E0, N0) for g in THINGS.values()], {"kind": list(THINGS), "name": list(THINGS)})
    write_layer(made / "district.gpkg", [translate(shapely.box(-199, 100, -120, 199), E0, N0)], {"name": ["R-1"]})
    return made


def land_job(folder, mode, owners):
    """The demo's mast, as if it were low, on the land of these tests."""
    made, (own, made_of, _) = job(folder / "dem.tif", mode, 10.0), CASES[owners]
    source = LandSource(
        parcels=None if own is None else folder / "parcels.gpkg", parcels_shown="parcels.gpkg", parcel_id_field="pin", own=own or (),
        obstacles=folder / "things.gpkg", obstacles_shown="things.gpkg", setback_factor=Limit(0.6, "made up"),
    )  # fmt: skip
    layers = (RuleLayer("residential_district", folder / "district.gpkg", "district.gpkg"),)
    site = replace(made.site, land=source, rules=RuleInputs((rules(*made_of),), layers), mast=replace(made.site.mast, total_height_m=25.0))
    return replace(made, site=site)


# Own parcels, rules, and rows and columns that are looked at: by lines, the houses and the hole; and so far from the road
# that no azimuth breaks its rule, but not so far that it uses little.
CASES = {
    "two parcels": (("west", "east"), FROM_ANCHORS, (112, 172, 190, 262)),
    "each its own": ((), FROM_ANCHORS, (112, 172, 190, 262)),
    "no parcels": (None, (rule("road", "guys", least_m=60.0),), (208, 234, 165, 200)),
}


@pytest.mark.parametrize("owners", CASES)
@pytest.mark.parametrize("mode", [PASSING, FULL])
def test_every_cell_is_what_looking_at_everything_gives(folder, mode, owners):
    """Ground and lift by the plan's own numpy, the land azimuth by azimuth, then the least of the larger of both."""
    made = land_job(folder, mode, owners)
    _, result = whole(made, 4096)
    _, search = search_of(made)
    top, bottom, left, right = CASES[owners][2]
    halo, tile = search.patches.halo, Tile("t", top, left, bottom - top, right - left)
    corner = tile.row - halo, tile.col - halo
    window = tile_work._read(search, corner, (tile.rows + 2 * halo, tile.cols + 2 * halo))
    wanted, azimuth, by_land = np.full((tile.rows, tile.cols), np.nan), np.full((tile.rows, tile.cols), -1, np.int16), 0
    for piece in tile_work._pieces(tile, halo, corner, search.patches.size):
        work = tile_work._PieceWork(search, window, piece, corner)
        has_ground = np.isfinite(window.square(window.heights)[piece.cells])
        i, j = np.nonzero(has_ground & ((work.land.fate > 0) if mode == FULL else (work.land.fate == UNDECIDED)))
        ground = brute_force(search, piece.patch, window, np.column_stack([i + piece.rows[0], j + piece.cols[0]]))
        allowed, land_used = work._azimuths((i, j))
        ground[np.isnan(ground) | (allowed == 0)] = np.inf
        both = np.fmax(ground, land_used)
        best = np.where(both == both.min(axis=1, keepdims=True), ground, np.inf).argmin(axis=1)  # of equal ones the least by ground and lift
        value = both[np.arange(best.size), best]
        keep = np.isfinite(value) & ((value <= 1.0) | (mode == FULL))
        at = i[keep] + piece.rows[0] - halo, j[keep] + piece.cols[0] - halo
        wanted[at], azimuth[at] = np.fmax(value, work.land.used[i, j])[keep], best[keep]
        by_land += int((value > ground.min(axis=1))[keep].sum())
    here = slice(top, bottom), slice(left, right)
    assert result.used[here].tobytes() == wanted.tobytes()
    assert result.azimuth[here].tobytes() == azimuth.tobytes()
    assert (((result.fate[here] == FATES.index("passes")) | fails_in_lift(result.fate[here])) == (wanted <= 1.0)).all()
    assert by_land > 100  # the land decides here: without it these cells would be held for better than they are


def test_tiles_of_any_size_give_the_same_bytes(folder):
    for owners, size in list(zip(CASES, (67, (29, 400), (400, 51)), strict=True))[::2]:
        made = land_job(folder, PASSING, owners)
        assert same_bytes(whole(made, size)[1], whole(made, 4096)[1]), size


@pytest.mark.parametrize("owners", CASES)
def test_a_plan_at_the_cell_says_the_same(folder, owners):
    """The plan's sweep and its own land, read anew around the cell: its least worst utilisation is what the map shows."""
    made = land_job(folder, PASSING, owners)
    context, result = whole(made, 4096)
    search = tile_work.opened(context)
    rows, cols = np.nonzero(result.azimuth >= 0)
    decided_by_land = 0
    for n in np.random.default_rng(5).choice(rows.size, 25, replace=False):
        row, col = int(rows[n]), int(cols[n])
        ground, land, base = planned(search, row, col)
        both = np.maximum(ground, land)
        at = result.azimuth[row, col]
        assert both[at] == pytest.approx(np.nanmin(both), abs=0.01)
        assert result.used[row, col] == pytest.approx(max(both[at], base), abs=0.01)
        decided_by_land += land[at] > ground[at]
    assert decided_by_land > 3


def planned(search, row, col) -> tuple[np.ndarray, np.ndarray, float]:
    """The plan's utilisation of every azimuth by ground and lift, by the land (NaN where that fails), and by the land of the base."""
    ground, _, _, _ = plan(search, row, col)
    lat, lon = place_of(search.patches.frame, search.context.grid, row, col)
    site = replace(search.context.job.site, base=BasePoint(lat, lon, "a cell"))
    frame = frame_at(lat, lon, 1400.0, None, "test")
    land, anchors_deg = read_land(site, frame), anchor_azimuths_deg(site.mast, np.array(search.context.azimuths_deg))
    judged = judge_rules(site.rules.sets, land.rules, site.mast, frame, anchors_deg)
    columns = [*columns_by_azimuth(land, site, frame, anchors_deg), *judged.columns_by_azimuth]
    used = np.max([c.utilisation for c in columns], axis=0)
    fails = np.any([c.verdicts == 2 for c in columns], axis=0)
    of_base = max(float(c.utilisation[0]) for c in (*columns_of_base(land, site, frame), *judged.columns_of_base))
    return ground, np.where(fails, np.nan, used), of_base
