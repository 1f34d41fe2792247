"""What the screening for air navigation found: criteria, nearest runways, markings, fields of the notice."""

from __future__ import annotations

from dataclasses import dataclass

from siting.figures import quantity, words
from siting.records.dig import Ring
from siting.records.findings import Unchecked

# The only results. None of them is a permission.
NOTICE, NOT_BY_THESE, CANNOT_TELL = "notice required", "not by these criteria", "cannot tell"
RESULTS = (NOT_BY_THESE, CANNOT_TELL, NOTICE)  # the last counts most
YES, NO = "yes", "no"


@dataclass(frozen=True, slots=True)
class AirCriterion:
    """One criterion of the rules, at the runway or heliport that decides it."""

    id: str = words("paragraph of 14 CFR: 77.9(a), 77.9(b)(1) ...")
    title: str = words("the criterion in plain words")
    value_ft: float | None = quantity("feet", "what is held against it: height above ground, or the tip above sea level; null where unknown")
    limit_ft: float | None = quantity("feet", "the height that it must exceed; null where there is none or it is not known")
    margin_ft: float | None = quantity("feet", "limit less value; negative: exceeded")
    measured: str = words("what value and limit are: height above ground, or elevation above mean sea level")
    verdict: str = words("notice required, not by these criteria or cannot tell")
    text: str = words("how this comes about, with what was assumed")
    source: str = words("rule with paragraph, and that it was read")

    def __post_init__(self) -> None:
        if self.verdict not in RESULTS:
            raise ValueError(f"criterion {self.id}: {self.verdict!r} is none of {', '.join(RESULTS)}")


@dataclass(frozen=True, slots=True)
class RunwayNear:
    """A runway or heliport near the site. Distances are horizontal, from its nearest point."""

    airport: str = words("identifier")
    name: str = words("name of the airport; empty where the file has none")
    runway: str = words("its two numbers; empty where only the airport's point is known")
    kind: str = words("runway or heliport")
    distance_m: float = quantity("length", "mast to its nearest point")
    within_m: float = quantity("length", "how far the real one may lie from where the file has it")
    bearing_deg: float = quantity("bearing", "true azimuth from the mast to that point")
    from_deg: float = quantity("bearing", "true azimuth from that point to the mast")
    length_m: float | None = quantity("length", "as listed; null where not known")
    elevation_m: float | None = quantity("length", "above mean sea level at that point, between the ends; null where not known")
    slope_to_one: int | None = words("its surface rises one in so many: 100, 50, 25; null where no surface reaches the mast")
    surface_m: float | None = quantity("length", "height of that surface above sea level at the mast; null where none or not known")
    margin_m: float | None = quantity("length", "surface less the mast's tip; negative: exceeded")
    verdict: str = words("notice required, not by these criteria or cannot tell")
    note: str = words("what is not known of it, and what was taken instead")


@dataclass(frozen=True, slots=True)
class Band:
    """A band of paint, measured down from the mast's tip."""

    from_m: float = quantity("length", "its upper edge, from the tip down")
    to_m: float = quantity("length", "its lower edge, from the tip down")
    from_ft: float = quantity("feet", "upper edge")
    to_ft: float = quantity("feet", "lower edge")
    colour: str = words("aviation orange or white")


@dataclass(frozen=True, slots=True)
class SpherePlace:
    """Where a marker sphere sits on a guy, along its straight line."""

    anchor: str = words("the guy's anchor")
    attach_m: float = quantity("length", "the guy's attachment above the hinge")
    from_anchor_m: float = quantity("length", "from the anchor up along the guy")
    from_mast_m: float = quantity("length", "from the attachment down along the guy")


@dataclass(frozen=True, slots=True)
class GroundMark:
    """Ground around an anchor that is to be fenced or to look different."""

    anchor: str = words("stake id")
    kind: str = words("fence or patch")
    form: str = words("square or circle")
    across_m: float = quantity("length", "side or diameter")
    area_m2: float = quantity("area", "ground inside it")
    edge_m: float = quantity("length", "least distance from the anchor to its edge")
    ring: Ring = quantity("latlon", "(lon, lat) pairs of its outline, closed")


