"""Which masts the FAA is to be told of: 14 CFR 77.9, by height and by the surfaces that rise from runways."""

from __future__ import annotations

from dataclasses import dataclass

from siting.air.case import AirCase
from siting.air.nearest import Near
from siting.figures import shown
from siting.records.air import CANNOT_TELL, NOT_BY_THESE, NOTICE, RESULTS, AirCriterion
from siting.records.airfields import HELIPORT, RUNWAY, Airfields
from siting.units import METRES_PER_FOOT

# 14 CFR 77.9, read.
HEIGHT_FT = 200.0
LONG_RUNWAY_FT = 3200.0
# Less than the roundings of a height in metres: at the limit is not over it.
EQUAL_M = 1e-6


@dataclass(frozen=True, slots=True)
class Surface:
    """A surface that rises from a runway or a heliport: one in so many, out to a horizontal distance."""

    id: str
    title: str
    to_one: int
    zone_ft: float

    @property
    def zone_m(self) -> float:
        """How far it reaches, metres."""
        return self.zone_ft * METRES_PER_FOOT


LONG = Surface("77.9(b)(1)", "100 : 1 to 20,000 ft from airports whose longest runway is over 3,200 ft", 100, 20_000.0)
SHORT = Surface("77.9(b)(2)", "50 : 1 to 10,000 ft from airports whose longest runway is no more than 3,200 ft", 50, 10_000.0)
HELI = Surface("77.9(b)(3)", "25 : 1 to 5,000 ft from heliports", 25, 5_000.0)
SURFACES = (LONG, SHORT, HELI)
SOURCE = "14 CFR 77.9, read"
HOW_SURFACE = "elevation above mean sea level: the mast's tip, and the surface at the mast"


@dataclass(frozen=True, slots=True)
class Judged:
    """A strip with its surface and what came of it."""

    near: Near
    surface: Surface
    verdict: str
    surface_m: float | None  # above mean sea level at the mast; None outside the zone or where not known
    margin_m: float | None
    text: str
    length_note: str


def over(value_m: float, limit_m: float) -> bool:
    """True where a height in metres is greater than its limit; at the limit it is not."""
    return value_m > limit_m + EQUAL_M


def height_criterion(case: AirCase) -> AirCriterion:
    """77.9(a): more than 200 ft above the ground at the site, feet."""
    is_over = over(case.total_height_m, HEIGHT_FT * METRES_PER_FOOT)
    said = "is more than" if is_over else "is not more than"
    return AirCriterion(
        "77.9(a)", "more than 200 ft above the ground", case.total_height_ft, HEIGHT_FT, HEIGHT_FT - case.total_height_ft,
        "height above the ground at the site", NOTICE if is_over else NOT_BY_THESE,
        f"the mast's total height of {shown(case.total_height_ft, 'feet')} ({shown(case.total_height_m, 'length')}) {said} 200 ft (60.96 m)",
        f"{SOURCE}, (a)",
    )  # fmt: skip


def longest_runways(nears: tuple[Near, ...]) -> dict[str, tuple[Surface, str]]:
    """By airport: its surface, and what had to be taken of its runways' lengths; no unit.

    A runway counts as long as it is listed or drawn, the longer of the two. Where no length is listed, the airport counts
    as one with a longer runway: its surface lies lower and reaches farther.
    """
    found: dict[str, tuple[Surface, str]] = {}
    for airport in {n.strip.airport for n in nears if n.strip.kind == RUNWAY}:
        strips = [n.strip for n in nears if n.strip.airport == airport and n.strip.kind == RUNWAY]
        lengths_ft = [s.length_m / METRES_PER_FOOT for s in strips if s.length_m]
        if lengths_ft and max(lengths_ft) > LONG_RUNWAY_FT + EQUAL_M:
            found[airport] = (LONG, "")
        elif len(lengths_ft) < len(strips):
            found[airport] = (LONG, "the length of a runway is not listed: counted as more than 3,200 ft")
        else:
            found[airport] = (SHORT, "")
    return found


def judge_strips(case: AirCase, nears: tuple[Near, ...]) -> tuple[Judged, ...]:
    """Every strip against its own surface, in the order given; no unit.

    Only the nearest runway of an airport counts. Where their places are not known well enough to say which is nearest,
    each that may be nearest counts.
    """
    by_airport = longest_runways(nears)
    reach_m: dict[tuple[str, str], float] = {}
    for near in nears:
        key = (near.strip.airport, near.strip.kind)
        reach_m[key] = min(reach_m.get(key, near.far_m), near.far_m)
    judged = []
    for near in nears:
        surface, note = (HELI, "") if near.strip.kind == HELIPORT else by_airport[near.strip.airport]
        if near.near_m > reach_m[near.strip.airport, near.strip.kind] + EQUAL_M:
            text = "another runway of this airport is nearer, and that one counts"
            judged.append(Judged(near, surface, NOT_BY_THESE, None, None, text, note))
        elif near.strip.is_public is False:
            text = "not open to the public, as the file says: no such surface unless a Federal agency or a published approach makes it one"
            judged.append(Judged(near, surface, NOT_BY_THESE, None, None, text, note))
        else:
            verdict, limit_m, text = _judge(case, near, surface)
            margin_m = None if limit_m is None or case.tip_m is None else limit_m - case.tip_m
            judged.append(Judged(near, surface, verdict, limit_m, margin_m, text, note))
    return tuple(judged)


