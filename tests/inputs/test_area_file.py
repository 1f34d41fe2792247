"""Area files: what is read, every fault in one plain line in file order, and the spots' site files that come from them."""

from __future__ import annotations

import math
import re
import shutil
from dataclasses import replace
from pathlib import Path

import geopandas as gpd
import pytest
from shapely.geometry import Point, box

from siting.errors import InputError
from siting.inputs.area_file import read_area
from siting.inputs.site_file import read_site
from siting.inputs.spot_site import site_table
from siting.records.site import Limit

DEMO = Path(__file__).parents[2] / "sample_dem"
LEAST = 'name = "Area"\n[dem]\npath = "dem.tif"\n[mast]\nuse = "lattice-80"\n'
# Every table that a spot's plan can use, every path in a form of its own.
FULL = """name = "Every \\"table\\" \\\\ é"
date = 2027-03-15

[dem]
path = "ground/dem.tif"
vertical_unit = "ft"
vertical_error_m = 0.5
geoid = "geoid.gtx"

[mast]
use = "own mast.toml"

[land]
parcels = "parcels.gpkg"
parcel_id_field = "pin"
own = ["12-004", 7]
boundary_error_m = 1.5
obstacles = "lines.geojson"
rules = ["met-mast-1.1", "own_rules.toml"]

[[land.layers]]
name = "rail"
path = "layers/rail.geojson"

[limits]
gap_max_m = 2
anchor_slope_max_percent = 25.5

[crs]
projected = "EPSG:32612"

[points]
first_number = 100
offset_in_line_m = [3.0, -5.0]

[points.codes]
base = "BP"

[[points.lists]]
name = "tab"
columns = ["point", "northing"]
separator = "tab"

[lift]
cross_wind_m_s = 6.0

[soil]
uscs = "CL"
blow_count = 12

[[soil.anchors]]
id = "A1"
uscs = "SM"
blow_count = 20

[anchoring]

[wind]
basic_m_s = 24.0
source = "invented"

[air]
runways = "open"
heliports = "heli.csv"
rural = true

[sheet]
paper = "Letter"

[[control]]
name = "CP1"
lat = 46.5
lon = 7.4

[[features]]
name = "gate"
easting = 1.0
northing = 2.0

[search]
azimuth_step_deg = 3
spots = 4
apart_m = 150
mode = "full"
"""


@pytest.fixture
def folder(tmp_path):
    """A folder with every file that FULL names."""
    home = tmp_path / "area"
    for name in ("ground/dem.tif", "dem.tif", "geoid.gtx", "parcels.gpkg", "lines.geojson", "layers/rail.geojson", "heli.csv"):
        (home / name).parent.mkdir(parents=True, exist_ok=True)
        (home / name).write_bytes(b"")
    shutil.copy(Path(__file__).parents[2] / "siting" / "masts" / "lattice-60.toml", home / "own mast.toml")
    shutil.copy(Path(__file__).parents[2] / "siting" / "rules" / "fall-circle.toml", home / "own_rules.toml")
    return home


def read(folder: Path, text: str):
    (folder / "area.toml").write_text(text, encoding="utf-8")
    return read_area(folder / "area.toml")


def refused(folder: Path, text: str, *lines: str) -> None:
    with pytest.raises(InputError) as caught:
        read(folder, text)
    assert [fault.line() for fault in caught.value.faults] == list(lines)


def test_the_least_area_file_and_its_defaults(folder):
    job = read(folder, LEAST)
    options = job.options
    assert (job.name, job.where, job.folder) == ("Area", "area.toml", folder)
    assert (options.area, options.azimuth_step_deg, options.spots, options.apart_m, options.mode) == (None, 5.0, 10, 200.0, "passing")
    assert math.isnan(job.site.base.lat) and math.isnan(job.site.base.lon) and job.site.base.given_as == ""
    assert job.site.azimuth_deg is None and job.site.where == "area.toml"


def test_the_area_file_itself_is_no_source_of_the_cells(folder):
    """Whoever asks for other spots keeps the tiles that are there: the run's mark is made from the files of the site."""
    few, many = read(folder, LEAST + "[search]\nspots = 3\n"), read(folder, LEAST + "[search]\nspots = 30\n")
    assert few.site.files == many.site.files and few.site.options() == many.site.options()
    assert [shown for shown, _ in few.site.files] == ["lattice-80 (shipped mast)"]


