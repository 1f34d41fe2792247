"""The whole plan against the slow twin of tests/naive: same ground, two programs, on rough ground in many systems.

The twin was written from the contract's words alone. It walks some of the azimuths only, and all of them once.
"""

from __future__ import annotations

import pytest
import twin
from strategies import EARTH, SMALL_ANCHORS, SMALL_GUYS, as_json, plan_of, small_mast
from synthetic import rough_ground, write_dem

from siting.checks.lift import LABELS

MILLIMETRE = 0.001
THOUSANDTH = 1e-3
SPARSE = [*range(0, 360, 15)]
# Anchors also out of the laydown's plane and off the side anchors' right angle, a winch off the axis.
ODD_ANCHORS = (
    ("A1", "permanent", 33.3, 38.0), ("A2", "permanent", 33.3, 22.5), ("B1", "permanent", 150.0, 41.0),
    ("C1", "permanent", -75.5, 36.0), ("S1", "temporary", 101.0, 33.0), ("S2", "temporary", 255.0, 31.0),
    ("K1", "temporary", 4.0, 63.0), ("W1", "winch", 171.0, 52.0),
)  # fmt: skip
ODD_GUYS = (
    (55.0, ("A1", "B1", "C1"), "permanent"), (25.0, ("A2", "B1", "C1"), "permanent"),
    (50.0, ("S1", "S2"), "temporary"), (25.0, ("S1", "S2"), "temporary"), (56.0, ("K1",), "temporary"),
)  # fmt: skip
# name: (latitude, longitude, DEM, mast)
PLACES = {
    "UTM, float32": (46.5, 7.5, {"crs": "utm", "dtype": "float32"}, {}),
    "degrees, south up, feet": (46.5, 7.5, {"crs": "lonlat", "affine": "south_up", "unit": "ft", "dtype": "float64"}, {}),
    "Web Mercator, turned": (60.2, 24.9, {"crs": "mercator", "affine": "rotated", "dtype": "float64"}, {}),
    "Albers, south of the equator": (-33.5, 19.0, {"crs": "albers", "dtype": "float64"}, {"hinge_height_m": 0.0}),
    "state plane in US feet, heights in US feet": (
        39.2, -105.5, {"crs": "state_plane_us_ft", "unit": "us-ft", "affine": "rotated"}, {"gin_pole_length_m": 8.0}
    ),
    "whole metres": (46.5, 7.5, {"crs": "utm", "dtype": "int16", "cell_m": 5.0}, {}),
    "UTM of the neighbour, wide cells": (46.5, 7.5, {"crs": "EPSG:32631", "cell_m": 7.0}, {}),
    "near 180, odd mast": (-17.0, 179.9995, {"crs": "EPSG:32701", "dtype": "float64"}, {"anchors": ODD_ANCHORS, "guys": ODD_GUYS}),
    "Svalbard, polar": (78.2, 15.6, {"crs": "EPSG:3413", "dtype": "float64"}, {"height_m": 57.5, "anchors": ODD_ANCHORS, "guys": ODD_GUYS}),
}  # fmt: skip


def both(folder, name: str, seed: int, azimuth=None, azimuths=SPARSE, slope_percent: float = 6.0):
    """(plan.json, the twin's plan) of one rough ground."""
    lat, lon, dem, mast = PLACES[name]
    ground = rough_ground(seed, amplitude_m=0.7, slope_percent=slope_percent, uphill_deg=(seed * 47.0) % 360.0, longest_m=110.0)
    write_dem(folder / "dem.tif", ground, lat, lon, **({"half_width_m": 115.0, "cell_m": 1.9} | dem))
    small_mast(folder / "mast.toml", **({"anchors": SMALL_ANCHORS, "guys": SMALL_GUYS} | mast))
    tables = {"base": {"lat": lat, "lon": lon}, "crs": {"accept_null_shift": True}}
    if azimuth is not None:
        tables["laydown"] = {"azimuth_deg": azimuth}
    plan = as_json(plan_of(folder, **tables))
    chosen = plan["laydown"]["azimuth_deg"] if azimuth is None else azimuth
    walked = sorted({*azimuths, *((chosen + d) % 360 for d in (-2, -1, 0, 1, 2))}) if azimuth is None else azimuths
    other = twin.twin_plan(
        folder / "dem.tif", lat, lon, folder / "mast.toml", azimuth=azimuth, azimuths=walked,
        angles_deg=plan["lift"]["angles_deg"],
    )  # fmt: skip
    return plan, other


