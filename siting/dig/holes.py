"""Every place where the ground is opened: pits, screws, drilled bars, the base's pins, the earth rod."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from siting.dig.ground import DigPlace, access_slope_percent
from siting.dig.pits import NOT_KNOWN, Pit, PitWants, bulking_ratio, plan_pit
from siting.dig.rules import AIR, EGRESS, PROTECTION, is_at_least, is_beyond
from siting.errors import OutOfMethod
from siting.figures import shown
from siting.records.dig import Hole
from siting.records.holding import PLATE, ROCK_BAR, SCREW, AnchorChoice, AnchorWants, BaseHold, Holding
from siting.records.plan import Stake

BASE = "BASE"
# Steeper ground on the way than this, a machine may not stand: common practice, no source.
ACCESS_LIMIT_PERCENT = 30.0
# Less than this shows as nothing.
LEAST_SHOWN_M3 = 0.05
BACKFILL = (
    "In layers of at most 200 mm, each rammed hard; moist, neither dry nor wet; no frozen lumps, no topsoil, roots or peat, no "
    "stones against rod and plate; the rod trench too; a heap over the pit at the end, as it settles (common practice, no source)"
)
NO_BACKFILL = "None: nothing but the shaft goes into the ground; ram loose ground around it"
GROUT = "Grout from the bottom up, as the grout's maker says; no load before it has set"
DRIVEN = "Driven: no pit"


@dataclass(frozen=True, slots=True)
class DigSettings:
    """What the user fixes of the digging. Common practice, no source, where nothing else is said."""

    buffer_m: float = 5.0  # around every place where the ground is opened, for the notice
    pit: PitWants = PitWants()
    anchors: AnchorWants = AnchorWants()
    earth_rod_out_m: float = 1.0  # from the base
    earth_rod_m: float = 2.44  # 8 ft: NFPA 780, from memory
    earth_rod_azimuth_deg: float | None = None  # None: the middle of the widest gap between the stakes
    rod_above_m: float = 0.3  # of an anchor rod, over the ground


@dataclass(frozen=True, slots=True)
class Opening:
    """A place where the ground is opened, and its outline in metres east and north of the base."""

    hole: Hole | None  # None: nothing to dig is known there yet, but something will be
    anchor: str
    xy_m: tuple[np.ndarray, ...]  # each (n, 2): a point, a line or a closed ring's corners
    deepest_m: float | None


@dataclass(frozen=True, slots=True)
class Opened:
    """All of them, and what was refused, in plain words."""

    openings: tuple[Opening, ...]
    refused: tuple[str, ...]


def holes_of(
    choices: tuple[AnchorChoice, ...], base: BaseHold, stakes: tuple[Stake, ...], place: DigPlace, settings: DigSettings
) -> tuple[Hole, ...]:
    """Every place where the ground is opened, by anchor, the base's last; metres, percent, WGS 84."""
    found = openings_of(choices, base, stakes, place, settings).openings
    return tuple(opening.hole for opening in found if opening.hole is not None)


def openings_of(
    choices: tuple[AnchorChoice, ...], base: BaseHold, stakes: tuple[Stake, ...], place: DigPlace, settings: DigSettings
) -> Opened:
    """The holes with their outlines (metres), and each anchor for which no hole can be given, with the reason."""
    at = {stake.id: stake for stake in stakes}
    openings: list[Opening] = []
    refused: list[str] = []
    for choice in choices:
        xy = _stake_xy(at[choice.anchor])
        if choice.chosen is None:
            refused.append(f"{choice.anchor}: no kind of anchor holds there as it stands, so there is no hole to give")
            openings.append(Opening(None, choice.anchor, (xy[None, :],), None))
            continue
        try:
            openings.append(_anchor_opening(choice, choice.chosen, xy, place, settings))
        except OutOfMethod as fault:
            refused += [f"{choice.anchor}: NO HOLE IS GIVEN: {item.what}; {item.do}" for item in fault.faults]
            openings.append(Opening(None, choice.anchor, (_along_rod(choice, xy, choice.chosen.rod_m or 0.0),), None))
    pins = base.pins.ultimate_kn is not None
    for wanted, open_it in ((pins, _pins_opening), (True, _earth_rod_opening)):
        try:
            openings += [open_it(stakes, place, settings)] if wanted else []
        except OutOfMethod as fault:
            refused += [f"{BASE}: NO HOLE IS GIVEN: {item.what}; {item.do}" for item in fault.faults]
            openings.append(Opening(None, BASE, (np.zeros((1, 2)),), None))
    return Opened(tuple(openings), tuple(refused))


def _along_rod(choice: AnchorChoice, xy: np.ndarray, long_m: float) -> np.ndarray:
    """The line on the ground over a rod, from the stake outward, metres east and north of the base."""
    away, angle = math.radians(choice.load.away_deg), math.radians(choice.load.angle_deg)
    return np.array([xy, xy + long_m * math.cos(angle) * np.array([math.sin(away), math.cos(away)])])


