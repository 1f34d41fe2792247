"""Which anchor to put in at a stake, and why; and whether the base plate's pins hold the lift."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from siting.errors import OutOfMethod
from siting.figures import shown
from siting.holding.ground_cover import GroundLine
from siting.holding.pins import hold_pins, hold_pins_drawn
from siting.holding.plate import hold_plate, pit_depth_m
from siting.holding.refusal import refused
from siting.holding.rock_bar import hold_rock_bar
from siting.holding.screw import hold_screw
from siting.records.holding import (
    LIFT,
    PLATE,
    ROCK_BAR,
    SCREW,
    AnchorChoice,
    AnchorLoad,
    AnchorWants,
    BaseHold,
    GroundAt,
    Holding,
)
from siting.records.soil import GRANULAR, ROCK, Soil

KINDS = {SCREW: hold_screw, PLATE: hold_plate, ROCK_BAR: hold_rock_bar}
NAMES = {SCREW: "a screw", PLATE: "a buried plate", ROCK_BAR: "a grouted bar"}
PIT_UNPROTECTED_M = 1.52  # a pit of 5 ft or more is protected: 29 CFR 1926.652(a)(1)
BANK_WATCH_M = 10.0  # a bank that near is named: common practice, no source
# The tie of the base plate runs down so steeply, to a plate no deeper than that: common practice, no source.
TIE_DEG, BURIED_DEEPEST_M = 30.0, 2.0
COVER_WATCH_M = 0.1  # a cover that much less than the depth is named: common practice, no source


def choose_anchor(load: AnchorLoad, soil: Soil, ground: GroundAt, wants: AnchorWants) -> AnchorChoice:
    """What each kind of anchor holds at a stake, the kind taken and why; kN and m.

    A kind that the user fixes is taken or none. Else: in rock a grouted bar; elsewhere a screw where it holds (no pit is
    dug), else a buried plate. Where nothing holds, nothing is taken.

    Source: order of the kinds: common practice, no source. Methods: siting/holding/screw.py, plate.py, rock_bar.py.
    """
    line = GroundLine(ground)
    options = {kind: _try(kind, load, soil, line, wants) for kind in KINDS}
    order = _order(soil, wants)
    holding = [kind for kind in order if _holds(options[kind], load)]
    chosen = options[holding[0]] if holding else None
    return AnchorChoice(
        anchor=load.anchor,
        soil=soil,
        load=load,
        options=tuple(options.values()),
        chosen=chosen,
        reasons=_reasons(options, chosen, order, load, wants, _shallow_pit(load, soil, line, wants, chosen)),
        proof_kn=wants.proof_ratio * load.load_kn if chosen else None,
        warnings=_warnings(load, soil, line, chosen),
        ground=ground,
    )


def _try(kind: str, load: AnchorLoad, soil: Soil, line: GroundLine, wants: AnchorWants) -> Holding:
    """What a kind holds; what lies outside its method becomes its reason."""
    try:
        return KINDS[kind](load, soil, line, wants)
    except OutOfMethod as fault:
        return refused(kind, NAMES[kind][2:], wants.safety_factor or 1.0, fault.faults[0].line(), "")


def _order(soil: Soil, wants: AnchorWants) -> tuple[str, ...]:
    """The kinds that may be taken, the first that holds is."""
    if wants.kind != "auto":
        return (wants.kind,)
    return (ROCK_BAR,) if soil.kind == ROCK else (SCREW, PLATE)


def _holds(option: Holding, load: AnchorLoad) -> bool:
    return option.allowable_kn is not None and option.allowable_kn >= load.load_kn


def _verdict(kind: str, option: Holding, load: AnchorLoad) -> str:
    """One kind in one plain sentence."""
    name = f"{NAMES[kind][:1].upper()}{NAMES[kind][1:]}"
    if option.allowable_kn is None:
        return f"{name} is not worked out: {option.refused}."
    told = f"{shown(option.allowable_kn, 'force')} ({option.size}; {option.governed_by} decides)"
    if _holds(option, load):
        return f"{name} would hold {told}."
    return f"{name} does not hold {shown(load.load_kn, 'force')}: the strongest of its list may take {told}."


def _reasons(
    options: dict[str, Holding], chosen: Holding | None, order: tuple[str, ...], load: AnchorLoad, wants: AnchorWants, shallow: str
) -> tuple[str, ...]:
    """Why this kind, and why not the others, in plain sentences."""
    others = [_verdict(kind, option, load) for kind, option in options.items() if option is not chosen]
    if chosen is None:
        head = "No kind of anchor holds here by the methods of this sheet: have the anchor designed, or move it."
        if wants.kind != "auto":
            head = f"{NAMES[wants.kind][:1].upper()}{NAMES[wants.kind][1:]} is asked for and does not hold here."
        return (head, *others)
    why = {
        SCREW: "it holds, and no pit is dug",
        PLATE: "it holds, and a screw does not" if wants.kind == "auto" else "it holds",
        ROCK_BAR: "the ground is rock" if wants.kind == "auto" else "it holds",
    }[chosen.kind]
    asked = " is asked for" if len(order) == 1 and wants.kind != "auto" else " is taken"
    name = f"{NAMES[chosen.kind][:1].upper()}{NAMES[chosen.kind][1:]}"
    size = (
        f"{chosen.size}: may take {shown(chosen.allowable_kn, 'force')} where {shown(load.load_kn, 'force')} pulls "
        f"({shown(chosen.ultimate_kn, 'force')} / {chosen.safety_factor:.2g}); {chosen.governed_by} decides."
    )
    torque = ()
    if chosen.torque_knm is not None:
        torque = (
            f"Turn it in at least to that length, and on until it takes {shown(chosen.torque_knm, 'moment')}: only the torque "
            "shows that the ground is what it was taken for.",
        )
    return (f"{name}{asked}: {why}.", f"{size[:1].upper()}{size[1:]}", *torque, *((shallow,) if shallow else ()), *others)


def _shallow_pit(load: AnchorLoad, soil: Soil, line: GroundLine, wants: AnchorWants, chosen: Holding | None) -> str:
    """Which larger plate keeps the pit below the depth that must be protected; empty where that does not arise."""
    if chosen is None or chosen.kind != PLATE or _pit_m(chosen, load) < PIT_UNPROTECTED_M:
        return ""
    least = wants.plate_deepest_m
    wide = AnchorWants(
        safety_factor=wants.safety_factor, plates_m=wants.plates_m, plate_deepest_m=min(least, PIT_UNPROTECTED_M - 0.02)
    )
    other = hold_plate(load, soil, line, wide)
    deep = f"The pit is {shown(_pit_m(chosen, load), 'length')} deep: from 1.52 m on its walls are protected (29 CFR 1926.652)"
    if not _holds(other, load):
        return f"{deep}; no plate of the list holds in a shallower one."
    return f"{deep}; a {other.size} holds in a pit {shown(_pit_m(other, load), 'length')} deep."


def _pit_m(plate: Holding, load: AnchorLoad) -> float:
    """Depth of a chosen plate's pit."""
    return pit_depth_m(plate, load.angle_deg, plate.face_m[1])


