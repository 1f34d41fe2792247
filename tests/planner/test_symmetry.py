"""Turn the ground and the plan turns; move it and the plan moves; tilt a plane and the mast lies straight up it."""

from __future__ import annotations

import math

import numpy as np
import pyproj
import pytest
import rasterio
from hypothesis import Phase, example, given, settings
from hypothesis import strategies as st
from rasterio.windows import Window
from strategies import (
    LAT,
    LON,
    as_json,
    cell_offsets,
    local_crs,
    plan_of,
    ready_folder,
    rough_heights,
    seeds,
    small_mast,
    turned_affine,
    whole_degrees,
    write_grid,
)
from synthetic import plane, rough_ground

# A cell of 1.9 m: half of it goes 63.2 times into the mast, so that no hair of scale changes the number of samples.
CELLS, CELL_M = 107, 1.9
MILLIMETRE = 0.001
FEW = (Phase.explicit, Phase.generate)  # every example is a whole plan: none is spent on making a failure smaller
# Numbers of a candidate that a turn of the ground does not change, and how far rounding may move them.
SAME_WHEN_TURNED = {
    "slope_percent": 3e-4, "rest_slope_percent": 3e-4, "worst_utilisation": 2e-4, "max_gap_m": 2e-4,
    "max_anchor_slope_percent": 3e-4, "max_side_travel_m": 2e-4, "winch_arm_min_ratio": 2e-4, "cross_fall_percent": 3e-4,
}  # fmt: skip


def turned_plan(folder, seed: int, turn_deg: float, **tables) -> dict:
    """The plan of one array of rough heights, laid down about the base turned by an angle."""
    folder.mkdir(exist_ok=True)
    write_grid(
        folder / "dem.tif", rough_heights(seed, CELLS, CELL_M), local_crs(LAT, LON), turned_affine(CELLS, CELL_M, turn_deg)
    )
    small_mast(folder / "mast.toml")
    return as_json(plan_of(folder, **tables))


def turn_between(a: float, b: float) -> float:
    return (b - a + 180.0) % 360.0 - 180.0


@settings(max_examples=8, phases=FEW)
@given(seeds, whole_degrees)
@example(7, 90.0)
def test_turning_the_site_turns_the_plan(tmp_path_factory, seed, turn_deg):
    folder = tmp_path_factory.mktemp("turn")
    first, second = turned_plan(folder / "a", seed, 0.0), turned_plan(folder / "b", seed, turn_deg)
    by_azimuth = {c["azimuth_deg"]: c for c in second["laydown"]["candidates"]}
    assert len(by_azimuth) == 360
    for before in first["laydown"]["candidates"]:
        after = by_azimuth[(before["azimuth_deg"] + turn_deg) % 360.0]
        for key, slack in SAME_WHEN_TURNED.items():
            assert after[key] == pytest.approx(before[key], abs=slack), (key, before["azimuth_deg"])
        assert after["verdict"] == before["verdict"] or abs(before["worst_utilisation"] - 1.0) < 2e-4
    chosen = (first["laydown"]["azimuth_deg"] + turn_deg) % 360.0
    assert second["laydown"]["azimuth_deg"] == chosen
    stakes = {s["id"]: s for s in second["stakes"]}
    for stake in first["stakes"]:
        if stake["role"] == "base":
            continue
        after = stakes[stake["id"]]
        assert abs(turn_between(stake["azimuth_deg"] + turn_deg, after["azimuth_deg"])) < 1e-6
        assert after["radius_m"] == pytest.approx(stake["radius_m"], abs=MILLIMETRE)
        assert after["height_m"] == pytest.approx(stake["height_m"], abs=MILLIMETRE)
        assert after["slope_percent"] == pytest.approx(stake["slope_percent"], abs=3e-4)


