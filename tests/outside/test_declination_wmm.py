"""Magnetic declination against the official test values of the World Magnetic Model.

Sources: NOAA NCEI and BGS, World Magnetic Model 2025: the 12-point table of test values in the technical report,
four rows of WMM2025_TestValues.txt, the report's error model; validity from the header of WMM_2025.COF.
Declination in degrees, east positive.

The table is for decimal years; siting asks for a day. 2025.0 is 1 January 2025 exactly; the days nearest to 2025.5
and 2027.5 are 2 July, 182 days of 365 into their years. What the field moves in between is allowed for by the
largest yearly change that the table itself prints.
"""

import datetime

import pytest

from siting.geodesy.north import declination

PRINTED_DEG = 0.005  # half of the last digit printed
YEARS_OFF = 0.5 - 182.0 / 365.0  # 2 July against half a year
DRIFT_DEG_A_YEAR = (2.59 - 1.28) / 2.5  # the fastest point of the table, 80 N 0 E at sea level

NEW_YEAR_2025 = datetime.date(2025, 1, 1)
MID_2025, MID_2027 = datetime.date(2025, 7, 2), datetime.date(2027, 7, 2)

# (date, height above WGS 84 in km, lat, lon, D): WMM2025 technical report, table of test values. 240 E = 120 W.
TABLE = (
    (NEW_YEAR_2025, 0.0, 80.0, 0.0, 1.28),
    (NEW_YEAR_2025, 0.0, 0.0, 120.0, -0.16),
    (NEW_YEAR_2025, 0.0, -80.0, -120.0, 68.78),
    (NEW_YEAR_2025, 100.0, 80.0, 0.0, 0.85),
    (NEW_YEAR_2025, 100.0, 0.0, 120.0, -0.15),
    (NEW_YEAR_2025, 100.0, -80.0, -120.0, 68.21),
    (MID_2027, 0.0, 80.0, 0.0, 2.59),
    (MID_2027, 0.0, 0.0, 120.0, -0.24),
    (MID_2027, 0.0, -80.0, -120.0, 68.49),
    (MID_2027, 100.0, 80.0, 0.0, 2.16),
    (MID_2027, 100.0, 0.0, 120.0, -0.23),
    (MID_2027, 100.0, -80.0, -120.0, 67.93),
)
TEST_VALUES = (  # WMM2025_TestValues.txt
    (NEW_YEAR_2025, 28.0, 89.0, -121.0, -99.77),
    (NEW_YEAR_2025, 48.0, 80.0, -96.0, -29.91),
    (NEW_YEAR_2025, 18.0, 0.0, 21.0, 1.29),
    (MID_2025, 6.0, -36.0, -137.0, 20.28),
)


def test_every_row_is_here():
    assert (len(TABLE), len(TEST_VALUES)) == (12, 4)


@pytest.mark.parametrize(("date", "height_km", "lat", "lon", "printed_deg"), TABLE + TEST_VALUES)
def test_official_declination(date, height_km, lat, lon, printed_deg):
    drift_deg = 0.0 if date == NEW_YEAR_2025 else YEARS_OFF * DRIFT_DEG_A_YEAR
    found = declination(lat, lon, 1000.0 * height_km, date)
    assert found.deg == pytest.approx(printed_deg, abs=PRINTED_DEG + drift_deg)
    assert "WMM-2025" in found.model
    assert date.isoformat() in found.model


# Error model of the report, sqrt(0.26^2 + (5417/H)^2) with H in nT. (lat, lon, one sigma)
ERROR_MODEL = ((80.0, 0.0, 0.87), (0.0, 120.0, 0.29))


def test_every_error_model_row_is_here():
    assert len(ERROR_MODEL) == 2


@pytest.mark.parametrize(("lat", "lon", "sigma_deg"), ERROR_MODEL)
def test_published_error_of_the_model(lat, lon, sigma_deg):
    assert declination(lat, lon, 0.0, NEW_YEAR_2025).error_deg == pytest.approx(sigma_deg, abs=PRINTED_DEG)


# Header of WMM_2025.COF: epoch 2025.0, for five years.
@pytest.mark.parametrize("day", ["2025-01-01", "2027-03-15", "2029-12-31"])
def test_inside_the_models_five_years_there_is_a_value(day):
    found = declination(46.5, 7.5, 500.0, datetime.date.fromisoformat(day))
    assert found.deg is not None
    assert found.warnings == ()


@pytest.mark.parametrize("day", ["2024-12-31", "2030-01-02", "2041-06-01"])
def test_outside_the_models_five_years_there_is_none_and_a_warning(day):
    found = declination(46.5, 7.5, 500.0, datetime.date.fromisoformat(day))
    assert found.deg is None
    assert found.error_deg is None
    assert found.warnings == (
        f"No magnetic azimuths: WMM-2025 covers 2025.0 to 2030.0, not {day}. "
        "Use grid or true azimuths, or bring siting up to date.",
    )


def test_near_the_magnetic_pole_the_compass_is_called_useless():
    # 89 N 121 W lies in the blackout zone of the report (H under 2000 nT).
    (warning,) = declination(89.0, -121.0, 28000.0, NEW_YEAR_2025).warnings
    assert warning.startswith("A compass is useless here: horizontal field ")
