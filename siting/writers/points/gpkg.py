"""stakes.gpkg: a GeoPackage with the layers stakes, lines and zones, and control where the user gave points."""

from __future__ import annotations

import tempfile
from pathlib import Path

from siting.records.plan import Plan
from siting.writers.frame_words import frame_text, unit_words
from siting.writers.points.gis_layers import layer_crs, layers
from siting.writers.points.ogr_files import gdal_clock, write_layer

TITLES = {"stakes": "Stakes to set out", "lines": "Laydown and guys", "zones": "Circles", "control": "The user's own points"}


def gpkg(plan: Plan) -> bytes:
    """stakes.gpkg, coordinates in the plan's projected CRS and its unit; heights are fields in metres.

    A CRS without an EPSG code cannot be written by its code: the layers are then WGS 84 longitude and latitude
    in degrees, and the eastings and northings are fields.

    Source: OGC 12-128r18, GeoPackage 1.3.
    """
    with tempfile.TemporaryDirectory() as folder, gdal_clock(plan.provenance.plan_date):
        path = Path(folder) / "stakes.gpkg"
        for layer in layers(plan, unit_words(plan.crs.unit_m, plan.crs.unit)):
            about = f"{TITLES[layer.name]}. {frame_text(plan)}"
            options = {"IDENTIFIER": layer.name, "DESCRIPTION": about, "GEOMETRY_NAME": "geom", "FID": "fid"}
            write_layer(path, layer, layer_crs(plan), "GPKG", options)
        return path.read_bytes()