def _warnings(load: AnchorLoad, soil: Soil, line: GroundLine, chosen: Holding | None) -> tuple[str, ...]:
    """What the crew must know of slope, bank, water, frost and of how well the ground is known."""
    told = []
    if chosen is not None and chosen.kind != ROCK_BAR and chosen.cover_m < chosen.depth_m - COVER_WATCH_M:
        told.append(
            f"The ground slopes {shown(line.slope_percent, 'percent')}: the anchor lies {shown(chosen.depth_m, 'length')} deep, "
            f"of which {shown(chosen.cover_m, 'length')} count, below the lowest ground that would break out."
        )
    bank = line.bank_m(0.0)
    if bank is not None and bank <= BANK_WATCH_M:
        told.append(f"A bank falls away {shown(bank, 'length')} from the stake: measure it on the ground before anything is put in.")
    told += _water(soil, chosen)
    if soil.frost_depth_m is None and soil.kind != ROCK:
        told.append("The frost depth is not given: whether the anchor lies below it is not checked.")
    if soil.is_presumptive:
        told.append("The ground's strength comes from a table, not from a test here: look at what is dug or turned up, and pull each anchor to its proof load.")
    if chosen is not None and chosen.kind == PLATE:
        told.append("Cut the pit's wall on the base's side upright and leave it undisturbed: the plate bears on it. Fill in layers and compact each as hard as the ground was.")
    if chosen is not None and load.load_kn > 0.0:
        told.append("These figures are an estimate for planning; the anchor's maker or an engineer answers for the anchor.")
    return tuple(told)


