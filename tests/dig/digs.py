"""Anchors, soils, stakes and planes for the tests of the digging: made by hand, not by the planner."""

from __future__ import annotations

import math

import numpy as np

from siting.dig.ground import DigGround, DigPlace
from siting.dig.stage import DigCase
from siting.geodesy.frames import frame_at
from siting.records.guys import CutList, CutTotal, GuyLength
from siting.records.holding import PLATE, AnchorChoice, AnchorLoad, BaseHold, Holding
from siting.records.lift_guys import LiftGuy, LiftGuys
from siting.records.mast import Anchor, GuyLevel, Mast
from siting.records.plan import Stake
from siting.records.rigging import Rigging, WinchGear
from siting.records.soil import Soil

LAT, LON, HEIGHT_M = 60.0, 9.0, 300.0


def soil(excavation="B", *, kind="cohesive", basis="measured", water_m=9.0, presumptive=False) -> Soil:
    return Soil(
        "clay", kind, basis, presumptive, None, 50.0, 19.0, 9.0, water_m, None, "", False, False, excavation, "test", (), ()
    )  # fmt: skip


def holding(kind=PLATE, size="1.2 m x 0.3 m", rod_m=2.5, ultimate_kn=60.0, *, face_m=(1.2, 0.3), end_m=None) -> Holding:
    return Holding(kind, size, ultimate_kn, 2.0, 30.0, "", (), rod_m, 1.5, 1.5, None, "", "test", face_m, end_m or rod_m)


def choice(anchor, away_deg, chosen, *, angle_deg=40.0, ground=None) -> AnchorChoice:
    load = AnchorLoad(anchor, "maker", 20.0, angle_deg, away_deg, 12.0, 15.0, (), "", "test")
    return AnchorChoice(anchor, ground or soil(), load, (), chosen, (), None, ())


def base_hold(ultimate_kn=20.0) -> BaseHold:
    pins = holding("pins", "4 pins", None, ultimate_kn)
    return BaseHold(soil(), 5.0, 0.0, pins, pins, "")


def stake(name, azimuth_deg, radius_m, role="permanent") -> Stake:
    return Stake(
        name, name, role, "X", "", LAT, LON, 0.0, 0.0, 0.0, None, azimuth_deg, azimuth_deg, None, radius_m, radius_m, 0.0, 0.0, "pass"
    )  # fmt: skip


def plane(east=0.0, north=0.0) -> DigGround:
    """A plane that rises so many metres for each metre."""
    return DigGround(
        lambda x, y: HEIGHT_M + east * np.asarray(x, float) + north * np.asarray(y, float),
        lambda x, y: np.full(np.shape(x), 100.0 * math.hypot(east, north)),
    )


def place_on(ground: DigGround, lat=LAT, lon=LON) -> DigPlace:
    return DigPlace(lat, lon, HEIGHT_M, frame_at(lat, lon, HEIGHT_M, None, "test"), ground)


MAST = Mast(
    "small", 30.0, 31.5, "tubular", 8.0, 3.0, 0.3, 8.0,
    (Anchor("A", "permanent", 60.0, 20.0), Anchor("B", "permanent", 180.0, 20.0), Anchor("C", "permanent", 300.0, 20.0),
     Anchor("R", "temporary", 90.0, 18.0), Anchor("W", "winch", 180.0, 34.0)),
    (GuyLevel(14.0, ("A", "B", "C"), "permanent", 4.0), GuyLevel(28.0, ("A", "B", "C"), "permanent", 6.0),
     GuyLevel(28.0, ("R",), "temporary", 4.0)),
    rigging=Rigging(lift_attach_m=(14.0, 28.0), winch=WinchGear(line_diameter_mm=19.0, wound_m=5.0)),
)  # fmt: skip
STAKES = (
    stake("BASE", 0.0, 0.0, "base"), stake("A", 60.0, 20.0), stake("B", 180.0, 20.0), stake("C", 300.0, 20.0),
    stake("R", 90.0, 18.0, "temporary"), stake("W", 180.0, 34.0, "winch"),
)  # fmt: skip


def guy_length(anchor, attach_m, diameter_mm) -> GuyLength:
    numbers = (80.0, 20.0, attach_m, 30.0, 50.0, 50.0, 1.0, 1.0, 0.1, 30.0, 0.0, 30.0, 2.0, 32.0)
    return GuyLength(anchor, attach_m, "permanent", f"strand {diameter_mm:g}", diameter_mm, *numbers, ())


GUYS = tuple(guy_length(anchor, level.attach_m, level.diameter_mm) for level in MAST.guys for anchor in level.anchors)
CUT_LIST = CutList(
    15.0, (15.0,), (), GUYS,
    (CutTotal("strand 4", 4.0, 4, 40.0, 110.0, 40.0, 150.0, 12.0), CutTotal("strand 6", 6.0, 3, 41.0, 120.0, 41.0, 161.0, 25.0)),
    (), (),
)  # fmt: skip
LIFT_GUYS = LiftGuys((0.0,), (LiftGuy("W", None, "winch", 30.0, 41.2, 0.0, 11.0, 90.0, ()),), (), (), (), ())
CHOICES = (
    choice("A", 60.0, holding()),
    choice("B", 180.0, holding("screw", "305 mm", 3.0)),
    choice("C", 300.0, holding(rod_m=2.5)),
    choice("R", 90.0, holding("rock_bar", "25 mm bar", 1.5), angle_deg=50.0),
    choice("W", 180.0, None),
)


def case(ground=None, choices=CHOICES, **more) -> DigCase:
    return DigCase(place_on(ground or plane()), MAST, STAKES, choices, base_hold(), CUT_LIST, LIFT_GUYS, **more)
