"""Where things stand on the ground: stakes by geodesics, the UTM frame, the laydown profile, the guys' chords.

Written from the contract's words alone; shares nothing with the package.
"""

import math

import pyproj
from geographiclib.geodesic import Geodesic
from twin_ground import NoHeight, meridian_radius_m, prime_vertical_radius_m, radius_in_azimuth_m


def place(base, azimuth_deg, radius_m):
    """(lat, lon) in degrees of a horizontal ground distance from the base; base holds lat, lon, height_m."""
    radius_of_earth = radius_in_azimuth_m(base["lat"], azimuth_deg)
    length = radius_m * radius_of_earth / (radius_of_earth + base["height_m"])
    there = Geodesic.WGS84.Direct(base["lat"], base["lon"], azimuth_deg, length)
    return there["lat2"], there["lon2"]


def utm_epsg(lat, lon):
    """EPSG number of the WGS 84 UTM zone, with the exceptions for Norway and Svalbard."""
    if not -80.0 <= lat <= 84.0:
        raise ValueError("UTM ends at 84 N and 80 S")
    lon = (lon + 180.0) % 360.0 - 180.0
    zone = math.floor((lon + 180.0) / 6.0) + 1
    if 56.0 <= lat < 64.0 and 3.0 <= lon < 12.0:
        zone = 32
    if lat >= 72.0:
        for west, east, number in ((0, 9, 31), (9, 21, 33), (21, 33, 35), (33, 42, 37)):
            if west <= lon < east:
                zone = number
    return (32600 if lat >= 0.0 else 32700) + zone


def frame(base):
    """The crs block of the plan (no declination), by differences over 10 m of meridian and parallel."""
    epsg = utm_epsg(base["lat"], base["lon"])
    to_grid = pyproj.Transformer.from_crs("EPSG:4326", f"EPSG:{epsg}", always_xy=True)
    lat, lon = base["lat"], base["lon"]
    big_m, big_n = meridian_radius_m(lat), prime_vertical_radius_m(lat)
    step = math.degrees(10.0 / big_m)
    e1, n1 = to_grid.transform(lon, lat - step)
    e2, n2 = to_grid.transform(lon, lat + step)
    mean_radius = math.sqrt(big_m * big_n)
    point_scale = math.hypot(e2 - e1, n2 - n1) / 20.0
    elevation_factor = mean_radius / (mean_radius + base["height_m"])
    return {
        "epsg": epsg,
        "convergence_deg": -math.degrees(math.atan2(e2 - e1, n2 - n1)),  # true north's own grid azimuth is -convergence
        "point_scale": point_scale,
        "elevation_factor": elevation_factor,
        "combined_factor": point_scale * elevation_factor,
    }


def heights_along(ground, base, points):
    """[(col, row, height_m)] of (azimuth, radius) points; raises NoHeight at the first that has none."""
    latlon = [place(base, azimuth, radius) for azimuth, radius in points]
    cells = ground.colrows([lon for _, lon in latlon], [lat for lat, _ in latlon])
    out = []
    for (lat, lon), (azimuth, radius), (col, row) in zip(latlon, points, cells, strict=True):
        height = ground.height_m(col, row)
        if math.isnan(height):
            raise NoHeight(f"no height at {lat:.7f}, {lon:.7f} ({radius:.2f} m from the base in {azimuth:.2f} deg)")
        out.append((col, row, height))
    return out


def laydown_profile(ground, base, mast, azimuth_deg):
    """Slope, rest line and largest gap along an azimuth: a dict in percent, degrees and metres."""
    length = mast["height_m"]
    longest_step = min(base["half_cell_m"], 1.0)
    n = math.ceil(length / longest_step)
    s = [i * length / n for i in range(n + 1)]
    z = [base["height_m"]] + [h for _, _, h in heights_along(ground, base, [(azimuth_deg, d) for d in s[1:]])]
    mean_s, mean_z = sum(s) / (n + 1), sum(z) / (n + 1)
    slope = sum((a - mean_s) * (b - mean_z) for a, b in zip(s, z, strict=True)) / sum((a - mean_s) ** 2 for a in s)
    hinge = base["height_m"] + mast["hinge_height_m"]
    rest = max((z[i] - hinge) / s[i] for i in range(1, n + 1))
    # OPEN: "largest gap under the rest line" over which samples: all of them, i = 0 too, where the gap is the
    # hinge's own height (on a plane it is the largest). To s = H, though the head lies a little nearer.
    gap = max(hinge + rest * a - b for a, b in zip(s, z, strict=True))
    return {
        "slope_percent": 100.0 * slope,
        "rest_slope_percent": 100.0 * rest,
        "rest_deg": math.degrees(math.atan(rest)),
        "max_gap_m": gap,
        "samples": n,
    }


def anchors_on_ground(ground, base, mast, azimuth_deg):
    """Every anchor of the mast with its height and slope; raises NoHeight where one has no height or no slope."""
    points = [((azimuth_deg + a["bearing_deg"]) % 360.0, a["radius_m"]) for a in mast["anchors"]]
    out = []
    for anchor, (azimuth, radius), (col, row, height) in zip(
        mast["anchors"], points, heights_along(ground, base, points), strict=True
    ):
        slope = ground.slope_percent(col, row)
        if math.isnan(slope):
            # OPEN: the contract drops an azimuth for a missing height; its check needs the slope just as much.
            raise NoHeight(f"no slope at anchor {anchor['id']} ({radius:.2f} m from the base in {azimuth:.2f} deg)")
        out.append(anchor | {"azimuth_deg": azimuth, "height_m": height, "slope_percent": slope})
    return out


def head_on_ground(ground, base, mast, azimuth_deg, rest_deg):
    """The head's stake at radius H cos(rest angle); its slope is NaN where the DEM has none (no check needs it)."""
    radius = mast["height_m"] * math.cos(math.radians(rest_deg))
    ((col, row, height),) = heights_along(ground, base, [(azimuth_deg, radius)])
    return {
        "id": "head", "use": "head", "radius_m": radius, "azimuth_deg": azimuth_deg % 360.0,
        "height_m": height, "slope_percent": ground.slope_percent(col, row),
    }  # fmt: skip


def stake(base, epsg, spot):
    """One stake of the plan from an anchor or the head."""
    lat, lon = place(base, spot["azimuth_deg"], spot["radius_m"])
    easting, northing = pyproj.Transformer.from_crs("EPSG:4326", f"EPSG:{epsg}", always_xy=True).transform(lon, lat)
    return {
        "id": spot["id"], "role": spot["use"], "lat": lat, "lon": lon, "easting": easting, "northing": northing,
        "height_m": spot["height_m"], "above_base_m": spot["height_m"] - base["height_m"],
        "radius_m": spot["radius_m"], "azimuth_deg": spot["azimuth_deg"], "slope_percent": spot["slope_percent"],
    }  # fmt: skip


def guy_chords(base, mast, anchors):
    """[{anchor, attach_m, use, chord_m}]: straight from the plumb mast to the anchor's ground point."""
    by_id = {a["id"]: a for a in anchors}
    out = []
    for guy in mast["guys"]:
        for name in guy["anchors"]:
            anchor = by_id[name]
            rise = base["height_m"] + mast["hinge_height_m"] + guy["attach_m"] - anchor["height_m"]
            chord = math.sqrt(anchor["radius_m"] ** 2 + rise**2)
            out.append({"anchor": name, "attach_m": guy["attach_m"], "use": guy["use"], "chord_m": chord})
    return out