def test_the_demo_asks_for_the_ground_and_the_land_of_the_demo_site():
    job, site = read_area(DEMO / "area.toml"), read_site(DEMO / "site.toml")
    assert (job.site.dem, job.site.mast, job.site.date, job.site.limits) == (site.dem, site.mast, site.date, site.limits)
    assert job.site.land == replace(site.land, setback_factor=Limit(1.1, "user (area.toml)"))
    assert (job.options.spots, job.options.apart_m) == (5, 40.0)


def test_an_area_of_polygons(folder):
    gpd.GeoDataFrame(geometry=[box(0, 0, 1, 1)], crs="EPSG:32612").to_file(folder / "area.gpkg")
    options = read(folder, LEAST + '[search]\narea = "area.gpkg"\n').options
    assert (options.area, options.area_shown) == (folder / "area.gpkg", "area.gpkg")
    absolute = str(folder / "area.gpkg")
    assert read(folder, LEAST + f'[search]\narea = "{absolute}"\n').options.area_shown == "area.gpkg"


def test_an_area_that_cannot_be_one_is_refused(folder):
    refused(folder, LEAST + '[search]\narea = "no.gpkg"\n', "no.gpkg: no such file. Check [search] area: it is relative to the area file.")
    gpd.GeoDataFrame(geometry=[Point(0, 0)], crs="EPSG:32612").to_file(folder / "points.gpkg")
    refused(folder, LEAST + '[search]\narea = "points.gpkg"\n', "points.gpkg: holds no polygons, but an area is made of polygons. Give polygons.")
    (folder / "text.gpkg").write_text("no layer", encoding="utf-8")
    refused(folder, LEAST + '[search]\narea = "text.gpkg"\n', "text.gpkg: cannot be read as a map layer. Give a GeoPackage, Shapefile, GeoJSON or the like.")
    for layer in ("one", "two"):
        gpd.GeoDataFrame(geometry=[box(0, 0, 1, 1)], crs="EPSG:32612").to_file(folder / "two.gpkg", layer=layer)
    refused(
        folder, LEAST + '[search]\narea = "two.gpkg"\n',
        "two.gpkg: holds 2 layers that may be meant. Keep the one layer that is the area in a file of its own.",
    )  # fmt: skip


def test_a_base_is_refused_plainly(folder):
    refused(
        folder, LEAST + "[base]\nlat = 46.5\nlon = 7.4\n",
        "area.toml, line 6, base: does not belong into an area file: the search finds the bases. "
        "Take the table [base] out, or use siting plan.",
    )  # fmt: skip


def test_an_azimuth_or_a_surveyed_height_of_one_place_is_refused(folder):
    refused(
        folder, LEAST + "[laydown]\nazimuth_deg = 90\n[air]\nsite_elevation_ft_amsl = 4680.0\n",
        'area.toml, line 7, [laydown] azimuth_deg: is 90, but a search looks in every azimuth: write "auto", or leave [laydown] out. Correct it.',
        "area.toml, line 9, [air] site_elevation_ft_amsl: is 4680, the ground at one base, but every spot has its own: "
        "take it out, or give vertical_datum_offset_m. Correct it.",
    )  # fmt: skip
    assert read(folder, LEAST + '[laydown]\nazimuth_deg = "auto"\n').site.azimuth_deg is None
    refused(
        folder, LEAST + '[laydown]\nazimuth_deg = "up"\n',
        "area.toml, line 7, [laydown] azimuth_deg: is 'up', but it must be \"auto\" or a number of degrees from true north. Correct it.",
    )  # fmt: skip


@pytest.mark.parametrize("step", ["0.5", "1", "2.5", "5.0", "7.5", "72", "360"])
def test_a_step_that_divides_the_circle_is_taken(folder, step):
    assert read(folder, LEAST + f"[search]\nazimuth_step_deg = {step}\n").options.azimuth_step_deg == float(step)


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("azimuth_step_deg = 7", "is 7, which does not divide 360 degrees; the nearest that does is 7.05882"),
        ("azimuth_step_deg = 0.1", "is 0.1, but it must be at least 0.5"),
        ("azimuth_step_deg = 361", "is 361, but it must be at most 360"),
        ("azimuth_step_deg = nan", "is nan, but it must be a finite number"),
        ("spots = 0", "is 0, but it must be at least 1"),
        ("spots = 2.5", "is 2.5, but it must be a whole number"),
        ("apart_m = -1", "is -1, but it must be at least 0"),
        ('mode = "all"', "is 'all', but it must be 'passing' or 'full'"),
        ('area = ""', "is '', but it must not be empty"),
    ],
)
def test_a_value_that_cannot_be_is_refused(folder, line, words):
    key = line.split()[0]
    refused(folder, LEAST + f"[search]\n{line}\n", f"area.toml, line 7, [search] {key}: {words}. Correct it.")


