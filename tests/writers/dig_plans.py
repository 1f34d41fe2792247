"""Anchors and digging made by hand for the writers' tests, on the ground of the plan made by hand: nothing here is a design.

Screws, pits shallow and deep, a bar in rock, anchors that nothing holds, names of forty letters, forty holes.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from writers.plan_by_hand import TO_GRID, _from_offset, _height_m, _offset, _stake, make_plan

from siting.figures import rounded
from siting.records.dig import DigPlan, Hole, LocateArea, Material
from siting.records.findings import Check
from siting.records.holding import (
    LIFT,
    MAKER,
    PINS,
    PLATE,
    ROCK_BAR,
    SCREENING,
    SCREW,
    AnchorChoice,
    AnchorLoad,
    BaseHold,
    CapacityPart,
    GuyLoad,
    Holding,
    HoldingPlan,
)
from siting.records.plan import Plan
from siting.records.soil import COHESIVE, GRANULAR, ROCK, Soil

SAND = Soil(
    "silty sand (SM), medium dense", GRANULAR, "class", True, 32.0, None, 18.5, 9.5, 2.4, 0.9, "", False, False, "C",
    "nobody classified it: the weakest type is taken (29 CFR 1926.652)",
    ("friction angle: a published table of classes, presumptive", "unit weight: the same table"), (),
)  # fmt: skip
CLAY = Soil(
    "stiff clay (CL)", COHESIVE, "measured", False, None, 75.0, 19.0, 9.2, None, 0.9, "", False, False, "B",
    "the competent person on site, 2027-03-01", ("undrained strength: laboratory report 17, 2027-02-11",),
    ("the blow count and the measured strength do not agree: the measured one is taken",),
)  # fmt: skip
GNEISS = Soil(
    "gneiss, slightly weathered", ROCK, "class", True, None, None, 26.0, 16.0, None, None, "gneiss", False, False, "rock",
    "rock of the published table", ("bond: a published table of rocks, presumptive",), (),
)  # fmt: skip
PEAT = replace(SAND, description="peat", kind=COHESIVE, undrained_kpa=12.0, friction_deg=None, is_organic=True, water_depth_m=0.2)
LONG = "ANCHOR-NORTH-OF-THE-OLD-HAY-BARN-NUMBER-"


@dataclass(frozen=True)
class Wish:
    """One anchor of a plan made by hand: its kind, its soil, its rod (m, degrees), its size, its pit (m)."""

    kind: str | None
    soil: Soil = SAND
    rod_m: float = 4.0
    angle_deg: float = 50.0
    size: str = "plates 254 + 305 mm, shaft square 38 mm, tip 4.4 m along the rod"
    plate_m: tuple[float, float] = (1.2, 0.3)
    wall: float = 0.0
    basis: str = SCREENING
    load_kn: float = 18.4


def _rise(stake, out_m: float) -> float:
    here = float(_height_m(*_offset(stake.azimuth_deg, stake.radius_m + out_m)))
    return here - float(_height_m(*_offset(stake.azimuth_deg, stake.radius_m)))


def _load(anchor: str, wish: Wish, away_deg: float) -> AnchorLoad:
    turn = math.radians(wish.angle_deg)
    guys = (GuyLoad(40.0, wish.load_kn * 0.45, wish.angle_deg - 6.0), GuyLoad(78.0, wish.load_kn * 0.55, wish.angle_deg + 5.0))
    told = {
        SCREENING: "wind screening, 26 m/s in 10 minutes: an estimate to choose a kind by, no design",
        MAKER: "the maker's design load of the mast file",
        LIFT: "the largest pull of the lift",
    }[wish.basis]
    return AnchorLoad(
        anchor, wish.basis, wish.load_kn, wish.angle_deg, away_deg, wish.load_kn * math.sin(turn), wish.load_kn * math.cos(turn),
        guys, told, "EN 1991-1-4 as an estimate" if wish.basis == SCREENING else "mast file",
    )  # fmt: skip


def _refused(kind: str, why: str) -> Holding:
    return Holding(kind, "largest of the ladder", None, 2.0, None, "nothing", (), None, None, None, None, why, "no method in such ground")


def _holding(wish: Wish, stake) -> Holding:
    turn = math.radians(wish.angle_deg)
    out_m, down_m = wish.rod_m * math.cos(turn), wish.rod_m * math.sin(turn)
    depth_m = down_m + _rise(stake, out_m)
    cover_m = depth_m - 0.07 * wish.rod_m
    if wish.kind == ROCK_BAR:  # counted at the upper end of its bond, 0.6 m along the bar before the middle
        cover_m -= 0.6 * math.sin(turn)
    allowable = wish.load_kn * 1.15
    parts = (CapacityPart("bearing on the ground above", allowable * 2.0), CapacityPart("yield of the rod", 120.0))
    return Holding(
        wish.kind, wish.size, allowable * 2.0, 2.0, allowable, "bearing on the ground above", parts, wish.rod_m, depth_m, cover_m,
        8.46 if wish.kind == SCREW else None, "", "UFC 3-220-20 chapter 5, factor 2.0: common practice, no source",
        {SCREW: (0.254, 0.305), PLATE: wish.plate_m, ROCK_BAR: (0.025,)}[wish.kind],
        wish.rod_m + {SCREW: 0.381, PLATE: 0.0, ROCK_BAR: 0.6}[wish.kind],
    )  # fmt: skip


def _choice(wish: Wish, stake) -> AnchorChoice:
    load = _load(stake.id, wish, stake.azimuth_deg)
    refused = (
        _refused(SCREW, "cobbles: a screw does not enter"), _refused(PLATE, "deeper than 3.00 m would be needed"),
        _refused(ROCK_BAR, "there is no rock of the published table"),
    )  # fmt: skip
    if wish.kind is None:
        return AnchorChoice(stake.id, wish.soil, load, refused, None, ("No kind of anchor holds in peat.",), None,
                            ("Peat: no method holds; ask a licensed engineer.",))  # fmt: skip
    chosen = _holding(wish, stake)
    larger = replace(chosen, kind=PLATE if wish.kind != PLATE else SCREW, size="plate 1.80 m long, 0.60 m high", allowable_kn=26.4, ultimate_kn=52.8)
    options = (chosen, larger, refused[2] if wish.kind != ROCK_BAR else refused[0])
    reasons = ("It is the kind with the least digging that holds the load.", "A plate would need a pit deeper than 1.50 m.")
    warnings = ("The water table is not known: taken at the surface.",) if wish.soil.water_depth_m is None else ()
    return AnchorChoice(stake.id, wish.soil, load, options, chosen, reasons, load.load_kn * 1.25, warnings)


def opening(hole_out_m: float, depth_m: float, floor_m: float, wall: float, stake) -> float:
    """Width of a pit's opening on the sloping ground, metres on the level, walked out in millimetres."""
    floor_z = _rise(stake, hole_out_m) - depth_m
    edges = []
    for side in (-1.0, 1.0):
        x = hole_out_m + side * floor_m / 2
        if wall > 0.0:
            while floor_z + abs(x - hole_out_m - side * floor_m / 2) / wall < _rise(stake, x):
                x += side * 0.001
        edges.append(x)
    return edges[1] - edges[0]


