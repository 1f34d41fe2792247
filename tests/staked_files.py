"""Made-up as-staked files: plans to stake, and what a surveyor's file looks like with each fault.

The faults are made, and the lift is turned, without anything of siting/survey. Points are rows (name, northing, easting, elevation or None); a fault is a function of complex easting + i northing.
"""

from __future__ import annotations

import math
import tempfile
from functools import cache
from pathlib import Path

import numpy as np
import pyproj
from strategies import site_text
from synthetic import plane, write_dem, write_mast

from siting.inputs.site_file import read_site
from siting.planner import make_plan
from siting.records.as_staked import MeasuredPoint, MeasuredPoints, Tolerance
from siting.survey.as_staked import report_as_staked

ROOT = Path(__file__).parents[1]
HEADER = "point,northing,easting,elevation,code,lat,lon,description"
FOOT_M, US_FOOT_M = 0.3048, 1200.0 / 3937.0


@cache
def demo_plan():
    """The plan of the sample site: UTM 12 N, convergence 0.84 degrees, combined factor 0.99947."""
    return make_plan(read_site(ROOT / "sample_dem" / "site.toml"))


@cache
def plane_plan(lat: float, lon: float, height_m: float, projected: str | None = None, ground_scaled: bool = False):
    """A plan on an even 6 % slope that rises to 40 degrees, in the base's UTM zone or a named system."""
    with tempfile.TemporaryDirectory() as folder:
        write_dem(Path(folder) / "dem.tif", plane(6.0, 40.0, height_m), lat, lon, half_width_m=130.0, cell_m=2.0, dtype="float64")
        write_mast(Path(folder) / "mast.toml")
        tables = {"base": {"lat": lat, "lon": lon}}
        if projected:
            tables["crs"] = {"projected": projected, "accept_null_shift": True}
        if ground_scaled:
            tables["points"] = {"ground_scaled": True}
        path = Path(folder) / "site.toml"
        path.write_text(site_text(**tables), encoding="utf-8")
        return make_plan(read_site(path))


def zone_edge_plan():
    """Near the edge of UTM 32 N: convergence about 2 degrees."""
    return plane_plan(46.5, 11.9, 800.0)


def high_plan():
    """High up on the middle of UTM 32 N: the combined factor is 870 parts per million below 1."""
    return plane_plan(46.5, 9.05, 3000.0)


def stakes_of(plan, offsets: bool = False) -> list:
    return [s for s in plan.stakes if offsets or s.role != "offset"]


def grid(plan, stakes) -> np.ndarray:
    """Complex easting + i northing in the plan's unit."""
    return np.array([complex(s.easting, s.northing) for s in stakes])


def measured(plan, fault=lambda z: z, *, seed=0, noise_m=0.015, stakes=None, offsets=False, bad=None, height_noise_m=0.02):
    """Rows as a rover would write them: noise on the ground, then the fault of the file or of the staking.

    Args:
        bad: {stake id: (east_m, north_m)}, moved before the fault.
    """
    dice = np.random.default_rng(seed)
    stakes = stakes_of(plan, offsets) if stakes is None else stakes
    z = grid(plan, stakes) + (dice.normal(0, noise_m, len(stakes)) + 1j * dice.normal(0, noise_m, len(stakes))) / plan.crs.unit_m
    for i, stake in enumerate(stakes):
        if bad and stake.id in bad:
            z[i] += complex(*bad[stake.id]) / plan.crs.unit_m
    z = fault(z)
    heights = [s.height_m + dice.normal(0, height_noise_m) for s in stakes]
    return [(s.point, float(p.imag), float(p.real), float(h)) for s, p, h in zip(stakes, z, heights, strict=True)]


def as_csv(rows, header: bool = True) -> str:
    """The rows as stakes.csv has them."""
    lines = [HEADER] if header else []
    lines += [f"{n},{north:.3f},{east:.3f},{'' if h is None else f'{h:.3f}'},CODE,,,measured" for n, north, east, h in rows]
    return "\r\n".join(lines) + "\r\n"


def points_of(rows) -> MeasuredPoints:
    """The rows as the reader hands them on."""
    return MeasuredPoints("staked.csv", tuple(MeasuredPoint(*row, line) for line, row in enumerate(rows, 2)), "made up")


def report(plan, rows, pass_m: float = 0.10, limit_m: float = 0.50):
    """The as-staked report of the rows."""
    return report_as_staked(plan, points_of(rows), Tolerance(pass_m, limit_m, "test"), (), "run")


def shift(east_m, north_m):
    return lambda z: z + complex(east_m, north_m)


def swap(z):
    return z.imag + 1j * z.real


def in_unit(unit_m, plan_unit_m=1.0):
    return lambda z: z * plan_unit_m / unit_m


def turn(degrees_clockwise, about: complex):
    a = math.radians(degrees_clockwise)

    def fault(z):
        east, north = (z - about).real, (z - about).imag
        return about + (math.cos(a) * east + math.sin(a) * north) + 1j * (-math.sin(a) * east + math.cos(a) * north)

    return fault


def scale(factor, about: complex):
    return lambda z: about + (z - about) * factor


def into(code_from, code_to):
    """Into another system, by PROJ."""
    transformer = pyproj.Transformer.from_crs(code_from, code_to, always_xy=True)

    def fault(z):
        x, y = transformer.transform(z.real, z.imag)
        return np.asarray(x) + 1j * np.asarray(y)

    return fault


def base_of(plan) -> complex:
    return complex(plan.base.easting, plan.base.northing)


def travel_by_rotation(plan, rows, anchor_id: str, attach_m: float, steps: int = 4001) -> float:
    """A side guy's travel with a 3-D rotation of the mast about its hinge axis, point by point.

    The hinge axis is level, through the hinge above the staked base, square to the line from it to the staked head.
    """
    at = {name: np.array([east, north, height]) for name, north, east, height in rows}
    names = {s.id: s.point for s in plan.stakes}
    metres = plan.crs.unit_m / plan.crs.combined_factor
    base, head, anchor = (at[names[i]] for i in ("BASE", "HEAD", anchor_id))
    flat = lambda p: np.array([(p[0] - base[0]) * metres, (p[1] - base[1]) * metres, p[2] - base[2]])  # noqa: E731
    hinge = np.array([0.0, 0.0, plan.mast.hinge_height_m])
    ahead = flat(head) * [1, 1, 0]
    ahead /= np.linalg.norm(ahead)
    axis = np.cross(ahead, [0.0, 0.0, 1.0])  # about it, a right-handed turn lifts the head
    place = flat(anchor)
    lengths = []
    for angle in np.linspace(math.radians(plan.laydown.rest_angle_deg), math.pi / 2, steps):
        # Rodrigues' rotation of the lying mast's direction.
        c, s = math.cos(angle), math.sin(angle)
        along = ahead * c + np.cross(axis, ahead) * s + axis * np.dot(axis, ahead) * (1 - c)
        lengths.append(np.linalg.norm(hinge + attach_m * along - place))
    return max(lengths) - min(lengths)