def same_candidates(plan: dict, other: dict) -> None:
    ours = {c["azimuth_deg"]: c for c in plan["laydown"]["candidates"]}
    for theirs in other["laydown"]["candidates"]:
        mine = ours[theirs["azimuth_deg"]]
        for key in ("slope_percent", "rest_slope_percent", "worst_utilisation"):
            assert mine[key] == pytest.approx(theirs[key], abs=THOUSANDTH), (key, theirs["azimuth_deg"])
        assert mine["max_gap_m"] == pytest.approx(theirs["max_gap_m"], abs=MILLIMETRE)
        if abs(theirs["worst_utilisation"] - 1.0) > THOUSANDTH:
            assert mine["verdict"] == theirs["verdict"], theirs["azimuth_deg"]


def same_choice(plan: dict, other: dict) -> None:
    """The twin, on the azimuths that it walked, chooses the same, or ranks the two within a thousandth."""
    mine, theirs = plan["laydown"]["azimuth_deg"], other["laydown"]["ranking"][0]
    if mine != theirs:
        rows = {c["azimuth_deg"]: c for c in other["laydown"]["candidates"]}
        a, b = rows[mine], rows[theirs]
        assert (a["slope_inside"], a["verdict"]) == (b["slope_inside"], b["verdict"])
        assert a["worst_utilisation"] == pytest.approx(b["worst_utilisation"], abs=THOUSANDTH)


def same_stakes(plan: dict, other: dict) -> None:
    ours = {s["id"]: s for s in plan["stakes"]}
    assert len(other["stakes"]) >= 8
    for theirs in other["stakes"]:
        mine = ours["HEAD" if theirs["id"] == "head" else theirs["id"]]
        assert mine["role"] == theirs["role"]
        assert EARTH.Inverse(mine["lat"], mine["lon"], theirs["lat"], theirs["lon"])["s12"] < MILLIMETRE
        for key in ("easting", "northing", "height_m", "above_base_m", "radius_m"):
            assert mine[key] == pytest.approx(theirs[key], abs=1.1 * MILLIMETRE), (theirs["id"], key)
        assert mine["slope_percent"] == pytest.approx(theirs["slope_percent"], abs=THOUSANDTH), theirs["id"]
        assert abs((mine["azimuth_deg"] - theirs["azimuth_deg"] + 180) % 360 - 180) < 1e-6
    for key in ("easting", "northing", "height_m"):
        assert plan["base"][key] == pytest.approx(other["base"][key], abs=1.1 * MILLIMETRE)
    assert plan["crs"]["epsg"] == other["crs"]["epsg"]
    assert plan["crs"]["combined_factor"] == pytest.approx(other["crs"]["combined_factor"], abs=2e-8)


def same_lift(plan: dict, other: dict) -> None:
    assert len(plan["guys"]) == len(other["guys"])
    for mine, theirs in zip(plan["guys"], other["guys"], strict=True):
        assert (mine["anchor"], mine["attach_m"], mine["use"]) == (theirs["anchor"], theirs["attach_m"], theirs["use"])
        assert mine["chord_m"] == pytest.approx(theirs["chord_m"], abs=2 * MILLIMETRE)
    assert len(plan["lift"]["side_guys"]) == len(other["lift"]["side_guys"]) > 0
    for mine, theirs in zip(plan["lift"]["side_guys"], other["lift"]["side_guys"], strict=True):
        assert (mine["anchor"], mine["attach_m"]) == (theirs["anchor"], theirs["attach_m"])
        assert mine["travel_m"] == pytest.approx(theirs["travel_m"], abs=MILLIMETRE)
        assert mine["length_m"] == pytest.approx(theirs["length_m"], abs=MILLIMETRE)
    pulls = zip(plan["lift"]["winch_pull_kn"], other["lift"]["winch_pull_kn"], strict=True)
    for mine, theirs in pulls:
        assert (mine is None) == (theirs is None)
        if mine is not None:
            assert mine == pytest.approx(theirs, rel=2e-3, abs=2e-3)
    assert plan["lift"]["winch_arm_min_ratio"] == pytest.approx(other["lift"]["winch_arm_ratio"], abs=THOUSANDTH)


