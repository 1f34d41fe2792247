"""Faults of a site file: one plain line for each, in file order, and nothing is written."""

from __future__ import annotations

import pytest
from strategies import write_site

PLAN = ["plan", "site.toml", "--out", "out"]

FORMS = (
    " Write latitude then longitude: 46.51230, 7.45670 or 46°30'44.3\"N 7°27'24.1\"E, "
    "or UTM: 32T 381604 5152306, or MGRS: 32TLS8160452306."
)
# name: (changes of the site file, the lines)
CASES = {
    "unknown key in a table": (
        {"laydown": {"azimut_deg": 40.0}},
        ["site.toml, line 15, [laydown] azimut_deg: is not a key that siting knows. Did you mean azimuth_deg?"],
    ),
    "unknown key at the top": ({"nme": "x"}, ["site.toml, line 2, nme: is not a key that siting knows. Did you mean name?"]),
    "unknown table": (
        {"limit": {"gap_max_m": 2.0}},
        ["site.toml, line 14, limit: is not a key that siting knows. Did you mean limits?"],
    ),
    "unknown key with nothing near": (
        {"mast": {"zzz": 1}},
        ["site.toml, line 13, [mast] zzz: is not a key that siting knows. Known keys here: use."],
    ),
    "wrong type: text for a number": (
        {"base": {"lat": "46.5"}},
        ["site.toml, line 5, [base] lat: is '46.5', but it must be a number. Correct it."],
    ),
    "wrong type: number for text": ({"name": 7}, ['site.toml, line 1, name: is 7, but it must be text in "quotes". Correct it.']),
    "wrong type: a list": (
        {"land": {"own": "12-004"}},
        ["site.toml, line 15, [land] own: is '12-004', but it must be a list in [brackets]. Correct it."],
    ),
    "wrong type: a date as text": (
        {"date": "2027-05-10"},
        ["site.toml, line 2, date: is '2027-05-10', but it must be a date like 2027-03-15. Correct it."],
    ),
    "wrong type: no whole number": (
        {"dem": {"band": 1.5}},
        ["site.toml, line 10, [dem] band: is 1.5, but it must be a whole number. Correct it."],
    ),
    "wrong type: neither true nor false": (
        {"points": {"blank_unknown_elevation": "yes"}},
        ["site.toml, line 15, [points] blank_unknown_elevation: is 'yes', but it must be true or false. Correct it."],
    ),
    "not a number": (
        {"base": {"lat": float("nan")}},
        ["site.toml, line 5, [base] lat: is nan, but it must be a finite number. Correct it."],
    ),
    "infinite": (
        {"land": {"boundary_error_m": float("inf")}},
        ["site.toml, line 15, [land] boundary_error_m: is inf, but it must be a finite number. Correct it."],
    ),
    "infinite limit": (
        {"limits": {"gap_max_m": float("inf")}},
        ["site.toml, line 15, [limits] gap_max_m: is inf, but it must be a finite number. Correct it."],
    ),
    "negative error": (
        {"dem": {"vertical_error_m": -0.5}},
        ["site.toml, line 10, [dem] vertical_error_m: is -0.5, but it must be at least 0. Correct it."],
    ),
    "limit of nought": (
        {"limits": {"anchor_slope_max_percent": 0.0}},
        ["site.toml, line 15, [limits] anchor_slope_max_percent: is 0.0, but it must be more than 0. Correct it."],
    ),
    "limits crossed": (
        {"limits": {"laydown_slope_min_percent": 16.0}},
        ["site.toml, [limits]: laydown_slope_min_percent is not below laydown_slope_max_percent. Correct one of them."],
    ),
    "vertical unit unknown": (
        {"dem": {"vertical_unit": "feet"}},
        ["site.toml, line 10, [dem] vertical_unit: is 'feet', but it must be 'm', 'ft' or 'us-ft'. Correct it."],
    ),
    "azimuth in words": (
        {"laydown": {"azimuth_deg": "uphill"}},
        [
            "site.toml, line 15, [laydown] azimuth_deg: is 'uphill', but it must be \"auto\" or a number of degrees from true north. Correct it."
        ],
    ),
    "azimuth beyond the circle": (
        {"laydown": {"azimuth_deg": 400.0}},
        [
            "site.toml, line 15, [laydown] azimuth_deg: is 400, but it must lie between 0 and 360 degrees from true north. Correct it."
        ],
    ),
    "azimuth not a number": (
        {"laydown": {"azimuth_deg": float("nan")}},
        ["site.toml, line 15, [laydown] azimuth_deg: is nan, but it must be a finite number. Correct it."],
    ),
    "missing table": ({"dem": None}, ["site.toml, [dem]: is missing. Add the table [dem]."]),
    "missing key": ({"dem": {"path": None}}, ["site.toml, line 8, [dem] path: is missing. Add path = …"]),
    "missing keys in file order": (
        {"name": None, "mast": {"use": None}},
        ["site.toml, line 10, [mast] use: is missing. Add use = …", "site.toml, name: is missing. Add name = …"],
    ),
    "empty name": ({"name": ""}, ["site.toml, line 1, name: is '', but it must not be empty. Correct it."]),
    "base in two forms": (
        {"base": {"text": "46.5, 7.5"}},
        [
            "site.toml, [base]: gives the point in 2 forms (lat and lon; text). Give exactly one of: lat and lon; easting, northing and crs; text."
        ],
    ),
    "base in no form": (
        {"base": {"lat": None, "lon": None}},
        ["site.toml, [base]: has no point. Give exactly one of: lat and lon; easting, northing and crs; text."],
    ),
    "base without longitude": (
        {"base": {"lon": None}},
        ["site.toml, [base]: is incomplete: it needs lat and lon. Add what is missing."],
    ),
    "base without crs": (
        {"base": {"lat": None, "lon": None, "easting": 385000.0, "northing": 5150000.0}},
        ["site.toml, [base]: is incomplete: it needs easting, northing and crs. Add what is missing."],
    ),
    "latitude and longitude swapped, out of range": (
        {"base": {"lat": -109.85, "lon": 47.03}},
        [
            "site.toml, [base]: latitude -109.85 lies outside -90 to 90; latitude and longitude look swapped. Give latitude first, in degrees."
        ],
    ),
    "latitude and longitude swapped, in range": (
        {"base": {"lat": 7.5, "lon": 46.5}},
        [
            "base 7.500000, 46.500000: lies outside dem.tif, which covers latitude 46.49898 to 46.50102, longitude 7.49853 to 7.50148. Latitude and longitude look swapped: give latitude first."
        ],
    ),
    "latitude that is no longitude either": (
        {"base": {"lat": 465.123, "lon": 7.5}},
        ["site.toml, [base]: latitude 465.123 lies outside -90 to 90. Give latitude first, in degrees."],
    ),
    "longitude out of range": (
        {"base": {"lon": 187.5}},
        ["site.toml, [base]: longitude 187.5 lies outside -180 to 180. Give it in degrees."],
    ),
    "point outside the DEM": (
        {"base": {"lat": 46.6}},
        [
            "base 46.600000, 7.500000: lies outside dem.tif, which covers latitude 46.49898 to 46.50102, longitude 7.49853 to 7.50148. Check the base and the DEM."
        ],
    ),
    "text that is no point": (
        {"base": {"lat": None, "lon": None, "text": "on the hill"}},
        ["site.toml, [base]: 'on the hill' is not a point that siting can read." + FORMS],
    ),
    "UTM without a zone that there is": (
        {"base": {"lat": None, "lon": None, "text": "72T 385000 5150000"}},
        ["site.toml, [base]: '72T' is not a UTM zone and band." + FORMS],
    ),
    "UTM with N for north": (
        {"base": {"lat": None, "lon": None, "text": "32N 385000 5150000"}},
        [
            "site.toml, [base]: '32N 385000 5150000': a northing of 5150000 m lies at latitude 46.49, outside band N (0 to 8). Give the band letter (C to X), not N or S for the hemisphere; or use easting, northing and crs."
        ],
    ),
    "DMS with 60 minutes": (
        {"base": {"lat": None, "lon": None, "text": "46°60'00\"N 7°30'00\"E"}},
        ["site.toml, [base]: '46°60'00\"N 7°30'00\"E' has 60 or more minutes or seconds." + FORMS],
    ),
    "DMS with sign and letter": (
        {"base": {"lat": None, "lon": None, "text": "-46°30'00\"N 7°30'00\"E"}},
        ["site.toml, [base]: '-46°30'00\"N 7°30'00\"E' has a sign and a letter for one angle. Keep one of them."],
    ),
    "MGRS of no square": (
        {"base": {"lat": None, "lon": None, "text": "32TAS8500050000"}},
        ["site.toml, [base]: '32TAS8500050000' is not an MGRS reference." + FORMS],
    ),
    "MGRS with unequal halves": (
        {"base": {"lat": None, "lon": None, "text": "32TLS850005000"}},
        ["site.toml, [base]: '32TLS850005000' is not a point that siting can read." + FORMS],
    ),
    "grid with unknown crs": (
        {"base": {"lat": None, "lon": None, "easting": 385000.0, "northing": 5150000.0, "crs": "EPSG:999999"}},
        ["site.toml, [base]: 'EPSG:999999' is not a coordinate system that PROJ knows. Write it like \"EPSG:32632\"."],
    ),
    "grid with geographic crs": (
        {"base": {"lat": None, "lon": None, "easting": 7.5, "northing": 46.5, "crs": "EPSG:4326"}},
        ["site.toml, [base]: 'EPSG:4326' has no eastings and northings. Name a projected system, or give lat and lon."],
    ),
    "easting and northing swapped": (
        {"base": {"lat": None, "lon": None, "easting": 5150000.0, "northing": 385000.0, "crs": "EPSG:32632"}},
        [
            "site.toml, [base]: 5150000.000 E, 385000.000 N (WGS 84 / UTM zone 32N) lies far outside the area that the system is made for (easting and northing may be swapped). Check easting, northing and crs."
        ],
    ),
    "projected crs unknown": (
        {"crs": {"projected": "UTM 32"}},
        ["site.toml, [crs] projected: 'UTM 32' is not a coordinate system that PROJ knows. Write it like \"EPSG:32632\"."],
    ),
    "projected crs geographic": (
        {"crs": {"projected": "EPSG:4326"}},
        ["site.toml, [crs] projected: 'EPSG:4326' is not a projected system. Name one, like \"EPSG:32632\"."],
    ),
    "projected crs not conformal": (
        {"crs": {"projected": "EPSG:3035"}},
        [
            "site.toml, [crs] projected: ETRS89-extended / LAEA Europe stretches lengths by 0.999034 north-south but by 1.000967 east-west, so it has no point scale to stake by. Name a conformal system such as a UTM or state plane zone."
        ],
    ),
    "Web Mercator is not conformal on the ellipsoid": (
        {"crs": {"projected": "EPSG:3857"}},
        [
            "site.toml, [crs] projected: WGS 84 / Pseudo-Mercator stretches lengths by 1.454810 north-south but by 1.450179 east-west, so it has no point scale to stake by. Name a conformal system such as a UTM or state plane zone."
        ],
    ),
    "DEM missing": (
        {"dem": {"path": "dems/north.tif"}},
        ["dems/north.tif: no such file. Check [dem] path: it is relative to the site file."],
    ),
    "mast unknown": (
        {"mast": {"use": "lattice-88"}},
        [
            "site.toml, [mast] use: 'lattice-88' is neither a shipped mast nor a file. Did you mean lattice-80? shipped: lattice-100, lattice-60, lattice-80, tube-60; or give the path of a mast file relative to the site file."
        ],
    ),
    "mast unknown with nothing near": (
        {"mast": {"use": "zzz"}},
        [
            "site.toml, [mast] use: 'zzz' is neither a shipped mast nor a file. Shipped: lattice-100, lattice-60, lattice-80, tube-60; or give the path of a mast file relative to the site file."
        ],
    ),
    "parcels missing": (
        {"land": {"parcels": "p.gpkg"}},
        ["p.gpkg: no such file. Check [land] parcels: it is relative to the site file."],
    ),
    "own without parcels": (
        {"land": {"own": ["12-004"]}},
        ["site.toml, [land] own: is given without parcels. Add [land] parcels."],
    ),
    "faults of base, DEM, mast, land and limits at once": (
        {
            "base": {"lat": 91.0},
            "dem": {"path": "no.tif"},
            "mast": {"use": "lattice-90"},
            "land": {"parcels": "p.gpkg"},
            "limits": {"laydown_slope_min_percent": 20.0},
        },
        [
            "site.toml, [base]: latitude 91 lies outside -90 to 90; latitude and longitude look swapped. Give latitude first, in degrees.",
            "no.tif: no such file. Check [dem] path: it is relative to the site file.",
            "site.toml, [mast] use: 'lattice-90' is neither a shipped mast nor a file. Did you mean lattice-80? shipped: lattice-100, lattice-60, lattice-80, tube-60; or give the path of a mast file relative to the site file.",
            "p.gpkg: no such file. Check [land] parcels: it is relative to the site file.",
            "site.toml, [limits]: laydown_slope_min_percent is not below laydown_slope_max_percent. Correct one of them.",
        ],
    ),
    "a word of the ground among other faults, in file order": (
        {
            "soil": {"plain_words": "blorb", "blow_count": 5000.0},
            "limits": {"laydown_slope_min_percent": 20.0},
            "wind": {"basic_m_s": 25.0},
            "land": {"obstacles": "o.gpkg", "parcels": "p.gpkg"},
        },
        [
            "site.toml, [soil] plain_words: 'blorb' in 'blorb' is no word that siting knows of the ground. Did you mean bog?",
            "site.toml, [soil] blow_count: a blow count of 5000 lies outside 0 to 1000. Give the blows for 300 mm.",
            "site.toml, [limits]: laydown_slope_min_percent is not below laydown_slope_max_percent. Correct one of them.",
            'site.toml, [wind] basic_m_s: is a wind speed without its source. Add source = "national annex, map, place".',
            "o.gpkg: no such file. Check [land] obstacles: it is relative to the site file.",
            "and 1 more",
        ],
    ),
    "a word of the ground that the DEM need not be read for": (
        {"dem": {"path": "no.tif"}, "soil": {"uscs": "XX"}},
        [
            "no.tif: no such file. Check [dem] path: it is relative to the site file.",
            "site.toml, [soil] uscs: 'XX' is no soil group. Known: GW, GP, GM, GC, SW, SP, SM, SC, ML, CL, MH, CH, OL, OH, PT, GW-GM, GW-GC, GP-GM, GP-GC, GC-GM, SW-SM, SW-SC, SP-SM, SP-SC, SC-SM, CL-ML.",
        ],
    ),
    "six faults, five shown": (
        {
            "base": {"lat": "46.5", "lon": "7.5"},
            "dem": {"vertical_unit": "yd", "band": 0},
            "laydown": {"azimuth_deg": "north"},
            "limits": {"gap_max_m": -1.0, "gap_min_m": 0.0},
        },
        [
            "site.toml, line 5, [base] lat: is '46.5', but it must be a number. Correct it.",
            "site.toml, line 6, [base] lon: is '7.5', but it must be a number. Correct it.",
            "site.toml, line 10, [dem] vertical_unit: is 'yd', but it must be 'm', 'ft' or 'us-ft'. Correct it.",
            "site.toml, line 11, [dem] band: is 0, but it must be at least 1. Correct it.",
            "site.toml, line 17, [laydown] azimuth_deg: is 'north', but it must be \"auto\" or a number of degrees from true north. Correct it.",
            "and 2 more",
        ],
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_site_file(name, assert_refused, site_folder):
    changes, lines = CASES[name]
    write_site(site_folder, **changes)
    assert_refused(PLAN, *lines)
