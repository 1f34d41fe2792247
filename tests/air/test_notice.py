"""14 CFR 77.9 and 77.17 at made-up airports: exactly at the limit, at the zone's edge, with data that are missing."""

from __future__ import annotations

from dataclasses import replace

import pytest
from air.places import FT, GROUND_M, airfields, criteria, heliport, mast, runway_beside, runway_end_on
from hypothesis import given
from hypothesis import strategies as st

from siting.air.nearest import nearest_point
from siting.air.screening import screen
from siting.records.air import CANNOT_TELL, NOT_BY_THESE, NOTICE

LAT, LON = mast(60).lat, mast(60).lon


def verdict(case, fields, name):
    return criteria(screen(case, fields))[name].verdict


@pytest.mark.parametrize(
    ("height_m", "expected"), [(60.0, NOT_BY_THESE), (60.96, NOT_BY_THESE), (200 * FT, NOT_BY_THESE), (60.961, NOTICE), (61.0, NOTICE)]
)
def test_200_ft_exactly_is_not_more_than_200_ft(height_m, expected):
    assert verdict(mast(height_m), airfields(), "77.9(a)") == expected


def test_a_mast_of_61_m_5_km_from_a_runway_of_1_km():
    """The case of the users' list: 1000 m is 3281 ft, so 100 : 1, and the surface stands 50 m over the runway."""
    found = screen(mast(61.0), airfields(runway_end_on(5000.0)))
    by_id = criteria(found)
    assert found.result == NOTICE and found.headline.startswith("Notice required: 77.9(a), 77.9(b)(1)")
    assert by_id["77.9(b)(1)"].limit_ft == pytest.approx((GROUND_M + 50.0) / FT, abs=0.01)
    assert by_id["77.9(b)(1)"].margin_ft == pytest.approx(-11.0 / FT, abs=0.01)
    assert by_id["77.9(b)(2)"].verdict == NOT_BY_THESE
    near = found.nearest[0]
    assert near.slope_to_one == 100 and near.distance_m == pytest.approx(5000.0, abs=0.01) and near.margin_m == pytest.approx(-11.0, abs=0.001)


@pytest.mark.parametrize("make", [runway_beside, runway_end_on])
@pytest.mark.parametrize(
    ("name", "length_m", "to_one", "zone_m"), [("77.9(b)(1)", 1200.0, 100, 6096.0), ("77.9(b)(2)", 900.0, 50, 3048.0)]
)
def test_at_the_surface_and_at_the_zones_edge(make, name, length_m, to_one, zone_m):
    away_m = zone_m - 200.0
    height_m = away_m / to_one
    fields = airfields(make(away_m, length_m))
    # A runway placed from its middle lies a little nearer on the ellipsoid than a plane has it: the height is what it is at.
    exact_m = nearest_point(LAT, LON, fields.strips[0]).distance_m / to_one
    assert exact_m == pytest.approx(height_m, abs=1e-4)
    assert verdict(mast(exact_m), fields, name) == NOT_BY_THESE
    assert verdict(mast(exact_m + 0.001), fields, name) == NOTICE
    assert verdict(mast(exact_m - 0.001), fields, name) == NOT_BY_THESE
    assert verdict(mast(100.0), airfields(make(zone_m - 0.05, length_m)), name) == NOTICE
    assert verdict(mast(100.0), airfields(make(zone_m + 0.05, length_m)), name) == NOT_BY_THESE


def test_3200_ft_exactly_is_not_more_than_3200_ft():
    for length_m, name in ((3200 * FT, "77.9(b)(2)"), (3200 * FT + 0.1, "77.9(b)(1)")):
        assert verdict(mast(59.0), airfields(runway_end_on(2000.0, length_m)), name) == NOTICE


def test_a_heliport_counts_25_to_1_to_5000_ft():
    assert verdict(mast(59.0), airfields(heliport(1400.0)), "77.9(b)(3)") == NOTICE
    assert verdict(mast(55.9), airfields(heliport(1400.0)), "77.9(b)(3)") == NOT_BY_THESE
    assert verdict(mast(60.0), airfields(heliport(1525.0)), "77.9(b)(3)") == NOT_BY_THESE


def test_the_elevation_counts_not_the_height_alone():
    low, high = mast(60.0, GROUND_M - 40.0), mast(20.0, GROUND_M + 40.0)
    fields = airfields(runway_end_on(4000.0, 1500.0))
    assert verdict(low, fields, "77.9(b)(1)") == NOT_BY_THESE
    assert verdict(high, fields, "77.9(b)(1)") == NOTICE


