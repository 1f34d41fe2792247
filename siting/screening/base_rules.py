"""What holds the base of a lift, as plain numbers for the kernels: pins, and the plates that may be buried, in one soil."""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numpy as np

from siting.holding.breakout import sand_row
from siting.holding.choose import BURIED_DEEPEST_M, TIE_DEG, hold_base, weaker_base
from siting.holding.earth_pressure import FAN_RAD
from siting.holding.ground_cover import GroundLine
from siting.holding.ground_places import LINE_M, RINGS_M
from siting.holding.plate import PIT_ROUNDING_M, Plate, combined_kn, level_kn, unfit, upward_kn
from siting.records.holding import LIFT, AnchorLoad, GroundAt
from siting.records.site import GroundInputs
from siting.records.soil import GRANULAR, Soil
from siting.soil.find import soils_to_try

LEVEL = GroundAt(tuple(LINE_M.tolist()), (0.0,) * LINE_M.size, 0.0, 0.0, (0.0,) * RINGS_M.size, tuple(RINGS_M.tolist()))
TIE = AnchorLoad("BASE", LIFT, 0.0, TIE_DEG, 0.0, 0.0, 0.0, (), "", "")
# A bound is so much wider, relative and in metres: far more than the rounding of what it bounds.
WIDER, WIDER_M = 1e-9, 1e-9
# What the bare memory of a call holds (base_ground.around_of): for each ring one number and a band of two, for the profile falls of two.
SCRATCH = 3 * RINGS_M.size + 2 * LINE_M.size
LENGTH, HEIGHT, HALF_UPRIGHT, NEED, MOST, COLUMNS = range(6)


class PlateGround(NamedTuple):
    """The soil and the tie as a plate's hold depends on them (metres, degrees, kPa, kN/m3; 0 where the soil has none)."""

    is_granular: bool
    friction_deg: float
    tan_friction: float
    sand_row: tuple[float, float, float]  # breakout.sand_row
    undrained_kpa: float
    unit_weight_kn_m3: float
    buoyant_kn_m3: float
    water_m: float  # infinite where there is none
    wedge: float
    plug: float
    sin: float  # of the tie
    cos: float
    angle_rad: float
    factor: float  # of safety
    deepest_m: float  # pit
    reach_m: float  # from a plate as deep as the pit may be to the farthest ground that it would break out
    even_ratio: float  # ground that nowhere slopes as much lies inside the method for every rod that is looked at
    square: float  # 2, told when running: x to that power is then the C library's as in the plan, which is not always x * x


class Plates(NamedTuple):
    """The sizes of the list, in its order."""

    count: int
    rows: Any  # (P, 5): length, height, half its height upright, how deep its middle must lie (metres), bound of its hold (kN)
    strongest_first: Any  # (P,) by that bound


class BaseRules(NamedTuple):
    """Everything of the base's hold that no cell changes."""

    knows_soil: bool  # without it nothing is checked
    pins_kn: float  # level push; 0 where no method holds
    drawn_kn: float  # upward pull; 0 where no method holds
    most_kn: float  # bound of the pull along the tie that any plate holds on any ground; below 0 where no plate is worked out
    scratch_size: int  # doubles of bare memory that a call needs
    plates: Plates
    ground: PlateGround


def base_rules_of(inputs: GroundInputs) -> BaseRules:
    """What the checks of the base's hold need of what the user says of the ground: in the soil that the plan judges it in.

    Raises:
        InputError: as siting.soil.find.find_soil.
    """
    base = weaker_base(hold_base(soil, LEVEL, 0.0, None, None, inputs.wants) for soil in soils_to_try(inputs.site))
    soil, wants = base.soil, inputs.wants
    sizes = () if unfit(soil, TIE_DEG) else tuple(Plate(TIE, soil, GroundLine(LEVEL), wants, size) for size in wants.plates_m)
    deepest_m = min(wants.plate_deepest_m, BURIED_DEEPEST_M) + PIT_ROUNDING_M
    plates = _plates_of(sizes, soil, deepest_m)
    return BaseRules(
        knows_soil=inputs.knows_soil,
        pins_kn=base.pins.allowable_kn or 0.0,
        drawn_kn=base.pins_uplift.allowable_kn or 0.0,
        most_kn=float(plates.rows[:, MOST].max(initial=-1.0)),
        scratch_size=SCRATCH,
        plates=plates,
        ground=_ground_of(sizes, soil, deepest_m) if sizes else _NO_GROUND,
    )


