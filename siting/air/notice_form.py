"""The fields of FAA Form 7460-1 that the plan can fill in, and what the applicant adds."""

from __future__ import annotations

import datetime

from siting.air.case import AirCase
from siting.air.notice import Judged
from siting.figures import shown
from siting.records.air import NoticeForm
from siting.units import METRES_PER_FOOT, METRES_PER_NAUTICAL_MILE, compass_point

LEAD_DAYS = 45  # 14 CFR 77.7(b), read
SUPPLEMENTAL_DAYS = 5  # 14 CFR 77.11(b), read
DATUM = "WGS 84; the form asks for NAD 83, NAD 27 or other: write WGS 84 under other, it lies 1 to 2 m from NAD 83"
# FAA survey accuracy page, read (Order 8260.19, Appendix C).
ACCURACY = (
    "horizontal 1 ± 20 ft, 2 ± 50 ft, 3 ± 100 ft, 4 ± 250 ft; vertical A ± 3 ft, B ± 10 ft, C ± 20 ft, D ± 50 ft. "
    "This plan is no survey and claims no code: the FAA counts 4D until a survey signed and sealed by a licensed "
    "surveyor or engineer arrives, which it may ask for (1A or 2C)"
)
SUPPLIED = (
    "sponsor, sponsor's representative, signature and date",
    "county, nearest city, site description and access",
    "USGS quadrangle (7.5 minute) or like map with the site marked",
    "marking and lighting that are wanted",
    "whether the mast is temporary, and from when to when",
)


def hundredths_text(value_deg: float, positive: str, negative: str) -> str:
    """An angle as degrees, minutes and seconds to 0.01", with its hemisphere letter, as the FAA's form has it."""
    hundredths = round(abs(value_deg) * 360_000)
    degrees, rest = divmod(hundredths, 360_000)
    minutes, rest = divmod(rest, 6_000)
    return f"{degrees}°{minutes:02d}'{rest / 100:05.2f}\"{positive if value_deg >= 0 else negative}"


def notice_form(case: AirCase, judged: tuple[Judged, ...]) -> NoticeForm:
    """The fields: feet, degrees minutes seconds, words."""
    ground_ft = None if case.ground.amsl_m is None else case.ground.amsl_m / METRES_PER_FOOT
    file_by = "" if case.work_day is None else (case.work_day - datetime.timedelta(days=LEAD_DAYS)).isoformat()
    day = f"; for work on {case.work_day.isoformat()}, by {file_by}" if case.work_day is not None else ""
    return NoticeForm(
        latitude=hundredths_text(case.lat, "N", "S"),
        longitude=hundredths_text(case.lon, "E", "W"),
        datum=DATUM,
        site_elevation_ft=ground_ft,
        height_agl_ft=case.total_height_ft,
        overall_amsl_ft=None if case.tip_m is None else case.tip_m / METRES_PER_FOOT,
        elevation_text=case.ground.text,
        nearest_airport=_nearest_airport(judged),
        accuracy=ACCURACY,
        lead_time=(
            f"at least {LEAD_DAYS} days before the work starts or an application for a construction permit is filed, "
            f"whichever is earlier (14 CFR 77.7(b)){day}"
        ),
        file_by=file_by,
        supplemental=(
            f"over 200 ft, or where the FAA asks: a supplemental notice within {SUPPLEMENTAL_DAYS} days after the mast reaches its "
            "greatest height, and within 5 days after it is taken down or given up (14 CFR 77.11)"
        ),
        supplied=SUPPLIED,
    )


def _nearest_airport(judged: tuple[Judged, ...]) -> str:
    """The nearest airport with a runway, and the mast's distance and direction from it."""
    nearest = min((j.near for j in judged if j.near.strip.kind == "runway"), key=lambda near: near.distance_m, default=None)
    if nearest is None:
        return "not known: no runway was read near the site"
    strip = nearest.strip
    called = f"{strip.name} ({strip.airport})" if strip.name and strip.name != strip.airport else strip.airport
    miles = nearest.distance_m / METRES_PER_NAUTICAL_MILE
    return (
        f"{called}: the mast stands {miles:.2f} nautical miles ({nearest.distance_m / METRES_PER_FOOT:,.0f} ft) "
        f"{compass_point(nearest.from_deg)} ({shown(nearest.from_deg, 'bearing')} true) of its nearest runway"
        f"{' ' + strip.runway if strip.runway else ''}"
    )