@dataclass(frozen=True, slots=True)
class Marking:
    """What one law or guidance asks for, so that the mast is seen."""

    law: str = words("short name")
    place: str = words("where it holds: US, US-MT, ICAO")
    applies: str = words("yes, no or cannot tell")
    why: str = words("why so")
    bands: tuple[Band, ...] = words("bands of paint from the tip down; empty where none are asked for")
    bands_text: str = words("the bands in words")
    sphere_count: int | None = words("marker spheres on each outside guy; null where none or no count is given")
    spheres: tuple[SpherePlace, ...] = words("where they sit")
    spheres_text: str = words("the spheres in words")
    sleeve_m: float | None = quantity("length", "length of a guy sleeve from the anchor up; null where none")
    sleeve_count: int = words("sleeves in all")
    sleeves_text: str = words("the sleeves in words")
    lights_text: str = words("lights; empty where none are asked for")
    ground_text: str = words("ground or fence at the anchors; empty where none")
    ground: tuple[GroundMark, ...] = words("outlines around the anchors, where the law gives their size")
    notice_text: str = words("whom to tell, and when; empty where nobody")
    source: str = words("law with section, how it was read")
    date_read: str = words("day on which the text was read")


@dataclass(frozen=True, slots=True)
class NoticeForm:
    """What FAA Form 7460-1 asks for, as far as the plan knows it."""

    latitude: str = words("degrees, minutes, seconds to 0.01")
    longitude: str = words("degrees, minutes, seconds to 0.01")
    datum: str = words("of the coordinates, and what the form asks")
    site_elevation_ft: float | None = quantity("feet", "ground at the base above mean sea level; null where not known")
    height_agl_ft: float = quantity("feet", "total height above the ground")
    overall_amsl_ft: float | None = quantity("feet", "tip above mean sea level; null where not known")
    elevation_text: str = words("where the site elevation comes from")
    nearest_airport: str = words("name, distance and direction; says so where not known")
    accuracy: str = words("accuracy codes, and what better ones need")
    lead_time: str = words("how long before, with the day")
    file_by: str = words("45 days before the plan's day; empty where the plan has none")
    supplemental: str = words("the notice after the mast stands")
    supplied: tuple[str, ...] = words("what the applicant adds by hand")


@dataclass(frozen=True, slots=True)
class AirScreening:
    """A met mast held against rules of air navigation. It is a screening: the authority alone decides."""

    result: str = words("notice required, not by these criteria or cannot tell")
    headline: str = words("the result in one plain sentence")
    total_height_m: float = quantity("length", "ground to the tip")
    total_height_ft: float = quantity("feet", "ground to the tip")
    tip_amsl_m: float | None = quantity("length", "tip above mean sea level; null where the vertical datum is not known")
    tip_amsl_ft: float | None = quantity("feet", "tip above mean sea level; null where the vertical datum is not known")
    elevation_text: str = words("where the height above sea level comes from, or why it is not known")
    airfields: str = words("the runways and heliports that were read; empty where none were given")
    criteria: tuple[AirCriterion, ...] = words("every criterion")
    nearest: tuple[RunwayNear, ...] = words("runways and heliports, the nearest first")
    unchecked: tuple[Unchecked, ...] = words("what was not looked at: never a pass")
    markings: tuple[Marking, ...] = words("what each law asks for, so that the mast is seen")
    form: NoticeForm = words("fields of the notice")
    notes: tuple[str, ...] = words("what was assumed or left out of the runway data")
    sources: tuple[str, ...] = words("rules, with how they were read")

    def __post_init__(self) -> None:
        if self.result not in RESULTS:
            raise ValueError(f"air screening: {self.result!r} is none of {', '.join(RESULTS)}")
