"""Runways and heliports near the site as a file gives them, and what the user says for the screening of the air."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

RUNWAY, HELIPORT = "runway", "heliport"
# What `[air] runways` names in place of a file: the table inside an installed package.
OPEN = "open"


@dataclass(frozen=True, slots=True)
class Strip:
    """A runway or a heliport. Heights are above mean sea level, lengths in metres."""

    airport: str  # identifier, or the name where there is none
    name: str  # of the airport; empty where the file has none
    runway: str  # 08/26; empty where only the airport's point is known
    kind: str  # runway or heliport
    ends: tuple[tuple[float, float], ...]  # (lon, lat) in WGS 84 degrees: both ends, or one point
    elevations_m: tuple[float | None, ...]  # of the ends, or of the point
    length_m: float | None  # as listed
    within_m: float = 0.0  # how far the real one may lie from these points
    airport_m: float | None = None  # the airport's published elevation: the highest point of its landing area
    reference: tuple[float, float] | None = None  # (lon, lat) of the airport's reference point
    is_public: bool | None = None  # open to the public; None: not said
    note: str = ""


@dataclass(frozen=True, slots=True)
class Airfields:
    """The runways and heliports near a site, and what is known of their source."""

    shown: str  # the files as the user wrote them, or the package with its version
    strips: tuple[Strip, ...]
    reach_m: float  # half width of the window that was read around the site
    has_runways: bool
    has_heliports: bool
    unplaced: int = 0  # rows without coordinates: they may lie near
    notes: tuple[str, ...] = ()
    files: tuple[tuple[str, Path], ...] = ()  # every file read, as shown and as found


@dataclass(frozen=True, slots=True)
class AirSource:
    """What the user gives for the screening of the air: [air] of the site file."""

    runways: Path | None = None
    runways_shown: str = ""
    is_open: bool = False  # the table of the installed package
    heliports: Path | None = None
    heliports_shown: str = ""
    vertical_datum_offset_m: float | None = None  # added to the DEM's heights to have them above mean sea level
    site_elevation_ft_amsl: float | None = None  # surveyed ground at the base
    base_width_m: float | None = None  # of the structure at the ground, without its footing
    is_rural: bool | None = None
    state: str | None = None  # ISO 3166: US-MT, CA, DE-BY
