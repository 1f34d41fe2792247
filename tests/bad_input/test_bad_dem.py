"""DEMs that cannot serve, and ground that is not there: the file or the point is named, and nothing is written."""

from __future__ import annotations

import numpy as np
import pytest
import rasterio
from rasterio.transform import Affine
from strategies import LAT, LON, ground_point, write_site
from synthetic import plane, write_dem

PLAN = ["plan", "site.toml", "--out", "out"]


def rewritten(change, bands: int = 1, dtype: str = "float32", **site):
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
        with rasterio.open(folder / "dem.tif", "w", **profile) as dem:
            for band in range(1, bands + 1):
                dem.write(heights.astype(dtype), band)
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


def site_crs(wkt: str):
    return rewritten(lambda p: p.update(crs=rasterio.crs.CRS.from_wkt(wkt)))


LOCAL = 'LOCAL_CS["site grid",UNIT["metre",1],AXIS["Easting",EAST],AXIS["Northing",NORTH]]'
EDGE_LON, EDGE_LAT = ground_point(0.0, 109.0, 500.0)
CASES = {
    "no CRS": (rewritten(lambda p: p.update(crs=None)), ["?"]),
    "no georeference": (rewritten(lambda p: p.update(transform=Affine.identity())), ["?"]),
    "no georeference and no CRS": (rewritten(lambda p: p.update(transform=Affine.identity(), crs=None)), ["?"]),
    "a CRS of no place on earth": (site_crs(LOCAL), ["?"]),
    "three bands": (rewritten(lambda p: None, bands=3, dtype="uint8"), ["?"]),
    "a band that is not there": (rewritten(lambda p: None, dem={"band": 2}), ["?"]),
    "complex numbers": (rewritten(lambda p: None, dtype="complex64"), ["?"]),
    "unit of the band unknown": (rewritten(lambda p: "fathom"), ["?"]),
    "not a raster": (content(b"this is not a TIFF"), ["?"]),
    "an empty file": (content(b""), ["?"]),
    "cut short": (cut_short, ["?"]),
    "a folder": (lambda f: (write_site(f, dem={"path": "dems"}), (f / "dems").mkdir()), ["?"]),
    "base on no data": (with_hole(0.0, 0.0), ["?"]),
    "base on the edge": (lambda f: write_site(f, base={"lat": EDGE_LAT, "lon": EDGE_LON}), ["?"]),
    "user's azimuth over no data under an anchor": (with_hole(90.0, 40.0, laydown={"azimuth_deg": 30.0}), ["?"]),
    "user's azimuth over no data under the mast": (with_hole(10.0, 20.0, laydown={"azimuth_deg": 10.0}), ["?"]),
    "user's azimuth beyond the DEM": (small(60.0, laydown={"azimuth_deg": 45.5}), ["?"]),
    "no azimuth left: the DEM is too small": (small(30.0), ["?"]),
}


@pytest.mark.parametrize("name", CASES)
def test_dem(name, refused, site_folder):
    make, lines = CASES[name]
    make(site_folder)
    refused(PLAN, *lines)