def same_checks(plan: dict, other: dict) -> None:
    # The twin has the contract's checks; those of the lift proper stand beside them (tests/checks/test_lift_checks.py).
    ours = {c["id"]: c for c in plan["checks"] if c["id"] not in LABELS}
    for theirs in other["checks"]:
        name = theirs["kind"] + (f":{theirs['of']}" if theirs["of"] and theirs["kind"] != "winch_arm" else "")
        if theirs["kind"] == "side_guy_travel":
            anchor, attach = theirs["of"].split()
            name = f"side_guy_travel:{anchor}@{float(attach):g}"
        mine = ours.pop(name)
        assert mine["value"] == pytest.approx(theirs["value"], abs=1.1 * THOUSANDTH), name
        assert mine["limit"] == theirs["limit"]
        assert mine["utilisation"] == pytest.approx(theirs["utilisation"], abs=THOUSANDTH), name
    assert ours == {}


@pytest.mark.parametrize("name", PLACES)
def test_the_plan_is_the_twins(tmp_path, name):
    plan, other = both(tmp_path, name, seed=len(name))
    same_candidates(plan, other)
    same_choice(plan, other)
    if plan["laydown"]["azimuth_deg"] != other["laydown"]["azimuth_deg"]:
        _, other = both(tmp_path, name, seed=len(name), azimuth=plan["laydown"]["azimuth_deg"], azimuths=[])
    same_stakes(plan, other)
    same_lift(plan, other)
    same_checks(plan, other)


@pytest.mark.parametrize(
    ("name", "azimuth"), [("UTM, float32", 123.4), ("Web Mercator, turned", 7.77), ("near 180, odd mast", 300.05)]
)
def test_the_users_azimuth_is_judged_as_it_stands(tmp_path, name, azimuth):
    """Whole degrees and the user's own between them; nothing is rounded to a degree."""
    plan, other = both(tmp_path, name, seed=5, azimuth=azimuth, azimuths=[])
    assert plan["laydown"]["azimuth_deg"] == azimuth == other["laydown"]["azimuth_deg"]
    assert plan["laydown"]["chosen_by"] == "given by the user"
    assert len(plan["laydown"]["candidates"]) == 361
    for key in ("slope_percent", "rest_slope_percent", "max_gap_m"):
        assert plan["laydown"][key] == pytest.approx(other["laydown"][key], abs=THOUSANDTH)
    same_stakes(plan, other)
    same_lift(plan, other)
    same_checks(plan, other)


def test_all_360_azimuths_and_their_order(tmp_path):
    plan, other = both(tmp_path, "UTM, float32", seed=23, azimuths=[*range(360)])
    assert len(other["laydown"]["candidates"]) == len(plan["laydown"]["candidates"]) == 360
    same_candidates(plan, other)
    same_choice(plan, other)
    same_stakes(plan, other)


def test_where_the_slope_is_too_steep_both_choose_the_least_evil(tmp_path):
    plan, other = both(tmp_path, "degrees, south up, feet", seed=3, slope_percent=24.0)
    assert plan["laydown"]["verdict"] == "fail"
    same_candidates(plan, other)
    same_choice(plan, other)


def test_a_hole_drops_the_same_azimuths(tmp_path):
    """A hole of 6 m at 40 m: the azimuths whose points need it drop out in both programs."""
    write_dem(
        tmp_path / "dem.tif",
        rough_ground(9, slope_percent=5.0),
        46.5,
        7.5,
        half_width_m=115.0,
        cell_m=2.0,
        hole=(10.0, 39.0, 6.0),
    )
    small_mast(tmp_path / "mast.toml")
    plan = as_json(plan_of(tmp_path))
    other = twin.twin_plan(tmp_path / "dem.tif", 46.5, 7.5, tmp_path / "mast.toml", azimuths=[*range(0, 360, 3)])
    ours = {d["azimuth_deg"] for d in plan["laydown"]["dropped"]}
    theirs = set(other["laydown"]["dropped"])
    assert {a for a in ours if a % 3 == 0} == theirs
    assert 20 < len(ours) < 300
    same_candidates(plan, other)
