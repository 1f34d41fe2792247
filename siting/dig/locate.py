"""The ground that is to be looked at before digging, with what a notice to the locating service asks for."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from siting.dig.ground import DigPlace
from siting.dig.holes import Opening
from siting.errors import InputError
from siting.figures import kept, shown
from siting.records.dig import Hole, LocateArea, Ring

if TYPE_CHECKING:
    from shapely import Polygon

# A round buffer is drawn as straight pieces around it, over the true circle by this at most.
ROUND_WITHIN_M = 0.004
BUFFER_MAX_M = 500.0
WORK_WORDS = {"pit": "dug by machine", "screw": "turned in (screw anchor)", "drill": "drilled", "pin": "driven (pins, earth rod)"}


def locate_area(openings: tuple[Opening, ...], place: DigPlace, buffer_m: float) -> LocateArea:
    """The ground within the buffer of every opening and of every rod under it: rings in WGS 84, square metres, metres.

    Worked out in ground metres around the base, so the buffer is the same in every direction at any latitude. Holes
    inside an area are filled: more ground to look at, not less. Driving there is not in it.

    Raises:
        InputError: the buffer is no length from 0.1 m to 500 m.
    """
    if not 0.1 <= buffer_m <= BUFFER_MAX_M:
        raise InputError.of(
            "dig_buffer", "buffer around the digging", f"is {buffer_m:g} m", f"give one from 0.1 m to {BUFFER_MAX_M:g} m"
        )
    areas = _areas(openings, buffer_m)
    holes = tuple(opening.hole for opening in openings if opening.hole is not None)
    deepest_m = max((opening.deepest_m for opening in openings if opening.deepest_m is not None), default=0.0)
    return LocateArea(
        buffer_m=buffer_m,
        rings=tuple(_ring(area, place) for area in areas),
        area_m2=sum(area.area for area in areas),
        deepest_m=deepest_m,
        fields=_fields(openings, holes, place, deepest_m, sum(area.area for area in areas)),
        words_on_it=_words(openings, buffer_m),
    )


def _areas(openings: tuple[Opening, ...], buffer_m: float) -> list[Polygon]:
    """Outlines in metres east and north of the base, counter-clockwise, from the south-west."""
    import shapely

    shapes = []
    for opening in openings:
        for xy in opening.xy_m:
            made = shapely.points(xy[0]) if len(xy) == 1 else shapely.linestrings(xy) if len(xy) == 2 else shapely.polygons(xy)
            shapes.append(made)
    # A quarter circle in so many pieces that the corners of the outer polygon stay within ROUND_WITHIN_M of the circle.
    turn = math.acos(buffer_m / (buffer_m + ROUND_WITHIN_M))
    pieces = math.ceil(math.pi / 4.0 / turn)
    outer_m = buffer_m / math.cos(math.pi / 4.0 / pieces)
    whole = shapely.union_all(shapely.buffer(np.array(shapes), outer_m, quad_segs=pieces))
    filled = shapely.union_all([shapely.polygons(part.exterior) for part in shapely.get_parts(whole)])
    parts = [shapely.orient_polygons(part) for part in shapely.get_parts(filled) if not part.is_empty]
    return sorted(parts, key=lambda part: (part.bounds[1], part.bounds[0]))


def _ring(area: Polygon, place: DigPlace) -> Ring:
    """The closed outline in WGS 84."""
    xy = np.array(area.exterior.coords)
    lon, lat = place.lonlat(xy[:, 0], xy[:, 1])
    ring = tuple((float(a), float(b)) for a, b in zip(lon, lat, strict=True))
    return (*ring[:-1], ring[0])


def _fields(
    openings: tuple[Opening, ...], holes: tuple[Hole, ...], place: DigPlace, deepest_m: float, area_m2: float
) -> tuple[tuple[str, str], ...]:
    """What a notice asks for; empty where the applicant must fill in. Source: Minnesota Statutes 216D.04 subd. 1 (b), read."""
    works = dict.fromkeys(hole.work for hole in holes)
    work = ", ".join(f"{sum(h.work == w for h in holes)} {WORK_WORDS[w]}" for w in works)
    bare = sum(opening.hole is None for opening in openings)
    more = f", {bare} more that are not worked out yet" if bare else ""
    point = f"{kept(place.lat_deg, 'latlon')[:-2]}, {kept(place.lon_deg, 'latlon')[:-2]} WGS 84"
    grid = f"{place.frame.name}: easting {place.frame.easting:.2f}, northing {place.frame.northing:.2f} {place.frame.unit}"
    unknown = "; some holes have no depth yet" if bare else ""
    fields = [
        ("Name of the person who gives notice", ""),
        ("Company, address, telephone", ""),
        ("Field telephone", ""),
        ("Precise location, mast base", f"{point}; {grid}"),
        ("County, township, range, section, nearest road", ""),
        ("Type of work", f"anchors, base and earthing of a guyed measuring mast: {work}{more}"),
        ("Extent of work", f"{len(openings)} places, {shown(area_m2, 'area')} with the buffer; outlines as WGS 84 coordinates"),
        ("Explosives", "no"),
        ("Deepest digging, driving or drilling", f"{shown(deepest_m, 'length')}{unknown}"),
        ("Date and time of start", ""),
        ("Duration", ""),
        ("Marked in white on the ground: yes or no", ""),
    ]
    places = [
        (
            hole.id,
            f"{hole.lat:.7f}, {hole.lon:.7f} WGS 84; {hole.easting:.2f}, {hole.northing:.2f}; {shown(hole.depth_m, 'length')} deep",
        )
        for hole in holes
    ]
    return (*fields, *places)


def _words(openings: tuple[Opening, ...], buffer_m: float) -> tuple[str, ...]:
    """What the area does not say."""
    bare = sorted({opening.anchor for opening in openings if opening.hole is None})
    said = [
        "This notice does not say that the ground is free of buried lines.",
        "How long before the work the notice must be given: look it up where you dig. Two examples: Minnesota Statutes 216D.04, at "
        "least 48 hours, the day of the notice, Saturdays, Sundays and holidays not counted, and at most 14 days; California "
        "Government Code 4216.2, at least two working days.",
        "A locating service speaks for its members only: ask the landowner too about drains, water, fuel and private cables.",
        "Marks show about where a line is, not how deep: near one, dig by hand until it is seen.",
        f"The area is {shown(buffer_m, 'length')} around every place where the ground is opened and around every rod under it. The "
        "ways of machines are not in it.",
        "Other stakes are driven into the ground too: name them where the service asks for them.",
    ]
    if bare:
        said.append(
            f"At {', '.join(bare)} no hole is known yet: the area there is around the stake and the rod only, so give notice anew."
        )
    return tuple(said)
