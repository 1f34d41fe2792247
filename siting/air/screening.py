"""Brings the screening together: criteria, nearest runways, markings, the notice, and what was not looked at."""

from __future__ import annotations

from siting.air.case import AirCase
from siting.air.marking import mast_markings
from siting.air.nearest import nearest_point
from siting.air.notice import Judged, data_gap, height_criterion, judge_strips, surface_criteria
from siting.air.notice_form import notice_form
from siting.air.obstruction import obstruction_criteria
from siting.records.air import CANNOT_TELL, NOT_BY_THESE, NOTICE, RESULTS, AirCriterion, AirScreening, RunwayNear
from siting.records.airfields import Airfields
from siting.records.findings import Unchecked
from siting.units import METRES_PER_FOOT

# Runways listed beside those that a criterion speaks of.
LISTED = 5
LISTED_MOST = 20
SOURCES = (
    "14 CFR 77.7, 77.9, 77.11 and 77.17, read in public copies (edition of 2024 and an undated one): look up the one in force",
    "ICAO Annex 14 Vol. I 6.2.4 (2004 text, read), 6.2.5.3 (2013, read), lights by height (secondary source)",
    "marking laws: each with its citation and the day on which it was read; copies may be older than the law in force",
)


def screen(case: AirCase, airfields: Airfields | None) -> AirScreening:
    """The mast held against every criterion; heights in metres and feet, distances in metres.

    It is a screening of the criteria that it lists: the result is never a permission.

    Args:
        airfields: what was read near the site; None where the user gave nothing.
    """
    strips = airfields.strips if airfields else ()
    nears = tuple(sorted((nearest_point(case.lat, case.lon, s) for s in strips), key=lambda near: near.distance_m))
    judged = judge_strips(case, nears)
    criteria = (
        height_criterion(case),
        *surface_criteria(case, airfields, judged),
        *obstruction_criteria(case, airfields, nears),
    )
    result = max((c.verdict for c in criteria), key=RESULTS.index)
    tip_m = case.tip_m
    return AirScreening(
        result=result,
        headline=_headline(result, criteria, case),
        total_height_m=case.total_height_m,
        total_height_ft=case.total_height_ft,
        tip_amsl_m=tip_m,
        tip_amsl_ft=None if tip_m is None else tip_m / METRES_PER_FOOT,
        elevation_text=case.ground.text,
        airfields=airfields.shown if airfields else "",
        criteria=criteria,
        nearest=tuple(_row(j) for j in _listed(judged)),
        unchecked=_unchecked(case, airfields),
        markings=mast_markings(case),
        form=notice_form(case, judged),
        notes=airfields.notes if airfields else (),
        sources=SOURCES,
    )


def _headline(result: str, criteria: tuple[AirCriterion, ...], case: AirCase) -> str:
    named = ", ".join(c.id for c in criteria if c.verdict == result)
    abroad = "" if case.state is None or case.state.startswith("US") else f" These are rules of the United States: ask the authority of {case.state}."
    if result == NOTICE:
        return f"Notice required: {named} of 14 CFR. File FAA Form 7460-1.{abroad}"
    if result == CANNOT_TELL:
        return f"Cannot tell whether notice is required: {named} of 14 CFR need data that are not there. Ask the authority.{abroad}"
    return f"Not by these criteria ({named} of 14 CFR). Other rules may still ask for notice: see what was not looked at.{abroad}"


def _listed(judged: tuple[Judged, ...]) -> list[Judged]:
    """The nearest ones, and every other that a criterion speaks of, the nearest first."""
    kept = [j for n, j in enumerate(judged) if n < LISTED or j.verdict != NOT_BY_THESE or j.surface_m is not None]
    return kept[:LISTED_MOST]


def _row(judged: Judged) -> RunwayNear:
    near, strip = judged.near, judged.near.strip
    return RunwayNear(
        airport=strip.airport,
        name=strip.name,
        runway=strip.runway,
        kind=strip.kind,
        distance_m=near.distance_m,
        within_m=strip.within_m,
        bearing_deg=near.bearing_deg,
        from_deg=near.from_deg,
        length_m=strip.length_m,
        elevation_m=near.elevation_m,
        slope_to_one=None if judged.surface_m is None else judged.surface.to_one,
        surface_m=judged.surface_m,
        margin_m=judged.margin_m,
        verdict=judged.verdict,
        note="; ".join(t for t in (judged.text, judged.length_note, strip.note) if t),
    )


def _unchecked(case: AirCase, airfields: Airfields | None) -> tuple[Unchecked, ...]:
    """What no criterion here looked at, the missing data first."""
    found = []
    for id_, for_heliports, key in (("air_runways", False, "runways"), ("air_heliports", True, "heliports")):
        gap = data_gap(airfields, for_heliports)
        if gap:
            do = f'give [air] {key} = "FILE"; runways = "open" reads both from an installed package' if "no file" in gap else "complete the file"
            found.append(Unchecked(id_, gap, do))
    if case.tip_m is None:
        found.append(
            Unchecked(
                "air_elevation", f"the ground's height above mean sea level: {case.ground.text}",
                "give [air] site_elevation_ft_amsl (surveyed), [air] vertical_datum_offset_m, or name the DEM's vertical_datum",
            )
        )  # fmt: skip
    found += [
        Unchecked(
            "air_other_surfaces", "instrument procedures, airways and the surfaces of 14 CFR 77.17(a)(3)-(5), 77.19, 77.21, 77.23; "
            "notice that the FAA asks for by itself; planned and military airports that the file does not hold",
            "ask the FAA's obstruction evaluation office, or use its own screening",
        ),
        Unchecked(
            "air_met_mast_rule", "whether the proposal of 18 November 2024 (89 FR 90627: notice for met masts of 50 to 200 ft) is in force",
            "look up 14 CFR part 77 as it stands",
        ),
        Unchecked(
            "air_national_rules", "State law, local zoning around airports, and the rules of any country but the United States",
            "ask the State's aeronautics office or the national authority: heights that must be notified differ by country",
        ),
    ]  # fmt: skip
    return tuple(found)