def _hole(wish: Wish, choice: AnchorChoice, stake) -> Hole:
    turn, held = math.radians(wish.angle_deg), choice.chosen
    out_m = wish.rod_m * math.cos(turn) if wish.kind == PLATE else 0.0
    east_m, north_m = _offset(stake.azimuth_deg, stake.radius_m + out_m)
    lon, lat = _from_offset(float(east_m), float(north_m))
    easting, northing = TO_GRID.transform(lon, lat)
    work = {SCREW: "screw", PLATE: "pit", ROCK_BAR: "drill"}[wish.kind]
    depth_m = held.depth_m + wish.plate_m[1] / 2 if wish.kind == PLATE else wish.rod_m * math.sin(turn) + 0.3
    floor = (wish.plate_m[0] + 0.6, 0.9) if wish.kind == PLATE else (0.0, 0.0)
    top = (0.0, 0.0)
    if wish.kind == PLATE:
        top = (floor[0] + 2 * wish.wall * depth_m, opening(out_m, depth_m, floor[1], wish.wall, stake))
    dug = depth_m / 3 * (floor[0] * floor[1] + top[0] * top[1] + math.sqrt(floor[0] * floor[1] * top[0] * top[1]))
    deep = wish.kind == PLATE and depth_m >= 1.5
    return Hole(
        f"{stake.id} {work}", stake.id, work, lat, lon, easting, northing, float(_height_m(east_m, north_m)), out_m, stake.azimuth_deg,
        depth_m, *floor, wish.wall, *top, dug, dug * 1.25,
        f"walls laid back {wish.wall:g} : 1 (29 CFR 1926.652, type {wish.soil.excavation_type})" if wish.wall else
        "upright walls, nobody goes in" if wish.kind == PLATE else "nothing to support: a screw or a drilled hole",
        deep, 8.5, 9.1, "layers of 150 mm, each rammed with a plate" if wish.kind == PLATE else "none",
        ("Ground water may come into the pit: pump it out before anybody goes in.",) if wish.soil.water_depth_m is not None and deep else (),
    )  # fmt: skip