def test_the_surface_starts_at_the_height_between_the_ends():
    rising = runway_beside(3000.0, 1500.0, (GROUND_M, GROUND_M + 12.0))
    near = screen(mast(35.0), airfields(rising)).nearest[0]
    assert near.elevation_m == pytest.approx(GROUND_M + 6.0, abs=0.01)
    assert near.surface_m == pytest.approx(GROUND_M + 36.0, abs=0.01)
    at_end = screen(mast(35.0), airfields(runway_end_on(3000.0, 1500.0, (GROUND_M + 3.0, GROUND_M + 12.0)))).nearest[0]
    assert at_end.elevation_m == pytest.approx(GROUND_M + 3.0)


def test_a_length_that_is_not_listed_counts_as_more_than_3200_ft_and_says_so():
    found = screen(mast(50.0), airfields(runway_end_on(4000.0, 500.0, listed_m=None)))
    criterion = criteria(found)["77.9(b)(1)"]
    assert criterion.verdict == NOTICE and "counted as more than 3,200 ft" in criterion.text


def test_one_long_runway_makes_its_whole_airport_long():
    strips = runway_end_on(4000.0, 600.0, azimuth_deg=80.0), runway_end_on(9000.0, 2000.0, azimuth_deg=90.0)
    assert verdict(mast(50.0), airfields(*strips), "77.9(b)(1)") == NOTICE
    apart = strips[0], replace(strips[1], airport="KBBB")
    assert verdict(mast(50.0), airfields(*apart), "77.9(b)(1)") == NOT_BY_THESE


def test_only_the_nearest_runway_of_an_airport_counts():
    """The farther one lies 60 m lower, and its surface too."""
    strips = runway_end_on(3000.0, 1500.0, azimuth_deg=80.0), runway_end_on(3500.0, 1500.0, (GROUND_M - 60.0,) * 2, azimuth_deg=100.0)
    assert verdict(mast(25.0), airfields(*strips), "77.9(b)(1)") == NOT_BY_THESE
    apart = strips[0], replace(strips[1], airport="KBBB")
    assert verdict(mast(25.0), airfields(*apart), "77.9(b)(1)") == NOTICE


@pytest.mark.parametrize(
    ("heights_m", "top_m", "expected"),
    [
        ((None, None), None, CANNOT_TELL),
        ((None, None), GROUND_M, NOTICE),  # over the surface even from the highest point
        ((None, None), GROUND_M + 500.0, CANNOT_TELL),
        ((GROUND_M, None), None, NOTICE),  # the end that is nearest is known
        ((None, GROUND_M), None, CANNOT_TELL),
    ],
)
def test_heights_of_a_runway_that_are_not_known(heights_m, top_m, expected):
    fields = airfields(runway_end_on(4000.0, 1500.0, heights_m, airport_m=top_m))
    assert verdict(mast(60.0), fields, "77.9(b)(1)") == expected


def test_a_mast_whose_elevation_is_not_known():
    unknown = mast(60.0, None)
    found = screen(unknown, airfields(runway_end_on(4000.0, 1500.0)))
    assert found.result == CANNOT_TELL and found.tip_amsl_m is None and found.tip_amsl_ft is None
    assert "air_elevation" in {u.id for u in found.unchecked}
    assert screen(unknown, airfields()).result == NOT_BY_THESE  # nothing near: no elevation is needed
    assert screen(mast(61.0, None), airfields(runway_end_on(4000.0, 1500.0))).result == NOTICE  # the height alone decides


def test_the_grounds_error_turns_a_narrow_margin_into_cannot_tell_and_never_a_notice_away():
    fields = airfields(runway_end_on(5000.0, 1500.0))
    assert verdict(mast(49.0, error_m=0.9), fields, "77.9(b)(1)") == NOT_BY_THESE
    assert verdict(mast(49.0, error_m=1.1), fields, "77.9(b)(1)") == CANNOT_TELL
    assert verdict(mast(50.1, error_m=5.0), fields, "77.9(b)(1)") == NOTICE


def test_a_runway_that_may_lie_elsewhere():
    at = runway_end_on(6500.0, 1500.0)
    assert verdict(mast(60.9), airfields(at), "77.9(b)(1)") == NOT_BY_THESE
    assert verdict(mast(60.9), airfields(replace(at, within_m=300.0)), "77.9(b)(1)") == NOT_BY_THESE
    assert verdict(mast(60.9), airfields(replace(at, within_m=500.0)), "77.9(b)(1)") == CANNOT_TELL
    inside = runway_end_on(5500.0, 1500.0, within_m=500.0)
    assert verdict(mast(60.0), airfields(inside), "77.9(b)(1)") == NOTICE
    assert verdict(mast(54.0), airfields(inside), "77.9(b)(1)") == CANNOT_TELL
    assert verdict(mast(49.0), airfields(inside), "77.9(b)(1)") == NOT_BY_THESE


