"""The mast held against rules of air navigation: what the site gives, put to the screening."""

from __future__ import annotations

from siting.air.case import AirCase, ground_height
from siting.air.screening import screen
from siting.planning.ground import Ground
from siting.records.air import CANNOT_TELL, NOTICE, AirScreening
from siting.records.airfields import Airfields
from siting.records.findings import Unchecked
from siting.records.plan import GuyChord, Stake
from siting.records.site import Site

# What the site file can give.
OF_THE_SITE = ("air_runways", "air_heliports", "air_elevation")


def read_air(site: Site) -> Airfields | None:
    """Runways and heliports around the base, None where the site names none.

    Raises:
        InputError: a table cannot be read.
    """
    source = site.air
    if source.runways is None and source.heliports is None and not source.is_open:
        return None
    from siting.inputs.runways import read_airfields

    return read_airfields(source, site.base.lat, site.base.lon)


def screen_air(
    site: Site, ground: Ground, stakes: tuple[Stake, ...], guys: tuple[GuyChord, ...], airfields: Airfields | None
) -> tuple[AirScreening, tuple[Unchecked, ...], tuple[str, ...]]:
    """The screening, what of it the site file can mend, and the warning that it gives; no unit of its own.

    What no input of the plan can check (other surfaces, State and national rules) stands in the screening itself.
    """
    datum = ground.header.vertical_datum or ""
    case = AirCase(
        lat=site.base.lat,
        lon=site.base.lon,
        total_height_m=site.mast.total_height_m,
        ground=ground_height(site.air, ground.base_height_m, datum, site.dem.vertical_error_m),
        base_width_m=site.air.base_width_m,
        is_rural=site.air.is_rural,
        state=site.air.state,
        work_day=site.date,
        guys=guys,
        anchors=tuple(s for s in stakes if s.role == "permanent"),
    )
    found = screen(case, airfields)
    gaps = tuple(u for u in found.unchecked if u.id in OF_THE_SITE)
    return found, gaps, (f"Air navigation: {found.headline}",) if _is_loud(found, gaps) else ()


def _is_loud(found: AirScreening, gaps: tuple[Unchecked, ...]) -> bool:
    """Whether the result is a warning: a notice, or a doubt that no missing input of the site explains."""
    return found.result == NOTICE or (found.result == CANNOT_TELL and not gaps)