def _base(plan: Plan) -> tuple[BaseHold, Hole]:
    pins = Holding(PINS, "4 pins 30 mm, 1.50 m", 24.0, 2.0, 12.0, "the ground before the pins", (), None, 1.5, None, None, "",
                   "lateral load of a short pile, from memory")  # fmt: skip
    up = replace(pins, ultimate_kn=9.0, allowable_kn=4.5, governed_by="skin friction")
    base = plan.base
    hole = Hole("BASE pin", "BASE", "pin", base.lat, base.lon, base.easting, base.northing, base.height_m, 0.0, 218.0, 1.5, 0.0, 0.0, 0.0,
                0.0, 0.0, 0.0, 0.0, "driven: nothing to support", False, 8.5, 0.0, "none", ())  # fmt: skip
    buried = replace(pins, kind=PLATE, size="plate 1.20 m long, 0.30 m high", allowable_kn=21.0, ultimate_kn=42.0, rod_m=3.0, depth_m=1.1)
    return BaseHold(SAND, 9.4, 0.0, pins, up, "Four pins hold the level push of the lift; nothing pulls the base up.",
                    buried=buried, tie_deg=25.0, tie_kn=10.4), hole  # fmt: skip


def _locate(holes: Sequence[Hole], plan: Plan) -> LocateArea:
    """A square of 6 m around every hole, joined where they touch; counter-clockwise."""
    from shapely import box, transform
    from shapely.ops import unary_union

    to_lonlat = lambda xy: [TO_GRID.transform(x, y, direction="INVERSE") for x, y in xy]  # noqa: E731
    areas = unary_union([box(h.easting - 6, h.northing - 6, h.easting + 6, h.northing + 6) for h in holes])
    parts = list(getattr(areas, "geoms", [areas]))
    rings = tuple(tuple(map(tuple, to_lonlat(list(p.exterior.coords)[::-1]))) for p in parts)
    rings = tuple(r if _is_ccw(r) else r[::-1] for r in rings)
    fields = (
        ("Site", plan.name), ("Place (WGS 84)", plan.base.dms), ("Township, range, section or nearest road", ""),
        ("Kind of work", "digging pits, turning in screws, driving pins"), ("Deepest", f"{max(h.depth_m for h in holes):.2f} m"),
        ("Explosives", "none planned"), ("Starts on", ""), ("Takes", ""), ("Company and caller", ""), ("Phone on site", ""),
        ("Marked in white on the ground", ""), ("Ticket number and valid to", ""),
    )  # fmt: skip
    told = (
        "This is no clearance: nobody has looked for buried lines here.",
        "Private lines behind the meter are not marked by the service: ask the owner of the land.",
        "Augering and driving count as digging in most rules.",
    )
    assert not any(transform(p, lambda c: c).is_empty for p in parts)
    return LocateArea(6.0, rings, sum(p.area for p in parts), max(h.depth_m for h in holes), fields, told)