@settings(max_examples=6, phases=FEW)
@given(seeds, st.sampled_from([-179.9995, -120.0, 0.0, 30.25, 179.9995]))
def test_moving_the_site_around_the_earth_moves_the_plan(tmp_path_factory, seed, lon):
    """Every meridian is like every other: the same heights on another longitude give the same plan, number for number."""
    folder = tmp_path_factory.mktemp("move")
    plans = []
    for name, at in (("a", LON), ("b", lon)):
        place = folder / name
        place.mkdir()
        write_grid(place / "dem.tif", rough_heights(seed, CELLS, CELL_M), local_crs(LAT, at), turned_affine(CELLS, CELL_M, 20.0))
        small_mast(place / "mast.toml")
        plans.append(as_json(plan_of(place, base={"lat": LAT, "lon": at})))
    first, second = plans
    assert len(first["stakes"]) == len(second["stakes"])
    for before, after in zip(first["laydown"]["candidates"], second["laydown"]["candidates"], strict=True):
        for key, slack in SAME_WHEN_TURNED.items():
            assert after[key] == pytest.approx(before[key], abs=slack), (key, before["azimuth_deg"])
    for before, after in zip(first["stakes"], second["stakes"], strict=True):
        assert after["lat"] == pytest.approx(before["lat"], abs=2e-9)
        assert turn_between(before["lon"] - LON, after["lon"] - lon) == pytest.approx(0.0, abs=2e-9)
        assert -180.0 <= after["lon"] <= 180.0
    assert first["guys"] == second["guys"] or all(
        a["chord_m"] == pytest.approx(b["chord_m"], abs=MILLIMETRE) for a, b in zip(first["guys"], second["guys"], strict=True)
    )
    assert first["lift"]["winch_pull_kn"] == pytest.approx(second["lift"]["winch_pull_kn"], abs=2e-3)


@settings(max_examples=8, phases=FEW)
@given(seeds, st.floats(-400.0, 400.0), st.floats(-400.0, 400.0), st.floats(-100.0, 100.0))
def test_translating_the_site_translates_the_plan(tmp_path_factory, seed, east_m, north_m, up_m):
    """A shift on the map of up to 400 m and in height of 100 m: the same stakes about the base, all shifted."""
    folder = tmp_path_factory.mktemp("shift")
    # On the middle meridian of UTM zone 32: a shift turns north by no more than 0.004 degrees, 4 mm at the head.
    crs, x0, y0 = pyproj.CRS("EPSG:32632"), 500_000.0, 5_149_200.0
    plans = []
    for name, x, y, z in (("a", x0, y0, 0.0), ("b", x0 + east_m, y0 + north_m, up_m)):
        place = folder / name
        place.mkdir()
        write_grid(place / "dem.tif", rough_heights(seed, CELLS, CELL_M) + z, crs, turned_affine(CELLS, CELL_M, 0.0, x, y))
        small_mast(place / "mast.toml")
        base = {"lat": None, "lon": None, "easting": x, "northing": y, "crs": "EPSG:32632"}
        plans.append(as_json(plan_of(place, base=base)))
    first, second = plans
    assert second["laydown"]["azimuth_deg"] == first["laydown"]["azimuth_deg"]
    for before, after in zip(first["stakes"], second["stakes"], strict=True):
        for axis, shift in (("easting", east_m), ("northing", north_m)):
            moved = after[axis] - before[axis]
            assert moved == pytest.approx(shift, abs=0.008)
        assert after["height_m"] - before["height_m"] == pytest.approx(up_m, abs=0.01)
        assert after["above_base_m"] == pytest.approx(before["above_base_m"], abs=0.01)
        assert after["radius_m"] == pytest.approx(before["radius_m"], abs=0.01)


