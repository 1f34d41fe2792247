"""Writes layers with GDAL into a folder so that the bytes repeat: GDAL's clock is set to the day of the plan."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from siting.writers.points.gis_layers import Layer


@contextmanager
def gdal_clock(day: str) -> Iterator[None]:
    """While it is open, GDAL takes this day (ISO) for the present; no unit."""
    import pyogrio

    before = pyogrio.get_gdal_config_option("OGR_CURRENT_DATE")
    pyogrio.set_gdal_config_options({"OGR_CURRENT_DATE": f"{day}T00:00:00.000Z"})
    try:
        yield
    finally:
        pyogrio.set_gdal_config_options({"OGR_CURRENT_DATE": before})


def write_layer(path: Path, layer: Layer, crs: str, driver: str, options: dict[str, str], *, short_names: bool = False) -> None:
    """Writes one layer with its fields to a file; a GeoPackage that is there already gets it as one more layer."""
    import numpy as np
    from pyogrio import raw

    names, data, missing = [], [], []
    for column in layer.columns:
        names.append(column.short_name if short_names else column.name)
        if column.is_number:
            data.append(np.array([np.nan if v is None else v for v in column.values], dtype=float))
        else:
            data.append(np.array(column.values, dtype=object))
        missing.append(np.array([v is None for v in column.values], dtype=bool))
    raw.write(
        path,
        np.array(layer.wkb, dtype=object),
        data,
        names,
        field_mask=missing,
        layer=layer.name,
        driver=driver,
        geometry_type=layer.geometry,
        crs=crs,
        promote_to_multi=False,
        encoding="UTF-8",
        layer_options=options,
    )