def _is_ccw(ring) -> bool:
    return sum((b[0] - a[0]) * (b[1] + a[1]) for a, b in zip(ring, ring[1:], strict=False)) < 0


MATERIALS = (
    Material("anchors", "screw anchor", "254 + 305 mm helices", 3.0, "pcs", "A1 B1 C1", "count from the plan"),
    Material("anchors", "rod, galvanised", "25 mm × 4.20 m", 3.0, "pcs", "A1 B1 C1", "check: the maker's rod"),
    Material("guys", "strand 1x19", "4.0 mm", 512.4, "m", "40 m and 78 m", "cut list, 3 % more"),
    Material("ends", 'thimble, "heavy"', "4 mm", 24.0, "pcs", "all guys", "two for each guy, from memory"),
    Material("earthing", "earth rod", "1.5 m", 4.0, "pcs", "BASE", "local code"),
    Material("marking", "sleeve, orange", "2.1 m", 12.0, "pcs", "guys", "common practice, no source"),
)


def build(plan: Plan, wishes: dict[str, Wish]) -> tuple[Plan, HoldingPlan, DigPlan]:
    """The plan with these anchors, what holds them and how they are dug; rounded as the planner rounds."""
    stakes = {s.id: s for s in plan.stakes}
    choices = {name: _choice(wish, stakes[name]) for name, wish in wishes.items()}
    checks = tuple(
        Check(f"anchor_holding:{name}", "anchor_holding", f"what {name} holds against its load", c.chosen.allowable_kn if c.chosen else 0.0,
              c.load.load_kn, "kN", True, c.load.load_kn / c.chosen.allowable_kn if c.chosen else 10.0, 0.0,
              "fail" if c.chosen is None else "marginal" if c.soil.is_presumptive else "pass", "UFC 3-220-20", f"at {name}")
        for name, c in choices.items()
    )  # fmt: skip
    base, pin = _base(plan)
    holes = (*(_hole(w, choices[n], stakes[n]) for n, w in wishes.items() if w.kind), pin)
    method = ("Rods lie on the pull's own line; the load is the maker's or an estimate.", "Ground water is counted where its depth is given.")
    rules = ("Spoil stays 0.61 m (2 ft) back from the edge: 29 CFR 1926.651(j)(2).", "Walls: 29 CFR 1926.652, Appendix B.")
    cautions = ("No person enters a pit before its walls are made safe.", "A proof load is pulled on every anchor, and watched.")
    return rounded((plan, HoldingPlan(tuple(choices.values()), base, checks, method), DigPlan(holes, _locate(holes, plan), MATERIALS, rules, cautions)))


SIX = ("A1", "B1", "C1", "SL", "SR", "BK")


def screws() -> tuple[Plan, HoldingPlan, DigPlan]:
    """Six screw anchors, uphill and downhill of the base."""
    return build(make_plan(), {n: Wish(SCREW, rod_m=3.6 + 0.3 * k, angle_deg=44.0 + 3 * k) for k, n in enumerate(SIX)})


def pits() -> tuple[Plan, HoldingPlan, DigPlan]:
    """Plates in pits: shallow and upright, deep and laid back, on ground that rises and falls outward."""
    plate = "plate 1.20 m long, 0.30 m high"
    wishes = {
        "A1": Wish(PLATE, CLAY, 1.6, 44.0, plate),
        "B1": Wish(PLATE, SAND, 3.2, 48.0, "plate 1.80 m long, 0.60 m high", (1.8, 0.6), 1.5, MAKER, 22.0),
        "C1": Wish(PLATE, CLAY, 2.8, 52.0, plate, (1.2, 0.3), 1.0, MAKER),
        "BK": Wish(PLATE, SAND, 2.1, 38.0, "plate 0.90 m long, 0.30 m high", (0.9, 0.3), 1.5, LIFT, 9.3),
        "W1": Wish(PLATE, CLAY, 2.6, 24.0, plate, (1.2, 0.3), 0.75, LIFT, 41.5),
    }  # fmt: skip
    return build(make_plan(), wishes)