def _water(soil: Soil, chosen: Holding | None) -> list[str]:
    if soil.water_depth_m is None:
        return ["The water table is not known: in granular ground it is taken at the surface."] if soil.kind == GRANULAR else []
    if soil.water_depth_m <= 0.0:
        return ["Water stands at the surface: a pit fills, and its walls run in."]
    if chosen is not None and chosen.kind == PLATE and chosen.depth_m >= soil.water_depth_m:
        return [f"Water stands {shown(soil.water_depth_m, 'length')} down, above the pit's floor: the pit fills."]
    return []


def hold_base(
    soil: Soil, ground: GroundAt, away_deg: float, push_kn: float | None, uplift_kn: float | None, wants: AnchorWants
) -> BaseHold:
    """Whether the base plate's pins hold the lift's level push and upward pull, or a buried plate tied to it; kN.

    The mast pushes its base towards the winch, so the plate that holds it back lies on the laydown's side, at most 2 m deep.

    Args:
        ground: from the base outward along the laydown; away_deg: true azimuth of the laydown.
    Source: siting/holding/pins.py, plate.py; depth of buried anchors at the base: common practice, no source.
    """
    tie_kn = None if push_kn is None else push_kn / math.cos(math.radians(TIE_DEG))
    tie = AnchorLoad("BASE", LIFT, tie_kn or 0.0, TIE_DEG, away_deg, 0.0, push_kn or 0.0, (), "", "")
    shallow = replace(wants, plate_deepest_m=min(wants.plate_deepest_m, BURIED_DEEPEST_M))
    buried = _try(PLATE, tie, soil, GroundLine(ground), shallow)
    pins, drawn = _pins(hold_pins, soil, wants), _pins(hold_pins_drawn, soil, wants)
    pins_fail = push_kn is not None and (pins.allowable_kn or 0.0) < push_kn
    return BaseHold(
        tie_away_deg=away_deg, needs_tie=pins_fail and (buried.allowable_kn or 0.0) >= tie_kn,
        soil=soil, push_kn=push_kn, uplift_kn=uplift_kn, pins=pins, pins_uplift=drawn, buried=buried, tie_deg=TIE_DEG, tie_kn=tie_kn,
        text=_base_text(push_kn, uplift_kn, pins, drawn, _buried_text(tie_kn, buried)),
    )  # fmt: skip


def weaker_base(bases: Iterable[BaseHold]) -> BaseHold:
    """The base in the ground in which its pins hold less, the first of equals; no unit."""
    return min(bases, key=lambda base: base.pins.allowable_kn or 0.0)


def _pins(method, soil: Soil, wants: AnchorWants) -> Holding:
    try:
        return method(soil, wants)
    except OutOfMethod as fault:
        return refused("pins", f"{wants.pins} steel pins", wants.safety_factor or 1.0, fault.faults[0].line(), "")


def _buried_text(tie_kn: float | None, buried: Holding) -> str:
    """What a buried plate does for the base, in plain words."""
    if buried.allowable_kn is None:
        return f"a buried plate is not worked out: {buried.refused}"
    where = f"a {buried.size}, {shown(buried.depth_m, 'length')} deep on the laydown's side, its rod at {TIE_DEG:.0f}°"
    may = f"may take {shown(buried.allowable_kn, 'force')} in its rod"
    if tie_kn is not None and buried.allowable_kn >= tie_kn:
        return f"tie the base plate to {where}: it {may}, the lift brings {shown(tie_kn, 'force')}"
    return f"{where}, {may}: it does not hold either; have the base's hold designed"


def _base_text(push_kn: float | None, uplift_kn: float | None, pins: Holding, drawn: Holding, tie: str) -> str:
    """Both forces against the pins, in plain words."""
    rows = []
    for force, holding, what, do in (
        (push_kn, pins, "level push", tie),
        (uplift_kn, drawn, "upward pull", "load the base plate, or hold it down with an anchor of its own"),
    ):
        may = "is not worked out" if holding.allowable_kn is None else f"may take {shown(holding.allowable_kn, 'force')}"
        if force is None:
            rows.append(f"The {what} on the base is not known: the lift's forces are not worked out; the pins' part {may}")
        elif force <= 0.0:
            rows.append(f"No {what} on the base in the lift")
        elif holding.allowable_kn is not None and holding.allowable_kn >= force:
            rows.append(f"The pins {may} of {what}, the lift brings {shown(force, 'force')}")
        else:
            why = f" ({holding.refused})" if holding.refused else ""
            rows.append(f"The pins do not hold the {what}: the lift brings {shown(force, 'force')}, their part {may}{why}; {do}")
    return ". ".join(rows) + "."
