"""Level ground, summits, hollows, missing ground, coarse ground: honest words and honest verdicts."""

from __future__ import annotations

import numpy as np
import pytest
from strategies import as_json, plan_of, ready_folder, rough_heights, small_mast
from synthetic import gauss_hill, plane, rough_ground, write_dem

from siting.checks.lift import LABELS


def cone(slope_percent: float):
    """Ground that rises evenly away from the base in every direction (falls, where the slope is negative)."""
    return lambda east_m, north_m: 500.0 + slope_percent / 100.0 * np.hypot(east_m, north_m)


def laydown(folder, surface, **tables) -> tuple[dict, dict]:
    plan = as_json(plan_of(ready_folder(folder, surface), **tables))
    return plan, plan["laydown"]


def test_level_ground_has_no_uphill_and_says_so(tmp_path):
    plan, lay = laydown(tmp_path, plane(0.0, 0.0))
    assert lay["ground"] == "level"
    assert lay["summary"].startswith("The ground is level: no direction is uphill. Lay the mast toward ")
    assert (lay["azimuth_deg"], lay["verdict"], lay["ruled_out"]) == (0.0, "pass", [])
    assert "360 of 360 azimuths meet every check that depends on the direction." in lay["reasons"]
    assert {c["worst_utilisation"] for c in lay["candidates"]} == {lay["worst_utilisation"]}
    assert plan["base"]["slope_percent"] == pytest.approx(0.0, abs=1e-3)


def test_a_base_on_dead_level_cells_has_no_uphill_direction(tmp_path):
    folder = ready_folder(tmp_path, plane(0.0, 0.0), dtype="int16")
    assert as_json(plan_of(folder))["base"]["uphill_deg"] is None


def test_a_summit_has_no_uphill_and_fails(tmp_path):
    plan, lay = laydown(tmp_path, cone(-5.0), limits={"side_guy_travel_max_m": 5.0})
    assert lay["ground"] == "summit"
    assert lay["summary"].startswith(
        "The base stands on a summit: the ground falls away in every direction, so there is no uphill laydown. Of all azimuths "
    )
    assert "falls short by least; the ground falls 5.0 % along it." in lay["summary"]
    assert lay["verdict"] == plan["verdict"] == "fail"
    assert {c["verdict"] for c in lay["candidates"]} == {"fail"}
    assert "0 of 360 azimuths meet every check that depends on the direction." in lay["reasons"]
    (run,) = lay["ruled_out"]
    assert (run["from_deg"], run["to_deg"], run["check"]) == (0.0, 359.0, "laydown_slope")
    assert run["text"] == "the ground falls along it (-5.0 %)"


def test_a_hollow_passes_and_warns_of_water(tmp_path):
    _, lay = laydown(tmp_path, cone(4.0), limits={"side_guy_travel_max_m": 5.0})
    assert lay["ground"] == "hollow" and lay["verdict"] == "pass"
    assert lay["summary"].startswith(
        "The base stands in a hollow: the ground rises in every direction, and water will gather at the base. Lay the mast "
    )


def test_a_slope_too_steep_says_no_good_laydown(tmp_path):
    plan, lay = laydown(tmp_path, plane(22.0, 90.0), laydown={"azimuth_deg": 90.0})
    assert lay["summary"] == "No good laydown here: 90.0° true (E) is judged, and it fails; the ground rises 22.0 % along it."
    assert plan["verdict"] == "fail" and plan["headline"].split(" checks fail")[0][0].isdigit()
    failing = {c["id"] for c in plan["checks"] if c["verdict"] == "fail"}
    assert {"laydown_slope", "rest_slope"} <= failing


def test_a_hill_beside_the_base_is_climbed(tmp_path):
    """The top of the hill stands at azimuth 56.3: that is where the head lies."""
    _, lay = laydown(tmp_path, gauss_hill(12.0, 90.0, 60.0, 60.0))
    assert lay["ground"] == "slope"
    assert lay["azimuth_deg"] == pytest.approx(np.degrees(np.arctan2(90.0, 60.0)), abs=6.0)


def test_the_users_azimuth_is_kept_and_the_better_one_named(tmp_path):
    plan, lay = laydown(tmp_path, plane(6.0, 40.0), laydown={"azimuth_deg": 75.5})
    assert lay["azimuth_deg"] == 75.5 and len(lay["candidates"]) == 361
    assert [c["azimuth_deg"] for c in lay["candidates"]][74:78] == [74.0, 75.0, 75.5, 76.0]
    assert lay["chosen_by"] == "given by the user"
    best = next(c for c in lay["candidates"] if c["azimuth_deg"] == 40.0)
    assert (
        f"The azimuth was given by the user. The sweep would choose 40.0° ({100 * best['worst_utilisation']:.0f} % of what is "
        "allowed, pass)."
    ) in lay["reasons"]
    stakes = {s["id"]: s for s in plan["stakes"]}
    assert stakes["HEAD"]["azimuth_deg"] == 75.5 and stakes["A1"]["azimuth_deg"] == 135.5


