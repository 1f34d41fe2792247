"""Laws and guidance on marking low met masts, as data: heights, paint, spheres, sleeves, ground, notice, how each was read.

Copies may be older than the law in force, and the list is not whole: ask the State's aeronautics office.
"""

from __future__ import annotations

from dataclasses import dataclass

# How the paint is laid out.
SEVEN, TOP_THIRD, FIVE_FOOT, ICAO_BANDS = "seven", "top third", "five foot", "icao"
# Where the spheres sit.
EVENLY, IN_TOP_THIRD, NEBRASKA = "evenly", "in the top third", "nebraska"
# What the ground around an anchor needs.
FENCE, CIRCLE = "fence", "circle"
READ = "2026-11-25"


@dataclass(frozen=True, slots=True)
class MarkingLaw:
    """One law. Heights in feet above the ground, as the laws have them."""

    name: str
    place: str  # ISO 3166: US, US-MT; or ICAO
    source: str
    least_ft: float = 50.0
    is_least_in: bool = True  # False: only more than that
    most_ft: float | None = None  # up to and with this height
    base_most_ft: float | None = None  # base no wider than this
    needs_rural: bool = True
    is_voluntary: bool = False
    doubt: str = ""  # why it may not be in force
    bands: str = ""
    bands_note: str = ""
    spheres: int | None = None  # on each outside guy
    spheres_at: str = EVENLY
    spheres_note: str = ""
    sleeve_ft: float | None = None
    is_sleeve_on_all: bool = True  # False: on the outside guys only
    sleeves_note: str = ""
    lights: str = ""
    ground: str = ""
    ground_note: str = ""
    notice: str = ""
    date_read: str = READ


NOT_COUNTED = "the number of bands is not stated: seven, as the FAA's circular has it"
NO_COUNT = "no number of spheres is stated"
OUTSIDE_TOWN = "outside the limits of a city or town"

