"""Declination: its sign, its date, and what is said where it is not known or not to be trusted."""

from __future__ import annotations

import datetime

import pytest

from siting.geodesy.north import decimal_year, declination


@pytest.mark.parametrize(
    ("date", "year"),
    [("2027-01-01", 2027.0), ("2027-07-02", 2027 + 182 / 365), ("2028-12-31", 2028 + 365 / 366), ("2028-02-29", 2028 + 59 / 366)],
)
def test_decimal_year(date, year):
    assert decimal_year(datetime.date.fromisoformat(date)) == pytest.approx(year, abs=1e-12)


def test_east_is_positive_and_the_model_is_named():
    """Montana points east of true north, Maine west: the sign that every crew needs to have right."""
    montana = declination(47.03, -109.85, 1400.0, datetime.date(2027, 5, 10))
    maine = declination(45.0, -69.0, 100.0, datetime.date(2027, 5, 10))
    assert 9.0 < montana.deg < 13.0
    assert -18.0 < maine.deg < -13.0
    assert montana.model.endswith("at 2027-05-10") and "WMM" in montana.model
    assert 0.26 < montana.error_deg < 0.6
    assert montana.warnings == ()


@pytest.mark.parametrize("date", [datetime.date(2036, 1, 1), datetime.date(2014, 6, 1)])
def test_outside_the_years_of_the_model_there_is_none(date):
    found = declination(47.03, -109.85, 1400.0, date)
    assert (found.deg, found.error_deg) == (None, None)
    assert found.warnings == (f"No magnetic azimuths: {found.model}. Use grid or true azimuths, or bring siting up to date.",)
    assert f"not {date.isoformat()}" in found.model


def test_near_the_magnetic_pole_a_compass_is_called_useless():
    (warning,) = declination(85.8, 140.0, 0.0, datetime.date(2027, 5, 10)).warnings
    assert warning.startswith("A compass is useless here: horizontal field ") and warning.endswith(" nT.")
    (warning,) = declination(80.0, -60.0, 0.0, datetime.date(2027, 5, 10)).warnings
    assert warning.startswith("A compass is poor here: horizontal field ")
