"""UTM zones, eastings, northings, convergence, scale and MGRS against GeographicLib's own tools.

Source: C. F. F. Karney, Transverse Mercator with an accuracy of a few nanometres, J. Geodesy 85 (2011) 475-485;
the figures were printed by the tools GeoConvert and TransverseMercatorProj (exact form, -t) of GeographicLib 2.1.2.
Zone rules: NGA/DMA TM 8358.1 and 8358.2. Angles in degrees; lengths in metres.
"""

import pytest

from siting.errors import FrameError
from siting.geodesy.frames import frame_at, utm_code, utm_zone
from siting.geodesy.geodesic import WGS84
from siting.inputs.base_point import base_from_text

# Decimals that a plan keeps of a convergence and of a scale factor (siting.figures): finer prints are cut there.
PLAN_DEG, PLAN_FACTOR = 5e-7, 5e-10

# (lat, lon, zone, E, N, convergence as US NGS signs it, point scale)
EXACT = (
    (45.0, 8.9, "32N", 492118.4704, 4982955.2637, -0.07071071438, 0.9996007638042),
    (52.5, 13.4, "33N", 391390.7313, 5817855.2408, -1.26948854384, 0.999744793458),
    (60.2, 24.9, "35N", 383587.7703, 6675536.6454, -1.82250998476, 0.999766070089),
    (70.0, 20.0, "34N", 461830.2177, 7766186.1514, -0.93970380825, 0.9996178223078),
    (-33.9, 18.4, "34S", 259583.2217, 6245888.0454, 1.45083291153, 1.0003125936817),
    (-44.0, 170.0, "59S", 419825.7402, 5127641.1146, 0.69469525275, 0.9996790565838),
    (35.0, -101.999, "14N", 226293.1984, 3877153.9478, -1.72122477872, 1.0005234083197),
)
EXACT_METRES = 5e-5  # half of the last digit printed

# (lat, lon, zone, E, N, MGRS to 1 m, truncated)
ZONES = (
    (60.0, 4.9999, "32N", 276974.355, 6658157.540, "32VKM7697458157"),
    (60.0, 2.9, "31N", 494422.233, 6651415.406, "31VDG9442251415"),
    (60.0, 3.1, "32N", 171203.007, 6666091.489, "32VJM7120366091"),
    (56.0, 3.0, "32N", 126049.971, 6222336.335, "32VJH2604922336"),
    (55.9999, 3.5, "31N", 531183.840, 6206181.262, "31UEC3118306181"),
    (63.9999, 3.0, "32N", 206856.611, 7110816.047, "32VKS0685610816"),
    (64.0, 3.0, "31N", 500000.000, 7097014.163, "31WEL0000097014"),
    (72.0, 8.9, "31N", 703202.509, 7998893.257, "31XGV0320298893"),
    (72.0, 9.0, "33N", 293363.504, 7999233.637, "33XTV9336399233"),
    (71.9999, 12.0, "33N", 396566.390, 7991497.401, "33WUV9656691497"),
    (75.0, 20.9, "33N", 670192.715, 8332079.469, "33XXD7019232079"),
    (75.0, 21.0, "35N", 326931.734, 8332368.952, "35XLD2693132368"),
    (75.0, 33.0, "37N", 326931.734, 8332368.952, "37XCD2693132368"),
    (75.0, 42.0, "38N", 413362.962, 8325798.247, "38XMJ1336225798"),
    (-80.0, 5.0, "31S", 538764.058, 1117747.830, "31CEM3876417747"),
    (0.0, 180.0, "01N", 166021.443, 0.000, "01NAA6602100000"),
    (38.889484, -77.035278, "18N", 323479.932, 4306481.423, "18SUJ2347906481"),
)
ZONE_METRES = 0.0005  # half of the last digit printed
MGRS_METRES = 0.501  # truncated to a 1 m square, of which siting takes the middle; scale up to 1.001

# Boundaries of the exceptions, (lat, lon, zone): band V between 56 and 64 N, band X from 72 to 84 N.
EDGES = (
    (56.0, 2.9999, 31), (56.0, 3.0, 32), (64.0, 3.0, 31), (63.9999, 11.9999, 32), (63.9999, 12.0, 33),
    (83.0, 8.9, 31), (83.0, 9.0, 33), (83.0, 20.9, 33), (83.0, 21.0, 35), (83.0, 33.0, 37), (83.0, 41.9999, 37),
    (83.0, 42.0, 38), (83.0, -0.0001, 30), (-56.0, 3.0, 31),
)  # fmt: skip


def code_of(zone):
    """EPSG code of a zone such as 32N."""
    return f"EPSG:{326 if zone.endswith('N') else 327}{zone[:2]}"


def test_every_row_is_here():
    assert (len(EXACT), len(ZONES), len(EDGES)) == (7, 17, 14)


@pytest.mark.parametrize(("lat", "lon", "zone", "easting", "northing", "convergence_deg", "scale"), EXACT)
def test_exact_transverse_mercator(lat, lon, zone, easting, northing, convergence_deg, scale):
    frame = frame_at(lat, lon, 0.0, code_of(zone), "row")
    assert frame.easting == pytest.approx(easting, abs=EXACT_METRES)
    assert frame.northing == pytest.approx(northing, abs=EXACT_METRES)
    assert frame.convergence_deg == pytest.approx(convergence_deg, abs=PLAN_DEG)
    assert frame.point_scale == pytest.approx(scale, abs=PLAN_FACTOR)


@pytest.mark.parametrize(("lat", "lon", "zone", "easting", "northing", "mgrs"), ZONES)
def test_standard_zone_and_its_coordinates(lat, lon, zone, easting, northing, mgrs):
    assert utm_code(lat, lon) == code_of(zone)
    frame = frame_at(lat, lon, 0.0, None, "row")
    assert frame.epsg == int(code_of(zone).partition(":")[2])
    assert frame.easting == pytest.approx(easting, abs=ZONE_METRES)
    assert frame.northing == pytest.approx(northing, abs=ZONE_METRES)


@pytest.mark.parametrize(("lat", "lon", "zone", "easting", "northing", "mgrs"), ZONES)
def test_a_base_typed_as_utm_or_mgrs_is_that_point(lat, lon, zone, easting, northing, mgrs):
    typed = base_from_text(f"{mgrs[:2]}{mgrs[2]} {easting:.3f} {northing:.3f}", "row")
    assert WGS84.inv(typed.lon, typed.lat, lon, lat)[2] <= ZONE_METRES * 2**0.5
    typed = base_from_text(mgrs, "row")
    assert WGS84.inv(typed.lon, typed.lat, lon, lat)[2] <= MGRS_METRES * 2**0.5


@pytest.mark.parametrize(("lat", "lon", "zone"), EDGES)
def test_edges_of_the_norway_and_svalbard_exceptions(lat, lon, zone):
    assert utm_zone(lat, lon) == zone


@pytest.mark.parametrize("lat", [84.0, 89.0, -80.0001, -90.0])
def test_outside_utm_there_is_no_zone(lat):
    with pytest.raises(FrameError, match="UTM covers latitudes from 80 S to 84 N only"):
        utm_code(lat, 10.0)
