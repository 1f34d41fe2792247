"""A made-up layout for setback rules whose every distance can be worked out by hand; true north is up.

Base at (0, 0), 60 m high. Permanent anchors of 40 m at 90, 210 and 330 degrees from the laydown, so that with the laydown
to the north A stands at (40, 0), B at (-20, -34.64), C at (-20, 34.64).
Own land: 200 m to the west, 120 m north and south, 90 m to the east, with a lease line inside it at x = 30.
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import shapely
from shapely.geometry import LineString, Point, box
from strategies import LAT, LON, local_crs

from siting.checks.rule_targets import LayerOnGround, RuleLand
from siting.checks.setbacks import JudgedRules, judge_rules
from siting.geodesy.frames import Frame, frame_at
from siting.inputs.rule_file import read_rules
from siting.layout.footprint import GroundFeature, own_land
from siting.records.mast import Anchor, GuyLevel, Mast
from siting.records.rules import RuleSet, SetbackRule

FIXTURES = Path(__file__).parent / "rule_sets"
HEIGHT_M = 60.0
ANCHORS = (
    Anchor("A", "permanent", 90.0, 40.0), Anchor("B", "permanent", 210.0, 40.0), Anchor("C", "permanent", 330.0, 40.0),
    Anchor("A0", "permanent", 90.0, 22.0), Anchor("S", "temporary", 270.0, 36.0), Anchor("K", "temporary", 0.0, 66.0),
    Anchor("W", "winch", 180.0, 55.0),
)  # fmt: skip
MAST = Mast("made up", 59.7, HEIGHT_M, "tubular", 10.0, 3.0, 0.3, 10.0, ANCHORS, (GuyLevel(58.0, ("A", "B", "C"), "permanent"),))
WEST, EAST = box(-200, -120, 30, 120), box(30, -120, 90, 120)
NEIGHBOURS = {
    "east": box(90, -120, 300, 120), "north": box(-200, 120, 300, 400), "west": box(-500, -120, -200, 400),
    "south": box(-200, -130, 300, -120),
}  # fmt: skip
THINGS = (
    ("road", "County road", LineString([(-500, -140), (500, -140)])),
    ("right_of_way", "Right of way", box(-500, -150, 500, -130)),
    ("planned_road", "Planned bypass", LineString([(-500, 115), (500, 115)])),
    ("overhead_line", "Supply line", LineString([(100, -500), (100, 500)])),
    ("dwelling", "Own house", box(-40, 50, -30, 60)),
    ("house", "Neighbour's house", box(150, -10, 160, 10)),
    ("easement", "Gas easement", box(60, -120, 66, 120)),
    ("fuel_tank", "Tank", Point(0, 70)),
    ("lek", "Sage lek", Point(0, 3300)),
)
DISTRICT = (("residential_district", "District R-1", box(500, -100, 900, 100)),)


def feature(kind: str, name: str, geometry, id: str = "") -> GroundFeature:
    tie = shapely.get_coordinates(shapely.shortest_line(Point(0, 0), geometry))[1]
    return GroundFeature(id or name, kind, name, geometry, math.hypot(*tie), (float(tie[0]), float(tie[1])))


def layer(things=THINGS, reach_m: float = 5000.0, kinds=None) -> LayerOnGround:
    features = tuple(feature(*t) for t in things)
    return LayerOnGround("lines.geojson", features, kinds if kinds is not None else tuple(sorted({t[0] for t in things})), reach_m)


def land(own=(WEST, EAST), neighbours=NEIGHBOURS, things=THINGS, layers=True, error_m: float = 0.0, reach_m: float = 5000.0) -> RuleLand:
    """The made-up land, or parts of it; `own` None: no parcels were given, `things` None: no obstacles."""
    held = None
    if own is not None:
        held, _ = own_land(tuple(feature("parcel", f"own{i}", g) for i, g in enumerate(own)), tuple(f"own{i}" for i in range(len(own))))
    parcels = tuple(feature("parcel", k, g) for k, g in neighbours.items()) if own is not None else ()
    given = {"residential_district": layer(DISTRICT)} if layers else {}
    return RuleLand(held, parcels, None if things is None else layer(things, reach_m), given, error_m)


def true_frame(lat: float = LAT, lon: float = LON) -> Frame:
    """A frame whose grid north is true north at the base."""
    return frame_at(lat, lon, 0.0, local_crs(lat, lon).to_wkt(), "test")


FRAME = true_frame()


def azimuths(laydowns=(0.0,), mast: Mast = MAST) -> np.ndarray:
    """(K, A) true azimuths of the anchors for these laydowns."""
    return (np.asarray(laydowns, float)[:, None] + np.array([a.bearing_deg for a in mast.anchors])) % 360.0


def rule(target: str = "property_line", measured: str = "base_centre", **keys) -> SetbackRule:
    return SetbackRule(**({"id": "r", "title": "Rule", "target": target, "measured": measured, "source": "made up"} | keys))


def rules(*made: SetbackRule, **keys) -> RuleSet:
    return RuleSet(name="Made up", shown="made-up.toml", is_shipped=False, rules=made, source="made up", **keys)


def judged(rule_set: RuleSet, on: RuleLand | None = None, laydowns=(0.0,), mast: Mast = MAST) -> JudgedRules:
    return judge_rules((rule_set,), land() if on is None else on, mast, FRAME, azimuths(laydowns, mast))


def found(rule_set: RuleSet, on: RuleLand | None = None, laydown: float = 0.0, mast: Mast = MAST):
    """The findings of one laydown by the rules' ids."""
    return {f.id: f for f in judged(rule_set, on, (laydown,), mast).findings(0)}


def fixture(name: str) -> RuleSet:
    return read_rules(FIXTURES / f"{name}.toml", f"{name}.toml", False)
