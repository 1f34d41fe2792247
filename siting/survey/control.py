"""The user's own points: control to check a rover on, features to tie to, pairs for a localisation."""

from __future__ import annotations

import numpy as np

from siting.errors import Fault, InputError
from siting.geodesy.frames import Frame
from siting.geodesy.geodesic import azimuth_and_ground_m
from siting.layout.stakes import CODES, point_names
from siting.records.plan import Stake
from siting.records.site import GivenPoint, PointOptions
from siting.records.survey import ControlPoint, Localisation
from siting.survey.localisation import localise

# A control point farther than this from the base is a wrong zone, swapped axes or feet for metres, not control.
FARTHEST_M = 50_000.0


def control_points(
    given: tuple[GivenPoint, ...], stakes: tuple[Stake, ...], frame: Frame, base_height_m: float, options: PointOptions
) -> tuple[ControlPoint, ...]:
    """Control points and features in both coordinates, with azimuth and ground distance from the base.

    Raises:
        InputError: a point so far from the base that its zone, axes or unit must be wrong.
    """
    base = next(s for s in stakes if s.role == "base")
    names = point_names((*(s.id for s in stakes), *(g.name for g in given)), options)[len(stakes) :]
    codes = CODES | dict(options.codes)
    points, faults = [], []
    for row, name in zip(given, names, strict=True):
        easting, northing, lon, lat = _both(row, frame)
        distance_m = azimuth = float("inf")
        if np.isfinite([lon, lat]).all():
            azimuth, distance_m = azimuth_and_ground_m(base.lat, base.lon, lat, lon, base_height_m)
        if distance_m > FARTHEST_M:
            far = "outside the system" if distance_m == float("inf") else f"{distance_m / 1000:.0f} km from the base"
            faults.append(
                Fault(
                    "given_point_far", f"{row.role} point {row.name}", f"lies {far}",
                    f"check zone, axis order and unit: eastings and northings are in {frame.name}, {frame.unit}",
                )
            )  # fmt: skip
            continue
        points.append(
            ControlPoint(
                id=row.name, point=name, role=row.role, code=codes[row.role], lat=lat, lon=lon, easting=easting,
                northing=northing, height_m=row.height_m, azimuth_deg=azimuth, distance_m=distance_m,
            )
        )  # fmt: skip
    if faults:
        raise InputError(tuple(faults))
    return tuple(points)


def localisation(given: tuple[GivenPoint, ...], points: tuple[ControlPoint, ...], frame: Frame) -> Localisation | None:
    """The fit of the control pairs, None where the user gives none.

    Raises:
        OutOfMethod: only one pair, or all pairs in one place.
    """
    pairs = [(g, p) for g, p in zip(given, points, strict=True) if g.local_easting is not None]
    if not pairs:
        return None
    origin = np.array([frame.easting, frame.northing])
    grid_m = (np.array([(p.easting, p.northing) for _, p in pairs]) - origin) * frame.unit_m
    local_m = (np.array([(g.local_easting, g.local_northing) for g, _ in pairs]) - origin) * frame.unit_m
    return localise(tuple(p.id for _, p in pairs), grid_m, local_m)


def _both(row: GivenPoint, frame: Frame) -> tuple[float, float, float, float]:
    """Easting, northing, longitude, latitude of a point given in one of the two."""
    if row.easting is not None:
        lon, lat = frame.link.inverse(np.array([row.easting]), np.array([row.northing]))
        return row.easting, row.northing, float(lon[0]), float(lat[0])
    easting, northing = frame.grid(np.array([row.lon]), np.array([row.lat]))
    return float(easting[0]), float(northing[0]), row.lon, row.lat
