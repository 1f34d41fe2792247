"""The drawing's window: which ground it shows, at which scale, and where a place lies on the paper."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from siting.records.plan import Plan
from siting.writers.sitemap.grid_frame import GridFrame, Point
from siting.writers.sitemap.map_sheet import Box
from siting.writers.sitemap.scale import Extent

BAND_MM = 5.2  # between the two lines of the frame, for the grid's figures
AIR_MM = 4.0  # between what must be seen and the frame


@dataclass(frozen=True, slots=True)
class Window:
    """A drawing inside `box` (mm on the paper), one to `ratio`, the base at `base_at`; the sheet's up is grid north."""

    frame: GridFrame
    box: Box
    ratio: float
    base_at: Point

    def paper(self, xy_m: Point) -> Point:
        """Where a place in ground metres lies on the paper, mm."""
        return self.base_at[0] + 1000.0 * xy_m[0] / self.ratio, self.base_at[1] - 1000.0 * xy_m[1] / self.ratio

    def ground(self, at: Point) -> Point:
        """The place in ground metres of a point of the paper."""
        return (at[0] - self.base_at[0]) * self.ratio / 1000.0, (self.base_at[1] - at[1]) * self.ratio / 1000.0

    def line(self, lonlat: Sequence[Point]) -> list[Point]:
        """A line in longitude and latitude on the paper, mm."""
        return [self.paper(p) for p in self.frame.ring(lonlat)]

    def at(self, lon: float, lat: float) -> Point:
        """A point in longitude and latitude on the paper, mm."""
        return self.paper(self.frame.ground(lon, lat))

    @property
    def corners_m(self) -> tuple[Point, Point, Point, Point]:
        """Lower left, upper left, upper right and lower right of the box, ground metres."""
        left, top, right, bottom = self.box
        return self.ground((left, bottom)), self.ground((left, top)), self.ground((right, top)), self.ground((right, bottom))

    @property
    def extent_m(self) -> Extent:
        """What the box shows: west, south, east, north of the base, ground metres."""
        (west, south), (east, north) = self.corners_m[0], self.corners_m[2]
        return west, south, east, north

    def shows(self, extent: Extent) -> bool:
        """Whether this extent lies inside the box."""
        mine = self.extent_m
        return mine[0] <= extent[0] and mine[1] <= extent[1] and mine[2] >= extent[2] and mine[3] >= extent[3]


def needed(plan: Plan, frame: GridFrame) -> Extent:
    """What a site map must show: layout, fall circle, setback, the nearest property line; ground metres from the base."""
    radius = max(plan.land.fall_radius_m, plan.land.setback_m)
    places = [(-radius, -radius), (radius, radius)]
    places += [frame.from_grid(s.easting, s.northing) for s in plan.stakes]
    nearest = plan.land.nearest_boundary_point
    if nearest is not None and abs(plan.land.nearest_boundary_m or 0.0) < 1.6 * radius:
        places.append(frame.from_grid(nearest.easting, nearest.northing))
    east, north = [p[0] for p in places], [p[1] for p in places]
    return min(east), min(north), max(east), max(north)


def room_mm(box: Box) -> Point:
    """Width and height of a box that is left for what must be seen, mm."""
    return box[2] - box[0] - 2 * AIR_MM, box[3] - box[1] - 2 * AIR_MM


def place_window(frame: GridFrame, box: Box, ratio: float, extent: Extent, *, on_base: bool) -> Window:
    """The window with the extent in its middle, or the base where the extent does not fit."""
    x, y = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
    if not on_base:
        x -= 1000.0 * (extent[0] + extent[2]) / 2 / ratio
        y += 1000.0 * (extent[1] + extent[3]) / 2 / ratio
    return Window(frame, box, ratio, (x, y))