def mixed() -> tuple[Plan, HoldingPlan, DigPlan]:
    """Every kind, and an anchor that nothing holds."""
    wishes = {
        "A1": Wish(SCREW), "B1": Wish(PLATE, CLAY, 2.4, 48.0, "plate 1.20 m long, 0.30 m high", (1.2, 0.3), 0.75, MAKER),
        "C1": Wish(ROCK_BAR, GNEISS, 1.8, 51.0, "bar 25 mm, bond 1.2 m, free 1.2 m above it", basis=MAKER), "SL": Wish(None, PEAT),
        "SR": Wish(SCREW, replace(SAND, water_depth_m=0.0, frost_depth_m=1.6), 5.8, 30.0, "plates 305 mm, shaft square 38 mm, tip 5.8 m along the rod", basis=LIFT),
    }  # fmt: skip
    return build(make_plan(), wishes)


def refused() -> tuple[Plan, HoldingPlan, DigPlan]:
    """Ground in which nothing holds, but for the pins of the base."""
    return build(make_plan(), {n: Wish(None, PEAT) for n in SIX})


def _with_stakes(names: Sequence[str]) -> Plan:
    plan = make_plan()
    stakes = [s for s in plan.stakes if s.role in ("base", "head")]
    for k, name in enumerate(names):
        stake = _stake("X", "permanent", (38.0 + 360.0 * k / len(names)) % 360.0, 30.0 + 14.0 * (k % 4), "GA", f"Guy anchor {k}")
        stakes.append(replace(stake, id=name, point=name if len(name) <= 8 else f"AN{k}"))
    return replace(plan, stakes=tuple(stakes))


def long_names() -> tuple[Plan, HoldingPlan, DigPlan]:
    """Names of forty letters, soil and sizes in many words."""
    names = [f"{LONG[:38]}{k:02d}" for k in range(6)]
    soil = replace(SAND, description="silty sand with some gravel and thin bands of soft organic clay, fill of the former quarry (SM to SC)")
    size = "plates 254 + 305 + 356 mm, shaft square 38 mm, galvanised, with two extensions and a clevis of forged steel"
    kinds = (SCREW, SCREW, PLATE, SCREW, PLATE, None)
    wishes = {n: Wish(k, soil, 2.6, 46.0, size if k == SCREW else "plate 1.20 m long, 0.30 m high of hot-dip galvanised steel with stiffeners")
              for n, k in zip(names, kinds, strict=True)}  # fmt: skip
    plan = _with_stakes(names)
    return build(replace(plan, name="Site with a very long name " * 4, mast=replace(plan.mast, name="Mast of many words " * 5)), wishes)


def forty() -> tuple[Plan, HoldingPlan, DigPlan]:
    """Forty holes."""
    names = [f"{'ABCD'[k % 4]}{k // 4 + 1}" for k in range(39)]
    wishes = {n: Wish(PLATE, CLAY, 2.4, 47.0, "plate 1.20 m long, 0.30 m high", wall=0.75) if k % 3 == 0 else Wish(SCREW, SAND if k % 2 else CLAY)
              for k, n in enumerate(names)}  # fmt: skip
    return build(_with_stakes(names), wishes)


MAKERS = {"screws": screws, "pits": pits, "mixed": mixed, "refused": refused, "long names": long_names, "forty": forty}


def plans() -> dict[str, tuple[Plan, HoldingPlan, DigPlan]]:
    """Every plan by its name, and three of them on US paper."""
    made = {name: make() for name, make in MAKERS.items()}
    for name in ("pits", "mixed", "forty"):
        plan, *rest = made[name]
        made[f"{name}, Letter"] = (replace(plan, paper="Letter"), *rest)
    return made
