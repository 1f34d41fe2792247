"""Eastings, northings, convergence, scale and combined factor against published worked examples.

Sources, with the edition beside each table: IOGP GIGS test 5101; IOGP guidance note 373-7-2; Ordnance Survey;
USGS Professional Paper 1395; ICSM GDA technical manual; US NGS NCAT; US FGDC. Values are typed in from the source, never
computed here. Angles in degrees; lengths in metres. A tolerance is half a unit of the last printed digit, or the
one that the source states.
"""

import math

import pytest
from pyproj import CRS

from siting.errors import FrameError
from siting.geodesy.frames import frame_at
from siting.geodesy.geodesic import WGS84, azimuth_and_ground_m
from siting.geodesy.links import link_at
from siting.inputs.base_point import base_from_text

ARC_SECOND = 1.0 / 3600.0


def dms(degrees, minutes, seconds):
    """Decimal degrees; the sign stands on the first part that is not zero."""
    sign = -1.0 if degrees < 0 else 1.0
    return sign * (abs(degrees) + minutes / 60.0 + seconds / 3600.0)


def metres_apart(lon, lat, to_lon, to_lat):
    """Length of the geodesic between two points, metres."""
    return WGS84.inv(lon, lat, to_lon, to_lat)[2]


# IOGP GIGS (Geospatial Integrity of Geoscience Software) v2.0, test 5101: the series states its own tolerance.
GIGS_TOLERANCE_M = 0.03
# Part 1: the British grid's parameters on the WGS 84 ellipsoid. (lat, lon, E, N)
GIGS_5101_1_CRS = "+proj=tmerc +lat_0=49 +lon_0=-2 +k=0.9996012717 +x_0=400000 +y_0=-100000 +datum=WGS84 +type=crs"
GIGS_5101_1 = (
    (49.0, 3.0, 765648.501, -87944.740),
    (20.0, 3.0, 923539.353, -3308151.625),
    (60.0, 2.9999999, 678711.584, 1134498.830),
)
# Part 2: UTM 31N, also far outside the zone. (lat, lon, E, N)
GIGS_5101_2 = (
    (80.0, -2.0, 403186.945, 8885748.708),
    (60.0, -2.0, 221288.770, 6661953.041),
    (40.0, -2.0, 73106.698, 4439746.917),
    (20.0, -2.0, -23538.687, 2219308.238),
    (0.0, -2.0, -57087.120, 0.000),
    (-40.0, -2.0, 73106.698, -4439746.917),
    (60.0, -5.0, 54506.435, 6678411.623),
    (60.0, 1.0, 388455.958, 6653097.435),
    (60.0, 4.0, 555776.267, 6651832.735),
)
GIGS = [(GIGS_5101_1_CRS, *row) for row in GIGS_5101_1] + [("EPSG:32631", *row) for row in GIGS_5101_2]


def test_every_gigs_row_is_here():
    assert (len(GIGS_5101_1), len(GIGS_5101_2)) == (3, 9)


@pytest.mark.parametrize(("crs", "lat", "lon", "easting", "northing"), GIGS)
def test_gigs_5101_forward_and_inverse(crs, lat, lon, easting, northing):
    frame = frame_at(lat, lon, 0.0, crs, "GIGS 5101")
    assert frame.easting == pytest.approx(easting, abs=GIGS_TOLERANCE_M)
    assert frame.northing == pytest.approx(northing, abs=GIGS_TOLERANCE_M)
    back_lon, back_lat = frame.link.inverse(easting, northing)
    assert metres_apart(back_lon, back_lat, lon, lat) <= GIGS_TOLERANCE_M


# ICSM, Geocentric Datum of Australia Technical Manual v2.3/2.4, Redfearn's formulae, worked example (GRS 80).
# The manual prints convergence with the other sign: grid bearing = azimuth + convergence.
# (name, lat, lon, MGA zone's code, E, N, convergence as printed, point scale)
FLINDERS = ("Flinders Peak", dms(-37, 57, 3.72030), dms(144, 25, 29.52440))
BUNINYONG = ("Buninyong", dms(-37, 39, 10.15610), dms(143, 55, 35.38390))
GDA = (
    (*FLINDERS, "EPSG:28355", 273741.297, 5796489.777, dms(-1, 35, 3.65), 1.00023056),
    (*BUNINYONG, "EPSG:28354", 758173.797, 5828674.340, dms(1, 47, 19.36), 1.00042107),
)
GDA_METRES, GDA_ARC_SECONDS, GDA_SCALE = 0.0005, 0.005, 5e-9  # half of the last digit printed