_NO_GROUND = PlateGround(
    is_granular=False, friction_deg=0.0, tan_friction=0.0, sand_row=(0.0, 0.0, 0.0), undrained_kpa=0.0, unit_weight_kn_m3=0.0,
    buoyant_kn_m3=0.0, water_m=math.inf, wedge=0.0, plug=0.0, sin=0.0, cos=1.0, angle_rad=0.0, factor=1.0, deepest_m=0.0,
    reach_m=0.0, even_ratio=0.0, square=2.0,
)  # fmt: skip


def _plates_of(sizes: tuple[Plate, ...], soil: Soil, deepest_m: float) -> Plates:
    """The sizes as the kernel takes them."""
    rows = np.array([(*p.size, p.half_upright_m, p.need_m(), _most_kn(p, soil, deepest_m)) for p in sizes]).reshape(-1, COLUMNS)
    return Plates(len(sizes), rows, np.argsort(-rows[:, MOST], kind="stable"))


def _ground_of(sizes: tuple[Plate, ...], soil: Soil, deepest_m: float) -> PlateGround:
    """Soil and tie, the same for every size."""
    one = sizes[0]
    reach_m = max(max(max(p.size) / 2.0 + deepest_m * p.plug, (deepest_m + p.size[1] / 2.0) * p.wedge) for p in sizes)
    is_granular, water_m = soil.kind == GRANULAR, soil.water_depth_m
    friction_deg = soil.friction_deg if is_granular else 0.0
    return PlateGround(
        is_granular=is_granular,
        friction_deg=friction_deg,
        tan_friction=math.tan(math.radians(friction_deg)),
        sand_row=sand_row(friction_deg) if is_granular else (0.0, 0.0, 0.0),
        undrained_kpa=0.0 if is_granular else soil.undrained_kpa,
        unit_weight_kn_m3=soil.unit_weight_kn_m3,
        buoyant_kn_m3=soil.buoyant_kn_m3,
        water_m=(0.0 if is_granular else math.inf) if water_m is None else float(water_m),
        wedge=one.wedge, plug=one.plug, sin=one.sin, cos=one.cos, angle_rad=math.radians(TIE_DEG), factor=one.factor,
        deepest_m=deepest_m, reach_m=reach_m, even_ratio=_even_ratio(reach_m, soil), square=2.0,
    )  # fmt: skip


def _most_kn(plate: Plate, soil: Soil, deepest_m: float) -> float:
    """No less than what a size holds on any ground, kN: as deep as the pit may be, on level ground. Below 0 where it never fits."""
    depth_m = deepest_m - plate.half_upright_m + WIDER_M
    if depth_m < plate.need_m():
        return -1.0
    held = combined_kn(upward_kn(soil, depth_m, plate.size), level_kn(soil, depth_m, plate.size), TIE_DEG)
    return held / plate.factor * (1.0 + WIDER)


def _even_ratio(reach_m: float, soil: Soil) -> float:
    """Ground less steep than that (rise / run) lies inside the method for every rod up to one that fits; 0 where none does.

    A shorter rod on ground less steep than the tie ends no deeper than a longer one, so that what would break out reaches no
    farther; towards the base it never reaches the profile's end.
    """
    if reach_m > -LINE_M[0]:
        return 0.0
    steepest_deg = soil.friction_deg if soil.kind == GRANULAR else math.degrees(FAN_RAD)
    return math.tan(math.radians(min(steepest_deg, TIE_DEG))) * (1.0 - 1e-6)
