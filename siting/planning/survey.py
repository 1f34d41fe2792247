"""The surveyor's part of a plan: ties, control, localisation, ground coordinates, point lists."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from siting.geodesy.frames import Frame
from siting.geodesy.geoid import undulations_m
from siting.records.plan import Stake
from siting.records.site import Site
from siting.records.survey import ControlPoint, GroundGrid, Localisation, PointList, Tie
from siting.survey.control import control_points, localisation
from siting.survey.ground_grid import ground_grid
from siting.survey.point_lists import point_list
from siting.survey.ties import make_ties


@dataclass(frozen=True, slots=True)
class Survey:
    """What a surveyor needs beside the stakes."""

    ties: tuple[Tie, ...]
    control: tuple[ControlPoint, ...]
    localisation: Localisation | None
    ground_grid: GroundGrid | None
    point_lists: tuple[PointList, ...]


def undulations(site: Site) -> Callable[[np.ndarray, np.ndarray], np.ndarray] | None:
    """Geoid undulations (metres) by the user's grid, None where none is at hand."""
    dem = site.dem
    if dem.geoid is None:
        return None
    return lambda lon, lat: undulations_m(dem.geoid, dem.geoid_shown, lon, lat)


def survey_of(site: Site, stakes: tuple[Stake, ...], frame: Frame, base_height_m: float, vertical_datum: str) -> Survey:
    """The surveyor's part of a site's plan.

    Raises:
        InputError: a control point or feature lies impossibly far away.
        OutOfMethod: control pairs that no localisation can be made from.
    """
    control = control_points(site.given_points, stakes, frame, base_height_m, site.points)
    features = tuple(c for c in control if c.role == "feature")
    blank = site.points.blank_unknown_elevation and not vertical_datum
    return Survey(
        ties=make_ties(stakes, features, frame, base_height_m),
        control=control,
        localisation=localisation(site.given_points, control, frame),
        ground_grid=ground_grid(stakes, frame) if site.points.ground_scaled else None,
        point_lists=tuple(point_list(v, stakes, control, frame, blank_elevation=blank) for v in site.points.lists),
    )
