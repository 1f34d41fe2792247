"""Prints the numbers of decision 0002: cubics against exact ground lines, in error and in time.

    python docs/decisions/0002_rays.py
"""

from __future__ import annotations

import time

import numpy as np

from siting.geodesy.dem_frame import DemFrame, trace_rays
from siting.geodesy.geodesic import place
from siting.geodesy.links import link_at, parse_crs

# system, cell in its unit, latitude, longitude, height of the base in metres
CASES = (
    ("EPSG:32612", 1.0, 47.03, -109.85, 1426.0),
    ("EPSG:4326", 1 / 10800, 47.03, -109.85, 1426.0),
    ("EPSG:4326", 1 / 3600, 69.0, 20.0, 500.0),
    ("EPSG:3857", 1.0, 60.0, 10.0, 200.0),
    ("EPSG:5070", 10.0, 45.0, -100.0, 900.0),
    ("EPSG:3413", 2.0, 72.0, -40.0, 2000.0),
)
AZIMUTHS_DEG = np.arange(360.0)


def dem_frame(crs: str, cell: float, lat: float, lon: float) -> DemFrame:
    """The frame of a made-up DEM with the base in its middle."""
    link = link_at(parse_crs(crs, crs), lat, lon, crs)
    x, y = (float(v[0]) for v in link.forward(np.array([lon]), np.array([lat])))
    return DemFrame(link, (cell, 0.0, x - 1000 * cell, 0.0, -cell, y + 1000 * cell), lat, lon, x)


def exact(frame: DemFrame, distances_m: np.ndarray, height_m: float) -> tuple[np.ndarray, np.ndarray]:
    """Columns and rows, every sample transformed."""
    return frame.colrow(*place(frame.lat, frame.lon, AZIMUTHS_DEG[:, None], distances_m[None, :], height_m))


def cubic(frame: DemFrame, distances_m: np.ndarray, height_m: float) -> tuple[np.ndarray, np.ndarray]:
    """Columns and rows along the cubics."""
    rays = trace_rays(frame, AZIMUTHS_DEG, float(distances_m[-1]), height_m)
    return rays.at(rays.index_of(AZIMUTHS_DEG)[:, None], distances_m)


def main() -> None:
    """Errors on every system, then the time of the first."""
    for crs, cell, lat, lon, height_m in CASES:
        frame = dem_frame(crs, cell, lat, lon)
        for reach_m in (106.0, 500.0):
            s = np.linspace(0.0, reach_m, 161)
            off_px = np.stack([a - b for a, b in zip(cubic(frame, s, height_m), exact(frame, s, height_m), strict=True)], axis=-1)
            off_m = off_px @ frame.jacobians(np.array(1000.0), np.array(1000.0)).T
            print(f"{crs:<11} at {lat:g} N, reach {reach_m:g} m: {1000 * np.hypot(off_m[..., 0], off_m[..., 1]).max():.1e} mm")
    frame = dem_frame(*CASES[0][:4])
    for way in (exact, cubic):
        times_s = []
        for _ in range(9):
            start = time.perf_counter()
            way(frame, np.linspace(0.0, 80.0, 161), CASES[0][4])
            times_s.append(time.perf_counter() - start)
        print(f"{way.__name__}: {1000 * min(times_s):.1f} ms")


if __name__ == "__main__":
    main()
