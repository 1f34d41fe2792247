"""What a surveyor needs beside the stakes: ties, control, localisation, ground coordinates, point lists."""

from __future__ import annotations

from dataclasses import dataclass

from siting.figures import quantity, words


@dataclass(frozen=True, slots=True)
class Tie:
    """A line between two points, as a tape, a total station and a rover measure it."""

    kind: str = words("base: base to stake; neighbour: round the anchors; diagonal: across them; feature: stake to a physical feature")
    start: str = words("id of the point it starts from")
    end: str = words("id of the point it ends at")
    ground_m: float = quantity("coordinate", "horizontal ground distance at the base's height")
    grid_m: float = quantity("coordinate", "grid distance, in metres")
    slope_distance_m: float | None = quantity("coordinate", "straight tape distance between the ground points; null without both heights")
    azimuth_deg: float = quantity("bearing", "true azimuth at the start")
    azimuth_grid_deg: float = quantity("bearing", "grid azimuth, the same at both ends")


@dataclass(frozen=True, slots=True)
class ControlPoint:
    """A point of the user's own: a control monument, or a physical feature to tie to."""

    id: str = words("its name")
    point: str = words("its name within the point-name limit")
    role: str = words("control or feature")
    code: str = words("short feature code")
    lat: float = quantity("latlon", "WGS 84 latitude")
    lon: float = quantity("latlon", "WGS 84 longitude")
    easting: float = quantity("coordinate", "in the plan's projected CRS")
    northing: float = quantity("coordinate", "in the plan's projected CRS")
    height_m: float | None = quantity("coordinate", "as the user gives it; null where not given")
    azimuth_deg: float = quantity("bearing", "true azimuth from the base")
    distance_m: float = quantity("coordinate", "horizontal ground distance from the base")


@dataclass(frozen=True, slots=True)
class Residual:
    """How far a control pair lies off the fitted localisation."""

    id: str = words("the control point")
    east_m: float = quantity("coordinate", "local minus fitted, eastward")
    north_m: float = quantity("coordinate", "local minus fitted, northward")
    miss_m: float = quantity("coordinate", "length of the two")


@dataclass(frozen=True, slots=True)
class Localisation:
    """The shift, turn and scale that carry the plan's grid onto the user's local control, for comparison only."""

    pairs: int = words("number of control pairs")
    shift_east_m: float = quantity("coordinate", "local minus grid at the base")
    shift_north_m: float = quantity("coordinate", "local minus grid at the base")
    turn_deg: float = quantity("bearing", "clockwise turn from grid to local")
    scale_ppm: float = quantity("none", "local length / grid length - 1, in parts per million")
    rms_m: float = quantity("coordinate", "root mean square miss of the pairs")
    residuals: tuple[Residual, ...] = words("every pair against the fit")
    suspect: str = words("the pair that spoils the fit; empty where none stands out")
    verdict: str = words("what to make of it, in plain words")


@dataclass(frozen=True, slots=True)
class GroundPoint:
    """A stake in coordinates scaled to the ground about the base: other numbers than the grid's, on purpose."""

    id: str = words("the stake")
    x_m: float = quantity("coordinate", "eastward, from the truncated origin")
    y_m: float = quantity("coordinate", "northward, from the truncated origin")


@dataclass(frozen=True, slots=True)
class GroundGrid:
    """How grid coordinates were scaled to the ground, so that it can be undone to a millimetre."""

    factor: float = quantity("factor", "ground = (grid - origin) x factor: 1 / combined factor")
    origin_easting: float = quantity("coordinate", "the base's easting: the point that keeps its place")
    origin_northing: float = quantity("coordinate", "the base's northing")
    x_origin_m: float = quantity("coordinate", "x of the base: its easting without the leading digits")
    y_origin_m: float = quantity("coordinate", "y of the base: its northing without the leading digits")
    points: tuple[GroundPoint, ...] = words("every stake")


@dataclass(frozen=True, slots=True)
class PointList:
    """A point list in the column order that a rover wants, ready to be written."""

    name: str = words("name of the list: it stands in the file's name")
    columns: tuple[str, ...] = words("what each column holds, in order")
    separator: str = words("comma, tab, semicolon or space")
    has_header: bool = words("true where the first row names the columns")
    unit: str = words("metres, international feet (0.3048 m) or US survey feet (1200/3937 m), with the factor")
    unit_m: float = quantity("unit_factor", "metres in that unit")
    decimals: int = words("decimals of the coordinates and heights")
    rows: tuple[tuple[str, ...], ...] = words("the points as text")