def _stake_xy(stake: Stake) -> np.ndarray:
    """Metres east and north of the base."""
    azimuth = math.radians(stake.azimuth_deg)
    return stake.radius_m * np.array([math.sin(azimuth), math.cos(azimuth)])


def _anchor_opening(choice: AnchorChoice, chosen: Holding, xy: np.ndarray, place: DigPlace, settings: DigSettings) -> Opening:
    """The pit, the screw's entry or the drilled hole of one anchor.

    Raises:
        OutOfMethod: there is no such pit.
    """
    away = math.radians(choice.load.away_deg)
    out = np.array([math.sin(away), math.cos(away)])
    if chosen.rod_m is None:
        raise OutOfMethod.of("dig_range", f"anchor {choice.anchor}", "its rod has no length", "choose an anchor that holds")
    if chosen.kind == PLATE:
        return _pit_opening(choice, chosen, xy, out, place, settings)
    if chosen.kind not in (SCREW, ROCK_BAR):
        raise OutOfMethod.of(
            "dig_range", f"anchor {choice.anchor}", f"no digging is known for '{chosen.kind}'", "choose another kind"
        )
    long_m = chosen.end_m or chosen.rod_m or 0.0
    if chosen.kind == SCREW:
        work, backfill = "screw", NO_BACKFILL
        support = "Turned in on the guy's line from the stake: no pit. Keep clear of the drive head while it turns."
    else:
        work, backfill = "drill", GROUT
        support = "Drilled on the guy's line from the stake: no pit. Nobody stands under the drill or on loose rock."
    depth_m = long_m * math.sin(math.radians(choice.load.angle_deg))
    hole = _hole(
        choice.anchor, work, xy, place, depth_m=depth_m, azimuth_deg=choice.load.away_deg, backfill=backfill, support=support
    )  # fmt: skip
    return Opening(hole, choice.anchor, (_along_rod(choice, xy, long_m),), depth_m)


def _pit_opening(
    choice: AnchorChoice, chosen: Holding, xy: np.ndarray, out: np.ndarray, place: DigPlace, settings: DigSettings
) -> Opening:
    """A plate's pit with its rod trench.

    Raises:
        OutOfMethod: there is no such pit.
    """
    right = np.array([out[1], -out[0]])
    stake_m = float(place.ground.heights_m(xy[:1], xy[1:])[0])

    def height_at(u: np.ndarray, v: np.ndarray) -> np.ndarray:
        return place.ground.heights_m(xy[0] + u * out[0] + v * right[0], xy[1] + u * out[1] + v * right[1]) - stake_m

    pit = plan_pit(chosen.face_m, chosen.rod_m or 0.0, choice.load.angle_deg, choice.soil, height_at, settings.pit)
    middle = xy + out * pit.floor.u_m
    dug_m3 = pit.pit_m3 + pit.slot_m3
    hole = _hole(
        choice.anchor, "pit", middle, place,
        out_m=pit.floor.u_m, azimuth_deg=choice.load.away_deg, depth_m=pit.depth_m,
        floor_length_m=pit.floor.length_m, floor_width_m=pit.floor.width_m, wall_h_per_v=pit.floor.wall_h_per_v,
        top_length_m=pit.top_length_m, top_width_m=pit.top_width_m,
        dug_m3=dug_m3, spoil_m3=dug_m3 * bulking_ratio(choice.soil),
        support=pit.support, is_deep=pit.is_deep, backfill=BACKFILL, warnings=_pit_warnings(choice, pit, settings),
    )  # fmt: skip
    ring = xy + pit.opening_m[:, :1] * out + pit.opening_m[:, 1:2] * right
    trench = np.array([xy, middle])
    return Opening(hole, choice.anchor, (ring, trench), max(pit.wall_m, pit.depth_m, pit.slot_depth_m))


def _pit_warnings(choice: AnchorChoice, pit: Pit, settings: DigSettings) -> tuple[str, ...]:
    """Water, the way out, what the plate bears against, the trench, the soil that is only assumed."""
    said, soil = [], choice.soil
    if soil.water_depth_m is not None and soil.water_depth_m < pit.wall_m:
        said.append("WATER STANDS OVER THE PIT'S BOTTOM: the pit fills: drain it or choose another anchor")
    elif soil.water_depth_m is None:
        said.append("the water table is not known: where water comes in, the pit fills: drain it or choose another anchor")
    if soil.is_presumptive or soil.basis == NOT_KNOWN:
        said.append("the ground is taken from a table, not measured: the competent person on site says how the walls stand")
    if is_at_least(pit.wall_m, EGRESS):
        said.append("a ladder, ramp or stair in the pit while anyone is in it")
    if is_beyond(pit.wall_m, AIR):
        said.append("test the air first where it could be bad")
    if pit.floor.wall_h_per_v > 0.0:
        said.append(
            "THE PLATE BEARS AGAINST THE WALL ON THE BASE'S SIDE: laid back, rammed backfill bears in its place, and the plate may "
            "hold less than the sheet says. Shore or shield that wall and leave it upright, or have the plate worked out anew"
        )
    if pit.slot_m > 0.0:
        earth = f", {shown(pit.slot_m3, 'volume')} of the earth" if pit.slot_m3 >= LEAST_SHOWN_M3 else ""
        said.append(
            f"rod trench {shown(settings.pit.slot_width_m, 'length')} wide and {shown(pit.slot_m, 'length')} long from the stake "
            f"to the pit's floor{earth}: NOBODY GOES INTO IT"
        )
        if is_at_least(pit.slot_depth_m, PROTECTION):
            said.append(f"its walls stand upright and are up to {shown(pit.slot_depth_m, 'length')} high: they may fall in")
    return tuple(said)


