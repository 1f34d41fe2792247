"""Lift and base of a search's cells against whole plans at the same place and azimuth, and the same bytes in any tiles."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import numpy as np
import pytest
from search.search_jobs import hills, job, same_bytes, whole, write_dem

from siting.planner import make_plan
from siting.records.mast import Mast
from siting.records.rigging import WinchGear
from siting.records.search import FATES, IN_THE_LIFT, SearchJob, fails_in_lift
from siting.records.site import GroundInputs
from siting.search.finalists import place_of, site_at
from siting.search.opening import frame_of
from siting.search.screened import IN_LIFT
from siting.verdict import FAIL

NEAR = 0.004  # a check so near to its limit, relative, may turn by what a search's tables lie beside the plan's own
EACH = 9


@pytest.fixture(scope="module")
def dems(tmp_path_factory):
    folder = tmp_path_factory.mktemp("lift")
    heights = hills((330, 340), 0.10, 21, forms=1.15)
    holed = heights.copy()
    holed[::41, ::37] = np.nan
    return {
        "hills": write_dem(folder / "hills.tif", heights),
        "hills with holes": write_dem(folder / "holes.tif", holed),
        "coarse": write_dem(folder / "coarse.tif", hills((90, 90), 0.09, 5, 5.0, 1.2), 5.0),
    }


def with_mast(asked: SearchJob, **rigging) -> SearchJob:
    mast: Mast = asked.site.mast
    return replace(asked, site=replace(asked.site, mast=replace(mast, rigging=replace(mast.rigging, **rigging))))


CASES = {
    "hills": lambda dem: job(dem),
    "hills with holes": lambda dem: with_mast(job(dem), winch=WinchGear(limit_kn=44.0), moment_limit_knm=2.237),
    "coarse": lambda dem: job(dem),
}


@pytest.mark.parametrize("name", CASES)
def test_a_plan_in_the_cells_azimuth_decides_alike(dems, name):
    """Cells of every fate of lift and base, and cells that pass: whole plans, held to the azimuth that the search found best."""
    asked = CASES[name](dems[name])
    context, result = whole(asked, 120)
    frame, dice = frame_of(context), np.random.default_rng(8)
    met, turned = Counter(), 0
    for fate in (FATES.index("passes"), *(FATES.index(kind) for kind in IN_THE_LIFT)):
        cells = np.argwhere(result.fate == fate)
        for row, col in cells[dice.permutation(len(cells))[:EACH]]:
            lat, lon = place_of(frame, context.grid, int(row), int(col))
            site = replace(site_at(asked, lat, lon, "cell"), azimuth_deg=context.azimuths_deg[result.azimuth[row, col]])
            checks = [c for c in make_plan(site).checks if c.kind in IN_LIFT]
            near = {c.kind for c in checks if abs(c.value - c.limit) <= NEAR * max(abs(c.limit), 1.0)}
            failing = [kind for kind in IN_LIFT if any(c.kind == kind and c.verdict == FAIL for c in checks)]
            planned = FATES.index(IN_LIFT[failing[0]]) if failing else FATES.index("passes")
            if planned != fate:
                turned += 1
                assert near & {kind for kind, words in IN_LIFT.items() if FATES.index(words) in (planned, fate)}, (name, row, col, failing)
            met[FATES[fate]] += 1
    print(name, dict(met), f"{turned} turned near a limit")
    assert sum(met.values()) >= 2 * EACH
    assert turned <= 0.15 * sum(met.values())


def test_the_cases_meet_most_fates(dems):
    seen = set()
    for name, make in CASES.items():
        seen |= set(np.unique(whole(make(dems[name]), 4096)[1].fate).tolist())
    assert {FATES[fate] for fate in seen} >= {"passes", *IN_THE_LIFT[:5]}


def test_tiles_of_any_size_give_the_same_fates(dems):
    _, wanted = whole(job(dems["hills"]), 4096)
    assert fails_in_lift(wanted.fate).sum() > 100
    assert same_bytes(whole(job(dems["hills"]), (61, 200))[1], wanted)


def test_what_nothing_is_known_of_fails_nothing(dems):
    asked = job(dems["hills"])
    bare = replace(asked.site.mast.rigging, winch=WinchGear(), moment_limit_knm=None)
    asked = replace(asked, site=replace(asked.site, soil=GroundInputs(), mast=replace(asked.site.mast, rigging=bare)))
    _, result = whole(asked, 4096)
    failing = {FATES[fate] for fate in np.unique(result.fate[fails_in_lift(result.fate)])}
    assert failing <= {"gin pole over the ground", "winch line over the ground"} and failing
    no_winch = tuple(a for a in asked.site.mast.anchors if a.use != "winch")
    _, result = whole(replace(asked, site=replace(asked.site, mast=replace(asked.site.mast, anchors=no_winch))), 4096)
    assert not fails_in_lift(result.fate).any() and (result.fate == FATES.index("passes")).any()