@settings(max_examples=12, phases=FEW)
@given(
    st.floats(0.6, 6.0), whole_degrees, cell_offsets, st.sampled_from(["utm", "lonlat", "mercator", "albers"]),
    st.sampled_from(["north_up", "south_up", "rotated"]),
)  # fmt: skip
@example(6.0, 270.0, (0.5, 0.5), "lonlat", "rotated")
@example(0.6, 359.0, (0.02, 0.98), "mercator", "north_up")
def test_a_tilted_plane_lays_the_mast_exactly_up_its_gradient(tmp_path_factory, slope, uphill, offset, crs, affine):
    folder = ready_folder(tmp_path_factory.mktemp("plane"), plane(slope, uphill), crs=crs, affine=affine, offset=offset)
    plan = as_json(plan_of(folder))
    lay = plan["laydown"]
    assert lay["azimuth_deg"] == uphill
    assert lay["slope_percent"] == pytest.approx(slope, abs=0.002)
    assert lay["verdict"] == "pass"
    assert lay["cross_fall_percent"] == pytest.approx(0.0, abs=0.01)
    # The hinge stands 0.3 m above the ground, so the mast lies 0.3 / 60 flatter than it.
    assert lay["rest_slope_percent"] == pytest.approx(slope - 0.5, abs=0.002)
    assert abs(turn_between(plan["base"]["uphill_deg"], uphill)) < 0.05
    for stake in plan["stakes"]:
        rise = slope / 100.0 * stake["radius_m"] * math.cos(math.radians(stake["azimuth_deg"] - uphill))
        assert stake["above_base_m"] == pytest.approx(rise, abs=0.003)
        assert stake["slope_percent"] == pytest.approx(slope, abs=0.003)


@pytest.mark.parametrize("slope", [6.0, 8.0, 10.0, 12.0, 14.5])
def test_a_steep_plane_too_where_the_side_guys_decide(tmp_path, slope):
    """Straight up the gradient the side anchors are level, so where their travel is the tightest check nothing else wins."""
    folder = ready_folder(tmp_path, plane(slope, 217.0), affine="rotated")
    lay = plan_of(folder, limits={"side_guy_travel_max_m": 0.3}).laydown
    assert lay.azimuth_deg == 217.0
    (chosen,) = [c for c in lay.candidates if c.azimuth_deg == 217.0]
    assert chosen.worst_check.startswith("side_guy_travel:")


@pytest.mark.parametrize("mast", ["lattice-60", "lattice-80", "lattice-100"])
@pytest.mark.parametrize("slope", [8.0, 11.0, 14.0])
def test_on_a_steep_plane_a_turn_off_the_gradient_is_small_and_brings_margin(tmp_path, mast, slope):
    """docs/decisions/0004: where the rest line's slope is the tightest check, a few degrees off straight uphill lower it."""
    lay = plan_of(ready_folder(tmp_path, plane(slope, 40.0), half_width_m=130.0), mast={"use": mast}).laydown
    by_azimuth = {c.azimuth_deg: c for c in lay.candidates}
    uphill, chosen = by_azimuth[40.0], by_azimuth[lay.azimuth_deg]
    assert abs(turn_between(lay.azimuth_deg, 40.0)) <= 7.0
    assert round(chosen.worst_utilisation, 3) <= round(uphill.worst_utilisation, 3)
    assert lay.azimuth_deg == 40.0 or uphill.worst_check == "rest_slope"
    assert chosen.verdict == uphill.verdict == "pass"


@pytest.mark.parametrize(("uphill", "chosen"), [(40.2, 40.0), (40.8, 41.0), (359.7, 0.0), (0.4, 0.0)])
def test_between_two_whole_degrees_the_nearer_is_laid(tmp_path, uphill, chosen):
    assert plan_of(ready_folder(tmp_path, plane(5.0, uphill))).laydown.azimuth_deg == chosen