LAWS = (
    MarkingLaw(
        "FAA policy on met masts under 200 ft", "US", "76 FR 36983 (24 June 2011), taken into AC 70/7460-1L; summary read",
        most_ft=200.0, is_voluntary=True, bands=SEVEN, spheres_note=f"orange spheres on the guys; {NO_COUNT}",
        sleeves_note="high-visibility sleeves on the outside guys; no length is stated", least_ft=0.0,
    ),
    MarkingLaw(
        "2016 Act section 2110, amended 2018", "US", "Pub. L. 114-190 section 2110, 49 USC 44718 note; legal summaries read",
        most_ft=200.0, base_most_ft=10.0, bands=SEVEN, spheres_note=f"as the FAA's circular has it; {NO_COUNT} in the text read",
        sleeves_note="as the FAA's circular has it",
        notice="marked as in AC 70/7460-1L, or in the FAA's database; a trade bulletin reads the 2018 Act so that a met mast needs both",
        doubt="whether the FAA's rule for it is in force was not found",
    ),
    MarkingLaw(
        "FAA proposal for met masts of 50 to 200 ft", "US", "89 FR 90627 (18 November 2024), a proposed rule; summary read",
        most_ft=200.0, needs_rural=False, doubt="a proposal in the text read; whether it has become a rule was not found",
        notice="would ask a notice to the FAA for every met mast from 50 ft to 200 ft, wherever it stands, and marking",
    ),
    MarkingLaw(
        "FAA marking over 200 ft", "US", "AC 70/7460-1, band widths as in TM 5-823-4 (read); the rest from memory",
        least_ft=200.0, is_least_in=False, needs_rural=False, bands=SEVEN,
        lights="as the FAA's determination says, after the notice of 14 CFR 77.9(a)", notice="FAA Form 7460-1, 45 days before",
    ),
    MarkingLaw(
        "ICAO Annex 14", "ICAO", "Annex 14 Vol. I, 6.2.4 (2004 text, read) and 6.2.5.3 (6th ed., read); lights by height: secondary source",
        least_ft=0.0, needs_rural=False, doubt="a standard for States: each decides which masts are to be marked", bands=ICAO_BANDS,
        spheres_note="markers on the guys seen from 1000 m in the air and from 300 m on the ground, in clear weather",
    ),
    MarkingLaw(
        "California PUC 21417", "US-CA", "AB 511 (2012); press report read, section from memory", most_ft=200.0, needs_rural=False,
        doubt="the text read ended on 1 January 2018", bands=SEVEN, spheres=2, sleeve_ft=7.0,
        lights="a flashing red light at the highest point, as a press report has it", ground=FENCE,
        ground_note="ground at each anchor unlike the plants around it; where the land is grazed, a fence around at least 64 sq ft, 4 ft or more from the anchor",
    ),
    MarkingLaw(
        "Colorado 43-10-117", "US-CO", "C.R.S. 43-10-117, read", is_least_in=False, base_most_ft=6.0, bands=SEVEN, bands_note=NOT_COUNTED,
        spheres=1, spheres_at=IN_TOP_THIRD, sleeve_ft=7.0, notice="visible in clear air by day from 2,000 ft; base smaller than 6 ft",
    ),
    MarkingLaw(
        "Kansas 66-1281", "US-KS", "K.S.A. 66-1281, read", bands=TOP_THIRD, spheres=2, sleeve_ft=7.0, needs_rural=True,
        bands_note=f"{OUTSIDE_TOWN}; the number of bands is not stated: three, the fewest with orange at both ends",
    ),
    MarkingLaw(
        "Minnesota 360.915", "US-MN", "Minn. Stat. 360.915, read in part; days of notice from the State's data page, read", most_ft=200.0, base_most_ft=10.0,
        bands=SEVEN, bands_note=NOT_COUNTED, spheres=2, spheres_note="at least two", needs_rural=True,
        notice="commissioner of transportation, at least 30 days before; not in a city or on a farmstead's own yard",
    ),
    MarkingLaw(
        "Mississippi SB 2871 (2011)", "US-MS", "summary read", doubt="the act read ended on 1 July 2013", bands=TOP_THIRD,
        bands_note="the number of bands is not stated: three", spheres=2, sleeve_ft=7.0, ground_note="ground at the anchors unlike the plants around it",
    ),
    MarkingLaw(
        "Missouri SB 769 (2012)", "US-MO", "Senate summary read", doubt="whether the bill passed was not found", bands=TOP_THIRD,
        bands_note="the number of bands is not stated: three", spheres=2, sleeves_note="safety sleeves; no length is stated in the summary",
        ground_note="ground at the anchors unlike the plants around it",
    ),
    MarkingLaw(
        "Montana 67-1-214", "US-MT", "Montana Code 67-1-214, read", bands=SEVEN, spheres=2, sleeve_ft=7.0, sleeves_note="yellow",
        notice="report to the department at least 10 working days before the mast goes up; within 10 working days of its removal",
    ),
    MarkingLaw(
        "Nebraska 3-407.01", "US-NE", "Neb. Rev. Stat. 3-407.01, read (an older text, 66-1901: lit or painted, registered within 30 days)",
        bands=SEVEN, spheres=2, spheres_at=NEBRASKA, spheres_note="at least 21 in across, orange; the top one no more than 20 ft from the top of the guy",
        sleeve_ft=14.0, is_sleeve_on_all=False, sleeves_note="yellow",
        notice="register with the Division of Aeronautics at least 10 business days before; removal within 30 business days",
    ),
    MarkingLaw(
        "North Carolina 63-110", "US-NC", "N.C.G.S. 63-110 and 63-111, read", is_least_in=False, needs_rural=False, bands=SEVEN,
        bands_note=NOT_COUNTED, spheres=1, spheres_at=IN_TOP_THIRD, sleeve_ft=7.0,
        notice="visible in clear air by day from 2,000 ft; register with the Department of Transportation (350 dollars), report removal",
    ),
    MarkingLaw(
        "Oklahoma OAC 25:35", "US-OK", "Okla. Admin. Code 25:35-5-1, read; how masts are marked stands in rules that were not read",
        needs_rural=False, notice="to the Department at least 10 days before the mast goes up, within 30 days of its removal",
    ),
    MarkingLaw(
        "Texas Transportation 21.071", "US-TX", "SB 505 (2015) as enrolled, read in part; sleeves as in HB 946, read", most_ft=200.0,
        base_most_ft=6.0, needs_rural=False, bands=SEVEN, bands_note=NOT_COUNTED, spheres_note=f"as in 76 FR 36983; {NO_COUNT}", sleeve_ft=7.0,
        notice="the State's rules may ask for notice and registration; a bill of 2025 asked 30 days, its passage is not known",
    ),
    MarkingLaw(
        "Utah 72-10-133", "US-UT", "HB 53 (2021), first part and a summary read", needs_rural=False, doubt="whether the bill passed was not found", spheres=2,
        bands_note="the paint stands in a part that was not read", sleeves_note="safety sleeves; no length in the part read",
    ),
    MarkingLaw(
        "Washington RCW 14.16.100", "US-WA", "RCW 14.16.100, read", least_ft=25.0, bands=FIVE_FOOT, spheres=2, sleeve_ft=7.0,
        lights="a flashing light at the top, seen from 2,000 ft in clear air, and with night-vision goggles", ground=CIRCLE,
        ground_note="ground under the mast and within 6 ft of each outer anchor unlike the plants around it",
    ),
    MarkingLaw(
        "Wyoming SF 143 (2009)", "US-WY", "the department's notice on SF 143, read", needs_rural=True,
        bands_note="any means that makes it seen from 2,000 ft in clear air by day: light, paint, flags",
        notice="report the exact location (UTM or latitude and longitude), height and ground elevation to the Department of Transportation",
    ),
)  # fmt: skip
