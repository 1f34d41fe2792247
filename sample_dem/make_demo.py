"""Makes the demonstration site: an invented DEM, parcels, lines and the site file that names them.

    python sample_dem/make_demo.py

The same files come out each time (fixed seed). The coordinates lie in open hill country in central Montana only so
that a projection, a convergence and a declination exist; ground, parcels, road, line and house are all invented.
"""

from __future__ import annotations

import json
import os
from pathlib import Path

import geopandas as gpd
import numpy as np
import rasterio
from rasterio.transform import from_origin
from relief import CELL_M, HALF_M, ROAD, STREAM, make_ground, rounded
from shapely import affinity
from shapely.geometry import LineString, Point, Polygon, box, mapping

HERE = Path(__file__).resolve().parent
CRS = "EPSG:32612"  # WGS 84 / UTM zone 12N
MIDDLE = (587400.0, 5208900.0)  # easting, northing of the DEM's middle
BASE = (8.95, -14.3)  # x, y from the middle, metres
EXTENT = box(-HALF_M, -HALF_M, HALF_M, HALF_M).buffer(-2.0)
OWN = ("07-112", "07-115")

# Corners of the parcels, x and y from the middle in metres. A corner that two parcels share has one name.
CORNERS = {
    "a": (-104, -95), "b": (-57, -117), "c": (16, -111), "d": (97, -122), "e": (131, -34), "f": (119, 41),
    "g": (44, 57), "h": (-31, 24), "i": (-112, 31), "j": (128, 117), "k": (58, 203), "l": (-42, 229),
    "m": (-131, 192), "n": (-119, 98), "o": (-340, -194), "p": (-336, 96), "q": (-318, 149), "r": (-120, -171),
    "s": (-2, -167), "t": (104, -189), "u": (196, -192), "v": (186, -117), "w": (338, -168), "x": (341, 24),
    "y": (336, 246), "z": (190, 244), "A": (336, 336), "B": (-60, 337), "C": (-334, 338), "D": (-338, -212),
    "E": (-110, -188), "F": (0, -186), "G": (119, -211), "H": (224, -207), "I": (339, -186), "J": (338, -317),
    "K": (112, -324), "L": (-95, -331), "M": (-337, -339),
}  # fmt: skip
PARCELS = {
    "07-112": "abcdefghi",  # the bench: own, holds the base
    "07-115": "ihgfjklmn",  # the hill pasture: own
    "07-109": "orainmqp",
    "07-113": "rstdcba",
    "07-114": "tuvd",  # the house
    "07-118": "uwxjfedv",
    "08-031": "xyzkj",
    "08-002": "qmlBC",
    "08-004": "lkzyAB",
    "07-140": "DEFGHIJKLM",
}
OVERHEAD_LINE = [(-345, -168), (-235, -161), (-118, -150), (-8, -141), (92, -145), (178, -148), (264, -163)]
OVERHEAD_LINE += [(345, -149)]
# Ends of an invented landing strip and an invented helipad, metres from the middle.
STRIP = ((13_600.0, -4_150.0), (14_620.0, -3_970.0))
HELIPAD = (-9_400.0, 6_200.0)


def main() -> None:
    """Writes every file of the demonstration beside this script."""
    write_dem(HERE / "curlew_bench.tif")
    write_parcels(HERE / "parcels.gpkg")
    write_lines(HERE / "lines.geojson")
    write_airfields(HERE)
    write_site(HERE / "site.toml")


def write_dem(path: Path) -> None:
    """The ground as a tiled GeoTIFF: metres, rounded to the centimetre."""
    heights = np.round(make_ground(), 2).astype("float32")
    corner = from_origin(MIDDLE[0] - HALF_M, MIDDLE[1] + HALF_M, CELL_M, CELL_M)
    profile = {
        "driver": "GTiff", "height": heights.shape[0], "width": heights.shape[1], "count": 1, "dtype": "float32",
        "crs": CRS, "transform": corner, "nodata": -9999.0, "tiled": True, "blockxsize": 256, "blockysize": 256,
        "compress": "deflate", "predictor": 3, "zlevel": 9,
    }  # fmt: skip
    with rasterio.open(path, "w", **profile) as raster:
        raster.write(heights, 1)
        raster.set_band_unit(1, "metre")
        raster.set_band_description(1, "invented heights")
        raster.update_tags(TIFFTAG_IMAGEDESCRIPTION="Invented ground for a demonstration: no real place has it")


def on_grid(shape):
    """The shape in eastings and northings, metres."""
    return affinity.translate(shape, *MIDDLE)


def write_parcels(path: Path) -> None:
    """The parcels as a GeoPackage; a field `pin` holds the parcel's number."""
    shapes = [on_grid(Polygon([CORNERS[name] for name in ring])) for ring in PARCELS.values()]
    # GDAL stamps the file with the time of writing; a fixed one gives the same bytes each time.
    os.environ["OGR_CURRENT_DATE"] = "2027-04-12T00:00:00.000Z"
    path.unlink(missing_ok=True)
    gpd.GeoDataFrame({"pin": list(PARCELS)}, geometry=shapes, crs=CRS).to_file(path, layer="parcels", driver="GPKG")


