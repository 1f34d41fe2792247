"""The polygons of a search's area, in longitude and latitude."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely

from siting.errors import InputError
from siting.geodesy.frames import wkt_crs
from siting.geodesy.links import link_at, own_lonlat
from siting.inputs.layers import layer_info, layer_name, read_rows
from siting.records.search import SearchJob

# A straight side of the area bends a little in another system: corners are set so far apart at most (degrees).
STEP_DEG = 0.005


def area_shape(job: SearchJob) -> Any:
    """The area as one shape in WGS 84 longitude and latitude (degrees).

    Its longitudes are within half a turn of its first corner's: an area on the antimeridian, whose file cuts it in two there
    (RFC 7946, section 3.1.9), is in one piece, and may go beyond 180.

    Raises:
        InputError: the file cannot be read, or holds no area.
        FrameError: its coordinate system cannot be reached.
    """
    path, shown = job.options.area, job.options.area_shown
    layer = layer_name(path, shown, None, "[search] area", wants_areas=True)
    _, _, crs = layer_info(path, shown, layer)
    frame = read_rows(path, shown, layer)
    shapes = [g for g in frame.geometry if g is not None and g.geom_type in ("Polygon", "MultiPolygon")]
    if not shapes:
        raise InputError.of("area_empty", shown, "holds no polygon", "give the area as a polygon, or leave [search] area out")
    crs = wkt_crs(crs)
    lon, lat = own_lonlat(crs, *(float(v) for v in shapely.get_coordinates(shapes[0])[0]), shown)
    link = link_at(crs, lat, lon, shown)
    step = STEP_DEG if link.crs.is_geographic else 500.0 / link.crs.axis_info[0].unit_conversion_factor
    dense = [shapely.segmentize(g if g.is_valid else shapely.make_valid(g), step) for g in shapes]
    return shapely.union_all([shapely.transform(g, link.inverse, interleaved=False) for g in dense])


def area_lonlat(job: SearchJob) -> tuple[np.ndarray, np.ndarray]:
    """Longitudes and latitudes (degrees) of the area's corners."""
    at = shapely.get_coordinates(area_shape(job))
    return at[:, 0], at[:, 1]
