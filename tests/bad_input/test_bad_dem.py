"""DEMs that cannot serve, and ground that is not there: the file or the point is named, and nothing is written."""

from __future__ import annotations

import warnings

import numpy as np
import pytest
import rasterio
from rasterio.errors import NotGeoreferencedWarning
from rasterio.transform import Affine
from strategies import LAT, LON, ground_point, write_site
from synthetic import plane, write_dem

PLAN = ["plan", "site.toml", "--out", "out"]


def rewritten(change, bands: int = 1, dtype: str = "float32", add_m: float = 0.0, **site):
    """A maker that writes dem.tif anew with a changed profile."""

    def make(folder):
        write_site(folder, **site)
        with rasterio.open(folder / "dem.tif") as dem:
            profile, heights = dem.profile, dem.read(1)
        profile.update(count=bands, dtype=dtype)
        if dtype != "float32":
            profile.update(nodata=None)
        unit = change(profile) or ""
        (folder / "dem.tif").unlink()
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", NotGeoreferencedWarning)
            raster = rasterio.open(folder / "dem.tif", "w", **profile)
        with raster as dem:
            for band in range(1, bands + 1):
                dem.write((heights + add_m).astype(dtype), band)
            if unit:
                dem.units = (unit,) * bands

    return make


def with_hole(azimuth_deg: float, radius_m: float, size_m: float = 6.0, **site):
    """A maker of a level DEM with a hole without data at an azimuth and a distance from the base."""

    def make(folder):
        write_site(folder, **site)
        turn = np.radians(azimuth_deg)
        hole = (radius_m * np.sin(turn), radius_m * np.cos(turn), size_m)
        write_dem(folder / "dem.tif", plane(6.0, 40.0), LAT, LON, half_width_m=110.0, cell_m=2.0, hole=hole)

    return make


def small(half_width_m: float, **site):
    """A maker of a DEM that ends near the base."""

    def make(folder):
        write_site(folder, **site)
        write_dem(folder / "dem.tif", plane(6.0, 40.0), LAT, LON, half_width_m=half_width_m, cell_m=2.0)

    return make


def content(data: bytes):
    """A maker of dem.tif with these bytes."""

    def make(folder):
        write_site(folder)
        (folder / "dem.tif").write_bytes(data)

    return make


