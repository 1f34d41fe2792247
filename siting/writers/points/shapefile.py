"""stakes_shp.zip: zipped Shapefiles stakes, lines and zones with .prj and .cpg, and a text that explains the fields."""

from __future__ import annotations

import tempfile
from pathlib import Path

from siting.records.plan import Plan
from siting.writers.frame_words import frame_rows, unit_words
from siting.writers.points.gis_layers import Layer, layer_crs, layers
from siting.writers.points.ogr_files import gdal_clock, write_layer
from siting.writers.repeatable_zip import zip_bytes

README = "readme.txt"


def shapefile(plan: Plan) -> bytes:
    """stakes_shp.zip, coordinates in the plan's projected CRS and its unit; heights are fields in metres.

    A CRS without an EPSG code is written as in stakes.gpkg: WGS 84 longitude and latitude in degrees.
    """
    made = layers(plan, unit_words(plan.crs.unit_m, plan.crs.unit))
    options = {"DBF_DATE_LAST_UPDATE": plan.provenance.plan_date}
    with tempfile.TemporaryDirectory() as folder, gdal_clock(plan.provenance.plan_date):
        for layer in made:
            path = Path(folder) / f"{layer.name}.shp"
            write_layer(path, layer, layer_crs(plan), "ESRI Shapefile", options, short_names=True)
        files = {path.name: path.read_bytes() for path in Path(folder).iterdir()}
    files[README] = _readme(plan, made)
    return zip_bytes({name: files[name] for name in sorted(files)})


def _readme(plan: Plan, made: tuple[Layer, ...]) -> bytes:
    """What the short field names mean, and the frame; UTF-8 text."""
    place = "the plan's projected system" if plan.crs.epsg else "WGS 84 longitude and latitude, as the plan's system has no EPSG code"
    lines = [f"Geometry is in {place}. Easting and northing are fields too. Field names hold ten characters at most.", ""]
    for layer in made:
        lines.append(f"{layer.name}.shp")
        lines += [f"  {column.short_name:<10}  {column.name}" for column in layer.columns]
    lines += ["", *(f"{title}: {' '.join(text.split())}" for title, text in frame_rows(plan))]
    return ("\r\n".join(lines) + "\r\n").encode()
