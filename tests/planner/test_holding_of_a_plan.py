"""The hold in the ground as a plan has it: ground at each anchor, soils by site and anchor, checks, holes, round trip."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from strategies import LAT, LON, as_json, plan_of, ready_folder
from synthetic import plane

from siting.errors import InputError
from siting.inputs.plan_file import read_plan
from siting.inputs.site_file import read_site
from siting.planner import make_plan
from siting.planning.anchor_ground import grounds_at
from siting.records.holding import BREAKING, LIFT, MAKER, SCREENING
from siting.writers.plan_json import plan_json

DEMO = Path(__file__).parents[2] / "sample_dem" / "site.toml"
CLAY = {"plain_words": "stiff clay", "water_depth_m": 8.0, "frost_depth_m": 0.6}
STRANDS = {"guys": tuple((m, anchors, use) for m, anchors, use in ((58.0, ("A1", "B1", "C1"), "permanent"), (58.0, ("S1", "S2"), "temporary")))}


@pytest.fixture(scope="module")
def demo():
    return make_plan(read_site(DEMO))


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return ready_folder(tmp_path_factory.mktemp("slope"), plane(8.0, 0.0))


# --- the ground at an anchor --------------------------------------------------------------------------------------


class Plane:
    """A plane that falls to the east and is cut off north of a line; asked in metres east and north."""

    def heights_m(self, x, y):
        return np.where(y > 60.0, np.nan, 400.0 - 0.1 * x + 0.05 * y)


def test_the_ground_along_the_guy_and_around_it_is_the_plane():
    found = grounds_at(Plane(), {"E": (50.0, 90.0), "S": (40.0, 180.0)}, {"E": 11.0, "S": None})
    east = found["E"]
    assert east.rise_m == pytest.approx([-0.1 * s for s in east.s_m])
    assert (east.s_m[0], east.s_m[-1]) == (-12.0, 24.0)
    assert east.across_percent == pytest.approx(-5.0)  # seen outward, east: south lies to the right and falls
    assert east.slope_percent == 11.0
    steepest = math.hypot(0.1, 0.05)
    assert east.lowest_rise_m == pytest.approx([-steepest * r for r in east.radii_m], rel=4e-3)
    assert found["S"].slope_percent == pytest.approx(100.0 * steepest)


def test_beyond_the_dem_nothing_is_known():
    cut = grounds_at(Plane(), {"N": (50.0, 0.0)}, {"N": None})["N"]
    assert cut.s_m[-1] == 10.0 and cut.s_m[0] == -12.0
    assert cut.radii_m[-1] == 10.0 and len(cut.lowest_rise_m) == len(cut.radii_m)


# --- soils and loads ----------------------------------------------------------------------------------------------


def test_without_soil_nothing_is_checked_and_the_weakest_ground_is_shown(folder):
    plan = plan_of(folder, mast={"use": "lattice-60"})
    assert {u.id for u in plan.unchecked_detail} >= {"anchor_holding", "base_push", "base_uplift"}
    assert not [c for c in plan.checks if c.kind in ("anchor_holding", "base_push", "base_uplift")]
    assert {c.soil.basis for c in plan.holding.anchors} == {"nothing known"}
    assert plan.dig.locate.words_on_it[0] == "This notice does not say that the ground is free of buried lines."


def test_each_anchor_has_its_own_ground_where_the_site_says_so(tmp_path):
    where = ready_folder(tmp_path, plane(8.0, 0.0))
    (where / "site.toml").write_text(
        f'name = "x"\ndate = 2027-05-10\n[base]\nlat = {LAT}\nlon = {LON}\n[dem]\npath = "dem.tif"\n[mast]\nuse = "lattice-60"\n'
        '[soil]\nplain_words = "stiff clay"\nfrost_depth_m = 0.6\n[[soil.anchors]]\nid = "B2"\nrock = "granite"\n'
    )
    plan = make_plan(read_site(where / "site.toml"))
    kinds = {c.anchor: c.soil.kind for c in plan.holding.anchors}
    assert kinds.pop("B2") == "rock" and set(kinds.values()) == {"cohesive"}
    assert next(c for c in plan.holding.anchors if c.anchor == "B2").soil.frost_depth_m == 0.6


def test_words_that_are_not_known_stop_the_plan(folder):
    with pytest.raises(InputError, match="is no word that siting knows of the ground"):
        plan_of(folder, mast={"use": "lattice-60"}, soil={"plain_words": "blorb"})


def test_loads_by_what_is_known(folder, demo):
    basis = {c.anchor: c.load.basis for c in demo.holding.anchors}
    assert {basis[a] for a in ("A1", "A2", "B1", "B2", "C1", "C2")} == {SCREENING}
    assert basis["WINCH"] == basis["BACK"] == LIFT
    plain = plan_of(folder, mast={"use": "lattice-60"}, soil=CLAY)
    assert {c.load.basis for c in plain.holding.anchors if c.anchor[0] in "ABC" and c.anchor != "BACK"} == {BREAKING}
    site = read_site(DEMO)
    anchors = tuple(replace(a, design_load_kn=20.0) if a.id == "A2" else a for a in site.mast.anchors)
    made = make_plan(replace(site, mast=replace(site.mast, anchors=anchors)))
    load = next(c.load for c in made.holding.anchors if c.anchor == "A2")
    assert load.basis == MAKER and load.load_kn == pytest.approx(20.0)


# --- what the plan says -------------------------------------------------------------------------------------------


def test_the_checks_are_the_pull_over_what_is_allowed(demo):
    for choice in demo.holding.anchors:
        check = next(c for c in demo.holding.checks if c.id == f"anchor_holding:{choice.anchor}")
        assert check.value == pytest.approx(choice.load.load_kn / choice.chosen.allowable_kn, abs=2e-3)
        assert choice.chosen.allowable_kn == pytest.approx(choice.chosen.ultimate_kn / choice.chosen.safety_factor, rel=1e-3)
    shown = [c for c in demo.checks if c.kind == "anchor_holding"]
    assert len(shown) == 1 and shown[0].utilisation == max(c.utilisation for c in demo.holding.checks if c.kind == "anchor_holding")


def test_an_anchor_that_nothing_holds_fails_the_plan():
    site = read_site(DEMO)
    anchors = tuple(replace(a, design_load_kn=900.0) if a.id == "A2" else a for a in site.mast.anchors)
    plan = make_plan(replace(site, mast=replace(site.mast, anchors=anchors)))
    check = next(c for c in plan.checks if c.id == "anchor_holding:A2")
    assert check.verdict == plan.verdict == "fail" and check.utilisation > 1.0
    assert any("A2" in text and "no kind of anchor holds" in text for text in plan.dig.cautions)


def test_a_strength_out_of_a_table_passes_only_with_room(folder):
    plan = plan_of(folder, mast={"use": "lattice-60"}, soil=CLAY)
    for check in plan.holding.checks:
        room = check.value + check.uncertainty
        assert check.uncertainty == pytest.approx(0.3 * check.value, abs=1e-3)
        assert check.verdict == ("fail" if check.value > 1 else "marginal" if room > 1 else "pass")


def test_the_base_is_held_back_by_a_plate_where_its_pins_do_not(demo):
    base = demo.holding.base
    assert base.needs_tie and base.pins.allowable_kn < base.push_kn and base.buried.allowable_kn >= base.tie_kn
    pit = next(h for h in demo.dig.holes if h.id == "BASE pit")
    assert pit.azimuth_deg == pytest.approx(demo.laydown.azimuth_deg)
    assert any(m.item == "anchor plate" and "BASE" in m.used_at for m in demo.dig.materials)


def test_every_anchor_has_its_hole_and_lies_in_the_notice(demo):
    import shapely

    areas = shapely.union_all([shapely.Polygon(ring) for ring in demo.dig.locate.rings])
    assert {h.anchor for h in demo.dig.holes} == {s.id for s in demo.stakes if s.role in ("permanent", "temporary", "winch", "base")}
    assert all(areas.contains(shapely.Point(h.lon, h.lat)) for h in demo.dig.holes)


def test_the_plan_is_read_back_as_it_was(demo, tmp_path):
    path = tmp_path / "plan.json"
    path.write_bytes(plan_json(demo))
    again = read_plan(path, "plan.json")
    assert again.holding == demo.holding and again.dig == demo.dig
    assert as_json(demo)["holding"]["anchors"][0]["ground"]["s_m"][0] == -12.0