def test_a_hole_names_the_anchor_that_has_no_ground(tmp_path):
    ready_folder(tmp_path, plane(6.0, 40.0), hole=(39.0, 9.0, 3.0))  # 40 m out at azimuth 77
    lay = as_json(plan_of(tmp_path))["laydown"]
    dropped = {d["azimuth_deg"]: d["reason"] for d in lay["dropped"]}
    assert dropped[17.0] == "anchor A1 (40 m at 77° true) has no height: dem.tif has no data there"
    assert dropped[257.0] == "anchor B1 (40 m at 77° true) has no height: dem.tif has no data there"
    assert dropped[77.0].startswith("the ground under the lying mast has no height from 3")
    assert 40.0 not in dropped and lay["azimuth_deg"] == 40.0
    assert {c["azimuth_deg"] for c in lay["candidates"]} == {float(a) for a in range(360)} - set(dropped)


def test_the_end_of_the_dem_is_told_from_a_hole(tmp_path):
    ready_folder(tmp_path, plane(6.0, 40.0), half_width_m=62.0)
    lay = as_json(plan_of(tmp_path))["laydown"]
    reasons = {d["azimuth_deg"]: d["reason"] for d in lay["dropped"]}
    assert reasons[0.0] == "anchor K1 (66 m at 0° true) has no height: dem.tif ends there"
    assert 45.0 not in reasons


def test_a_slope_that_is_missing_beside_a_hole_drops_the_azimuth_too(tmp_path):
    """One cell away from a hole an anchor has a height but no slope: its check cannot be made, so it is no candidate."""
    ready_folder(tmp_path, plane(6.0, 40.0), hole=(39.0, 9.0, 3.0))
    dropped = [d["reason"] for d in as_json(plan_of(tmp_path))["laydown"]["dropped"]]
    assert any(" has no slope: dem.tif has no data there" in reason for reason in dropped)


def test_a_coarse_dem_is_unchecked_detail_and_warned_of(tmp_path):
    folder = ready_folder(tmp_path, rough_ground(4, slope_percent=5.0), cell_m=30.0, half_width_m=200.0)
    plan = as_json(plan_of(folder))
    text = (
        "The DEM is too coarse for this mast: a cell is 30 m and the nearest anchor stands 36 m from the base, so slopes and "
        "heights at the anchors are smoothed over ground that nobody has measured"
    )
    assert "terrain_detail" in plan["unchecked"]
    assert {u["id"]: u["missing"] for u in plan["unchecked_detail"]}["terrain_detail"] == text
    assert f"{text}. A smooth fit on such cells is not knowledge of the ground." in plan["warnings"]
    fine = as_json(plan_of(ready_folder(tmp_path / "fine", rough_ground(4, slope_percent=5.0), cell_m=5.0)))
    assert "terrain_detail" not in fine["unchecked"]


def test_a_mast_without_side_guys_and_winch_leaves_them_unchecked(tmp_path):
    folder = ready_folder(tmp_path, plane(6.0, 40.0))
    anchors = (("A1", "permanent", 60.0, 40.0), ("B1", "permanent", 180.0, 40.0), ("C1", "permanent", 300.0, 40.0))
    small_mast(folder / "mast.toml", anchors=anchors, guys=((58.0, ("A1", "B1", "C1"), "permanent"),))
    plan = as_json(plan_of(folder))
    assert {"side_guy_travel", "winch_arm"} <= set(plan["unchecked"])
    assert [c for c in plan["checks"] if c["kind"] in ("side_guy_travel", "winch_arm")] == []
    assert set(plan["lift"]["winch_pull_kn"]) == {None}
    assert plan["lift"]["side_guys"] == []


def test_the_verdict_is_the_worst_of_the_checks_and_unchecked_never_counts(tmp_path):
    plan, lay = laydown(tmp_path, plane(6.0, 40.0))
    assert plan["verdict"] == "pass" and len(plan["unchecked"]) == 14
    assert plan["unchecked"][-8:-3] == ["winch_use", "mast_bending", "anchor_holding", "base_push", "base_uplift"]
    assert plan["unchecked"][-3:] == ["air_runways", "air_heliports", "air_elevation"]
    assert plan["headline"] == f"All {len(plan['checks'])} checks that could be made pass; 14 could NOT be checked."
    worst = max((c for c in plan["checks"] if c["kind"] not in ("laydown_slope", *LABELS)), key=lambda c: c["utilisation"])
    assert lay["worst_utilisation"] == worst["utilisation"]
    assert [c["utilisation"] for c in plan["checks"]] == sorted((c["utilisation"] for c in plan["checks"]), reverse=True)


def test_heights_in_feet_that_nobody_stated_are_warned_of(tmp_path):
    """A DEM on a map in feet whose heights have no unit: taken as metres, and loudly said so."""
    lat, lon = 39.2, -105.5
    write_dem(tmp_path / "dem.tif", plane(6.0, 40.0), lat, lon, crs="EPSG:2232", half_width_m=110.0, cell_m=2.0, tag_unit=False)
    small_mast(tmp_path / "mast.toml")
    plan = as_json(plan_of(tmp_path, base={"lat": lat, "lon": lon}))
    (warning,) = [w for w in plan["warnings"] if "unit" in w]
    assert warning == (
        "dem.tif does not state the unit of its heights: taken as metres, though its map unit is a foot. "
        'Write [dem] vertical_unit = "m", "ft" or "us-ft".'
    )


def test_rough_heights_are_rough():
    """The ground of the symmetry tests is worth testing on."""
    z = rough_heights(1, 101, 2.0)
    assert 0.5 < np.std(z - z.mean(axis=0)) < 5.0