def write_lines(path: Path) -> None:
    """Road, overhead line, house and stream as GeoJSON in WGS 84, longitude first."""
    house = affinity.rotate(box(143, -181, 156, -172), 9)
    barn = affinity.rotate(box(166, -179, 175, -173), 9)
    features = [
        ({"kind": "road", "name": "County road"}, LineString(rounded(ROAD, 2)).intersection(EXTENT)),
        ({"kind": "overhead_line", "name": "Supply line", "voltage_kv": 25}, LineString(OVERHEAD_LINE)),
        ({"kind": "building", "name": "House"}, house),
        ({"kind": "building", "name": "Barn"}, barn),
        ({"kind": "water", "name": "Stream"}, LineString(rounded(STREAM, 2)).intersection(EXTENT)),
    ]
    in_degrees = gpd.GeoSeries([on_grid(shape) for _, shape in features], crs=CRS).to_crs("OGC:CRS84")
    collection = {
        "type": "FeatureCollection",
        "features": [
            {"type": "Feature", "properties": words, "geometry": trimmed(mapping(shape))}
            for (words, _), shape in zip(features, in_degrees, strict=True)
        ],
    }
    path.write_text(json.dumps(collection, indent=1) + "\n", encoding="utf-8")


def write_airfields(folder: Path) -> None:
    """An invented landing strip and an invented helipad, as the tables that [air] reads."""
    ends = gpd.GeoSeries([on_grid(Point(xy)) for xy in STRIP], crs=CRS).to_crs("OGC:CRS84")
    pad = gpd.GeoSeries([on_grid(Point(HELIPAD))], crs=CRS).to_crs("OGC:CRS84").iloc[0]
    low, high = ends.iloc[0], ends.iloc[1]
    (folder / "runways.csv").write_text(
        "airport,le_ident,he_ident,le_lat,le_lon,he_lat,he_lon,le_elevation_ft,he_elevation_ft,length_ft,public_use\n"
        f"INVENTED STRIP,08,26,{low.y:.6f},{low.x:.6f},{high.y:.6f},{high.x:.6f},4310,4326,3400,yes\n",
        encoding="utf-8",
    )
    (folder / "heliports.csv").write_text(
        f"ident,name,lat,lon,elevation_ft\nINVENTED PAD,Invented helipad,{pad.y:.6f},{pad.x:.6f},4402\n", encoding="utf-8"
    )


def trimmed(geometry: dict) -> dict:
    """A GeoJSON geometry with its degrees cut to eight decimals (a millimetre)."""
    return json.loads(json.dumps(geometry), parse_float=lambda text: round(float(text), 8))


def write_site(path: Path) -> None:
    """The site file, with the base in degrees to eight decimals."""
    base = gpd.GeoSeries([on_grid(Point(BASE))], crs=CRS).to_crs("OGC:CRS84").iloc[0]
    own = ", ".join(f'"{pin}"' for pin in OWN)
    path.write_text(SITE.format(lat=base.y, lon=base.x, own=own), encoding="utf-8")


SITE = """\
# Demonstration site. The ground, the parcels and everything on them are invented; so is the name.
# Written by make_demo.py: change that, or copy this file and change the copy.

name = "Curlew Bench M1"
date = 2027-05-10            # the day the plan is for: it decides the magnetic declination

[base]                       # the centre of the base plate, WGS 84
lat = {lat:.8f}
lon = {lon:.8f}

[dem]                        # the ground
path = "curlew_bench.tif"    # relative to this file; cells of 1 m
vertical_datum = "none (invented ground)"
vertical_error_m = 0.1       # one standard deviation; about what a laser scan from the air reaches on open ground

[mast]
use = "lattice-80"           # a generic mast: a real plan names a file made from the maker's drawing

[laydown]
azimuth_deg = "auto"         # every direction is looked at; write a number to hold the plan to your own

[land]
parcels = "parcels.gpkg"
parcel_id_field = "pin"
own = [{own}]   # two parcels, both the applicant's: the line between them is no property line
boundary_error_m = 1.5       # how well the parcel lines are known; a margin smaller than this is only marginal
setback_factor = 1.1         # total height x this, from the base to the nearest property line. Ask your own authority
obstacles = "lines.geojson"  # road, overhead line, buildings, stream
rules = ["met-mast-1.1"]     # a generic set of setback rules that comes with siting; your own file does as well

[soil]                       # the ground under the anchors; invented like everything here
uscs = "CL"                  # lean clay; plain words do as well: plain_words = "stiff clay"
undrained_kpa = 60.0         # measured strength: it needs its source. Without one, give a blow count or a probe's torque
strength_source = "invented for this demonstration"
water_depth_m = 6.0
frost_depth_m = 1.2
excavation_type = "B"        # how the walls of a pit stand: the competent person on site says so

[air]                        # runways and heliports near the site: both invented
runways = "runways.csv"
heliports = "heliports.csv"
site_elevation_ft_amsl = 4680.0  # surveyed ground at the base; invented
rural = true
state = "US-MT"               # whose marking laws apply; the place is invented, the law is not

[wind]                       # for the screening of the anchors' loads, which is no design
basic_m_s = 24.0             # 10 minutes' mean 10 m above open ground
source = "invented for this demonstration"

# Every limit has a default. To set your own, take the mark off and change the number:
# [limits]
# anchor_slope_max_percent = 27.0
# side_guy_travel_max_m = 1.0
"""


if __name__ == "__main__":
    main()