def cut_short(folder):
    write_site(folder)
    whole = (folder / "dem.tif").read_bytes()
    (folder / "dem.tif").write_bytes(whole[: len(whole) // 2])


def far_north(folder):
    write_site(folder, base={"lat": 84.5, "lon": 7.5})
    write_dem(folder / "dem.tif", plane(6.0, 40.0), 84.5, 7.5, crs="EPSG:3413", half_width_m=110.0, cell_m=2.0)


def site_crs(wkt: str):
    return rewritten(lambda p: p.update(crs=rasterio.crs.CRS.from_wkt(wkt)))


LOCAL = 'LOCAL_CS["site grid",UNIT["metre",1],AXIS["Easting",EAST],AXIS["Northing",NORTH]]'
EDGE_LON, EDGE_LAT = ground_point(0.0, 110.8, 500.0)
CASES = {
    "no CRS": (
        rewritten(lambda p: p.update(crs=None)),
        [
            "dem.tif: carries no coordinate system, so nobody knows where it lies. Write its system into the file (for example with gdal_edit -a_srs) or export the DEM again."
        ],
    ),
    "no georeference": (
        rewritten(lambda p: p.update(transform=Affine.identity())),
        ["dem.tif: carries no georeference (its cells have no place on the ground). Export the DEM again with its georeference."],
    ),
    "no georeference and no CRS": (
        rewritten(lambda p: p.update(transform=Affine.identity(), crs=None)),
        [
            "dem.tif: carries no coordinate system, so nobody knows where it lies. Write its system into the file (for example with gdal_edit -a_srs) or export the DEM again."
        ],
    ),
    "a CRS of no place on earth": (
        site_crs(LOCAL),
        [
            "dem.tif: its coordinate system 'site grid' is tied to no place on the earth. Export the DEM in a projected or geographic system."
        ],
    ),
    "three bands": (
        rewritten(lambda p: None, bands=3, dtype="uint8"),
        ["dem.tif: holds 3 bands, and a DEM is one band of heights. Name the band of heights under [dem] band, or give a DEM."],
    ),
    "a band that is not there": (
        rewritten(lambda p: None, dem={"band": 2}),
        ["dem.tif: has no band 2, only 1. Correct [dem] band."],
    ),
    "complex numbers": (
        rewritten(lambda p: None, dtype="complex64"),
        ["dem.tif: holds complex numbers, not heights. Give a DEM."],
    ),
    "unit of the band unknown": (
        rewritten(lambda p: "fathom"),
        [
            'dem.tif: states its heights in \'fathom\', which is none of m, ft, us-ft. Write [dem] vertical_unit = "m", "ft" or "us-ft".'
        ],
    ),
    "not a raster": (
        content(b"this is not a TIFF"),
        ["dem.tif: cannot be read as a raster (⟨⟩). Give a whole, intact DEM file."],
    ),
    "an empty file": (content(b""), ["dem.tif: cannot be read as a raster (⟨⟩). Give a whole, intact DEM file."]),
    "cut short": (cut_short, ["dem.tif: cannot be read as a raster (⟨⟩). Give a whole, intact DEM file."]),
    "a folder": (
        lambda f: (write_site(f, dem={"path": "dems"}), (f / "dems").mkdir()),
        ["dems: cannot be read as a raster (⟨⟩). Give a whole, intact DEM file."],
    ),
    "base on no data": (
        with_hole(0.0, 0.0),
        ["base 46.500000, 7.500000: lies where the DEM has no data (dem.tif). Move the base or give a DEM that covers it."],
    ),
    "base on the edge": (
        lambda f: write_site(f, base={"lat": EDGE_LAT, "lon": EDGE_LON}),
        ["base 46.500997, 7.500000: lies on the DEM's very edge (dem.tif). Move the base or give a DEM that covers it."],
    ),
    "no height can be true": (
        rewritten(lambda p: None, add_m=9000.0),
        ["base 46.500000, 7.500000: lies where the DEM has no data (dem.tif). Move the base or give a DEM that covers it."],
    ),
    "beyond the last UTM zone": (
        far_north,
        [
            "base 84.500000, 7.500000: UTM covers latitudes from 80 S to 84 N only. Name a projected system for it under [crs] projected."
        ],
    ),
    "user's azimuth over no data under an anchor": (
        with_hole(90.0, 40.0, laydown={"azimuth_deg": 30.0}),
        [
            "site.toml, [laydown] azimuth_deg = 30: anchor A1 (40 m at 90° true) has no height: dem.tif has no data there. Choose another azimuth or base, or give a DEM that covers the layout."
        ],
    ),
    "user's azimuth over no data under the mast": (
        with_hole(10.0, 20.0, laydown={"azimuth_deg": 10.0}),
        [
            "site.toml, [laydown] azimuth_deg = 10: the ground under the lying mast has no height from 13.0 m on: dem.tif has no data there. Choose another azimuth or base, or give a DEM that covers the layout."
        ],
    ),
    "user's azimuth beyond the DEM": (
        small(60.0, laydown={"azimuth_deg": 0.5}),
        [
            "site.toml, [laydown] azimuth_deg = 0.5: anchor K1 (66 m at 0.5° true) has no height: dem.tif ends there. Choose another azimuth or base, or give a DEM that covers the layout."
        ],
    ),
    "no azimuth left: the DEM is too small": (
        small(30.0),
        [
            "base 46.500000, 7.500000: no azimuth has ground under the whole layout; most often (348 of 360) anchor A1, first at 0°: anchor A1 (40 m at 60° true) has no height: dem.tif ends there. Move the base away from the gap, or give a DEM that covers the layout."
        ],
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_dem(name, assert_refused, site_folder):
    make, lines = CASES[name]
    make(site_folder)
    assert_refused(PLAN, *lines)