def _judge(case: AirCase, near: Near, surface: Surface) -> tuple[str, float | None, str]:
    """(verdict, height of the surface at the mast in metres or None, why)."""
    zone = f"{surface.zone_ft:,.0f} ft ({surface.zone_m:,.0f} m)"
    if near.near_m > surface.zone_m + EQUAL_M:
        return NOT_BY_THESE, None, f"{near.distance_m:,.1f} m away, outside {zone}"
    highest_m = near.elevation_m if near.elevation_m is not None else near.highest_m
    limit_m = None
    if highest_m is not None and near.distance_m <= surface.zone_m + EQUAL_M:
        limit_m = highest_m + near.distance_m / surface.to_one
    tip_m = case.tip_m
    if tip_m is None:
        return CANNOT_TELL, limit_m, f"inside {zone}, but the mast's height above sea level is not known"
    if limit_m is not None and over(tip_m, limit_m):
        at = "" if near.elevation_m is not None else ", even counted from the airport's highest point"
        return NOTICE, limit_m, f"inside {zone}; the tip is {tip_m - limit_m:.2f} m over the surface{at}"
    if near.lowest_m is None:
        return CANNOT_TELL, limit_m, f"inside {zone}, but the height of the runway at its nearest point is not known"
    careful_m = near.lowest_m + near.near_m / surface.to_one
    if not over(tip_m + case.ground.error_m, careful_m):
        return NOT_BY_THESE, limit_m, f"inside {zone}; the tip is {careful_m - tip_m:.2f} m under the surface"
    doubts = []
    if case.ground.error_m:
        doubts.append(f"the ground's height may be off by up to {case.ground.error_m:.2f} m")
    if near.strip.within_m:
        doubts.append(f"the runway may lie up to {near.strip.within_m:,.0f} m elsewhere")
    under = "under the surface" if near.distance_m <= surface.zone_m else f"outside {zone}"
    return CANNOT_TELL, limit_m, f"{near.distance_m:,.1f} m away, {under} on these data, but {' and '.join(doubts)}"


def surface_criteria(case: AirCase, airfields: Airfields | None, judged: tuple[Judged, ...]) -> tuple[AirCriterion, ...]:
    """77.9(b)(1) to (3), each at the strip that decides it: feet above mean sea level."""
    return tuple(_surface_criterion(case, airfields, judged, surface) for surface in SURFACES)


def _surface_criterion(case: AirCase, airfields: Airfields | None, judged: tuple[Judged, ...], surface: Surface) -> AirCriterion:
    mine = [j for j in judged if j.surface is surface]
    tip_ft = None if case.tip_m is None else case.tip_m / METRES_PER_FOOT
    gap = data_gap(airfields, surface is HELI)
    deciding = min(mine, key=_first_counts, default=None)
    verdict = deciding.verdict if deciding else NOT_BY_THESE
    limit_ft = margin_ft = None
    if deciding is None:
        what = "no heliport" if surface is HELI else "no such airport"
        text = f"{what} within {airfields.reach_m / 1000:,.0f} km in {airfields.shown}" if airfields else ""
    else:
        strip = deciding.near.strip
        called = " ".join(t for t in (strip.kind, strip.runway, "of", strip.name or strip.airport) if t)
        text = "; ".join(t for t in (f"{called}: {deciding.text}", deciding.length_note, strip.note) if t)
        if verdict != NOT_BY_THESE and strip.is_public is None:
            text += "; counted as open to the public (77.9(d)), which the file does not say"
        if deciding.surface_m is not None:
            limit_ft = deciding.surface_m / METRES_PER_FOOT
            margin_ft = None if tip_ft is None else limit_ft - tip_ft
    if gap and verdict == NOT_BY_THESE:
        verdict, text = CANNOT_TELL, f"{gap}{'; ' + text if text else ''}"
    return AirCriterion(surface.id, surface.title, tip_ft, limit_ft, margin_ft, HOW_SURFACE, verdict, text, f"{SOURCE}, {surface.id[4:]}")


def _first_counts(judged: Judged) -> tuple[float, float, float]:
    """What decides first: the graver verdict, then the smaller margin, then the nearer."""
    margin = judged.margin_m if judged.margin_m is not None else float("inf")
    return -RESULTS.index(judged.verdict), margin, judged.near.distance_m


def data_gap(airfields: Airfields | None, for_heliports: bool) -> str:
    """Why the data cannot show that nothing is near; empty where they can. No unit."""
    what = "heliports" if for_heliports else "runways"
    if airfields is None or not (airfields.has_heliports if for_heliports else airfields.has_runways):
        return f"no file of {what} is given"
    if airfields.unplaced:
        return f"{airfields.unplaced} rows of {airfields.shown} have no coordinates and may lie near"
    if not for_heliports and not any(s.kind == RUNWAY for s in airfields.strips):
        return f"{airfields.shown} holds no runway within {airfields.reach_m / 1000:,.0f} km: it may not cover the site"
    return ""
