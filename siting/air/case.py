"""What a screening looks at: the mast's place, its height, the ground's height above sea level, its guys and anchors."""

from __future__ import annotations

import datetime
import re
from dataclasses import dataclass

from siting.records.airfields import AirSource
from siting.records.plan import GuyChord, Stake
from siting.units import METRES_PER_FOOT

# Names of heights above sea level as DEMs state them. Anything else is not taken for one: an ellipsoid lies up to 110 m off.
_SEA_LEVEL = re.compile(
    r"\b(navd|ngvd|cgvd|egm|evrf|dhhn|ahd|odn|nap|igld|prvd|amsl|msl|nn2000|nn1954|ngf|lhn95|ln02)[ _-]?\d*|sea[ -]?level"
    r"|north american vertical datum|newlyn|normaal amsterdams peil",
    re.I,
)
_NOT_SEA_LEVEL = re.compile(r"ellips|\bnone\b|invented|unknown|not stated|local", re.I)
# An error stated as one standard deviation is counted twice: 95 times in 100 the truth lies inside.
DEVIATIONS = 2.0
# Heights of different sea-level datums and of their geoid models agree to about a metre: common practice, no source.


@dataclass(frozen=True, slots=True)
class GroundHeight:
    """The ground at the base above mean sea level."""

    amsl_m: float | None  # None: not known
    error_m: float  # how far it may be off
    text: str  # where it comes from, or why it is not known


@dataclass(frozen=True, slots=True)
class AirCase:
    """A mast to be screened. Lengths in metres, the place in WGS 84 degrees."""

    lat: float
    lon: float
    total_height_m: float  # ground to the tip of the air terminal
    ground: GroundHeight
    base_width_m: float | None = None
    is_rural: bool | None = None
    state: str | None = None  # ISO 3166: US-MT
    work_day: datetime.date | None = None
    guys: tuple[GuyChord, ...] = ()
    anchors: tuple[Stake, ...] = ()  # stakes of the permanent anchors

    @property
    def total_height_ft(self) -> float:
        """Total height in feet."""
        return self.total_height_m / METRES_PER_FOOT

    @property
    def tip_m(self) -> float | None:
        """The tip above mean sea level in metres, None where the ground's height is not known."""
        return None if self.ground.amsl_m is None else self.ground.amsl_m + self.total_height_m


def ground_height(source: AirSource, dem_height_m: float, vertical_datum: str, dem_error_m: float | None) -> GroundHeight:
    """The ground at the base above mean sea level, metres: surveyed, or the DEM's where its datum is one of sea level.

    Args:
        vertical_datum: as the file or the user names it; empty where nobody does.
        dem_error_m: one standard deviation of the DEM's heights.
    """
    error_m = DEVIATIONS * (dem_error_m or 0.0)
    stated = f"; its stated error of {dem_error_m:g} m is counted {DEVIATIONS:g} times" if dem_error_m else "; no error of the DEM is stated"
    if source.site_elevation_ft_amsl is not None:
        text = f"{source.site_elevation_ft_amsl:g} ft above mean sea level, as the user gives it"
        return GroundHeight(source.site_elevation_ft_amsl * METRES_PER_FOOT, 0.0, text)
    if source.vertical_datum_offset_m is not None:
        text = f"the DEM's height and the user's {source.vertical_datum_offset_m:+g} m to mean sea level{stated}"
        return GroundHeight(dem_height_m + source.vertical_datum_offset_m, error_m, text)
    if is_sea_level(vertical_datum):
        return GroundHeight(dem_height_m, error_m, f"the DEM's height in {vertical_datum}{stated}")
    named = f"the DEM's vertical datum is '{vertical_datum}', which is not known as one of sea level" if vertical_datum else (
        "the DEM's vertical datum is not stated"
    )  # fmt: skip
    return GroundHeight(None, 0.0, f"not known: {named}")


def is_sea_level(vertical_datum: str) -> bool:
    """True where a vertical datum's name is one of heights above sea level."""
    return bool(_SEA_LEVEL.search(vertical_datum)) and not _NOT_SEA_LEVEL.search(vertical_datum)