def _pins_opening(stakes: tuple[Stake, ...], place: DigPlace, settings: DigSettings) -> Opening:
    """The pins of the base plate.

    Raises:
        OutOfMethod: no ground is known there.
    """
    wants, origin = settings.anchors, np.zeros(2)
    hole = _hole(
        BASE, "pin", origin, place, suffix="pins", depth_m=wants.pin_length_m, backfill=DRIVEN,
        support=f"{wants.pins} pins driven through the base plate, upright; nobody holds a pin by hand",
        warnings=(f"each pin {shown(wants.pin_length_m, 'length')} long: where one does not go in, the pins do not hold as figured",),
    )  # fmt: skip
    return Opening(hole, BASE, (origin[None, :],), wants.pin_length_m)


def _earth_rod_opening(stakes: tuple[Stake, ...], place: DigPlace, settings: DigSettings) -> Opening:
    """The earth rod beside the base.

    Raises:
        OutOfMethod: no ground is known there.
    """
    azimuth_deg = settings.earth_rod_azimuth_deg
    if azimuth_deg is None:
        azimuth_deg = _widest_gap_deg([s.azimuth_deg for s in stakes if s.radius_m > 0.0])
    azimuth = math.radians(azimuth_deg)
    xy = settings.earth_rod_out_m * np.array([math.sin(azimuth), math.cos(azimuth)])
    rod = _hole(
        BASE, "pin", xy, place, suffix="earth rod", depth_m=settings.earth_rod_m, azimuth_deg=azimuth_deg, backfill=DRIVEN,
        support="Driven upright, beside the base and away from guys and winch line; nobody holds the rod by hand",
        out_m=settings.earth_rod_out_m,
    )  # fmt: skip
    return Opening(rod, BASE, (xy[None, :],), settings.earth_rod_m)


def _widest_gap_deg(azimuths_deg: list[float]) -> float:
    """Middle of the widest gap between azimuths, degrees; the first of equals."""
    if not azimuths_deg:
        return 0.0
    sorted_deg = np.unique(np.round(np.array(azimuths_deg) % 360.0, 6))
    gaps = np.diff(np.append(sorted_deg, sorted_deg[0] + 360.0))
    index = int(np.argmax(np.round(gaps, 4)))
    return float((sorted_deg[index] + gaps[index] / 2.0) % 360.0)


def _hole(anchor: str, work: str, xy: np.ndarray, place: DigPlace, **given: object) -> Hole:
    """A hole at a place, with its coordinates, ground and way; what is not given is 0, upright and dry.

    Raises:
        OutOfMethod: no ground height or slope is known there.
    """
    x, y = xy[:1], xy[1:]
    lon, lat = place.lonlat(x, y)
    easting, northing = place.frame.grid(lon, lat)
    ground_m = float(place.ground.heights_m(x, y)[0])
    slope = float(place.ground.slopes_percent(x, y)[0])
    if not (math.isfinite(ground_m) and math.isfinite(slope)):
        raise OutOfMethod.of("dig_range", f"hole at {anchor}", "no ground height is known there", "give a DEM that covers it")
    access = access_slope_percent(place.ground, float(xy[0]), float(xy[1]))
    warnings = list(given.pop("warnings", ()))
    if access is not None and access > ACCESS_LIMIT_PERCENT:
        warnings.append(
            f"the straight way from the base is up to {shown(access, 'percent')} steep: a machine may not stand there; look for "
            "another way (common practice, no source)"
        )
    if access is None:
        warnings.append("the straight way from the base is not known all along: look at it before a machine goes")
    level = {name: 0.0 for name in LEVEL_FIELDS}
    fields = {**level, "is_deep": False, "azimuth_deg": 0.0, **given}
    suffix = fields.pop("suffix", work)
    return Hole(
        id=f"{anchor} {suffix}", anchor=anchor, work=work, lat=float(lat[0]), lon=float(lon[0]), easting=float(easting[0]),
        northing=float(northing[0]), ground_m=ground_m, ground_slope_percent=slope, access_slope_percent=access,
        warnings=tuple(warnings), **fields,
    )  # fmt: skip


LEVEL_FIELDS = (
    "out_m", "depth_m", "floor_length_m", "floor_width_m", "wall_h_per_v", "top_length_m", "top_width_m", "dug_m3", "spoil_m3",
)  # fmt: skip