def test_every_gda_row_is_here():
    assert len(GDA) == 2


@pytest.mark.parametrize(("name", "lat", "lon", "crs", "easting", "northing", "printed_deg", "scale"), GDA)
def test_gda_redfearn_example(name, lat, lon, crs, easting, northing, printed_deg, scale):
    frame = frame_at(lat, lon, 0.0, crs, name)
    assert frame.easting == pytest.approx(easting, abs=GDA_METRES)
    assert frame.northing == pytest.approx(northing, abs=GDA_METRES)
    assert frame.convergence_deg == pytest.approx(-printed_deg, abs=GDA_ARC_SECONDS * ARC_SECOND)
    assert frame.point_scale == pytest.approx(scale, abs=GDA_SCALE)


def test_gda_line_between_the_two_in_one_zone():
    # Same manual, grid calculations: plane bearing 305 17 21.18, plane distance 54992.279; azimuth 306 52 05.37.
    start = frame_at(*FLINDERS[1:], 0.0, "EPSG:28355", "Flinders Peak")
    east, north = (float(v) for v in start.grid(BUNINYONG[2], BUNINYONG[1]))
    d_east, d_north = east - start.easting, north - start.northing
    assert math.hypot(d_east, d_north) == pytest.approx(54992.279, abs=GDA_METRES)
    plane_deg = math.degrees(math.atan2(d_east, d_north)) % 360.0
    assert plane_deg == pytest.approx(dms(305, 17, 21.18), abs=GDA_ARC_SECONDS * ARC_SECOND)
    # Grid bearing = plane bearing - arc-to-chord (printed 19.47 s), and grid = true - convergence.
    azimuth_deg, _ = azimuth_and_ground_m(*FLINDERS[1:], BUNINYONG[1], BUNINYONG[2], 0.0)
    grid_deg = azimuth_deg - start.convergence_deg
    assert grid_deg == pytest.approx(dms(305, 17, 1.72), abs=2 * GDA_ARC_SECONDS * ARC_SECOND)  # sum of two prints


# US National Geodetic Survey, NCAT documentation, sample responses (NAD 83, GRS 80); h ellipsoid height.
NCAT_METRES, NCAT_ARC_SECONDS, NCAT_FACTOR = 0.0005, 0.005, 5e-9  # half of the last digit printed
NCAT_POINTS = (  # (code, lat, lon, h, E, N, convergence, point scale as printed, its half digit, combined factor)
    ("EPSG:26917", 40.0, -80.0, 100.0, 585360.462, 4428236.065, dms(0, 38, 34.17), 0.9996897, 5e-8, 0.99967402),
    ("EPSG:32129", 40.0, -80.0, 100.0, 407886.482, 76470.584, dms(-1, 27, 35.22), 0.99999024, 5e-9, None),
)


def test_every_ncat_and_usng_row_is_here():
    assert (len(NCAT_POINTS), len(USNG)) == (2, 2)


@pytest.mark.parametrize(("crs", "lat", "lon", "h", "e", "n", "convergence_deg", "scale", "half", "combined"), NCAT_POINTS)
def test_ncat_point(crs, lat, lon, h, e, n, convergence_deg, scale, half, combined):
    frame = frame_at(lat, lon, h, crs, "NCAT")
    assert frame.easting == pytest.approx(e, abs=NCAT_METRES)
    assert frame.northing == pytest.approx(n, abs=NCAT_METRES)
    assert frame.convergence_deg == pytest.approx(convergence_deg, abs=NCAT_ARC_SECONDS * ARC_SECOND)
    assert frame.point_scale == pytest.approx(scale, abs=half)
    if combined is not None:
        assert frame.combined_factor == pytest.approx(combined, abs=NCAT_FACTOR)


def test_ncat_utm_15_from_eastings_and_northings():
    # Same source: N 4138641.149, E 547883.621, zone 15, h 100.022 -> +0 19 42.68, 0.99962824, 0.99961255.
    link = link_at(CRS("EPSG:26915"), 37.4, -92.5, "NCAT")
    lon, lat = (float(v) for v in link.inverse(547883.621, 4138641.149))
    frame = frame_at(lat, lon, 100.022, "EPSG:26915", "NCAT")
    assert frame.easting == pytest.approx(547883.621, abs=NCAT_METRES)
    assert frame.northing == pytest.approx(4138641.149, abs=NCAT_METRES)
    assert frame.convergence_deg == pytest.approx(dms(0, 19, 42.68), abs=NCAT_ARC_SECONDS * ARC_SECOND)
    assert frame.point_scale == pytest.approx(0.99962824, abs=NCAT_FACTOR)
    assert frame.combined_factor == pytest.approx(0.99961255, abs=NCAT_FACTOR)


