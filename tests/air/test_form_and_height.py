"""The fields of the notice, and where the ground's height above sea level comes from."""

from __future__ import annotations

import datetime

import pytest
from air.places import FT, airfields, mast, runway_end_on

from siting.air.case import ground_height, is_sea_level
from siting.air.notice_form import hundredths_text
from siting.air.screening import screen
from siting.figures import rounded
from siting.records.airfields import AirSource


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (46.5123, "46°30'44.28\"N"),
        (-46.5123, "46°30'44.28\"S"),
        (0.0, "0°00'00.00\"N"),
        (45.999_999, "46°00'00.00\"N"),
        (45.999_997, "45°59'59.99\"N"),
    ],
)
def test_degrees_minutes_and_seconds_to_a_hundredth(value, text):
    assert hundredths_text(value, "N", "S") == text


def test_the_fields_of_the_form():
    case = mast(60.0, 900.0, work_day=datetime.date(2027, 5, 10))
    form = rounded(screen(case, airfields(runway_end_on(5000.0, 1500.0)))).form
    assert form.latitude == "46°00'00.00\"N" and form.longitude == "104°00'00.00\"W"
    assert form.site_elevation_ft == pytest.approx(900 / FT, abs=0.006)
    assert form.height_agl_ft == pytest.approx(60 / FT, abs=0.006)
    assert form.overall_amsl_ft == pytest.approx(960 / FT, abs=0.006)
    assert form.file_by == "2027-03-26" and "45 days" in form.lead_time and "2027-03-26" in form.lead_time
    assert form.nearest_airport == "KAAA: the mast stands 2.70 nautical miles (16,404 ft) W (270.05° true) of its nearest runway 09/27"
    assert "4D" in form.accuracy and "within 5 days" in form.supplemental and "77.11" in form.supplemental


def test_the_form_without_runways_or_elevation_says_so():
    form = screen(mast(60.0, None), None).form
    assert form.site_elevation_ft is None and form.overall_amsl_ft is None
    assert form.nearest_airport.startswith("not known") and form.file_by == ""


@pytest.mark.parametrize("name", ["NAVD88 height", "EGM96 height", "EGM2008", "sea level", "DHHN2016 height", "North American Vertical Datum of 1988", "mean sea level"])
def test_heights_above_sea_level(name):
    assert is_sea_level(name)


@pytest.mark.parametrize(
    "name", ["", "none (invented ground)", "WGS 84 ellipsoid", "Ellipsoid (NAVD88 to come)", "local benchmark", "unknown", "sea level, local", "ETRS89"]
)
def test_heights_that_are_not_known_as_above_sea_level(name):
    assert not is_sea_level(name)


def test_the_surveyed_height_comes_first_then_the_offset_then_the_datum():
    surveyed = ground_height(AirSource(site_elevation_ft_amsl=3000.0), 500.0, "", 2.0)
    assert surveyed.amsl_m == pytest.approx(914.4) and surveyed.error_m == 0.0
    moved = ground_height(AirSource(vertical_datum_offset_m=17.5), 500.0, "ellipsoid", 0.5)
    assert moved.amsl_m == 517.5 and moved.error_m == 1.0
    stated = ground_height(AirSource(), 500.0, "NAVD88 height", None)
    assert stated.amsl_m == 500.0 and "no error of the DEM is stated" in stated.text
    for name in ("", "WGS 84 ellipsoid"):
        unknown = ground_height(AirSource(), 500.0, name, 0.5)
        assert unknown.amsl_m is None and unknown.text.startswith("not known")
