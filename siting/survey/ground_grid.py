"""Coordinates scaled to the ground about the base, where the user asks for them: clearly other numbers."""

from __future__ import annotations

from siting.geodesy.frames import Frame
from siting.records.plan import Stake
from siting.records.survey import GroundGrid, GroundPoint

# The leading digits are cut off, so that nobody can take these for grid coordinates.
CUT_M = 10_000.0


def ground_grid(stakes: tuple[Stake, ...], frame: Frame) -> GroundGrid:
    """Every stake as x, y in ground metres; undone by grid = origin + (x - x_origin) x combined factor / unit.

    Source: NGS practice for project coordinates (scale by 1 / combined factor about a site point, then truncate).
    """
    factor = 1.0 / frame.combined_factor
    x0, y0 = (frame.easting * frame.unit_m) % CUT_M, (frame.northing * frame.unit_m) % CUT_M
    points = tuple(
        GroundPoint(
            s.id,
            x0 + (s.easting - frame.easting) * frame.unit_m * factor,
            y0 + (s.northing - frame.northing) * frame.unit_m * factor,
        )
        for s in stakes
    )
    return GroundGrid(factor, frame.easting, frame.northing, x0, y0, points)
