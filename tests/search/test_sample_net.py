"""The net of cells that a search looks at rule by rule: as many as make a share good, whatever part of the DEM the land leaves."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from rule_lands import rule, rules
from search.search_jobs import job, whole
from search.test_land_cells import E0, N0, job_on, net, write_layer

from siting.records.rules import RuleInputs
from siting.records.search import FATES, RULES, Tile
from siting.search.opening import frame_of, land_of, open_search
from siting.search.sample_net import MOST_SAMPLED, cells_left, steps_for
from siting.search.shares import shares_of

LEFT = FATES.index("no azimuth")


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    made = tmp_path_factory.mktemp("land")
    write_layer(made / "parcels.gpkg", net(), {"pin": [f"p{i}" for i in range(60)]})
    write_layer(made / "area.gpkg", [shapely.box(E0 - 130, N0 - 60, E0 + 20, N0 + 45)], {"name": ["area"]})
    return made


def on(folder, own, total_m=20.0, area=False, **keys):
    made = job_on(folder, own, obstacles=False, total_m=total_m, **keys)
    options = replace(made.options, azimuth_step_deg=45.0)
    return replace(made, options=replace(options, area=folder / "area.gpkg", area_shown="area.gpkg") if area else options)


def limited(made, most_m):
    """The same where a set of rules forbids the mast's height everywhere."""
    return replace(made, site=replace(made.site, rules=RuleInputs((rules(height_most_m=most_m),), ())))


CASES = {
    "nothing": lambda folder: replace(job(), options=replace(job().options, azimuth_step_deg=45.0)),
    "the demo": lambda folder: replace(job(land=True), options=replace(job().options, azimuth_step_deg=45.0)),
    "most parcels": lambda folder: on(folder, [f"p{i}" for i in range(60) if i % 7]),
    "each parcel its own": lambda folder: on(folder, ()),
    "one parcel": lambda folder: on(folder, ["p24"], 30.0),
    "two that lie apart": lambda folder: on(folder, ["p12", "p47"], 36.0),
    "an area": lambda folder: on(folder, [f"p{i}" for i in range(60)], area=True),
    "a rule of the base": lambda folder: on(folder, ["p24"], sets=[rules(rule("property_line", least_m=35.0))]),
    "too high everywhere": lambda folder: limited(on(folder, ["p24"]), 10.0),
}


@pytest.mark.parametrize("name", CASES)
def test_as_many_cells_as_make_a_share_good_and_all_where_there_are_fewer(folder, name):
    made = CASES[name](folder)
    context, result = whole(made, 4096)
    left = int((result.fate >= LEFT).sum())
    assert cells_left(land_of(context), made, frame_of(context), context.grid) == pytest.approx(left, rel=0.05, abs=30)
    if left <= 0.95 * MOST_SAMPLED:
        assert context.sample_steps == (1, 1)
        assert np.array_equal(result.sample[:, :2], np.argwhere(result.fate >= LEFT))
    else:
        assert 0.45 * MOST_SAMPLED < result.sample.shape[0] < 1.05 * MOST_SAMPLED
    assert (left == 0) == (name == "too high everywhere")


def test_the_cases_are_of_both_kinds(folder):
    steps = {name: open_search(case(folder), "test").sample_steps for name, case in CASES.items()}
    assert {name for name, step in steps.items() if step == (1, 1)} == {"one parcel", "two that lie apart", "a rule of the base", "too high everywhere"}


def test_the_net_holds_what_it_says():
    for cells in (*range(1, 60_000, 7), *np.geomspace(6e4, 1e10, 4000)):
        down, along = steps_for(cells)
        if cells <= MOST_SAMPLED:
            assert (down, along) == (1, 1)
        else:
            assert MOST_SAMPLED / 2 <= cells / (down * along) <= MOST_SAMPLED
            assert down <= along <= 3 * down


def test_where_all_cells_are_looked_at_the_shares_are_those_of_the_map(folder):
    context, result = whole(on(folder, ["p24"], 30.0), 4096)
    shares = shares_of((Tile("t", 0, 0, context.grid.rows, context.grid.cols),), lambda tile: result, context.grid)
    cells = dict(shares.cells)
    assert shares.sample_count == cells["no azimuth"] + cells["passes"] > 300
    lost = sum(share for _, share in shares.lost)
    assert lost * shares.sample_count == pytest.approx(cells["no azimuth"], abs=1e-6)
    assert len(shares.lost) == len(RULES)


def test_own_parcels_beside_the_dem_leave_nothing_to_look_at(folder, tmp_path):
    parcels = [shapely.box(E0 - 50, N0 - 50, E0 + 50, N0 + 50), shapely.box(E0 + 3000, N0, E0 + 3100, N0 + 100)]
    write_layer(tmp_path / "parcels.gpkg", parcels, {"pin": ["here", "elsewhere"]})
    context, result = whole(on(tmp_path, ["elsewhere"]), 4096)
    assert context.sample_steps == (1, 1) and result.sample.shape[0] == 0