def test_a_sloping_runway_that_may_lie_elsewhere_counts_at_its_lowest_and_its_own_height_decides_first():
    """1 % over 1500 m, 300 m of doubt: 7.5 m at the middle as drawn, 4.5 m to 10.5 m on the stretch that may be nearest."""
    sloping = runway_beside(4000.0, 1500.0, (GROUND_M, GROUND_M + 15.0), within_m=300.0)
    near = nearest_point(LAT, LON, sloping)
    assert (near.lowest_m, near.elevation_m, near.highest_m) == pytest.approx((GROUND_M + 4.5, GROUND_M + 7.5, GROUND_M + 10.5), abs=0.01)
    fields = airfields(sloping)
    assert verdict(mast(47.6), fields, "77.9(b)(1)") == NOTICE  # over 40 + 7.5 m
    assert verdict(mast(47.4), fields, "77.9(b)(1)") == CANNOT_TELL
    assert verdict(mast(41.6), fields, "77.9(b)(1)") == CANNOT_TELL  # over 37 + 4.5 m
    assert verdict(mast(41.4), fields, "77.9(b)(1)") == NOT_BY_THESE


def test_a_private_airport_is_left_out_and_an_unknown_one_counts_and_says_so():
    shut = airfields(runway_end_on(4000.0, 1500.0, is_public=False))
    assert verdict(mast(60.0), shut, "77.9(b)(1)") == NOT_BY_THESE
    assert "not open to the public" in screen(mast(60.0), shut).nearest[0].note
    assert "which the file does not say" in criteria(screen(mast(60.0), airfields(runway_end_on(4000.0, 1500.0))))["77.9(b)(1)"].text


def test_without_data_nothing_is_ruled_out():
    found = screen(mast(60.0), None)
    assert found.result == CANNOT_TELL
    assert {"air_runways", "air_heliports"} <= {u.id for u in found.unchecked}
    assert screen(mast(60.0), airfields(has_heliports=False)).result == CANNOT_TELL
    assert screen(mast(60.0), airfields(unplaced=3)).result == CANNOT_TELL
    assert screen(mast(60.0), replace(airfields(), strips=())).result == CANNOT_TELL  # a file that does not cover the site
    assert screen(mast(60.0), airfields()).result == NOT_BY_THESE


def test_no_result_ever_sounds_like_a_permission():
    for case, fields in ((mast(60.0), airfields()), (mast(60.0), None), (mast(70.0), None)):
        found = screen(case, fields)
        said = " ".join([found.headline, *(f"{c.verdict} {c.text}" for c in found.criteria), *(n.note for n in found.nearest)]).lower()
        assert not any(word in said for word in ("approved", "clear", "cleared", "permitted", "no hazard"))
        assert {"air_other_surfaces", "air_met_mast_rule", "air_national_rules"} <= {u.id for u in found.unchecked}


def test_an_obstruction_by_7717_near_an_airport():
    fields = airfields(runway_end_on(3000.0, 1500.0))
    assert verdict(mast(60.9), fields, "77.17(a)(2)") == NOT_BY_THESE
    assert verdict(mast(61.0), fields, "77.17(a)(2)") == NOTICE
    four_miles = airfields(runway_end_on(4 * 1852.0, 1500.0))
    assert verdict(mast(300 * FT), four_miles, "77.17(a)(2)") == NOT_BY_THESE
    assert verdict(mast(300 * FT + 0.01), four_miles, "77.17(a)(2)") == NOTICE
    # Above the airport's elevation, whichever is higher: from a valley the mast does not reach.
    assert verdict(mast(100.0, GROUND_M - 80.0), fields, "77.17(a)(2)") == NOT_BY_THESE
    assert verdict(mast(100.0, None), fields, "77.17(a)(2)") == CANNOT_TELL
    assert verdict(mast(150.0), airfields(runway_end_on(7 * 1852.0, 1500.0)), "77.17(a)(2)") == NOT_BY_THESE
    assert verdict(mast(152.2), airfields(), "77.17(a)(1)") == NOTICE
    assert verdict(mast(499 * FT), airfields(), "77.17(a)(1)") == NOT_BY_THESE


def test_the_reference_point_counts_for_7717_where_it_is_known():
    lon, lat = runway_end_on(5 * 1852.0).ends[0]
    fields = airfields(runway_end_on(2 * 1852.0, 1500.0, reference=(lon, lat)))
    criterion = criteria(screen(mast(100.0), fields))["77.17(a)(2)"]
    assert criterion.limit_ft == pytest.approx(400.0, abs=0.01) and "from its reference point" in criterion.text


@given(st.floats(1.0, 200.0), st.floats(10.0, 8000.0), st.floats(-60.0, 60.0))
def test_a_taller_mast_never_needs_less(height_m, away_m, above_m):
    fields = airfields(runway_end_on(away_m, 1500.0))
    order = (NOT_BY_THESE, CANNOT_TELL, NOTICE)
    here, taller = (screen(mast(h, GROUND_M + above_m), fields).result for h in (height_m, height_m + 5.0))
    assert order.index(taller) >= order.index(here)
