"""The digging: every hole, how its walls stand, the notice to those who own buried lines, what to bring."""

from __future__ import annotations

from dataclasses import dataclass

from siting.figures import quantity, words

# (lon, lat) pairs, WGS 84.
Ring = tuple[tuple[float, float], ...]
VOLUME = "volume"


@dataclass(frozen=True, slots=True)
class Hole:
    """One place where the ground is opened: a pit, a screw's entry, a drilled hole, a driven pin."""

    id: str = words("stake id, with the work: A1 pit")
    anchor: str = words("stake id of the anchor or BASE")
    work: str = words("pit, screw, drill or pin")
    lat: float = quantity("latlon", "WGS 84, of the middle of the work at the ground")
    lon: float = quantity("latlon", "WGS 84")
    easting: float = quantity("coordinate", "in the plan's CRS")
    northing: float = quantity("coordinate", "in the plan's CRS")
    ground_m: float = quantity("coordinate", "the DEM's height there")
    out_m: float = quantity("length", "from the stake outward, away from the base, on the level")
    azimuth_deg: float = quantity("bearing", "true azimuth of the rod's downward run; the pit's long side lies square to it")
    depth_m: float = quantity("length", "of the bottom below the ground there")
    floor_length_m: float = quantity("length", "of the pit's floor, square to the guy; 0 for a screw, a hole or a pin")
    floor_width_m: float = quantity("length", "of the pit's floor, along the guy")
    wall_h_per_v: float = quantity("ratio", "level run of the wall for each metre of height; 0 upright")
    top_length_m: float = quantity("length", "of the opening at the ground")
    top_width_m: float = quantity("length", "of the opening at the ground")
    dug_m3: float = quantity(VOLUME, "in place, on the sloping ground as it is")
    spoil_m3: float = quantity(VOLUME, "loosened")
    support: str = words("how the walls are made safe, in plain words")
    is_deep: bool = words("true where it is as deep as the published threshold: IN LARGE LETTERS")
    ground_slope_percent: float = quantity("percent", "of the ground there")
    access_slope_percent: float | None = quantity("percent", "steepest ground on the straight way from the base to it; null without data")
    backfill: str = words("in which layers, how rammed, in plain words")
    warnings: tuple[str, ...] = words("water, bank, slope: what the crew must know")


@dataclass(frozen=True, slots=True)
class LocateArea:
    """The ground to be looked at before digging, with its buffer: for the local one-call or dig-safe service."""

    buffer_m: float = quantity("length", "around every place where the ground is opened")
    rings: tuple[Ring, ...] = quantity("latlon", "closed outlines, WGS 84 (lon, lat), one for each area")
    area_m2: float = quantity("area", "in all")
    deepest_m: float = quantity("length", "deepest digging, driving or drilling")
    fields: tuple[tuple[str, str], ...] = words("what a notice asks for and what the plan knows; empty where the applicant must fill in")
    words_on_it: tuple[str, ...] = words("what it does not say: never that the site is clear")


@dataclass(frozen=True, slots=True)
class Material:
    """One line of the material list."""

    group: str = words("anchors, guys, ends, lift, earthing or marking")
    item: str = words("what it is")
    size: str = words("its size")
    count: float = quantity("length", "how many, or how long, in `unit`")
    unit: str = words("pcs, m, kg or m3")
    used_at: str = words("stakes or levels")
    note: str = words("source of the count, or what must be checked")


@dataclass(frozen=True, slots=True)
class DigPlan:
    """The digging and what it takes."""

    holes: tuple[Hole, ...] = words("every place where the ground is opened, by stake")
    locate: LocateArea = words("for the notice")
    materials: tuple[Material, ...] = words("what to bring")
    rules: tuple[str, ...] = words("published rules of digging that the sheet goes by, with their sources")
    cautions: tuple[str, ...] = words("the usual cautions")