def test_every_fault_is_told_in_file_order_with_the_nearest_key(folder):
    refused(
        folder, LEAST + '[search]\nspot = 3\nmode = "passes"\n[limits]\ngap_m = 2.0\n[serach]\n',
        "area.toml, line 7, [search] spot: is not a key that siting knows. Did you mean spots?",
        "area.toml, line 8, [search] mode: is 'passes', but it must be 'passing' or 'full'. Correct it.",
        "area.toml, line 10, [limits] gap_m: is not a key that siting knows. Did you mean gap_max_m?",
        "area.toml, line 11, serach: is not a key that siting knows. Did you mean search?",
    )  # fmt: skip


def test_faults_of_files_are_told_together(folder):
    refused(
        folder, 'name = "A"\n[dem]\npath = "no.tif"\n[mast]\nuse = "latice-80"\n[land]\nparcels = "no.gpkg"\n[search]\narea = "none.shp"\n',
        "no.tif: no such file. Check [dem] path: it is relative to the area file.",
        "area.toml, [mast] use: 'latice-80' is neither a shipped mast nor a file. Did you mean lattice-80? shipped: "
        "lattice-100, lattice-60, lattice-80, tube-60; or give the path of a mast file relative to the area file.",
        "no.gpkg: no such file. Check [land] parcels: it is relative to the area file.",
        "none.shp: no such file. Check [search] area: it is relative to the area file.",
    )  # fmt: skip


def test_a_site_file_without_search_is_still_no_area_file_and_an_area_file_no_site_file(folder):
    (folder / "area.toml").write_text(LEAST + "[search]\n", encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_site(folder / "area.toml")
    lines = [fault.line() for fault in caught.value.faults]
    assert lines[0].startswith("area.toml, line 6, search: is not a key that siting knows. ")
    assert lines[1] == "area.toml, [base]: is missing. Add the table [base]."


def bare(site) -> str:
    """A site without what a spot's site file changes: base, names, how paths and sources are written; paths as they are found."""
    text = repr(replace(site, files=(), name="", base=None, where="", rules=replace(site.rules, files=())))
    text = re.sub(r"PosixPath\('([^']*)'\)", lambda found: str(Path(found[1]).resolve()), text)
    text = re.sub(r"(shown|shown_path|\w+_shown)='[^']*'", r"\1", text)
    return re.sub(r"(area|spot_01)\.toml", "file.toml", text)


@pytest.mark.parametrize("out", ["area", "area/out", "elsewhere/deep"])
def test_a_spot_s_site_file_is_read_as_the_search_s_own_site(folder, out):
    job = read(folder, FULL)
    home = folder.parent / out
    home.mkdir(parents=True, exist_ok=True)
    text = site_table(job, home, 46.51234567891, -7.4567, 'Spot "1"')
    (home / "spot_01.toml").write_text(text, encoding="utf-8")
    site = read_site(home / "spot_01.toml")
    assert (site.base.lat, site.base.lon, site.name, site.where) == (46.5123457, -7.4567, 'Spot "1"', "spot_01.toml")
    assert bare(site) == bare(job.site)
    assert [p.resolve() for _, p in site.files[1:]] == [p.resolve() for _, p in job.site.files]
    assert "[search]" not in text and str(folder.parent) not in text


def test_paths_that_are_no_file_beside_are_left_alone(folder):
    absolute = str(folder / "dem.tif")
    for path in (absolute, "https://example.org/dem.tif", "/vsicurl/https://example.org/dem.tif"):
        text = site_table(read(folder, LEAST.replace("dem.tif", path)), folder / "out", 1.0, 2.0, "x")
        assert f'path = "{path}"' in text
    assert 'use = "lattice-80"' in text
