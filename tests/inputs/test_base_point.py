"""A base as a person types it: every form there and back, and the points that several forms name."""

from __future__ import annotations

import math

import mgrs
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from pyproj import Transformer
from strategies import EARTH, longitudes
from twin_layout import utm_epsg

from siting.errors import InputError
from siting.inputs.base_point import base_from_degrees, base_from_grid, base_from_text
from siting.units import dms_text

BANDS = "CDEFGHJKLMNPQRSTUVWX"
# Not on the equator itself, where a rounded latitude has one hemisphere and its band another.
latitudes_of_utm = st.floats(-79.9, 83.9, allow_nan=False).filter(lambda lat: abs(lat) > 1e-6)


def apart_m(point, lat: float, lon: float) -> float:
    return EARTH.Inverse(point.lat, point.lon, lat, lon)["s12"]


@given(st.floats(-90.0, 90.0), st.floats(-180.0, 180.0), st.sampled_from([", ", "; ", " ", ","]))
@example(-0.0, 180.0, ", ")
def test_decimal_degrees(lat, lon, between):
    point = base_from_text(f"{lat:.9f}{between}{lon:.9f}", "x")
    assert (point.lat, point.lon) == pytest.approx((lat, lon), abs=1e-9)


@given(st.floats(-89.9, 89.9), st.floats(-179.9, 179.9))
@example(0.0001, -0.0001)
def test_degrees_minutes_seconds_as_the_packet_writes_them(lat, lon):
    text = f"{dms_text(lat, 'N', 'S')} {dms_text(lon, 'E', 'W')}"
    point = base_from_text(text, "x")
    assert (point.lat, point.lon) == pytest.approx((lat, lon), abs=0.00051 / 3600)
    assert point.given_as == text


@given(latitudes_of_utm, longitudes)
def test_utm(lat, lon):
    code = utm_epsg(lat, lon)
    easting, northing = Transformer.from_crs("EPSG:4326", code, always_xy=True).transform(lon, lat)
    band = BANDS[min(int((lat + 80) // 8), 19)]
    point = base_from_text(f"{code % 100}{band} {easting:.3f} {northing:.3f}", "x")
    assert apart_m(point, lat, lon) < 0.001


@given(latitudes_of_utm, longitudes)
def test_mgrs_names_a_square_of_a_metre_and_its_middle_is_taken(lat, lon):
    text = mgrs.MGRS().toMGRS(lat, lon, MGRSPrecision=5)
    assert apart_m(base_from_text(text, "x"), lat, lon) < math.sqrt(0.5) * 1.002


@pytest.mark.parametrize(
    "text",
    [
        "46.5123, 7.4567", "46.5123 7.4567", "46.5123° 7.4567°", "+46.5123;+7.4567", "46.5123N 7.4567E", "46.5123° N, 7.4567° E",
        "N 46.5123 E 7.4567", "46°30'44.28\"N 7°27'24.12\"E", "46 30 44.28 N 7 27 24.12 E", "46°30′44.28″N, 7°27′24.12″E",
        "N46°30'44.28\" E7°27'24.12\"", "46°30.738'N 7°27.402'E", "46:30:44.28 7:27:24.12", "46d30m44.28s 7d27m24.12s",
        "46°30'44.28\"N 7°27'24.12\"O",
    ],
)  # fmt: skip
def test_forms_of_one_point(text):
    point = base_from_text(text, "x")
    assert (point.lat, point.lon) == pytest.approx((46.5123, 7.4567), abs=1e-7)


@pytest.mark.parametrize(
    ("text", "lat", "lon"),
    [
        ("46.5123S 7.4567W", -46.5123, -7.4567),
        ("-46.5123, -7.4567", -46.5123, -7.4567),
        ("46°30'44.28\"S 7°27'24.12\"W", -46.5123, -7.4567),
        ("S 46 30 44.28 W 7 27 24.12", -46.5123, -7.4567),
        ("-0°30'00\" -0°15'00\"", -0.5, -0.25),
        ("0°30'S 0°15'E", -0.5, 0.25),
    ],
)
def test_signs_and_letters(text, lat, lon):
    point = base_from_text(text, "x")
    assert (point.lat, point.lon) == pytest.approx((lat, lon), abs=1e-7)


@pytest.mark.parametrize(
    "text",
    ["", "46.5", "46.5, 7.5, 9", "46,5 7,5", "north of the barn", "7.5E 46.5N", "46°30'44.3\"N", "32T", "nan, 7.5", "1e2, 5"],
)
def test_what_is_no_point_is_refused(text):
    """A decimal comma, the wrong order of letters, half a point: never a guess."""
    with pytest.raises(InputError) as caught:
        base_from_text(text, "site.toml, [base]")
    assert str(caught.value).startswith(f"site.toml, [base]: '{' '.join(text.split())}' ") or "lies outside" in str(caught.value)
    assert caught.value.faults[0].code in ("base_text", "base_range")


def test_the_letter_of_a_band_that_does_not_hold_the_northing():
    with pytest.raises(InputError) as caught:
        base_from_text("32S 381604 5152306", "x")
    assert "outside band S (32 to 40)" in str(caught.value)


def test_a_square_of_ten_metres_gives_its_middle():
    fine, coarse = base_from_text("32TLS8160552305", "x"), base_from_text("32TLS81605230", "x")
    assert apart_m(coarse, fine.lat, fine.lon) < 1.0
    assert base_from_text("32t ls 81605 52305", "x").lat == fine.lat


def test_eastings_and_northings_in_any_projected_system():
    swiss = base_from_grid(2600000.0, 1200000.0, "EPSG:2056", "x")
    # The system's own origin, Bern's old observatory, at 46°57'03.9" N 7°26'19.1" E: from memory.
    assert apart_m(swiss, 46 + 57 / 60 + 3.89 / 3600, 7 + 26 / 60 + 19.09 / 3600) < 3.0
    feet = base_from_grid(3_000_000.0, 1_700_000.0, "EPSG:2232", "x")
    easting, northing = Transformer.from_crs("EPSG:4326", "EPSG:2232", always_xy=True).transform(feet.lon, feet.lat)
    assert (easting, northing) == pytest.approx((3_000_000.0, 1_700_000.0), abs=0.01)


@given(st.one_of(st.floats(90.0001, 1e6), st.floats(-1e6, -90.0001)), st.floats(-180.0, 180.0))
def test_latitudes_beyond_the_poles_are_refused(lat, lon):
    with pytest.raises(InputError, match=r"^x: latitude .* lies outside -90 to 90"):
        base_from_degrees(lat, lon, "x")