@settings(max_examples=10, phases=FEW)
@given(seeds, st.floats(0.0, 9.0), whole_degrees, st.floats(0.2, 1.5))
def test_downhill_never_wins_where_an_uphill_passes(tmp_path_factory, seed, slope, uphill, amplitude_m):
    ground = rough_ground(seed, amplitude_m=amplitude_m, slope_percent=slope, uphill_deg=uphill, longest_m=90.0)
    lay = as_json(plan_of(ready_folder(tmp_path_factory.mktemp("down"), ground)))["laydown"]
    inside = [c for c in lay["candidates"] if -0.5 <= c["slope_percent"] <= 15.0]
    (chosen,) = [c for c in lay["candidates"] if c["azimuth_deg"] == lay["azimuth_deg"]]
    if inside:
        assert chosen in inside
    order = {"pass": 0, "marginal": 1, "fail": 2}
    assert order[chosen["verdict"]] == min(order[c["verdict"]] for c in inside or lay["candidates"])
    level = [c for c in inside or lay["candidates"] if c["verdict"] == chosen["verdict"]]
    assert round(chosen["worst_utilisation"], 3) <= min(round(c["worst_utilisation"], 3) for c in level) + 0.001
    downhill = [c for c in lay["candidates"] if c["slope_percent"] < -0.5]
    assert all(c["verdict"] == "fail" for c in downhill)


@settings(max_examples=6, phases=FEW)
@given(seeds, st.sampled_from(["ft", "us-ft"]), st.booleans())
def test_a_dem_in_feet_gives_the_plan_of_a_dem_in_metres(tmp_path_factory, seed, unit, is_tagged):
    folder = tmp_path_factory.mktemp("feet")
    ground = rough_ground(seed, slope_percent=6.0, uphill_deg=200.0)
    metres = as_json(plan_of(ready_folder(folder / "m", ground)))
    made = ready_folder(folder / "ft", ground, unit=unit, tag_unit=is_tagged)
    feet = as_json(plan_of(made, dem={} if is_tagged else {"vertical_unit": unit}))
    assert feet["laydown"]["azimuth_deg"] == metres["laydown"]["azimuth_deg"]
    for name in ("stakes", "guys"):
        for a, b in zip(metres[name], feet[name], strict=True):
            for key in ("height_m", "above_base_m", "easting", "northing", "chord_m", "slope_percent"):
                if key in a:
                    assert b[key] == pytest.approx(a[key], abs=0.0011), key
    for a, b in zip(metres["laydown"]["candidates"], feet["laydown"]["candidates"], strict=True):
        assert b["worst_utilisation"] == pytest.approx(a["worst_utilisation"], abs=2e-4)
    assert ("foot" if unit == "us-ft" else "feet") in feet["terrain"]["unit"] or "feet" in feet["terrain"]["unit"]


@settings(max_examples=5, phases=FEW)
@given(seeds, st.floats(0.0, 360.0, exclude_max=True))
def test_a_stakes_slope_never_depends_on_the_window_that_was_read(tmp_path_factory, seed, azimuth):
    """A larger setback, a longer mast, a DEM cut close: the window differs, the stakes they share do not."""
    folder = tmp_path_factory.mktemp("window")
    ground = rough_ground(seed, slope_percent=4.0)
    laydown = {"azimuth_deg": azimuth}
    near = ready_folder(folder / "near", ground, half_width_m=250.0)
    plain = {s["id"]: s for s in as_json(plan_of(near, laydown=laydown))["stakes"]}
    wide = {s["id"]: s for s in as_json(plan_of(near, laydown=laydown, land={"setback_factor": 2.3}))["stakes"]}
    small_mast(near / "mast.toml", height_m=95.0)
    long = {s["id"]: s for s in as_json(plan_of(near, laydown=laydown))["stakes"]}
    with rasterio.open(near / "dem.tif") as dem:
        cut = Window(60, 70, 140, 125)
        heights, place = dem.read(1, window=cut), dem.window_transform(cut)
        crs = dem.crs
    write_grid(near / "dem.tif", heights, crs, place)
    small_mast(near / "mast.toml")
    clipped = {s["id"]: s for s in as_json(plan_of(near, laydown=laydown))["stakes"]}
    for name, stake in plain.items():
        for other in (wide, clipped, *([long] if stake["role"] != "head" else [])):
            for key in ("slope_percent", "height_m", "lat", "lon"):
                assert other[name][key] == stake[key], (name, key)
    assert np.isfinite([s["slope_percent"] for s in plain.values()]).all()