# FGDC-STD-011-2001, United States National Grid, 5.2.2 and table 1: the Washington Monument, E 323483.168,
# N 4306479.498 in zone 18. The digits are cut, not rounded; siting takes the middle of the square that they name.
USNG = (("18SUJ2348306479", 1.0), ("18SUJ23480647", 10.0))  # (text, side of the square)


@pytest.mark.parametrize(("text", "side_m"), USNG)
def test_usng_text_is_the_middle_of_its_square(text, side_m):
    base = base_from_text(text, "USNG")
    east, north = (float(v) for v in link_at(CRS("EPSG:32618"), 38.9, -77.0, "USNG").forward(base.lon, base.lat))
    half, digit = side_m / 2.0, 1e-6
    assert (east, north) == pytest.approx(
        (323483.168 // side_m * side_m + half, 4306479.498 // side_m * side_m + half), abs=digit
    )
    assert abs(east - 323483.168) <= half + digit
    assert abs(north - 4306479.498) <= half + digit


# Examples on older ellipsoids. siting takes WGS 84 degrees; for a CRS that names an ellipsoid but no datum, PROJ
# carries the degrees over unchanged and calls that ballpark, which is what a printed projection example does.
# So these hold the projection, not a datum shift, and the test asserts that no shift took place.
BRITISH = "+proj=tmerc +lat_0=49 +lon_0=-2 +k=0.9996012717 +x_0=400000 +y_0=-100000 +a=6377563.396 +rf=299.3249646 +type=crs"
CLARKE_18 = "+proj=tmerc +lat_0=0 +lon_0=-75 +k=0.9996 +ellps=clrk66 +type=crs"
OLD_ELLIPSOIDS = (  # (crs, lat, lon, E, N, half of the last digit; source)
    # Ordnance Survey, A guide to coordinate systems in Great Britain, Annex C.
    (BRITISH, dms(52, 39, 27.2531), dms(1, 43, 4.5177), 651409.903, 313177.270, 0.0005),
    # IOGP guidance note 373-7-2 (Sept 2019), Transverse Mercator; other printings give ...4.98 and ...0.49, so 1 cm.
    (BRITISH, 50.5, 0.5, 577274.99, 69740.50, 0.01),
    # J. P. Snyder, USGS Professional Paper 1395 (1987), p. 269; no false easting.
    (CLARKE_18, 40.5, -73.5, 127106.5, 4484124.4, 0.05),
)


def test_every_old_ellipsoid_row_is_here():
    assert len(OLD_ELLIPSOIDS) == 3


@pytest.mark.parametrize(("crs", "lat", "lon", "easting", "northing", "tolerance_m"), OLD_ELLIPSOIDS)
def test_printed_transverse_mercator_on_its_own_ellipsoid(crs, lat, lon, easting, northing, tolerance_m):
    link = link_at(CRS(crs), lat, lon, "printed example")
    assert link.is_ballpark, "the degrees must be carried over unchanged"
    x, y = (float(v) for v in link.forward(lon, lat))
    assert x == pytest.approx(easting, abs=tolerance_m)
    assert y == pytest.approx(northing, abs=tolerance_m)


def test_south_orientated_grid_never_turns_a_bearing():
    # IOGP guidance note 373-7-2, Transverse Mercator (South Orientated): Y 71984.48 (west), X 2847342.74 (south).
    # A system whose axes run west and south is refused, or its bearings still come out from true north.
    lat, lon = dms(-25, 43, 55.302), dms(28, 16, 57.479)
    try:
        frame = frame_at(lat, lon, 0.0, "EPSG:2053", "Hartebeesthoek94 / Lo29")
    except FrameError as refusal:
        assert "Hartebeesthoek94 / Lo29" in str(refusal)
        return
    assert sorted(abs(v) for v in (frame.easting, frame.northing)) == pytest.approx([71984.48, 2847342.74], abs=0.01)
    east_of_it = frame.ground_xy(lon + 0.001, lat)
    assert frame.true_bearing_deg(*(float(v) for v in east_of_it)) == pytest.approx(90.0, abs=0.01)
