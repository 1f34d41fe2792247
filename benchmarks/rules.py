"""Setback rules: five rules on 60 parcels and every azimuth, and a county's 100,000 parcels against the same few alone."""

from __future__ import annotations

import math
import tempfile
from pathlib import Path

import geopandas
import numpy as np
import shapely

from benchmarks.timing import function_s
from siting.checks.rule_targets import LayerOnGround, RuleLand
from siting.checks.setbacks import judge_rules
from siting.geodesy.frames import Frame, frame_at
from siting.inputs.rule_file import find_rules, read_rules
from siting.inputs.site_file import read_site
from siting.layout.footprint import boundary_distances_m
from siting.planning.land import read_land
from siting.records.site import Site

SETS = ("met-mast-1.1", "guys-40-ft")
SITE = """\
name = "County"
[base]
lat = 47.0
lon = 9.001
[dem]
path = "site.toml"
[mast]
use = "lattice-100"
[land]
parcels = "parcels.gpkg"
parcel_id_field = "pin"
own = ["own"]
"""


def measure(quick: bool) -> list[dict]:
    """Rows of (figure, against, ratio, goal)."""
    runs = 3 if quick else 15
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        seconds = {}
        for count in (60, 2_000 if quick else 100_000):
            site = write_county(folder / str(count), count)
            frame = frame_at(site.base.lat, site.base.lon, 500.0, None, "benchmark")
            seconds[count] = function_s(lambda site=site, frame=frame: rules_of(site, frame), runs)
        few, many = seconds.values()
        site = read_site(folder / "60" / "site.toml")
        azimuths = np.arange(360.0)[:, None] + np.array([a.bearing_deg for a in site.mast.anchors])
        land, sets = land_of(site, frame), rule_sets()
        judged = function_s(lambda: judge_rules(sets, land, site.mast, frame, azimuths), runs)
        points = np.random.default_rng(1).uniform(-60.0, 60.0, (360, len(site.mast.anchors), 2))
        once = function_s(lambda: boundary_distances_m(land.own.area, points), runs)
    return [
        {"figure": "parcels read and rules judged, 100,000 parcels", "against": "the same among 60", "ratio": many / few, "goal": 3.0, "seconds": many},
        {
            "figure": f"{sum(len(v.rules) for v in sets)} setback rules, 360 azimuths, {len(site.mast.anchors)} anchors",
            "against": "one distance of every anchor to the own line", "ratio": judged / once, "goal": 10.0, "seconds": judged,
        },
    ]  # fmt: skip


def rule_sets():
    """The sets that are judged."""
    return tuple(read_rules(*find_rules(name, Path(), "benchmark")) for name in SETS)


def land_of(site: Site, frame: Frame) -> RuleLand:
    """The parcels of the site, with one road, line and easement."""
    read = read_land(site, frame)
    things = [("road", -140.0), ("overhead_line", 150.0), ("easement", -110.0)]
    made = [shapely.LineString([(-500.0, y), (500.0, y)]) for _, y in things]
    features = tuple(
        type(read.parcels[0])(kind, kind, kind, line, abs(y), (0.0, y)) for (kind, y), line in zip(things, made, strict=True)
    )  # fmt: skip
    return RuleLand(read.own, read.parcels, LayerOnGround("lines", features, tuple(k for k, _ in things), 500.0))


def rules_of(site: Site, frame: Frame) -> object:
    """Everything that rules add to a plan: the land read, every rule judged on every azimuth, the findings of one."""
    azimuths = np.arange(360.0)[:, None] + np.array([a.bearing_deg for a in site.mast.anchors])
    return judge_rules(rule_sets(), land_of(site, frame), site.mast, frame, azimuths).findings(0)


def write_county(folder: Path, count: int) -> Site:
    """A site whose own parcel lies among so many others; the DEM is not read here."""
    folder.mkdir()
    side = math.isqrt(count) + 1
    i = np.arange(count)
    west, south = 9.0 + (i % side - side // 2) * 0.003, 47.0 + (i // side - side // 2) * 0.002
    parcels = shapely.box(west, south, west + 0.003, south + 0.002)
    holding = int(np.flatnonzero(shapely.intersects_xy(parcels, 9.001, 47.0001))[0])
    pins = [f"p{k}" for k in i]
    pins[holding] = "own"
    geopandas.GeoDataFrame({"pin": pins}, geometry=parcels, crs="EPSG:4326").to_file(folder / "parcels.gpkg")
    (folder / "site.toml").write_text(SITE, encoding="utf-8")
    return read_site(folder / "site.toml")
