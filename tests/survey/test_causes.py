"""The likely cause of the misses: each fault recognised through noise, gaps, strangers and a bad point on top."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from staked_files import (
    FOOT_M,
    US_FOOT_M,
    base_of,
    demo_plan,
    grid,
    high_plan,
    in_unit,
    into,
    measured,
    plane_plan,
    report,
    scale,
    shift,
    stakes_of,
    swap,
    turn,
    zone_edge_plan,
)

from siting.records.as_staked import CAUSES

SEEDS = range(3)
DEMO = {
    "none": lambda plan: lambda z: z,
    "shift": lambda plan: shift(0.7, -0.9),
    "swapped_axes": lambda plan: swap,
    "feet, international": lambda plan: in_unit(FOOT_M),
    "feet, US survey": lambda plan: in_unit(US_FOOT_M),
    "feet, swapped too": lambda plan: lambda z: swap(in_unit(FOOT_M)(z)),
    "wrong_zone, west": lambda plan: into(32612, 32611),
    "wrong_zone, east": lambda plan: into(32612, 32613),
    "wrong_zone, hemisphere": lambda plan: shift(0.0, 10_000_000.0),
    "wrong_zone, both": lambda plan: into(32612, 32713),
    "rotated": lambda plan: turn(plan.crs.convergence_deg, base_of(plan)),
    "scaled about the origin": lambda plan: scale(1.0 / plan.crs.combined_factor, 0j),
}


def expected(name: str) -> str:
    return "swapped_axes" if "swapped too" in name else name.partition(",")[0].partition(" about")[0]


def cause_of(plan, rows):
    made = report(plan, rows)
    assert made.likely_cause in CAUSES
    return made.likely_cause, made.cause


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("name", DEMO)
def test_each_fault_is_recognised_through_noise(name, seed):
    plan = demo_plan()
    found, cause = cause_of(plan, measured(plan, DEMO[name](plan), seed=seed, noise_m=0.02))
    assert found == expected(name)
    assert cause.left_m < 0.05 and cause.bad_points == ()
    assert cause.as_measured_m > 0.5 or found == "none"


@pytest.mark.parametrize("name", [n for n in DEMO if n != "none"])
def test_each_fault_is_recognised_with_a_bad_point_on_top(name):
    plan = demo_plan()
    rows = measured(plan, DEMO[name](plan), seed=11, noise_m=0.03, bad={"B2": (2.0, -1.5)})
    found, cause = cause_of(plan, rows)
    assert found == expected(name)
    assert cause.bad_points == ("B2",)
    assert "Besides, B2 (2." in cause.sentence and "does not follow the others." in cause.sentence


@pytest.mark.parametrize("name", DEMO)
def test_each_fault_is_recognised_in_half_a_file_with_strangers_in_it(name):
    plan = demo_plan()
    rows = measured(plan, DEMO[name](plan), seed=5, stakes=stakes_of(plan)[1::2])
    rows += [("FENCE", rows[0][1] + 31.0, rows[0][2] - 17.0, None), ("101", 12.0, 34.0, 5.0)]
    found, cause = cause_of(plan, rows)
    assert found == expected(name) and cause.left_m < 0.06


@given(seed=st.integers(0, 10_000), name=st.sampled_from(sorted(DEMO)), noise_mm=st.integers(0, 30))
def test_each_fault_is_recognised_whatever_the_noise(seed, name, noise_mm):
    plan = demo_plan()
    found, cause = cause_of(plan, measured(plan, DEMO[name](plan), seed=seed, noise_m=noise_mm / 1000.0))
    assert found == expected(name)
    assert cause.left_m <= 0.01 + 3.0 * noise_mm / 1000.0


@given(seed=st.integers(0, 10_000), noise_mm=st.integers(0, 30))
def test_noise_alone_is_never_explained(seed, noise_mm):
    for plan in (demo_plan(), zone_edge_plan(), high_plan()):
        for offsets in (False, True):
            found, _ = cause_of(plan, measured(plan, seed=seed, noise_m=noise_mm / 1000.0, offsets=offsets))
            assert found == "none"


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("who", ["BASE", "HEAD", "SIDE-L", "WINCH"])
@pytest.mark.parametrize("off_m", [0.35, 1.2, 80.0, 10_000.0])
def test_one_bad_point_is_named_with_its_miss(who, off_m, seed):
    plan = demo_plan()
    rows = measured(plan, seed=seed, bad={who: (0.6 * off_m, -0.8 * off_m)})
    found, cause = cause_of(plan, rows)
    assert (found, cause.bad_points) == ("one_point", (who,))
    assert cause.sentence.startswith(f"Only {who} is off, by ")
    assert cause.do == f"Measure {who} again; if it is as far off then, set it out again."


def test_two_bad_points_have_no_single_cause_and_are_both_named():
    plan = demo_plan()
    found, cause = cause_of(plan, measured(plan, seed=2, bad={"A1": (1.0, 0.0), "C2": (0.0, -3.0)}))
    assert found == "none" and cause.bad_points == ("A1", "C2")
    assert "2 of 12 lie off by more than that allows: C2 (3.0" in cause.sentence


def test_metres_of_scatter_in_all_directions_are_said_to_have_no_cause():
    plan = demo_plan()
    found, cause = cause_of(plan, measured(plan, seed=4, noise_m=2.0))
    assert found == "none" and "the points miss in all directions" in cause.sentence


def test_sentences_word_for_word():
    plan = demo_plan()
    words = {
        "shift": (
            "The points lie 5.00 m to 143.97° true from their stakes, all alike (north -4.000 m, east +3.000 m). With that "
            "undone, 12 of 12 points miss by 0.000 m (root mean square), at most by 0.000 m at BASE; as measured by 5.00 m. "
            "A constant shift is a wrong base: the rover's base stood on wrong coordinates, or a wrong point was taken for "
            "the mast's base.",
            shift(3.0, -4.0),
        ),
        "swapped_axes": (
            "In the file northing and easting are exchanged. With that undone, 12 of 12 points miss by 0.000 m (root mean "
            "square), at most by 0.000 m at BASE; as measured by 6535.8 km.",
            swap,
        ),
        "feet": (
            "In the file the numbers are US survey feet (1200/3937 m); the plan's unit is the metre. With that undone, 12 of "
            "12 points miss by 0.000 m (root mean square), at most by 0.000 m at",
            in_unit(US_FOOT_M),
        ),
        "wrong_zone": (
            "In the file the numbers are those of UTM zone 13N; the plan's are those of WGS 84 / UTM zone 12N. With that "
            "undone, 12 of 12 points miss by 0.000 m (root mean square), at most by 0.000 m at",
            into(32612, 32613),
        ),
    }
    for name, (sentence, fault) in words.items():
        found, cause = cause_of(plan, measured(plan, fault, noise_m=0.0))
        assert found == name and cause.sentence.startswith(sentence)


def test_the_shift_is_measured():
    plan = demo_plan()
    _, cause = cause_of(plan, measured(plan, shift(3.0, -4.0), noise_m=0.0))
    assert (cause.shift_east_m, cause.shift_north_m) == (3.0, -4.0)
    assert cause.turn_deg is None and cause.scale_ppm is None and not cause.is_file_fault


def test_digits_cut_off_are_told_from_a_wrong_base():
    plan = demo_plan()
    found, cause = cause_of(plan, measured(plan, shift(-500_000.0, -5_200_000.0)))
    assert found == "shift" and "leading digits were cut off" in cause.sentence
    found, cause = cause_of(plan, measured(plan, lambda z: z - base_of(plan) + complex(5000.3, 10000.4)))
    assert found == "shift" and "another origin" in cause.sentence


# --- feet ---------------------------------------------------------------------------------------------------------


def test_the_foot_is_named_by_the_coordinates_and_left_open_by_local_distances():
    plan = demo_plan()
    for unit_m, name, other in ((FOOT_M, "international feet", "US survey"), (US_FOOT_M, "US survey feet", "international")):
        _, cause = cause_of(plan, measured(plan, in_unit(unit_m)))
        assert cause.reading.startswith(f"the numbers are {name}") and other not in cause.sentence
    found, cause = cause_of(plan, measured(plan, lambda z: 1000.0 + 2000.0j + (z - base_of(plan)) / FOOT_M))
    assert found == "feet" and "the points do not tell which" in cause.sentence


def test_metres_made_with_the_other_foot_are_feet():
    """5.2 million metres north: the two feet differ by 10.4 m there (2 parts per million)."""
    plan = demo_plan()
    found, cause = cause_of(plan, measured(plan, lambda z: z * (FOOT_M / US_FOOT_M)))
    assert found == "feet" and cause.reading == "US survey feet were turned into metres as if they were international feet"
    found, cause = cause_of(plan, measured(plan, lambda z: z * (US_FOOT_M / FOOT_M)))
    assert found == "feet" and cause.reading == "international feet were turned into metres as if they were US survey feet"


def test_a_plan_in_us_survey_feet_measured_in_metres_or_the_other_foot():
    plan = plane_plan(39.5, -105.2, 2000.0, "EPSG:2232")
    for unit_m in (1.0, FOOT_M):
        made = report(plan, measured(plan, in_unit(unit_m, US_FOOT_M)))
        assert made.likely_cause == "feet", unit_m
    made = report(plan, measured(plan, noise_m=0.01))
    assert made.likely_cause == "none" and made.verdict == "pass"


# --- zones --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("lat", "lon", "own", "other", "name"),
    [
        (46.5, 11.9, 32632, 32633, "UTM zone 33N"),
        (-33.0, 18.2, 32734, 32733, "UTM zone 33S"),
        (-16.8, 179.5, 32760, 32701, "UTM zone 1S"),
        (65.1, -179.2, 32601, 32660, "UTM zone 60N"),
    ],
)
def test_neighbouring_zones_over_the_world(lat, lon, own, other, name):
    plan = plane_plan(lat, lon, 300.0)
    found, cause = cause_of(plan, measured(plan, into(own, other)))
    assert found == "wrong_zone" and cause.reading.startswith(f"the numbers are those of {name};")
    assert cause.is_file_fault


def test_a_plan_south_of_the_equator_written_without_its_false_northing():
    plan = plane_plan(-33.0, 18.2, 300.0)
    found, cause = cause_of(plan, measured(plan, shift(0.0, -10_000_000.0)))
    assert found == "wrong_zone" and "UTM zone 34N" in cause.reading


def test_a_state_system_and_an_old_datum_are_found_among_the_systems_of_the_region():
    plan = demo_plan()
    found, cause = cause_of(plan, measured(plan, into(32612, 32100)))
    assert found == "wrong_zone" and "NAD83 / Montana" in cause.sentence
    found, cause = cause_of(plan, measured(plan, into(32612, 26712)))
    assert found == "wrong_zone" and "NAD27 / UTM zone 12N (EPSG:26712)" in cause.sentence
    plan = plane_plan(39.5, -105.2, 2000.0, "EPSG:2232")
    found, cause = cause_of(plan, measured(plan, into(2232, 2231)))
    assert found == "wrong_zone" and "Colorado North" in cause.sentence


# --- turns --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("make", [demo_plan, zone_edge_plan])
def test_a_turn_by_the_convergence_is_named(make, seed):
    plan = make()
    grid_deg = plan.crs.convergence_deg
    for sign, words in ((1.0, "true azimuths were laid off from grid north"), (-1.0, "grid azimuths were laid off from true north")):
        found, cause = cause_of(plan, measured(plan, turn(sign * grid_deg, base_of(plan)), seed=seed, noise_m=0.02))
        assert found == "rotated" and cause.about == "the base" and words in cause.sentence
        assert cause.turn_deg == pytest.approx(sign * grid_deg, abs=4.0 * cause.turn_error_deg)
        assert "compass" not in cause.sentence


def test_a_turn_of_a_compass_is_named():
    plan = demo_plan()
    needle, grid_deg = plan.crs.declination_deg, plan.crs.convergence_deg
    for degrees, words in (
        (needle, "true azimuths were laid off by compass"),
        (-needle, "magnetic azimuths were laid off from true north"),
        (needle - grid_deg, "grid azimuths were laid off by compass"),
        (grid_deg - needle, "magnetic azimuths were laid off from grid north"),
    ):
        found, cause = cause_of(plan, measured(plan, turn(degrees, base_of(plan))))
        assert found == "rotated" and words in cause.sentence


def test_a_turn_that_nothing_explains_says_so_and_names_what_it_turns_about():
    plan = demo_plan()
    a2 = next(complex(s.easting, s.northing) for s in plan.stakes if s.id == "A2")
    found, cause = cause_of(plan, measured(plan, turn(2.5, a2), noise_m=0.01))
    assert found == "rotated" and cause.about == "A2"
    assert "That is not the convergence (0.84°), nor the declination (10.72°)" in cause.sentence
    found, cause = cause_of(plan, measured(plan, turn(plan.crs.convergence_deg, 0j)))
    assert found == "rotated" and cause.about == "the grid's origin"


def test_a_turn_below_the_noise_is_not_named():
    """Convergence of high_plan is 0.036 degrees: 5.7 cm at 90 m, lost in the noise of a few points."""
    plan = high_plan()
    rows = measured(plan, turn(0.01, base_of(plan)), noise_m=0.02)
    assert cause_of(plan, rows)[0] == "none"


# --- scales -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", SEEDS)
def test_ground_for_grid_about_the_base_is_named_where_it_stands_out(seed):
    plan = high_plan()
    ppm = (1.0 / plan.crs.combined_factor - 1.0) * 1e6
    assert ppm == pytest.approx(870.0, abs=5.0)
    rows = measured(plan, scale(1.0 / plan.crs.combined_factor, base_of(plan)), seed=seed, noise_m=0.008, offsets=True)
    found, cause = cause_of(plan, rows)
    assert found == "scaled" and cause.about == "the base" and "1 / combined factor (+870" in cause.sentence
    assert cause.scale_ppm == pytest.approx(ppm, abs=4.0 * cause.scale_error_ppm)


@pytest.mark.parametrize("make", [demo_plan, high_plan])
def test_ground_for_grid_about_the_origin_is_named(make):
    plan = make()
    factor = plan.crs.combined_factor
    for used, words in ((1.0 / factor, "1 / combined factor"), (factor, "the combined factor"), (1.0 / plan.crs.point_scale, "1 / point scale alone")):
        found, cause = cause_of(plan, measured(plan, scale(used, 0j), noise_m=0.02))
        assert found == "scaled" and cause.about == "the grid's origin" and f"That is {words} (" in cause.sentence
        assert cause.scale_ppm == pytest.approx((used - 1.0) * 1e6, abs=0.1)


def test_a_rounded_factor_is_told_from_the_plans():
    plan = demo_plan()
    _, cause = cause_of(plan, measured(plan, scale(1.0005, 0j)))
    assert "That is nearly 1 / combined factor (+529.8)" in cause.sentence
    _, cause = cause_of(plan, measured(plan, scale(1.003, 0j)))
    assert "Ground for grid would be +529.8 (1 / combined factor): it is another factor." in cause.sentence


def test_a_scale_below_the_noise_is_not_named():
    """A factor 83 parts per million from 1 moves a point at 90 m by 7 mm."""
    plan = zone_edge_plan()
    rows = measured(plan, scale(1.0 / plan.crs.combined_factor, base_of(plan)), noise_m=0.01)
    assert cause_of(plan, rows)[0] == "none"


def test_the_plans_own_ground_coordinates_are_recognised():
    plan = plane_plan(46.5, 9.05, 3000.0, None, True)
    by_id = {p.id: p for p in plan.ground_grid.points}
    rows = [(s.point, by_id[s.id].y_m, by_id[s.id].x_m, s.height_m) for s in stakes_of(plan)]
    found, cause = cause_of(plan, rows)
    assert found == "scaled" and cause.is_file_fault and "scaled to the ground" in cause.sentence


# --- the simplest explanation -------------------------------------------------------------------------------------


def test_a_misread_file_that_is_shifted_too_says_both():
    plan = demo_plan()
    found, cause = cause_of(plan, measured(plan, lambda z: swap(z + complex(2.0, 1.0))))
    assert found == "swapped_axes" and "Read that way, the points lie 2.2" in cause.sentence
    assert (cause.shift_east_m, cause.shift_north_m) == (pytest.approx(2.0, abs=0.03), pytest.approx(1.0, abs=0.03))


def test_the_alternatives_show_why():
    plan = demo_plan()
    _, cause = cause_of(plan, measured(plan, shift(3.0, -4.0)))
    left = {a.cause: a.left_m for a in cause.alternatives}
    assert left["shift"] < 0.03 and left["none"] == pytest.approx(5.0, abs=0.03) and left["rotated"] > 1.0
    assert [a.left_m for a in cause.alternatives] == sorted(a.left_m for a in cause.alternatives)


def test_few_points_are_enough_for_what_the_numbers_themselves_show():
    plan = demo_plan()
    for name in ("swapped_axes", "feet, international", "wrong_zone, east"):
        rows = measured(plan, DEMO[name](plan), stakes=stakes_of(plan)[:1])
        assert cause_of(plan, rows)[0] == expected(name)
    assert cause_of(plan, measured(plan, shift(5.0, 1.0), stakes=stakes_of(plan)[:2]))[0] == "shift"


def test_a_quarter_of_the_points_may_be_bad():
    plan = demo_plan()
    bad = {"A1": (3.0, 1.0), "C2": (-2.0, 6.0), "WINCH": (0.0, 40.0)}
    found, cause = cause_of(plan, measured(plan, turn(plan.crs.convergence_deg, base_of(plan)), bad=bad, seed=6))
    assert found == "rotated" and cause.bad_points == ("A1", "C2", "WINCH")


def test_planted_fault_north_for_east_is_seen():
    """The made-up faults are what they say: a turn keeps distances from the base, a scale keeps azimuths."""
    plan = demo_plan()
    z, base = grid(plan, stakes_of(plan)), base_of(plan)
    assert np.allclose(np.abs(turn(30.0, base)(z) - base), np.abs(z - base))
    east = turn(90.0, base)(base + 1j)  # north turned clockwise is east
    assert east - base == pytest.approx(1.0 + 0j)
    assert np.allclose(np.angle(scale(1.5, base)(z[1:]) - base), np.angle(z[1:] - base))
