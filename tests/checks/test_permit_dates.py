"""Dates of a permit: calendar months with their short ends, the last day to ask, the day by which the mast is gone."""

from __future__ import annotations

import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rule_lands import FIXTURES, fixture, rules

from siting.checks.permit_dates import permit_dates

DAY = datetime.date(2027, 5, 10)
# P9: expiry, last day to ask, removal, for a permit of 10 May 2027.
DATES = {
    "toquerville-ut": ("2032-05-10", "", ""),
    "northampton-va": ("2029-05-10", "", ""),
    "ny-town-175": ("2029-05-10", "", ""),
    "contra-costa-ca": ("2028-05-10", "2028-04-10", ""),
    "san-joaquin-ca": ("", "", ""),
    "concord-nh": ("2030-05-10", "", ""),
    "luckey-oh": ("2028-06-10", "", ""),
    "msu-sample": ("2030-05-10", "", ""),
}  # fmt: skip


@pytest.mark.parametrize("name", [p.stem for p in sorted(FIXTURES.glob("*.toml"))])
def test_the_dates_of_real_ordinances(name):
    dates = permit_dates(fixture(name), DAY)
    if name not in DATES:
        assert dates is None
        return
    assert (dates.expires, dates.ask_by, dates.remove_by) == DATES[name]
    assert dates.text.endswith("check your local code.")


def test_the_words():
    contra_costa = permit_dates(fixture("contra-costa-ca"), DAY)
    assert contra_costa.text == (
        "A permit of 2027-05-10 would run out on 2028-05-10 (12 months). An extension of 6 months, to 2028-11-10, must be asked for by "
        "2028-04-10 (at least 30 days before). Calendar months; weekends and holidays are not looked at; the permit's own dates come "
        "first. Source: Contra Costa County CA 88-22.404, .602, .604; read 2026-11-25; check your local code."
    )
    assert permit_dates(fixture("san-joaquin-ca"), DAY).text.startswith("The mast must be gone within 90 days of its last use. Source: ")
    gone = permit_dates(rules(expires_months=12, removal_days=90), DAY)
    assert gone.remove_by == "2028-08-08"
    assert "gone by 2028-08-08 (90 days after the permit runs out), or so many days after its last use where that is earlier" in gone.text


@pytest.mark.parametrize(
    ("day", "months", "expires"),
    [
        ("2027-01-31", 1, "2027-02-28"), ("2028-01-31", 1, "2028-02-29"), ("2027-08-31", 6, "2028-02-29"), ("2028-02-29", 12, "2029-02-28"),
        ("2028-02-29", 48, "2032-02-29"), ("2027-12-31", 2, "2028-02-29"), ("2027-12-15", 1, "2028-01-15"), ("2027-03-31", 13, "2028-04-30"),
    ],
)  # fmt: skip
def test_the_end_of_a_month(day, months, expires):
    assert permit_dates(rules(expires_months=months), datetime.date.fromisoformat(day)).expires == expires


@given(st.dates(datetime.date(2000, 1, 1), datetime.date(2100, 12, 31)), st.integers(1, 240), st.integers(0, 365))
def test_months_days_and_their_order(day, months, asked):
    dates = permit_dates(rules(expires_months=months, extension_months=6, extension_asked_days=asked, removal_days=30), day)
    expires, ask, gone = (datetime.date.fromisoformat(v) for v in (dates.expires, dates.ask_by, dates.remove_by))
    assert (expires.year * 12 + expires.month) - (day.year * 12 + day.month) == months
    assert expires.day == day.day or (expires.day < day.day and (expires + datetime.timedelta(days=1)).day == 1)
    assert (expires - ask).days == asked and (gone - expires).days == 30
