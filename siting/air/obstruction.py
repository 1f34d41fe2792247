"""Heights that the FAA counts as obstructions: 14 CFR 77.17(a)(1) and (2)."""

from __future__ import annotations

from siting.air.case import AirCase
from siting.air.nearest import Near
from siting.air.notice import LONG, data_gap, longest_runways, over
from siting.figures import shown
from siting.geodesy.geodesic import WGS84
from siting.records.air import CANNOT_TELL, NOT_BY_THESE, NOTICE, RESULTS, AirCriterion
from siting.records.airfields import RUNWAY, Airfields
from siting.units import METRES_PER_FOOT, METRES_PER_NAUTICAL_MILE

# 14 CFR 77.17(a), read.
ANYWHERE_FT = 499.0
NEAR_FT, NEAR_NMI, MORE_FT_PER_NMI, FAR_NMI = 200.0, 3.0, 100.0, 6.0
SOURCE = "14 CFR 77.17, read"
STUDIED = "it would be an obstruction by this standard, which the FAA studies after the notice"
AGL = "height above the ground at the site"
WHICHEVER = "height above the ground or above the airport's elevation, whichever is higher"


def limit_ft(distance_nmi: float) -> float:
    """The height in feet over which an object is an obstruction, this far from an airport's reference point.

    Source: 14 CFR 77.17(a)(2): 200 ft within 3 nautical miles, 100 ft more for each further one, at most 499 ft.
    """
    return min(ANYWHERE_FT, NEAR_FT + MORE_FT_PER_NMI * max(0.0, distance_nmi - NEAR_NMI))


def obstruction_criteria(case: AirCase, airfields: Airfields | None, nears: tuple[Near, ...]) -> tuple[AirCriterion, ...]:
    """77.17(a)(1) and (2), feet above the ground."""
    return _anywhere(case), _near_airports(case, airfields, nears)


def _anywhere(case: AirCase) -> AirCriterion:
    is_over = over(case.total_height_m, ANYWHERE_FT * METRES_PER_FOOT)
    text = f"the mast's total height is {shown(case.total_height_ft, 'feet')}" + (f"; {STUDIED}" if is_over else "")
    return AirCriterion(
        "77.17(a)(1)", "obstruction: more than 499 ft above the ground", case.total_height_ft, ANYWHERE_FT,
        ANYWHERE_FT - case.total_height_ft, AGL, NOTICE if is_over else NOT_BY_THESE, text, f"{SOURCE}, (a)(1)",
    )  # fmt: skip


def _near_airports(case: AirCase, airfields: Airfields | None, nears: tuple[Near, ...]) -> AirCriterion:
    """The airport with a longer runway that decides."""
    by_airport = longest_runways(nears)
    found = []
    for airport in sorted(name for name, (surface, _) in by_airport.items() if surface is LONG):
        strips = [n for n in nears if n.strip.airport == airport and n.strip.kind == RUNWAY]
        distance_nmi, how = _distance_nmi(case, strips)
        if distance_nmi <= FAR_NMI:
            verdict, text = _judge(case, strips, distance_nmi)
            called = strips[0].strip.name or airport
            note = by_airport[airport][1]
            text = "; ".join(t for t in (f"{called}, {distance_nmi:.2f} nautical miles away {how}: {text}", note) if t)
            found.append((-RESULTS.index(verdict), distance_nmi, verdict, text))
    _, distance_nmi, verdict, text = min(found, default=(0, FAR_NMI, NOT_BY_THESE, "no such airport within 6 nautical miles"))
    gap = data_gap(airfields, False)
    if gap and verdict == NOT_BY_THESE:
        lowest_m = NEAR_FT * METRES_PER_FOOT
        if over(case.total_height_m, lowest_m):
            verdict, text = CANNOT_TELL, gap
        else:
            text = f"the mast is no higher than the lowest limit of {NEAR_FT:g} ft, whatever airport is near ({gap})"
    limit = limit_ft(distance_nmi)
    return AirCriterion(
        "77.17(a)(2)", "obstruction: over 200 ft within 3 nautical miles of an airport with a runway over 3,200 ft, more farther out",
        case.total_height_ft, limit, limit - case.total_height_ft, WHICHEVER, verdict, text, f"{SOURCE}, (a)(2)",
    )  # fmt: skip


def _distance_nmi(case: AirCase, strips: list[Near]) -> tuple[float, str]:
    """Nautical miles to the airport's reference point; where that is not known, to its nearest runway, which mostly is nearer."""
    reference = next((n.strip.reference for n in strips if n.strip.reference), None)
    if reference is not None:
        return float(WGS84.inv(case.lon, case.lat, *reference)[2]) / METRES_PER_NAUTICAL_MILE, "from its reference point"
    return min(n.near_m for n in strips) / METRES_PER_NAUTICAL_MILE, "from its nearest runway, which stands in for its reference point"


def _judge(case: AirCase, strips: list[Near], distance_nmi: float) -> tuple[str, str]:
    limit_m = limit_ft(distance_nmi) * METRES_PER_FOOT
    if not over(case.total_height_m, limit_m):
        return NOT_BY_THESE, f"the limit is {limit_ft(distance_nmi):.0f} ft"
    heights = [n.strip.airport_m for n in strips] + [e for n in strips for e in n.strip.elevations_m]
    known = [h for h in heights if h is not None]
    if case.tip_m is None or not known:
        return CANNOT_TELL, "over the limit above the ground, but its height above the airport's elevation is not known"
    if over(case.tip_m - max(known), limit_m):
        return NOTICE, f"over the limit of {limit_ft(distance_nmi):.0f} ft above the ground and above the airport; {STUDIED}"
    return NOT_BY_THESE, f"over {limit_ft(distance_nmi):.0f} ft above the ground, but not above the airport's elevation"
